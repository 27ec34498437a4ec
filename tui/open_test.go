package tui

import (
	"strings"
	"testing"

	"coolhold/logbook"
	"coolhold/logbook/acts"
	"coolhold/logbook/crew"
	"coolhold/logbook/plan"
)

// happens records what happened later of a joint, a circuit or the whole site.
func (l *memLog) happens(t testing.TB, what logbook.Happening, joint string, circuit int) {
	t.Helper()
	l.does(t, func(h acts.Head) acts.Act {
		return acts.Happen(h, joint, logbook.Happened{What: what, On: "2026-03-09", Circuit: circuit, Text: "as told"})
	})
}

// A loss of pressure stands first on the board, in its list and its drawing, and
// on the pages for covering, until the same thing is repaired.
func TestALossStandsFirst(t *testing.T) {
	for _, size := range [][2]int{{80, 24}, {60, 20}, {120, 40}} {
		log := exampleAt(t, monday)
		log.happens(t, logbook.PressureLost, "", 3)
		log.happens(t, logbook.Repaired, "5A", 0)
		d := drive(t, log, monday, size[0], size[1])
		d.sees("Pressure lost, no repair recorded: circuit 3 of", "Pressure test: none is forecast before a repair.")
		d.lacks("test from")
		d.keys("7")
		d.sees("Pressure lost, no repair recorded: circuit 3 of")
		d.keys("7", "9", "4")
		d.sees("Covering with ground", "Pressure lost, no repair recorded: circuit 3 of")
		d.keys("enter")
		d.sees("Covering chamber A", "Pressure lost, no repair recorded: circuit 3 of")
		log.happens(t, logbook.Repaired, "", 3)
		d = drive(t, log, monday, size[0], size[1])
		d.lacks("Pressure lost")
		d.sees("Pressure test: after the cut-outs: FG.")
	}
}

// The joints of the circuit that lost pressure say so in their rows; a loss of
// the whole site is said once, above them.
func TestTheRowsOfALoss(t *testing.T) {
	log := exampleAt(t, monday)
	log.happens(t, logbook.PressureLost, "", 2)
	d := drive(t, log, monday, 80, 24)
	if n := strings.Count(d.frame(), "pressure lo"); n != 2 {
		t.Errorf("%d rows say it, want 2A and 2B:\n%s", n, d.frame())
	}
	log.happens(t, logbook.Repaired, "", 2)
	log.happens(t, logbook.PressureLost, "", 0)
	d = drive(t, log, monday, 80, 24)
	d.sees("Pressure lost, no repair recorded: the whole site on 9 Mar 2026.")
	d.lacks("pressure lo")
}

// An open joint under the ground says so in its row, is offered last, and with
// the word.
func TestACoveredJointIsOfferedLast(t *testing.T) {
	log := exampleAt(t, monday)
	log.does(t, func(h acts.Head) acts.Act {
		return crew.Raw(h, "", "", logbook.Covered{Section: "run A/FG", Missing: []string{"E1"}})
	})
	d := drive(t, log, monday, 120, 40)
	row := func(label string) string {
		for _, l := range strings.Split(d.frame(), "\n") {
			if strings.HasPrefix(strings.TrimLeft(l, " ▸"), label+" ") {
				return l
			}
		}
		return ""
	}
	if !strings.Contains(row("E1"), "covered") || strings.Contains(row("3B"), "covered") {
		t.Errorf("rows %q, %q", row("E1"), row("3B"))
	}
	d.keys("6", "2")
	d.sees("covered: dig it up", "without E1: covered: dig it up")
	if strings.Index(d.frame(), "  3B ") > strings.Index(d.frame(), "  E1 ") {
		t.Errorf("E1 is not last:\n%s", d.frame())
	}
	d.keys("esc")
	for _, label := range []string{"3B", "4B", "5B", "FG"} {
		log.does(t, func(h acts.Head) acts.Act {
			if j, _ := log.Memory.Book.Joint(h.Site, label); j.Stands != "" {
				return acts.Cut(h, j.Stands, "failed")
			}
			return acts.StrikeJoint(h, label, "not needed")
		})
	}
	log.does(t, func(h acts.Head) acts.Act { return acts.StrikeJoint(h, "FG", "not needed") })
	d = drive(t, log, monday, 80, 24)
	d.sees("Next: E1, elbow 63, covered: dig it up: key 1.")
	d.keys("enter")
	d.sees("Covered while open: dig it up first. run A/FG is said to be covered.")
}

// Labels of one beginning stay two joints in every list.
func TestLongLabelsAreNotCutAlike(t *testing.T) {
	log := bigSite(t, 2)
	for _, leg := range []string{"A", "B"} {
		log.does(t, func(h acts.Head) acts.Act {
			return acts.AddJoint(h, plan.Joint{Label: "North-10" + leg, Fitting: "reducer 40x32", Chamber: "A"}, "forgotten")
		})
	}
	for _, size := range [][2]int{{80, 24}, {60, 20}} {
		d := drive(t, log, monday, size[0], size[1])
		d.keys("pgdown")
		d.sees("North-10A ", "North-10B ")
		d.keys("6", "2", "pgdown")
		d.sees("North-10A ", "North-10B ")
		d.keys("esc", "9", "4", "enter", "pgdown")
		d.sees("North-10A ", "North-10B ")
	}
}

// Sixty joints without times are not one endless line.
func TestManyJointsWithoutTimes(t *testing.T) {
	log := bigSite(t, 5)
	d := drive(t, log, monday, 80, 24)
	d.keys("6", "2")
	d.sees("without 12 joints (1A, 2A, 3A, 4A …): no times", "no ambient temperature is known")
	if strings.Contains(d.frame(), "without 1A, 2A") {
		t.Error(d.frame())
	}
}

// What was found at the start stands on the first screen, and on the board until
// a key is struck.
func TestTheNoticeOfTheStart(t *testing.T) {
	const notice = "A journal of 12 entries lies beside my.log, but no log: coolhold restore"
	for _, log := range []*memLog{nil, exampleAt(t, monday)} {
		d := drive(t, nil, monday, 60, 20)
		o := d.options()
		o.Notice = notice
		if log != nil {
			o.Log = log
		}
		d.begin(o)
		flat := strings.Join(strings.Fields(d.frame()), " ")
		if !strings.Contains(flat, notice) {
			t.Errorf("the notice is not shown:\n%s", d.frame())
		}
		d.keys("down")
		if shown := strings.Contains(d.frame(), "A journal of 12"); shown != (log == nil) {
			t.Errorf("after a key, with a log %v, it is shown %v", log != nil, shown)
		}
	}
}
