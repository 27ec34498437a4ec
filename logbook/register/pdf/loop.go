package pdf

import (
	"fmt"
	"strings"

	"coolhold/logbook/register"
)

// loop is flow, purge and fluid: what was read, what that comes to, and what was taken
// back.
func (d *doc) loop() {
	d.heading("Flow, purge and fluid", 15)
	if len(d.rep.Loop) == 0 {
		d.text("", 9, "No flow check, no purge and no filling is recorded.")
		return
	}
	d.text("", 9, "The newest of its kind in a section counts; of how it was left each thing stands until that thing is said anew. Flow is decided only where both legs of every other circuit were shut.")
	d.gap(1)
	t := d.grid(8, column{"when", 28}, column{"what was said", 78}, column{"what it comes to", 50}, column{"said by", 0})
	for _, l := range d.rep.Loop {
		t.row(l.When(), l.Said, loopComes(l), l.By)
	}
}

func loopComes(l register.LoopReading) string {
	switch {
	case l.Back != nil:
		return fmt.Sprintf("taken back by %s: %s", l.Back.By, l.Back.Why)
	case l.Left != nil:
		return leftComes(l)
	case !l.Newest:
		return "a newer one counts; this was: " + orNone(strings.Join(l.Comes, "; "))
	case len(l.Comes) == 0:
		return "nothing is missing in what was said"
	}
	return strings.Join(l.Comes, "; ")
}

// leftComes says what of how a section was left still stands.
func leftComes(l register.LoopReading) string {
	switch anew := strings.Join(l.Anew, ", "); {
	case !l.Stands():
		return "a newer one counts: all of it was said anew"
	case anew != "":
		return "a newer one counts of: " + anew + "; the rest stands until it is said anew"
	}
	return "stands until it is said anew"
}
