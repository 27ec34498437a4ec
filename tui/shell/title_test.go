package shell

import (
	"testing"

	"coolhold/logbook"
	"coolhold/logbook/ahead"
)

// A name out of a file gives the terminal no orders, and leaves room for the time.
func TestTheTitleGivesNoOrders(t *testing.T) {
	r := Root{book: logbook.NewBook("", 1)}
	r.view.site.Name = "\x1b]0;mine\a\u009b2J\u202e and a name that goes on for long"
	if got, want := r.windowTitle(), "·]0;mine··2J· and a name that…"; got != want {
		t.Errorf("the title is %q, want %q", got, want)
	}
	w := logbook.Weld{Joint: "3B\x1b[2J"}
	if got, want := titleOf(ahead.Running{Weld: w, Fusing: true, Known: true}, "site"), "3B·[2J FUSION ENDED – site"; got != want {
		t.Errorf("the title is %q, want %q", got, want)
	}
}
