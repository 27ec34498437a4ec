package ahead_test

import (
	"slices"
	"testing"

	"coolhold/logbook/ahead"
	"coolhold/logbook/crew"
	"coolhold/logbook/plan"
)

func TestPortsOf(t *testing.T) {
	c := crew.OnSite(t)
	want := []plan.Port{{No: 1, Row: "high", Bar: "from ground"}, {No: 2, Row: "high", Bar: "to ground"}, {No: 3, Row: "low", Bar: "from ground"}, {No: 4, Row: "low", Bar: "to ground"}}
	if got := ahead.PortsOf(c.Book, c.Site(), "A"); !slices.Equal(got, want) {
		t.Errorf("ports %+v", got)
	}
	site := c.Site()
	site.Plan = nil // its text is not at hand: the joints' own
	if got := ahead.PortsOf(c.Book, site, "A"); !slices.Equal(got, want) {
		t.Errorf("ports of the joints %+v", got)
	}
	if got := ahead.PortsOf(c.Book, c.Site(), "B"); len(got) != 0 {
		t.Errorf("ports of no chamber %+v", got)
	}
}
