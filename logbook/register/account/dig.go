package account

import (
	"cmp"
	"fmt"
	"maps"
	"slices"
	"strings"

	"coolhold/logbook"
	"coolhold/logbook/ahead"
	"coolhold/logbook/audit"
	"coolhold/logbook/chart"
	"coolhold/logbook/register"
)

// Whoever must cut out, look at or feel what lies under the ground digs first. That, and where,
// is said wherever it is said what is to be done.

// inWords are the rules whose work is done by saying something, or elsewhere than at the joint.
var inWords = []string{"end-unsaid", "pressure-lost", "site-pressure-lost", audit.UntestedSince}

// underGround is the cover over what must be worked on by hand; false where no ground lies
// over it, or where nobody need go there.
func (m maker) underGround(f audit.Finding) (logbook.Cover, bool) {
	p, known := m.byLabel[f.Joint]
	if !known || !f.Open() || slices.Contains(inWords, f.Rule) || !f.Work && f.Severity != audit.Fail && !m.cutFirst(f) {
		return logbook.Cover{}, false
	}
	return ahead.Under(m.rep.Site, p.Joint)
}

// coverSaid is by whose word ground lies there, and since when.
func (m maker) coverSaid(c logbook.Cover) string {
	return "said by " + m.whoIs(c.By) + ", " + c.When(minute)
}

// dugFirst is what to do, and that it is dug up before.
func (m maker) dugFirst(g audit.Group, do string) string {
	if !several(g) {
		c, under := m.underGround(g.First())
		switch {
		case !under:
			return do
		case m.cutFirst(g.First()): // by whose word ground lies there stands at the fault itself
			return "dig it up and " + do
		}
		return "dig it up first, ground lies over it (" + m.coverSaid(c) + "); then " + do
	}
	labels, said := m.under(g.Findings)
	if len(labels) == 0 {
		return do
	}
	return do + "; under the ground, and to be dug up first: " + strings.Join(labels, ", ") + " (" + strings.Join(said, "; ") + ")"
}

// under are the joints of some findings at which somebody must dig first, each once, with who
// said that ground lies there.
func (m maker) under(found []audit.Finding) (labels, said []string) {
	for _, f := range found {
		c, under := m.underGround(f)
		if under && !slices.Contains(labels, f.Joint) {
			labels = append(labels, f.Joint)
		}
		if says := m.coverSaid(c); under && !slices.Contains(said, says) {
			said = append(said, says)
		}
	}
	return labels, said
}

// place is where a joint is dug for: with the tape on its leg, the lid of its chamber, and the
// distances from fixed points, or that none are recorded.
func (m maker) place(p chart.Place) string {
	at := logbook.Joined(", ", prefixed("chamber ", p.Chamber), p.Where, p.On)
	if i := slices.IndexFunc(m.rep.Rows, func(r register.Row) bool { return r.Joint.Label == p.Label && r.Weld.ID == p.Weld }); i >= 0 {
		at = where(m.rep.Rows[i])
	}
	return logbook.Joined(", ", cmp.Or(at, "its place is not recorded"), prefixed("tape ", p.Tape), prefixed("lid: ", m.lid(p.Chamber)), m.distances(p.Chamber))
}

// lid is where the lid of a chamber is, as the plan has it.
func (m maker) lid(chamber string) string {
	for _, c := range m.rep.Site.Chambers {
		if c.Name == chamber {
			return c.Lid
		}
	}
	return ""
}

// distances are those of a chamber from fixed points, by which it is found when nothing can be
// seen of it. A joint outside has its position.
func (m maker) distances(chamber string) string {
	if chamber == "" {
		return ""
	}
	for _, part := range m.rep.Parts {
		for _, l := range part.Lines {
			if part.Part == "chamber "+chamber && len(l.Offsets) > 0 {
				return "distances: " + l.Says()
			}
		}
	}
	return "no distances from fixed points are recorded"
}

