package fusion

import (
	"slices"
	"strings"
)

// A Table is a typed copy of what is printed on the bags of fittings. One
// without Flaws holds no contradiction; the figures are still only as good as the
// copy.
type Table struct {
	Title, Source string
	Bands         []Band // coldest first, without gap or overlap
	Fittings      []Fitting
}

// A Fitting is one row of a table. Pointers are nil where nothing is printed.
type Fitting struct {
	Name, Kind string
	SizesMM    []int    // outside diameters of the pipes it takes; of a tee also one for each face
	Ends       int      // faces that are welded
	Zones      int      // fused one after another, each with its own pair of terminals
	Indicators *int     // how many it has; nil where not stated
	SDR        []SDR    // pipe classes it may be fused to
	Volts      float64  // V
	Seconds    []int    // fusion time of each zone, one a band
	CoolingMin []int    // cooling time, one a band
	Ohms       *float64 // nominal resistance, Ω

	PressureWaitMin  *int   // before a pressure test
	PressureWaitFrom string // "cooling end", "fusion end", or "" where not stated: take the later

	OhmsTolerancePct *float64 // ± %, as printed
	PinMM            *float64 // terminal pin
}

// What pressure waits may count from.
const (
	FromCoolingEnd = "cooling end"
	FromFusionEnd  = "fusion end"
)

// Kinds are the kinds of fitting that a table may hold.
var Kinds = []string{"coupler", "reducer", "elbow", "tee", "saddle", "cap", "transition"}

// EndsOf is how many faces of a kind are welded where the table does not say.
func EndsOf(kind string) int {
	switch kind {
	case "cap", "saddle":
		return 1
	case "tee":
		return 3
	}
	return 2
}

// Find gives the fitting of a name. Case and the width of blanks do not count,
// since no two names of one table differ only in those.
func (t Table) Find(name string) (Fitting, bool) {
	i := slices.IndexFunc(t.Fittings, func(f Fitting) bool { return Folded(f.Name) == Folded(name) })
	if i < 0 {
		return Fitting{}, false
	}
	return t.Fittings[i], true
}

// Folded makes words equal that people would take for one another: case and the
// width of blanks do not count.
func Folded(name string) string {
	return strings.ToLower(strings.Join(strings.Fields(name), " "))
}

// BandFor gives the place of the band that holds a temperature's whole degree.
func (t Table) BandFor(c Celsius) (int, bool) {
	i := slices.IndexFunc(t.Bands, func(b Band) bool { return b.Holds(c.Degree()) })
	return max(i, 0), i >= 0
}
