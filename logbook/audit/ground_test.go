package audit_test

import (
	"slices"
	"strings"
	"testing"
	"time"

	"coolhold/logbook"
	"coolhold/logbook/acts"
	"coolhold/logbook/ahead"
	"coolhold/logbook/audit"
	"coolhold/logbook/crew"
)

// wantsLooked makes the plan want these lines looked at; its figures are invented.
func (c *team) wantsLooked(welding []string, cover ...string) {
	c.T.Helper()
	opened := c.Site().SiteOpened
	opened.BeforeWelding, opened.BeforeCover = welding, cover
	c.Do(crew.Raw(c.H, "", "", opened))
}

// setOut makes the plan state a least cover, the heights of chamber A, and how far they may
// be off; 0: not stated.
func (c *team) setOut(within float64) {
	opened := c.Site().SiteOpened
	opened.LeastCoverM, opened.SetOutWithinM = 0.9, within
	opened.Chambers = []logbook.Chamber{{Name: "A", LevelM: new(101.3), LidM: new(102.5)}}
	c.Do(crew.Raw(c.H, "", "", opened))
}

// looked is a look at chamber A: lines, each with its answer.
func looked(stage logbook.GroundStage, said ...string) logbook.GroundChecked {
	b := logbook.GroundChecked{Section: "chamber A", Stage: stage}
	for i := 0; i < len(said); i += 2 {
		b.Seen = append(b.Seen, logbook.GroundSeen{Line: said[i], State: said[i+1]})
	}
	return b
}

// measured is one with a figure of its only line.
func measured(stage logbook.GroundStage, line string, m float64) logbook.GroundChecked {
	b := looked(stage, line, logbook.Yes)
	b.Seen[0].M = &m
	return b
}

func (c *team) looks(bodies ...logbook.GroundChecked) {
	c.T.Helper()
	for _, b := range bodies {
		c.Do(acts.CheckGround(c.H, b))
	}
}

func (c *team) takesLookBack(why string) {
	c.T.Helper()
	now, _ := c.Site().GroundOf("chamber A")
	c.Do(acts.WithdrawGround(c.H, "chamber A", now.Seq, why))
}

// at is a look stated for a time of the first day.
func at(clock string, b logbook.GroundChecked) logbook.GroundChecked {
	t, err := time.ParseInLocation("2006-01-02 15:04", "2026-03-09 "+clock, crew.Morning.Local().Location())
	if err != nil {
		panic(err)
	}
	b.Stated = &t
	return b
}

// wanted is a site whose plan wants lines looked at; both joints are made.
func wanted(welding []string, cover ...string) func(*team) {
	return func(c *team) { c.made("1B", well()); c.wantsLooked(welding, cover...) }
}

func coveredWithout(lines ...string) func(*team) {
	return func(c *team) { wanted(nil, lines...)(c); c.cover() }
}

func notSoAndBack(why string) func(*team) {
	return func(c *team) {
		c.made("1B", well())
		c.looks(looked(logbook.GroundCovered, logbook.GroundBed, logbook.No))
		c.takesLookBack(why)
	}
}

func init() {
	faults = append(faults,
		seededFault{audit.GroundToLook, nil, wanted(nil, logbook.GroundBed)},
		seededFault{audit.GroundWelded, nil, wanted([]string{logbook.GroundLid})},
		seededFault{audit.GroundLacking, nil, coveredWithout(logbook.GroundBed)},
		seededFault{audit.GroundBack, nil, notSoAndBack("it was chamber B")},
	)
	others[audit.GroundToLook] = wanted(nil, logbook.GroundBed, logbook.GroundTape)
	others[audit.GroundWelded] = wanted([]string{logbook.GroundLid, logbook.GroundLevel})
	others[audit.GroundLacking] = func(c *team) {
		c.made("1B", well())
		c.looks(looked(logbook.GroundCovered, logbook.GroundBed, logbook.No))
	}
	others[audit.GroundBack] = notSoAndBack("it was chamber C")
	goesThrough["CheckGround"] = func(c *team, _ audit.Finding) { // as it was looked at before anything was done
		for _, stage := range []logbook.GroundStage{logbook.GroundWelding, logbook.GroundCovered} {
			b := looked(stage, logbook.GroundBed, logbook.Yes, logbook.GroundLid, logbook.Yes)
			b.Seen[1].M = new(102.5)
			c.looks(at("07:50", b))
		}
	}
}

