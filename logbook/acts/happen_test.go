package acts_test

import (
	"testing"
	"time"

	"coolhold/logbook"
	"coolhold/logbook/acts"
	"coolhold/logbook/crew"
)

// A date is one on which it can have been.
func TestADateThatCannotBe(t *testing.T) {
	c := crew.OnSite(t)
	for on, says := range map[string]string{
		"": "no date", "9.3.2026": "no date", "1926-03-08": "1926-03-08 is more than 10 years before the site was opened in this log, 2026-03-09: is the year right?", "2026-03-10": "still to come: today is 2026-03-09",
	} {
		c.Refused(acts.Happen(c.H, "", logbook.Happened{What: logbook.DugUp, On: on, Text: "a fence post"}), logbook.ErrRule, says)
	}
	for _, on := range []string{"2026-03-09", "2026-03-08", "2020-01-01"} { // work does not wait for a log
		c.Do(acts.Happen(c.H, "", logbook.Happened{What: logbook.DugUp, On: on, Text: "a fence post"}))
	}
}

// A repair dated before the loss closes nothing, and is refused for it.
func TestARepairBeforeItsLoss(t *testing.T) {
	c := crew.OnSite(t)
	c.Wait(10 * 24 * time.Hour)
	c.Do(acts.Happen(c.H, "", crew.Lost("15", 1)))
	c.Refused(acts.Happen(c.H, "", crew.Repaired("14", 1)), logbook.ErrRule, "a repair on 2026-03-14 is before the loss that it would close, pressure lost on 2026-03-15, circuit 1, chamber A")
	c.Refused(acts.Happen(c.H, "", crew.Repaired("14", 0)), logbook.ErrRule, "before the loss")
	c.LossesAre("pressure lost on 2026-03-15, circuit 1, chamber A")
	c.Do(acts.Happen(c.H, "", crew.Lost("12", 1)), acts.Happen(c.H, "", crew.Repaired("14", 1)))
	c.LossesAre("pressure lost on 2026-03-15, circuit 1, chamber A")
	c.Do(acts.Happen(c.H, "", crew.Repaired("15", 1)))
	c.LossesAre()
	c.Do(acts.Happen(c.H, "", crew.Repaired("12", 1))) // nothing was lost that it is too early for
}

// The file for the client bears no name and no reason that say nothing.
func TestNamesAndReasons(t *testing.T) {
	c := crew.OnSite(t)
	id := c.Done("1A")
	for _, by := range []string{"x", ".", "1 2 3", "  "} {
		h := c.H
		h.By = by
		c.Refused(acts.OrderCut(h, id, "sits too deep"), logbook.ErrRule, "a cut-out needs a name")
	}
	for _, why := range []string{".", "ok", "- - -", " "} {
		c.Refused(acts.OrderCut(c.H, id, why), logbook.ErrRule, "a cut-out needs a reason")
	}
	c.H.By = "TV"
	c.Do(acts.OrderCut(c.H, id, "4 °C, dry"))
}
