package shell

import (
	"slices"

	tea "github.com/charmbracelet/bubbletea"

	"coolhold/logbook"
)

type fetchedMsg struct {
	line string
	book *logbook.Book
	err  error
}

// fetch runs what was asked for once all acts are stored, one at a time, and
// reads the log again: it may have been written to.
func (r Root) fetch() (Root, tea.Cmd) {
	if len(r.fetches) == 0 || r.log == nil {
		return r, nil
	}
	run, log, site := r.fetches[0], r.log, r.site
	r.fetches = slices.Clone(r.fetches[1:])
	r.busy = true
	return r, func() tea.Msg {
		line, err := run(log)
		if err != nil {
			return fetchedMsg{err: err}
		}
		book, err := read(log, site)
		return fetchedMsg{line, book, err}
	}
}

// fetched says what came of it and goes on with the queue.
func (r Root) fetched(msg fetchedMsg) (Root, tea.Cmd) {
	r.busy = false
	if msg.err != nil {
		r.leaving, r.aside = false, false
		r = r.banner(oneLine(msg.err), true)
		return r.next()
	}
	if msg.line != "" {
		r = r.banner(msg.line, true)
	}
	if len(r.queue) == 0 {
		r = r.rebook(msg.book)
	}
	if r.leaving && !r.underWay() {
		return r, tea.Quit
	}
	return r.next()
}