// digSays says where something lies under the ground that must be worked on by hand.
func (m maker) digSays(f audit.Finding) string {
	c, under := m.underGround(f)
	if !under {
		return ""
	}
	return "Under the ground since " + c.When(minute) + ". Where to dig: " + stop(m.place(m.byLabel[f.Joint]))
}

// toDig are the places of the front where somebody must dig, or must know what lies there: the
// failed welds, those of which a correction took a fail away, then what else is to be done by
// hand.
func (m maker) toDig() (out []Item) {
	for _, p := range m.buried() {
		it := Item{Head: "FAIL UNDER THE GROUND", About: m.places([]chart.Place{p}), Says: "Dig here: " + stop(m.place(p))}
		it.More = m.coveredBy(p)
		if i, is := m.rowAt[p.Weld]; is {
			it.More = append(it.More, m.restsAtAll(m.rep.Rows[i])...)
		}
		out = append(out, it)
	}
	hidden := m.hidden()
	for _, p := range m.rep.Joints {
		dig, _ := m.under(m.opens.AtPlace(p))
		told := func(it Item) bool { return slices.Equal(it.About, m.places([]chart.Place{p})) }
		if len(dig) == 0 || slices.ContainsFunc(append(slices.Clone(out), hidden...), told) {
			continue
		}
		hidden = append(hidden, Item{Head: "UNDER THE GROUND, and something is to be done to it", About: m.places([]chart.Place{p}),
			Says: "Dig here: " + stop(m.place(p)), More: m.toDoAt(p)})
	}
	if out = append(out, hidden...); len(out) > 0 {
		last := &out[len(out)-1]
		last.More = append(last.More, "Before anybody digs: find the services. No ground stands unsupported.")
	}
	return out
}

// coveredBy says who covered a joint.
func (m maker) coveredBy(p chart.Place) []string {
	if c, under := ahead.Under(m.rep.Site, p.Joint); under {
		return []string{"Covered: " + m.coverSaid(c) + "."}
	}
	return nil
}

// toDoAt is what is to be done at a joint under the ground: the work by itself, of what is to
// be decided how much, by whom.
func (m maker) toDoAt(p chart.Place) (out []string) {
	queries := map[audit.Actor]int{}
	for _, f := range m.opens.AtPlace(p) {
		switch _, under := m.underGround(f); {
		case f.Severity == audit.Query && !f.Work:
			queries[m.mustActOn(f)]++
		case under:
			out = append(out, "To be done there, by "+m.actor(m.mustActOn(f))+": "+stop(plainly(m.do(audit.Group{Findings: []audit.Finding{f}}))))
		}
	}
	for _, who := range slices.Sorted(maps.Keys(queries)) {
		out = append(out, fmt.Sprintf("To be decided there, by %s: %s. Each is accepted by name with a reason, or the weld is dug up and cut out.", m.actor(who), logbook.Count(queries[who], "query")))
	}
	return out
}

// hidden are the welds under the ground of which a fail was recorded and is not any more, by
// somebody's correction: who digs for the others must know of these.
func (m maker) hidden() (out []Item) {
	for _, p := range m.rep.Joints {
		i, is := m.rowAt[p.Weld]
		if !is || !p.Covered || p.State.Is(audit.Failed) {
			continue
		}
		row := m.rep.Rows[i]
		by := map[uint64]logbook.Corrected{}
		for _, k := range row.Weld.Corrections {
			by[k.Seq] = k
		}
		var was []string
		for _, r := range m.did[p.Weld] {
			if r.Fail && len(r.Found) > 0 {
				was = append(was, "It was: "+stop(plainly(strings.Join(r.Found, "; ")))+" "+m.changeSays(by[r.Seq]))
			}
		}
		if len(was) > 0 {
			out = append(out, Item{Head: "Covered, a fail taken away by a correction", About: m.places([]chart.Place{p}), Says: "It lies here: " + stop(m.place(p)), More: append(was, m.toDoAt(p)...)})
		}
	}
	return out
}
