package audit

import (
	"fmt"
	"slices"
	"strings"

	"coolhold/logbook"
)

// The rules on a person's own work that came after self-accepted. What they find
// is settled by somebody who neither made the weld nor made the change.
const (
	CorrectedOwn      = "corrected-own-work"
	CorrectorAccepted = "corrector-accepted"
	OrderOwn          = "order-withdrawn-by-welder"
	OwnWelder         = "own-welder-only"
	ToldApart         = "people-told-apart"
	RepairUnseen      = "repair-unseen"
	CoverTakenBack    = "cover-taken-back"
	DugUpUnseen       = "dug-up-unseen"
	HoldByWord        = "hold-by-word"
)

// Transcribed is the rule of what was taken in from paper. That it was typed rightly is
// seen by somebody who neither typed it nor made the weld.
const Transcribed = "transcribed"

// secondPerson are the rules whose findings wait for somebody else.
var secondPerson = []string{SelfAccepted, CorrectedOwn, CorrectorAccepted, OrderOwn, ToldApart, RepairUnseen, CoverTakenBack, DugUpUnseen, HoldByWord, Transcribed, RemarkToRead}

// makers are who a weld has had as its operator, as first recorded and since.
func makers(w logbook.Weld) (list []string) {
	for _, state := range w.AsRecorded() {
		if !slices.Contains(list, state.Operator) {
			list = append(list, state.Operator)
		}
	}
	return list
}

// madeBy tells whether a name is that of the weld's operator, now or as recorded
// before, or his mark, or near it.
func (c Case) madeBy(name string) bool {
	_, made := c.maker(name)
	return made
}

// maker is the operator of the weld whom a name is near, the present one first.
func (c Case) maker(name string) (string, bool) {
	for _, m := range makers(c.Weld) {
		if c.scene.people.same(m, name) {
			return m, true
		}
	}
	return "", false
}

// A circle is the people of a site, with what was found of two names kept: many
// findings are answered by few.
type circle struct {
	people logbook.People
	alone  []string
	listed []string
	known  map[[2]string]bool
}

func peopleOf(r logbook.Reader, site string) *circle {
	s, _ := r.Site(site)
	p := &circle{people: logbook.PeopleOf(r, site), known: map[[2]string]bool{}}
	for _, person := range s.People {
		p.listed = append(p.listed, person.Label())
		if person.Alone != nil {
			p.alone = append(p.alone, person.Label())
		}
	}
	return p
}

func (p *circle) same(a, b string) bool {
	same, known := p.known[[2]string{a, b}]
	if !known {
		same = p.people.Same(a, b)
		p.known[[2]string{a, b}] = same
	}
	return same
}

// worksAlone tells whether a person stated so.
func (p *circle) worksAlone(name string) bool {
	return slices.ContainsFunc(p.alone, func(who string) bool { return p.same(who, name) })
}

// passesOwn says why a name cannot settle a finding, "" where it can: it would
// pass its own work. Who works alone can; it is told apart from an acceptance.
func (c Case) passesOwn(f Finding, name string) string {
	if f.Weld != "" {
		if no := c.madeByNobody(name); no != "" {
			return no
		}
	}
	if _, word := f.facts.(handed); word || !slices.Contains(secondPerson, f.Rule) {
		return c.ownMatter(f, name)
	}
	if pairs, ok := f.facts.([]pair); ok {
		if slices.ContainsFunc(pairs, func(p pair) bool { return p.of(name) }) {
			return fmt.Sprintf("%s is one of them: somebody else must accept this", name)
		}
		return ""
	}
	m, made := c.maker(name)
	switch {
	case (made || c.unnamed()) && c.scene.people.worksAlone(name):
		return ""
	case made:
		return fmt.Sprintf("%s made it: somebody else must accept this", m)
	}
	if by, typed := c.typist(f, name); typed {
		return fmt.Sprintf("%s typed it: somebody else must accept this", by)
	}
	if facts, ok := f.facts.(correctorAnswer); ok && slices.ContainsFunc(facts.Correctors, func(k string) bool { return c.scene.people.same(k, name) }) {
		return fmt.Sprintf("%s made the correction: somebody else must accept this", name)
	}
	if facts, ok := f.facts.(holdWord); ok && c.scene.people.same(facts.By, name) {
		return fmt.Sprintf("%s stated it: somebody else must accept this", name)
	}
	return ""
}

// typist is who typed what a finding is about, where that is a name's.
func (c Case) typist(f Finding, name string) (string, bool) {
	if list, ok := f.facts.([]remark); ok {
		i := slices.IndexFunc(list, func(r remark) bool { return c.scene.people.same(r.By, name) })
		if i < 0 {
			return "", false
		}
		return list[i].By, true
	}
	return c.Weld.LateBy, f.Rule == Transcribed && c.scene.people.same(c.Weld.LateBy, name)
}

