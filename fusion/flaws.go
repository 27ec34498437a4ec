package fusion

import (
	"fmt"
	"slices"
	"strings"
	"unicode/utf8"
)

// fittingClasses are the SDRs that a fitting may be marked for (ISO 4065, from
// memory).
var fittingClasses = []SDR{6, 9, 11, 13.6, 17, 21, 26, 33, 41}

// The largest table: our choice.
const (
	MaxName     = 40 // characters, so that a name fits a column of a screen
	maxBands    = 20
	maxFittings = 500
	maxSizes    = 4
)

// A Place is where in a table something stands.
type Place struct {
	Fitting int    // its place in Fittings; -1 is the table itself
	Key     string // as in the file of a table, "seconds"
	Item    int    // of a list; -1 is the whole
}

// A Flaw is what makes a table contradict itself, or sense, at one place.
type Flaw struct {
	Place
	What string // what is wrong and what to do
	Twin int    // the fitting above that has the name already; -1 where that is not what is wrong
}

// Flaws is everything that is wrong in a table as a whole: bands out of order,
// with a gap or an overlap, a fusion time that rises as it gets warmer, not one
// time a band, a figure without sense, a name twice. Nobody is told that a
// figure is right. A place in unread holds nothing that could be read, as its
// reader has said already: it is neither judged nor held against another.
func (t Table) Flaws(unread map[Place]bool) []Flaw {
	c := check{Table: t, unread: unread}
	c.filled(Place{-1, "title", -1}, t.Title)
	c.filled(Place{-1, "source", -1}, t.Source)
	c.bands()
	c.count(Place{-1, "fitting", -1}, len(t.Fittings), maxFittings, ": split the table")
	c.names()
	for i, f := range t.Fittings {
		c.fitting(i, f)
	}
	return c.flaws
}

// A check is a table while it is looked through.
type check struct {
	Table
	unread map[Place]bool
	known  []bool // of a band: it can be compared
	flaws  []Flaw
}

func (c *check) flaw(at Place, format string, args ...any) {
	c.flaws = append(c.flaws, Flaw{at, fmt.Sprintf(format, args...), -1})
}

func (c *check) filled(at Place, s string) {
	if !c.unread[at] && s == "" {
		c.flaw(at, "is empty")
	}
}

// count notes a list that is empty or longer than it may be.
func (c *check) count(at Place, n, most int, hint string) {
	switch {
	case c.unread[at]:
	case n == 0:
		c.flaw(at, "is empty")
	case n > most:
		c.flaw(at, "%d are too many, at most %d%s", n, most, hint)
	}
}

// sane tells whether a figure was read and has sense; one without is noted.
func (c *check) sane(at Place, x float64, in Bounds) bool {
	if c.unread[at] {
		return false
	}
	if !in.Holds(x) {
		c.flaw(at, "%s is outside %s", Figure(x), in)
	}
	return in.Holds(x)
}

// optional is sane for a figure that may be left out.
func optional[N int | float64](c *check, at Place, x *N, in Bounds) {
	if x != nil {
		c.sane(at, float64(*x), in)
	}
}

func (c *check) bands() {
	c.count(Place{-1, "bands", -1}, len(c.Bands), maxBands, "")
	c.known = make([]bool, len(c.Bands))
	warmest := -1 // so far; -1 where it is not known
	for i, b := range c.Bands {
		c.known[i] = c.band(Place{-1, "bands", i}, b)
		if !c.known[i] {
			warmest = -1
			continue
		}
		if warmest >= 0 {
			c.neighbours(Place{-1, "bands", i}, c.Bands[warmest], b)
		}
		if warmest < 0 || b.High > c.Bands[warmest].High {
			warmest = i
		}
	}
}

// band tells whether a band can be held against others.
func (c *check) band(at Place, b Band) bool {
	low, high := c.sane(at, float64(b.Low), SaneDegrees), c.sane(at, float64(b.High), SaneDegrees)
	if !low || !high {
		return false
	}
	if b.Low > b.High {
		c.flaw(at, "%s is turned round: the colder end comes first", b)
	}
	return b.Low <= b.High
}

func (c *check) neighbours(at Place, colder, b Band) {
	switch {
	case b.High < colder.Low:
		c.flaw(at, "%s comes after %s: put the bands in order, coldest first", b, colder)
	case b.Low <= colder.High:
		c.flaw(at, "%s overlaps %s: a degree must be in one band only", b, colder)
	case b.Low > colder.High+1:
		c.flaw(at, "%s leaves a gap after %s: %d °C is in no band", b, colder, colder.High+1)
	}
}

// names notes fittings that people would take for one another.
func (c *check) names() {
	first := map[string]int{}
	for i, f := range c.Fittings {
		at := Place{i, "name", -1}
		c.filled(at, f.Name)
		if c.unread[at] || f.Name == "" {
			continue
		}
		if n := utf8.RuneCountInString(f.Name); n > MaxName {
			c.flaw(at, "%d characters are too many, at most %d", n, MaxName)
		}
		twin, had := first[Folded(f.Name)]
		if had {
			c.flaws = append(c.flaws, Flaw{at, fmt.Sprintf("is that of fitting %d already: give each fitting its own name", twin+1), twin})
			continue
		}
		first[Folded(f.Name)] = i
	}
}

