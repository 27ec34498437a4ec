package desk

import (
	"strings"
	"testing"

	"coolhold/logbook"
	"coolhold/tui/shell"
)

// How a site was left is asked by keys, with no default; what is passed by is not recorded,
// and the leaf says both.
func TestHowItWasLeftOnTheScreen(t *testing.T) {
	b := onBench(t)
	b.show(100, 40, newLoops)
	b.sees("2 hand-over")
	b.keys("2")
	b.sees("Hand-over: what the plumber's leaf says now", "WHAT IS IN THE PIPE IS NOT RECORDED: DO NOT RUN", "FG: FROM GROUND", "goes into the heat pump's ground side")
	b.lacks("may run it")
	b.keys("2")
	b.sees("How it was left", "of what", "1 all", "2 chamber A", "3 header from ground", "5 circuit 1")
	b.keys("enter")
	b.sees("press a digit")
	b.keys("1") // all
	b.keys("enter")
	b.sees("press a digit") // of the pressure too
	b.keys("1")
	b.text("2")
	b.text("G-1")
	b.keys("enter")
	b.sees("nothing is taken for granted here")
	b.text("fill, purge")
	b.text("1A")
	b.keys("1", "enter") // caps: nothing is said
	b.text("tee in the plant room")
	b.keys("1", "enter")
	b.sees("who is to be called (name)", "1 nothing is said of it", "2 Ona Brill")
	b.text("9")
	b.sees(`"9" is no name: write at least 2 letters of it`, "who is to be called (name)")
	b.text("Hedda Roan")
	b.text("01 23")
	b.keys("1", "enter", "1", "enter")
	b.text("Hedda Roan")
	l := b.last().(logbook.LeftAs)
	if l.Section != (logbook.SectionID{}) || *l.Bar != 2 || l.Gauge != "G-1" || strings.Join(l.Shut, "|") != "fill|purge" || strings.Join(l.Open, "|") != "1A" || l.Caps != "" || l.Fill != "tee in the plant room" || l.Purge != "" || l.Call.Line() != "Hedda Roan, 01 23" {
		t.Errorf("stored as %+v", l)
	}
	b.sees("Hand-over: what the plumber's leaf says now")
	b.keys("pgdown")
	b.sees("2 bar left standing, gauge G-1", "SHUT: fill, purge; open: 1A", "caps and plugs: NOT RECORDED")
}

// Of a header its end and its mark are asked, of a circuit the flow as set; one said by
// mistake is taken back on the same page.
func TestAPartLeftOnTheScreen(t *testing.T) {
	b := onBench(t)
	b.show(100, 40, newLoops)
	b.keys("enter", "5")
	b.sees("How circuit 1 was left")
	b.keys("4") // nothing is said of the pressure
	b.keys("1", "enter")
	b.keys("1", "enter", "1", "enter")
	b.text("18,5")
	b.keys("1", "enter")
	b.text("Hedda Roan")
	if l := b.last().(logbook.LeftAs); *l.LPM != 18.5 || !l.NoneShut || l.Pressure != "" {
		t.Errorf("stored as %+v", l)
	}
	b.sees("left as, circuit 1 of chamber A: valves: none was left shut; flow set to 18.5 L/min")
	b.keys("4", "1", "1", "enter", "enter")
	b.sees("taken back by Hedda Roan")
	b.keys("esc", "down", "down", "down", "down", "down", "enter", "5")
	b.sees("How header from ground was left", "how it ends in the plant room")
	b.keys("2", "enter")
	b.text("FG in paint")
	b.keys("2", "1", "enter", "2", "enter", "1", "enter", "1", "enter", "1", "enter", "enter")
	if l := b.last().(logbook.LeftAs); l.End != "flange" || l.Mark != "FG in paint" || l.Pressure != logbook.PressureNone {
		t.Errorf("stored as %+v", l)
	}
}

// Where nothing at all is said nothing is stored, and the form says so.
func TestNothingSaidIsNotStored(t *testing.T) {
	b := onBench(t)
	b.show(100, 40, newLoops)
	before := b.log.Newest().Seq
	b.keys("enter", "5", "4", "2", "enter", "1", "enter", "1", "enter", "down", "1", "enter")
	b.text("Hedda Roan")
	b.sees("nothing is said of how circuit 1 was left")
	if b.log.Newest().Seq != before {
		t.Error("it is stored")
	}
}

// The leaf is written by one key, and fits a small window.
func TestTheLeafIsWritten(t *testing.T) {
	b := onBench(t)
	of := ""
	b.outside.WriteHandover = func(_ shell.Log, site string) (string, error) { of = site; return "the hand-over is in leaf.pdf", nil }
	b.show(60, 20, func(shell.Env) shell.Screen { return newHanded("") })
	b.sees("Esc back")
	b.keys("1")
	b.sees("the hand-over is in leaf.pdf")
	if of != b.site().ID {
		t.Errorf("written of %q", of)
	}
	b.outside.WriteHandover = nil
	b.show(60, 20, func(shell.Env) shell.Screen { return newHanded("") })
	b.keys("1")
	b.sees("writing the hand-over is not available here")
	seen := ""
	for range 40 {
		seen += b.frame()
		b.keys("pgdown")
	}
	for _, want := range []string{"IN THE PIPE NOW", "AS IT WAS LEFT", "WHOM TO CALL", "CIRCUITS", "CAUTION", "welded and untested"} {
		if !strings.Contains(seen, want) {
			t.Errorf("%q was never on the screen", want)
		}
	}
}
