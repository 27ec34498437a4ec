package audit_test

import (
	"errors"
	"strings"
	"testing"
	"time"

	"coolhold/logbook"
	"coolhold/logbook/acts"
	"coolhold/logbook/audit"
	"coolhold/logbook/crew"
)

// What a person stated of a hold waits for a second one: neither who made the weld nor
// who stated it accepts it.
func TestAStatedHoldIsLookedAtByAnother(t *testing.T) {
	const tam = "Tam Invented"
	for _, tt := range []struct {
		by      string
		refused []string
		takes   string
	}{
		{crew.Ada, []string{crew.Ada, "A. Invented"}, hedda},
		{hedda, []string{hedda, crew.Ada, "Hedda Invented."}, tam},
	} {
		t.Run(tt.by, func(t *testing.T) {
			c := onSite(t)
			id := c.fused("1A", well())
			c.Wait(time.Minute)
			c.H.At.Machine = "office"
			c.Do(acts.SayHold(c.by(tt.by), id, logbook.HoldSaid{Watch: "14:49", Ink: "14:50", Why: "read on the pipe"}, none))
			c.Wait(2 * time.Minute)
			c.Do(acts.Release(c.H, id, well().felt, none))
			f := only(t, c.run(), audit.HoldByWord)
			want := id + ": its hold counts 300 s as run, as " + tt.by + " states (the ink on the pipe says cool until 14:50, the watch showed 14:49); the clocks prove 0 s"
			if f.Says != want || f.Severity != audit.Query || c.run().Verdict(id) != audit.Queried {
				t.Errorf("%s: %q, want %q", c.run().Verdict(id), f.Says, want)
			}
			for _, name := range tt.refused {
				if _, err := acts.Accept(c.by(name), none, f.Judged(), "seen on site")(c.Book); !errors.Is(err, logbook.ErrRule) || !strings.Contains(err.Error(), "somebody else must accept this") {
					t.Errorf("%q: %v", name, err)
				}
			}
			c.Do(acts.Accept(c.by(tt.takes), none, f.Judged(), "seen on site"))
			if v := c.run().Verdict(id); v != audit.Accepted {
				t.Errorf("accepted by %s it is %q", tt.takes, v)
			}
		})
	}
}
