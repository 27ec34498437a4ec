package logbook_test

import (
	"slices"
	"testing"
	"time"

	"coolhold/logbook"
	"coolhold/logbook/crew"
)

// A test is folded from what was said of it, and of no other: readings stand in the
// order of their times, one that is put right keeps its own.
func TestAPressureTestIsFolded(t *testing.T) {
	c := crew.OnSite(t)
	say := func(b logbook.Body) { c.Do(crew.Raw(c.H, "", "", b)) }
	say(logbook.PressureBegun{Test: "KM-P1", Section: logbook.SectionID{Chamber: "A", Circuit: 1}, Method: logbook.AsSpecified, Bar: 6})
	say(logbook.PressureBegun{Test: "KM-P2", Section: logbook.SectionID{Chamber: "A", Circuit: 2}, Method: logbook.AsSpecified, Bar: 6})
	c.Wait(5 * time.Minute)
	say(logbook.PressurePhased{Test: "KM-P1", Phase: logbook.PhaseHold})
	say(logbook.PressureRead{Test: "KM-P1", Bar: new(6.1)})
	c.Wait(10 * time.Minute)
	say(logbook.PressureRead{Test: "KM-P1", Bar: new(60.0)})
	say(logbook.PressureRead{Test: "KM-P2", Bar: new(5.0)})
	between := c.H.At.Local().Add(-4 * time.Minute)
	say(logbook.PressureRead{Test: "KM-P1", Bar: new(6.05), Stated: &between})
	say(logbook.PressureRead{Test: "KM-P1", LetOutL: new(0.2)})
	say(logbook.PressureRead{Test: "KM-P1", Bar: new(6.0), Instead: 2, Why: "mistyped"})
	say(logbook.PressureEnded{Test: "KM-P1", Ending: logbook.RanToEnd})

	s := c.Site()
	one, _ := s.TestOf("km-p1")
	two, _ := s.TestOf("KM-P2")
	if one.Open() || !two.Open() || len(one.Readings) != 4 || len(two.Readings) != 1 || s.NextTest("KM") != "KM-P3" {
		t.Errorf("tests %+v and %+v; next %s", one, two, s.NextTest("KM"))
	}
	hold, next, begun := one.PhaseOf(logbook.PhaseHold)
	if !begun || next != nil {
		t.Errorf("phase %+v then %+v", hold, next)
	}
	var got []float64
	for _, r := range one.Pressures(hold.When(), nil) {
		got = append(got, *r.Bar)
	}
	if !slices.Equal(got, []float64{6.1, 6.05, 6.0}) {
		t.Errorf("pressures %v", got)
	}
	if r := one.Readings[1]; len(r.Was) != 1 || *r.Was[0].Bar != 60 || r.Fixes[0].Why != "mistyped" || r.When().Local() != one.Ended.When().Local() {
		t.Errorf("put right: %+v", r)
	}
	say(logbook.PressureWithdrawn{Test: "KM-P1", Why: "it was circuit 2"})
	if one, _ = c.Site().TestOf("KM-P1"); one.Counts() || len(c.Site().TestsOf(one.Section)) != 0 {
		t.Errorf("withdrawn, and counts: %+v", one)
	}
}
