package logbook

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"coolhold/logbook/plan"
)

// stopped is why the last entry stopped the fitting step.
func (c *crew) stopped(says, tried string) {
	c.t.Helper()
	b := last[StepStopped](c)
	if b.Step != StepFitting || !strings.Contains(b.Why, says) || b.Tried != tried {
		c.t.Errorf("stopped as %+v, want %q (tried %s)", b, says, tried)
	}
}

func port(no int) Answer { return say(ItemPort, fmt.Sprint(no)) }

// The port is asked after the fitting, and each answer goes its way. Circuit 1
// is planned on ports 1 (from ground) and 2 (to ground), circuit 2 on 3 and 4.
func TestChoosePort(t *testing.T) {
	c := onSite(t)
	first := c.numbered("1A")
	c.do(AnswerStep(c.h, first, StepFitting, fitting("coupler 40", "W-1")))
	c.wantNext(first, StepFitting) // it has no default

	c.do(ChoosePort(c.h, first, port(4)))
	c.stopped("port 4 is on the bar to ground, and so is port 2, planned for leg 1B: nothing would move in circuit 1; if the pipe's ends are changed over, weld this end as 1B", "port 4")
	c.wantNext(first, StepFitting)
	if got := len(c.weld(first).Stops); got != 1 {
		t.Errorf("%d stops are kept", got)
	}
	c.do(ChoosePort(c.h, first, port(3))) // planned for another leg, but free, and on the right bar
	c.wantNext(first, StepBag)
	w, j := c.weld(first), c.joint("1A")
	if says := UnlikePort(w, j); PortOf(w, j) != 3 || !strings.HasPrefix(says, "Port 3, where the plan has port 1 for 1A") {
		t.Errorf("port %d, %q", PortOf(w, j), says)
	}

	second := c.numbered("2A")
	c.do(ChoosePort(c.h, second, port(3)))
	c.stopped("port 3 has leg 1A already (KM-0001)", "port 3")
	c.do(ChoosePort(c.h, second, port(1)))
	if b := last[StepAnswered](c); len(b.Answers) != 1 || b.Answers[0].V != "1" || b.Answers[0].How != Typed {
		t.Errorf("stored as %+v", b)
	}
	third := c.numbered("2B")
	c.do(ChoosePort(c.h, third, port(4)))
	if says := UnlikePort(c.weld(third), c.joint("2B")); says != "" {
		t.Errorf("the port planned is called unlike the plan: %q", says)
	}
	c.wantRebuilt()
}

// A weld that stands counts by its port as welded, not by the plan's; one of
// which no port was said, by the plan's; one cut out does not count.
func TestChoosePortBesideStandingWelds(t *testing.T) {
	c := onSite(t)
	stands := c.fused("2A") // port 3
	c.do(Correct(c.h, stands, ItemPort, "4", "misread"))
	other := c.numbered("2B")
	c.do(ChoosePort(c.h, other, port(4)))
	c.stopped("port 4 has leg 2A already (KM-0001)", "port 4")
	c.do(ChoosePort(c.h, other, port(2)))
	c.stopped("port 2 is on the bar to ground, and so is leg 2A (port 4, KM-0001): nothing would move in circuit 2", "port 2")
	c.do(ChoosePort(c.h, other, port(1)), Cut(c.h, stands, "crooked"))
	unsaid := c.unsaid("2A")
	c.do(ChoosePort(c.h, other, port(3)))
	c.stopped("port 3 has leg 2A already ("+unsaid+")", "port 3")
	c.do(ChoosePort(c.h, other, port(4)))
	if b := last[StepAnswered](c); b.Answers[0].V != "4" {
		t.Errorf("stored as %+v", b)
	}
}

func TestChoosePortRefused(t *testing.T) {
	c := onSite(t)
	id := c.numbered("1A")
	for _, said := range []string{"9", "0", "", "low"} {
		c.refused(ChoosePort(c.h, id, say(ItemPort, said)), ErrRule, "is no port of chamber A; its ports are 1, 2, 3, 4")
	}
	c.refused(ChoosePort(c.h, c.numbered("FG"), port(1)), ErrRule, "joint FG goes to no port")
	c.refused(ChoosePort(c.h, c.fused("2A"), port(3)), ErrRule, "past its walk")
	c.refused(ChoosePort(c.h, "KM-9999", port(3)), ErrUnknown, "KM-9999")
}

// The pieces of a split joint are on one port.
func TestChoosePortOfAPiece(t *testing.T) {
	c := onSite(t)
	c.do(SplitJoint(c.h, "1A", "stub too short"))
	c.fused("1A.1")
	c.do(ChoosePort(c.h, c.numbered("1A.2"), port(1)))
	if b := last[StepAnswered](c); b.Answers[0].V != "1" {
		t.Errorf("stored as %+v", b)
	}
}

// A weld made before there was such a question is not asked.
func TestAnOldWeldIsNotAskedForItsPort(t *testing.T) {
	c := onSite(t)
	id := c.unsaid("1A")
	c.wantNext(id, StepRun)
	if w, j := c.weld(id), c.joint("1A"); PortOf(w, j) != 1 || UnlikePort(w, j) != "" {
		t.Errorf("port %d, %q", PortOf(w, j), UnlikePort(w, j))
	}
}

// unsaid is a fused weld of which no port was said.
func (c *crew) unsaid(label string) string {
	c.t.Helper()
	id := c.numbered(label)
	c.do(AnswerStep(c.h, id, StepFitting, fitting("coupler 40", "W-1")), AnswerStep(c.h, id, StepPrep, card()))
	c.settle(id)
	c.do(StartFusion(c.h, id, 0), EndFusion(c.h, id, FusionEnded{Outcome: Completed}))
	return id
}

func TestPortsOf(t *testing.T) {
	c := onSite(t)
	want := []plan.Port{{No: 1, Row: "high", Bar: "from ground"}, {No: 2, Row: "high", Bar: "to ground"}, {No: 3, Row: "low", Bar: "from ground"}, {No: 4, Row: "low", Bar: "to ground"}}
	if got := PortsOf(c.book, c.site(), "A"); !slices.Equal(got, want) {
		t.Errorf("ports %+v", got)
	}
	site := c.site()
	site.Plan = nil // its text is not at hand: the joints' own
	if got := PortsOf(c.book, site, "A"); !slices.Equal(got, want) {
		t.Errorf("ports of the joints %+v", got)
	}
	if got := PortsOf(c.book, c.site(), "B"); len(got) != 0 {
		t.Errorf("ports of no chamber %+v", got)
	}
}