// A plan that wants nothing asks nothing.
func TestAPlanThatWantsNothingAsksNothing(t *testing.T) {
	c := onSite(t)
	c.made("1A", well())
	c.cover()
	for _, f := range c.run().Findings {
		if strings.HasPrefix(f.Rule, "ground-") {
			t.Errorf("%s: %s", f.Key, f.Says)
		}
	}
	if k := c.covering("chamber A"); len(k.Looked) > 0 || len(k.NotLooked) > 0 {
		t.Errorf("%+v", k)
	}
}

// What the plan wants is one finding a section; it may be looked at in parts, and what is
// left keeps the ground away until all is.
func TestWhatThePlanWantsIsLookedAtBeforeTheCover(t *testing.T) {
	c := onSite(t)
	c.made("1A", well())
	c.made("1B", well())
	c.setOut(0)
	c.wantsLooked(nil, logbook.GroundLines.Codes()...)
	c.says(audit.GroundToLook, "chamber A: to be looked at before the cover: bed, cover level, marker tape, ducts capped, ducts lagged, chamber level, lid height, offsets, loop routes, photo")
	c.stands("chamber A", "to be looked at before the cover: bed, cover level, marker tape, ducts capped, ducts lagged, chamber level, lid height, offsets, loop routes, photo")
	c.looks(looked(logbook.GroundCovered, logbook.GroundBed, logbook.Yes, logbook.GroundTape, logbook.Unseen, logbook.GroundCapped, logbook.NotFitted, logbook.GroundLagged, logbook.NotFitted, logbook.GroundCover, logbook.Yes))
	c.says(audit.GroundToLook, "to be looked at before the cover: cover level (its figure was not read), marker tape (could not look), chamber level, lid height, offsets, loop routes, photo")
	c.looks(measured(logbook.GroundCovered, logbook.GroundCover, 0.9), measured(logbook.GroundCovered, logbook.GroundLevel, 101.2), measured(logbook.GroundCovered, logbook.GroundLid, 102.5))
	b := looked(logbook.GroundCovered, logbook.GroundTape, logbook.Yes, logbook.GroundBed, logbook.Unseen) // the bed was seen before
	b.Offsets, b.Routes = []logbook.Offset{{From: "house corner to lid", M: 4.35}}, "1 to the hedge"
	c.looks(b)
	c.says(audit.GroundToLook, "to be looked at before the cover: offsets (from one point alone), photo")
	b = looked(logbook.GroundCovered)
	b.Offsets = []logbook.Offset{{From: "house corner to lid", M: 4.35}, {From: "gate post to lid", M: 7.1}}
	c.looks(b)
	c.Do(acts.Enclose(c.H, "", "1A", logbook.Enclosed{File: "joint.jpg", Hash: strings.Repeat("a", 64), Bytes: 1, What: "photo", Taken: &logbook.Taken{None: logbook.TimeAbsent}}))
	c.Do(acts.Enclose(c.H, "", "", logbook.Enclosed{File: "bill.pdf", Hash: strings.Repeat("c", 64), Bytes: 1, What: "bill of the sand", Part: "chamber A"}))
	c.says(audit.GroundToLook, "chamber A: to be looked at before the cover: photo")
	c.Do(acts.Enclose(c.H, "", "", logbook.Enclosed{File: "a.jpg", Hash: strings.Repeat("b", 64), Bytes: 1, What: "photo", Part: "chamber A", Taken: &logbook.Taken{None: logbook.TimeAbsent}}))
	c.says(audit.GroundToLook, "")
	c.stands("chamber A", "may be covered; no pressure test is recorded here")
	c.Do(acts.CoverSection(c.H, none, c.covering("chamber A"), false))
	c.Wait(time.Hour)
	c.says(audit.GroundLacking, "")
	var got []string
	for _, l := range c.covering("chamber A").Looked {
		got = append(got, l.Name()+": "+l.Says())
	}
	want := []string{
		"bed: yes", "cover level: yes, 0.9 m, at least 0.9 m", "marker tape: yes", "ducts capped: none there", "ducts lagged: none there", "chamber level: yes, 101.2 m, set out 101.3 m",
		"lid height: yes, 102.5 m, set out 102.5 m", "offsets: 4.35 m from house corner to lid, 7.1 m from gate post to lid", "loop routes: 1 to the hedge", "photo: a.jpg (no time in the file)",
	}
	if !slices.Equal(got, want) {
		t.Errorf("got\n%q\nwant\n%q", got, want)
	}
}

