package tui

import (
	"testing"
	"time"

	"coolhold/logbook"
	"coolhold/logbook/crew"
)

// Where two are on the shift, Tab says that the other one looked, released, checked or cut
// out; without it nothing is asked. With one there is no such key.
func TestAnotherOfTheShiftDoesIt(t *testing.T) {
	m := onMeadow(t, twoHands)
	m.choose("1A ")
	m.keys("enter", "1", "1", "1")
	m.fits("1", "W-1")
	m.prepares()
	m.text("9")
	m.bag()
	m.sets("40", "2.4")
	id := m.Newest().Weld
	m.keys("1")
	m.pass(40 * time.Second)
	m.keys("1")
	m.text("40")
	m.sees("Looked at by Ada Invented (Tab: another).")
	m.keys("tab")
	m.sees("Looked at by Bo Invented (Tab: another).")
	m.keys("0", "1")
	looked := func(when, by string) {
		t.Helper()
		w := m.weld(id)
		last := w.Looks[len(w.Looks)-1]
		if string(last.When) != when || last.By != by {
			t.Errorf("looked at %s by %s, want %s by %s", last.When, last.By, when, by)
		}
	}
	looked(string(logbook.LookHot), "Bo Invented")
	m.keys("enter")
	m.pass(7 * time.Minute)
	m.keys("right", "1")
	m.sees("by Ada Invented (Tab: another)")
	m.keys("tab", "0", "1")
	looked(string(logbook.LookRelease), "Bo Invented")
	m.sees("← change the last answer on " + id)
	m.keys("esc", "3")
	m.sees("by Ada Invented (Tab: another)")
	m.keys("tab", "tab", "tab", "0", "1")
	looked(string(logbook.LookRound), "Bo Invented")
	m.keys("esc")
	m.atJoint("1A", "record that "+id+" was cut out")
	m.keys("tab", "1", "enter")
	if e := m.Newest(); e.By != "Bo Invented" || e.Kind != (logbook.CutOut{}).Kind() {
		t.Errorf("%s is by %s", e.Kind, e.By)
	}
}

// A shift of one asks nothing and offers no such key.
func TestAloneNobodyElseDoesIt(t *testing.T) {
	m := onMeadow(t)
	id := m.upToStart("1A", "1")
	m.fuses()
	m.keys("enter")
	m.pass(7 * time.Minute)
	m.keys("right", "1")
	m.lacks("Tab")
	m.keys("0", "1")
	if by := m.weld(id).Looks[1].By; by != crew.Ada {
		t.Errorf("released by %s", by)
	}
}
