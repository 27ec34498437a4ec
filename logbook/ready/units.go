package ready

import (
	"fmt"
	"slices"
	"strings"

	"coolhold/fusion"
	"coolhold/logbook/kit"
)

// units says what of the units is not declared at all.
func units(c *compared) {
	switch {
	case c.kitBasis == "":
		c.add("kit", "", NotKnown, "the log holds no kit of this site", "control units, leads, adapters, generator and extension: declare them in a kit file")
		return
	case len(c.kit.Units) == 0:
		c.add("kit", "", NotKnown, c.kitBasis, "what the control units can do: the kit declares none")
	}
	for _, u := range c.shift.Units {
		if _, ok := c.kit.Unit(u.Serial); !ok && len(c.kit.Units) > 0 {
			c.add("kit", u.Serial, NotKnown, c.kitBasis, "what control unit %s of the shift can do: the kit does not declare it", u.Serial)
		}
	}
}

// pins compares the pins of each fitting with the leads of each unit.
func pins(c *compared) {
	for _, n := range c.needs {
		if n.known() && n.row.Fitting.PinMM == nil {
			c.add("pins", n.name, NotKnown, "the fitting's own table", "the pin size of %s: its table prints none; read it off the fitting and try the leads", n.name)
		}
	}
	for _, u := range c.kit.Units {
		if len(u.LeadPinsMM) == 0 {
			c.add("pins", u.Serial, NotKnown, c.kitBasis, "which pins the leads of %s take: not declared", u.Serial)
			continue
		}
		leads(c, u)
	}
}

func leads(c *compared, u kit.Unit) {
	basis := c.kitBasis + "; sizes are one within 0.03 mm (ISO 8085-3 annex, from memory)"
	var met []string
	adapters, missing := false, false
	for _, n := range c.needs {
		if n.row.Fitting.PinMM == nil {
			continue
		}
		pin, m := *n.row.Fitting.PinMM, c.match(u, n)
		with := m.Adapter
		switch {
		case m.Pins:
			missing = true
			c.add("pins", u.Serial, Short, basis, "%s: its leads of %s do not take the pins of %s, %s mm: an adapter from %s to %s mm is missing",
				u.Serial, sizes(u.LeadPinsMM), n.name, fusion.Figure(pin), fusion.Figure(u.LeadPinsMM[0]), fusion.Figure(pin))
		case with != nil:
			adapters = true
			met = append(met, fmt.Sprintf("%s (%s mm, by an adapter from %s mm)", n.name, fusion.Figure(pin), fusion.Figure(with.From)))
		default:
			met = append(met, fmt.Sprintf("%s (%s mm)", n.name, fusion.Figure(pin)))
		}
	}
	if missing || len(met) == 0 {
		return
	}
	l := c.add("pins", u.Serial, InOrder, basis, "%s: its leads take the pins of %s", u.Serial, strings.Join(met, ", "))
	if adapters {
		l.Assumed, l.Basis = true, l.Basis+"; there is an adapter for each lead"
	}
}

func sizes(mm []float64) string {
	var parts []string
	for _, x := range mm {
		parts = append(parts, fusion.Figure(x))
	}
	return strings.Join(parts, " and ") + " mm"
}

// volts compares each fitting's supply with the output of each unit.
func volts(c *compared) {
	for _, u := range c.kit.Units {
		short := false
		var needed []string
		for _, n := range c.needs {
			if !n.known() {
				continue
			}
			v := n.row.Fitting.Volts
			if by := c.match(u, n).Volts; by != 0 {
				short = true
				off := kit.Tidied(by) + " V short"
				if by < 0 {
					off = kit.Tidied(-by) + " V too high"
				}
				c.add("volts", u.Serial, Short, c.kitBasis, "%s: %s needs %s V, its output is %s: %s", u.Serial, n.name, fusion.Figure(v), output(u), off)
			}
			if text := fusion.Figure(v) + " V"; !slices.Contains(needed, text) {
				needed = append(needed, text)
			}
		}
		switch {
		case u.VoltsLow == nil || u.VoltsHigh == nil:
			c.add("volts", u.Serial, NotKnown, c.kitBasis, "the output voltage of %s from lowest to highest: %s", u.Serial, output(u))
		case !short && len(needed) > 0:
			c.add("volts", u.Serial, InOrder, c.kitBasis, "%s: its output of %s covers %s", u.Serial, output(u), strings.Join(needed, " and "))
		}
	}
}

// match is what a unit can do with a fitting, at the longest time that counts.
func (c *compared) match(u kit.Unit, n need) kit.Match {
	s, _ := c.seconds(n)
	return c.kit.Match(u, n.row.Fitting, s)
}

func output(u kit.Unit) string {
	switch {
	case u.VoltsLow != nil && u.VoltsHigh != nil:
		return fusion.Figure(*u.VoltsLow) + "…" + fusion.Figure(*u.VoltsHigh) + " V"
	case u.VoltsLow != nil:
		return "from " + fusion.Figure(*u.VoltsLow) + " V, to what is not declared"
	case u.VoltsHigh != nil:
		return "to " + fusion.Figure(*u.VoltsHigh) + " V, from what is not declared"
	}
	return "not declared"
}

// longest compares the longest fusion time that counts with what each unit can
// be set to.
func longest(c *compared) {
	for _, u := range c.kit.Units {
		if u.LongestS == nil {
			c.add("time", u.Serial, NotKnown, c.kitBasis, "the longest time that %s can be set to: not declared", u.Serial)
			continue
		}
		runs(c, u, *u.LongestS)
	}
}

func runs(c *compared, u kit.Unit, most int) {
	top, short, assumed := "", false, false
	topS := 0
	for _, n := range c.needs {
		if !n.known() {
			continue
		}
		s, all := c.seconds(n)
		assumed = assumed || all
		if s > topS {
			topS, top = s, n.name
		}
		if over := c.match(u, n).Seconds; over > 0 {
			short = true
			c.ground(c.add("time", u.Serial, Short, c.kitBasis, "%s: %s needs %d s, it can be set to %d s at most: %d s short", u.Serial, n.name, s, most, over), all)
		}
	}
	if !short && top != "" {
		c.ground(c.add("time", u.Serial, InOrder, c.kitBasis, "%s: it can be set to %d s, the longest time needed is %d s (%s)", u.Serial, most, topS, top), assumed)
	}
}

// ground adds to a line's basis which bands were counted.
func (c *compared) ground(l *Comparison, all bool) {
	switch {
	case all:
		l.Assumed, l.Basis = true, l.Basis+"; every band of the table counts, since the day's temperature is not known or in none"
	case c.temp.assumed:
		l.Assumed, l.Basis = true, l.Basis+"; the bands of "+c.temp.String()+" count, "+c.temp.basis
	default:
		l.Basis += "; the band of " + c.temp.String() + " counts, " + c.temp.basis
	}
}

// seconds is the longest fusion time of a fitting over the bands that count.
func (c *compared) seconds(n need) (s int, all bool) {
	places, all := c.temp.bands(n.row.Table)
	for _, i := range places {
		s = max(s, n.row.Fitting.Seconds[i])
	}
	return s, all
}
