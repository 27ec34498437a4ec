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

// The walk whose fusion has ended is opened once, however often it is gone to.
func TestAnEndedFusionIsOpenedOnce(t *testing.T) {
	d := drive(t, exampleAt(t, monday), monday, 80, 24)
	d.toStart("89")
	d.keys("1", "esc")
	d.sees("joints open.")
	d.pass(2 * time.Minute)
	d.sees("E1 FUSION ENDED: →")
	for range 5 {
		d.keys("right", "enter")
		d.sees("how the fusion ended")
	}
	d.keys("esc")
	d.sees("joints open.")
}

// A digit struck right behind → never answers for a fusion that ended just then: it means
// what it meant in the list a moment before, and the mark stands on the fusion.
func TestADigitBehindTheArrowMeansTheSame(t *testing.T) {
	d := drive(t, exampleAt(t, monday), monday, 80, 24)
	d.pass(3*time.Minute + 30*time.Second)
	d.toStart("89")
	d.keys("1", "esc")
	d.pass(31 * time.Second)
	d.sees("2B hold over: release →")
	d.pass(time.Minute)
	d.sees("E1 FUSION ENDED: →", "2B hold over: release →")
	d.keys("right", "1")
	d.sees("2B  KM-0010", "▸ the hold")
	d.keys("esc")
	d.sees("1  2B       KM-0010  hold over: release ", "2  E1       KM-0011  FUSION ENDED ")
	if frame := d.frame(); !chosenIs(frame, "E1") || strings.Count(frame, "release →") != 1 {
		t.Errorf("the mark is not on the fusion that ended, or a row names an arrow that does nothing there:\n%s", frame)
	}
	d.keys("enter")
	d.sees("E1   KM-0011", "how the fusion ended")
}
