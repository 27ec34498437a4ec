package chart_test

import (
	"slices"
	"strings"
	"testing"

	"coolhold/fusion"
	"coolhold/logbook"
	"coolhold/logbook/acts"
	"coolhold/logbook/audit"
	"coolhold/logbook/chart"
	"coolhold/logbook/crew"
)

// A leg is drawn at the port and on the rail to which it was welded, with the plan's port beside
// it: whoever opens the lid finds it there. Where both legs would be on one rail they are drawn
// where the plan has them, and the port is said.
func TestALegIsDrawnWhereItWasWelded(t *testing.T) {
	for name, k := range map[string]struct {
		ports []string // of 1A and 1B
		upper string   // the leg on the rail from ground
		says  []string
		moved bool
	}{
		"as planned":   {[]string{"1", "2"}, "1A", []string{"port 1", "port 2"}, false},
		"changed over": {[]string{"2", "1"}, "1B", []string{"port 1", "plan 2", "port 2", "plan 1"}, true},
		"on one rail":  {[]string{"1", "3"}, "1A", []string{"port 2", "made 3"}, false},
	} {
		c := crew.OnSite(t)
		for i, label := range []string{"1A", "1B"} {
			id := c.Fused(label)
			if port := k.ports[i]; port != map[string]string{"1A": "1", "1B": "2"}[label] {
				c.Do(acts.Correct(c.H, id, logbook.ItemPort, port, "looked at in the chamber"))
			}
		}
		places := chart.Places(c.Book, c.H.Site, audit.Run(c.Book, c.H.Site, c.H.At, fusion.Stamp{}))
		d := chart.Chamber("A", places, 80)[0]
		y := map[string]int{}
		for _, b := range d.Boxes {
			y[b.Joint] = b.Y
		}
		if (y["1A"] < y["1B"]) != (k.upper == "1A") {
			t.Errorf("%s: 1A at %d, 1B at %d", name, y["1A"], y["1B"])
		}
		text := strings.Join(d.Text(), "\n")
		for _, want := range k.says {
			if !strings.Contains(text, want) {
				t.Errorf("%s: %q is not in\n%s", name, want, text)
			}
		}
		if strings.Contains(text, "plan ") != k.moved {
			t.Errorf("%s:\n%s", name, text)
		}
		small := strings.Join(chart.Small("A", places, 80)[0].Text(), "\n")
		if strings.Contains(small, "made ") != (k.moved || name == "on one rail") {
			t.Errorf("%s: small\n%s", name, small)
		}
	}
}

// The first joint of a leg with a make-up piece is at its rail, on either rail, also where the
// second has no weld and the leg lies at another port than the plan's.
func TestTheFirstPieceIsAtTheRail(t *testing.T) {
	c := crew.OnSite(t)
	c.Do(acts.SplitJoint(c.H, "1A", "too short", acts.Piece{Fittings: [2]string{"coupler 40", "coupler 40"}}))
	c.H.ID = "another"
	c.Do(acts.SplitJoint(c.H, "1B", "too short", acts.Piece{Fittings: [2]string{"coupler 40", "coupler 40"}}))
	for _, label := range []string{"1A.1", "1B.1"} {
		c.Fused(label)
	}
	places := chart.Places(c.Book, c.H.Site, audit.Run(c.Book, c.H.Site, c.H.At, fusion.Stamp{}))
	for name, d := range map[string]chart.Drawing{"large": chart.Chamber("A", places, 80)[0], "small": chart.Small("A", places, 80)[0]} {
		var order []string
		boxes := slices.Clone(d.Boxes)
		slices.SortStableFunc(boxes, func(a, b chart.Box) int { return a.Y - b.Y })
		for _, b := range boxes {
			if strings.HasPrefix(b.Joint, "1") {
				order = append(order, b.Joint)
			}
		}
		if want := []string{"1A.1", "1A.2", "1B.2", "1B.1"}; !slices.Equal(order, want) {
			t.Errorf("%s: from the top %q, want %q", name, order, want)
		}
	}
}
