package audit_test

import (
	"slices"
	"testing"
	"time"

	"coolhold/fusion"
	"coolhold/logbook"
	"coolhold/logbook/acts"
	"coolhold/logbook/audit"
)

var (
	failed     = []string{"fail-not-cut-out"}
	failedLate = []string{"fail-not-cut-out", "entered-later"}
)

func rulesOf(res audit.Result) (slugs []string) {
	for _, f := range res.Findings {
		slugs = append(slugs, f.Rule)
	}
	slices.Sort(slugs)
	return slugs
}

// seeded is a site on which 1A is well made and a fault is in 1B.
func seeded(t *testing.T, rule string, seed func(*team)) *team {
	t.Helper()
	c := onSite(t)
	c.made("1A", well())
	seed(c)
	if s, _ := c.Book.Site(c.H.Site); s.Shift != "" && rule != "shift-open" {
		c.round()
		c.Do(acts.CloseShift(c.H))
	}
	if rule == "unread" { // the round reached 1A only
		c.Do(acts.ReadLook(c.H, "KM-0001", logbook.Look{When: logbook.LookRound}))
	}
	return c
}

func TestEveryRuleFindsItsFault(t *testing.T) {
	tried := map[string]bool{}
	for _, tt := range faults {
		tried[tt.rule] = true
		t.Run(tt.rule, func(t *testing.T) {
			c := seeded(t, tt.rule, tt.seed)
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
	for _, r := range audit.Rules {
		if !tried[r.Slug] {
			t.Errorf("no fault is seeded for rule %s", r.Slug)
		}
	}
}

// wantWhole checks that a finding says what, where and what to do.
func wantWhole(t *testing.T, f audit.Finding) {
	t.Helper()
	i := slices.IndexFunc(audit.Rules, func(r audit.Rule) bool { return r.Slug == f.Rule })
	r := audit.Rules[i]
	about := map[audit.Scope]string{audit.OnWeld: f.Weld, audit.OnJoint: f.Joint, audit.OnSite: "meadow"}[r.Scope]
	if f.Key != f.Rule+":"+about || about == "" || f.Says == "" || f.Do != r.Do || f.Basis != r.Basis || f.Severity != r.Severity || f.Work != r.Work {
		t.Errorf("finding %+v", f)
	}
	if r.Scope == audit.OnWeld && f.Weld != "KM-0002" && f.Rule+f.Weld != "two-in-jointKN-0001" {
		t.Errorf("the fault of KM-0002 is found on %s", f.Weld)
	}
}

func TestACleanShiftHasNoFindings(t *testing.T) {
	c := onSite(t)
	c.made("1A", well())
	c.made("1B", well())
	c.round()
	c.Do(acts.CloseShift(c.H))
	c.Wait(48 * time.Hour)
	res := c.run()
	if got := rulesOf(res); len(got) != 0 {
		t.Errorf("found %q", got)
	}
	for _, j := range c.Book.Joints(c.H.Site) {
		if !res.Settled(j) || res.Verdict(j.Stands) != audit.Clear || res.StateOf(j) != "clear" {
			t.Errorf("%s: settled %v, %q", j.Label, res.Settled(j), res.StateOf(j))
		}
	}
	if none := audit.Run(c.Book, "nowhere", c.H.At, fusion.Stamp{}); len(none.Findings) != 0 {
		t.Errorf("a site that is not there has %v", none.Findings)
	}
}

func TestRulesAreWhole(t *testing.T) {
	slugs := map[string]bool{}
	for _, r := range audit.Rules {
		if r.Slug == "" || r.Says == "" || r.Do == "" || r.Basis == "" || r.Severity.String() == "" {
			t.Errorf("rule %+v is not whole", r)
		}
		if slugs[r.Slug] {
			t.Errorf("two rules are called %s", r.Slug)
		}
		slugs[r.Slug] = true
		if !slices.Contains([]audit.Scope{audit.OnWeld, audit.OnJoint, audit.OnSite}, r.Scope) {
			t.Errorf("%s looks at %q", r.Slug, r.Scope)
		}
	}
}
