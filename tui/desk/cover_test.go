package desk

import (
	"reflect"
	"strings"
	"testing"
	"time"

	"coolhold/logbook"
	"coolhold/logbook/acts"
	"coolhold/logbook/ahead"
	"coolhold/logbook/crew"
)

func TestCoverNamesWhatIsMissing(t *testing.T) {
	for _, size := range [][2]int{{60, 20}, {80, 24}} {
		b := onBench(t)
		b.show(size[0], size[1], newCover)
		b.sees("chamber A", "7 joints missing: 2B hold, 3B open, 4B", "open, 5A query, 5B open, FG fail, TG query", "1 joint missing: E1 open", "pressure test")
		b.lacks("may be covered ")
		b.keys("enter")
		b.sees("Covering chamber A", "to do: KM-0010: its hold is running", "more: ↓")
		b.keys("pgdown")
		b.sees("query: KM-0006: could not: clamped")
		b.keys("pgdown", "pgdown")
		b.sees("KM-0009 was entered later")
		b.keys("esc", "down", "enter")
		b.sees("Covering run A/FG", "to do: joint E1: no weld stands in it")
		b.keys("left", "left")
		b.sees("below")
	}
}

// What may be covered: all settled, and nothing held on the same pipe. The whole
// rule is tried in package audit.
func TestMayBeCoveredOnlyWhenNothingIsLeft(t *testing.T) {
	b := onBench(t)
	says := func() string {
		for _, p := range ahead.Sections(b.log.Memory.Book, b.site().ID) {
			if p.Name == "run A/FG" {
				return strings.Join(covering(b.env(), p).Lines(), "; ")
			}
		}
		t.Fatal("no run A/FG")
		return ""
	}
	expect := func(want string) {
		t.Helper()
		if got := says(); got != want {
			t.Errorf("it says %q, want %q", got, want)
		}
	}
	b.fuse("E1", 60, true)
	expect("may be covered; no pressure test is recorded here")
	b.show(60, 20, newCover)
	b.sees("may be covered", "As far as the record shows.")

	b.does(acts.Cut(b.head("Ona Brill"), b.joint("FG").Stands, "disturbed"))
	fg := b.fuse("FG", 3, false)
	expect("1 joint missing: FG hold")
	b.now = b.now.Add(time.Hour)
	expect("1 joint missing: FG hold") // over, and not released
	b.does(acts.Release(b.head("Ona Brill"), fg, logbook.Look{When: logbook.LookRelease, Indicators: []string{logbook.Up}}, b.now))
	expect("may be covered; no pressure test is recorded here")
}

func TestACoverIsAnEntryByName(t *testing.T) {
	b := onBench(t)
	b.fuse("E1", 60, true)
	b.show(80, 24, newCover)
	b.keys("down", "enter", "1")
	b.lacks("not all is settled")
	b.keys("enter")
	b.sees("nothing is taken for granted")
	b.text("Hedda Roan")
	b.sees("Covering run A/FG", "covered on 9 Mar 2026 by Hedda Roan")
	b.lacks("may be covered")
	if got := b.last(); !reflect.DeepEqual(got, logbook.Covered{Section: "run A/FG"}) {
		t.Errorf("stored as %+v", got)
	}
	b.does(acts.Happen(b.head("Nils Ormond"), "E1", logbook.Happened{What: logbook.DugUp, On: "2026-03-09", Text: "a leak"}))
	b.pass(time.Second)
	b.sees("dug up since, on 2026-03-09", "may be covered")
	b.keys("1")
	b.text("Hedda Roan")
	b.sees("covered on 9 Mar 2026 by Hedda Roan")
	b.lacks("dug up", "may be covered")
}