// Covered without: the finding names what was not recorded. What was seen before is entered
// later with its time; what can still be seen is looked at afterwards.
func TestCoveredWithoutBeingLookedAt(t *testing.T) {
	c := onSite(t)
	c.made("1A", well())
	c.made("1B", well())
	c.wantsLooked(nil, logbook.GroundBed, logbook.GroundTape, logbook.GroundLid)
	c.Refused(acts.CoverSection(c.H, none, c.covering("chamber A"), false), logbook.ErrRule, "not recorded: to be looked at before the cover: bed, marker tape, lid height")
	act := acts.CoverSection(c.H, none, c.covering("chamber A"), true)
	c.looks(looked(logbook.GroundCovered, logbook.GroundTape, logbook.Yes))
	c.Refused(act, logbook.ErrRule, "what is missing there has changed meanwhile")
	c.Wait(time.Hour)
	c.Do(acts.CoverSection(c.H, none, c.covering("chamber A"), true))
	if b := c.Newest().Open().(logbook.Covered); !slices.Equal(b.NotLooked, []string{logbook.GroundBed, logbook.GroundLid}) || !strings.HasSuffix(b.Line(), "; not looked at before, or not as it should be: bed, lid height") {
		t.Errorf("covered as %q", b.Line())
	}
	c.says(audit.GroundToLook, "")
	c.says(audit.GroundLacking, "and this was not recorded before: bed, lid height")
	c.Wait(time.Hour)
	c.looks(measured(logbook.GroundCovered, logbook.GroundLid, 102.5)) // a lid is seen from above
	c.looks(looked(logbook.GroundCovered, logbook.GroundBed, logbook.Yes))
	c.says(audit.GroundLacking, "and this was not recorded before: bed (only afterwards)")
	c.looks(at("08:10", looked(logbook.GroundCovered, logbook.GroundBed, logbook.Yes)))
	c.says(audit.GroundLacking, "")

	d := onSite(t) // where the cover states another day, that day counts
	d.made("1A", well())
	d.wantsLooked(nil, logbook.GroundBed)
	d.Wait(48 * time.Hour)
	d.looks(looked(logbook.GroundCovered, logbook.GroundBed, logbook.Yes)) // before it is said, after it was done
	d.Do(crew.Raw(d.H, "", "", logbook.Covered{Section: "chamber A", On: "2026-03-10"}))
	d.says(audit.GroundLacking, "covered on 2026-03-10, and this was not recorded before: bed (only afterwards)")
	d.looks(at("23:59", looked(logbook.GroundCovered, logbook.GroundBed, logbook.Yes)))
	d.says(audit.GroundLacking, "")
}

// What is seen not to be as it should is a query at once, before and after the cover, until
// it was put right and looked at again.
func TestNotAsItShouldBe(t *testing.T) {
	c := onSite(t)
	c.made("1A", well())
	c.made("1B", well())
	c.looks(looked(logbook.GroundCovered, logbook.GroundBed, logbook.No)) // though the plan does not want it
	c.says(audit.GroundLacking, "chamber A: not as it should be: bed")
	c.stands("chamber A", "not as it should be: bed")
	c.looks(looked(logbook.GroundCovered, logbook.GroundBed, logbook.Unseen))
	c.says(audit.GroundLacking, "not as it should be: bed")
	c.looks(at("07:50", looked(logbook.GroundCovered, logbook.GroundBed, logbook.Yes))) // before it was seen
	c.says(audit.GroundLacking, "not as it should be: bed")
	c.Wait(time.Minute)
	c.looks(looked(logbook.GroundCovered, logbook.GroundBed, logbook.Yes))
	c.says(audit.GroundLacking, "")
	c.cover()
	c.looks(looked(logbook.GroundCovered, logbook.GroundTape, logbook.No))
	c.says(audit.GroundLacking, "not as it should be: marker tape")
	c.Do(acts.Accept(c.foreman(), none, only(t, c.run(), audit.GroundLacking).Judged(), "laid deeper, seen"))
	if f := only(t, c.run(), audit.GroundLacking); f.Open() {
		t.Errorf("open: %s", f.Says)
	}
	c.stands("chamber A", "covered on 9 Mar 2026 by "+crew.Ada)
	c.looks(looked(logbook.GroundCovered, logbook.GroundCapped, logbook.No))
	if f := only(t, c.run(), audit.GroundLacking); !f.Open() || !strings.Contains(f.Says, "marker tape, ducts capped") {
		t.Errorf("what was accepted covers more: %+v", f)
	}
}

