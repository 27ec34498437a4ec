//go:build linux

package main

import (
	"fmt"
	"io"
	"math"
	"slices"
)

// A row is one line of the table: what was measured of coolhold and of its floor in
// the same rounds.
type row struct {
	what, size  string
	ours, floor []float64 // a figure a round; floor is nil where there is none
	unit        string
	reach       string // as it stands in the table
	met         func(row) bool
	note        string
}

func median(v []float64) float64 { return quantile(v, 0.5) }

func quantile(v []float64, q float64) float64 {
	if len(v) == 0 {
		return math.NaN()
	}
	v = slices.Sorted(slices.Values(v))
	at := q * float64(len(v)-1)
	low := int(at)
	high := min(low+1, len(v)-1)
	return v[low] + (v[high]-v[low])*(at-float64(low))
}

// ratios are those of the rounds, each with its own floor.
func (r row) ratios() (out []float64) {
	for i := range min(len(r.ours), len(r.floor)) {
		out = append(out, r.ours[i]/r.floor[i])
	}
	return out
}

func (r row) ratio() float64 { return median(r.ratios()) }

// atMost is a reach that is a ratio.
func atMost(most float64) func(row) bool { return func(r row) bool { return r.ratio() <= most } }

// below is a reach that is a figure.
func below(most float64) func(row) bool { return func(r row) bool { return median(r.ours) <= most } }

func figure(v float64) string {
	switch {
	case math.IsNaN(v):
		return "—"
	case math.Abs(v) >= 100:
		return fmt.Sprintf("%.0f", v)
	case math.Abs(v) >= 10:
		return fmt.Sprintf("%.1f", v)
	}
	return fmt.Sprintf("%.2f", v)
}

const heading = "| what | size | coolhold | beside | ratio: min, median, max | reach | met |\n|---|---|---|---|---|---|---|\n"

func (r row) print(w io.Writer) {
	floor, ratio, met := "—", "—", "—"
	if r.floor != nil {
		floor = figure(median(r.floor)) + " " + r.unit
		all := r.ratios()
		ratio = fmt.Sprintf("%s, **%s**, %s", figure(slices.Min(all)), figure(median(all)), figure(slices.Max(all)))
	}
	if r.met != nil {
		if met = "no"; r.met(r) {
			met = "yes"
		}
	}
	what := r.what
	if r.note != "" {
		what += " (" + r.note + ")"
	}
	fmt.Fprintf(w, "| %s | %s | %s %s | %s | %s | %s | %s |\n", what, r.size, figure(median(r.ours)), r.unit, floor, ratio, r.reach, met)
}

// exponent is the slope of the figures over the sizes, both by their logarithms.
func exponent(sizes, figures []float64) float64 {
	var sx, sy, sxx, sxy, n float64
	for i := range sizes {
		x, y := math.Log(sizes[i]), math.Log(figures[i])
		sx, sy, sxx, sxy, n = sx+x, sy+y, sxx+x*x, sxy+x*y, n+1
	}
	return (n*sxy - sx*sy) / (n*sxx - sx*sx)
}
