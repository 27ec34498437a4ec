package logbook_test

import (
	"strings"
	"testing"
	"time"

	"coolhold/logbook"
	"coolhold/logbook/acts"
	"coolhold/logbook/crew"
)

func TestLines(t *testing.T) {
	at := time.Date(2026, 3, 9, 14, 5, 0, 0, time.UTC)
	tests := []struct {
		body logbook.Body
		want string
	}{
		{logbook.FusionStarted{}, "fusion started"},
		{logbook.FusionStarted{AgoS: 5}, "5 s before"},
		{logbook.FusionStarted{Stated: &at}, "at 14:05, as stated later"},
		{logbook.FusionEnded{Outcome: logbook.NotSeen}, "nobody saw"},
		{logbook.RunRead{}, "not shown"},
		{logbook.RunRead{Seconds: new(40)}, "40 s run"},
		{logbook.ResistanceRead{}, "not shown"},
		{logbook.ResistanceRead{Ohms: new(2.4)}, "resistance 2.4 Ω"},
		{logbook.BagRead{Fitting: "coupler 40"}, "batch -"},
		{logbook.BagRead{Fitting: "coupler 40", Batch: "W-1"}, "NOT as in the table"},
		{logbook.BagRead{Matches: true}, ": as in the table"},
		{logbook.AmbientRead{C: 14_50, How: logbook.Offered, Taken: &crew.Morning}, "14.5 °C, default taken, reading of 08:00 confirmed"},
		{logbook.Released{}, "released: not moved before"},
		{logbook.Released{&at}, "released at 14:05"},
		{logbook.Disturbed{AfterMin: 9}, "disturbed 9 min after fusion"},
		{logbook.Disturbed{4, true, "", "digger"}, "before its cooling time was over: digger"},
		{logbook.ClockDoubted{Why: "w", DriftS: -3}, "(-3 s)"},
		{logbook.ClockDoubted{Why: "w", RanS: 60, ByWallS: 240}, "counts 60 s as run, wall clocks say 240 s"},
		{logbook.ClockDoubted{Why: "elsewhere", RanS: 60, ByWallS: 240}, "the log is on another machine; hold counts 60 s as run"},
		{logbook.HoldSaid{Watch: "14:49", Ink: "14:52", RanS: 180, Why: "w"}, "hold counts 180 s as run: the ink on the pipe says cool until 14:52, the watch showed 14:49 (w)"},
		{logbook.HoldSaid{Watch: "14:49", Began: "14:46", RanS: 120, Why: "w"}, "hold counts 120 s as run: it began at 14:46 by a watch, which then showed 14:49 (w)"},
		{logbook.WalkResumed{Step: logbook.StepPrep}, "resumed at preparation"},
		{logbook.WalkResumed{Step: logbook.StepFusion, Found: true}, "not watched"},
		{logbook.Reviewed{Judged: logbook.Judged{Key: "wet:KM-0001"}, Why: "w"}, "wet:KM-0001 not accepted"},
		{logbook.Reviewed{Judged: logbook.Judged{Key: "wet:KM-0001"}, Why: "w", Accepted: true}, "wet:KM-0001 accepted"},
		{logbook.AttemptRefused{}, "refused by the unit: -"},
	}
	for _, tt := range tests {
		if got := tt.body.Line(); !strings.Contains(got, tt.want) {
			t.Errorf("%q does not say %q", got, tt.want)
		}
	}
	if got := (logbook.ClockDoubted{Why: "elsewhere", ByWallS: 240}).Line(); strings.Contains(got, "wall") {
		t.Errorf("the wall clock of one machine is told of another: %q", got)
	}
	if got := (logbook.FusionStarted{}).Line(); got != tests[0].want {
		t.Errorf("a fusion that starts now is said to be of earlier: %q", got)
	}
}

func TestOutside(t *testing.T) {
	for _, tt := range []struct {
		ohms      *float64
		low, high float64
		want      bool
	}{{nil, 2, 3, false}, {new(2.0), 2, 3, false}, {new(3.0), 2, 3, false}, {new(1.99), 2, 3, true}, {new(3.01), 2, 3, true}, {new(9.0), 0, 0, false}} {
		if got := (logbook.ResistanceRead{Ohms: tt.ohms, Low: tt.low, High: tt.high}).Outside(); got != tt.want {
			t.Errorf("%+v outside: %v", tt, got)
		}
	}
}

// After a fusion that did not complete nothing is asked: it is to be cut out.
func TestNothingIsAskedOfAStoppedFusion(t *testing.T) {
	for _, outcome := range []logbook.Outcome{logbook.Stopped, logbook.NotSeen} {
		c := crew.OnSite(t)
		id := c.Prepared("1A")
		c.Do(acts.StartFusion(c.H, id, 0), acts.EndFusion(c.H, id, logbook.FusionEnded{Outcome: outcome}))
		c.WantNext(id, logbook.StepDone)
	}
}

// What is said of one weld never moves another out of the joint.
func TestAJointKeepsOthersApart(t *testing.T) {
	c := crew.OnSite(t)
	id := c.Fused("1A")
	for _, b := range []logbook.Body{logbook.AttemptRefused{Said: "why"}, logbook.WalkAbandoned{Why: "why"}, logbook.CutOut{Why: "why"}} {
		e, err := logbook.Draft{At: c.H.At, Site: c.H.Site, Joint: "1A", Weld: "KM-0099", Body: b}.Entry(99, 0)
		if err != nil {
			t.Fatal(err)
		}
		if j := c.Joint("1A").After(&e); j.Stands != id || j.Walk != "" {
			t.Errorf("after %s of another: stands %q, walk %q", b.Kind(), j.Stands, j.Walk)
		}
	}
}

// An entry without those that should come before it, as in a log cut short or
// put together by other software, breaks no record.
func TestAnEntryAloneBreaksNoRecord(t *testing.T) {
	for _, b := range filled() {
		t.Run(string(b.Kind()), func(t *testing.T) {
			e, err := logbook.Draft{At: crew.Morning, Site: "s", Shift: "2026-03-09", Joint: "1A", Weld: "KM-0001", Body: b}.Entry(1, 0)
			if err != nil {
				t.Fatal(err)
			}
			w, j, s, sh := logbook.Weld{ID: e.Weld}.After(&e), logbook.Joint{}.After(&e), logbook.Site{ID: e.Site}.After(&e), logbook.Shift{ID: e.Shift}.After(&e)
			if w.ID != e.Weld || w.Hold != nil && w.Ended == nil || s.ID != e.Site || sh.ID != e.Shift || j.Stands != "" && j.Stands != e.Weld {
				t.Errorf("it makes of nothing %+v\n%+v\n%+v\n%+v", w, j, s, sh)
			}
		})
	}
}