func TestCoveringOverWhatIsMissingIsAskedFirst(t *testing.T) {
	b := onBench(t)
	b.show(80, 24, newCover)
	b.keys("enter", "1")
	before := len(b.log.Entries)
	b.sees("7 joints missing: 2B hold, 3B open, 4B open, 5A query, 5B open, FG fail, TG query", "1 covered all the same", "2 it is not covered: go back")
	b.keys("enter")
	b.sees("press a digit")
	b.keys("2")
	b.sees("Covering chamber A")
	b.lacks("needs a name") // it was not even tried
	if len(b.log.Entries) != before {
		t.Fatal("going back stored something")
	}
	b.keys("1", "1")
	b.text("Hedda \x1b[1mRoan")
	b.sees("covered on 9 Mar 2026 by Hedda [1mRoan", "while not settled: 2B, 3B, 4B, 5A, 5B, FG, TG", "7 joints missing")
	want := logbook.Covered{Section: "chamber A", Missing: []string{"2B", "3B", "4B", "5A", "5B", "FG", "TG"}}
	if got := b.last(); !reflect.DeepEqual(got, want) {
		t.Errorf("stored as %+v", got)
	}
}

// Covered on another day than it is said; and a wrong cover is taken back there.
func TestACoverOnAnotherDayAndTakenBack(t *testing.T) {
	b := onBench(t)
	b.fuse("E1", 60, true)
	b.show(80, 24, newCover)
	b.keys("down", "enter")
	b.lacks("take back")
	b.keys("3") // there is nothing to take back
	b.lacks("why it is taken back")
	b.keys("2")
	b.text("2026-03-10")
	b.sees("2026-03-10 is still to come: today is 2026-03-09")
	b.text("2026-03-08")
	b.text("Hedda Roan")
	b.sees("covered on 2026-03-08 by Hedda Roan", "3 take back")
	if got := b.last(); !reflect.DeepEqual(got, logbook.Covered{Section: "run A/FG", On: "2026-03-08"}) {
		t.Errorf("stored as %+v", got)
	}
	b.keys("3")
	b.sees("It was said by Hedda Roan, 2026-03-08.", "Both stay in the log.")
	b.text("it was run B/FG")
	b.text("Hedda Roan")
	b.sees("Covering run A/FG", "may be covered")
	b.lacks("covered on", "take back")
	if got := b.last(); !reflect.DeepEqual(got, logbook.CoverWithdrawn{Section: "run A/FG", Why: "it was run B/FG"}) {
		t.Errorf("stored as %+v", got)
	}
}

// A loss that may be in the section is asked about as a missing joint is: the
// verb refuses it too.
func TestCoveringOverALossIsAskedFirst(t *testing.T) {
	b := onBench(t)
	b.fuse("E1", 60, true)
	b.does(acts.Happen(b.head("Nils Ormond"), "", logbook.Happened{What: logbook.PressureLost, On: "2026-03-09", Text: "gauge"}))
	b.show(80, 24, newCover)
	b.keys("down", "enter", "1")
	b.sees("pressure lost on 2026-03-09, the whole site, and not repaired", "not all is settled there")
	b.keys("1")
	b.text("Hedda Roan")
	if got := b.last(); !reflect.DeepEqual(got, logbook.Covered{Section: "run A/FG"}) {
		t.Errorf("stored as %+v", got)
	}
}

// What is stored as missing is what the person was shown.
func TestWhatIsMissingChangesWhileTheNameIsAsked(t *testing.T) {
	b := onBench(t)
	b.show(80, 24, newCover)
	b.keys("enter", "1", "1")
	b.does(acts.StrikeJoint(b.head("Ona Brill"), "3B", "not needed"))
	b.pass(time.Second)
	before := len(b.log.Entries)
	b.text("Hedda Roan")
	b.sees("what is missing there has changed", "6 joints missing")
	if len(b.log.Entries) != before {
		t.Error("it was stored all the same")
	}
}

func TestEscapesOnTheCoverScreensDoNotAct(t *testing.T) {
	b := onBench(t)
	b.does(crew.Raw(b.head("Nils\x1b[2J"), "", "", logbook.Covered{Section: "chamber A", Missing: []string{"5A\x1b[2J"}}))
	b.does(acts.OrderCut(b.head("Hedda\x1b[2J"), b.joint("1A").Stands, "\x1b[2Jwhy"))
	b.show(80, 24, newCover)
	b.sees("by Nils·[2J", "not settled: 5A·[2J")
	for _, keys := range [][]string{nil, {"enter"}, {"1"}, {"2"}} {
		b.keys(keys...)
		if strings.Contains(b.m.View(), "\x1b") {
			t.Errorf("an escape is drawn after %v: %q", keys, b.m.View())
		}
	}
}
