package register

import (
	"slices"
	"testing"

	"coolhold/logbook"
	"coolhold/logbook/acts"
)

// Page 1 says who decided, and of whom the site knows nothing but the name.
func TestWhoDecided(t *testing.T) {
	c := onSite(t)
	c.made("1A", "W-1")
	lines := func() (out []string) {
		for _, d := range c.report(Query{}).Deciders {
			out = append(out, d.Line())
		}
		return out
	}
	if got := lines(); len(got) != 0 {
		t.Errorf("nobody decided: %q", got)
	}
	by := func(name string) acts.Head { h := c.H; h.By = name; return h }
	c.Do(acts.Happen(c.H, "1A", logbook.Happened{What: logbook.PressureLost, On: "2026-03-09", Text: "fell"}))
	c.Do(acts.Happen(c.H, "1A", logbook.Happened{What: logbook.Repaired, On: "2026-03-09", Text: "sleeve"}))
	c.Do(acts.OrderCut(by("Hedda Invented"), "KM-0001", "too deep"), acts.WithdrawCut(by("Foreman Made-Up"), "KM-0001", "not so"))
	want := []string{c.H.By + ": said repaired 1, reported 1", "Foreman Made-Up: withdrew a cut-out 1 (ON NO SHIFT AND NO LIST OF PEOPLE)"}
	if got := lines(); !slices.Equal(got, want) {
		t.Errorf("got %q, want %q", got, want)
	}
	c.Do(acts.NamePerson(c.H, "Foreman Made-Up", logbook.PersonNamed{Role: logbook.RoleForeman}, acts.Telling{}))
	want[1] = "Foreman Made-Up: withdrew a cut-out 1"
	if got := lines(); !slices.Equal(got, want) {
		t.Errorf("got %q, want %q", got, want)
	}
}