// Who works alone accepts it himself, and is named so.
func TestWhoWorksAloneAcceptsWhatHeSaw(t *testing.T) {
	c := onSite(t)
	c.looks(looked(logbook.GroundCovered, logbook.GroundBed, logbook.No))
	c.Do(acts.WorksAlone(c.H, true), acts.Accept(c.H, none, only(t, c.run(), audit.GroundLacking).Judged(), "laid on sand bags"))
	if a := only(t, c.run(), audit.GroundLacking).Accepted; a == nil || a.Who() != crew.Ada+" alone, nobody else looked" {
		t.Errorf("accepted as %+v", a)
	}
}

// Figures are held against what the plan states, and against nothing where it states none.
func TestFiguresBesideThePlan(t *testing.T) {
	for _, tt := range []struct {
		line   string
		m      float64
		within float64
		says   string
	}{
		{logbook.GroundCover, 0.9, 0, ""},
		{logbook.GroundCover, 0.89, 0, "not as it should be: cover level 0.89 m, at least 0.9 m"},
		{logbook.GroundLevel, 101.9, 0, ""}, // how far it may be off nobody states
		{logbook.GroundLevel, 101.32, 0.02, ""},
		{logbook.GroundLevel, 101.33, 0.02, "not as it should be: chamber level 101.33 m, set out 101.3 m"},
		{logbook.GroundLid, 102.47, 0.02, "not as it should be: lid height 102.47 m, set out 102.5 m"},
	} {
		c := onSite(t)
		c.setOut(tt.within)
		c.looks(measured(logbook.GroundCovered, tt.line, tt.m))
		c.says(audit.GroundLacking, tt.says)
	}
	c := onSite(t)
	c.looks(measured(logbook.GroundCovered, logbook.GroundCover, 0.1), measured(logbook.GroundCovered, logbook.GroundLid, -3))
	c.says(audit.GroundLacking, "")
}

// A figure that is not as the client states it is told as that, also where it was read too
// late.
func TestAWrongFigureReadTooLate(t *testing.T) {
	c := onSite(t)
	c.made("1A", well())
	c.setOut(0)
	c.wantsLooked(nil, logbook.GroundCover)
	c.cover()
	c.looks(measured(logbook.GroundCovered, logbook.GroundCover, 0.5))
	c.says(audit.GroundLacking, "not as it should be: cover level 0.5 m, at least 0.9 m")
}

// What lies under the ground is not made better by a look after it: neither what was seen
// before nor what was said afterwards.
func TestNothingHiddenIsPutRightUnderTheGround(t *testing.T) {
	c := onSite(t)
	c.made("1A", well())
	c.setOut(0)
	c.wantsLooked(nil, logbook.GroundCover, logbook.GroundBed)
	c.looks(measured(logbook.GroundCovered, logbook.GroundCover, 0.8))
	c.cover()
	c.Wait(time.Hour)
	c.looks(measured(logbook.GroundCovered, logbook.GroundCover, 1.2), looked(logbook.GroundCovered, logbook.GroundBed, logbook.No), looked(logbook.GroundCovered, logbook.GroundBed, logbook.Yes))
	c.says(audit.GroundLacking, "not as it should be: bed, cover level 0.8 m, at least 0.9 m")
}