// counts tells whether an answer by that name settles a finding. What the operator
// accepted of a sheet before the acts refused that counts: self-accepted asks another.
func (c Case) counts(f Finding, name string) bool {
	return c.passesOwn(f, name) == "" || f.Rule == Transcribed && c.madeBy(name)
}

// ownWork tells whether what was found is a person's own work.
func (c Case) ownWork(f Finding, name string) bool {
	if who, _ := c.concerned(f, name); who != "" {
		return true
	}
	return f.Weld != "" && (c.madeBy(name) || c.unnamed())
}

// aloneDecides stands for the foreman where somebody states to work alone: there may be
// none.
const aloneDecides = "a named person decides"

// PassesOwn says why a person cannot accept a finding, "" where he can.
func (res Result) PassesOwn(f Finding, name string) string {
	return res.scene.caseOf(f.Weld).passesOwn(f, name)
}

// An ownChange is a correction by who made the weld, and the queries that spoke
// before it and do not now.
type ownChange struct {
	change
	Queries []ruled `json:"queries,omitempty"`
	Out     bool    `json:"out,omitempty"` // it took its operator out of the weld
}

// ofCorrections are the rules that speak of corrections themselves: one of them
// that goes is none that was corrected away. An indicator that was flat and then up
// is told as the fail that it would have been.
var ofCorrections = []string{"corrected-away-fail", "corrected-after-review", CorrectedOwn, CorrectorAccepted, SelfAccepted, OrderOwn, "indicator-flat-then-up"}

// correctedOwn names each correction by which the operator of a weld took himself
// out of it, or a query away. A fail that went so is told by corrected-away-fail.
func correctedOwn(c Case) (list []ownChange, found bool) {
	ks := c.Weld.Corrections
	if !slices.ContainsFunc(ks, func(k logbook.Corrected) bool { return c.madeBy(k.By) }) {
		return nil, false
	}
	states := c.Weld.AsRecorded()                                                       // the newest first
	queries := onceEach(func(state int) []ruled { return c.queries(c, states[state]) }) // each goes through all welds beside it
	now := slugs(queries(0))
	for i, k := range slices.Backward(ks) {
		if !c.madeBy(k.By) {
			continue
		}
		at := len(ks) - 1 - i
		own := ownChange{change: changeOf(k), Out: c.out(k)}
		after := slugs(queries(at))
		for _, f := range queries(at + 1) {
			if !slices.Contains(after, f.Rule) && !slices.Contains(now, f.Rule) {
				own.Queries = append(own.Queries, f)
			}
		}
		if own.Out || len(own.Queries) > 0 {
			list = append(list, own)
		}
	}
	return list, len(list) > 0
}

// onceEach gives what f gives for each number, asking it once.
func onceEach[T any](f func(int) T) func(int) T {
	known := map[int]T{}
	return func(n int) T {
		v, is := known[n]
		if !is {
			v = f(n)
			known[n] = v
		}
		return v
	}
}

// out tells whether a correction takes the person who makes it out of the weld.
func (c Case) out(k logbook.Corrected) bool {
	same := c.scene.people.same
	return k.Field == logbook.FieldOperator && same(k.By, k.Old) && !same(k.Old, k.New)
}

func correctedOwnSays(weld string, list []ownChange) string {
	return told(weld, list, func(k ownChange) string {
		line := k.says()
		if k.Out {
			line += ", who made it himself"
		} else {
			line += ", who made it"
		}
		if len(k.Queries) > 0 {
			line += "; as recorded: " + strings.Join(withoutWeld(weld, k.Queries), ", ")
		}
		return line
	})
}

// withoutWeld tells findings on a weld without its number.
func withoutWeld(weld string, list []ruled) (said []string) {
	for _, f := range list {
		says := Tell(logbook.Judged{Key: f.Rule + ":" + weld, Facts: f.Facts})
		said = append(said, strings.TrimLeft(strings.TrimPrefix(says, weld), ": "))
	}
	return said
}

// queriesOf runs the rules that find queries on a weld as it stood before, among
// the other welds as they stand now.
func queriesOf(c Case, w logbook.Weld) (out []ruled) {
	c.scene = c.scene.with(w)
	c = c.of(w)
	for _, rule := range Rules {
		if rule.Scope != OnWeld || rule.Severity != Query || rule.Work || slices.Contains(ofCorrections, rule.Slug) {
			continue
		}
		if facts, found := rule.Check.judge(c); found {
			out = append(out, ruled{rule.Slug, written(facts)})
		}
	}
	return out
}

