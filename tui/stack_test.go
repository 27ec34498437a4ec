package tui

import (
	"strings"
	"testing"
	"time"
)

// The list of what runs, the walk of a weld and the end of a hold stand on the stack
// once each, however often → and Enter are pressed: a few Esc lead back to the board.
func TestWhatRunsIsNotStacked(t *testing.T) {
	d := drive(t, exampleAt(t, monday), monday, 80, 24)
	board := d.frame()
	escapes := func(most int) {
		t.Helper()
		for range most {
			d.keys("esc")
		}
		if d.frame() != board {
			t.Fatalf("%d Esc do not lead back to the board:\n%s", most, d.frame())
		}
	}
	d.keys("right")
	list := d.frame()
	if !strings.Contains(list, "What runs and what waits") || strings.Contains(list, "→ runs") {
		t.Errorf("the list:\n%s", list)
	}
	for range 5 {
		d.keys("right")
	}
	if d.frame() != list {
		t.Errorf("→ in the list shows something else:\n%s", d.frame())
	}
	escapes(1)
	for range 5 { // the list, the end of the hold, the list again …
		d.keys("right", "1")
		d.sees("▸ the hold")
	}
	escapes(2)
}

// → on the walk whose fusion has ended opens no second one over what is typed there.
func TestAnEndedFusionIsOpenedOnce(t *testing.T) {
	d := drive(t, exampleAt(t, monday), monday, 80, 24)
	d.toStart("89")
	d.keys("1", "esc")
	d.sees("joints open.")
	d.pass(2 * time.Minute)
	d.sees("E1 FUSION ENDED: →")
	for range 5 {
		d.keys("right")
	}
	d.sees("how the fusion ended")
	d.keys("esc")
	d.sees("joints open.")
}
