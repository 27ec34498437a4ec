// Package audit says what a record shows: rules over the records of a site,
// each a pure function with its basis. No verdict is ever stored; it follows
// from the rules as of a given time. What the rules do not find is "clear",
// no fault recorded: nothing here says that a weld is good.
package audit

import (
	"cmp"
	"slices"
	"strings"

	"coolhold/fusion"
	"coolhold/logbook"
	"coolhold/logbook/ahead"
)

// A Severity orders findings, the worst first.
type Severity int

// The severities. What is a fail comes from the lists of what to reject in
// WIS 4-32-08, DVS 2202-1 and EN 13100-1 (from memory); the split is our choice.
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
	OnPart  Scope = "section"           // what is covered with ground in one go
	OnEntry Scope = "entry of the site" // one of those that name no weld; a rule may find several
)

// A Rule finds one kind of fault or gap.
type Rule struct {
	Slug     string
	Severity Severity
	Scope    Scope
	Work     bool   // unfinished work rather than a fault: no part of a verdict
	Says     string // what it looks for
	Do       string // what to do about it
	Basis    string // source, "common practice, no source" or "our choice"
	Check    Check
	Cause    Cause  // of a formality; nil: it never is one
	Many     string // what it finds, of several: "welds with an item of preparation not answered"; "": each is read alone
	Unsaid   bool   // it speaks of what nobody said, which is never a formality
}

// A Matter is what is judged: a weld or a joint on its site, at a time. It is of some
// thousand bytes and the same for all rules, so a case points to it, and nobody writes
// to one that a case has.
type Matter struct {
	Read   logbook.Reader
	Site   logbook.Site
	Joint  logbook.Joint
	Weld   logbook.Weld
	Shift  logbook.Shift
	AsOf   fusion.Stamp
	Beat   fusion.Stamp
	moment moment
	ground ahead.Ground // of a section
}

// A Case is what a rule is given.
type Case struct {
	*Matter
	scene *scene // the site as a whole: its plan, its welds beside each other
	// found is what is known of the welds so far: all of it for rules on joints
	// and on the site.
	found *Result
	// fails are the rules of severity fail that speak on a state of a weld: Run
	// gives it, since Rules cannot speak of itself.
	fails func(Case, logbook.Weld) []ruled
	// atAnyLook is set where what one look saw counts whatever another saw: a correction
	// does not do away with a fault that only two looks together leave open.
	atAnyLook bool
	// queries are the rules that find queries on a state of a weld, of the same kind.
	queries func(Case, logbook.Weld) []ruled
}

// A Finding is what a rule found. Its key is stable: the same rule on the same
// weld or joint.
type Finding struct {
	Key      string      `json:"key"`
	Rule     string      `json:"rule"`
	Severity Severity    `json:"severity"`
	Joint    string      `json:"joint,omitempty"`
	Weld     string      `json:"weld,omitempty"`
	Part     string      `json:"part,omitempty"` // a section, as it is covered
	Says     string      `json:"says"`
	Do       string      `json:"do"`
	Basis    string      `json:"basis"`
	Accepted *Acceptance `json:"accepted,omitempty"`
	Work     bool        `json:"work"`
	Settled  bool        `json:"settled"` // accepted, or its weld is cut out
	// Cause is the same in the findings of one formality, which one answer settles.
	Cause  string `json:"cause,omitempty"`
	facts  any
	many   string
	unsaid bool
}

// Judged is the finding as a person answers it. It is made when somebody asks:
// most findings of a run are only shown.
func (f Finding) Judged() logbook.Judged {
	facts := written(f.facts)
	return logbook.Judged{Key: f.Key, Digest: digest(f.Key, facts), Facts: facts}
}

