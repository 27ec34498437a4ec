package tui

import (
	"testing"

	"coolhold/tui/shell"
)

const code24 = "123456789012345678901234"

// open pushes a screen as a key of the board would.
func (d *driver) open(s shell.Screen) {
	d.t.Helper()
	d.m = d.m.(shell.Root).With(s)
	d.check()
}

func TestACodeIsTaughtAndRecalled(t *testing.T) {
	log := exampleAt(t, monday)
	d := drive(t, log, monday, 80, 24)
	d.open(newCodes())
	d.sees("No code was scanned yet")
	d.scan("4006381333931")
	d.sees("no code of a fitting type")
	d.keys("esc", "1", "enter") // the next joint's walk
	d.sees("step 1 of 9: fitting")
	d.scan(code24)
	d.sees(code24 + "  (kept as scanned)")
	d.keys("enter")
	d.sees("press a digit") // nothing is offered beside a code that is not known
	d.keys("1", "esc")
	d.open(newCodes())
	d.sees("NOT taught; scanned with elbow 63")
	d.keys("1", "enter")
	d.sees("press a digit")
	d.keys("3")
	d.text("Ona Brill")
	d.sees("taught as elbow 63 by Ona Brill")
}

// A code that was taught as another fitting than the plan's stops the walk; it
// can be taught anew only with a reason.
func TestAWrongCodeStopsTheWalk(t *testing.T) {
	log := exampleAt(t, monday)
	d := drive(t, log, monday, 80, 24)
	d.open(newCodes())
	d.scan(code24)
	d.keys("1")
	d.text("Ona Brill")
	d.sees("taught as coupler 40 by Ona Brill")
	d.keys("esc", "1", "enter")
	d.scan(code24)
	d.sees("STOPPED: the code is taught as coupler 40, but the plan says elbow 63")
	d.lacks("taught as coupler 40)")
	d.keys("esc")
	d.open(newCodes())
	d.keys("1", "3")
	d.sees("why it is another fitting now")
	d.text("read off the wrong bag")
	d.text("Ona Brill")
	d.sees("taught as elbow 63 by Ona Brill")
	d.keys("esc", "1")
	d.scan(code24)
	d.sees("step 1 of 9: fitting", "fitting                    elbow 63  (scanned)", "taught as elbow 63")
	d.keys("enter")
	d.sees("fitting                   elbow 63", "batch of the fitting")
}
