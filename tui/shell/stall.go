package shell

import (
	"errors"
	"fmt"
	"time"

	"github.com/charmbracelet/bubbletea"

	"coolhold/logbook"
	"coolhold/tui/widget"
)

// A stall is why the queue does not go on, and since when.
type stall struct {
	since time.Time
	says  string
}

// againAfter lets the others have the log between two tries.
const againAfter = 50 * time.Millisecond

type againMsg struct{}

// stalls keeps the act at the head of the queue, to be tried once more with its id.
// The strip says why; nothing that waits is lost or said to be not stored.
func (r Root) stalls(err error) (Root, tea.Cmd) {
	s := stall{since: r.stall.since}
	if s.since.IsZero() {
		s.since = r.now.Local()
	}
	var again tea.Cmd
	if errors.Is(err, logbook.ErrNotKnown) { // the next tick looks it up: a disk does not come back in less
		r.queue = append([]job{r.queue[0].again()}, r.queue[1:]...)
		s.says = fmt.Sprintf("Not known whether stored: %s. It is looked up again, and nothing else is stored before: %s", r.queue[0].label, oneLine(err))
	} else {
		again = r.opts.After(againAfter, againMsg{})
		s.says = fmt.Sprintf("%s not stored yet: %s has the log, waited for since %s", waits(len(r.queue)), holderOf(err), s.since.Format("15:04:05"))
	}
	r.stall = s
	return r, again
}

// goesOn tries once more what stalls.
func (r Root) goesOn() (Root, tea.Cmd) {
	switch {
	case r.unread:
		r.unread = false
		r.abroad++
		return r, r.load(r.log, true)
	case r.stall.says != "":
		return r.next()
	}
	return r, nil
}

// again is the job as one that was tried.
func (j job) again() job { j.tried = true; return j }

func waits(n int) string {
	if n == 1 {
		return "1 answer is"
	}
	return fmt.Sprintf("%d answers are", n)
}

// holderOf is who has the log, as far as that is known.
func holderOf(err error) string {
	var by interface{ Holder() string }
	if errors.As(err, &by) && by.Holder() != "" {
		return by.Holder()
	}
	return "another program"
}

// stallLines are what the strip says of the queue, in two rows at most.
func (r Root) stallLines() []string {
	var lines []string
	for _, says := range []string{r.stall.says, r.leavingLine()} {
		if says == "" {
			continue
		}
		rows := widget.Wrap(says, max(1, r.w-2))
		if len(rows) > 2 {
			rows = []string{rows[0], widget.Cut(rows[1]+"…", r.w-2)}
		}
		for _, row := range rows {
			lines = append(lines, " "+row)
		}
	}
	return lines
}

func (r Root) leavingLine() string {
	if !r.leaving || !r.underWay() {
		return ""
	}
	return "Leaving when all is stored. Ctrl+C once more leaves now, and says what is not."
}
