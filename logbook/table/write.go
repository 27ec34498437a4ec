package table

import (
	"fmt"
	"slices"
	"strings"

	"coolhold/fusion"
	"coolhold/logbook/toml"
)

// Write is a table as a file; Parse gives the table back.
func Write(t fusion.Table) string {
	var w toml.Writer
	w.Put("title", t.Title)
	w.Put("source", t.Source)
	var bands []string
	for _, b := range t.Bands {
		bands = append(bands, fmt.Sprintf("[%d, %d]", b.Low, b.High))
	}
	w.Put("bands", toml.Raw("["+strings.Join(bands, ", ")+"]"))
	for _, f := range t.Fittings {
		w.Open("[[fitting]]")
		writeFitting(&w, f)
	}
	return w.String()
}

func writeFitting(w *toml.Writer, f fusion.Fitting) {
	w.Put("name", f.Name)
	w.Put("kind", f.Kind)
	w.Put("sizes_mm", toml.List(f.SizesMM))
	if f.Ends != fusion.EndsOf(f.Kind) {
		w.Put("ends", f.Ends)
	}
	if f.Zones != 1 {
		w.Put("zones", f.Zones)
	}
	toml.OptNum(w, "indicators", f.Indicators)
	var classes []float64
	for _, sdr := range f.SDR {
		classes = append(classes, float64(sdr))
	}
	w.Put("sdr", toml.List(classes))
	w.Put("volts", f.Volts)
	w.Put("seconds", toml.List(f.Seconds))
	if same := slices.Compact(slices.Clone(f.CoolingMin)); len(same) == 1 {
		w.Put("cooling_min", same[0])
	} else {
		w.Put("cooling_min", toml.List(f.CoolingMin))
	}
	toml.OptNum(w, "pressure_wait_min", f.PressureWaitMin)
	w.Opt("pressure_wait_from", f.PressureWaitFrom)
	toml.OptNum(w, "ohms", f.Ohms)
	toml.OptNum(w, "ohms_tolerance_pct", f.OhmsTolerancePct)
	toml.OptNum(w, "pin_mm", f.PinMM)
}
