package audit_test

import (
	"slices"
	"testing"
	"time"

	"coolhold/fusion"
	"coolhold/logbook"
	"coolhold/logbook/acts"
	"coolhold/logbook/audit"
	"coolhold/logbook/crew"
)

// goesThrough does what a door says about a finding, by its act.
var goesThrough = map[string]func(*team, audit.Finding){
	"Accept": func(c *team, f audit.Finding) { c.Do(acts.Accept(c.foreman(), none, f.Judged(), "seen on site")) },
	"Cut": func(c *team, f audit.Finding) {
		id := f.Weld
		if id == "" {
			j, _ := c.Book.Joint(c.H.Site, f.Joint)
			id = j.Stands
		}
		c.Do(acts.Cut(c.H, id, "as the audit says"))
	},
	"LookAgain": func(c *team, f audit.Finding) { c.again(c.foreman(), f.Weld, again(nil)) },
	"ReadLook":  func(c *team, f audit.Finding) { c.Do(acts.ReadLook(c.H, f.Weld, well().hot)) },
	"BeginWeld": func(c *team, f audit.Finding) {
		c.onShift()
		c.made(f.Joint, fits(c, f.Joint))
		c.closed()
	},
	"EnterLater": func(c *team, f audit.Finding) {
		c.late(func(l *acts.LateWeld) { l.Joint = f.Joint })
	},
	"StrikeJoint": func(c *team, f audit.Finding) { c.Do(acts.StrikeJoint(c.H, f.Joint, "not needed")) },
	"Happen": func(c *team, f audit.Finding) {
		c.Do(acts.Happen(c.H, f.Joint, logbook.Happened{What: logbook.Repaired, On: "2026-03-09", Text: "a sleeve"}))
	},
	"TakeUpJoint": func(c *team, f audit.Finding) { c.Do(acts.TakeUpJoint(c.H, f.Joint, "the pipe is there")) },
	"AbandonWalk": func(c *team, f audit.Finding) { c.Do(acts.AbandonWalk(c.H, f.Weld, "begun by mistake")) },
	"EndFusion": func(c *team, f audit.Finding) {
		c.Do(acts.EndFusion(c.H, f.Weld, logbook.FusionEnded{Outcome: logbook.Completed}))
	},
	"StartFusion": func(c *team, f audit.Finding) {
		c.Do(acts.ReadOhms(c.H, f.Weld, new(2.4)), acts.StartFusion(c.H, f.Weld, 0))
		c.Wait(40 * time.Second)
		c.Do(acts.EndFusion(c.H, f.Weld, logbook.FusionEnded{Outcome: logbook.Completed}), acts.ReadRun(c.H, f.Weld, new(40)))
	},
	"Release": func(c *team, f audit.Finding) {
		c.Wait(time.Hour)
		c.Do(acts.Release(c.H, f.Weld, well().felt, fusion.Stamp{}))
	},
	"Disturb":    func(c *team, f audit.Finding) { c.Do(acts.Disturb(c.H, f.Weld, 3, "", "digger")) },
	"CloseShift": func(c *team, f audit.Finding) { c.closed() },
	"BeginPressure": func(c *team, f audit.Finding) {
		c.Wait(time.Hour)
		c.Presses(crew.Pressing(crew.Circuit1), 6.1, 6.05)
	},
	"EndPressure": func(c *team, f audit.Finding) {
		c.Do(acts.EndPressure(c.H, logbook.PressureEnded{Test: "KM-P1", Ending: logbook.RanToEnd, Leaks: logbook.LeakNone}))
	},
	"WithdrawPressure": func(c *team, f audit.Finding) { c.Do(acts.WithdrawPressure(c.H, "KM-P1", "the wrong circuit")) },
	"NameClosing": func(c *team, f audit.Finding) {
		j, _ := c.Book.Joint(c.H.Site, f.Joint)
		c.Do(acts.NameClosing(c.H, j.Stands, "the last one"))
	},
	"LookUnderPressure": func(c *team, f audit.Finding) {
		c.Do(acts.LookUnderPressure(c.foreman(), f.Weld, logbook.PressureLook{Bar: 3, Leaks: logbook.LeakNone, Witness: crew.Witness}))
	},
}

// fits is a weld well made with the fitting of a joint.
func fits(c *team, label string) manner {
	m := well()
	j, _ := c.Book.Joint(c.H.Site, label)
	m.answers[logbook.ItemFitting] = j.Fitting
	return m
}

// onShift starts a shift where none is open: what is done later is done on another day.
func (c *team) onShift() {
	c.T.Helper()
	s, _ := c.Book.Site(c.H.Site)
	if s.Shift != "" {
		return
	}
	c.H.Shift = ""
	c.shift("", "")
}

