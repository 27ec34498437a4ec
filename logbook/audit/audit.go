// Package audit says what a record shows: rules over the records of a site,
// each a pure function with its basis. No verdict is ever stored; it follows
// from the rules as of a given time. What the rules do not find is "clear",
// no fault recorded: nothing here says that a weld is good.
package audit

import (
	"cmp"
	"slices"

	"coolhold/fusion"
	"coolhold/logbook"
)

// A Severity orders findings, the worst first.
type Severity int

// The severities of trade.md's reject lists; the split is our choice.
const (
	Fail  Severity = iota // cut it out
	Query                 // the foreman must decide
	Note                  // for the file
)

// String is the word for the severity.
func (s Severity) String() string { return [...]string{"fail", "query", "note"}[s] }

// MarshalText writes the word.
func (s Severity) MarshalText() ([]byte, error) { return []byte(s.String()), nil }

// A Scope is what a rule looks at, one at a time.
type Scope string

// The scopes.
const (
	OnWeld  Scope = "weld"
	OnJoint Scope = "joint"
	OnSite  Scope = "site"
)

// A Rule finds one kind of fault or gap. Check returns a line for a person, or
// nothing.
type Rule struct {
	Slug     string
	Severity Severity
	Scope    Scope
	Work     bool   // unfinished work rather than a fault: no part of a verdict
	Says     string // what it looks for
	Do       string // what to do about it
	Basis    string // source, "common practice, no source" or "our choice"
	Check    func(Case) string
}

// A Case is what a rule is given.
type Case struct {
	Read    logbook.Reader
	Site    logbook.Site
	Joint   logbook.Joint
	Weld    logbook.Weld
	Shift   logbook.Shift
	AsOf    fusion.Stamp
	Beat    fusion.Stamp
	verdict func(weld string) Verdict
}

// A Finding is what a rule found. Its key is stable: the same rule on the same
// weld or joint.
type Finding struct {
	Key      string          `json:"key"`
	Rule     string          `json:"rule"`
	Severity Severity        `json:"severity"`
	Joint    string          `json:"joint,omitempty"`
	Weld     string          `json:"weld,omitempty"`
	Says     string          `json:"says"`
	Do       string          `json:"do"`
	Basis    string          `json:"basis"`
	Accepted *logbook.Review `json:"accepted,omitempty"`
	Work     bool            `json:"work"`
	Settled  bool            `json:"settled"` // accepted, or its weld is cut out
}

// A Verdict is what the record of a weld shows.
type Verdict string

// The verdicts.
const (
	Clear      Verdict = "clear" // no fault recorded
	Accepted   Verdict = "accepted"
	Queried    Verdict = "query"
	Failed     Verdict = "fail"
	Unfinished Verdict = "unfinished"
	NoHeat     Verdict = "given up" // before any current
)

// A Result is all findings on a site as of a time.
type Result struct {
	Findings []Finding
	read     logbook.Reader
	site     string
	byWeld   map[string][]int
}

// Run applies every rule to a site. The same records and the same time give
// the same result.
func Run(r logbook.Reader, site string, asOf, beat fusion.Stamp) Result {
	res := Result{read: r, site: site, byWeld: map[string][]int{}}
	s, ok := r.Site(site)
	if !ok {
		return res
	}
	base := Case{Read: r, Site: s, AsOf: asOf, Beat: beat}
	for _, w := range r.Welds(site) {
		c := base
		c.Weld = w
		c.Joint, _ = r.Joint(site, w.Joint)
		c.Shift, _ = r.Shift(site, w.Shift)
		res.apply(OnWeld, c)
	}
	res.index()
	base.verdict = res.Verdict // of the welds as found so far: all of them
	for _, j := range r.Joints(site) {
		c := base
		c.Joint = j
		c.Weld, _ = r.Weld(site, j.Stands)
		res.apply(OnJoint, c)
	}
	res.apply(OnSite, base)
	slices.SortStableFunc(res.Findings, func(a, b Finding) int {
		return cmp.Or(cmp.Compare(a.Severity, b.Severity), cmp.Compare(a.Joint, b.Joint), cmp.Compare(a.Weld, b.Weld))
	})
	res.index()
	return res
}

