package ahead_test

import (
	"testing"

	"coolhold/logbook/acts"
	"coolhold/logbook/ahead"
	"coolhold/logbook/crew"
)

// A joint is covered with one section: with its chamber, if it is in one. What
// is not to be made is in none.
func TestAJointIsInOneSection(t *testing.T) {
	c := crew.OnSite(t)
	c.Do(acts.StrikeJoint(c.H, "2A", "one loop fewer"), acts.SplitJoint(c.H, "2B", "a bridge of pipe", acts.Piece{}))
	in := map[string][]string{}
	for _, s := range ahead.Sections(c.Book, c.H.Site) {
		for _, j := range s.Joints {
			in[j.Label] = append(in[j.Label], s.Name)
		}
	}
	for _, j := range c.Book.Joints(c.H.Site) {
		if n := len(in[j.Label]); j.Counts() != (n == 1) || n == 1 && j.Chamber != "" && in[j.Label][0] != "chamber "+j.Chamber {
			t.Errorf("%s of chamber %q is covered with %q", j.Label, j.Chamber, in[j.Label])
		}
	}
}
