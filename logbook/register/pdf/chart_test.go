package pdf

import (
	"testing"

	"coolhold/logbook/chart"
)

// Lines of words that belong together move together, and only where they touch a box.
func TestWordsMoveTogether(t *testing.T) {
	label := func(y int) chart.Label { return chart.Label{X: 17, Y: y, W: 13, Text: "circuit 3"} }
	for name, k := range map[string]struct {
		above, below int // where the box above ends, where the box below begins; 0: none
		want         float64
	}{
		"touching none": {9, 14, 0}, "below a box": {10, 0, apart}, "above a box": {0, 13, -apart}, "alone": {0, 0, 0},
	} {
		g := chart.Drawing{Labels: []chart.Label{label(10), label(11), label(12), {X: 40, Y: 9, W: 13}}}
		if k.above > 0 {
			g.Boxes = append(g.Boxes, chart.Box{X: 17, Y: k.above - 5, W: 13, H: 5})
		}
		if k.below > 0 {
			g.Boxes = append(g.Boxes, chart.Box{X: 17, Y: k.below, W: 13, H: 5})
		}
		g.Boxes = append(g.Boxes, chart.Box{X: 40, Y: 5, W: 13, H: 5}, chart.Box{X: 17, Y: 5, W: 20, H: 5})
		for _, l := range g.Labels[:3] {
			if got := offBorder(g, l); got != k.want {
				t.Errorf("%s: line %d moves by %g mm, want %g", name, l.Y, got, k.want)
			}
		}
	}
}
