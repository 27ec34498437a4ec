package acts_test

import (
	"fmt"
	"strings"
	"testing"

	"coolhold/logbook"
	"coolhold/logbook/acts"
	"coolhold/logbook/ahead"
	"coolhold/logbook/crew"
)

// stopped is why the last entry stopped the fitting step.
func stopped(c *crew.Crew, says, tried string) {
	c.T.Helper()
	b := crew.Last[logbook.StepStopped](c)
	if b.Step != logbook.StepFitting || !strings.Contains(b.Why, says) || b.Tried != tried {
		c.T.Errorf("stopped as %+v, want %q (tried %s)", b, says, tried)
	}
}

func port(no int) logbook.Answer { return crew.Say(logbook.ItemPort, fmt.Sprint(no)) }

// The port is asked after the fitting, and each answer goes its way. Circuit 1
// is planned on ports 1 (from ground) and 2 (to ground), circuit 2 on 3 and 4.
func TestChoosePort(t *testing.T) {
	c := crew.OnSite(t)
	first := c.Numbered("1A")
	c.Do(acts.AnswerStep(c.H, first, logbook.StepFitting, crew.Fitting("coupler 40", "W-1")))
	c.WantNext(first, logbook.StepFitting) // it has no default

	c.Do(acts.ChoosePort(c.H, first, port(4)))
	stopped(c, "port 2 is planned for 1B, and port 4 is on the same rail, to ground: nothing would move in circuit 1; if the pipe's ends are changed over, weld this end as 1B", "port 4")
	c.WantNext(first, logbook.StepFitting)
	if got := len(c.Weld(first).Stops); got != 1 {
		t.Errorf("%d stops are kept", got)
	}
	c.Do(acts.ChoosePort(c.H, first, port(3))) // planned for another leg, but free, and on the right bar
	c.WantNext(first, logbook.StepPrep)
	w, j := c.Weld(first), c.Joint("1A")
	if says := ahead.UnlikePort(w, j); logbook.PortOf(w, j) != 3 || !strings.HasPrefix(says, "Port 3, where the plan has port 1 for 1A") {
		t.Errorf("port %d, %q", logbook.PortOf(w, j), says)
	}

	second := c.Numbered("2A")
	c.Do(acts.ChoosePort(c.H, second, port(3)))
	stopped(c, "port 3 has leg 1A already (KM-0001)", "port 3")
	c.Do(acts.ChoosePort(c.H, second, port(1)))
	if b := crew.Last[logbook.StepAnswered](c); len(b.Answers) != 1 || b.Answers[0].V != "1" || b.Answers[0].How != logbook.Typed {
		t.Errorf("stored as %+v", b)
	}
	third := c.Numbered("2B")
	c.Do(acts.ChoosePort(c.H, third, port(4)))
	if says := ahead.UnlikePort(c.Weld(third), c.Joint("2B")); says != "" {
		t.Errorf("the port planned is called unlike the plan: %q", says)
	}
	c.WantRebuilt()
}

// A weld that stands counts by its port as welded, not by the plan's; one of
// which no port was said, by the plan's; one cut out does not count.
func TestChoosePortBesideStandingWelds(t *testing.T) {
	c := crew.OnSite(t)
	stands := c.Fused("2A") // port 3
	c.Do(acts.Correct(c.H, stands, logbook.ItemPort, "4", "misread"))
	other := c.Numbered("2B")
	c.Do(acts.ChoosePort(c.H, other, port(4)))
	stopped(c, "port 4 has leg 2A already (KM-0001)", "port 4")
	c.Do(acts.ChoosePort(c.H, other, port(2)))
	stopped(c, "port 2 is on the rail to ground, and so is leg 2A (port 4, KM-0001): nothing would move in circuit 2", "port 2")
	c.Do(acts.ChoosePort(c.H, other, port(1)), acts.Cut(c.H, stands, "crooked"))
	unsaid := unsaid(c, "2A")
	c.Do(acts.ChoosePort(c.H, other, port(3)))
	stopped(c, "port 3 has leg 2A already ("+unsaid+")", "port 3")
	c.Do(acts.ChoosePort(c.H, other, port(4)))
	if b := crew.Last[logbook.StepAnswered](c); b.Answers[0].V != "4" {
		t.Errorf("stored as %+v", b)
	}
}

func TestChoosePortRefused(t *testing.T) {
	c := crew.OnSite(t)
	id := c.Numbered("1A")
	for _, said := range []string{"9", "0", "", "low"} {
		c.Refused(acts.ChoosePort(c.H, id, crew.Say(logbook.ItemPort, said)), logbook.ErrRule, "is no port of chamber A; its ports are 1, 2, 3, 4")
	}
	c.Refused(acts.ChoosePort(c.H, c.Numbered("FG"), port(1)), logbook.ErrRule, "joint FG goes to no port")
	c.Refused(acts.ChoosePort(c.H, c.Fused("2A"), port(3)), logbook.ErrRule, "past its walk")
	c.Refused(acts.ChoosePort(c.H, "KM-9999", port(3)), logbook.ErrUnknown, "KM-9999")
}

// The pieces of a split joint are on one port.
func TestChoosePortOfAPiece(t *testing.T) {
	c := crew.OnSite(t)
	c.Do(acts.SplitJoint(c.H, "1A", "stub too short", acts.Piece{Fittings: [2]string{"coupler 40", "coupler 40"}}))
	c.Fused("1A.1")
	c.Do(acts.ChoosePort(c.H, c.Numbered("1A.2"), port(1)))
	if b := crew.Last[logbook.StepAnswered](c); b.Answers[0].V != "1" {
		t.Errorf("stored as %+v", b)
	}
}

// A weld made before there was such a question is not asked.
func TestAnOldWeldIsNotAskedForItsPort(t *testing.T) {
	c := crew.OnSite(t)
	id := unsaid(c, "1A")
	c.WantNext(id, logbook.StepRun)
	if w, j := c.Weld(id), c.Joint("1A"); logbook.PortOf(w, j) != 1 || ahead.UnlikePort(w, j) != "" {
		t.Errorf("port %d, %q", logbook.PortOf(w, j), ahead.UnlikePort(w, j))
	}
}

// unsaid is a fused weld of which no port was said.
func unsaid(c *crew.Crew, label string) string {
	c.T.Helper()
	id := c.Numbered(label)
	c.Do(acts.AnswerStep(c.H, id, logbook.StepFitting, crew.Fitting("coupler 40", "W-1")), acts.AnswerStep(c.H, id, logbook.StepPrep, crew.Card()))
	c.Settle(id)
	c.Do(acts.StartFusion(c.H, id, 0), acts.EndFusion(c.H, id, logbook.FusionEnded{Outcome: logbook.Completed}))
	return id
}
