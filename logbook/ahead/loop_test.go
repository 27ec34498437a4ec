package ahead_test

import (
	"errors"
	"math"
	"strings"
	"testing"

	"coolhold/fusion/loop"
	"coolhold/logbook"
	"coolhold/logbook/acts"
	"coolhold/logbook/ahead"
	"coolhold/logbook/crew"
)

// needs are what the sections of a site want, by name.
func needs(t *testing.T, c *crew.Crew, ask ahead.PurgeAsk) map[string]ahead.PurgeNeed {
	t.Helper()
	list, err := ahead.PurgeNeeds(c.Book, c.H.Site, ask)
	if err != nil {
		t.Fatal(err)
	}
	all := map[string]ahead.PurgeNeed{}
	for _, n := range list {
		all[n.Name] = n
	}
	return all
}

// A circuit of 200 m of 40 mm SDR 11 holds 166.9 L and wants 30.0 L/min; a header of 63 mm
// 74.7 (derived), of which one circuit at a time brings 30.0, so three at once are needed.
func TestWhatASiteWantsWhenPurged(t *testing.T) {
	c := crew.OnSite(t)
	all := needs(t, c, ahead.PurgeAsk{WaterC: 10, Changes: 3})
	circuit, head := all["circuit 1"], all["header from ground"]
	l, _ := loop.Flow(loop.Stretch{Pipe: loop.Pipe{OdMM: 40, SDR: 11}, LengthM: 200}, 30.0488, 10)
	for what, f := range map[string][2]float64{
		"litres": {*circuit.Litres, 166.94}, "wants": {*circuit.WantLPM, 30.05}, "minutes": {*circuit.Minutes, 3 * 166.94 / 30.05},
		"head": {*circuit.HeadM, l.HeadM}, "Reynolds": {*circuit.Reynolds, l.Reynolds},
		"header wants": {*head.WantLPM, 74.70}, "one circuit brings": {*head.OneGives, 30.05}, "at once": {float64(head.AtOnce), 3},
	} {
		if math.Abs(f[0]-f[1]) > 0.001*f[1] {
			t.Errorf("%s: %g, want %g", what, f[0], f[1])
		}
	}
	if circuit.AtOnce != 0 || circuit.GivesLPM != nil || circuit.Purge != nil {
		t.Errorf("%+v", circuit)
	}
}

// A pump falls short of the header by what its curve has not; the curve is invented.
func TestWhatAPumpGivesThere(t *testing.T) {
	c := crew.OnSite(t)
	all := needs(t, c, ahead.PurgeAsk{WaterC: 10, Changes: 1, Pump: loop.Pump{{LPM: 10, HeadM: 12}, {LPM: 60, HeadM: 8}}})
	if n := all["header from ground"]; !n.AtEnd || *n.GivesLPM != 60 || math.Abs(*n.ShortLPM-14.7) > 0.05 || !strings.Contains(strings.Join(n.Lines(), "\n"), "the pump gives at least 60.0 L/min: 14.7 too few") {
		t.Errorf("%+v: %q", n, n.Lines())
	}
	if n := all["circuit 1"]; n.AtEnd || *n.ShortLPM != 0 || *n.GivesLPM < *n.WantLPM {
		t.Errorf("%+v", n)
	}
	for _, ask := range []ahead.PurgeAsk{{WaterC: 31, Changes: 1}, {WaterC: 10}, {WaterC: 10, Changes: 1, Pump: loop.Pump{{LPM: 10, HeadM: 5}}}} {
		if _, err := ahead.PurgeNeeds(c.Book, c.H.Site, ask); !errors.Is(err, loop.ErrRange) {
			t.Errorf("%+v: %v", ask, err)
		}
	}
}

