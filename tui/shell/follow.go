package shell

import (
	"fmt"
	"strings"

	tea "github.com/charmbracelet/bubbletea"

	"coolhold/logbook"
)

// followed runs something slow, then reads the log it returned.
func followed(f follow) tea.Cmd {
	return func() tea.Msg {
		log, err := f.run()
		if err != nil {
			return followMsg{err: err}
		}
		book, err := read(log, "")
		return followMsg{log, book, err}
	}
}

type followMsg struct {
	log  Log
	book *logbook.Book
	err  error
}

// following takes up a log that was opened on behalf of a screen. Where that
// is another one, the screens start anew.
func (r Root) following(msg followMsg) (Root, tea.Cmd) {
	if msg.err != nil {
		faults := strings.Split(msg.err.Error(), "\n")
		for _, f := range faults[:min(2, len(faults))] {
			r = r.banner(logbook.Clean(f), true)
		}
		if n := len(faults) - 2; n > 0 {
			r = r.banner(fmt.Sprintf("and %d more faults: coolhold plan check, coolhold table check", n), true)
		}
		return r, nil
	}
	other := r.log == nil || r.log.Path() != msg.log.Path()
	if other {
		r.site = ""
	}
	r.log = msg.log
	r = r.rebook(msg.book)
	if other {
		r.lines = nil
		r.stack = []Screen{r.opts.Start(r.env())}
	}
	return r, nil
}
