package audit

import (
	"slices"
	"testing"
	"time"

	"coolhold/fusion"
	"coolhold/logbook"
)

// how is a case in which 1B was welded in one other manner.
func how(change func(*manner)) func(*crew) {
	return func(c *crew) {
		m := well()
		change(&m)
		c.made("1B", m)
	}
}

func answered(item, v string) func(*crew) { return how(func(m *manner) { m.answers[item] = v }) }

func hot(change func(*logbook.Look)) func(*crew) { return how(func(m *manner) { change(&m.hot) }) }

func late(change func(*logbook.LateWeld)) func(*crew) { return func(c *crew) { c.late(change) } }

// faults holds one seeded fault for each rule: 1A is well made, 1B as said.
// with are the further rules that must speak up with it, and no others may.
var faults = []struct {
	rule string
	with []string
	seed func(*crew)
}{
	{"unscraped", failed, answered("scraped", logbook.CouldNot)},
	{"keyed-unlike-table", failedLate, late(func(l *logbook.LateWeld) { l.SecondsShown, *l.Run = 44, 44 })},
	{"stopped-in-fusion", failed, how(func(m *manner) {
		m.ended = logbook.FusionEnded{Outcome: logbook.Stopped, Said: "voltage lost"}
	})},
	{"indicator-flat", failed, hot(func(l *logbook.Look) { l.Indicators = []string{logbook.Up, logbook.Flat} })},
	{"melt-outside", failed, hot(func(l *logbook.Look) { l.Melt = "outside" })},
	{"wire-seen", failed, hot(func(l *logbook.Look) { l.Wire = "seen" })},
	{"moves", failed, how(func(m *manner) { m.felt.Felt = "moves" })},
	{"disturbed", failed, func(c *crew) { c.do(logbook.Disturb(c.h, c.fused("1B", well()), 5, "digger")) }},
	{"released-early", failedLate, late(func(l *logbook.LateWeld) { l.Released = l.Ended.Add(6*time.Minute - time.Second) })},
	{"preparation-could-not", nil, answered("clamped", logbook.CouldNot)},
	{"preparation-unsaid", nil, answered("wiped", logbook.NotYet)},
	{"scraping-method", nil, answered(logbook.ItemMethod, "hand tool")},
	{"fitting-unlike-plan", nil, answered(logbook.ItemFitting, "elbow 40")},
	{"pipe-unlike-plan", nil, answered(logbook.ItemPrint, logbook.UnlikePlan)},
	{"wet", nil, func(c *crew) {
		c.do(logbook.ChangeWeather(c.h, logbook.Weather{Sky: "rain or snow", Shelter: "none"}))
		c.made("1B", well())
	}},
	{"ambient-outside", []string{"entered-later"}, late(func(l *logbook.LateWeld) { l.Ambient = 25_51 })},
	{"resistance-outside", nil, how(func(m *manner) { m.ohms = 2.1 })},
	{"row-not-allowed", []string{"entered-later", "fitting-unlike-plan", "ambient-outside"}, late(func(l *logbook.LateWeld) {
		i := slices.IndexFunc(l.Answers, func(a logbook.Answer) bool { return a.Item == logbook.ItemFitting })
		l.Answers[i].V = "odd one"
	})},
	{"run-unlike-set", nil, how(func(m *manner) { m.ran = 39 })},
	{"nobody-saw", nil, how(func(m *manner) { m.ended.Outcome = logbook.NotSeen })},
	{"indicator-part", nil, hot(func(l *logbook.Look) { l.Indicators = []string{logbook.Part, logbook.Up} })},
	{"not-seen", nil, hot(func(l *logbook.Look) { l.Marks = logbook.Unseen })},
	{"marks-moved", nil, hot(func(l *logbook.Look) { l.Marks = "moved" })},
	{"not-straight", nil, hot(func(l *logbook.Look) { l.Straight = "no" })},
	{"hold-across-restart", nil, func(c *crew) {
		id := c.fused("1B", well())
		c.restart()
		c.wait(6 * time.Minute)
		c.do(logbook.Release(c.h, id, well().felt, fusion.Stamp{}))
	}},
	{"clock-doubted", []string{"hold-across-restart"}, func(c *crew) {
		id := c.fused("1B", well())
		c.restart()
		c.do(logbook.AcceptGap(c.h, id, "sat beside it"))
		c.do(logbook.Release(c.h, id, well().felt, fusion.Stamp{}))
	}},
	{"entered-later", nil, late(func(*logbook.LateWeld) {})},
	{"batch-missing", nil, answered(logbook.ItemBatch, logbook.NotKnown)},
	{"walk-open", []string{"missing-weld"}, func(c *crew) { c.begun("1B", well()) }},
	{"end-unsaid", nil, func(c *crew) { c.do(logbook.StartFusion(c.h, c.begun("1B", well()), 0)) }},
	{"unread", []string{"unreleased", "round-not-done"}, func(c *crew) {
		id := c.begun("1B", well())
		c.do(logbook.StartFusion(c.h, id, 0))
		c.do(logbook.EndFusion(c.h, id, logbook.FusionEnded{Outcome: logbook.Completed}))
		c.do(logbook.CloseShift(c.h)) // without the round, in which it would be looked at
	}},
	{"unreleased", nil, func(c *crew) { c.fused("1B", well()) }},
	{"round-not-done", nil, func(c *crew) {
		c.round()
		c.made("1B", well())
		c.do(logbook.CloseShift(c.h))
	}},
	{"missing-weld", nil, func(*crew) {}},
	{"fail-not-cut-out", []string{"wire-seen"}, hot(func(l *logbook.Look) { l.Wire = "seen" })},
	{"shift-open", nil, func(c *crew) { c.made("1B", well()); c.wait(24 * time.Hour) }},
}

