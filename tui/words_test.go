package tui

import (
	"strings"
	"testing"
	"time"
)

// A time that runs is whole on the board in the smallest window, and what a line has no
// room for is read under the list.
func TestTheTimeThatRunsIsWhole(t *testing.T) {
	for _, size := range [][2]int{{60, 20}, {80, 24}} {
		d := drive(t, exampleAt(t, monday), monday, size[0], size[1])
		d.toStart("89")
		d.keys("1")
		d.pass(90 * time.Second)
		d.keys("1", "esc")
		d.choose("E1")
		if frame := d.frame(); !strings.Contains(frame[strings.Index(frame, "▸ E1"):], "hold 12:00") {
			t.Errorf("at %v the time is cut:\n%s", size, frame)
		}
	}
	d := drive(t, exampleAt(t, monday), monday, 80, 30)
	d.choose("5A")
	d.sees("5A: could not: clamped")
}

// A joint's card tells what was recorded; what the plan has stands at its head alone.
func TestTheCardOfAJointTellsNoPlan(t *testing.T) {
	m := onMeadow(t)
	m.begins("1A")
	m.keys("esc")
	m.choose("1A ")
	m.keys("enter")
	m.sees("1A   coupler 40", "port 1")
	for _, plan := range []string{"   port ", "pipe OD", "pipe SDR", "   fitting "} {
		m.lacks(plan)
	}
	m.keys("1")
	m.fits("1", "W-1")
	m.keys("esc")
	m.choose("1A ")
	m.keys("enter", "pgdown")
	m.sees("   fitting                   coupler 40")
}

// From a screen of a menu Esc leads to the menu and from there to the board, never on.
func TestEscLeadsThroughTheMenu(t *testing.T) {
	d := drive(t, exampleAt(t, monday), monday, 80, 24)
	for _, way := range [][3]string{{"8", "3", "theme: light on dark"}, {"8", "1", "theme: light on dark"}, {"6", "1", "readiness of plan"}, {"6", "4", "readiness of plan"}} {
		d.keys(way[0], way[1])
		d.lacks(way[2])
		d.keys("esc")
		d.sees(way[2])
		d.keys("esc")
		d.sees("joints open.")
	}
}

// The end check says of a hold that is over what the strip says, closing says what it
// did, and so does a release.
func TestWhatWasDoneIsSaid(t *testing.T) {
	d := drive(t, exampleAt(t, monday), monday, 80, 24)
	d.pass(4*time.Minute + time.Second)
	d.keys("3")
	d.sees("End-of-shift check")
	if strings.Contains(d.frame(), "felt by hand") { // of another weld
		d.keys("esc")
	}
	d.sees("2B       KM-0010", "hold over: release it first")
	d.keys("esc", "right", "1", "0", "1")
	d.sees("2B: KM-0010 is released")
	d.keys("esc", "3")
	if strings.Contains(d.frame(), "felt by hand") {
		d.keys("esc")
	}
	d.keys("9", "1")
	d.sees("shift 2026-03-09 is closed", "Start a shift: key 3.")
}

// With nothing left to feel the end check offers no next weld.
func TestNoNextWeldIsOffered(t *testing.T) {
	d := drive(t, siteOf(t, 1, "A"), monday, 80, 24)
	d.keys("3")
	d.sees("End-of-shift check", "0 to feel")
	d.lacks("Enter next weld")
}

// The page of the board says of each digit what it is for, and what FG and TG are.
func TestThePageOfTheBoardSaysMoreThanItsFoot(t *testing.T) {
	d := drive(t, exampleAt(t, monday), monday, 120, 40)
	d.keys("?")
	d.sees("FG is the header from ground, TG the one ", "4        enter a weld made without the laptop", "6        plan ahead", "9        the day's welds, the foreman's desk")
}

// A search gives what holds its letters as they stand; only where nothing does, what
// holds them apart.
func TestASearchForAWordGivesNoNoise(t *testing.T) {
	d := drive(t, exampleAt(t, monday), monday, 80, 24)
	d.keys("/", "k", "i", "t")
	d.sees("readiness of plan, tables, kit and shift")
	for _, noise := range []string{"licences", "transcribe", "restore"} {
		d.lacks(noise)
	}
	d.keys("esc", "/", "r", "d", "n", "s")
	d.sees("readiness")
}
