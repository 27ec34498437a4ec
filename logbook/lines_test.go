package logbook

import (
	"strings"
	"testing"
	"time"

	"coolhold/fusion"
)

func TestLines(t *testing.T) {
	at := time.Date(2026, 3, 9, 14, 5, 0, 0, time.UTC)
	tests := []struct {
		body Body
		want string
	}{
		{FusionStarted{}, "fusion started"},
		{FusionStarted{AgoS: 5}, "5 s before"},
		{FusionStarted{Stated: &at}, "at 14:05, as stated later"},
		{FusionEnded{Outcome: NotSeen}, "nobody saw"},
		{RunRead{}, "not shown"},
		{RunRead{Seconds: ptr(40)}, "40 s run"},
		{ResistanceRead{}, "not shown"},
		{ResistanceRead{Ohms: ptr(2.4)}, "resistance 2.4 Ω"},
		{BagRead{Fitting: "coupler 40"}, "batch -"},
		{BagRead{Fitting: "coupler 40", Batch: "W-1"}, "NOT as in the table"},
		{BagRead{Matches: true}, ": as in the table"},
		{AmbientRead{C: 14_50, How: Offered, Taken: &morning}, "14.5 °C, default taken, reading of 08:00 confirmed"},
		{Released{}, "released: not moved before"},
		{Released{&at}, "released at 14:05"},
		{Disturbed{AfterMin: 9}, "disturbed 9 min after fusion"},
		{Disturbed{4, true, "digger"}, "before its cooling time was over: digger"},
		{ClockDoubted{Why: "w", DriftS: -3}, "(-3 s)"},
		{ClockDoubted{Why: "w", RanS: 60, ByWallS: 240}, "counts 60 s as run, wall clocks say 240 s"},
		{WalkResumed{StepPrep, false}, "resumed at preparation"},
		{WalkResumed{StepFusion, true}, "not watched"},
		{Reviewed{Judged: Judged{Key: "wet:KM-0001"}, Why: "w"}, "wet:KM-0001 not accepted"},
		{Reviewed{Judged: Judged{Key: "wet:KM-0001"}, Why: "w", Accepted: true}, "wet:KM-0001 accepted"},
		{AttemptRefused{}, "refused by the unit: -"},
	}
	for _, tt := range tests {
		if got := tt.body.Line(); !strings.Contains(got, tt.want) {
			t.Errorf("%q does not say %q", got, tt.want)
		}
	}
	if got := (FusionStarted{}).Line(); got != tests[0].want {
		t.Errorf("a fusion that starts now is said to be of earlier: %q", got)
	}
}

func TestOutside(t *testing.T) {
	for _, tt := range []struct {
		ohms      *float64
		low, high float64
		want      bool
	}{{nil, 2, 3, false}, {ptr(2.0), 2, 3, false}, {ptr(3.0), 2, 3, false}, {ptr(1.99), 2, 3, true}, {ptr(3.01), 2, 3, true}, {ptr(9.0), 0, 0, false}} {
		if got := (ResistanceRead{Ohms: tt.ohms, Low: tt.low, High: tt.high}).Outside(); got != tt.want {
			t.Errorf("%+v outside: %v", tt, got)
		}
	}
}

// After a fusion that did not complete nothing is asked: it is to be cut out.
func TestNothingIsAskedOfAStoppedFusion(t *testing.T) {
	for _, outcome := range []Outcome{Stopped, NotSeen} {
		c := onSite(t)
		id := c.prepared("1A")
		c.do(StartFusion(c.h, id, 0), EndFusion(c.h, id, FusionEnded{Outcome: outcome}))
		c.wantNext(id, StepDone)
	}
}

// What is said of one weld never moves another out of the joint.
func TestAJointKeepsOthersApart(t *testing.T) {
	c := onSite(t)
	id := c.fused("1A")
	for _, b := range []Body{AttemptRefused{"why"}, WalkAbandoned{"why"}, CutOut{"why"}} {
		e, err := Draft{At: c.h.At, Site: c.h.Site, Joint: "1A", Weld: "KM-0099", Body: b}.Entry(99, 0)
		if err != nil {
			t.Fatal(err)
		}
		if j := c.joint("1A").After(e); j.Stands != id || j.Walk != "" {
			t.Errorf("after %s of another: stands %q, walk %q", b.Kind(), j.Stands, j.Walk)
		}
	}
}

// On a system that does not name its starts the smaller of two clocks counts,
// and a boot clock that went back is a restart.
func TestHoldWithoutBootID(t *testing.T) {
	c := onSite(t)
	c.h.At.BootID = ""
	c.fused("1A")
	was := len(c.entries)
	for _, after := range []time.Duration{0, time.Minute} { // at the very moment the hold begins, and later
		c.wait(after)
		c.do(FoundAtStart(c.h, fusion.Stamp{}))
		if len(c.entries) != was {
			t.Fatalf("doubted without a restart: %v", c.kinds()[was:])
		}
	}
	c.boot("", 2*time.Minute, 30*time.Second)
	c.do(FoundAtStart(c.h, fusion.Stamp{}))
	if b := last[ClockDoubted](c); b.RanS > 30 || b.ByWallS != 210 {
		t.Errorf("doubted as %+v", b)
	}
}
