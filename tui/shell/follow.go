package shell

import (
	"fmt"
	"slices"
	"strings"

	"github.com/charmbracelet/bubbletea"

	"coolhold/fusion"
	"coolhold/logbook"
	"coolhold/logbook/acts"
)

// followed runs something slow, then reads the log it returned.
//
// What a fresh start of the program finds (acts.FoundAtStart) is recorded at
// once only where the newest entry was made since the last start of this very
// machine: then it is this laptop's own log, and nobody watched meanwhile. Any
// other log may be a copy, or one that its own machine still watches, and who
// opens it may only want to read. It is not written to, not even a heartbeat,
// until something is about to be recorded in it (Root.owed).
func (r Root) followed(f follow) tea.Cmd {
	head, shown := acts.Head{ID: r.opts.NewID(), At: r.now}, r.log
	return func() tea.Msg {
		log, err := f.run()
		if err != nil {
			return followMsg{err: err}
		}
		msg := followMsg{log: log, other: shown == nil || shown.Path() != log.Path()}
		if msg.book, msg.err = read(log, ""); msg.err != nil || !msg.other {
			return msg
		}
		if msg.beat, msg.err = log.LastBeat(); msg.err != nil {
			return msg
		}
		msg.owed = save{head.ID, "what was found at the opening", acts.FoundAtStart(head, msg.beat)}
		// Where it cannot be written to it can be read all the same.
		if madeHere(msg.book, head.At) && found(log, head, msg.beat) == nil {
			msg.owed = save{}
			msg.book, msg.err = read(log, "")
		}
		return msg
	}
}

// madeHere tells whether the newest entry of a log was made since the last
// start of the machine that now speaks of.
func madeHere(r logbook.Reader, now fusion.Stamp) bool {
	var last fusion.Stamp
	for _, s := range r.Sites() {
		if s.LastAt.Wall.After(last.Wall) {
			last = s.LastAt
		}
	}
	return last.SameBoot(now)
}

type followMsg struct {
	log   Log
	book  *logbook.Book
	other bool // than the one shown before
	beat  fusion.Stamp
	owed  save
	err   error
}

// following takes up a log that was opened on behalf of a screen. Where that
// is another one, the screens start anew.
func (r Root) following(msg followMsg) Root {
	if msg.err != nil {
		faults := strings.Split(msg.err.Error(), "\n")
		for _, f := range faults[:min(2, len(faults))] {
			r = r.banner(f, true)
		}
		if n := len(faults) - 2; n > 0 {
			r = r.banner(fmt.Sprintf("and %d more faults: coolhold plan check, coolhold table check", n), true)
		}
		return r
	}
	r.log = msg.log
	if !msg.other {
		return r.rebook(msg.book, derived{})
	}
	r.site, r.lines, r.beat, r.beaten = "", nil, msg.beat, 0
	r.owed, r.owing, r.refused = msg.owed, false, ""
	r.rung, r.acked = map[string]bool{}, map[string]bool{}
	r = r.rebook(msg.book, derived{})
	r.stack = []Screen{r.opts.Start(r.env())}
	return r
}

// reading tells whether nothing was recorded yet in a log that was opened to be
// read, maybe.
func (r Root) reading() bool { return r.owed.act != nil }

// asFound is the log as it will stand once something is recorded in it, so that
// the screens ask of a fusion that nobody watched what they must.
func (r Root) asFound(book *logbook.Book) *logbook.Book {
	if !r.reading() {
		return book
	}
	found := book.Clone()
	if _, err := foldIn(found, 0, r.owed.act); err != nil {
		return book
	}
	return found
}

// pay queues what was found at the opening of a log, before the first act that
// is recorded in it.
func (r Root) pay() Root {
	if r.reading() && !r.owing {
		r.owing = true
		r.queue = append(r.queue[:len(r.queue):len(r.queue)], jobOf(r.owed))
	}
	return r
}

// paid takes it that what was found is recorded: that it was not says nothing any more.
func (r Root) paid() Root {
	refused := r.refused
	r.owed, r.owing, r.refused = save{}, false, ""
	r.lines = slices.DeleteFunc(slices.Clone(r.lines), func(b banner) bool { return refused != "" && b.text == refused })
	return r
}
