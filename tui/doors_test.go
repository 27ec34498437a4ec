package tui

import (
	"strings"
	"testing"
	"time"

	"coolhold/fusion"
	"coolhold/logbook"
	"coolhold/logbook/acts"
	"coolhold/logbook/audit"
	"coolhold/logbook/crew"
)

// picks takes the line of a menu that begins so.
func (m *meadow) picks(text string) {
	m.t.Helper()
	for _, line := range strings.Split(m.frame(), "\n") {
		if digit, rest, ok := strings.Cut(strings.TrimSpace(line), "  "); ok && len(digit) == 1 && strings.HasPrefix(rest, text) {
			m.keys(digit)
			return
		}
	}
	m.t.Fatalf("no line %q:\n%s", text, m.frame())
}

// atJoint opens the menu of a joint.
func (m *meadow) atJoint(label, line string) {
	m.t.Helper()
	m.choose(label + " ")
	m.keys("enter")
	m.picks(line)
}

// A wayIn is a screen's door: what is done before, the finding that is open then, and the
// keys that end it.
type wayIn struct {
	open   string // key of the finding
	before func(*crew.Crew)
	keys   func(*meadow)
}

// done is a weld that is released, and its shift is closed.
func done(c *crew.Crew) {
	id := c.Fused("1A")
	c.Do(acts.ReadRun(c.H, id, new(40)), acts.ReadLook(c.H, id, wholeLook()))
	c.Wait(time.Hour)
	c.Do(acts.Release(c.H, id, crew.Look(logbook.LookRelease), fusion.Stamp{}))
	c.Do(acts.CloseShift(c.H))
}

func wholeLook() logbook.Look {
	return logbook.Look{When: logbook.LookHot, Indicators: []string{logbook.Up}, Melt: "none", Wire: "none", Marks: "inplace", Straight: logbook.Yes, How: logbook.Typed}
}

var waysIn = map[string]wayIn{
	"page of a weld, joint or site: accept": {
		"entered-later:KM-0001", func(c *crew.Crew) { c.Late(func(l *acts.LateWeld) { l.Joint = "1A" }) },
		func(m *meadow) {
			m.keys("9", "1")
			m.choose("KM-0001")
			m.keys("enter", "1")
			if strings.Contains(m.frame(), "which query") {
				m.picks("was entered later")
			}
			m.text("Hedda Roan")
			m.text("asked both")
		},
	},
	"joint: it was cut out": {
		"cut-ordered:KM-0001", func(c *crew.Crew) { done(c); c.Do(acts.OrderCut(c.H, "KM-0001", "too deep")) },
		func(m *meadow) {
			m.atJoint("1A", "record that KM-0001 was cut out")
			m.text("Ada Invented")
			m.text("as ordered")
		},
	},
	"joint, page of a weld: look again": {
		"round-not-done:KM-0001", done,
		func(m *meadow) {
			m.atJoint("1A", "look at KM-0001 again")
			m.text("Hedda Roan")
			m.keys("enter", "1", "1", "1", "1", "1", "1")
		},
	},
	"joint: weld it": {
		"missing-weld:1A", nil, func(m *meadow) { m.upToStart("1A", "1"); m.fuses() },
	},
	"joint: enter a weld made without the laptop": {
		"missing-weld:1A", nil, func(m *meadow) {
			m.atJoint("1A", "enter a weld made without the laptop")
			m.picks("1A")
			m.picks("coupler 40")
			m.keys("enter", "enter", "1")
			m.keys("enter", "enter", "enter", "1", "1")
			m.text("9")
			m.keys("1")
			m.text("40")
			m.keys("space", "space")
			m.text("07:30")
			m.keys("1", "space", "1", "1", "1", "1", "1", "1")
			m.text("laptop in the van")
		},
	},
	"joint: it is not being built": {
		"missing-weld:1A", nil, func(m *meadow) {
			m.atJoint("1A", "it is not being built")
			m.text("Ada Invented")
			m.text("the loop was dropped")
		},
	},
	"joint: it is being built after all": {
		"leg-not-built:1B", func(c *crew.Crew) { done(c); c.Do(acts.StrikeJoint(c.H, "1B", "not needed")) },
		func(m *meadow) {
			m.atJoint("1B", "it is being built after all")
			m.text("Ada Invented")
			m.text("the pipe is there")
		},
	},
	"joint: give it up": {
		"walk-open:KM-0001", func(c *crew.Crew) { c.Prepared("1A") },
		func(m *meadow) { m.atJoint("1A", "give KM-0001 up"); m.text("begun by mistake") },
	},
	"joint: go to the look": {
		"unread:KM-0001", func(c *crew.Crew) { c.Do(acts.ReadRun(c.H, c.Fused("1A"), new(40))) },
		func(m *meadow) { m.atJoint("1A", "go to KM-0001: look"); m.keys("0", "1") },
	},
	"what runs: the fusion": {
		"end-unsaid:KM-0001", func(c *crew.Crew) { id := c.Prepared("1A"); c.Do(acts.StartFusion(c.H, id, 0)) },
		func(m *meadow) { m.pass(time.Minute); m.keys("right", "1", "1") },
	},
	"what runs: release": {
		"unreleased:KM-0001", func(c *crew.Crew) {
			id := c.Fused("1A")
			c.Do(acts.ReadRun(c.H, id, new(40)), acts.ReadLook(c.H, id, wholeLook()))
		},
		func(m *meadow) { m.pass(time.Hour); m.keys("right", "1", "0", "1") },
	},
	"what runs: it was moved": {
		"unreleased:KM-0001", func(c *crew.Crew) {
			id := c.Fused("1A")
			c.Do(acts.ReadRun(c.H, id, new(40)), acts.ReadLook(c.H, id, wholeLook()))
		},
		func(m *meadow) { m.keys("right", "1", "2"); m.text("1"); m.text("digger") },
	},
	"what runs: the next zone": {
		"zone-not-fused:KM-0001", func(c *crew.Crew) {
			two := strings.ReplaceAll(crew.TableText, "cooling_min", "zones = 2\ncooling_min")
			c.Do(acts.TakeTable(c.H, acts.File{Name: "two.toml", Text: two}), acts.ReadBack(c.H, logbook.Hash(two)))
			c.Do(acts.ReadRun(c.H, c.Fused("1A"), new(40)))
		},
		func(m *meadow) {
			m.keys("right", "1")
			m.text("2.3")
			m.keys("1")
			m.pass(40 * time.Second)
			m.keys("1")
		},
	},
	"end-of-shift check: close the shift": {
		"shift-open:invented-meadow", func(c *crew.Crew) { c.Wait(24 * time.Hour) },
		func(m *meadow) { m.keys("3", "9", "1") },
	},
	"pressure tests: begin one": {
		"pressure-failed:KM-P1", func(c *crew.Crew) { c.Presses(crew.Pressing(crew.Circuit1), 6.1, 5.1) },
		func(m *meadow) {
			m.keys("9", "7", "enter", "1")
			m.presses()
			m.keys("enter", "2", "1") // the mark stands on the one just begun
			m.text("6.1")
			m.keys("enter")
			m.pass(31 * time.Minute)
			m.keys("1")
			m.text("6.1")
			m.keys("enter")
			m.ends()
		},
	},
	"pressure test: say how it ended": {
		"pressure-test-open:KM-P1", func(c *crew.Crew) { c.Begins(crew.Pressing(crew.Circuit1)) },
		func(m *meadow) { m.keys("9", "7", "enter", "enter"); m.ends() },
	},
	"pressure test: take it back": {
		"pressure-test-open:KM-P1", func(c *crew.Crew) { c.Begins(crew.Pressing(crew.Circuit1)) },
		func(m *meadow) {
			m.keys("9", "7", "enter", "enter", "9", "1", "enter")
			m.text("Ada Invented")
		},
	},
	"pressure tests: closing weld": {
		"untested-since:1A", weldedAfterTest,
		func(m *meadow) {
			m.keys("9", "7", "enter", "3", "1")
			m.text("the last one")
			m.text("Ada Invented")
		},
	},
	"pressure tests: look at a weld": {
		"closing-weld-unseen:KM-0001", func(c *crew.Crew) {
			weldedAfterTest(c)
			c.Do(acts.NameClosing(c.H, "KM-0001", "the last one"))
		},
		func(m *meadow) {
			m.keys("9", "7", "enter", "4", "1")
			m.text("3")
			m.keys("1")
			m.text("Bo Invented")
			m.text("Hedda Roan")
		},
	},
}

