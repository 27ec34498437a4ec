package logbook_test

import (
	"testing"

	"coolhold/logbook"
)

// What an event happened to is said in one way in every list.
func TestWhatAnEventHappenedTo(t *testing.T) {
	for _, c := range []struct {
		joint, chamber string
		circuit        int
		place, about   string
	}{
		{"", "", 0, "pressure lost on 2027-01-14, the whole site", "the whole site"},
		{"3A", "A", 3, "pressure lost on 2027-01-14, joint 3A", "joint 3A"},
		{"", "", 3, "pressure lost on 2027-01-14, circuit 3", "circuit 3"},
		{"", "A", 0, "pressure lost on 2027-01-14, chamber A", "chamber A"},
		{"", "A", 3, "pressure lost on 2027-01-14, circuit 3, chamber A", "circuit 3 of chamber A"},
	} {
		e := logbook.Event{Happened: logbook.Happened{What: logbook.PressureLost, On: "2027-01-14", Chamber: c.chamber, Circuit: c.circuit}, Joint: c.joint}
		if got := e.Place(); got != c.place {
			t.Errorf("happened: %q, want %q", got, c.place)
		}
		if got := e.About(); got != c.about {
			t.Errorf("about %q, want %q", got, c.about)
		}
	}
}
