package ahead

import (
	"fmt"
	"slices"

	"coolhold/fusion"
	"coolhold/logbook"
	"coolhold/logbook/kit"
)

// A Stock is how many fittings of a name the open joints need, against what is
// left in the van.
type Stock struct {
	Fitting  string
	Needed   int
	Listed   bool // the kit says how many there were
	Declared int
	Used     int // fused since the kit was declared, also where it was cut out again
	GivenUp  int // walks given up since; whether a fitting was spoiled is not known, so none is counted
}

// Left is how many are in the van.
func (s Stock) Left() int { return max(0, s.Declared-s.Used) }

// Short is how many are missing.
func (s Stock) Short() int { return max(0, s.Needed-s.Left()) }

// String gives "coupler 63: 2 needed, 1 left in the van (3 declared, 2 fused since):
// 1 short".
func (s Stock) String() string {
	if !s.Listed {
		return fmt.Sprintf("%s: %d needed, not among what is in the van: %d short", s.Fitting, s.Needed, s.Needed)
	}
	line := fmt.Sprintf("%s: %d needed, %d in the van", s.Fitting, s.Needed, s.Declared)
	if s.Used > 0 {
		line = fmt.Sprintf("%s: %d needed, %d left in the van (%d declared, %d fused since)", s.Fitting, s.Needed, s.Left(), s.Declared, s.Used)
	}
	if s.Short() > 0 {
		line += fmt.Sprintf(": %d short", s.Short())
	}
	if s.GivenUp > 0 {
		line += fmt.Sprintf("; %s given up since, not counted: see whether its fitting is still good", logbook.Count(s.GivenUp, "walk"))
	}
	return line
}

// StockOf compares the fittings of the open joints with the stock of a kit, in the
// order in which they are welded; taken is when it was declared, nil where that is
// now. A kit without stock gives none.
func StockOf(r logbook.Reader, site string, k kit.Kit, taken *fusion.Stamp) []Stock {
	if len(k.Stock) == 0 {
		return nil
	}
	var out []Stock
	for _, j := range OpenJoints(r, site) {
		if j.Fitting == "" {
			continue
		}
		i := stockAt(out, j.Fitting)
		if i < 0 {
			s := Stock{Fitting: j.Fitting}
			s.Declared, s.Listed = k.InVan(j.Fitting)
			i, out = len(out), append(out, s)
		}
		out[i].Needed++
	}
	if taken == nil {
		return out
	}
	for _, w := range r.Welds(site) {
		i := stockAt(out, w.Fitting())
		if i < 0 {
			continue
		}
		at, fused := w.FusedAt()
		switch {
		case fused && at.After(taken.Local()):
			out[i].Used++
		case w.Abandoned != "" && w.Begun.Local().After(taken.Local()):
			out[i].GivenUp++
		}
	}
	return out
}

func stockAt(stock []Stock, fitting string) int {
	return slices.IndexFunc(stock, func(s Stock) bool { return fusion.Folded(s.Fitting) == fusion.Folded(fitting) })
}