// A chamber is looked at before it is welded: else that is a query, which a look stated for
// before ends.
func TestLookedAtBeforeWelding(t *testing.T) {
	c := onSite(t)
	c.wantsLooked([]string{logbook.GroundLevel, logbook.GroundLid})
	c.says(audit.GroundToLook, "chamber A: to be looked at before welding: chamber level, lid height")
	if got := c.run().BeforeWelding("chamber A"); got != "chamber level, lid height" {
		t.Errorf("before welding %q", got)
	}
	if got := c.run().GroundShort(); got != "To be looked at before welding: chamber A: key 9, then 4." {
		t.Errorf("the board says %q", got)
	}
	c.looks(measured(logbook.GroundWelding, logbook.GroundLevel, 101.3))
	c.begun("1A", well()) // a walk is no welding
	c.says(audit.GroundToLook, "to be looked at before welding: lid height")
	c.says(audit.GroundWelded, "")
	c.made("1B", well())
	c.says(audit.GroundToLook, "")
	c.says(audit.GroundWelded, "chamber A: welding began with KM-0002 on 9 Mar 08:")
	c.says(audit.GroundWelded, "and was not looked at before: lid height")
	if got := c.run().GroundShort(); got != "A query on the ground of chamber A: key 9, then 4." {
		t.Errorf("the board says %q", got)
	}
	c.looks(measured(logbook.GroundWelding, logbook.GroundLid, 102.5))
	c.says(audit.GroundWelded, "and was not looked at before: lid height (only afterwards)")
	c.looks(at("07:50", measured(logbook.GroundWelding, logbook.GroundLid, 102.5)))
	c.says(audit.GroundWelded, "")

	d := onSite(t) // not as set out, and put right before the cover: welded too soon all the same
	d.wantsLooked([]string{logbook.GroundLid})
	d.looks(looked(logbook.GroundWelding, logbook.GroundLid, logbook.No))
	d.says(audit.GroundLacking, "not as it should be: lid height")
	d.made("1A", well())
	d.says(audit.GroundWelded, "")
	d.looks(measured(logbook.GroundCovered, logbook.GroundLid, 102.5))
	d.says(audit.GroundLacking, "")
	d.says(audit.GroundWelded, "lid height (only afterwards)")
}

// What was dug up is looked at again before ground lies on it once more, as far as ground
// hides it.
func TestDugUpIsLookedAtAgain(t *testing.T) {
	c := onSite(t)
	c.made("1A", well())
	c.made("1B", well())
	c.wantsLooked(nil, logbook.GroundBed, logbook.GroundLid)
	b := looked(logbook.GroundCovered, logbook.GroundBed, logbook.Yes, logbook.GroundLid, logbook.Yes)
	b.Seen[1].M = new(102.5)
	c.looks(b)
	c.cover()
	c.Wait(24 * time.Hour)
	c.Do(acts.Happen(c.H, "1A", logbook.Happened{What: logbook.DugUp, On: "2026-03-10", Text: "a leak"}))
	c.says(audit.GroundToLook, "to be looked at before the cover: bed (only before it was dug up)")
	c.looks(looked(logbook.GroundCovered, logbook.GroundBed, logbook.Yes))
	c.says(audit.GroundToLook, "")
	c.cover()
	c.says(audit.GroundLacking, "")
}

// A run of pipe outside has no lid, and no loop unless pipe of a circuit lies in it.
func TestWhatASectionHas(t *testing.T) {
	c := onSite(t)
	c.onPipe("X1", "spine", "")
	c.onPipe("X2", "A/1", "")
	c.wantsLooked([]string{logbook.GroundLid}, logbook.GroundBed, logbook.GroundLid, logbook.GroundRoutes)
	got := map[string]string{}
	for _, f := range c.run().Findings {
		if f.Rule == audit.GroundToLook {
			got[f.Part] = f.Says
		}
	}
	for part, want := range map[string]string{
		"chamber A": "chamber A: to be looked at before welding: lid height; to be looked at before the cover: bed, lid height, loop routes",
		"run spine": "run spine: to be looked at before the cover: bed",
		"run A/1":   "run A/1: to be looked at before the cover: bed, loop routes",
	} {
		if got[part] != want {
			t.Errorf("%s: %q, want %q", part, got[part], want)
		}
	}
}

