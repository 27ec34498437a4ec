// Package table reads the file of a fusion table: every fault in it with its
// line, first what cannot be read, then what fusion finds wrong in the table as a
// whole.
package table

import (
	"fmt"
	"slices"
	"strings"

	"coolhold/fusion"
	"coolhold/logbook/fault"
	"coolhold/logbook/toml"
)

// anyNumber is for figures that are known one by one: sizes of pipe and classes.
var anyNumber = fusion.Bounds{Low: -1e9, High: 1e9}

// Parse reads a fusion table and checks it as a whole. The error is a fault.List
// with everything that is wrong in it; then the table is empty.
func Parse(data []byte) (fusion.Table, error) {
	root, err := toml.Open(data)
	if err != nil {
		return fusion.Table{}, err
	}
	f := file{unread: map[fusion.Place]bool{}, lines: map[fusion.Place]int{}}
	f.readers = map[int]*toml.Reader{-1: root}
	t := f.table(row{root, &f, -1})
	root.Done()
	for _, flaw := range t.Flaws(f.unread) {
		f.note(flaw)
	}
	if err := root.Err(); err != nil {
		return fusion.Table{}, err
	}
	return t, nil
}

// A file is a table while it is read.
type file struct {
	readers map[int]*toml.Reader  // of a fitting; -1: of the table itself
	unread  map[fusion.Place]bool // where nothing stands that could be read
	lines   map[fusion.Place]int  // of the items of lists
}

// note puts a flaw of the table among the faults of the file.
func (f *file) note(flaw fusion.Flaw) {
	r, what := f.readers[flaw.Fitting], flaw.What
	if flaw.Twin >= 0 {
		what = fmt.Sprintf("stands in line %d already: give each fitting its own name", f.readers[flaw.Twin].Line(flaw.Key))
	}
	line, known := f.lines[flaw.Place]
	if !known {
		line = r.Line(flaw.Key)
	}
	r.FaultAt(line, flaw.Key, "%s", what)
}

func (f *file) table(r row) fusion.Table {
	t := fusion.Table{Title: r.str("title", toml.MaxText), Source: r.str("source", toml.MaxText)}
	pairs := r.Pairs("bands", fusion.SaneDegrees)
	r.lost("bands", -1, len(pairs) == 0)
	for i, p := range pairs {
		r.item("bands", i, p.Line, p.OK)
		t.Bands = append(t.Bands, fusion.Band{Low: p.Low, High: p.High})
	}
	rows := r.NeedTables("fitting", "fitting")
	r.lost("fitting", -1, len(rows) == 0)
	for i, reader := range rows {
		f.readers[i] = reader
		t.Fittings = append(t.Fittings, row{reader, f, i}.fitting(len(pairs)))
	}
	return t
}

// A row reads the table itself or one fitting, and keeps where nothing could be
// read.
type row struct {
	*toml.Reader
	file *file
	no   int // its place among the fittings; -1: the table itself
}

func (r row) fitting(bands int) fusion.Fitting {
	f := fusion.Fitting{Name: r.str("name", fusion.MaxName)}
	if f.Name != "" {
		r.Call(f.Name)
	}
	f.Kind = r.Word("kind", fusion.Kinds...)
	r.lost("kind", -1, f.Kind == "")
	f.SizesMM = r.ints("sizes_mm", anyNumber)
	f.Ends = fusion.EndsOf(f.Kind)
	if n := r.optInt("ends", fusion.SaneEnds); n != nil {
		f.Ends = *n
	}
	f.Zones = 1
	if n := r.optInt("zones", fusion.SaneZones); n != nil {
		f.Zones = *n
	}
	f.Indicators = r.optInt("indicators", fusion.SaneIndicators)
	f.SDR = r.classes("sdr")
	volts, ok := r.Num("volts", fusion.SaneVolts)
	f.Volts = volts
	r.lost("volts", -1, !ok)
	f.Seconds = r.ints("seconds", fusion.SaneSeconds)
	f.CoolingMin = r.cooling(bands)
	f.PressureWaitMin = r.optInt("pressure_wait_min", fusion.SaneWait)
	f.PressureWaitFrom = r.OptWord("pressure_wait_from", fusion.FromCoolingEnd, fusion.FromFusionEnd)
	r.lost("pressure_wait_from", -1, r.Has("pressure_wait_from") && f.PressureWaitFrom == "")
	f.Ohms = r.optNum("ohms", fusion.SaneOhms)
	f.OhmsTolerancePct = r.optNum("ohms_tolerance_pct", fusion.SaneTolerance)
	f.PinMM = r.optNum("pin_mm", fusion.SanePin)
	r.Done()
	return f
}

// cooling reads one cooling time for all bands, or one a band.
func (r row) cooling(bands int) []int {
	list, one := r.IntOrInts("cooling_min", fusion.SaneCooling)
	if one {
		list = slices.Repeat(list, bands)
	}
	return r.kept("cooling_min", list)
}

func (r row) str(key string, limit int) string {
	s := r.Str(key, limit)
	r.lost(key, -1, s == "")
	return s
}

func (r row) ints(key string, in fusion.Bounds) []int { return r.kept(key, r.Ints(key, in)) }

// kept gives the plain numbers of a list.
func (r row) kept(key string, list []toml.Int) []int {
	r.lost(key, -1, len(list) == 0)
	for i, it := range list {
		r.item(key, i, it.Line, it.OK)
	}
	return toml.Numbers(list)
}

// classes reads pipe classes, whole or with a decimal such as 13.6.
func (r row) classes(key string) (classes []fusion.SDR) {
	list := r.Nums(key, anyNumber)
	r.lost(key, -1, len(list) == 0)
	for i, it := range list {
		r.item(key, i, it.Line, it.OK)
		classes = append(classes, fusion.SDR(it.X))
	}
	return classes
}

func (r row) optInt(key string, in fusion.Bounds) *int {
	n := r.OptInt(key, in)
	r.lost(key, -1, r.Has(key) && n == nil)
	return n
}

func (r row) optNum(key string, in fusion.Bounds) *float64 {
	x := r.OptNum(key, in)
	r.lost(key, -1, r.Has(key) && x == nil)
	return x
}

func (r row) item(key string, i, line int, ok bool) {
	r.file.lines[fusion.Place{Fitting: r.no, Key: key, Item: i}] = line
	r.lost(key, i, !ok)
}

// lost keeps a place where nothing could be read.
func (r row) lost(key string, item int, is bool) {
	if is {
		r.file.unread[fusion.Place{Fitting: r.no, Key: key, Item: item}] = true
	}
}

// Offer names the fittings of a table that were most likely meant by a name that
// it does not hold, else some that it does.
func Offer(t fusion.Table, name string) string {
	names := make([]string, len(t.Fittings))
	for i, f := range t.Fittings {
		names[i] = f.Name
	}
	if near := fault.Nearest(name, names, 3); len(near) > 0 {
		return "is " + quoted(near) + " meant?"
	}
	if len(names) > 6 {
		return "it holds " + quoted(names[:6]) + " and others"
	}
	return "it holds " + quoted(names)
}

func quoted(names []string) string {
	parts := make([]string, len(names))
	for i, n := range names {
		parts[i] = fmt.Sprintf("%q", n)
	}
	return strings.Join(parts, ", ")
}
