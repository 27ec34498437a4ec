package kit

import (
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
)

const (
	maxName     = 40 // characters, so that a name fits a column of a screen
	maxUnits    = 20
	maxAdapters = 50
	maxStock    = 500
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
		k.Generator = g.OptNum("kva", saneKVA)
		g.Done()
	}
	if e := r.Table("extension"); e != nil {
		k.Extension = &Extension{LengthM: e.OptNum("length_m", saneLength), SectionMM2: e.OptNum("section_mm2", saneSection)}
		e.Done()
	}
	k.Stock = readStock(r)
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
	for _, key := range []string{"unit", "adapter", "generator", "extension", "stock"} {
		if r.Has(key) {
			return true
		}
	}
	return false
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
