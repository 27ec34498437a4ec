package audit_test

import (
	"strings"
	"testing"
	"time"

	"coolhold/logbook"
	"coolhold/logbook/acts"
	"coolhold/logbook/ahead"
	"coolhold/logbook/audit"
	"coolhold/logbook/crew"
	"coolhold/logbook/plan"
)

// stands says of a section what a person reads.
func (c *team) stands(part, want string) {
	c.T.Helper()
	for _, s := range ahead.Sections(c.Book, c.H.Site) {
		if s.Name != part {
			continue
		}
		k := audit.CoveringOf(c.Book, c.run(), s)
		if got := strings.Join(k.Lines(), "; "); got != want {
			c.T.Errorf("%s: %q, want %q", part, got, want)
		}
		if k.May != strings.Contains(want, "may be covered; no pressure test is recorded here") {
			c.T.Errorf("%s: may be covered is %v", part, k.May)
		}
		return
	}
	c.T.Fatalf("no section %s", part)
}

// onPipe is a joint on a pipe of its own name, in a chamber or outside.
func (c *team) onPipe(label, pipe, chamber string) {
	c.T.Helper()
	c.Do(acts.AddJoint(c.H, plan.Joint{Label: label, Pipe: pipe, Chamber: chamber, Fitting: "coupler 40"}, "needed"))
}

// A settled weld is not enough: what is open at its joint, an order that nobody
// answered, and a round not made keep the ground away too.
func TestWhatKeepsASectionOpen(t *testing.T) {
	c := onSite(t)
	c.onPipe("X1", "spine", "")
	c.stands("run spine", "1 joint missing: X1 open")
	id := c.fused("X1", well())
	c.stands("run spine", "1 joint missing: X1 hold")
	c.Wait(time.Hour) // over, and not released
	c.stands("run spine", "1 joint missing: X1 hold")
	c.Do(acts.Release(c.H, id, well().felt, c.H.At))
	c.stands("run spine", "may be covered; no pressure test is recorded here")
	c.Do(acts.AskRecheck(c.H, id, "the melt"))
	c.stands("run spine", "1 joint missing: X1 recheck asked")
	c.Do(acts.ReadLook(c.foreman(), id, well().felt))
	c.stands("run spine", "may be covered; no pressure test is recorded here")
	c.Do(acts.Happen(c.H, "X1", logbook.Happened{What: logbook.PressureLost, On: "2026-03-09", Text: "fell"}))
	c.stands("run spine", "1 joint missing: X1 pressure lost")
	c.Do(acts.Happen(c.H, "X1", logbook.Happened{What: logbook.Repaired, On: "2026-03-09", Text: "tightened"}))
	c.Do(acts.Accept(c.foreman(), none, only(c.T, c.run(), audit.RepairUnseen).Judged(), "held for an hour"))
	c.Do(acts.CloseShift(c.H))
	c.stands("run spine", "1 joint missing: X1 round not done")
	c.round()
	c.stands("run spine", "may be covered; no pressure test is recorded here")
	c.Do(acts.OrderCut(c.H, id, "wrong place"))
	c.stands("run spine", "1 joint missing: X1 fail")
}

// Ground on a pipe moves the joint that is held on it elsewhere.
func TestAHoldOnTheSamePipeElsewhere(t *testing.T) {
	c := onSite(t)
	c.onPipe("X1", "spine", "")
	c.onPipe("C1", "spine", "C")
	c.onPipe("Y1", "other", "")
	c.made("X1", well())
	c.made("Y1", well())
	c.stands("run spine", "may be covered; no pressure test is recorded here")
	id := c.fused("C1", well())
	c.stands("run spine", "1 joint missing: C1 hold")
	c.stands("run other", "may be covered; no pressure test is recorded here")
	for _, s := range ahead.Sections(c.Book, c.H.Site) {
		if s.Name == "run spine" {
			if l := audit.Missing(c.Book, c.run(), s); len(l) != 1 || !l[0].Beside || l[0].Says[0] != "is not released, and lies on the same pipe" {
				t.Errorf("%+v", l)
			}
		}
	}
	c.Wait(time.Hour)
	c.Do(acts.Release(c.H, id, well().felt, c.H.At))
	c.stands("run spine", "may be covered; no pressure test is recorded here")
}

