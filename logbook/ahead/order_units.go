package ahead

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"time"

	"coolhold/fusion"
	"coolhold/logbook"
	"coolhold/logbook/kit"
)

// setUnits names the units: those of the shift, then others that the kit declares,
// then numbers. What is known of each is what the kit says.
func (o *orderer) setUnits() {
	var names []string
	for _, u := range o.shift.Units {
		names = append(names, u.Serial)
	}
	n := o.given.Units
	if n == 0 && len(names) > 0 {
		n = len(names)
	}
	for _, u := range o.kit.Units {
		known := func(name string) bool { return fusion.Folded(name) == fusion.Folded(u.Serial) }
		if !slices.ContainsFunc(names, known) {
			names = append(names, u.Serial)
		}
	}
	if n == 0 {
		n = min(max(1, len(names)), MostUnits)
	}
	for i := range n {
		name := fmt.Sprintf("unit %d", i+1)
		if i < len(names) {
			name = names[i]
		}
		o.units = append(o.units, name)
		o.shop.Places = append(o.shop.Places, o.lastPlace(name))
		o.shop.Draws = append(o.shop.Draws, o.draw(name))
	}
	o.shop.Units, o.shop.Moving = make([]time.Duration, n), o.given.Moving
	if o.kit.Generator != nil {
		o.shop.Supply = int(math.Round(1000 * *o.kit.Generator))
	}
}

// draw is what a unit takes from the supply while it fuses, in VA, by its plate; 0
// where that is not declared.
func (o *orderer) draw(unit string) int {
	if u, ok := o.kit.Unit(unit); ok && u.InputKVA != nil {
		return int(math.Round(1000 * *u.InputKVA))
	}
	return 0
}

// placeOf is where a joint lies: its chamber, or outside of all.
func placeOf(j logbook.Joint) string {
	if j.Chamber == "" {
		return "outside the chambers"
	}
	return "chamber " + j.Chamber
}

// lastPlace is where a unit was last at work on this shift, "" where that is not
// known.
func (o *orderer) lastPlace(unit string) string {
	for _, w := range slices.Backward(o.welds) {
		if w.Unit == unit && w.Shift == o.shift.ID && o.site.Shift != "" {
			j, _ := o.r.Joint(o.site.ID, w.Joint)
			return placeOf(j)
		}
	}
	return ""
}

// A NoUnit is a fitting of open joints that no control unit can fuse, with what
// speaks against each unit.
type NoUnit struct {
	Fitting string
	Joints  []string
	Why     []string
}

// String gives "FG, TG: no control unit can fuse coupler 63 (CU-1: output 6 V short)".
func (n NoUnit) String() string {
	return fmt.Sprintf("%s: no control unit can fuse %s (%s)", InShort(n.Joints), n.Fitting, strings.Join(n.Why, "; "))
}

// noUnitWhy is said of a joint whose fitting no control unit can fuse.
const noUnitWhy = "no control unit can fuse it"

// able gives the places of the units that can fuse a joint's fitting; where none
// can it says so. Volts, pins and generator count also where no time is known.
func (o *orderer) able(p timed) (units []int, why string) {
	var against []string
	row, _ := o.shelf.Row(p.Planned.Fitting)
	if row.Fitting.Name == "" {
		return nil, "" // in no table, so nothing is known of it
	}
	for i, name := range o.units {
		u, declared := o.kit.Unit(name)
		if !declared {
			u = kit.Unit{Serial: name}
		}
		m := o.kit.Match(u, row.Fitting, p.Seconds)
		for _, what := range m.NotKnown {
			if !slices.Contains(o.unknown, what) {
				o.unknown = append(o.unknown, what)
			}
		}
		if m.Can() {
			units = append(units, i)
			continue
		}
		against = append(against, name+": "+m.Why())
	}
	if len(units) > 0 {
		return units, ""
	}
	i := slices.IndexFunc(o.noUnit, func(n NoUnit) bool { return n.Fitting == p.Planned.Fitting })
	if i < 0 {
		i, o.noUnit = len(o.noUnit), append(o.noUnit, NoUnit{Fitting: p.Planned.Fitting, Why: against})
	}
	o.noUnit[i].Joints = append(o.noUnit[i].Joints, p.Joint.Label)
	return nil, noUnitWhy
}

// abilityLine says what the choice of units rests on.
func (o *orderer) abilityLine() string {
	const can = "each fitting goes to a unit that can fuse it by volts, pins, longest time and generator"
	switch {
	case o.site.Kit == nil:
		return "any unit is given any fitting: what they can do is not declared"
	case len(o.unknown) == 0:
		return can + ", as the kit says"
	}
	return can + "; not known, so held against none: " + fewOf(o.unknown)
}

// fewOf names some things, of many only the first.
func fewOf(things []string) string {
	if more := len(things) - mostNamed; more > 0 {
		return strings.Join(things[:mostNamed], ", ") + fmt.Sprintf(" and %d more", more)
	}
	return strings.Join(things, ", ")
}

// supplyLine says which units fuse at once.
func (o *orderer) supplyLine() string {
	unknown := slices.Contains(o.shop.Draws, 0)
	switch gen := o.kit.Generator; {
	case len(o.units) == 1:
		return ""
	case gen == nil:
		return "what the generator gives is not declared: all units may fuse at once"
	case unknown:
		return "fusions at once as far as a generator of " + fusion.Figure(*gen) + " kVA carries their plate inputs; one not declared counts as nothing"
	default:
		return "fusions at once as far as a generator of " + fusion.Figure(*gen) + " kVA carries their plate inputs"
	}
}

// movingLine says what a way costs.
func (o *orderer) movingLine() string {
	if o.shop.Moving == 0 {
		return "moving time not stated: only the number of moves is kept small"
	}
	return fmt.Sprintf("%g min a move between chambers or to what lies outside, as given; each unit begins where it was last on this shift", math.Round(10*o.shop.Moving.Minutes())/10)
}
