package fusion

import (
	"slices"

	"coolhold/fusion/sheet"
)

// Bounds of a table's figures. They are sanity bounds of our choice, without a
// source, wide enough for every fitting and narrow enough to catch a slipped
// digit. None of them is a welding figure.
var (
	saneDegrees    = sheet.Range{Low: -30, High: 60, Unit: "°C"}
	saneSeconds    = sheet.Range{Low: 5, High: 3600, Unit: "s"}
	saneCooling    = sheet.Range{Low: 1, High: 600, Unit: "min"}
	saneWait       = sheet.Range{Low: 0, High: 2880, Unit: "min"}
	saneVolts      = sheet.Range{Low: 8, High: 80, Unit: "V"}
	saneOhms       = sheet.Range{Low: 0.05, High: 100, Unit: "Ω"}
	saneTolerance  = sheet.Range{Low: 0, High: 50, Unit: "%"}
	sanePin        = sheet.Range{Low: 2, High: 10, Unit: "mm"}
	saneEnds       = sheet.Range{Low: 1, High: 4}
	saneIndicators = sheet.Range{Low: 0, High: 6}
	anySize        = sheet.Range{Low: -1e9, High: 1e9}
)

// pipeClasses are the whole-numbered SDRs that a fitting may be marked for
// (ISO 4065, from memory).
var pipeClasses = []int{6, 9, 11, 17, 21, 26, 33, 41}

const (
	maxName     = 40 // characters, so that a name fits a column of a screen
	maxBands    = 20
	maxFittings = 500
)

// ParseTable reads a fusion table and checks it as a whole. The error is
// sheet.Faults with everything that is wrong in it; then the table is empty.
func ParseTable(data []byte) (Table, error) {
	r, err := sheet.Open(data)
	if err != nil {
		return Table{}, err
	}
	t := Table{Title: r.Str("title", sheet.MaxText), Source: r.Str("source", sheet.MaxText)}
	bands := readBands(r)
	for _, b := range bands {
		t.Bands = append(t.Bands, Band{b.Low, b.High})
	}
	t.Fittings = readFittings(r, bands)
	r.Done()
	if err := r.Err(); err != nil {
		return Table{}, err
	}
	return t, nil
}

// readBands reads the bands, faulty ones included, so that times can still be
// counted against them.
func readBands(r *sheet.Reader) []sheet.Pair {
	bands := r.Pairs("bands", saneDegrees)
	if len(bands) > maxBands {
		r.Fault("bands", "%d are too many, at most %d", len(bands), maxBands)
	}
	var last sheet.Pair // the warmest band so far, not OK where it is not known
	for i, b := range bands {
		if b.OK && b.Low > b.High {
			r.FaultAt(b.Line, "bands", "%s is turned round: the colder end comes first", name(b))
			bands[i].OK, b.OK = false, false
		}
		if b.OK && last.OK {
			checkNeighbours(r, last, b)
		}
		if !b.OK || !last.OK || b.High > last.High {
			last = b
		}
	}
	return bands
}

func name(b sheet.Pair) Band { return Band{b.Low, b.High} }

func checkNeighbours(r *sheet.Reader, colder, b sheet.Pair) {
	switch {
	case b.High < colder.Low:
		r.FaultAt(b.Line, "bands", "%s comes after %s: put the bands in order, coldest first", name(b), name(colder))
	case b.Low <= colder.High:
		r.FaultAt(b.Line, "bands", "%s overlaps %s: a degree must be in one band only", name(b), name(colder))
	case b.Low > colder.High+1:
		r.FaultAt(b.Line, "bands", "%s leaves a gap after %s: %d °C is in no band", name(b), name(colder), colder.High+1)
	}
}

func readFittings(r *sheet.Reader, bands []sheet.Pair) []Fitting {
	var fittings []Fitting
	rows := r.NeedTables("fitting", "fitting")
	if len(rows) > maxFittings {
		r.Fault("fitting", "%d are too many, at most %d: split the table", len(rows), maxFittings)
	}
	seen := map[string]int{}
	for _, row := range rows {
		f := readFitting(row, bands)
		if first := seen[fold(f.Name)]; f.Name != "" && first != 0 {
			row.Fault("name", "stands in line %d already: give each fitting its own name", first)
		} else {
			seen[fold(f.Name)] = row.Line("name")
		}
		fittings = append(fittings, f)
	}
	return fittings
}