// A look taken back counts no more; one that saw something wrong leaves a query for
// somebody else.
func TestALookIsTakenBack(t *testing.T) {
	c := onSite(t)
	c.made("1A", well())
	c.made("1B", well())
	c.wantsLooked(nil, logbook.GroundBed)
	c.Refused(acts.WithdrawGround(c.H, "chamber A", 0, "it was chamber B"), logbook.ErrRule, "no look is recorded there")
	c.looks(looked(logbook.GroundCovered, logbook.GroundBed, logbook.Yes))
	first, _ := c.Site().GroundOf("chamber A")
	c.looks(looked(logbook.GroundCovered, logbook.GroundBed, logbook.No))
	c.Refused(acts.WithdrawGround(c.H, "chamber A", first.Seq, "it was chamber B"), logbook.ErrRule, "something newer was recorded meanwhile")
	c.takesLookBack("it was chamber B")
	c.says(audit.GroundLacking, "")
	c.says(audit.GroundToLook, "")
	c.says(audit.GroundBack, "chamber A: it was seen that this is not as it should be, and that was taken back (it was chamber B): bed")
	c.takesLookBack("nor was it then")
	c.says(audit.GroundBack, "(it was chamber B): bed") // of the look that saw it well there is none
	c.says(audit.GroundToLook, "to be looked at before the cover: bed")
	if w := c.Site().Ground[1].Withdrawn; w == nil || w.Why != "it was chamber B" || len(c.Site().Ground) != 2 {
		t.Errorf("looks %+v", c.Site().Ground)
	}
}

// A photo is asked for by the cover alone, and another section's is none.
func TestAPhotoIsOfItsSection(t *testing.T) {
	c := onSite(t)
	c.wantsLooked(nil, logbook.GroundPhoto)
	for _, l := range c.covering("chamber A").Looked {
		if l.Line != logbook.GroundPhoto || l.Stage != logbook.GroundCovered || l.Lack != ahead.GroundMissing || l.Says() != "none" {
			t.Errorf("%+v", l)
		}
	}
}

// A photo that was enclosed after the cover ends its line only if its camera says that it
// is older; one enclosed before is older, whatever the camera says. Dug up, a new one is
// wanted.
func TestAPhotoEnclosedAfterTheCover(t *testing.T) {
	photo := func(c *team, taken logbook.Taken) acts.Act {
		return acts.Enclose(c.H, "", "", logbook.Enclosed{File: "a.jpg", Hash: strings.Repeat("a", 64), Bytes: 1, What: "photo", Part: "chamber A", Taken: &taken})
	}
	for _, tt := range []struct {
		before bool // it was enclosed before the cover
		taken  logbook.Taken
		says   string
	}{
		{false, logbook.Taken{Local: "2026:03:09 07:59:00"}, ""},
		{false, logbook.Taken{Local: "2026:03:09 05:59:00", Offset: "-01:00"}, ""},
		{false, logbook.Taken{Local: "2026:03:09 23:59:00"}, "photo (only afterwards)"},
		{false, logbook.Taken{None: logbook.TimeBroken}, "photo (enclosed only afterwards, no time known)"},
		{true, logbook.Taken{Local: "2026:03:09 23:59:00"}, ""},
		{true, logbook.Taken{None: logbook.TimeAbsent}, ""},
	} {
		c := onSite(t)
		c.made("1A", well())
		c.made("1B", well())
		c.wantsLooked(nil, logbook.GroundPhoto)
		if tt.before {
			c.Do(photo(c, tt.taken))
		}
		c.cover()
		c.Wait(time.Hour)
		if !tt.before {
			c.says(audit.GroundLacking, "this was not recorded before: photo")
			c.Do(photo(c, tt.taken))
		}
		c.says(audit.GroundLacking, tt.says)
	}
	c := onSite(t)
	c.made("1A", well())
	c.made("1B", well())
	c.wantsLooked(nil, logbook.GroundPhoto)
	c.Do(photo(c, logbook.Taken{Local: "2026:03:09 07:59:00"}))
	c.cover()
	c.Wait(24 * time.Hour)
	c.Do(acts.Happen(c.H, "1A", logbook.Happened{What: logbook.DugUp, On: "2026-03-10", Text: "a leak"}))
	c.says(audit.GroundToLook, "photo (only before it was dug up)")
}
