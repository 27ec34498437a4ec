package account

import (
	"fmt"
	"slices"
	"strings"

	"coolhold/logbook"
	"coolhold/logbook/audit"
	"coolhold/logbook/register"
)

// Found nothing is said of a rule only where there was something to find it in: else it
// reads as if somebody had looked and all was well.

// A subject is what some rules look at.
type subject struct {
	none  string // said where the log has none of it
	rules func(slug string) bool
	has   func(m maker) bool
}

func of(slugs ...string) func(string) bool {
	return func(slug string) bool { return slices.Contains(slugs, slug) }
}

// subjects are those that are simply told. What a plan asks for is looked for without any.
var subjects = []subject{
	{"no pressure test is recorded", func(slug string) bool {
		return slug == audit.UntestedSince || strings.HasPrefix(slug, "pressure-") && !strings.HasPrefix(slug, "pressure-lost") && slug != audit.TestMissing
	}, func(m maker) bool { return len(m.rep.Site.Tests) > 0 }},
	{"the plan wants no pressure test", of(audit.TestMissing), func(m maker) bool { return m.rep.Site.PressureTest != "" }},
	{"no flow check is recorded", func(slug string) bool { return strings.HasPrefix(slug, "flow-") }, func(m maker) bool { return len(m.rep.Site.Loop.Flows) > 0 }},
	{"no purge is recorded", of(audit.PurgeLacking), func(m maker) bool { return len(m.rep.Site.Loop.Purges) > 0 }},
	{"no filling is recorded", of(audit.FluidLacking), func(m maker) bool { return len(m.rep.Site.Loop.Fillings) > 0 }},
	{"the plan asks for no look before welding and cover, and none is recorded", func(slug string) bool { return strings.HasPrefix(slug, "ground-") }, func(m maker) bool { return len(m.rep.Parts)+len(m.rep.Ground) > 0 }},
	{"no loss of pressure is recorded", func(slug string) bool {
		return strings.HasPrefix(slug, "pressure-lost") || slug == "site-pressure-lost"
	}, func(m maker) bool { return m.happened(logbook.PressureLost) }},
	{"no repair is recorded", of(audit.RepairUnseen), func(m maker) bool { return m.happened(logbook.Repaired) }},
	{"no part is recorded as covered", of("covered-before-accepted", audit.CoverTakenBack, audit.DugUpUnseen), func(m maker) bool { return len(m.rep.Site.Covers) > 0 }},
	{"no closing weld is named", of(audit.ClosingUnseen), func(m maker) bool {
		return slices.ContainsFunc(m.rep.Rows, func(r register.Row) bool { return r.Weld.Closing != nil })
	}},
	{"no weld came in from paper", of(audit.Transcribed, "unsaid-on-paper"), func(m maker) bool {
		return slices.ContainsFunc(m.rep.Rows, func(r register.Row) bool { return r.Weld.Paper != nil })
	}},
	{"no shift asked for the ends of qualifications and the dates of calibrations", of("qualification-unknown", "calibration-unknown"), func(m maker) bool {
		return slices.ContainsFunc(m.rep.Shifts, func(s logbook.Shift) bool { return s.DatesAsked })
	}},
	{"no value was corrected", of("corrected", "corrected-away-fail", "correction-contradicted", "corrected-after-review", audit.CorrectedOwn), func(m maker) bool { return len(m.rep.Corrections()) > 0 }},
}

func (m maker) happened(what logbook.Happening) bool {
	return slices.ContainsFunc(m.rep.Site.Events, func(e logbook.Event) bool { return e.What == what })
}

// rules are those that found something, then folded those that looked and found nothing, then
// those that had nothing to look at: of each thing that is not recorded the rules on it.
func (m maker) rules() []Chapter {
	n := map[string]int{}
	for _, f := range m.rep.Findings {
		n[f.Rule]++
	}
	some := Chapter{ID: "rules", Title: "Rules", Intro: []string{
		"No verdict is stored: each follows from these rules, applied to the record as of " + m.rep.AsOf.Format(minute) + ". A fail cannot be accepted; it ends by a cut-out. A query is accepted by a named person with a reason, or cut out.",
		"A rule finds only what is recorded: that it found nothing says nothing of what nobody recorded.",
	}}
	rest, idle := Chapter{}, Chapter{}
	without := 0
	for _, r := range audit.Rules {
		k := Item{Head: titled(r.Word()), Says: stop("It looks for " + plainly(r.Says)), More: []string{"Basis: " + stop(Basis(r.Basis))}}
		none := m.nothingFor(r.Slug)
		switch {
		case n[r.Slug] > 0:
			k.Head += fmt.Sprintf(", found %s", times(n[r.Slug]))
			some.Items = append(some.Items, k)
		case none == "":
			rest.Items = append(rest.Items, k)
		default:
			without++
			i := slices.IndexFunc(idle.Items, func(it Item) bool { return it.Head == none })
			if i < 0 {
				i, idle.Items = len(idle.Items), append(idle.Items, Item{Head: none})
			}
			idle.Items[i].More = append(idle.Items[i].More, stop(plainly(r.Says))+" Basis: "+stop(Basis(r.Basis)))
		}
	}
	var nones []string
	for i, it := range idle.Items {
		nones = append(nones, it.Head)
		idle.Items[i].Head, idle.Items[i].Says = titled(it.Head), "nothing to look at for "+logbook.Count(len(it.More), "rule")+", that would look for:"
	}
	rest.Folded = fmt.Sprintf("%d more rules had something to look at and found nothing recorded", len(rest.Items))
	if without > 0 {
		idle.Folded = fmt.Sprintf("%d more rules had nothing to look at: %s", without, strings.Join(nones, "; "))
	}
	return []Chapter{some, rest, idle}
}

// nothingFor is what a log has not that a rule would look at; "" where it has it.
func (m maker) nothingFor(slug string) string {
	for _, k := range subjects {
		if k.rules(slug) && !k.has(m) {
			return k.none
		}
	}
	return ""
}
