package crew

import (
	"time"

	"coolhold/logbook"
	"coolhold/logbook/acts"
)

// Late enters a weld in 2A that ended 4 minutes ago, changed as given.
func (c *Crew) Late(change func(*acts.LateWeld)) string {
	c.T.Helper()
	c.Do(acts.EnterLater(c.H, c.LateWeld(change)))
	return c.Newest().Weld
}

func (c *Crew) LateWeld(change func(*acts.LateWeld)) acts.LateWeld {
	ended := c.H.At.Local().Add(-4 * time.Minute)
	l := acts.LateWeld{
		Joint: "2A", Operator: Ada, Unit: Unit, Corrects: logbook.No, Answers: append(Fitting("coupler 40", "W-1"), Card()...),
		Ambient: 9_00, Mode: logbook.ModeKeyed, SecondsShown: 40, VoltsShown: new(39.5), Started: ended.Add(-40 * time.Second),
		Ended: ended, Outcome: logbook.Completed, Run: new(40), Look: Look(logbook.LookHot), Why: "laptop in the van",
	}
	change(&l)
	return l
}