// Where the plan does not state a pipe nothing is made up, and of a fluid no figure of
// water.
func TestNoFigureWithoutAPipeOrForAFluid(t *testing.T) {
	c := crew.OnSite(t)
	c.Do(acts.SplitJoint(c.H, "2B", "a bridge of pipe", acts.Piece{}))
	n := needs(t, c, ahead.PurgeAsk{WaterC: 10, Changes: 1})["circuit 2"]
	if n.Litres != nil || n.HeadM != nil || n.Why == "" || strings.Join(n.Unstated, " ") != "2B:piece" {
		t.Errorf("%+v", n)
	}
	c.Do(acts.FillFluid(c.H, logbook.FluidFilled{Content: logbook.ContentReady, Name: "invented fluid"}))
	for name, n := range needs(t, c, ahead.PurgeAsk{WaterC: 10, Changes: 1, Pump: loop.Pump{{LPM: 10, HeadM: 12}, {LPM: 60, HeadM: 8}}}) {
		if n.HeadM != nil || n.Reynolds != nil || n.GivesLPM != nil || !strings.Contains(n.Why, "the figures here are those of water") {
			t.Errorf("%s: %+v", name, n)
		}
	}
	if need := ahead.FluidNeedOf(sectionNamed(t, c, "circuit 2"), new(25.0)); need.OfLitres != nil || need.Litres != nil {
		t.Errorf("%+v", need)
	}
	if need := ahead.FluidNeedOf(sectionNamed(t, c, "circuit 1"), new(25.0)); math.Abs(*need.OfLitres-166.938/4) > 0.001 {
		t.Errorf("%+v", need)
	}
}

func sectionNamed(t *testing.T, c *crew.Crew, name string) ahead.TestSection {
	t.Helper()
	found := ahead.TestSectionNamed(c.Book, c.H.Site, name)
	if len(found) != 1 {
		t.Fatalf("%q is %d sections", name, len(found))
	}
	return found[0]
}

// What one opened circuit comes to. It decides only with both legs of every other shut
// (common practice, no source; the rest derived).
func TestFlowAndPairs(t *testing.T) {
	in2 := []logbook.FlowSeen{{Section: logbook.SectionID{Chamber: "A", Circuit: 2}}}
	for _, c := range []struct {
		shut, others string
		lpm          *float64
		seen         []logbook.FlowSeen
		want         ahead.FlowOutcome
		wants        string
	}{
		{logbook.ShutBoth, logbook.OthersStill, new(28.0), nil, ahead.NoCrossing, ""},
		{logbook.ShutBoth, logbook.OthersFlow, new(28.0), in2, ahead.Crossed, ""},
		{logbook.ShutBoth, logbook.OthersFlow, new(0.0), in2, ahead.Crossed, ""},
		{logbook.ShutBoth, logbook.OthersFlow, nil, in2, ahead.Crossed, ""},
		{logbook.ShutBoth, logbook.OthersStill, new(0.0), nil, ahead.NoFlow, ""},
		{logbook.ShutBoth, logbook.OthersStill, nil, nil, ahead.FlowUnknown, "own"},
		{logbook.ShutBoth, logbook.Unseen, new(28.0), nil, ahead.FlowUnknown, "others"},
		{logbook.ShutOneRail, logbook.OthersStill, new(28.0), nil, ahead.FlowUnknown, "shut"},
		{logbook.ShutOneRail, logbook.OthersFlow, new(28.0), in2, ahead.FlowUnknown, "shut"},
		{logbook.ShutNone, logbook.OthersStill, new(0.0), nil, ahead.FlowUnknown, "shut"},
		{logbook.Unseen, logbook.Unseen, nil, nil, ahead.FlowUnknown, "shut others own"},
	} {
		r := ahead.FlowResultOf(logbook.FlowChecked{Section: crew.Circuit1, LPM: c.lpm, Shut: c.shut, Others: c.others, Seen: c.seen})
		if r.Outcome != c.want || strings.Join(r.Wants, " ") != c.wants || strings.Contains(r.Says, "good") {
			t.Errorf("%s, %s: %+v", c.shut, c.others, r)
		}
	}
	if r := ahead.FlowResultOf(logbook.FlowChecked{LPM: new(40.0), GaugeMaxLPM: new(40.0), Shut: logbook.ShutBoth, Others: logbook.OthersStill}); !r.AtEnd || !strings.Contains(r.Says, "its gauge ends at 40 L/min: it is that or more") {
		t.Errorf("%+v", r)
	}
}

