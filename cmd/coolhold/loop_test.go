//go:build unix

package main

import (
	"strings"
	"testing"
	"time"
)

// opensAlone says on the screens what a circuit showed while it alone was open.
func (c *crew) opensAlone(shut, flow, others, seen, max string) {
	c.t.Helper()
	c.press("1")
	c.answers("the other circuits", shut)
	c.types("flow on its own gauge", flow)
	c.answers("the other gauges", others)
	if seen != "" {
		c.types("which showed flow", seen)
	}
	if max == "" {
		c.answers("the most that the gauge can show", "enter") // as before
	} else {
		c.types("the most that the gauge can show", max)
	}
}

// Crossed legs are found by flow in a terminal, once both legs of every other circuit are
// shut: board, audit and register say so, until they are put right and looked at again.
func TestCrossedLegsPlayed(t *testing.T) {
	t.Parallel()
	c := testers(t)
	c.terminal = openBoard(t, c.env)
	c.gap = 0
	c.waitFor("joints open.")
	c.press("9")
	c.waitFor("7 tests")
	c.press("7")
	c.waitFor("Pressure tests")
	c.press("1")
	c.waitFor("no flow check")
	c.press("enter")
	c.waitFor("Flow, purge and fluid: circuit 1")

	c.opensAlone("2", "12", "1", "", "42") // valves on one rail only
	c.types("your name", "Hedda Roan")
	c.waitFor("valves on one rail only: cannot decide:")
	c.later(time.Minute)
	c.opensAlone("1", "12", "2", "2=14", "")
	c.answers("your name", "enter")
	c.waitFor("with circuit 1 open alone flow was seen in")
	for _, rule := range []string{"flow-crossed:1A", "flow-crossed:2B"} {
		if !c.audited(rule) {
			t.Errorf("%s is not in the audit", rule)
		}
	}
	if doc := c.runs(exitDone, "register", "--format", "json"); !strings.Contains(doc, `"outcome": "crossed"`) || !strings.Contains(doc, `"outcome": "undecided"`) {
		t.Error("the register does not say what was seen")
	}
	if says := c.runs(exitDone, "flow"); !strings.Contains(says, "circuit 1: 12 L/min (0.6 m/s wants 30.0 L/min): flow in circuit 2 while it is shut: legs are crossed") {
		t.Errorf("the verb says\n%s", says)
	}
	if says := c.runs(exitFindings, "cover"); !strings.Contains(says, "1A flow crossed") {
		t.Errorf("it may be covered:\n%s", says)
	}
	c.press("esc", "esc", "esc", "esc")
	c.waitFor("joints open.")
	c.waitFor("crossed     with circuit 1")
	c.press("9")
	c.waitFor("7 tests")
	c.press("7")
	c.waitFor("Pressure tests")
	c.press("1")
	c.waitFor("water and pump")
	c.press("enter")
	c.waitFor("Flow, purge and fluid: circuit 1")

	c.later(time.Hour)
	c.opensAlone("1", "28", "1", "", "")
	c.types("your name", "Hedda Roan")
	c.waitFor("28 L/min; both legs")
	if c.audited("flow-crossed:1A") {
		t.Error("it is put right, and still a fail")
	}
}
