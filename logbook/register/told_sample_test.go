package register

import (
	"testing"
	"time"

	"coolhold/fusion"
	"coolhold/logbook"
	"coolhold/logbook/acts"
	"coolhold/logbook/crew"
)

// AllMade is a site of which every joint is made and accepted, so long after the last.
func AllMade(t testing.TB, after time.Duration) Report { return reported(allMade(t, after)) }

// AllMadeAndLost is the same on which pressure was lost since, nobody knows where.
func AllMadeAndLost(t testing.TB) Report {
	c := allMade(t, 12*time.Hour)
	c.Do(acts.Happen(c.H, "", logbook.Happened{What: logbook.PressureLost, On: c.H.At.Local().Format(time.DateOnly), Text: "the gauge fell"}))
	return reported(c)
}

func allMade(t testing.TB, after time.Duration) *crew.Crew {
	c := crew.OnSite(t)
	c.Do(acts.NamePerson(c.H, "Hedda Invented", logbook.PersonNamed{Role: logbook.RoleForeman, Firm: "Invented Loops"}, acts.Telling{}))
	for _, j := range c.Book.Joints(c.H.Site) {
		clears(c, j.Label)
	}
	c.Wait(after)
	h := c.H
	h.By = "Hedda Invented"
	for _, f := range reported(c).Findings {
		if f.Open() && !f.Work {
			c.Do(acts.Accept(h, fusion.Stamp{}, f.Judged(), "looked at with the crew"))
		}
	}
	return c
}

// DugFor is a covered chamber that was measured from two points, with a failed weld in it, one
// that nobody released; outside it one that cools still.
func DugFor(t testing.TB) Report {
	c := crew.OnSite(t)
	c.Do(acts.CheckGround(c.H, logbook.GroundChecked{Section: "chamber A", Stage: logbook.GroundCovered, Seen: []logbook.GroundSeen{{Line: logbook.GroundTape, State: logbook.Yes}},
		Offsets: []logbook.Offset{{From: "house corner to lid", M: 4.35}, {From: "gate post to lid", M: 7.1}}}))
	moved := c.Fused("1A")
	c.Do(acts.Disturb(c.H, moved, 2, "", "the trench wall slid"))
	c.Wait(time.Hour)
	c.Fused("1B")
	c.Wait(time.Hour)
	c.Do(crew.Raw(c.H, "", "", logbook.Covered{Section: "chamber A", Missing: []string{"1A", "1B"}}))
	c.Fused("E1")
	c.Wait(90 * time.Second)
	return reported(c)
}

// LetGoAtOnce is a weld that was released a few seconds after its cooling time, within the minute
// to which that is rounded up.
func LetGoAtOnce(t testing.TB) Report {
	c := crew.OnSite(t)
	id := c.Fused("1A")
	until, _ := c.Weld(id).HoldUntil()
	c.Wait(until.Sub(c.H.At.Local()) + 2*time.Second)
	c.Do(acts.Release(c.H, id, crew.Look(logbook.LookRelease), fusion.Stamp{}))
	return reported(c)
}

// EndUnknown is a weld under the ground of which nobody said how its fusion ended.
func EndUnknown(t testing.TB) Report {
	c := crew.OnSite(t)
	c.Do(acts.StartFusion(c.H, c.Prepared("2A"), 0))
	c.Wait(time.Hour)
	c.Do(crew.Raw(c.H, "", "", logbook.Covered{Section: "chamber A", Missing: []string{"2A"}}))
	return reported(c)
}

// FourUnread is a covered chamber in which nobody looked at the indicators of four welds.
func FourUnread(t testing.TB) Report {
	c := crew.OnSite(t)
	for _, label := range []string{"1A", "1B", "2A", "2B"} {
		c.Fused(label)
		c.Wait(time.Hour)
	}
	c.Do(crew.Raw(c.H, "", "", logbook.Covered{Section: "chamber A", Missing: []string{"1A", "1B", "2A", "2B"}}))
	return reported(c)
}