// A tee lies on every pipe that it joins: ground on its branch would move it.
func TestATeeOnThePipeElsewhere(t *testing.T) {
	c := onSite(t)
	tee := plan.Joint{Label: "T1", Pipe: "spine", Chamber: "C", Fitting: "coupler 40", Ends: []plan.End{{Pipe: "spine"}, {Pipe: "branch"}}}
	c.onPipe("X1", "branch", "")
	c.onPipe("Y1", "other", "")
	c.Do(acts.AddJoint(c.H, tee, "needed"))
	c.made("X1", well())
	c.made("Y1", well())
	c.stands("run branch", "may be covered; no pressure test is recorded here")
	c.fused("T1", well())
	c.stands("run branch", "1 joint missing: T1 hold")
	c.stands("run other", "may be covered; no pressure test is recorded here")

	// And the other way round: ground on the tee moves what lies on its branch.
	d := onSite(t)
	d.onPipe("X1", "branch", "C")
	tee.Chamber = ""
	d.Do(acts.AddJoint(d.H, tee, "needed"))
	d.made("T1", well())
	d.stands("run spine", "may be covered; no pressure test is recorded here")
	d.fused("X1", well())
	d.stands("run spine", "1 joint missing: X1 hold")
}

// Joints without a pipe lie on none in common.
func TestNoPipeIsNoCommonPipe(t *testing.T) {
	c := onSite(t)
	c.added("X1")
	c.made("X1", well())
	c.added("X2")
	c.fused("X2", well())
	c.stands("run X1", "may be covered; no pressure test is recorded here")
}

func TestCoveredAndDugUp(t *testing.T) {
	c := onSite(t)
	c.onPipe("X1", "spine", "")
	c.made("X1", well())
	c.Do(crew.Raw(c.H, "", "", logbook.Covered{Section: "run spine", Missing: nil}))
	c.stands("run spine", "covered on 9 Mar 2026 by "+crew.Ada)
	c.Do(acts.Happen(c.H, "1A", logbook.Happened{What: logbook.DugUp, On: "2026-03-09", Text: "elsewhere"}))
	c.stands("run spine", "covered on 9 Mar 2026 by "+crew.Ada)
	c.Wait(24 * time.Hour)
	c.Do(acts.Happen(c.H, "X1", logbook.Happened{What: logbook.DugUp, On: "2026-03-10", Text: "a leak"}))
	c.stands("run spine", "covered on 9 Mar 2026 by "+crew.Ada+"; dug up since, on 2026-03-10; may be covered; no pressure test is recorded here")
	c.Do(crew.Raw(c.H, "", "", logbook.Covered{Section: "run spine", Missing: []string{"X1"}}))
	c.stands("run spine", "covered on 10 Mar 2026 by "+crew.Ada+"; while not settled: X1; 1 joint missing: X1 covered before accepted")
}

// Dug up it can be looked at: the query about the cover is settled, until it is
// covered anew.
func TestDugUpSettlesAnEarlyCover(t *testing.T) {
	c := onSite(t)
	c.made("1A", well())
	c.Do(crew.Raw(c.H, "", "", logbook.Covered{Section: "chamber A", Missing: []string{"1B"}}))
	c.made("1B", well())
	c.Do(acts.Happen(c.H, "1A", logbook.Happened{What: logbook.DugUp, On: "2026-03-09", Text: "looked at"}))
	c.says("covered-before-accepted", "joint 1B was not settled when chamber A was covered")
	c.Do(acts.Happen(c.H, "1B", logbook.Happened{What: logbook.DugUp, On: "2026-03-09", Text: "looked at"}))
	c.says("covered-before-accepted", "")
	c.Do(crew.Raw(c.H, "", "", logbook.Covered{Section: "chamber A"}))
	c.says("covered-before-accepted", "")
	c.Do(crew.Raw(c.H, "", "", logbook.Covered{Section: "chamber A", Missing: []string{"1A"}}))
	c.says("covered-before-accepted", "joint 1A was not settled when")
}

// A wrong cover is taken back: both entries stay, and nothing is covered by it.
func TestACoverIsTakenBack(t *testing.T) {
	c := onSite(t)
	c.onPipe("X1", "spine", "")
	c.onPipe("X2", "spine", "")
	c.made("X1", well())
	cover := func() (k logbook.Cover) {
		s, _ := c.Book.Site(c.H.Site)
		k, _ = s.CoverOf("run spine")
		return k
	}
	c.Do(crew.Raw(c.H, "", "", logbook.Covered{Section: "run spine", Missing: []string{"X2"}}))
	first := cover()
	c.says("covered-before-accepted", "joint X2 was not settled when")
	c.Refused(acts.UncoverSection(c.H, first, " "), logbook.ErrRule, "needs a reason")
	nobody := c.H
	nobody.By = ""
	c.Refused(acts.UncoverSection(nobody, first, "it was another run"), logbook.ErrRule, "needs a name")
	c.Do(acts.UncoverSection(c.H, first, " it was another run "))
	c.says("covered-before-accepted", "")
	c.stands("run spine", "1 joint missing: X2 open")
	c.Refused(acts.UncoverSection(c.H, first, "it was another run"), logbook.ErrRule, "no cover is recorded there")
	s, _ := c.Book.Site(c.H.Site)
	if w := s.Covers[0].Withdrawn; len(s.Covers) != 1 || w == nil || w.By != crew.Ada || w.Why != "it was another run" {
		t.Errorf("covers %+v", s.Covers)
	}
	c.made("X2", well())
	c.Do(crew.Raw(c.H, "", "", logbook.Covered{Section: "run spine"}))
	c.Refused(acts.UncoverSection(c.H, first, "it was another run"), logbook.ErrRule, "covered anew meanwhile")
	c.Do(acts.UncoverSection(c.H, cover(), "nor was it then"))
	c.stands("run spine", "may be covered; no pressure test is recorded here")
}

