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
	switch {
	case gen == nil && top.known():
		c.add("power", top.name, NotKnown, basis, "what the generator gives in kVA; %s takes %.0f W", top.name, most)
	case gen == nil:
		c.add("power", "", NotKnown, basis, "what the generator gives in kVA")
	case !top.known():
	case c.kit.PowerShort(top.row.Fitting) > 0:
		c.add("power", top.name, Short, basis, "%s takes %.0f W, the generator gives %s kVA: %.2f kVA short at least", top.name, most, fusion.Figure(*gen), c.kit.PowerShort(top.row.Fitting))
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
			l = c.add("plate", u.Serial, Short, basis, "%s: its plate input is %s kVA, the generator gives %s kVA: %s kVA short", u.Serial, fusion.Figure(*u.InputKVA), fusion.Figure(*gen), kit.Tidied(*u.InputKVA-*gen))
		default:
			l = c.add("plate", u.Serial, NoShortage, basis, "%s: its plate input is %s kVA, the generator gives %s kVA", u.Serial, fusion.Figure(*u.InputKVA), fusion.Figure(*gen))
		}
		if len(c.kit.Units) > 1 && gen != nil && u.InputKVA != nil {
			l.Assumed, l.Basis = true, l.Basis+"; one unit runs at a time, and nothing else on the generator"
		}
	}
}

// mains compares the generator's voltage with what each unit works with.
func mains(c *compared) {
	gen := c.kit.GeneratorVolts
	if gen == nil {
		return // said among what is not declared
	}
	volts := fusion.Figure(*gen)
	for _, u := range c.kit.Units {
		say := func(state State, format string, args ...any) {
			c.add("mains", u.Serial, state, c.kitBasis, "%s: the generator gives %s V"+format, append([]any{u.Serial, volts}, args...)...)
		}
		low, plate := u.InputVoltsLow, u.InputVolts
		switch short := c.kit.MainsShort(u); {
		case short > 0:
			say(Short, ", its instructions ask for %s V: %s V short", fusion.Figure(*low), kit.Tidied(short))
		case plate == nil && low == nil:
			say(NotKnown, "; what it works with is not declared")
		case plate != nil && (*gen > *plate || low == nil && *gen < *plate):
			say(NotKnown, ", its plate says %s V: see in its instructions whether that is allowed", fusion.Figure(*plate))
		case low == nil:
			say(NoShortage, ", as its plate says")
		default:
			say(NoShortage, ", its instructions ask for %s V at least", fusion.Figure(*low))
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

// unreel says that an extension must be unreeled before it is loaded.
func unreel(c *compared) {
	e := c.kit.Extension
	if e == nil || e.LengthM == nil || *e.LengthM == 0 {
		return
	}
	basis := c.kitBasis + "; a cable that is wound up heats (common practice, no source)"
	switch {
	case e.Unreeled == nil:
		c.add("unreel", "", NotKnown, basis, "whether the extension is unreeled fully: not declared; unreel it fully before use")
	case !*e.Unreeled:
		c.add("unreel", "", Open, basis, "the extension is not unreeled fully: unreel it fully before use")
	default:
		c.add("unreel", "", InOrder, basis, "the extension is unreeled fully before use")
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
	supply := u.InputVolts
	if c.kit.GeneratorVolts != nil {
		supply = c.kit.GeneratorVolts
	}
	if supply == nil {
		say(NotKnown, "; what part of its input that is: its input volts are not declared")
		return
	}
	percent, left := 100*drop / *supply, *supply-drop
	switch low := u.InputVoltsLow; {
	case low == nil:
		say(NotKnown, ", %.1f %% of %s V; how much it allows stands in its own instructions (input_volts_low)", percent, fusion.Figure(*supply))
	case left < *low:
		say(Short, ", %.1f %% of %s V; %.1f V are left, its instructions ask for %s V: %.1f V short", percent, fusion.Figure(*supply), left, fusion.Figure(*low), *low-left)
	default:
		say(NoShortage, ", %.1f %% of %s V; %.1f V are left, its instructions ask for %s V", percent, fusion.Figure(*supply), left, fusion.Figure(*low))
	}
}
