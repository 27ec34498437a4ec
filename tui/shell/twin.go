package shell

import (
	"fmt"
	"time"

	"github.com/charmbracelet/bubbletea"

	"coolhold/fusion"
	"coolhold/logbook"
	"coolhold/tui/widget"
)

// A TwinState is how the copy of the journal on another disk stands.
type TwinState struct {
	Trouble string    // what is wrong, in a few words; "": nothing, or there is no twin
	Since   time.Time // when it was last in step
	Behind  int       // entries that it lacks
	Brought int       // entries that it lacked when it was looked at for the first time, or came back
	Halts   bool      // nothing is stored for its sake
}

// twinEvery is how many ticks pass between two looks at the twin where nothing was
// stored; a stick that does not answer for so long is said.
const twinEvery = 5

// A twinWatch is what the root knows of the twin. It is asked in a command of its
// own that nothing waits for: no save, no key, not the end of the program.
type twinWatch struct {
	log   Log // whose twin it is
	state TwinState
	asked fusion.Stamp // zero: it is not being asked
	base  *logbook.Book
	idle  int // ticks since it was asked
}

type twinMsg struct {
	log   Log
	state TwinState
}

// followTwin asks the twin once more if it is due: something was stored, or a while
// went by. One that does not answer is not asked again.
func (r Root) followTwin() (Root, tea.Cmd) {
	if r.twin.log != r.log {
		r.twin = twinWatch{log: r.log}
	}
	r.twin.idle++
	if r.log == nil || r.opts.Outside.Twin == nil || r.aside || !r.twin.asked.IsZero() || r.twin.base == r.base && r.twin.idle < twinEvery {
		return r, nil
	}
	r.twin.asked, r.twin.base, r.twin.idle = r.now, r.base, 0
	log, ask := r.log, r.opts.Outside.Twin
	return r, func() tea.Msg { return twinMsg{log, ask(log)} }
}

// twinned takes how the twin stands.
func (r Root) twinned(msg twinMsg) (Root, tea.Cmd) {
	if msg.log != r.twin.log {
		return r, nil // another log was opened meanwhile
	}
	decided := r.twin.state.Halts && !msg.state.Halts
	r.twin.asked, r.twin.state = fusion.Stamp{}, msg.state
	if n := msg.state.Brought; n > 0 {
		r = r.banner(fmt.Sprintf("the twin was %s behind and is brought up", logbook.Count(n, "entry")), false)
	}
	if !decided || r.refused == "" {
		return r, nil
	}
	r.saves++
	return r.pay().next()
}

// twinLines are what the strip says of the twin: nothing while it is in step.
func (r Root) twinLines() []string {
	s := r.twin.state
	if !r.twin.asked.IsZero() && r.now.Boot-r.twin.asked.Boot >= twinEvery*time.Second {
		s.Trouble = "twin does not answer"
	}
	if s.Trouble == "" {
		return nil
	}
	line := s.Trouble
	if !s.Since.IsZero() {
		at, now := s.Since.In(r.now.Local().Location()), r.now.Local()
		layout := "15:04"
		if at.YearDay() != now.YearDay() || at.Year() != now.Year() {
			layout = "Mon 2 Jan 15:04"
		}
		line += " since " + at.Format(layout)
	}
	if s.Behind > 0 {
		line += ", " + logbook.Count(s.Behind, "entry") + " behind"
	}
	lines := widget.Wrap(line, max(1, r.w-2))
	for i := range lines {
		lines[i] = " " + lines[i]
	}
	return lines
}
