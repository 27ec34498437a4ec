package ahead_test

import (
	"slices"
	"testing"

	"coolhold/logbook"
	"coolhold/logbook/acts"
	"coolhold/logbook/ahead"
	"coolhold/logbook/crew"
)

// A repair closes what was lost on its part and within it, and nothing wider.
func TestWhatARepairCloses(t *testing.T) {
	all := []string{"pressure lost on 2026-03-09, the whole site", "pressure lost on 2026-03-09, circuit 1, chamber A", "pressure lost on 2026-03-09, joint 1A", "pressure lost on 2026-03-09, chamber A"}
	tests := []struct {
		name, joint string
		what        logbook.Happened
		closes      []int
	}{
		{"joint", "1A", crew.Repaired("09", 0), []int{2}},
		{"another joint", "1B", crew.Repaired("09", 0), nil},
		{"circuit", "", crew.Repaired("09", 1), []int{1, 2}},
		{"another circuit", "", crew.Repaired("09", 2), nil},
		{"chamber", "", logbook.Happened{What: logbook.Repaired, On: "2026-03-09", Chamber: "a", Text: "sleeve"}, []int{1, 2, 3}},
		{"another chamber", "", logbook.Happened{What: logbook.Repaired, On: "2026-03-09", Chamber: "B", Text: "sleeve"}, nil},
		{"site", "", crew.Repaired("09", 0), []int{0, 1, 2, 3}},
		{"no repair", "", logbook.Happened{What: logbook.DugUp, On: "2026-03-09", Text: "sleeve"}, nil},
	}
	for _, tt := range tests {
		c := crew.OnSite(t)
		c.Do(acts.Happen(c.H, "", crew.Lost("09", 0)), acts.Happen(c.H, "", crew.Lost("09", 1)), acts.Happen(c.H, "1A", crew.Lost("09", 0)),
			acts.Happen(c.H, "", logbook.Happened{What: logbook.PressureLost, On: "2026-03-09", Chamber: "A", Text: "gauge fell"}))
		c.LossesAre(all...)
		var closed []string
		for _, e := range ahead.ClosedBy(c.Book, c.Site(), tt.joint, tt.what) {
			closed = append(closed, e.Place())
		}
		c.Do(acts.Happen(c.H, tt.joint, tt.what))
		var want, left []string
		for i, line := range all {
			if slices.Contains(tt.closes, i) {
				want = append(want, line)
			} else {
				left = append(left, line)
			}
		}
		if !slices.Equal(closed, want) {
			t.Errorf("%s: closes %q, want %q", tt.name, closed, want)
		}
		c.LossesAre(left...)
	}
}
