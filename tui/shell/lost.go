package shell

import (
	"strings"

	"coolhold/tui/widget"
)

// Lost is what the window would take away unsaid: words that are wider than it,
// or lie below what it shows. It is for a driver: in a window that is large
// enough nothing is lost.
func (r Root) Lost() []string {
	if r.w < MinWidth || r.h < MinHeight || len(r.stack) == 0 {
		return nil
	}
	env := r.env()
	head, foot := r.head(env), r.footLines(env)
	env.H -= len(foot)
	lost := widget.Lost(strings.Join(append(head, foot...), "\n"), r.w, r.h-1)
	return append(lost, widget.Lost(r.top().View(env), r.w, env.H)...)
}
