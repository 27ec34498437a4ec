package ahead_test

import (
	"slices"
	"strings"
	"testing"
	"time"

	"coolhold/fusion"
	"coolhold/logbook"
	"coolhold/logbook/acts"
	"coolhold/logbook/ahead"
	"coolhold/logbook/crew"
)

// happens records something of a joint, a circuit or the whole site.
func happens(c *crew.Crew, what logbook.Happening, on, joint string, circuit int) {
	c.T.Helper()
	c.Do(acts.Happen(c.H, joint, logbook.Happened{What: what, On: on, Circuit: circuit, Text: "as told"}))
}

func TestALossInOneLine(t *testing.T) {
	c := crew.OnSite(t)
	lost := func(want string) {
		t.Helper()
		if got := ahead.LossLine(ahead.OpenLosses(c.Book, c.Site())); got != want {
			t.Errorf("open is %q, want %q", got, want)
		}
	}
	lost("")
	happens(c, logbook.PressureLost, "2026-03-09", "", 1)
	lost("Pressure lost, no repair recorded: circuit 1 of chamber A on 9 Mar 2026.")
	happens(c, logbook.PressureLost, "2026-03-09", "", 0)
	happens(c, logbook.PressureLost, "2026-03-09", "E1", 0)
	lost("Pressure lost, no repair recorded: circuit 1 of chamber A on 9 Mar 2026, the whole site on 9 Mar 2026, joint E1 on 9 Mar 2026.")
	happens(c, logbook.Repaired, "2026-03-09", "", 0)
	lost("")
}

// While pressure is lost no test is forecast, and what stands is not forgotten.
func TestALossWithholdsTheTest(t *testing.T) {
	c := crew.OnSite(t)
	given := ahead.OrderGiven{Units: 1, Prepare: 10 * time.Minute, Ambient: &nine}
	if o := order(c, given); o.Test.IsZero() {
		t.Fatal("no test is forecast without a loss")
	}
	happens(c, logbook.PressureLost, "2026-03-09", "1A", 0)
	o := order(c, given)
	if !o.Test.IsZero() || o.LastHold.IsZero() || !slices.Contains(o.Lacks(), "Pressure lost, no repair recorded: joint 1A on 9 Mar 2026. No pressure test is forecast.") {
		t.Errorf("test %v, last hold %v, %q", o.Test, o.LastHold, o.Lacks())
	}
	if f := ahead.ForecastOf(c.Book, c.H.Site, nil, c.H.At, fusion.Stamp{}); len(f.Lost) != 1 || f.Lost[0].About() != "joint 1A" {
		t.Errorf("lost are %+v", f.Lost)
	}
}

// A weld that failed, or was ordered cut out, is a joint to be made again.
func TestAFailedWeldIsMadeAgain(t *testing.T) {
	c := crew.OnSite(t)
	bad, ordered := c.Fused("1A"), c.Fused("FG")
	failed := func(weld string) bool { return weld == bad }
	want := func(want ...string) {
		t.Helper()
		o := order(c, ahead.OrderGiven{Ambient: &nine, Failed: failed})
		if !slices.Equal(o.Again, want) || o.Test.IsZero() != (len(want) > 0) {
			t.Errorf("again %q, want %q; test %v", o.Again, want, o.Test)
		}
		if f := ahead.ForecastOf(c.Book, c.H.Site, failed, c.H.At, fusion.Stamp{}); !slices.Equal(f.Again, want) {
			t.Errorf("forecast: again %q, want %q", f.Again, want)
		}
	}
	want("1A")
	c.Do(acts.OrderCut(c.H, ordered, "the client wants it"))
	want("1A", "FG")
	if o := order(c, ahead.OrderGiven{Ambient: &nine, Failed: failed}); o.Lacks()[0] != "pressure test: after the cut-outs: 1A, FG" {
		t.Errorf("said is %q", o.Lacks())
	}
	c.Do(acts.Cut(c.H, bad, "failed"), acts.Cut(c.H, ordered, "ordered"))
	want()
}

