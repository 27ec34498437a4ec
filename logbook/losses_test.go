package logbook

import (
	"slices"
	"testing"
	"time"
)

// lost and repaired are what was said on these days of March 2026.
func lost(on string, circuit int) Happened {
	return Happened{What: PressureLost, On: "2026-03-" + on, Circuit: circuit, Text: "gauge fell"}
}

func repaired(on string, circuit int) Happened {
	return Happened{What: Repaired, On: "2026-03-" + on, Circuit: circuit, Text: "new sleeve"}
}

func (c *crew) lossesAre(want ...string) {
	c.t.Helper()
	var got []string
	for _, e := range OpenLosses(c.book, c.site()) {
		got = append(got, e.Place())
	}
	if !slices.Equal(got, want) {
		c.t.Errorf("open are %q, want %q", got, want)
	}
}

// A date is one on which it can have been.
func TestADateThatCannotBe(t *testing.T) {
	c := onSite(t)
	for on, says := range map[string]string{
		"": "no date", "9.3.2026": "no date", "2020-01-01": "before the site was opened in this log, 2026-03-09", "2026-03-10": "still to come: today is 2026-03-09",
	} {
		c.refused(Happen(c.h, "", Happened{What: DugUp, On: on, Text: "a fence post"}), ErrRule, says)
	}
	c.do(Happen(c.h, "", Happened{What: DugUp, On: "2026-03-09", Text: "a fence post"}))
}

// A repair dated before the loss closes nothing, and is refused for it.
func TestARepairBeforeItsLoss(t *testing.T) {
	c := onSite(t)
	c.wait(10 * 24 * time.Hour)
	c.do(Happen(c.h, "", lost("15", 1)))
	c.refused(Happen(c.h, "", repaired("14", 1)), ErrRule, "a repair on 2026-03-14 is before the loss that it would close, pressure lost on 2026-03-15, circuit 1, chamber A")
	c.refused(Happen(c.h, "", repaired("14", 0)), ErrRule, "before the loss")
	c.lossesAre("pressure lost on 2026-03-15, circuit 1, chamber A")
	c.do(Happen(c.h, "", lost("12", 1)), Happen(c.h, "", repaired("14", 1)))
	c.lossesAre("pressure lost on 2026-03-15, circuit 1, chamber A")
	c.do(Happen(c.h, "", repaired("15", 1)))
	c.lossesAre()
	c.do(Happen(c.h, "", repaired("12", 1))) // nothing was lost that it is too early for
}

// A repair closes what was lost on its part and within it, and nothing wider.
func TestWhatARepairCloses(t *testing.T) {
	all := []string{"pressure lost on 2026-03-09, the whole site", "pressure lost on 2026-03-09, circuit 1, chamber A", "pressure lost on 2026-03-09, joint 1A", "pressure lost on 2026-03-09, chamber A"}
	tests := []struct {
		name, joint string
		what        Happened
		closes      []int
	}{
		{"joint", "1A", repaired("09", 0), []int{2}},
		{"another joint", "1B", repaired("09", 0), nil},
		{"circuit", "", repaired("09", 1), []int{1, 2}},
		{"another circuit", "", repaired("09", 2), nil},
		{"chamber", "", Happened{What: Repaired, On: "2026-03-09", Chamber: "a", Text: "sleeve"}, []int{1, 2, 3}},
		{"another chamber", "", Happened{What: Repaired, On: "2026-03-09", Chamber: "B", Text: "sleeve"}, nil},
		{"site", "", repaired("09", 0), []int{0, 1, 2, 3}},
		{"no repair", "", Happened{What: DugUp, On: "2026-03-09", Text: "sleeve"}, nil},
	}
	for _, tt := range tests {
		c := onSite(t)
		c.do(Happen(c.h, "", lost("09", 0)), Happen(c.h, "", lost("09", 1)), Happen(c.h, "1A", lost("09", 0)),
			Happen(c.h, "", Happened{What: PressureLost, On: "2026-03-09", Chamber: "A", Text: "gauge fell"}))
		c.lossesAre(all...)
		var closed []string
		for _, e := range ClosedBy(c.book, c.site(), tt.joint, tt.what) {
			closed = append(closed, e.Place())
		}
		c.do(Happen(c.h, tt.joint, tt.what))
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
		c.lossesAre(left...)
	}
}

// The file for the client bears no name and no reason that say nothing.
func TestNamesAndReasons(t *testing.T) {
	c := onSite(t)
	id := c.done("1A")
	for _, by := range []string{"x", ".", "1 2 3", "  "} {
		h := c.h
		h.By = by
		c.refused(OrderCut(h, id, "sits too deep"), ErrRule, "a cut-out needs a name")
	}
	for _, why := range []string{".", "ok", "- - -", " "} {
		c.refused(OrderCut(c.h, id, why), ErrRule, "a cut-out needs a reason")
	}
	c.h.By = "TV"
	c.do(OrderCut(c.h, id, "4 °C, dry"))
}
