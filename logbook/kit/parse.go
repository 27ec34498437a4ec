package kit

import (
	"slices"

	"coolhold/fusion"
	"coolhold/logbook/toml"
)

// Bounds of sense of a kit's figures: our choice, without a source, wide
// enough for every kit and narrow enough to catch a slipped digit.
var (
	saneKVA     = fusion.Bounds{Low: 0.5, High: 500, Unit: "kVA"}
	saneMains   = fusion.Bounds{Low: 50, High: 500, Unit: "V"}
	saneAmps    = fusion.Bounds{Low: 0.5, High: 125, Unit: "A"}
	saneOutput  = fusion.Bounds{Low: 1, High: 100, Unit: "V"}
	saneLongest = fusion.Bounds{Low: 10, High: 9999, Unit: "s"}
	sanePin     = fusion.Bounds{Low: 2, High: 10, Unit: "mm"}
	saneLength  = fusion.Bounds{Low: 0, High: 200, Unit: "m"}
	saneSection = fusion.Bounds{Low: 0.5, High: 120, Unit: "mm²"}
	saneCount   = fusion.Bounds{Low: 0, High: 9999}
	saneSize    = fusion.Bounds{Low: 16, High: 630, Unit: "mm"} // as PE pipe is made, ISO 4065, from memory
)

const (
	maxName     = 40 // characters, so that a name fits a column of a screen
	maxUnits    = 20
	maxAdapters = 50
	maxStock    = 500
	maxTools    = 50 // of one kind
)

// Parse reads a kit and checks it as a whole. The error is a fault.List with
// everything that is wrong in it; then the kit is empty.
func Parse(data []byte) (Kit, error) {
	r, err := toml.Open(data)
	if err != nil {
		return Kit{}, err
	}
	k := Kit{Units: readUnits(r), Adapters: readAdapters(r)}
	if g := r.Table("generator"); g != nil {
		k.Generator, k.GeneratorVolts = g.OptNum("kva", saneKVA), g.OptNum("volts", saneMains)
		g.Done()
	}
	if e := r.Table("extension"); e != nil {
		k.Extension = &Extension{LengthM: e.OptNum("length_m", saneLength), SectionMM2: e.OptNum("section_mm2", saneSection), Unreeled: yesNo(e, "unreeled")}
		e.Done()
	}
	k.Stock = readStock(r)
	k.Clamps, k.Scrapers, k.Rerounders, k.EndCaps = readClamps(r), readScrapers(r), readRerounders(r), readEndCaps(r)
	if s := r.Table("sundries"); s != nil {
		k.Wipes, k.Markers = s.OptInt("wipes", saneCount), s.OptInt("markers", saneCount)
		s.Done()
	}
	if !declares(r) {
		r.Fault("", "nothing is declared: give a [[unit]], an [[adapter]], the [generator], the [extension] or the van's [[stock]]")
	}
	r.Done()
	if err := r.Err(); err != nil {
		return Kit{}, err
	}
	return k, nil
}

// declares tells whether anything of a kit is in the file, be it faulty.
func declares(r *toml.Reader) bool {
	return slices.ContainsFunc([]string{"unit", "adapter", "generator", "extension", "stock", "clamp", "scraper", "rerounder", "end_cap", "sundries"}, r.Has)
}

// yesNo reads "yes" or "no" where it is there.
func yesNo(r *toml.Reader, key string) *bool {
	switch r.OptWord(key, "yes", "no") {
	case "yes":
		return new(true)
	case "no":
		return new(false)
	}
	return nil
}

func readUnits(r *toml.Reader) []Unit {
	var units []Unit
	seen := names{}
	for _, row := range rows(r, "unit", "unit", maxUnits) {
		units = append(units, readUnit(row, seen))
	}
	return units
}

func readUnit(r *toml.Reader, seen names) Unit {
	u := Unit{Serial: r.Str("serial", maxName)}
	if u.Serial != "" {
		r.Name(u.Serial)
		seen.take(r, "serial", u.Serial)
	}
	u.InputKVA = r.OptNum("input_kva", saneKVA)
	u.InputVolts = r.OptNum("input_volts", saneMains)
	u.InputVoltsLow = r.OptNum("input_volts_low", saneMains)
	u.InputAmps = r.OptNum("input_amps", saneAmps)
	u.VoltsLow = r.OptNum("output_volts_low", saneOutput)
	u.VoltsHigh = r.OptNum("output_volts_high", saneOutput)
	u.LongestS = r.OptInt("longest_seconds", saneLongest)
	u.LeadPinsMM = readPins(r)
	u.Counts = Counts(r.OptWord("counts", string(CountsUp), string(CountsDown), string(CountsNot)))
	r.Done()
	ordered(r, "input_volts_low", u.InputVoltsLow, "input_volts", u.InputVolts)
	ordered(r, "output_volts_low", u.VoltsLow, "output_volts_high", u.VoltsHigh)
	return u
}

// ordered notes a lower figure that is above its upper one.
func ordered(r *toml.Reader, key string, low *float64, highKey string, high *float64) {
	if low != nil && high != nil && *low > *high {
		r.Fault(key, "%g V is above %s, %g V: correct one", *low, highKey, *high)
	}
}

