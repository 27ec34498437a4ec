package tui

import (
	"strings"
	"testing"
	"time"

	"coolhold/logbook"
	"coolhold/logbook/acts"
	"coolhold/logbook/crew"
)

// underTest is the worked example with a test of circuit 1 that began a moment ago.
func underTest(t *testing.T) *driver {
	t.Helper()
	log := exampleAt(t, monday)
	h := acts.Head{ID: "pressing", At: monday, By: "Hedda Roan", Site: log.Memory.Book.Sites()[0].ID}
	begun := acts.BeginPressure(h, monday, crew.Pressing(logbook.SectionID{Chamber: "A", Circuit: 1}))
	h.ID = "reached"
	for _, act := range []acts.Act{begun, acts.ReadPressure(h, logbook.PhaseHold, logbook.PressureRead{Test: "KM-P1", Bar: new(6.1)})} {
		if _, err := log.Append(t.Context(), act); err != nil {
			t.Fatal(err)
		}
	}
	return drive(t, log, monday, 80, 24)
}

// A pressure test that goes on is on every screen as a hold is: how long it runs, that the
// gauge is to be read, with a bell, and that it was read and is not ended. → leads to it.
func TestAPressureTestIsOnTheStrip(t *testing.T) {
	d := underTest(t)
	d.sees("2B hold", "KM-P1 circuit 1 test 30:00")
	d.keys("right")
	d.sees("What runs and what waits", "1  2B", "2  KM-P1 circuit 1 test 30:00", "to 09:30:00")
	d.keys("2")
	d.sees("Pressure test KM-P1 of circuit 1", "30:00 left of 30 min")
	d.keys("esc", "esc")
	d.pass(20 * time.Minute)
	d.sees("KM-P1 circuit 1 test 10:00", "2B: its hold is over")
	bells := d.bells
	d.pass(11 * time.Minute)
	d.pass(time.Second)
	if d.bells != bells+1 {
		t.Errorf("%d bells as the time of the test is over", d.bells-bells)
	}
	d.sees("KM-P1 circuit 1: read the gauge →")
	d.keys("right", "1", "0", "1", "esc") // first what is held
	d.sees("Pressure test KM-P1, circuit 1: its time is over. Read the gauge: →")
	d.keys("7", "right") // over the drawing too, where → moves else
	d.sees("1  KM-P1 circuit 1: read the gauge")
	d.keys("enter", "1")
	d.text("6.05")
	d.keys("enter")
	d.sees("KM-P1 circuit 1 read, not ended", "End the test: key 3.")
	d.keys("3", "1", "1")
	d.text("0")
	d.keys("enter")
	d.lacks("not ended")
	d.keys("esc")
	d.sees("Nothing. Esc goes back.")
}

// What closes the shift is told of a test that goes on.
func TestAShiftIsClosedUnderTest(t *testing.T) {
	d := underTest(t)
	d.keys("3", "9")
	d.reads("Under pressure, and its test not ended: KM-P1 of circuit 1 of chamber A. Say first how it ended: →")
}

// A few letters find a test, as a weld.
func TestATestIsFound(t *testing.T) {
	d := underTest(t)
	for _, letters := range []string{"p1", "pressure test of", "9 march"} {
		d.keys("/")
		for _, r := range letters {
			d.keys(string(r))
		}
		if !chosenIs(d.frame(), "test   KM-P1, pressure test of circuit 1, 9 March") {
			t.Fatalf("%q finds\n%s", letters, d.frame())
		}
		d.keys("enter")
		d.sees("Pressure test KM-P1 of circuit 1")
		d.keys("esc")
		if !strings.Contains(d.frame(), "joints open.") {
			t.Errorf("one Esc does not lead back to the board:\n%s", d.frame())
		}
	}
}
