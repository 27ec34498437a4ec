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

// Untold is what is wrong with the keys of the top screen: a foot without the key to
// the page of all keys, a foot that is cut, a key that nothing says the use of. It is
// for a driver.
func (r Root) Untold() []string {
	if r.w < MinWidth || r.h < MinHeight || len(r.stack) == 0 {
		return nil
	}
	var wrong []string
	env := r.env()
	foot := r.footLines(env)
	if len(foot) > footRows || !strings.HasSuffix(strings.Join(foot, "\n"), " "+Help.Help().Desc) {
		wrong = append(wrong, "the foot does not end with the key to all keys")
	}
	for _, l := range foot {
		if widget.Width(l) > r.w || strings.Contains(l, "…") {
			wrong = append(wrong, "the foot is cut: "+l)
		}
	}
	keys := r.top().Keys(env)
	if len(keys) == 0 {
		wrong = append(wrong, "the screen has no keys")
	}
	page := strings.Join(keyLines(keys, r.w), "\n")
	for _, b := range keys {
		if b.Keys() != nil && (b.Help().Desc == "" || !strings.Contains(page, shownWhole(b))) {
			wrong = append(wrong, "nothing says what this key does: "+b.Help().Key)
		}
	}
	return wrong
}
