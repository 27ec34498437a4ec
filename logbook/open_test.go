package logbook

import (
	"slices"
	"strings"
	"testing"
	"time"

	"coolhold/fusion"
)

// happens records something of a joint, a circuit or the whole site.
func (c *crew) happens(what Happening, on, joint string, circuit int) {
	c.t.Helper()
	c.do(Happen(c.h, joint, Happened{What: what, On: on, Circuit: circuit, Text: "as told"}))
}

func TestALossInOneLine(t *testing.T) {
	c := onSite(t)
	lost := func(want string) {
		t.Helper()
		if got := LossLine(OpenLosses(c.book, c.site())); got != want {
			t.Errorf("open is %q, want %q", got, want)
		}
	}
	lost("")
	c.happens(PressureLost, "2026-03-09", "", 1)
	lost("Pressure lost, no repair recorded: circuit 1 of chamber A on 9 Mar 2026.")
	c.happens(PressureLost, "2026-03-09", "", 0)
	c.happens(PressureLost, "2026-03-09", "E1", 0)
	lost("Pressure lost, no repair recorded: circuit 1 of chamber A on 9 Mar 2026, the whole site on 9 Mar 2026, joint E1 on 9 Mar 2026.")
	c.happens(Repaired, "2026-03-09", "", 0)
	lost("")
}

// While pressure is lost no test is forecast, and what stands is not forgotten.
func TestALossWithholdsTheTest(t *testing.T) {
	c := onSite(t)
	given := OrderGiven{Units: 1, Prepare: 10 * time.Minute, Ambient: &nine}
	if o := c.order(given); o.Test.IsZero() {
		t.Fatal("no test is forecast without a loss")
	}
	c.happens(PressureLost, "2026-03-09", "1A", 0)
	o := c.order(given)
	if !o.Test.IsZero() || o.LastHold.IsZero() || !slices.Contains(o.Lacks(), "Pressure lost, no repair recorded: joint 1A on 9 Mar 2026. No pressure test is forecast.") {
		t.Errorf("test %v, last hold %v, %q", o.Test, o.LastHold, o.Lacks())
	}
	if f := ForecastOf(c.book, c.h.Site, nil, c.h.At, fusion.Stamp{}); len(f.Lost) != 1 || f.Lost[0].About() != "joint 1A" {
		t.Errorf("lost are %+v", f.Lost)
	}
}

// A weld that failed, or was ordered cut out, is a joint to be made again.
func TestAFailedWeldIsMadeAgain(t *testing.T) {
	c := onSite(t)
	bad, ordered := c.fused("1A"), c.fused("FG")
	failed := func(weld string) bool { return weld == bad }
	want := func(want ...string) {
		t.Helper()
		o := c.order(OrderGiven{Ambient: &nine, Failed: failed})
		if !slices.Equal(o.Again, want) || o.Test.IsZero() != (len(want) > 0) {
			t.Errorf("again %q, want %q; test %v", o.Again, want, o.Test)
		}
		if f := ForecastOf(c.book, c.h.Site, failed, c.h.At, fusion.Stamp{}); !slices.Equal(f.Again, want) {
			t.Errorf("forecast: again %q, want %q", f.Again, want)
		}
	}
	want("1A")
	c.do(OrderCut(c.h, ordered, "the client wants it"))
	want("1A", "FG")
	if o := c.order(OrderGiven{Ambient: &nine, Failed: failed}); o.Lacks()[0] != "pressure test: after the cut-outs: 1A, FG" {
		t.Errorf("said is %q", o.Lacks())
	}
	c.do(Cut(c.h, bad, "failed"), Cut(c.h, ordered, "ordered"))
	want()
}

// An open joint under the ground comes last and without times, until it is dug up.
func TestACoveredJointComesLast(t *testing.T) {
	c := onSite(t)
	given := OrderGiven{Units: 1, Prepare: 10 * time.Minute, Ambient: &nine}
	section := SectionOf(c.joint("2A"))
	c.do(CoverPart(c.h, section, []string{"2A", "2B"}))
	o := c.order(given)
	first, last := o.Rows[0], o.Rows[len(o.Rows)-1]
	if first.Covered || first.Joint.Label != "E1" || !last.Covered || last.Why != "covered: dig it up" || !last.Start.IsZero() {
		t.Errorf("order %q", c.lines(o))
	}
	if !slices.Contains(o.Without, "2A") || !strings.HasSuffix(o.Lacks()[0], ": covered: dig it up") {
		t.Errorf("without %q, says %q", o.Without, o.Lacks())
	}
	if j, _ := c.offered(); j.Label != "E1" {
		t.Errorf("next is %s", j.Label)
	}
	c.happens(PressureLost, "2026-03-09", "2A", 0)
	if !c.under(c.joint("2A")) {
		t.Error("a loss digs nothing up")
	}
	c.happens(DugUp, "2026-03-09", "2A", 0)
	if c.under(c.joint("2A")) || !c.under(c.joint("2B")) {
		t.Error("2A was dug up, 2B was not")
	}
	if j, _ := c.offered(); j.Label != "2A" {
		t.Errorf("next is %s", j.Label)
	}
	c.do(StrikeJoint(c.h, "2A", "not needed"), StrikeJoint(c.h, "E1", "not needed"))
	if j, ok := c.offered(); !ok || !c.under(j) {
		t.Errorf("only covered joints are left, and next is %s", j.Label)
	}
}

func (c *crew) under(j Joint) bool { _, under := c.site().Under(j); return under }

// A joint whose pipe is held is offered before one that must be dug up.
func TestAHeldJointGoesBeforeACoveredOne(t *testing.T) {
	c := onSite(t)
	c.do(CoverPart(c.h, SectionOf(c.joint("E1")), []string{"E1"}))
	if !c.under(c.joint("E1")) || c.under(c.joint("2A")) {
		t.Fatal("E1 alone is covered")
	}
	for _, label := range []string{"FG", "1A", "1B"} {
		c.do(StrikeJoint(c.h, label, "not needed"))
	}
	c.fused("2A")
	if _, held := PipeHeld(c.book, c.joint("2B"), c.h.At, fusion.Stamp{}); !held {
		t.Fatal("the pipe of 2B is not held")
	}
	if j, _ := c.offered(); j.Label != "2B" {
		t.Errorf("next is %s", j.Label)
	}
}

// Times of one unit never seem to overlap, whatever second the proposal is made at.
func TestSpansOfOneUnitDoNotOverlap(t *testing.T) {
	c := onSite(t)
	for range 7 {
		c.wait(11 * time.Second)
		ended := ""
		for _, p := range c.order(OrderGiven{Units: 1, Prepare: 61 * time.Second, Ambient: &nine}).Rows {
			begins, ends, ok := strings.Cut(p.Span(c.h.At), "–")
			if !ok || begins < ended {
				t.Errorf("%s begins %s, the one before ends %s", p.Joint.Label, begins, ended)
			}
			ended = ends
		}
	}
}

func TestManyJointsAreNamedInShort(t *testing.T) {
	six := []string{"1A", "1B", "2A", "2B", "3A", "3B"}
	if got := InShort(six); got != "1A, 1B, 2A, 2B, 3A, 3B" {
		t.Errorf("six: %q", got)
	}
	if got := InShort(append(six, "4A")); got != "7 joints (1A, 1B, 2A, 2B …)" {
		t.Errorf("seven: %q", got)
	}
}
