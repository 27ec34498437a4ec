package tui

import (
	"slices"
	"strconv"
	"strings"

	"coolhold/fusion"
	"coolhold/logbook"
	"coolhold/logbook/kit"
	"coolhold/tui/form"
)

// A kit is typed again from what was declared before: one figure is put right without
// all the others being typed once more. These are its answers as they stood.

func standing(pairs ...string) form.Answers {
	out := form.Answers{}
	for i := 0; i < len(pairs); i += 2 {
		out[pairs[i]] = logbook.Answer{Item: pairs[i], V: pairs[i+1], How: logbook.Typed}
	}
	return out
}

func figureOf(x *float64) string {
	if x == nil {
		return ""
	}
	return fusion.Figure(*x)
}

func wholeOf(n *int) string {
	if n == nil {
		return ""
	}
	return strconv.Itoa(*n)
}

// withUnit are the answers of a unit; besides is what came before it, "" for the first.
func withUnit(u kit.Unit, besides string) form.Answers {
	counts, pins := string(u.Counts), []string{}
	if counts == "" {
		counts = unknown
	}
	for _, mm := range u.LeadPinsMM {
		pins = append(pins, fusion.Figure(mm))
	}
	a := standing(
		"serial", u.Serial, "input_kva", figureOf(u.InputKVA), "input_volts", figureOf(u.InputVolts), "input_volts_low", figureOf(u.InputVoltsLow), "input_amps", figureOf(u.InputAmps),
		"output_volts_low", figureOf(u.VoltsLow), "output_volts_high", figureOf(u.VoltsHigh), "longest_seconds", wholeOf(u.LongestS), "lead_pins_mm", strings.Join(pins, " "), "counts", counts,
	)
	if besides != "" {
		a["unit"] = logbook.Answer{Item: "unit", V: besides, How: logbook.Typed}
	}
	return a
}

// before are the answers to what feeds the units and what is in the van; none where no
// kit was declared. Who declares it is asked anew.
func (k kitTyping) before() form.Answers {
	if len(k.had.Units) == 0 {
		return form.Answers{}
	}
	a := standing("kva", figureOf(k.had.Generator), "volts", figureOf(k.had.GeneratorVolts), "scrapers", scrapersOf(k.had))
	for item, v := range extensionOf(k.had.Extension) {
		a[item] = logbook.Answer{Item: item, V: v, How: logbook.Typed}
	}
	var clamped, rounded []int
	sets := ""
	for _, c := range k.had.Clamps {
		clamped = append(clamped, c.SizesMM...)
		sets = wholeOf(c.Count)
	}
	if len(k.had.Clamps) > 1 {
		sets = "" // each kind has its own
	}
	for _, r := range k.had.Rerounders {
		rounded = append(rounded, r.SizesMM...)
	}
	for item, v := range map[string]string{"clamps": sizesOf(clamped), "sets": sets, "rerounders": sizesOf(rounded)} {
		a[item] = logbook.Answer{Item: item, V: v, How: logbook.Typed}
	}
	for _, name := range k.fittings {
		v := ""
		for _, s := range k.had.Stock {
			if s.Fitting == name {
				v = strconv.Itoa(s.Count)
			}
		}
		a["stock "+name] = logbook.Answer{Item: "stock " + name, V: v, How: logbook.Typed}
	}
	return a
}

func sizesOf(mm []int) string {
	slices.Sort(mm)
	var parts []string
	for _, n := range slices.Compact(mm) {
		parts = append(parts, strconv.Itoa(n))
	}
	return strings.Join(parts, " ")
}

func scrapersOf(k kit.Kit) string {
	kinds := map[string]bool{}
	for _, s := range k.Scrapers {
		kinds[s.Kind] = true
	}
	switch {
	case kinds[kit.RotaryTool] && kinds[kit.HandTool]:
		return bothScrapers
	case len(k.Scrapers) > 0:
		return k.Scrapers[0].Kind
	}
	return unknown
}

// extensionOf are the answers about an extension.
func extensionOf(e *kit.Extension) map[string]string {
	switch {
	case e == nil:
		return map[string]string{"extension": unknown}
	case e.LengthM != nil && *e.LengthM == 0:
		return map[string]string{"extension": noExtension}
	}
	reeled := unknown
	if e.Unreeled != nil {
		reeled = map[bool]string{true: "yes", false: "no"}[*e.Unreeled]
	}
	return map[string]string{"extension": extended, "length_m": figureOf(e.LengthM), "section_mm2": figureOf(e.SectionMM2), "unreeled": reeled}
}