// An Acceptance is the answer by which a query is settled.
type Acceptance struct {
	Key      string       `json:"key"`
	Facts    string       `json:"facts"` // in words, as the finding
	Accepted bool         `json:"accepted"`
	Why      string       `json:"why"`
	By       string       `json:"by"`
	At       fusion.Stamp `json:"at"`
	Seq      uint64       `json:"seq,omitempty"`
	// OwnWelder is set where the weld's operator accepted it, who works alone.
	OwnWelder bool `json:"own_welder,omitempty"`
}

// A Verdict is what the record of a weld shows.
type Verdict string

// The verdicts.
const (
	Clear      Verdict = "clear" // no fault recorded
	Accepted   Verdict = "accepted"
	OwnOnly    Verdict = "own welder only" // accepted by its own welder, nobody else looked
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
	welds    []logbook.Weld
	scene    *scene
	byWeld   map[string][]int
	byJoint  map[string][]int
	lost     map[string]bool // joints on which pressure was lost and not found again
	asOf     fusion.Stamp
	beat     fusion.Stamp
}

// Run applies every rule to a site. The same records and the same time give
// the same result.
func Run(r logbook.Reader, site string, asOf, beat fusion.Stamp) Result {
	res := Result{read: r, site: site, asOf: asOf, beat: beat, byWeld: map[string][]int{}, byJoint: map[string][]int{}, lost: map[string]bool{}}
	s, ok := r.Site(site)
	if !ok {
		return res
	}
	scene := sceneOf(r, s)
	res.welds, res.scene = scene.welds, scene
	base := Case{Matter: &Matter{Read: r, Site: s, AsOf: asOf, Beat: beat}, scene: scene, found: &res, fails: failsOf, queries: queriesOf}
	for _, w := range scene.welds {
		res.apply(OnWeld, base.of(w))
	}
	res.index()
	for _, j := range scene.inOrder {
		res.apply(OnJoint, base.with(func(m *Matter) {
			m.Weld, _ = scene.weld(j.Stands)
			m.Joint = j.In(m.Weld)
		}))
	}
	for _, part := range ahead.Sections(r, site) {
		res.apply(OnPart, base.with(func(m *Matter) { m.ground = ahead.GroundOf(r, s, part) }))
	}
	res.apply(OnSite, base)
	res.statedTests(s)
	for _, at := range momentsOf(s) {
		res.apply(OnEntry, base.with(func(m *Matter) { m.moment = at }))
	}
	slices.SortStableFunc(res.Findings, func(a, b Finding) int {
		return cmp.Or(cmp.Compare(a.Severity, b.Severity), cmp.Compare(scene.place(a.Joint), scene.place(b.Joint)), cmp.Compare(a.Weld, b.Weld))
	})
	res.index()
	return res
}

// with is the case of another matter, which change makes of this one.
func (c Case) with(change func(*Matter)) Case {
	m := *c.Matter
	change(&m)
	c.Matter = &m
	return c
}

// of is the case of one weld, be it as it stood before.
func (c Case) of(w logbook.Weld) Case {
	return c.with(func(m *Matter) { m.Weld, m.Joint, m.Shift = w, c.scene.joints[w.Joint].In(w), c.scene.shifts[w.Shift] })
}

// by is the case of a weld whose joint and shift nobody asks for.
func (c Case) by(weld string) Case {
	return c.with(func(m *Matter) { m.Weld, _ = c.scene.weld(weld) })
}

// caseOf is the case of a weld of which only people and the welds beside it are asked.
func (sc *scene) caseOf(weld string) Case { return Case{Matter: &Matter{}, scene: sc}.by(weld) }

// failsOf runs the rules that make a weld fail.
func failsOf(c Case, w logbook.Weld) (out []ruled) {
	c = c.of(w)
	c.atAnyLook = true
	for _, rule := range Rules {
		if rule.Scope != OnWeld || rule.Severity != Fail || rule.Work {
			continue
		}
		if facts, found := rule.Check.judge(c); found {
			out = append(out, ruled{rule.Slug, written(facts)})
		}
	}
	return out
}

