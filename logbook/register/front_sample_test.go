package register

import (
	"strings"
	"testing"
	"time"

	"coolhold/fusion"
	"coolhold/logbook"
	"coolhold/logbook/acts"
	"coolhold/logbook/audit"
	"coolhold/logbook/crew"
)

func reported(c *crew.Crew) Report {
	return New(c.Book, c.H.Site, audit.Run(c.Book, c.H.Site, c.H.At, fusion.Stamp{}), Query{AsOf: c.H.At.Local(), Logs: []Log{{ID: "log 1", Tag: "KM", Entries: len(c.Entries)}}})
}

// clears is a whole weld with nothing to say against it.
func clears(c *crew.Crew, label string) string {
	id := c.Fused(label)
	c.Do(acts.ReadRun(c.H, id, new(c.Table(id).Seconds)), acts.ReadLook(c.H, id, crew.Look(logbook.LookHot)))
	c.Wait(11 * time.Minute)
	c.Do(acts.Release(c.H, id, crew.Look(logbook.LookRelease), fusion.Stamp{}))
	return id
}

// Buried is a site of two circuits on which a failed weld lies under the ground, pressure
// was lost, joints wait for a weld and somebody is named as foreman.
func Buried(t testing.TB) Report {
	c := crew.OnSite(t)
	c.Do(acts.NamePerson(c.H, "Hedda Invented", logbook.PersonNamed{Role: logbook.RoleForeman, Firm: "Invented Loops"}, acts.Telling{}))
	moved := c.Fused("1A")
	c.Do(acts.Disturb(c.H, moved, 2, "", "the trench wall slid"))
	c.Wait(time.Hour)
	clears(c, "2A")
	clears(c, "2B")
	c.Wait(time.Hour)
	c.Do(crew.Raw(c.H, "", "", logbook.Covered{Section: "chamber A", Missing: []string{"1A", "1B", "FG"}}))
	c.Do(acts.Happen(c.H, "", crew.Lost("09", 2)))
	return reported(c)
}

// Waiting is a site on which circuit 2 is made and its printed waits run still, the pipe of
// circuit 1 has its first weld at the port of another, and joints outside lie on it.
func Waiting(t testing.TB) (rep Report, over time.Time) {
	c := crew.OnSite(t)
	id := c.Prepared("1A", crew.Say(logbook.ItemPort, "3"))
	c.Do(acts.StartFusion(c.H, id, 0))
	c.Wait(time.Duration(c.Table(id).Seconds) * time.Second)
	c.Do(acts.EndFusion(c.H, id, logbook.FusionEnded{Outcome: logbook.Completed}))
	c.Wait(time.Hour)
	clears(c, "2A")
	last := clears(c, "2B")
	over, _ = c.Weld(last).WaitOver()
	return reported(c), over
}

// Signed is a day that was signed with a fail open, which was cut out after.
func Signed(t testing.TB) Report {
	c := crew.OnSite(t)
	gone := c.Fused("1A")
	c.Do(acts.Disturb(c.H, gone, 2, "", "the trench wall slid"))
	c.Wait(time.Hour)
	left := c.Fused("1B")
	c.Do(acts.Disturb(c.H, left, 2, "", "the trench wall slid"))
	c.Wait(time.Hour)
	c.Do(crew.SignDay(c.H, audit.Run(c.Book, c.H.Site, c.H.At, fusion.Stamp{}).Closing("2026-03-09")))
	c.Do(acts.Cut(c.H, gone, "it was moved"))
	return reported(c)
}

// Later are two welds that were entered later, for one reason.
func Later(t testing.TB) Report {
	c := crew.OnSite(t)
	for i, label := range []string{"2A", "2B"} {
		c.Late(func(l *acts.LateWeld) {
			l.Joint, l.HoldStated, l.SecondsShown, l.Run = label, true, 40, new(40)
			l.Started, l.Ended = l.Started.Add(time.Duration(i-2)*time.Hour), l.Ended.Add(time.Duration(i-2)*time.Hour)
			l.Released = l.Ended.Add(10 * time.Minute)
		})
	}
	return reported(c)
}

// OffPaper is a weld taken in from a row of a sheet, of which it keeps what was left blank.
func OffPaper(t testing.TB, why string) Report {
	c := crew.OnSite(t)
	c.Late(func(l *acts.LateWeld) {
		l.Paper, l.Why, l.HoldStated = &logbook.PaperRow{File: "van.csv", Line: 2}, why, true
	})
	return reported(c)
}

// Fresh is a site of two circuits and a header in which nothing is made.
func Fresh(t testing.TB) Report {
	text, _, _ := strings.Cut(crew.PlanText, "[[joint]]")
	return reported(crew.On(t, text, crew.TableText))
}

// Called is a site of which somebody said who is to be called, and on which number.
func Called(t testing.TB) Report {
	c := crew.OnSite(t)
	c.Do(acts.NamePerson(c.H, "Hedda Invented", logbook.PersonNamed{Role: logbook.RoleForeman, Firm: "Invented Loops"}, acts.Telling{}))
	c.Do(acts.LeaveAs(c.H, logbook.LeftAs{Call: &logbook.Call{Name: "Hedda Invented", Phone: "01 23", Firm: "Invented Loops"}}))
	return reported(c)
}

// DugElsewhere is a covered chamber with a failed weld in it that was dug up at another joint.
func DugElsewhere(t testing.TB) Report {
	c := crew.OnSite(t)
	moved := c.Fused("1A")
	c.Do(acts.Disturb(c.H, moved, 2, "", "the trench wall slid"))
	c.Wait(time.Hour)
	clears(c, "2A")
	clears(c, "2B")
	c.Do(crew.Raw(c.H, "", "", logbook.Covered{Section: "chamber A", Missing: []string{"1A"}}))
	c.Wait(time.Minute)
	c.Do(acts.Happen(c.H, "2A", logbook.Happened{What: logbook.DugUp, On: "2026-03-09", Text: "a look at the stub"}))
	return reported(c)
}

// Settled is a site of whose parts one is welded and clear, and may be covered.
func Settled(t testing.TB) Report {
	c := onSite(t)
	c.made("E1", "W-1")
	return c.report(Query{})
}

// Pieced is a site on which a make-up piece came into a leg, whose first weld was made at the
// port of another leg; in its other joint there is no weld yet.
func Pieced(t testing.TB) Report {
	c := crew.OnSite(t)
	c.Do(acts.SplitJoint(c.H, "1A", "the pipe was too short", acts.Piece{Fittings: [2]string{"coupler 40", "coupler 40"}}))
	id := c.Prepared("1A.1", crew.Say(logbook.ItemPort, "3"))
	c.Do(acts.StartFusion(c.H, id, 0))
	c.Wait(time.Duration(c.Table(id).Seconds) * time.Second)
	c.Do(acts.EndFusion(c.H, id, logbook.FusionEnded{Outcome: logbook.Completed}))
	return reported(c)
}