// An open joint under the ground comes last and without times, until it is dug up.
func TestACoveredJointComesLast(t *testing.T) {
	c := crew.OnSite(t)
	given := ahead.OrderGiven{Units: 1, Prepare: 10 * time.Minute, Ambient: &nine}
	section := ahead.SectionOf(c.Joint("2A"))
	c.Do(crew.CoverSection(c.H, section, []string{"2A", "2B"}))
	o := order(c, given)
	first, last := o.Rows[0], o.Rows[len(o.Rows)-1]
	if first.Covered || first.Joint.Label != "E1" || !last.Covered || last.Why != "covered: dig it up" || !last.Start.IsZero() {
		t.Errorf("order %q", lines(c, o))
	}
	if !slices.Contains(o.Without, "2A") || !strings.HasSuffix(o.Lacks()[0], ": covered: dig it up") {
		t.Errorf("without %q, says %q", o.Without, o.Lacks())
	}
	if j, _ := c.Offered(); j.Label != "E1" {
		t.Errorf("next is %s", j.Label)
	}
	happens(c, logbook.PressureLost, "2026-03-09", "2A", 0)
	if !under(c, c.Joint("2A")) {
		t.Error("a loss digs nothing up")
	}
	happens(c, logbook.DugUp, "2026-03-09", "2A", 0)
	if under(c, c.Joint("2A")) || !under(c, c.Joint("2B")) {
		t.Error("2A was dug up, 2B was not")
	}
	if j, _ := c.Offered(); j.Label != "2A" {
		t.Errorf("next is %s", j.Label)
	}
	c.Do(acts.StrikeJoint(c.H, "2A", "not needed"), acts.StrikeJoint(c.H, "E1", "not needed"))
	if j, ok := c.Offered(); !ok || !under(c, j) {
		t.Errorf("only covered joints are left, and next is %s", j.Label)
	}
}

func under(c *crew.Crew, j logbook.Joint) bool { _, under := ahead.Under(c.Site(), j); return under }

// A joint whose pipe is held is offered before one that must be dug up.
func TestAHeldJointGoesBeforeACoveredOne(t *testing.T) {
	c := crew.OnSite(t)
	c.Do(crew.CoverSection(c.H, ahead.SectionOf(c.Joint("E1")), []string{"E1"}))
	if !under(c, c.Joint("E1")) || under(c, c.Joint("2A")) {
		t.Fatal("E1 alone is covered")
	}
	for _, label := range []string{"FG", "1A", "1B"} {
		c.Do(acts.StrikeJoint(c.H, label, "not needed"))
	}
	c.Fused("2A")
	if _, held := ahead.PipeHeld(c.Book, c.Joint("2B"), c.H.At, fusion.Stamp{}); !held {
		t.Fatal("the pipe of 2B is not held")
	}
	if j, _ := c.Offered(); j.Label != "2B" {
		t.Errorf("next is %s", j.Label)
	}
}

// Times of one unit never seem to overlap, whatever second the proposal is made at.
func TestSpansOfOneUnitDoNotOverlap(t *testing.T) {
	c := crew.OnSite(t)
	for range 7 {
		c.Wait(11 * time.Second)
		ended := ""
		for _, p := range order(c, ahead.OrderGiven{Units: 1, Prepare: 61 * time.Second, Ambient: &nine}).Rows {
			begins, ends, ok := strings.Cut(p.Span(c.H.At), "–")
			if !ok || begins < ended {
				t.Errorf("%s begins %s, the one before ends %s", p.Joint.Label, begins, ended)
			}
			ended = ends
		}
	}
}

func TestManyJointsAreNamedInShort(t *testing.T) {
	six := []string{"1A", "1B", "2A", "2B", "3A", "3B"}
	if got := ahead.InShort(six); got != "1A, 1B, 2A, 2B, 3A, 3B" {
		t.Errorf("six: %q", got)
	}
	if got := ahead.InShort(append(six, "4A")); got != "7 joints (1A, 1B, 2A, 2B …)" {
		t.Errorf("seven: %q", got)
	}
}
