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
	if len(foot) > r.footRows() || !strings.HasSuffix(strings.Join(foot, "\n"), " "+Help.Help().Desc) {
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
	page := strings.Join(keyLines(keys, env), "\n")
	for _, b := range keys {
		if b.Keys() != nil && (b.Help().Desc == "" || !strings.Contains(page, shownWhole(b))) {
			wrong = append(wrong, "nothing says what this key does: "+b.Help().Key)
		}
	}
	return wrong
}

// Offered are the keys that the top screen names and that have something to act on, and
// About what its page says of it. They are for a driver that tries every screen.
func (r Root) Offered() (keys []string) {
	if len(r.stack) == 0 {
		return nil
	}
	for _, b := range r.top().Keys(r.env()) {
		if b.Enabled() {
			keys = append(keys, b.Keys()...)
		}
	}
	return keys
}

// About is what the page of the top screen says of it.
func (r Root) About() About {
	if len(r.stack) == 0 {
		return About{}
	}
	return aboutOf(r.top(), r.env())
}