// leads are the findings that going through a door may open: a weld that is cut out leaves
// its joint open, a fusion that is ended is looked at and held, what was disturbed is cut
// out, what was typed in later is a query.
var leads = map[string][]string{
	"Cut": {"cut-not-replaced"}, "EndFusion": {"unread", "unreleased", "round-not-done"}, "StartFusion": {"unread", "unreleased", "round-not-done"},
	"ReadLook": {}, "Disturb": {"disturbed", "fail-not-cut-out"}, "EnterLater": {"entered-later", "round-not-done", "day-changed-after-signing", "bag-not-read", "fitting-unlike-plan", "fitting-unfit", "keyed-unlike-table", "fail-not-cut-out", "welded-before-cut-out"},
	"Happen": {audit.RepairUnseen}, "StrikeJoint": {audit.LegStruck}, "TakeUpJoint": {"missing-weld"},
	"NameClosing": {audit.ClosingUnseen}, "EndPressure": {audit.PressureUndecided}, "WithdrawPressure": {audit.PressureBack},
	"BeginWeld": {}, "AbandonWalk": {"missing-weld"},
}

func (c *team) openKeys() (keys []string) {
	for _, f := range c.run().Open() {
		keys = append(keys, f.Key)
	}
	return keys
}

// Every rule has a door for what it finds: through it that finding is open no more, and
// nothing is opened but what follows from it.
func TestEveryRuleHasADoor(t *testing.T) {
	walked := map[string]bool{}
	for _, tt := range faults {
		at := slices.IndexFunc(audit.Rules, func(r audit.Rule) bool { return r.Slug == tt.rule })
		if at < 0 {
			t.Errorf("a fault is seeded for %s, which is no rule", tt.rule)
			continue
		}
		rule := audit.Rules[at]
		walked[rule.Slug] = true
		if len(rule.Doors()) == 0 && rule.Severity != audit.Note && !unread(rule.Slug) {
			t.Errorf("rule %s has no door: name in doors.go the act that ends it, and where it is done", rule.Slug)
		}
		for _, d := range rule.Doors() {
			t.Run(rule.Slug+"/"+d.Act, func(t *testing.T) {
				c := seeded(t, tt.rule, tt.seed)
				f := c.of(tt.rule)
				if !f.Open() {
					t.Fatalf("%s is not open before: its seed shows nothing", f.Key)
				}
				through(t, c, f, d)
			})
		}
	}
	for _, r := range audit.Rules {
		if !walked[r.Slug] {
			t.Errorf("no fault is seeded for rule %s: its door was not tried", r.Slug)
		}
	}
}

// through goes through a door and looks at what is open then.
func through(t *testing.T, c *team, f audit.Finding, d audit.Door) {
	t.Helper()
	goes, known := goesThrough[d.Act]
	if !known {
		t.Fatalf("the door %s of rule %s was not tried: say in goesThrough how it is gone through", d.Act, f.Rule)
	}
	if d.Screen == "" && d.Verb == "" && d.Paper == "" {
		t.Errorf("the door %s of rule %s is nowhere: no screen, no verb, no column of the sheet", d.Act, f.Rule)
	}
	before := c.openKeys()
	goes(c, f)
	for _, o := range c.run().Open() {
		switch {
		case o.Key == f.Key:
			t.Errorf("%s is open still after %s: %s", o.Key, d.Act, o.Says)
		case !slices.Contains(before, o.Key) && !slices.Contains(leads[d.Act], o.Rule):
			t.Errorf("%s opened %s: %s", d.Act, o.Key, o.Says)
		}
	}
}

// Of whatever is seeded nothing is left in the end: each open finding through its last
// door, those of a weld first. And no joint waits for anything that no open finding names.
func TestEveryFaultCanBeEnded(t *testing.T) {
	for _, tt := range faults {
		if unread(tt.rule) {
			continue // TestWhatIsNotRead sees that nothing ends it
		}
		t.Run(tt.rule, func(t *testing.T) {
			c := seeded(t, tt.rule, tt.seed)
			for range 12 {
				wantNamed(t, c)
				open := c.run().Open()
				if len(open) == 0 {
					break
				}
				f := open[max(0, slices.IndexFunc(open, func(f audit.Finding) bool { return f.Weld != "" }))]
				doors := doorsOf(f)
				if len(doors) == 0 {
					t.Fatalf("%s is open and has no door", f.Key)
				}
				goesThrough[doors[len(doors)-1].Act](c, f)
			}
			res := c.run()
			for _, f := range res.Open() {
				t.Errorf("open in the end: %s: %s", f.Key, f.Says)
			}
			for _, l := range res.Unsettled() {
				t.Errorf("joint %s is not settled in the end: %s", l.Joint, l.State)
			}
		})
	}
}

func doorsOf(f audit.Finding) []audit.Door {
	i := slices.IndexFunc(audit.Rules, func(r audit.Rule) bool { return r.Slug == f.Rule })
	return audit.Rules[i].Doors()
}

// wantNamed wants each joint that is not settled to have an open finding, with its door.
func wantNamed(t *testing.T, c *team) {
	t.Helper()
	res := c.run()
	for _, l := range res.Unsettled() {
		if !slices.ContainsFunc(res.OfJoint(l.Joint), audit.Finding.Open) {
			t.Errorf("joint %s is %q and no open finding says what to do", l.Joint, l.State)
		}
	}
}