func (c *check) fitting(i int, f Fitting) {
	at := func(key string) Place { return Place{i, key, -1} }
	if !c.unread[at("kind")] && !slices.Contains(Kinds, f.Kind) {
		c.flaw(at("kind"), "%q is not known; one of: %s", Brief(f.Kind), strings.Join(Kinds, ", "))
	}
	c.sizes(at("sizes_mm"), f)
	c.sane(at("ends"), float64(f.Ends), SaneEnds)
	c.sane(at("zones"), float64(f.Zones), SaneZones)
	optional(c, at("indicators"), f.Indicators, SaneIndicators)
	c.classes(at("sdr"), f.SDR)
	c.sane(at("volts"), f.Volts, SaneVolts)
	c.seconds(at("seconds"), f.Seconds)
	c.cooling(at("cooling_min"), f.CoolingMin)
	c.wait(at("pressure_wait_min"), at("pressure_wait_from"), f)
	c.ohms(at("ohms"), at("ohms_tolerance_pct"), f)
	optional(c, at("pin_mm"), f.PinMM, SanePin)
}

func (c *check) sizes(at Place, f Fitting) {
	if !c.faceByFace(f, Place{at.Fitting, "ends", -1}) {
		distinct(c, at, f.SizesMM)
	}
	for i, mm := range f.SizesMM {
		if it := item(at, i); !c.unread[it] && !IsPipeSize(mm) {
			c.flaw(it, "%d mm is no size of PE pipe (16, 20, 25, 32, 40, 50, 63, 75, 90, 110 … 630)", mm)
		}
	}
	n := len(f.SizesMM)
	switch {
	case c.unread[at]:
	case n == 0:
		c.flaw(at, "is empty")
	case f.Kind == "reducer" && n < 2:
		c.flaw(at, "a reducer joins two sizes: give both")
	case n > 1 && slices.Contains([]string{"coupler", "elbow", "cap"}, f.Kind):
		c.flaw(at, "one size is needed for a fitting of kind %s, not %d", f.Kind, n)
	case n > maxSizes:
		c.flaw(at, "%d sizes are too many for one fitting, at most %d", n, maxSizes)
	}
}

// faceByFace tells whether a size may stand twice: of a tee that lists one for each
// face, or may list it so where it is not known how many faces it has.
func (c *check) faceByFace(f Fitting, ends Place) bool {
	return f.Kind == "tee" && (len(f.SizesMM) == f.Ends || c.unread[ends] || !SaneEnds.Holds(float64(f.Ends)))
}

func (c *check) classes(at Place, classes []SDR) {
	if !c.unread[at] && len(classes) == 0 {
		c.flaw(at, "is empty")
	}
	for i, sdr := range classes {
		if it := item(at, i); !c.unread[it] && !slices.Contains(fittingClasses, sdr) {
			c.flaw(it, "SDR %s is not known; one of: %s", sdr, either(fittingClasses))
		}
	}
	distinct(c, at, classes)
}

func item(at Place, i int) Place { return Place{at.Fitting, at.Key, i} }

// distinct notes what stands in a list twice.
func distinct[N comparable](c *check, at Place, list []N) {
	seen := map[N]bool{}
	for i, n := range list {
		if c.unread[item(at, i)] {
			continue
		}
		if seen[n] {
			c.flaw(item(at, i), "%v stands there twice", n)
		}
		seen[n] = true
	}
}

// seconds looks at the fusion times. A colder joint never needs less, so a time
// that rises towards the warm end is a slip such as 83 for 38.
func (c *check) seconds(at Place, times []int) {
	sane := make([]bool, len(times))
	for i, s := range times {
		sane[i] = c.sane(item(at, i), float64(s), SaneSeconds)
	}
	if !c.oneABand(at, len(times)) {
		return
	}
	for i := 1; i < len(times); i++ {
		known := sane[i-1] && sane[i] && c.known[i-1] && c.known[i] && c.Bands[i-1].High < c.Bands[i].Low
		if known && times[i] > times[i-1] {
			c.flaw(item(at, i), "%d s at %s is longer than %d s at %s: a fusion time never rises as it gets warmer",
				times[i], c.Bands[i], times[i-1], c.Bands[i-1])
		}
	}
}

// cooling looks at the cooling times. They may rise with the temperature: a warm
// day cools slower.
func (c *check) cooling(at Place, times []int) {
	for i, m := range times {
		c.sane(item(at, i), float64(m), SaneCooling)
	}
	c.oneABand(at, len(times))
}

// oneABand notes a list that has not one time a band. Without bands nothing can
// be counted, and that they are missing is said of them.
func (c *check) oneABand(at Place, times int) bool {
	switch {
	case c.unread[at]:
	case times == 0:
		c.flaw(at, "is empty")
	case times == len(c.Bands):
		return true
	case len(c.Bands) > 0:
		c.flaw(at, "%d times for %d bands: give one for each band", times, len(c.Bands))
	}
	return false
}

func (c *check) wait(minutes, from Place, f Fitting) {
	optional(c, minutes, f.PressureWaitMin, SaneWait)
	if !c.unread[from] && !slices.Contains([]string{"", FromCoolingEnd, FromFusionEnd}, f.PressureWaitFrom) {
		c.flaw(from, "%q is not known; one of: %s, %s", Brief(f.PressureWaitFrom), FromCoolingEnd, FromFusionEnd)
	}
	c.beside(from, f.PressureWaitFrom != "", minutes, f.PressureWaitMin != nil)
}

func (c *check) ohms(nominal, tolerance Place, f Fitting) {
	optional(c, nominal, f.Ohms, SaneOhms)
	optional(c, tolerance, f.OhmsTolerancePct, SaneTolerance)
	c.beside(tolerance, f.OhmsTolerancePct != nil, nominal, f.Ohms != nil)
}

// beside notes what means nothing without another figure. One that could not be
// read is there all the same.
func (c *check) beside(at Place, given bool, other Place, there bool) {
	if (given || c.unread[at]) && !there && !c.unread[other] {
		c.flaw(at, "needs %s beside it", other.Key)
	}
}
