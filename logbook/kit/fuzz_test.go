package kit

import (
	"fmt"
	"reflect"
	"strconv"
	"strings"
	"testing"

	"coolhold/logbook/fault/faulttest"
)

// Whatever is read as a kit can be written down and read again as the same;
// whatever is not has its faults inside the file.
func FuzzParseKit(f *testing.F) {
	faulttest.Seeds(f, "../../testdata/kits/*.toml", "../../testdata/bad/kits.txtar", 18)
	f.Fuzz(func(t *testing.T, data []byte) {
		k, err := Parse(data)
		if err != nil {
			faulttest.Printable(t, data, err)
			return
		}
		again, err := Parse(render(k))
		if err != nil || !reflect.DeepEqual(again, k) {
			t.Fatalf("%+v came back as %+v, %v\n%s", k, again, err, render(k))
		}
	})
}

// render writes a kit as a file.
func render(k Kit) []byte {
	var b strings.Builder
	opt := func(key string, x *float64) {
		if x != nil {
			fmt.Fprintf(&b, "%s = %s\n", key, decimal(*x))
		}
	}
	b.WriteString("[generator]\n")
	opt("kva", k.Generator)
	opt("volts", k.GeneratorVolts)
	if k.Extension != nil {
		b.WriteString("[extension]\n")
		opt("length_m", k.Extension.LengthM)
		opt("section_mm2", k.Extension.SectionMM2)
		if u := k.Extension.Unreeled; u != nil {
			fmt.Fprintf(&b, "unreeled = %q\n", map[bool]string{true: "yes", false: "no"}[*u])
		}
	}
	for _, u := range k.Units {
		fmt.Fprintf(&b, "[[unit]]\nserial = %s\n", quoted(u.Serial))
		opt("input_kva", u.InputKVA)
		opt("input_volts", u.InputVolts)
		opt("input_volts_low", u.InputVoltsLow)
		opt("input_amps", u.InputAmps)
		opt("output_volts_low", u.VoltsLow)
		opt("output_volts_high", u.VoltsHigh)
		if u.LongestS != nil {
			fmt.Fprintf(&b, "longest_seconds = %d\n", *u.LongestS)
		}
		var pins []string
		for _, p := range u.LeadPinsMM {
			pins = append(pins, decimal(p))
		}
		if u.Counts != "" {
			fmt.Fprintf(&b, "counts = %q\n", u.Counts)
		}
		if len(pins) > 0 {
			fmt.Fprintf(&b, "lead_pins_mm = [%s]\n", strings.Join(pins, ", "))
		}
	}
	for _, a := range k.Adapters {
		fmt.Fprintf(&b, "[[adapter]]\nfrom_mm = %s\nto_mm = %s\n", decimal(a.From), decimal(a.To))
	}
	for _, s := range k.Stock {
		fmt.Fprintf(&b, "[[stock]]\nfitting = %s\ncount = %d\n", quoted(s.Fitting), s.Count)
	}
	renderTools(&b, k)
	return []byte(b.String())
}

func renderTools(b *strings.Builder, k Kit) {
	whole := func(key string, n *int) {
		if n != nil {
			fmt.Fprintf(b, "%s = %d\n", key, *n)
		}
	}
	sizes := func(mm []int) { fmt.Fprintf(b, "sizes_mm = %s\n", strings.ReplaceAll(fmt.Sprint(mm), " ", ", ")) }
	for _, c := range k.Clamps {
		b.WriteString("[[clamp]]\n")
		sizes(c.SizesMM)
		whole("count", c.Count)
	}
	for _, s := range k.Scrapers {
		fmt.Fprintf(b, "[[scraper]]\nkind = %q\n", s.Kind)
		whole("from_mm", s.From)
		whole("to_mm", s.To)
	}
	for _, r := range k.Rerounders {
		b.WriteString("[[rerounder]]\n")
		sizes(r.SizesMM)
	}
	for _, c := range k.EndCaps {
		fmt.Fprintf(b, "[[end_cap]]\nsize_mm = %d\ncount = %d\n", c.SizeMM, c.Count)
	}
	b.WriteString("[sundries]\n")
	whole("wipes", k.Wipes)
	whole("markers", k.Markers)
}

// decimal is a number with a point, so that none is too long for a whole one.
func decimal(x float64) string {
	s := strconv.FormatFloat(x, 'f', -1, 64)
	if !strings.Contains(s, ".") {
		s += ".0"
	}
	return s
}

// quoted is a text of printable characters only, as TOML writes it.
func quoted(s string) string {
	return `"` + strings.NewReplacer(`\`, `\\`, `"`, `\"`).Replace(s) + `"`
}
