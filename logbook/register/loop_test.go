package register

import (
	"fmt"
	"slices"
	"testing"
	"time"

	"coolhold/fusion"
	"coolhold/logbook"
	"coolhold/logbook/acts"
	"coolhold/logbook/crew"
)

// Flowing is a site with flow checks, purges and a filling; the figures are invented.
func Flowing(t testing.TB) Report {
	c := onSite(t)
	c.made("1A", "W-1")
	check := logbook.FlowChecked{Section: crew.Circuit1, LPM: new(28.5), Shut: logbook.ShutOneRail, Others: logbook.OthersStill, GaugeMaxLPM: new(42.0)}
	c.Do(acts.CheckFlow(c.H, check))
	c.Wait(time.Hour)
	check.Shut = logbook.ShutBoth
	c.Do(acts.CheckFlow(c.H, check))
	purge := logbook.Purged{Section: crew.Circuit1, LPM: new(31.0), Minutes: new(30.0), AfterBubble: new(10.0), Bypassed: logbook.Yes, Strainer: logbook.Yes, Turned: logbook.No}
	c.Do(acts.RecordPurge(c.H, purge))
	c.Wait(time.Hour)
	purge.Section = logbook.SectionID{}
	c.Do(acts.RecordPurge(c.H, purge))
	seq, _ := acts.NewestLoop(c.Book, c.H.Site, acts.LoopKinds["purge"], purge.Section)
	c.Do(acts.WithdrawLoop(c.H, acts.LoopKinds["purge"], purge.Section, seq, "it was circuit 1"))
	c.Do(acts.FillFluid(c.H, logbook.FluidFilled{Content: logbook.ContentReady, Name: "invented fluid", FreezingC: new(fusion.Celsius(-14_00)), Instrument: "R-1", MeantFor: logbook.Yes}))
	c.Do(acts.LeaveAs(c.H, logbook.LeftAs{Pressure: logbook.PressureStands, Bar: new(2.0), Shut: []string{"fill"}, Call: &logbook.Call{Name: "Ona Invented", Phone: "00"}}))
	c.Do(acts.LeaveAs(c.H, logbook.LeftAs{Section: crew.Circuit1, LPM: new(18.0)}))
	return c.report(Query{})
}

// Each reading stands in the register with what it comes to; an older one, and one that
// was taken back, does not count.
func TestTheLoopInTheRegister(t *testing.T) {
	var got []string
	var left []any
	for _, l := range written(t, Flowing(t))["loop"].([]any) {
		l := l.(map[string]any)
		_, back := l["taken_back"]
		if k, is := l["left"]; is {
			left = append(left, k)
		}
		got = append(got, fmt.Sprint(l["what"], ", ", l["section"], ", ", l["newest"], " ", back, " ", l["outcome"], " ", l["comes_to"]))
	}
	if s := fmt.Sprint(left); s != "[map[bar:2 call:map[name:Ona Invented phone:00] pressure:stands section:map[] shut:[fill]] map[lpm:18 section:map[chamber:A circuit:1]]]" {
		t.Errorf("left as %s", s)
	}
	want := []string{
		"flow checked, circuit 1 of chamber A, false false undecided [cannot decide: shut or part both legs of every other circuit, and look again]",
		"flow checked, circuit 1 of chamber A, true false no_crossing [no crossing seen]",
		"purged, circuit 1 of chamber A, true false <nil> [it went on for 10 of 15 min after the last bubble direction turned: no]",
		"purged, all, false true <nil> [it went on for 10 of 15 min after the last bubble direction turned: no]",
		"fluid filled, all, true false <nil> []",
		"left as, all, true false <nil> []",
		"left as, circuit 1 of chamber A, true false <nil> []",
	}
	if !slices.Equal(got, want) {
		t.Errorf("got\n%q\nwant\n%q", got, want)
	}
}
