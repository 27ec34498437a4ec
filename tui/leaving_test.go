package tui

import "testing"

// Whoever leaves is asked once, and told that what runs goes on, where something
// does.
func TestLeaving(t *testing.T) {
	const goesOn = "What runs goes on by the clock and is here when you come back."
	d := drive(t, exampleAt(t, monday), monday, 80, 24)
	d.sees("2B hold")
	d.keys("esc")
	d.sees("Leave coolhold?", goesOn, "Esc stay")
	d.lacks("Esc leave")
	d.keys("esc")
	d.sees("2B hold")
	d = drive(t, siteOf(t, 1, "A"), monday, 80, 24)
	d.keys("esc")
	d.sees("Leave coolhold?")
	d.lacks(goesOn)
}
