package crew

import (
	"slices"

	"coolhold/logbook"
	"coolhold/logbook/ahead"
)

// Lost and repaired are what was said on these days of March 2026.
func Lost(on string, circuit int) logbook.Happened {
	return logbook.Happened{What: logbook.PressureLost, On: "2026-03-" + on, Circuit: circuit, Text: "gauge fell"}
}

func Repaired(on string, circuit int) logbook.Happened {
	return logbook.Happened{What: logbook.Repaired, On: "2026-03-" + on, Circuit: circuit, Text: "new sleeve"}
}

func (c *Crew) LossesAre(want ...string) {
	c.T.Helper()
	var got []string
	for _, e := range ahead.OpenLosses(c.Book, c.Site()) {
		got = append(got, e.Place())
	}
	if !slices.Equal(got, want) {
		c.T.Errorf("open are %q, want %q", got, want)
	}
}
