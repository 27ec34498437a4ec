package audit_test

import (
	"testing"

	"coolhold/logbook"
	"coolhold/logbook/acts"
	"coolhold/logbook/audit"
)

// Who accepts what is accepted already is told what is open by that, and what ends it.
func TestAcceptedAlreadySaysWhatIsOpen(t *testing.T) {
	const already = "run-unlike-set:KM-0001: accepted by Ada Invented already"
	c := onSite(t)
	c.made("1A", short())
	accept := func() acts.Act {
		return acts.Accept(c.foreman(), none, only(t, c.run(), "run-unlike-set").Judged(), "read twice")
	}
	c.Do(acts.Accept(c.H, none, only(t, c.run(), "run-unlike-set").Judged(), "read twice"))
	c.Refused(accept(), logbook.ErrRule, already+"; self-accepted:KM-0001 is open by that: somebody else than its operator looks at it and accepts this, or it is cut out")
	c.Do(acts.Accept(c.foreman(), none, only(t, c.run(), audit.SelfAccepted).Judged(), "looked at it"))
	if res := c.run(); res.WaitsFor(only(t, res, "run-unlike-set")) != "" {
		t.Error("it waits for something though another accepted it")
	}
	c = onSite(t)
	c.correctedBy("Tam Okoro")
	f := only(t, c.run(), "corrected-away-fail")
	if says := c.run().WaitsFor(f); says == "" {
		t.Error("what its corrector accepted waits for nothing")
	}
}