// A cover counts on the day that is stated for it: who covers first and welds or
// accepts a day later has covered too early, whenever he says so.
func TestACoverOnAStatedDay(t *testing.T) {
	c := onSite(t)
	c.onPipe("X1", "spine", "")
	c.made("X1", well())
	c.Wait(48 * time.Hour)
	on := func(day string) acts.Act {
		for _, s := range ahead.Sections(c.Book, c.H.Site) {
			if s.Name == "run spine" {
				return acts.CoverSectionOn(c.H, none, audit.CoveringOf(c.Book, c.run(), s), day, true)
			}
		}
		t.Fatal("no run spine")
		return nil
	}
	c.Refused(on("2026-03-12"), logbook.ErrRule, "2026-03-12 is still to come: today is 2026-03-11")
	c.Refused(on("1926-03-09"), logbook.ErrRule, "is the year right?")
	c.Refused(on("9 March"), logbook.ErrRule, "no date")
	c.Do(on("2026-03-09")) // the day of the weld
	c.says("covered-before-accepted", "")
	c.Do(on("2026-03-08"))
	c.stands("run spine", "covered on 2026-03-08 by "+crew.Ada+"; 1 joint missing: X1 covered before accepted")
	c.says("covered-before-accepted", "joint X1 was settled only after run spine was covered on 2026-03-08")
	c.says("told-before-opening", "run spine covered: said to be on 2026-03-08; the site was opened in this log on 2026-03-09")
	dug := func(day string) {
		c.Do(acts.Happen(c.H, "X1", logbook.Happened{What: logbook.DugUp, On: day, Text: "a leak"}))
	}
	s, _ := c.Book.Site(c.H.Site)
	wrong, _ := s.CoverOf("run spine")
	c.Do(acts.UncoverSection(c.H, wrong, "it was the day after"))
	c.says("told-before-opening", "")
	c.Do(on("2026-03-10"))
	dug("2026-03-09")
	c.stands("run spine", "covered on 2026-03-10 by "+crew.Ada) // dug up the day before
	dug("2026-03-10")
	c.stands("run spine", "covered on 2026-03-10 by "+crew.Ada+"; dug up since, on 2026-03-10; may be covered; no pressure test is recorded here")
	c.Do(on("2026-03-08"))
	c.stands("run spine", "covered on 2026-03-08 by "+crew.Ada+"; dug up since, on 2026-03-10; may be covered; no pressure test is recorded here")
}

// A loss that names no circuit may be anywhere it was said of.
func TestALossThatMayBeHere(t *testing.T) {
	c := onSite(t)
	c.onPipe("X1", "spine", "")
	c.made("X1", well())
	c.made("1A", well())
	c.made("1B", well())
	event := func(what logbook.Happening, chamber string) {
		c.Do(acts.Happen(c.H, "", logbook.Happened{What: what, On: "2026-03-09", Chamber: chamber, Text: "gauge"}))
	}
	event(logbook.PressureLost, "A")
	c.stands("run spine", "may be covered; no pressure test is recorded here")
	c.stands("chamber A", "pressure lost on 2026-03-09, chamber A, and not repaired")
	event(logbook.PressureLost, "")
	c.stands("run spine", "pressure lost on 2026-03-09, the whole site, and not repaired")
	event(logbook.Repaired, "")
	c.stands("run spine", "repaired on 2026-03-09, the whole site, as Ada Invented says, and nobody else looked")
	c.Do(acts.Accept(c.foreman(), none, only(c.T, c.run(), audit.RepairUnseen).Judged(), "held for an hour"))
	c.stands("run spine", "may be covered; no pressure test is recorded here")
	c.stands("chamber A", "may be covered; no pressure test is recorded here")
}
