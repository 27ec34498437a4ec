package audit_test

import (
	"math"
	"slices"
	"testing"

	"gonum.org/v1/gonum/stat"
	"pgregory.net/rapid"

	"coolhold/logbook"
	"coolhold/logbook/audit"
)

// statMedian is the median by a general statistics library: the middle of its
// lower and its upper empirical quantile.
func statMedian(list []float64) float64 {
	up := slices.Sorted(slices.Values(list))
	down := make([]float64, len(list))
	for i, x := range list {
		down[i] = -x
	}
	slices.Sort(down)
	return (stat.Quantile(0.5, stat.Empirical, up, nil) - stat.Quantile(0.5, stat.Empirical, down, nil)) / 2
}

func TestMedianAndMADAgreeWithALibrary(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		list := rapid.SliceOfN(rapid.Float64Range(0.1, 20), 1, 40).Draw(t, "ohms")
		median, mad := audit.MedianAndMAD(list)
		want := statMedian(list)
		away := make([]float64, len(list))
		for i, x := range list {
			away[i] = math.Abs(x - want)
		}
		if math.Abs(median-want) > 1e-12 || math.Abs(mad-statMedian(away)) > 1e-12 {
			t.Fatalf("median %v, MAD %v; the library says %v, %v", median, mad, want, statMedian(away))
		}
	})
}

// Of normal readings the scaled MAD is the standard deviation; the library
// gives both of a symmetric list whose quantiles are those of the normal.
func TestTheScaleOfTheMAD(t *testing.T) {
	var list []float64
	const n = 20001
	for i := range n {
		list = append(list, math.Sqrt2*math.Erfinv(2*(float64(i)+0.5)/n-1))
	}
	_, mad := audit.MedianAndMAD(list)
	if sd := stat.StdDev(list, nil); math.Abs(audit.MadScale*mad-sd) > 1e-3 {
		t.Errorf("scaled MAD %v, standard deviation %v", audit.MadScale*mad, sd)
	}
}

func TestUnlikeSisters(t *testing.T) {
	tests := []struct {
		name string
		ohms []float64 // beside 1A with 2.4 Ω; the last is in question
		says string
	}{
		{"four are too few", []float64{2.4, 2.4, 2.72}, ""},
		{"three steps of a coarse display", []float64{2.4, 2.4, 2.4, 2.7}, ""},
		{"five are enough", []float64{2.4, 2.4, 2.4, 2.72}, "2.72 Ω"},
		{"far off in fine steps", []float64{2.41, 2.4, 2.4, 2.44}, "2.44 Ω, unlike its sisters of batch W-1 (median 2.4 Ω)"},
		{"three steps off", []float64{2.41, 2.4, 2.4, 2.43}, ""},
		{"a batch that spreads", []float64{2.3, 2.5, 2.35, 2.46}, ""},
		{"below", []float64{2.41, 2.4, 2.4, 2.3}, "2.3 Ω"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			c := onSite(t)
			c.made("1A", well())
			c.batch(tt.ohms...)
			c.says("resistance-unlike-sisters", tt.says)
		})
	}
}

// four welds of 2.4 Ω stand in joints of their own.
func (c *crew) four(change func(*manner)) {
	for _, label := range []string{"1A", c.added("X1"), c.added("X2"), c.added("X3")} {
		m := well()
		change(&m)
		c.made(label, m)
	}
}

func ofBatch(batch string, ohms float64) func(*manner) {
	return func(m *manner) { m.answers[logbook.ItemBatch], m.ohms = batch, ohms }
}

// Another batch is no sister, and a batch not known is nobody's.
func TestSistersAreOfOneBatch(t *testing.T) {
	for _, tt := range []struct{ four, fifth, says string }{
		{"W-1", "W-1", "2.6 Ω"}, {"W-1", "W-2", ""}, {logbook.NotKnown, logbook.NotKnown, ""},
	} {
		c := onSite(t)
		c.four(ofBatch(tt.four, 2.41))
		how(ofBatch(tt.fifth, 2.6))(c)
		c.says("resistance-unlike-sisters", tt.says)
	}
}

// Where the units of a batch show steps of two sizes, the coarser counts.
func TestSistersOnTwoUnits(t *testing.T) {
	c := onSite(t)
	c.four(as)
	how(ofBatch("W-1", 2.47))(c)
	c.says("resistance-unlike-sisters", "2.47 Ω")
	c.correct("KM-0005", "control unit", "CU-2")
	c.says("resistance-unlike-sisters", "")
}
