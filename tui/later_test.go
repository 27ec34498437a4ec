package tui

import (
	"slices"
	"testing"

	"coolhold/logbook"
	"coolhold/tui/form"
)

// enterLater fills the form for E1, an elbow 63, as an operator who comes back
// from the trench.
func (d *driver) enterLater(ambient, cooling, seconds string) {
	d.t.Helper()
	d.keys("4")
	d.sees("A weld made without the laptop")
	d.keys("enter")
	d.sees("press a digit") // which joint is nobody's guess
	for range 9 {
		d.keys("down")
		if f := d.frame(); len(f) > 0 && chosenIs(f, "E1") {
			break
		}
	}
	d.keys("enter")
	for range 9 {
		d.keys("down")
		if chosenIs(d.frame(), "elbow 63") {
			break
		}
	}
	d.keys("enter", "enter", "enter", "enter", "enter")
	d.sees("▸ preparation")
	d.keys("1", "1")
	d.text(ambient)
	if cooling != "" {
		d.sees("The table has no band for that temperature")
		d.text(cooling)
	}
	d.keys("1")
	d.text(seconds)
	d.text("39.5")
	d.text("0")
	d.text("08:40")
	d.keys("1")
	d.text(seconds)
	d.keys("1", "1", "1", "1", "1")
	d.sees("the hold counts")
	d.keys("1")
	d.text("laptop in the van")
}

func TestWhatTheWalkStopsIsEnteredLaterAsAFact(t *testing.T) {
	for _, c := range []struct {
		name, ambient, cooling, seconds, state, finding string
		hold                                            string
	}{
		{"a time unlike the table", "9", "", "98", "fail", "fail: KM-0011: the unit shows 98 s", "12:00"},
		{"an ambient outside it", "45", "15", "81", "hold", "query: KM-0011 was fused at 45 °C, outside", "15:00"},
	} {
		t.Run(c.name, func(t *testing.T) {
			log := exampleAt(t, monday)
			d := drive(t, log, monday, 120, 40)
			d.enterLater(c.ambient, c.cooling, c.seconds)
			d.sees("E1 hold " + c.hold)
			w, ok := log.Memory.Book.Weld(log.Memory.Book.Sites()[0].ID, "KM-0011")
			if !ok || w.LateWhy != "laptop in the van" || w.Answers["scraped"].How != logbook.Later {
				t.Fatalf("stored as %+v", w)
			}
			for !chosenIs(d.frame(), "E1") {
				d.keys("down")
			}
			d.keys("enter")
			d.sees("E1   elbow 63   "+c.state, c.finding, "was entered later")
		})
	}
}

// A leg's port is asked; that of an elbow in the trench is not.
func TestALaterLegSaysItsPort(t *testing.T) {
	log := exampleAt(t, monday)
	d := drive(t, log, monday, 80, 24)
	d.keys("4")
	for range 9 {
		d.keys("down")
		if chosenIs(d.frame(), "3B") {
			break
		}
	}
	d.keys("enter", "down", "enter", "enter", "enter")
	d.sees("▸ port the leg went to", "↓ not known")
	d.text("8")
	d.sees("who welded")
	given := logbook.Answer{Item: logbook.ItemPort, V: "8", How: logbook.Typed}
	for _, tt := range []struct {
		v    string
		want bool
	}{{"8", true}, {"", false}} {
		given.V = tt.v
		has := slices.ContainsFunc(lateOf(form.Answers{logbook.ItemPort: given}).Answers, func(a logbook.Answer) bool { return a.Item == logbook.ItemPort })
		if has != tt.want {
			t.Errorf("port %s is an answer: %v", tt.v, has)
		}
	}
}