func (res *Result) apply(scope Scope, c Case) {
	for _, rule := range Rules {
		if rule.Scope != scope {
			continue
		}
		says := rule.Check(c)
		if says == "" {
			continue
		}
		res.Findings = append(res.Findings, finding(rule, c, says))
	}
}

func (res *Result) index() {
	clear(res.byWeld)
	for i, f := range res.Findings {
		if f.Weld != "" {
			res.byWeld[f.Weld] = append(res.byWeld[f.Weld], i)
		}
	}
}

func finding(rule Rule, c Case, says string) Finding {
	f := Finding{
		Rule: rule.Slug, Severity: rule.Severity, Joint: c.Joint.Label, Says: says,
		Do: rule.Do, Basis: rule.Basis, Work: rule.Work,
	}
	about := c.Joint.Label
	if rule.Scope == OnWeld {
		f.Weld, about = c.Weld.ID, c.Weld.ID
		f.Settled = c.Weld.CutOut != nil || c.Weld.Abandoned != ""
	}
	if rule.Scope == OnSite {
		about = c.Site.ID
	}
	f.Key = rule.Slug + ":" + about
	if rule.Severity == Query {
		f.Accepted = reviewOf(c.Weld, f)
		f.Settled = f.Settled || f.Accepted != nil
	}
	return f
}

// reviewOf is the last review of a finding, if it accepts the facts as they
// are now. When they change the finding is open again.
func reviewOf(w logbook.Weld, f Finding) *logbook.Review {
	for i := len(w.Reviews) - 1; i >= 0; i-- {
		if v := w.Reviews[i]; v.Key == f.Key {
			if v.Accepted && v.Facts == f.Says {
				return &v
			}
			return nil
		}
	}
	return nil
}

// OfWeld are the findings on one weld, faults only or unfinished work too.
func (res Result) OfWeld(id string) []Finding {
	var out []Finding
	for _, i := range res.byWeld[id] {
		out = append(out, res.Findings[i])
	}
	return out
}

// Verdict is what the record of a weld shows.
func (res Result) Verdict(id string) Verdict {
	w, ok := res.read.Weld(res.site, id)
	if !ok {
		return ""
	}
	queries, accepted := 0, 0
	for _, f := range res.OfWeld(id) {
		switch {
		case f.Work || f.Severity == Note:
		case f.Severity == Fail:
			return Failed
		case f.Accepted != nil:
			accepted++
		default:
			queries++
		}
	}
	switch {
	case w.Abandoned != "":
		return NoHeat
	case !finished(w):
		return Unfinished
	case queries > 0:
		return Queried
	case accepted > 0:
		return Accepted
	}
	return Clear
}

// finished: fused, its indicators read, and out of its hold.
func finished(w logbook.Weld) bool {
	return w.Ended != nil && (w.Released != nil || w.Disturbed != nil) && (len(w.Looks) > 0 || w.Outcome != logbook.Completed)
}

// Open are the findings that somebody must still do something about, notes
// left out.
func (res Result) Open() []Finding {
	var out []Finding
	for _, f := range res.Findings {
		if !f.Settled && f.Severity != Note {
			out = append(out, f)
		}
	}
	return out
}

// StateOf is a joint's state in a word or two, for lists.
func (res Result) StateOf(j logbook.Joint) string {
	switch {
	case j.Struck != "":
		return "struck off"
	case len(j.Split) > 0:
		return "split"
	case j.Stands == "" && j.Walk != "":
		return "in the walk"
	case j.Stands == "" && slices.ContainsFunc(j.Welds, res.wasCut):
		return "open again"
	case j.Stands == "":
		return "open"
	}
	w, _ := res.read.Weld(res.site, j.Stands)
	switch v := res.Verdict(j.Stands); {
	case v == Failed:
		return "fail"
	case w.Fusing():
		return "fusing"
	case w.Holding():
		return "hold"
	default:
		return string(v)
	}
}

func (res Result) wasCut(id string) bool {
	w, _ := res.read.Weld(res.site, id)
	return w.CutOut != nil
}

// Settled tells whether a joint needs nothing more: an accepted weld, or a
// clear one, stands in it, or it does not count.
func (res Result) Settled(j logbook.Joint) bool {
	if !j.Counts() {
		return true
	}
	v := res.Verdict(j.Stands)
	return v == Clear || v == Accepted
}
