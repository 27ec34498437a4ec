package shell

import "coolhold/logbook"

// An OfficeState is how the firm's office stands to a log, in a few words; "" where none
// is named. Warn: somebody must do something about it.
type OfficeState struct {
	Says string
	Warn bool
}

// asksOffice sees how the office stands. The answer is there already: nothing waits.
func (r Root) asksOffice() Root {
	switch {
	case r.log == nil || r.opts.Outside.Office == nil:
		r.office = OfficeState{}
	case !r.aside:
		r.office = r.opts.Outside.Office(r.log)
	}
	return r
}

// officePage is what the board's page says of the office, where one is named.
func officePage(o OfficeState) string {
	if o.Says == "" {
		return ""
	}
	return "The line on the firm's office says what it has of this log: now, " + logbook.Clean(o.Says) + ". What is recorded goes there by itself when there is a link. Nothing here waits for it, and this log stays the one that counts; coolhold send says more, and coolhold send --none ends it."
}
