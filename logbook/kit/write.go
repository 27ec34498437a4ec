package kit

import (
	"coolhold/logbook/toml"
)

// Write is a kit as a file; Parse gives the kit back.
func Write(k Kit) string {
	var w toml.Writer
	for _, u := range k.Units {
		writeUnit(&w, u)
	}
	for _, a := range k.Adapters {
		w.Open("[[adapter]]")
		w.Put("from_mm", a.From)
		w.Put("to_mm", a.To)
	}
	if k.Generator != nil || k.GeneratorVolts != nil {
		w.Open("[generator]")
		toml.OptNum(&w, "kva", k.Generator)
		toml.OptNum(&w, "volts", k.GeneratorVolts)
	}
	if e := k.Extension; e != nil {
		w.Open("[extension]")
		toml.OptNum(&w, "length_m", e.LengthM)
		toml.OptNum(&w, "section_mm2", e.SectionMM2)
		if e.Unreeled != nil {
			w.Put("unreeled", map[bool]string{true: "yes", false: "no"}[*e.Unreeled])
		}
	}
	for _, s := range k.Stock {
		w.Open("[[stock]]")
		w.Put("fitting", s.Fitting)
		w.Put("count", s.Count)
	}
	writeTools(&w, k)
	if k.Wipes != nil || k.Markers != nil {
		w.Open("[sundries]")
		toml.OptNum(&w, "wipes", k.Wipes)
		toml.OptNum(&w, "markers", k.Markers)
	}
	return w.String()
}

func writeUnit(w *toml.Writer, u Unit) {
	w.Open("[[unit]]")
	w.Put("serial", u.Serial)
	toml.OptNum(w, "input_kva", u.InputKVA)
	toml.OptNum(w, "input_volts", u.InputVolts)
	toml.OptNum(w, "input_volts_low", u.InputVoltsLow)
	toml.OptNum(w, "input_amps", u.InputAmps)
	toml.OptNum(w, "output_volts_low", u.VoltsLow)
	toml.OptNum(w, "output_volts_high", u.VoltsHigh)
	toml.OptNum(w, "longest_seconds", u.LongestS)
	w.Opt("counts", string(u.Counts))
	if len(u.LeadPinsMM) > 0 {
		w.Put("lead_pins_mm", toml.List(u.LeadPinsMM))
	}
}

func writeTools(w *toml.Writer, k Kit) {
	for _, c := range k.Clamps {
		w.Open("[[clamp]]")
		w.Put("sizes_mm", toml.List(c.SizesMM))
		toml.OptNum(w, "count", c.Count)
	}
	for _, s := range k.Scrapers {
		w.Open("[[scraper]]")
		w.Put("kind", s.Kind)
		toml.OptNum(w, "from_mm", s.From)
		toml.OptNum(w, "to_mm", s.To)
	}
	for _, r := range k.Rerounders {
		w.Open("[[rerounder]]")
		w.Put("sizes_mm", toml.List(r.SizesMM))
	}
	for _, c := range k.EndCaps {
		w.Open("[[end_cap]]")
		w.Put("size_mm", c.SizeMM)
		w.Put("count", c.Count)
	}
}
