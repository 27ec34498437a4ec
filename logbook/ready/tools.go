package ready

import (
	"fmt"
	"slices"
	"strings"

	"coolhold/logbook"
	"coolhold/logbook/kit"
)

// tools compares what is not fused with the sizes of pipe that are worked. What a
// kit does not speak of at all is named in one line.
func tools(c *compared) {
	if c.kitBasis == "" {
		return // said above
	}
	sizes := c.sizes()
	for _, check := range []func(*compared, []int){clamps, scrapers, rerounders, endCaps} {
		if len(sizes) > 0 {
			check(c, sizes)
		}
	}
	counted(c, "wipes", "wipes", c.kit.Wipes)
	counted(c, "markers", "markers for the pipe", c.kit.Markers)
	undeclared(c)
}

// sizes are those of the pipes and of the fittings' rows, the smallest first: both
// sides of a joint are held and scraped.
func (c *compared) sizes() []int {
	var mm []int
	for _, n := range c.needs {
		mm = append(mm, n.row.Fitting.SizesMM...)
		for _, j := range n.joints {
			for _, e := range j.Meet() {
				mm = append(mm, e.OdMM)
			}
		}
	}
	slices.Sort(mm)
	return slices.DeleteFunc(slices.Compact(mm), func(mm int) bool { return mm == 0 }) // not stated
}

// bySize says in one line for which sizes something is there.
func (c *compared) bySize(slug, what string, sizes []int, lacking State, advice string, there func(mm int) bool) {
	basis := c.kitBasis + "; sizes are those of the pipes and of the fittings' rows"
	if none := kit.Without(sizes, there); len(none) > 0 {
		c.add(slug, "", lacking, basis, "%s: none is declared for %s%s", what, millimetres(none), advice)
		return
	}
	c.add(slug, "", InOrder, basis, "%s: declared for %s", what, millimetres(sizes))
}

func millimetres(mm []int) string {
	parts := make([]string, len(mm))
	for i, size := range mm {
		parts[i] = fmt.Sprint(size)
	}
	if last := len(parts) - 1; last > 0 {
		return strings.Join(parts[:last], ", ") + " and " + parts[last] + " mm"
	}
	return parts[0] + " mm"
}

func clamps(c *compared, sizes []int) {
	if len(c.kit.Clamps) == 0 {
		return // said below
	}
	c.bySize("clamps", "clamps", sizes, Short, "", func(mm int) bool {
		return slices.ContainsFunc(c.kit.Clamps, func(k kit.Clamp) bool {
			return slices.Contains(k.SizesMM, mm) && (k.Count == nil || *k.Count > 0)
		})
	})
}

// methods are the kinds of scraper that the plan may require.
var methods = map[string]string{logbook.RotaryTool: kit.RotaryTool, logbook.HandTool: kit.HandTool}

// scrapers compares the scrapers of the kind that the plan requires. One without a
// range is taken for any size by hand; what a rotary scraper fits it must say.
func scrapers(c *compared, sizes []int) {
	if len(c.kit.Scrapers) == 0 {
		return // said below
	}
	kind := methods[c.site.Scraping]
	what, rangeless := "scrapers", false
	if kind != "" {
		what = "scrapers (the plan requires a " + kind + ")"
	}
	there := func(mm int) bool {
		return slices.ContainsFunc(c.kit.Scrapers, func(s kit.Scraper) bool {
			switch {
			case kind != "" && s.Kind != kind:
				return false
			case s.From == nil:
				rangeless = rangeless || s.Kind == kit.RotaryTool
				return s.Kind == kit.HandTool
			}
			return *s.From <= mm && mm <= *s.To
		})
	}
	if kit.Without(sizes, there); rangeless {
		c.add("scrapers", "", NotKnown, c.kitBasis, "for which sizes the rotary scraper is: declare its from_mm and to_mm")
		return
	}
	c.bySize("scrapers", what, sizes, Short, "", there)
}

func rerounders(c *compared, sizes []int) {
	if len(c.kit.Rerounders) == 0 {
		return // said below
	}
	c.bySize("rerounders", "re-rounders", sizes, Open, ": see whether that pipe is round enough", func(mm int) bool {
		return slices.ContainsFunc(c.kit.Rerounders, func(k kit.Rerounder) bool { return slices.Contains(k.SizesMM, mm) })
	})
}

func endCaps(c *compared, sizes []int) {
	if len(c.kit.EndCaps) == 0 {
		return // said below
	}
	c.bySize("end caps", "end caps", sizes, Open, ": tape those ends; open ends are kept closed at all times (UFGS 15741N 3.2)", func(mm int) bool {
		return slices.ContainsFunc(c.kit.EndCaps, func(k kit.EndCap) bool { return k.SizeMM == mm && k.Count > 0 })
	})
}

// counted says how many there are; how many are needed is nobody's to say here.
func counted(c *compared, slug, what string, n *int) {
	switch {
	case n == nil: // said below
	case *n == 0:
		c.add(slug, "", Short, c.kitBasis, "%s: none", what)
	default:
		c.add(slug, "", InOrder, c.kitBasis, "%s: %d; how many the day takes is yours to judge", what, *n)
	}
}

// undeclared names what the kit does not speak of.
func undeclared(c *compared) {
	var what []string
	for _, w := range []struct {
		what    string
		missing bool
	}{
		{"the generator's volts", c.kit.GeneratorVolts == nil},
		{"clamps", len(c.kit.Clamps) == 0}, {"scrapers", len(c.kit.Scrapers) == 0}, {"re-rounders", len(c.kit.Rerounders) == 0},
		{"end caps", len(c.kit.EndCaps) == 0}, {"wipes", c.kit.Wipes == nil}, {"markers", c.kit.Markers == nil},
	} {
		if w.missing {
			what = append(what, w.what)
		}
	}
	if len(what) > 0 {
		c.add("tools", "", NotKnown, c.kitBasis, "%s: not declared", strings.Join(what, ", "))
	}
}
