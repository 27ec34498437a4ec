package tui

import (
	"strings"
	"testing"
	"time"

	"coolhold/logbook/acts"
)

// What another program stores moves the rows of a list, never the cursor.
func TestTheCursorOfTheCodesFollowsACode(t *testing.T) {
	log := exampleAt(t, monday)
	d := drive(t, log, monday, 80, 24)
	d.keys("1", "enter", "esc")
	d.open(newCodes())
	const second, third = "223456789012345678901234", "323456789012345678901234"
	for _, code := range []string{code24, second} {
		d.scan(code)
		d.keys("3")
		d.text("Ona Brill")
	}
	d.keys("down")
	if !chosenIs(d.frame(), second) {
		t.Fatalf("the second code is not chosen:\n%s", d.frame())
	}
	log.does(t, func(h acts.Head) acts.Act { return acts.ScanCode(h, "KM-0011", third) })
	for range 10 {
		d.pass(time.Second)
	}
	d.sees(third + "  NOT taught")
	if !chosenIs(d.frame(), second) {
		t.Errorf("the cursor is elsewhere:\n%s", d.frame())
	}
}

// What is recorded at a joint is read to its end, and from there one key goes up.
func TestAJointIsReadToItsEnd(t *testing.T) {
	d := drive(t, exampleAt(t, monday), monday, 80, 24)
	d.choose("1A ")
	d.keys("enter")
	d.sees("more: ↓")
	for range 120 {
		d.keys("down")
	}
	d.lacks("more: ↓")
	end := d.frame()
	d.keys("up")
	d.sees("2 more: ↓")
	d.keys("pgdown")
	if d.frame() != end {
		t.Errorf("the end is another:\n%s", d.frame())
	}
}

// The end-of-shift check shows every weld, also where they are more than the window holds.
func TestALongRoundIsSeenToItsEnd(t *testing.T) {
	log := siteOf(t, 4, "North", "South", "East", "West", "Pond")
	made := fillLegs(t, log, 20)
	d := drive(t, log, monday, 80, 20)
	d.keys("3", "esc")
	d.sees("End-of-shift check 2026-03-09", "20 to feel and look at", "more: ↓", "9: close the shift")
	seen := d.frame()
	for range made {
		d.keys("down")
		seen += d.frame()
	}
	for _, label := range made {
		if !strings.Contains(seen, label+" ") {
			t.Errorf("%s was never on the screen:\n%s", label, d.frame())
		}
	}
}