func readFitting(r *sheet.Reader, bands []sheet.Pair) Fitting {
	f := Fitting{Name: r.Str("name", maxName)}
	if f.Name != "" {
		r.Call(f.Name)
	}
	f.Kind = r.Word("kind", kinds...)
	f.SizesMM = readSizes(r, f.Kind)
	f.Ends = endsOf(f.Kind)
	if n := r.OptInt("ends", saneEnds); n != nil {
		f.Ends = *n
	}
	f.Indicators = r.OptInt("indicators", saneIndicators)
	f.SDR = readClasses(r)
	f.Volts, _ = r.Num("volts", saneVolts)
	f.Seconds = readSeconds(r, bands)
	f.CoolingMin = readCooling(r, len(bands))
	readWait(r, &f)
	readOhms(r, &f)
	f.PinMM = r.OptNum("pin_mm", sanePin)
	r.Done()
	return f
}

func readSizes(r *sheet.Reader, kind string) []int {
	list := r.Ints("sizes_mm", anySize)
	sizes := distinct(r, "sizes_mm", list)
	for _, s := range list {
		if s.OK && !IsPipeSize(s.N) {
			r.FaultAt(s.Line, "sizes_mm", "%d mm is no size of PE pipe (16, 20, 25, 32, 40, 50, 63, 75, 90, 110 … 630)", s.N)
		}
	}
	switch {
	case len(list) == 0:
		// already noted
	case kind == "reducer" && len(list) < 2:
		r.Fault("sizes_mm", "a reducer joins two sizes: give both")
	case len(list) > 1 && slices.Contains([]string{"coupler", "elbow", "cap"}, kind):
		r.Fault("sizes_mm", "one size is needed for a fitting of kind %s, not %d", kind, len(list))
	case len(list) > 4:
		r.Fault("sizes_mm", "%d sizes are too many for one fitting, at most 4", len(list))
	}
	return sizes
}

// distinct gives the plain numbers and notes those that stand there twice.
func distinct(r *sheet.Reader, key string, list []sheet.Int) []int {
	for i, it := range list {
		if it.OK && slices.ContainsFunc(list[:i], func(o sheet.Int) bool { return o.OK && o.N == it.N }) {
			r.FaultAt(it.Line, key, "%d stands there twice", it.N)
		}
	}
	return sheet.Numbers(list)
}

func readClasses(r *sheet.Reader) []int {
	list := r.Ints("sdr", anySize)
	for _, s := range list {
		if s.OK && !slices.Contains(pipeClasses, s.N) {
			r.FaultAt(s.Line, "sdr", "SDR %d is not known; one of: %s", s.N, join(pipeClasses))
		}
	}
	return distinct(r, "sdr", list)
}

// readSeconds reads the fusion times. A colder joint never needs less, so a
// time that rises towards the warm end is a slip such as 83 for 38.
func readSeconds(r *sheet.Reader, bands []sheet.Pair) []int {
	times := r.Ints("seconds", saneSeconds)
	if !rightCount(r, "seconds", len(times), len(bands)) {
		return nil
	}
	for i := 1; i < len(times); i++ {
		colder, warmer := times[i-1], times[i]
		known := colder.OK && warmer.OK && bands[i-1].OK && bands[i].OK && bands[i-1].High < bands[i].Low
		if known && warmer.N > colder.N {
			r.FaultAt(warmer.Line, "seconds", "%d s at %s is longer than %d s at %s: a fusion time never rises as it gets warmer",
				warmer.N, name(bands[i]), colder.N, name(bands[i-1]))
		}
	}
	return sheet.Numbers(times)
}

// readCooling reads one cooling time for all bands or one a band. They may rise
// with the temperature: a warm day cools slower.
func readCooling(r *sheet.Reader, bands int) []int {
	times, one := r.IntOrInts("cooling_min", saneCooling)
	if one {
		return slices.Repeat(sheet.Numbers(times), bands)
	}
	rightCount(r, "cooling_min", len(times), bands)
	return sheet.Numbers(times)
}

// rightCount notes a list that has not one time a band. A list or bands that
// are missing were noted where they were read.
func rightCount(r *sheet.Reader, key string, times, bands int) bool {
	if times == 0 || bands == 0 {
		return false
	}
	if times != bands {
		r.Fault(key, "%d times for %d bands: give one for each band", times, bands)
		return false
	}
	return true
}

func readWait(r *sheet.Reader, f *Fitting) {
	f.PressureWaitMin = r.OptInt("pressure_wait_min", saneWait)
	f.PressureWaitFrom = r.OptWord("pressure_wait_from", FromCoolingEnd, FromFusionEnd)
	if r.Has("pressure_wait_from") && !r.Has("pressure_wait_min") {
		r.Fault("pressure_wait_from", "needs pressure_wait_min beside it")
	}
}

func readOhms(r *sheet.Reader, f *Fitting) {
	f.Ohms = r.OptNum("ohms", saneOhms)
	f.OhmsTolerancePct = r.OptNum("ohms_tolerance_pct", saneTolerance)
	if r.Has("ohms_tolerance_pct") && !r.Has("ohms") {
		r.Fault("ohms_tolerance_pct", "needs ohms beside it")
	}
}