func (res *Result) apply(scope Scope, c Case) {
	for _, rule := range Rules {
		if rule.Scope != scope {
			continue
		}
		if facts, found := rule.Check.judge(c); found {
			res.Findings = append(res.Findings, finding(rule, c, facts))
		}
	}
}

func (res *Result) index() {
	clear(res.byWeld)
	clear(res.byJoint)
	for i, f := range res.Findings {
		if f.Joint != "" {
			res.byJoint[f.Joint] = append(res.byJoint[f.Joint], i)
		}
		if f.Rule == "pressure-lost" {
			res.lost[f.Joint] = true
		}
		if f.Weld != "" {
			res.byWeld[f.Weld] = append(res.byWeld[f.Weld], i)
		}
	}
}

// insteadOf is what to do about a query on a weld that must be cut out anyway: there is
// nothing left to decide.
func (c Case) insteadOf(do string) string {
	if o := c.Weld.CutOrdered; o != nil && c.Weld.Stands() {
		return "cut it out, as " + o.By + " ordered"
	}
	return do
}

func finding(rule Rule, c Case, facts any) Finding {
	f := Finding{
		Rule: rule.Slug, Severity: rule.Severity, Joint: c.Joint.Label,
		Do: rule.Do, Basis: rule.Basis, Work: rule.Work, Cause: causeOf(rule, c, facts), facts: facts, many: rule.Many, unsaid: rule.Unsaid,
	}
	about, reviews := c.Joint.Label, c.Joint.Reviews
	switch rule.Scope {
	case OnWeld:
		f.Weld, about, reviews = c.Weld.ID, c.Weld.ID, c.Weld.Reviews
		f.Settled = c.Weld.CutOut != nil || c.Weld.Abandoned != ""
	case OnSite:
		about, reviews = c.Site.Key(), c.Site.Reviews
	case OnPart:
		f.Part, about, reviews = c.ground.Section.Name, c.ground.Section.Name, c.Site.Reviews
	case OnEntry:
		about, reviews = c.moment.id, c.Site.Reviews
	}
	if c.scene != nil && len(c.scene.people.alone) > 0 {
		f.Do = strings.ReplaceAll(f.Do, "the foreman decides", aloneDecides)
	}
	if rule.Scope == OnWeld && !rule.Work && rule.Severity == Query {
		f.Do = c.insteadOf(f.Do)
	}
	if all := f.OneAnswer(); all != "" {
		f.Do += "; " + all
	}
	f.Key, f.Says = rule.Slug+":"+about, rule.Check.tell(about, facts)
	if f.newer() {
		f.Settled = false // even that its weld no longer stands may have been taken back
	} else if rule.Severity == Query && !rule.Work { // a fail is cut out, work is done
		reviews = slices.DeleteFunc(slices.Clone(reviews), func(v logbook.Review) bool { return !c.counts(f, v.By) })
		if f.Accepted = acceptanceOf(reviews, f, c.Site.Logs); f.Accepted != nil {
			f.Accepted.OwnWelder = c.ownWork(f, f.Accepted.By) && c.scene.people.worksAlone(f.Accepted.By)
		}
		heat := c.Weld.Abandoned != "" && c.Weld.HeatPossible() // given up, and yet somebody must decide
		f.Settled = f.Settled && !heat || f.Accepted != nil
	}
	return f
}

// acceptanceOf is the last review of a finding, if it accepts the facts as they
// are now. When they change the finding is open again.
func acceptanceOf(reviews []logbook.Review, f Finding, logs []*logbook.Origin) *Acceptance {
	for i := len(reviews) - 1; i >= 0; i-- {
		v := reviews[i]
		if ofIt, same := answers(v, f, logs); ofIt {
			if v.Accepted && same {
				return &Acceptance{Key: v.Key, Facts: f.Says, Accepted: true, Why: v.Why, By: v.By, At: v.At, Seq: v.Seq}
			}
			return nil
		}
	}
	return nil
}
