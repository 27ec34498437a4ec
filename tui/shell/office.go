package shell

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
