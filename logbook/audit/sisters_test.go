package audit_test

import (
	"testing"

	"coolhold/logbook"
)

func TestUnlikeSisters(t *testing.T) {
	tests := []struct {
		name string
		ohms []float64 // beside 1A with 2.4 Ω; the last is in question
		says string
	}{
		{"four are too few", []float64{2.4, 2.4, 2.72}, ""},
		{"three steps of a coarse display", []float64{2.4, 2.4, 2.4, 2.7}, ""},
		{"five are enough", []float64{2.4, 2.4, 2.4, 2.72}, "2.72 Ω"},
		{"far off in fine steps", []float64{2.41, 2.4, 2.4, 2.51}, "2.51 Ω, unlike the others of its batch W-1 (median 2.4 Ω)"},
		{"no more off than contacts may add", []float64{2.41, 2.4, 2.4, 2.5}, ""}, // ISO 8085-3, EN 1555-3, from memory
		{"a batch that spreads", []float64{2.3, 2.5, 2.35, 2.46}, ""},
		{"below", []float64{2.41, 2.4, 2.4, 2.29}, "2.29 Ω"},
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
func (c *team) four(change func(*manner)) {
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
	how(ofBatch("W-1", 2.61))(c)
	c.says("resistance-unlike-sisters", "2.61 Ω")
	c.correct("KM-0005", "control unit", "CU-2")
	c.says("resistance-unlike-sisters", "")
}
