package shell

import (
	"slices"

	tea "github.com/charmbracelet/bubbletea"

	"coolhold/logbook"
)

// An ask is something slow that a screen asked for. It begins once what was to be
// stored before it is; what is to be stored after it does not wait for it.
type ask struct {
	after string // the id of the act that was the last in the queue; "": it was empty
	begin func(Root) (Root, tea.Cmd)
}

// asked queues something slow.
func (r Root) asked(begin func(Root) (Root, tea.Cmd)) (Root, tea.Cmd) {
	a := ask{begin: begin}
	if n := len(r.queue); n > 0 {
		a.after = r.queue[n-1].id
	}
	r.asks = append(slices.Clone(r.asks), a)
	if r.fetching {
		r = r.banner("it begins once what is being made is done", false)
	}
	return r.nextAsk()
}

// nextAsk begins the first of what was asked for, if its turn has come: one at a
// time.
func (r Root) nextAsk() (Root, tea.Cmd) {
	if len(r.asks) == 0 || r.fetching {
		return r, nil
	}
	a := r.asks[0]
	if slices.ContainsFunc(r.queue, func(j job) bool { return a.after != "" && j.id == a.after }) {
		return r, nil
	}
	r.asks = slices.Clone(r.asks[1:])
	r, begun := a.begin(r)
	r, more := r.nextAsk()
	return r, tea.Batch(begun, more)
}

type fetchedMsg struct {
	line string
	book *logbook.Book
	view derived
	at   int // saves when it began
	err  error
}

// fetch runs something slow on the log and reads the log again: it may have been
// written to.
func (r Root) fetch(run func(Log) (string, error)) (Root, tea.Cmd) {
	if r.log == nil {
		return r.nextAsk()
	}
	log, site, at, now, beat := r.log, r.site, r.saves, r.now, r.beat
	r.fetching = true
	return r, func() tea.Msg {
		line, err := run(log)
		if err != nil {
			return fetchedMsg{err: err}
		}
		book, err := read(log, site)
		return fetchedMsg{line, book, derive(book, site, now, beat), at, err}
	}
}

// fetched says what came of it and goes on with what was asked for.
func (r Root) fetched(msg fetchedMsg) (Root, tea.Cmd) {
	r.fetching = false
	var reload tea.Cmd
	switch {
	case msg.err != nil:
		r.leaving, r.aside = false, false
		r = r.banner(oneLine(msg.err), true)
	case msg.line != "":
		r = r.notice(msg.line)
	}
	switch {
	case msg.err != nil || len(r.queue) > 0: // what is stored next is read with the log
	case msg.at == r.saves:
		r = r.rebook(msg.book, msg.view)
	default:
		r.abroad++
		reload = r.load(r.log, false)
	}
	if r.leaving && !r.underWay() {
		return r, tea.Quit
	}
	r, cmd := r.nextAsk()
	return r, tea.Batch(reload, cmd)
}
