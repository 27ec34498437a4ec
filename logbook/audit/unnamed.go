package audit

import (
	"fmt"
	"slices"

	"coolhold/logbook"
)

// WelderUnnamed is the rule of a weld of which nobody is named as its welder.
const WelderUnnamed = "welder-unnamed"

// welderUnnamed speaks of an operator who is a sign, an initial that is nobody's mark, or
// not known: then nothing tells whose own work it is.
func welderUnnamed(c Case) (string, bool) {
	return c.Weld.Operator, c.Weld.Fused() && c.nobody(c.Weld.Operator)
}

func unnamedSays(weld, operator string) string {
	return fmt.Sprintf("%s: nobody is named as its welder (%q)", weld, operator)
}

func (c Case) nobody(operator string) bool {
	_, mark := c.scene.roll.marks[plainName(operator)]
	return !mark && logbook.Nobody(operator)
}

// unnamed tells whether there was nobody at some time.
func (c Case) unnamed() bool { return slices.ContainsFunc(makers(c.Weld), c.nobody) }

// madeByNobody says why a name cannot settle anything on a weld whose welder is not
// known, "" where it can: he may be the one. Who typed it or named another is no second
// person, nor is who fused on that shift, nor who stands on no list.
func (c Case) madeByNobody(name string) string {
	p := c.scene.people
	same := func(who string) bool { return p.same(who, name) }
	switch w := c.Weld; {
	case !c.unnamed() || p.worksAlone(name):
		return ""
	case w.LateBy != "" && same(w.LateBy):
		return fmt.Sprintf("%s typed it, and no welder was named: somebody else must accept this", w.LateBy)
	case slices.ContainsFunc(w.Corrections, func(k logbook.Corrected) bool { return k.Field == logbook.FieldOperator && same(k.By) }):
		return fmt.Sprintf("%s corrected who made it: somebody else must accept this", name)
	case !c.nobody(w.Operator):
		return ""
	case slices.ContainsFunc(c.scene.shifts[w.Shift].Operators, func(o logbook.Operator) bool { return same(o.Name) }):
		return fmt.Sprintf("%s welded on that shift, and no welder is named: somebody else must accept this", name)
	case !c.scene.listed(name):
		return fmt.Sprintf("no welder is named, and %s stands on no shift and not among the people of the site: somebody who does must accept this", name)
	}
	return ""
}

// listed tells whether a person is on the list of the site or on a shift of it.
func (sc *scene) listed(name string) bool {
	same := func(who string) bool { return sc.people.same(who, name) }
	for _, who := range sc.roll.names {
		if same(who) {
			return true
		}
	}
	return slices.ContainsFunc(sc.people.listed, same)
}
