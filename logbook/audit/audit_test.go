package audit_test

import (
	"slices"
	"strings"
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
	about := map[audit.Scope]string{audit.OnWeld: f.Weld, audit.OnJoint: f.Joint, audit.OnSite: "meadow", audit.OnPart: f.Part, audit.OnEntry: strings.TrimPrefix(f.Key, f.Rule+":")}[r.Scope]
	do := r.Do
	if f.Accepted != nil && f.Accepted.OwnWelder { // where somebody works alone there may be no foreman
		do = strings.ReplaceAll(do, "the foreman decides", "a named person decides")
	}
	if f.Key != f.Rule+":"+about || about == "" || f.Says == "" || f.Do != do || f.Basis != r.Basis || f.Severity != r.Severity || f.Work != r.Work {
		t.Errorf("finding %+v", f)
	}
	if r.Scope == audit.OnWeld && f.Weld != "KM-0002" && f.Rule+f.Weld != "two-in-jointKN-0001" && f.Rule+f.Weld != "two-on-portKN-0001" {
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
		if !slices.Contains([]audit.Scope{audit.OnWeld, audit.OnJoint, audit.OnPart, audit.OnSite, audit.OnEntry}, r.Scope) {
			t.Errorf("%s looks at %q", r.Slug, r.Scope)
		}
	}
}

// A basis says what is true: the reject lists, as far as they are remembered, hold
// scraping not to be seen, melt outside, wire to be seen, marks moved, a joint out
// of line, an indicator that is down, a fault code and a time unlike the label.
// What else is asked for names another source or says that we chose it.
func TestBasesAreTrue(t *testing.T) {
	held := []string{"unscraped", "melt-outside", "wire-seen", "marks-moved", "not-straight", "run-unlike-set"}
	own := map[string]string{
		"indicator-flat": "any look counts is our choice", "indicator-part": "our choice", "not-seen": "our choice", "preparation-unsaid": "our choice",
		"moves": "no source", "batch-missing": "from memory", "not-straight": "none is set", "small-header": "the designer decides",
		"fail-not-cut-out": "for other fails our choice",
	}
	seen := 0
	for _, r := range audit.Rules {
		if cites := strings.HasPrefix(r.Basis, "reject lists of"); cites != slices.Contains(held, r.Slug) {
			t.Errorf("%s rests on %q", r.Slug, r.Basis)
		}
		if want, is := own[r.Slug]; is {
			seen++
			if !strings.Contains(r.Basis, want) {
				t.Errorf("%s rests on %q, which does not say %q", r.Slug, r.Basis, want)
			}
		}
	}
	if seen != len(own) {
		t.Errorf("%d rules were looked at, want %d", seen, len(own))
	}
}
