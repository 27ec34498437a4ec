package audit

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"coolhold/fusion"
	"coolhold/logbook"
)

// What makes a resistance unlike those of its batch: our choice, adjustable.
const (
	SistersLeast  = 5      // readings of one fitting and batch, its own among them
	SistersSpread = 3.0    // that many times the spread away from the median
	madScale      = 1.4826 // makes the median absolute deviation of normal readings their standard deviation (textbook)
)

type batch struct{ fitting, batch string }

// A spread is where the resistances of one batch lie, in Ω.
type spread struct {
	n           int
	median, mad float64
	step        float64 // of the coarsest display among its units
}

// limit is how far a reading may lie from the median. Readings that all agree
// still differ by a step of the display, and by what their contacts add.
func (s spread) limit() float64 {
	return max(SistersSpread*max(madScale*s.mad, s.step), contactsOhms)
}

// contactsOhms is what the contacts alone may add to a reading (ISO 8085-3, EN
// 1555-3, from memory).
const contactsOhms = 0.1

func batchOf(w logbook.Weld) (batch, bool) {
	b := batch{w.Fitting(), w.Batch()}
	return b, b.fitting != "" && b.batch != "" && b.batch != logbook.NotKnown && w.Ohms != nil && w.Ohms.Ohms != nil && w.Fused()
}

func batchesOf(welds []logbook.Weld) map[batch]spread {
	steps := displaySteps(welds)
	ohms, coarsest := map[batch][]float64{}, map[batch]float64{}
	for _, w := range welds {
		if b, ok := batchOf(w); ok {
			ohms[b] = append(ohms[b], *w.Ohms.Ohms)
			coarsest[b] = max(coarsest[b], steps[w.Unit])
		}
	}
	out := map[batch]spread{}
	for b, list := range ohms {
		median, mad := medianAndMAD(list)
		out[b] = spread{len(list), median, mad, coarsest[b]}
	}
	return out
}

// displaySteps are the finest steps in which each unit showed a resistance.
func displaySteps(welds []logbook.Weld) map[string]float64 {
	steps := map[string]float64{}
	for _, w := range welds {
		if w.Ohms == nil || w.Ohms.Ohms == nil {
			continue
		}
		_, decimals, _ := strings.Cut(fusion.Figure(*w.Ohms.Ohms), ".")
		step := math.Pow10(-len(decimals))
		if had, ok := steps[w.Unit]; !ok || step < had {
			steps[w.Unit] = step
		}
	}
	return steps
}

// MedianAndMAD are the median of a list and the median of the distances from it.
func medianAndMAD(list []float64) (median, mad float64) {
	median = middle(list)
	away := make([]float64, len(list))
	for i, x := range list {
		away[i] = math.Abs(x - median)
	}
	return median, middle(away)
}

func middle(list []float64) float64 {
	s := slices.Sorted(slices.Values(list))
	n := len(s)
	if n == 0 {
		return math.NaN()
	}
	return (s[(n-1)/2] + s[n/2]) / 2
}

// An odd is a resistance unlike those of its batch, in Ω.
type odd struct {
	Ohms   float64 `json:"ohms"`
	Batch  string  `json:"batch"`
	Median float64 `json:"median"`
}

// unlikeSisters does not judge by how many others there are, and by their
// median only as it is said: each further weld of the batch would open an
// accepted finding again.
func unlikeSisters(c Case) (odd, bool) {
	b, ok := batchOf(c.Weld)
	s := c.scene.batches[b]
	const rounding = 1e-9 // what binary fractions leave over
	if !ok || s.n < SistersLeast || math.Abs(*c.Weld.Ohms.Ohms-s.median) <= s.limit()+rounding {
		return odd{}, false
	}
	median, _ := strconv.ParseFloat(strconv.FormatFloat(s.median, 'g', 4, 64), 64)
	return odd{*c.Weld.Ohms.Ohms, b.batch, median}, true
}

func sistersSay(weld string, f odd) string {
	return fmt.Sprintf("%s read %g Ω, unlike the others of its batch %s (median %.4g Ω)", weld, f.Ohms, f.Batch, f.Median)
}