// Each circuit stands beside the mean of the others that showed flow, and a check taken
// back is none.
func TestCircuitsBesideEachOther(t *testing.T) {
	c := crew.OnSite(t)
	for no, lpm := range map[int]float64{1: 30, 2: 20} {
		c.Do(acts.CheckFlow(c.H, logbook.FlowChecked{Section: logbook.SectionID{Chamber: "A", Circuit: no}, LPM: &lpm, Shut: logbook.ShutBoth, Others: logbook.OthersStill}))
	}
	rows := ahead.FlowRows(c.Book, c.H.Site)
	if len(rows) != 2 || *rows[0].Share != 1.5 || rows[0].Line() != "30 L/min, 150 % of the mean of the others that show flow (0.6 m/s wants 30.0 L/min): no crossing seen" {
		t.Fatalf("%+v", rows)
	}
	c.Do(acts.CheckFlow(c.H, logbook.FlowChecked{Section: rows[0].Section.ID, LPM: new(19.0), GaugeMaxLPM: new(20.0), Shut: logbook.ShutBoth, Others: logbook.OthersStill}))
	if short := ahead.FlowRows(c.Book, c.H.Site)[0].Line(); !strings.Contains(short, "(0.6 m/s wants 30.0, and its gauge ends at 20)") {
		t.Errorf("got %q", short)
	}
	seq, _ := acts.NewestLoop(c.Book, c.H.Site, acts.LoopKinds["flow"], rows[1].Section.ID)
	c.Do(acts.WithdrawLoop(c.H, acts.LoopKinds["flow"], rows[1].Section.ID, seq, "it was circuit 1"))
	rows = ahead.FlowRows(c.Book, c.H.Site)
	if rows[0].Share != nil || rows[1].Result != nil || len(rows[1].Past) != 1 || rows[1].Past[0].Withdrawn == nil {
		t.Errorf("%+v", rows)
	}
}

// checked is a site with one flow check after another; flow is seen in the circuits that are
// named behind the flow.
func checked(t *testing.T, checks ...[]int) []ahead.FlowRow {
	t.Helper()
	c := crew.OnSite(t)
	for _, f := range checks {
		b := logbook.FlowChecked{Section: logbook.SectionID{Chamber: "A", Circuit: f[0]}, LPM: new(float64(f[1])), GaugeMaxLPM: new(42.0), Shut: logbook.ShutBoth, Others: logbook.OthersStill}
		for _, no := range f[2:] {
			b.Others, b.Seen = logbook.OthersFlow, append(b.Seen, logbook.FlowSeen{Section: logbook.SectionID{Chamber: "A", Circuit: no}})
		}
		c.Do(acts.CheckFlow(c.H, b))
	}
	return ahead.FlowRows(c.Book, c.H.Site)
}

// A gauge that shows nothing, or is at its end, is no flow to compare with.
func TestWhatACircuitIsComparedWith(t *testing.T) {
	for _, second := range []int{0, 42} {
		for _, row := range checked(t, []int{1, 30}, []int{2, second}) {
			if row.Share != nil {
				t.Errorf("beside %d L/min: %s", second, row.Line())
			}
		}
	}
}

// What the check of one circuit saw in another is not taken away by the check of that one,
// but by looking again at the first.
func TestACrossingStandsInBothCircuits(t *testing.T) {
	const seen = "flow was seen in it while it was shut and circuit 2 open: legs are crossed"
	for _, checks := range [][][]int{{{1, 30}, {2, 20, 1}}, {{2, 20, 1}, {1, 30}}, {{2, 20, 1}, {1, 0}}, {{2, 20, 1}, {1, 42}}} {
		row := checked(t, checks...)[0]
		if row.Result.Outcome != ahead.Crossed || !strings.Contains(row.Line(), seen) || strings.Contains(row.Line(), "no crossing") {
			t.Errorf("%v: %s", checks, row.Line())
		}
	}
	if row := checked(t, []int{2, 20, 1})[0]; !strings.Contains(row.Line(), "no flow check is recorded (0.6 m/s wants 30.0 L/min): "+seen) {
		t.Errorf("without its own check: %s", row.Line())
	}
	if row := checked(t, []int{2, 20, 1}, []int{1, 30}, []int{2, 20})[0]; row.Result.Outcome != ahead.NoCrossing || row.Result.Says != "no crossing seen" {
		t.Errorf("looked at again: %s", row.Line())
	}
}
