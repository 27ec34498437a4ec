package shell

import (
	"slices"

	"coolhold/logbook"
	"coolhold/tui/widget"
)

// wrongRows are the most rows that what is wrong with the log's files takes, so
// that the screen keeps its place in the smallest window.
const wrongRows = 3

// hear takes what came up about the log's files. It stands above what runs until
// the program ends: Esc takes an error away that was read, not this.
func (r Root) hear() Root {
	if r.opts.Outside.News == nil {
		return r
	}
	for _, line := range r.opts.Outside.News() {
		r.wrong = append(slices.Clone(r.wrong), logbook.Clean(line))
	}
	return r
}

// wrongLines are the rows of what is wrong: the newest whole, of older ones that they
// are there.
func (r Root) wrongLines() []string {
	if len(r.wrong) == 0 {
		return nil
	}
	text := r.wrong[len(r.wrong)-1]
	if n := len(r.wrong) - 1; n > 0 {
		text += " (and " + logbook.Count(n, "line") + " before it: coolhold verify)"
	}
	rows := widget.Wrap(text, max(1, r.w-2))
	if len(rows) > wrongRows {
		rows = append(rows[:wrongRows-1], widget.Cut(rows[wrongRows-1]+"…", r.w-2))
	}
	for i, row := range rows {
		rows[i] = r.style.Alarm(widget.Pad(" "+row, r.w))
	}
	return rows
}
