package ready

import (
	"coolhold/fusion"
	"coolhold/logbook/kit"
)

// power compares the hungriest fitting with the generator. P understates what
// the unit draws, so the line may turn short, never in order.
func power(c *compared) {
	const basis = "P = V²/R at the printed resistance, which understates what the unit draws; the unit's plate input counts first"
	var top need
	var most float64
	for _, n := range c.needs {
		if !n.known() {
			continue
		}
		if n.row.Fitting.Ohms == nil {
			c.add("power", n.name, NotKnown, "the fitting's own table", "the power of %s: its table prints no resistance", n.name)
			continue
		}
		if p, err := fusion.Watts(n.row.Fitting.Volts, *n.row.Fitting.Ohms); err != nil {
			c.add("power", n.name, NotKnown, "the fitting's own table", "the power of %s: %v", n.name, err)
		} else if p > most {
			most, top = p, n
		}
	}
	gen := c.kit.Generator
	switch kva := most / 1000; {
	case gen == nil && top.known():
		c.add("power", top.name, NotKnown, basis, "what the generator gives in kVA; %s takes %.0f W", top.name, most)
	case gen == nil:
		c.add("power", "", NotKnown, basis, "what the generator gives in kVA")
	case !top.known():
	case kva > *gen:
		c.add("power", top.name, Short, basis, "%s takes %.0f W, the generator gives %s kVA: %.2f kVA short at least", top.name, most, fusion.Figure(*gen), kva-*gen)
	default:
		c.add("power", top.name, NoShortage, basis, "%s takes %.0f W, the generator gives %s kVA", top.name, most, fusion.Figure(*gen))
	}
}

// plates compares the plate input of each unit with the generator. It may turn
// short, never in order: what a generator must give is not established.
func plates(c *compared) {
	gen := c.kit.Generator
	basis := c.kitBasis + "; what a generator must give for a size of fitting is not established, so this line is never in order"
	for _, u := range c.kit.Units {
		var l *Comparison
		switch {
		case u.InputKVA == nil:
			l = c.add("plate", u.Serial, NotKnown, basis, "the plate input of %s in kVA: not declared", u.Serial)
		case gen == nil:
			l = c.add("plate", u.Serial, NotKnown, basis, "what the generator gives in kVA; the plate of %s says %s kVA", u.Serial, fusion.Figure(*u.InputKVA))
		case *u.InputKVA > *gen:
			l = c.add("plate", u.Serial, Short, basis, "%s: its plate input is %s kVA, the generator gives %s kVA: %s kVA short", u.Serial, fusion.Figure(*u.InputKVA), fusion.Figure(*gen), tidied(*u.InputKVA-*gen))
		default:
			l = c.add("plate", u.Serial, NoShortage, basis, "%s: its plate input is %s kVA, the generator gives %s kVA", u.Serial, fusion.Figure(*u.InputKVA), fusion.Figure(*gen))
		}
		if len(c.kit.Units) > 1 && gen != nil && u.InputKVA != nil {
			l.Assumed, l.Basis = true, l.Basis+"; one unit runs at a time, and nothing else on the generator"
		}
	}
}

// extension reports what is lost between generator and unit. How much may be
// lost stands in the unit's own instructions.
func extension(c *compared) {
	e := c.kit.Extension
	switch {
	case c.kitBasis == "":
		return // said above
	case e == nil || e.LengthM == nil:
		c.add("extension", "", NotKnown, c.kitBasis, "how long the extension between generator and unit is: declare its length_m, 0 where there is none")
		return
	case *e.LengthM == 0:
		c.add("extension", "", NoShortage, c.kitBasis, "no extension between generator and unit, so nothing is lost in one")
		return
	case e.SectionMM2 == nil:
		c.add("extension", "", NotKnown, c.kitBasis, "the cross-section of the extension: declare its section_mm2")
		return
	}
	for _, u := range c.kit.Units {
		loss(c, u, *e.LengthM, *e.SectionMM2)
	}
}

func loss(c *compared, u kit.Unit, length, section float64) {
	basis := c.kitBasis + "; ΔV = I·ρ·2L/A, copper at 20 °C, ρ = 0.0172 Ω·mm²/m (textbook); a warm cable loses more"
	if u.InputAmps == nil {
		c.add("extension", u.Serial, NotKnown, basis, "what %s m of %s mm² lose: the input amperes of %s are not declared", fusion.Figure(length), fusion.Figure(section), u.Serial)
		return
	}
	drop, err := fusion.CopperDrop(*u.InputAmps, length, section)
	if err != nil {
		c.add("extension", u.Serial, NotKnown, basis, "what the extension loses: %v", err)
		return
	}
	say := func(state State, format string, args ...any) {
		args = append([]any{u.Serial, fusion.Figure(length), fusion.Figure(section), drop, fusion.Figure(*u.InputAmps)}, args...)
		c.add("extension", u.Serial, state, basis, "%s: %s m of %s mm² lose %.2f V at %s A"+format, args...).Assumed = true
	}
	if u.InputVolts == nil {
		say(NotKnown, "; what part of its input that is: its input volts are not declared")
		return
	}
	percent, left := 100*drop / *u.InputVolts, *u.InputVolts-drop
	switch low := u.InputVoltsLow; {
	case low == nil:
		say(NotKnown, ", %.1f %% of %s V; how much it allows stands in its own instructions (input_volts_low)", percent, fusion.Figure(*u.InputVolts))
	case left < *low:
		say(Short, ", %.1f %% of %s V; %.1f V are left, its instructions ask for %s V: %.1f V short", percent, fusion.Figure(*u.InputVolts), left, fusion.Figure(*low), *low-left)
	default:
		say(NoShortage, ", %.1f %% of %s V; %.1f V are left, its instructions ask for %s V", percent, fusion.Figure(*u.InputVolts), left, fusion.Figure(*low))
	}
}