var (
	failed     = []string{"fail-not-cut-out"}
	failedLate = []string{"fail-not-cut-out", "entered-later"}
)

func rulesOf(res Result) (slugs []string) {
	for _, f := range res.Findings {
		slugs = append(slugs, f.Rule)
	}
	slices.Sort(slugs)
	return slugs
}

func TestEveryRuleFindsItsFault(t *testing.T) {
	tried := map[string]bool{}
	for _, tt := range faults {
		tried[tt.rule] = true
		t.Run(tt.rule, func(t *testing.T) {
			c := onSite(t)
			c.made("1A", well())
			tt.seed(c)
			if s, _ := c.book.Site(c.h.Site); s.Shift != "" && tt.rule != "shift-open" {
				c.round()
				c.do(logbook.CloseShift(c.h))
			}
			if tt.rule == "unread" { // the round reached 1A only
				c.do(logbook.ReadLook(c.h, "KM-0001", logbook.Look{When: logbook.LookRound}))
			}
			want := append([]string{tt.rule}, tt.with...)
			slices.Sort(want)
			res := c.run()
			if got := rulesOf(res); !slices.Equal(got, want) {
				t.Errorf("found %q, want %q", got, want)
			}
			for _, f := range res.Findings {
				wantWhole(t, f)
			}
		})
	}
	for _, r := range Rules {
		if !tried[r.Slug] {
			t.Errorf("no fault is seeded for rule %s", r.Slug)
		}
	}
}

// wantWhole checks that a finding says what, where and what to do.
func wantWhole(t *testing.T, f Finding) {
	t.Helper()
	i := slices.IndexFunc(Rules, func(r Rule) bool { return r.Slug == f.Rule })
	r := Rules[i]
	about := map[Scope]string{OnWeld: f.Weld, OnJoint: f.Joint, OnSite: "meadow"}[r.Scope]
	if f.Key != f.Rule+":"+about || about == "" || f.Says == "" || f.Do != r.Do || f.Basis != r.Basis || f.Severity != r.Severity || f.Work != r.Work {
		t.Errorf("finding %+v", f)
	}
	if r.Scope == OnWeld && f.Weld != "KM-0002" {
		t.Errorf("the fault of KM-0002 is found on %s", f.Weld)
	}
}

func TestACleanShiftHasNoFindings(t *testing.T) {
	c := onSite(t)
	c.made("1A", well())
	c.made("1B", well())
	c.round()
	c.do(logbook.CloseShift(c.h))
	c.wait(48 * time.Hour)
	res := c.run()
	if got := rulesOf(res); len(got) != 0 {
		t.Errorf("found %q", got)
	}
	for _, j := range c.book.Joints(c.h.Site) {
		if !res.Settled(j) || res.Verdict(j.Stands) != Clear || res.StateOf(j) != "clear" {
			t.Errorf("%s: settled %v, %q", j.Label, res.Settled(j), res.StateOf(j))
		}
	}
	if none := Run(c.book, "nowhere", c.h.At, fusion.Stamp{}); len(none.Findings) != 0 {
		t.Errorf("a site that is not there has %v", none.Findings)
	}
}

func TestRulesAreWhole(t *testing.T) {
	slugs := map[string]bool{}
	for _, r := range Rules {
		if r.Slug == "" || r.Says == "" || r.Do == "" || r.Basis == "" || r.Check == nil || r.Severity.String() == "" {
			t.Errorf("rule %+v is not whole", r)
		}
		if slugs[r.Slug] {
			t.Errorf("two rules are called %s", r.Slug)
		}
		slugs[r.Slug] = true
		if !slices.Contains([]Scope{OnWeld, OnJoint, OnSite}, r.Scope) {
			t.Errorf("%s looks at %q", r.Slug, r.Scope)
		}
	}
}
