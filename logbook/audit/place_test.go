package audit_test

import (
	"slices"
	"testing"

	"coolhold/logbook/acts"
	"coolhold/logbook/audit"
)

// Six circuits on 63 mm are common practice, seven on more too; a circuit that
// is struck off is none.
func TestCircuitsOnAHeader(t *testing.T) {
	for _, tt := range []struct {
		name     string
		odMM, n  int
		struck   bool
		wantsSay bool
	}{
		{"six on 63", 63, 6, false, false},
		{"seven on 63", 63, 7, false, true},
		{"seven on 50", 50, 7, false, true},
		{"seven on 75", 75, 7, false, false},
		{"seven on a header of no size", 0, 7, false, false},
		{"one of seven struck off", 63, 7, true, false},
	} {
		c := onSite(t)
		c.circuits(tt.odMM, tt.n)
		if tt.struck {
			for _, label := range []string{"1A", "1B"} {
				c.Do(acts.StrikeJoint(c.H, label, "not needed"))
			}
		}
		if got := slices.Contains(rulesOf(c.run()), "small-header"); got != tt.wantsSay {
			t.Errorf("%s: found %v", tt.name, got)
		}
	}
}

// It is accepted by name for as many circuits as there are.
func TestManyCircuitsAccepted(t *testing.T) {
	c := onSite(t)
	c.circuits(63, 7)
	f := only(t, c.run(), "small-header")
	if f.Says != "joint FG: 7 circuits on a header of 63 mm; 63 mm is for up to 6" || f.Severity != audit.Query {
		t.Errorf("found %+v", f)
	}
	c.Do(acts.Accept(c.H, none, f.Judged(), "short header, seen in the design"))
	if f = only(t, c.run(), "small-header"); f.Open() || f.Accepted == nil {
		t.Errorf("accepted: %+v", f)
	}
}
