package tui

import (
	"strings"
	"testing"

	"coolhold/logbook/acts"
	"coolhold/logbook/audit"
)

// inFull tells whether the whole text stands on the screen, however it is wrapped.
func (d *driver) inFull(text string) bool {
	d.t.Helper()
	return strings.Contains(strings.Join(strings.Fields(d.frame()), " "), strings.Join(strings.Fields(text), " "))
}

// longReason is longer than two lines of a narrow window.
const longReason = "the indicator beside the lower terminal stayed flat, the clamp stood on frozen mud and slid, the lead was pulled by the shovel, and the display went dark for as long as nobody counted: seen by two"

// longLog is the example with a weld whose end says more than a column holds.
func longLog(t testing.TB) *memLog {
	t.Helper()
	log := exampleAt(t, monday)
	log.does(t, func(h acts.Head) acts.Act { h.By = "Ona Brill"; return acts.Cut(h, "KM-0006", longReason) })
	return log
}

// What a line of the day says is read in full where the window is wide, and of the
// chosen one under the list where it is not.
func TestFindingsOfADayAreReadInFull(t *testing.T) {
	for _, size := range [][2]int{{60, 20}, {80, 24}, {100, 30}, {120, 40}, {200, 60}} {
		d := drive(t, longLog(t), monday, size[0], size[1])
		d.keys("9", "1")
		for range 20 {
			if d.inFull(longReason) {
				break
			}
			d.keys("down")
		}
		if !d.inFull(longReason) {
			t.Errorf("%v: not read in full:\n%s", size, d.frame())
		}
	}
}

// In a wide window nothing of a finding is cut on the day and on the board, and no key
// is needed for it.
func TestAWideWindowCutsNoFinding(t *testing.T) {
	d := drive(t, longLog(t), monday, 120, 40)
	if strings.Contains(d.frame(), "…") {
		t.Errorf("the board is cut:\n%s", d.frame())
	}
	d.keys("9", "1")
	if strings.Contains(d.frame(), "…") || !d.inFull("frozen mud") {
		t.Errorf("the day is cut:\n%s", d.frame())
	}
}

// One key from the board the findings of a joint are read in full.
func TestFindingsOfAJointAreReadInFull(t *testing.T) {
	log := exampleAt(t, monday)
	d := drive(t, log, monday, 60, 20)
	says := audit.Run(log.Memory.Book, log.Memory.Book.Sites()[0].ID, monday, monday).OfWeld("KM-0008")[0].Says
	d.choose("FG ")
	if strings.Contains(d.frame(), says) {
		t.Fatalf("it stands on the board already:\n%s", d.frame())
	}
	d.keys("enter")
	if !d.inFull(says) {
		t.Errorf("%q is not on the screen:\n%s", says, d.frame())
	}
}