// with is the scene with a weld in another state.
func (sc *scene) with(w logbook.Weld) *scene {
	other := *sc
	other.welds = slices.Clone(sc.welds)
	if i, ok := sc.at[w.ID]; ok {
		other.welds[i] = w
	}
	other.stand = map[string][]string{}
	other.readWelds()
	return &other
}

// A correctorAnswer is what was accepted by who had made the correction.
type correctorAnswer struct {
	By         string   `json:"by"`
	Rules      []string `json:"rules"`
	Correctors []string `json:"correctors"` // by whose corrections a fail went
}

// correctorAccepted speaks where a fail was corrected away and the query that
// this leaves was accepted by who corrected it. Of the operator self-accepted
// speaks.
func correctorAccepted(c Case) (f correctorAnswer, found bool) {
	for _, known := range slices.Backward(c.found.Findings) {
		if known.Weld != c.Weld.ID {
			break
		}
		list, away := known.facts.([]wentAway)
		if !away || known.Accepted == nil || c.madeBy(known.Accepted.By) {
			continue
		}
		f = correctorAnswer{By: known.Accepted.By, Rules: []string{known.Rule}}
		for _, k := range list {
			if f.Correctors = append(f.Correctors, k.By); c.scene.people.same(k.By, f.By) {
				found = true
			}
		}
	}
	return f, found
}

func correctorSays(weld string, f correctorAnswer) string {
	return fmt.Sprintf("%s: %s corrected a fail away and accepted it himself: %s", weld, f.By, inWords(f.Rules))
}

// orderOwn speaks on an order to cut a weld out that its operator took back.
func orderOwn(c Case) (ownOrder, bool) {
	o := c.Weld.CutWithdrawn
	if o == nil || c.Weld.CutOrdered != nil || !c.madeBy(o.By) {
		return ownOrder{}, false
	}
	return ownOrder{c.Weld.Operator, o.By, o.Why}, true
}

// An ownOrder is an order that the operator of a weld took back.
type ownOrder struct {
	Operator string `json:"operator"`
	By       string `json:"by"`
	Why      string `json:"why"`
}

func orderOwnSays(weld string, f ownOrder) string {
	return fmt.Sprintf("%s was made by %s, and %s took the order to cut it out back (%s)", weld, f.Operator, f.By, f.Why)
}

// A pair is two near names that one of the two told apart.
type pair struct {
	Name  string `json:"name"`
	Other string `json:"other"`
	By    string `json:"by"`
}

// of tells whether a name is near one of the two, whatever was told.
func (p pair) of(name string) bool { return logbook.Near(name, p.Name) || logbook.Near(name, p.Other) }

// toldApart names those who told themselves apart from another: it would let one
// person pass his own work under a second name.
func toldApart(c Case) (list []pair, found bool) {
	for _, p := range c.Site.People {
		for _, t := range p.Others {
			if f := (pair{p.Label(), t.Name, t.By}); logbook.Near(f.Name, f.Other) && f.of(f.By) {
				list = append(list, f)
			}
		}
	}
	return list, len(list) > 0
}

func toldSays(site string, list []pair) string {
	return told(site, list, func(p pair) string {
		return fmt.Sprintf("%s and %s are two people, as %s says, who is one of them", p.Name, p.Other, p.By)
	})
}

// An aloneAnswer is what the operator of a weld accepted on it, who works alone.
type aloneAnswer struct {
	By    string   `json:"by"`
	Rules []string `json:"rules"`
}

// ownWelderOnly names what nobody but its welder looked at.
func ownWelderOnly(c Case) (f aloneAnswer, found bool) {
	for _, known := range slices.Backward(c.found.Findings) {
		if known.Weld != c.Weld.ID {
			break
		}
		if known.Accepted != nil && known.Accepted.OwnWelder {
			f.By, f.Rules = known.Accepted.By, append(f.Rules, known.Rule)
		}
	}
	slices.Sort(f.Rules)
	return f, len(f.Rules) > 0
}

func aloneSays(weld string, f aloneAnswer) string {
	return fmt.Sprintf("%s: accepted by its own welder, %s, who works alone; nobody else looked: %s", weld, f.By, inWords(f.Rules))
}

// Who is who accepted it: one who works alone is never named as another.
func (a Acceptance) Who() string {
	switch own := "alone, nobody else looked"; {
	case a.OwnWelder && slices.ContainsFunc(alonePasses, func(rule string) bool { return strings.HasPrefix(a.Key, rule+":") }):
		return a.By + " " + own
	case a.OwnWelder:
		return "its own welder " + a.By + ", nobody else looked"
	}
	return a.By
}

// Line is who accepted it and why.
func (a Acceptance) Line() string { return "accepted by " + a.Who() + ": " + a.Why }