func readPins(r *toml.Reader) []float64 {
	var pins []float64
	for _, n := range r.OptNums("lead_pins_mm", sanePin) {
		if !n.OK {
			continue
		}
		for _, had := range pins {
			if SamePin(had, n.X) {
				r.FaultAt(n.Line, "lead_pins_mm", "%g stands there twice", n.X)
			}
		}
		pins = append(pins, n.X)
	}
	return pins
}

func readAdapters(r *toml.Reader) []Adapter {
	var adapters []Adapter
	for _, row := range rows(r, "adapter", "adapter", maxAdapters) {
		from, haveFrom := row.Num("from_mm", sanePin)
		to, haveTo := row.Num("to_mm", sanePin)
		if haveFrom && haveTo && SamePin(from, to) {
			row.Fault("to_mm", "%g mm is the size it comes from: an adapter joins two sizes", to)
		}
		row.Done()
		adapters = append(adapters, Adapter{from, to})
	}
	return adapters
}

func readStock(r *toml.Reader) []Stock {
	var stock []Stock
	seen := names{}
	for _, row := range rows(r, "stock", "stock", maxStock) {
		s := Stock{Fitting: row.Str("fitting", maxName)}
		if s.Fitting != "" {
			row.Name(s.Fitting)
			seen.take(row, "fitting", s.Fitting)
		}
		s.Count, _ = row.Int("count", saneCount)
		row.Done()
		stock = append(stock, s)
	}
	return stock
}

func readClamps(r *toml.Reader) []Clamp {
	var clamps []Clamp
	for _, row := range rows(r, "clamp", "clamp", maxTools) {
		c := Clamp{SizesMM: readSizes(row), Count: row.OptInt("count", saneCount)}
		row.Done()
		clamps = append(clamps, c)
	}
	return clamps
}

func readScrapers(r *toml.Reader) []Scraper {
	var scrapers []Scraper
	for _, row := range rows(r, "scraper", "scraper", maxTools) {
		s := Scraper{Kind: row.WordOr("kind", formerKinds, RotaryTool, HandTool), From: row.OptInt("from_mm", saneSize), To: row.OptInt("to_mm", saneSize)}
		switch {
		case s.From != nil && s.To != nil && *s.From > *s.To:
			row.Fault("from_mm", "%d mm is above to_mm, %d mm: correct one", *s.From, *s.To)
		case row.Has("from_mm") && !row.Has("to_mm"):
			row.Fault("from_mm", "stands without to_mm: give both ends of what it scrapes, or none")
		case row.Has("to_mm") && !row.Has("from_mm"):
			row.Fault("to_mm", "stands without from_mm: give both ends of what it scrapes, or none")
		}
		row.Done()
		scrapers = append(scrapers, s)
	}
	return scrapers
}

func readRerounders(r *toml.Reader) []Rerounder {
	var rerounders []Rerounder
	for _, row := range rows(r, "rerounder", "re-rounder", maxTools) {
		rerounders = append(rerounders, Rerounder{readSizes(row)})
		row.Done()
	}
	return rerounders
}

func readEndCaps(r *toml.Reader) []EndCap {
	var caps []EndCap
	first := map[int]int{}
	for _, row := range rows(r, "end_cap", "end cap", maxTools) {
		var c EndCap
		if size, ok := row.Int("size_mm", saneSize); ok && pipeSize(row, row.Line("size_mm"), "size_mm", size) {
			if line, had := first[size]; had {
				row.Fault("size_mm", "stands in line %d already", line)
			}
			c.SizeMM, first[size] = size, row.Line("size_mm")
		}
		c.Count, _ = row.Int("count", saneCount)
		row.Done()
		caps = append(caps, c)
	}
	return caps
}

// readSizes reads sizes of pipe, each once.
func readSizes(r *toml.Reader) []int {
	var sizes []int
	for _, n := range r.Ints("sizes_mm", saneSize) {
		if !n.OK || !pipeSize(r, n.Line, "sizes_mm", n.N) {
			continue
		}
		if slices.Contains(sizes, n.N) {
			r.FaultAt(n.Line, "sizes_mm", "%d stands there twice", n.N)
		}
		sizes = append(sizes, n.N)
	}
	return sizes
}

// pipeSize notes a size that no pipe is made in.
func pipeSize(r *toml.Reader, line int, key string, size int) bool {
	if fusion.IsPipeSize(size) {
		return true
	}
	r.FaultAt(line, key, "%d mm is no size of PE pipe (16, 20, 25, 32, 40, 50, 63, 75, 90, 110 … 630)", size)
	return false
}

func rows(r *toml.Reader, key, noun string, most int) []*toml.Reader {
	list := r.Tables(key, noun)
	if len(list) > most {
		r.Fault(key, "%d are too many, at most %d", len(list), most)
	}
	return list
}

// names are the names taken so far, with their lines.
type names map[string]int

func (n names) take(r *toml.Reader, key, name string) {
	if first, taken := n[fusion.Folded(name)]; taken {
		r.Fault(key, "stands in line %d already", first)
		return
	}
	n[fusion.Folded(name)] = r.Line(key)
}