// weldedAfterTest is a weld in a circuit that was tested before it was made.
func weldedAfterTest(c *crew.Crew) {
	c.Presses(crew.Pressing(crew.Circuit1), 6.1, 6.1)
	done(c)
}

// presses gives all that is asked before a test.
func (m *meadow) presses() {
	m.t.Helper()
	m.keys("4", "1")
	for _, text := range []string{"invented, 4.2", "flow gauge", "10", "G-77", "10", "0.05", "2026-01-12", "1.2", "6", "30", "0.2", "9", "8"} {
		m.text(text)
	}
	m.keys("2", "1", "3", "3", "1", "1")
	m.text("Bo Invented")
	m.text("Hedda Roan")
}

// ends ends a test that no leak was seen in, with nothing left standing.
func (m *meadow) ends() {
	m.t.Helper()
	m.keys("3", "1", "1")
	m.text("0")
	m.text("Hedda Roan")
}

// Each screen that a door of the audit names ends what it is said to end, by keys.
func TestTheDoorsOnTheScreens(t *testing.T) {
	tried := map[string]bool{}
	for _, r := range audit.Rules {
		for _, d := range r.Doors() {
			way, known := waysIn[d.Screen]
			switch {
			case d.Screen == "" || tried[d.Screen]:
				continue
			case !known:
				t.Errorf("rule %s is ended at %q, and no keys are given for it in waysIn", r.Slug, d.Screen)
				continue
			}
			tried[d.Screen] = true
			t.Run(d.Screen, func(t *testing.T) { way.ends(t) })
		}
	}
	for screen := range waysIn {
		if !tried[screen] {
			t.Errorf("no rule is ended at %q any more", screen)
		}
	}
}

func (w wayIn) ends(t *testing.T) {
	before := w.before
	if before == nil {
		before = func(*crew.Crew) {}
	}
	m := onMeadow(t, before)
	open := func() bool {
		f, found := audit.Run(m.Memory.Book, m.H.Site, *m.now, fusion.Stamp{}).Find(w.open)
		return found && f.Open()
	}
	if !open() {
		t.Fatalf("%s is not open before", w.open)
	}
	if w.keys(m); open() {
		t.Errorf("%s is open still:\n%s", w.open, m.frame())
	}
}
