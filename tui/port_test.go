package tui

import (
	"fmt"
	"strings"
	"testing"

	"coolhold/logbook"
	"coolhold/logbook/acts"
)

// bigSite is an invented site of one chamber A with so many circuits.
func bigSite(t testing.TB, n int) *memLog {
	t.Helper()
	return siteOf(t, n, "A")
}

// siteOf is an invented site of these chambers with n circuits each, leg A of
// circuit i on port i and leg B on port n+i, tapes in turn; its shift is open.
func siteOf(t testing.TB, n int, chambers ...string) *memLog {
	t.Helper()
	table := fileOf(t, "tables/valley.toml").Text
	var p strings.Builder
	p.WriteString("site = \"Copse\"\nclient = \"N. Body\"\nfirm = \"No Such Firm\"\naddress = \"Nowhere\"\n")
	for _, name := range chambers {
		fmt.Fprintf(&p, "[[chamber]]\nname = %q\n", name)
		for i := 1; i <= n; i++ {
			fmt.Fprintf(&p, "[[chamber.ports]]\nno = %d\nrow = \"low\"\nbar = \"from ground\"\n", i)
			fmt.Fprintf(&p, "[[chamber.ports]]\nno = %d\nrow = \"high\"\nbar = \"to ground\"\n", n+i)
		}
		for i := 1; i <= n; i++ {
			fmt.Fprintf(&p, "[[chamber.circuit]]\nno = %d\nod_mm = 32\nsdr = 11\nlength_m = 200\nports = [%d, %d]\nfitting = \"reducer 40x32\"\ntape = %q\n", i, i, n+i, []string{"red", "blue"}[i%2])
		}
		for _, way := range []string{"from ground", "to ground"} {
			fmt.Fprintf(&p, "[[chamber.header]]\nway = %q\nod_mm = 90\nsdr = 11\nlength_m = 14\nfitting = \"coupler 90\"\n", way)
		}
	}
	c := ona(t)
	c.Opens(p.String(), table)
	c.Do(acts.ReadBack(c.H, logbook.Hash(table)), acts.StartShift(c.H, logbook.ShiftStarted{
		Day: "2026-03-09", Operators: []logbook.Operator{{Name: "Ona Brill", Mark: "OB"}},
		Units: []logbook.Unit{{Serial: "CU-1", Corrects: logbook.No}}, Weather: logbook.Weather{Sky: "dry", Shelter: "none"},
	}))
	return logOf(c.Memory)
}

// does appends an act to a log as another program would.
func (l *memLog) does(t testing.TB, act func(acts.Head) acts.Act) {
	t.Helper()
	site := l.Memory.Book.Sites()[0].ID
	if _, err := l.Append(t.Context(), act(acts.Head{ID: fmt.Sprint("other ", len(l.Entries)), At: monday, By: "Ona Brill", Site: site})); err != nil {
		t.Fatal(err)
	}
}

// fourLoops is an invented site of four circuits whose low row is welded.
func fourLoops(t *testing.T) *memLog {
	t.Helper()
	log := bigSite(t, 4)
	fillLegs(t, log, 4)
	return log
}

// toPort takes the walk of 4B up to the question of its port.
func (d *driver) toPort() {
	d.t.Helper()
	d.choose("4B")
	d.keys("enter", "1")
	d.sees("step 1 of 9: fitting", "red tape")
	d.keys("enter")
	d.sees("port this leg goes to", "4  port 4: low row, from ground", "8  port 8: high row, to ground   planned")
}

func TestThePortIsAskedAndStops(t *testing.T) {
	for _, size := range [][2]int{{80, 24}, {60, 20}, {120, 40}} {
		log := fourLoops(t)
		d := drive(t, log, monday, size[0], size[1])
		d.toPort()
		d.keys("enter")
		d.sees("press a digit") // nothing is offered
		d.keys("4")
		d.sees("STOPPED: port 4 has leg 4A already (KM-0004)", "port this leg goes to")
		w, _ := log.Memory.Book.Weld(log.Memory.Book.Sites()[0].ID, "KM-0005")
		if n := len(w.Stops); n != 1 || w.Stops[0].Tried != "port 4" || w.Answers[logbook.ItemPort].V != "" {
			t.Errorf("kept as %+v, %+v", w.Stops, w.Answers)
		}
		d.keys("8")
		d.sees("print on the pipe", "port                      8")
		d.lacks("STOPPED")
		d.lacks("where the plan has")
	}
}

// On another port of the right bar it goes on and says so; the query follows.
func TestAnotherPortOfTheRightBarGoesOn(t *testing.T) {
	d := drive(t, fourLoops(t), monday, 80, 24)
	d.toPort()
	d.keys("6")
	d.sees("Port 6, where the plan has port 8 for 4B", "the foreman is asked", "print on the pipe", "port 6, plan 8")
}

// With more than nine ports a digit could not choose each: the number is typed.
func TestAPortBeyondTheDigitsIsTyped(t *testing.T) {
	d := drive(t, bigSite(t, 6), monday, 80, 24)
	d.keys("1")
	d.sees("1A   KM-0001", "blue tape")
	d.keys("enter")
	d.sees("number of the port this leg goes to", "The plan says port 1, low row, from")
	d.text("13")
	d.sees("chamber A has no port 13; its ports are 1…12")
	d.text("12")
	d.sees("STOPPED: port 7 is planned for", "ends are changed")
	d.text("1")
	d.sees("batch of the fitting")
}

// The board's row says the port that a leg is on, not the plan's.
func TestTheRowSaysTheOtherPort(t *testing.T) {
	log := exampleAt(t, monday)
	log.does(t, func(h acts.Head) acts.Act {
		return acts.Correct(h, "KM-0001", logbook.ItemPort, "2", "looked at in the chamber")
	})
	d := drive(t, log, monday, 80, 24)
	d.sees("at 2, not 1")
	d.lacks("low 1 ")
}
