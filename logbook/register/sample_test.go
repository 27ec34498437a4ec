package register

import (
	"encoding/json"
	"testing"
	"time"

	"coolhold/fusion"
	"coolhold/logbook"
	"coolhold/logbook/acts"
	"coolhold/logbook/crew"
)

// A seal as a log would give it: invented, like its key.
var sampleSeal = &logbook.Sealed{
	Entries: 31, Root: "q83vEjRWeJCrze8SNFZ4kKvN7xI0VniQq83vEjRWeJA=",
	Note: "coolhold seal 1\nlog 00112233445566778899aabbccddeeff KM\nentries 31\nroot q83vEjRWeJCrze8SNFZ4kKvN7xI0VniQq83vEjRWeJA=\n" +
		"claimed 2026-03-09T17:00:00+01:00\nby Ada Invented\n\n— KM-laptop AzX3m0invented0signature0AAAAnotarealone0AzX3m0invented0signature0AAAAnotarealone0==\n",
}

// Worked is a site with everything on it that a register shows: welds of each
// verdict, a cut-out and its replacement, corrections, enclosures, covers,
// signatures, events.
func worked(t testing.TB) *team {
	c := onSite(t)
	first := c.made("1A", "W-1")
	c.Do(acts.ReadLook(c.H, first, look(logbook.LookRound)))
	cut := c.made("1B", "007")
	c.Do(acts.OrderCut(c.H, cut, "moved by the digger"), acts.Cut(c.H, cut, "moved by the digger"))
	c.made("1B", "007")
	c.made("TG", "W-2")
	c.Do(acts.Correct(c.H, first, logbook.FieldAmbient, "8.5", "misread the thermometer"))
	c.Do(acts.Correct(c.H, first, logbook.ItemBatch, "W-11", "the bag was found"))
	c.Do(
		acts.Enclose(c.H, "", "", logbook.Enclosed{File: "coil-0042.pdf", Hash: "0f1e2d3c4b5a69788796a5b4c3d2e1f00f1e2d3c4b5a69788796a5b4c3d2e1f0", Bytes: 4711, What: "certificate of the coil"}),
		acts.Enclose(c.H, first, "", logbook.Enclosed{File: "1A.jpg", Hash: "ff1e2d3c4b5a69788796a5b4c3d2e1f00f1e2d3c4b5a69788796a5b4c3d2e1f0", Bytes: 99, What: "photo"}),
		crew.Raw(c.H, "", "", logbook.Covered{Section: "chamber A", Missing: []string{"1B"}}),
		crew.Raw(c.H, "", "", logbook.DaySigned{Day: "2026-03-09", Acks: []logbook.Judged{{Key: "fail-not-cut-out:1B", Digest: "d", Facts: json.RawMessage(`"KM-0002"`)}}, Open: 2}),
		acts.Happen(c.H, "1A", logbook.Happened{What: logbook.DugUp, On: "2026-03-09", Circuit: 1, Text: "a fence post beside it"}),
	)
	return c
}

// Sample is the report of that site, for tests from outside the package.
func Sample(t testing.TB) Report {
	rep := worked(t).report(Query{})
	rep.Logs[0].Seal = sampleSeal
	return rep
}

// Open is a site with welds that are not clear: one that failed, one in its
// hold, one given up, one in the walk, beside one that is clear.
func Open(t testing.TB) Report {
	c := onSite(t)
	c.made("1A", "W-1")
	moved := c.fused("1B")
	c.Do(acts.Disturb(c.H, moved, 2, "", "the trench wall slid"))
	c.fused("TG")
	c.Do(acts.AbandonWalk(c.H, c.Numbered("E1"), "rain"))
	c.Numbered("E1")
	return c.report(Query{})
}

// TakenBack is a site on which a weld that was ordered cut out stands: the order was taken
// back.
func TakenBack(t testing.TB) Report {
	c := onSite(t)
	id := c.made("1A", "W-1")
	c.Do(acts.OrderCut(c.H, id, "the blade was broken"))
	c.Do(acts.WithdrawCut(c.H, id, "it was another weld"))
	return c.report(Query{})
}

// With is a site on which one weld was made with a hostile batch, and a note
// was written.
func With(t testing.TB, batch string) Report {
	c := onSite(t)
	id := c.made("1A", batch)
	c.Do(acts.NoteOn(c.H, id, batch))
	return c.report(Query{})
}

// Many is a site with so many rows.
func Many(t testing.TB, rows int) Report {
	rep := worked(t).report(Query{})
	for len(rep.Rows) < rows {
		rep.Rows = append(rep.Rows, rep.Rows[:min(len(rep.Rows), rows-len(rep.Rows))]...)
	}
	return rep
}

// Pressed is a site with pressure tests: one that is within, after which a joint of it
// was cut out and made again, one that fell, one that was taken back.
func Pressed(t testing.TB) Report {
	c := onSite(t)
	c.made("1A", "W-1")
	cut := c.made("1B", "W-1")
	c.made("TG", "W-1")
	c.Wait(time.Hour)
	c.Presses(crew.Pressing(crew.Circuit1), 6.1, 6.05, 6.05)
	c.Presses(crew.Pressing(logbook.SectionID{Chamber: "A", Way: logbook.TG}), 6.1, 5.2)
	back := c.Presses(crew.Pressing(logbook.SectionID{}), 6.1, 6.1)
	c.Do(acts.WithdrawPressure(c.H, back, "it was circuit 1"), acts.Cut(c.H, cut, "crooked"))
	c.made("1B", "W-1")
	return c.report(Query{})
}

// Looked is a site whose plan wants a chamber looked at before it is welded and covered:
// looked at in part, one look taken back, and covered all the same.
func Looked(t testing.TB) Report {
	c := onSite(t)
	opened := c.Site().SiteOpened
	opened.BeforeWelding, opened.BeforeCover, opened.LeastCoverM = []string{logbook.GroundLid}, []string{logbook.GroundBed, logbook.GroundCover, logbook.GroundOffsets, logbook.GroundPhoto}, 0.9
	opened.Chambers = []logbook.Chamber{{Name: "A", LidM: new(102.5)}}
	c.Do(crew.Raw(c.H, "", "", opened))
	look := logbook.GroundChecked{Section: "chamber A", Stage: logbook.GroundWelding, Seen: []logbook.GroundSeen{{Line: logbook.GroundLid, State: logbook.Yes, M: new(102.51)}}}
	c.Do(acts.CheckGround(c.H, look))
	c.made("1A", "W-1")
	look.Stage, look.Seen = logbook.GroundCovered, []logbook.GroundSeen{{Line: logbook.GroundCover, State: logbook.Yes, M: new(0.8)}, {Line: logbook.GroundTape, State: logbook.Unseen}}
	look.Offsets = []logbook.Offset{{From: "house corner to lid", M: 4.35}, {From: "gate post to lid", M: 7.1}}
	c.Do(acts.CheckGround(c.H, look))
	c.Do(acts.CheckGround(c.H, logbook.GroundChecked{Section: "chamber A", Stage: logbook.GroundCovered, Routes: "1 and 2 to the hedge"}))
	now, _ := c.Site().GroundOf("chamber A")
	c.Do(acts.WithdrawGround(c.H, "chamber A", now.Seq, "it was chamber B"))
	c.Do(crew.Raw(c.H, "", "", logbook.Covered{Section: "chamber A", NotLooked: []string{logbook.GroundBed, logbook.GroundPhoto}}))
	return c.report(Query{})
}

// Accepted is a site on which a foreman, who is on its list of people, accepted one query.
func Accepted(t testing.TB) Report {
	c := onSite(t)
	id := c.fused("1A")
	c.Wait(7 * time.Minute)
	c.Do(acts.Release(c.H, id, logbook.Look{When: logbook.LookRelease, Indicators: []string{logbook.Up, logbook.Part}, How: logbook.Typed}, fusion.Stamp{}))
	c.Do(acts.NamePerson(c.H, "Hedda Invented", logbook.PersonNamed{Role: logbook.RoleForeman, Firm: "Invented Loops"}, acts.Telling{}))
	h := c.H
	h.By = "Hedda Invented"
	for _, f := range c.report(Query{}).Findings {
		if f.Rule == "indicator-part" {
			c.Do(acts.Accept(h, fusion.Stamp{}, f.Judged(), "looked at with the crew"))
		}
	}
	return c.report(Query{})
}

// Concerned is a site on which matters concern other places than where they were recorded:
// an acceptance that lapsed, corrections of one minute, one of which took a fail away, ground
// dug up, a fail under the ground, a file of a few bytes and a photo that nobody enclosed.
func Concerned(t testing.TB) Report {
	c := onSite(t)
	first := c.made("1A", "W-1")
	c.Do(acts.NoteOn(c.H, first, "see the photo on my phone"))
	half := c.fused("1B")
	c.Wait(7 * time.Minute)
	c.Do(acts.Release(c.H, half, logbook.Look{When: logbook.LookRelease, Indicators: []string{logbook.Up, logbook.Part}, How: logbook.Typed}, fusion.Stamp{}))
	c.Do(acts.NamePerson(c.H, "Hedda Invented", logbook.PersonNamed{Role: logbook.RoleForeman, Firm: "Invented Loops"}, acts.Telling{}))
	h := c.H
	h.By = "Hedda Invented"
	for _, f := range c.report(Query{}).Findings {
		if f.Rule == "indicator-part" {
			c.Do(acts.Accept(h, fusion.Stamp{}, f.Judged(), "looked at with the crew"))
		}
	}
	c.Do(acts.Enclose(c.H, half, "", logbook.Enclosed{File: "tiny.jpg", Hash: "ee1e2d3c4b5a69788796a5b4c3d2e1f00f1e2d3c4b5a69788796a5b4c3d2e1f0", Bytes: 20, What: "photo"}))
	moved := c.fused("TG")
	c.Do(acts.Disturb(c.H, moved, 2, "", "the trench wall slid"), crew.Raw(c.H, "", "", logbook.Covered{Section: "chamber A", Missing: []string{"TG"}}))
	c.Wait(10 * time.Minute)
	c.Do(acts.Correct(c.H, first, logbook.FieldAmbient, "8.5", "misread"), acts.Correct(c.H, half, hot, "flat, up", "misread"), acts.Correct(c.H, half, hot, "up, up", "misread"))
	h.At = c.H.At
	c.Do(acts.Correct(h, half, release, "part, part", "looked again"))
	c.Do(acts.Happen(c.H, "", logbook.Happened{What: logbook.DugUp, On: "2026-03-09", Circuit: 1, Text: "a fence post beside it"}))
	return c.report(Query{})
}

// Mended is a site with two welds under the ground on which corrections made fails and took
// findings away; of the second nobody is asked to decide on that.
func Mended(t testing.TB) Report {
	c := onSite(t)
	first := c.made("1A", "W-1")
	half := c.fused("1B")
	c.Wait(7 * time.Minute)
	c.Do(acts.Release(c.H, half, logbook.Look{When: logbook.LookRelease, Indicators: []string{logbook.Up, logbook.Part}, How: logbook.Typed}, fusion.Stamp{}))
	c.Do(crew.Raw(c.H, "", "", logbook.Covered{Section: "chamber A"}))
	h := c.H
	h.By = "Hedda Invented"
	c.Do(acts.Correct(h, first, "seconds set", "41", "read again"), acts.Correct(h, half, release, "up, up", "read again"))
	return c.report(Query{})
}

// The indicators of a weld as they were seen straight after fusion, and at its release.
const hot, release = "indicators.hot.1", "indicators.release.2"

// Lost is a site without a pressure test on which pressure was lost all the same: circuit 1,
// before its second weld was made; the ground is wet at the first. No day of it is signed.
func Lost(t testing.TB) Report {
	c := onSite(t)
	c.made("1A", "W-1")
	c.Do(acts.Happen(c.H, "", logbook.Happened{What: logbook.PressureLost, On: "2026-03-09", Circuit: 1, Text: "the gauge fell by 0.3 bar"}))
	c.Do(acts.Happen(c.H, "1A", logbook.Happened{What: logbook.DugUp, On: "2026-03-09", Text: "wet ground at the stub"}))
	c.made("1B", "W-1")
	return c.report(Query{})
}

// LostSomewhere is a site on which pressure was lost, nobody knows on which circuit: one weld
// was clear then, one had failed, and one was made after it.
func LostSomewhere(t testing.TB) Report {
	c := onSite(t)
	c.made("1A", "W-1")
	moved := c.fused("1B")
	c.Do(acts.Disturb(c.H, moved, 2, "", "the trench wall slid"))
	c.Wait(time.Hour)
	c.Do(acts.Happen(c.H, "", logbook.Happened{What: logbook.PressureLost, On: "2026-03-09", Text: "the gauge of all fell by 0.3 bar"}))
	c.Wait(time.Minute)
	c.made("TG", "W-1")
	return c.report(Query{})
}

// TypedSince is a site on which a weld was typed from a sheet of two days before, of which the
// sheet says only that it was cut out; its welder came back the next day with another card.
func TypedSince(t testing.TB) Report {
	c := onSite(t)
	shift := c.H.Shift
	c.H.Shift = "" // of a sheet there is none
	c.Late(func(l *acts.LateWeld) {
		l.Joint, l.Paper, l.HoldStated, l.CutOut = "1A", &logbook.PaperRow{File: "van.csv", Line: 2}, true, "the clamp slipped"
		l.Started, l.Ended = l.Started.Add(-48*time.Hour), l.Ended.Add(-48*time.Hour)
	})
	c.H.Shift = shift
	c.Do(acts.CloseShift(c.H))
	c.Wait(24 * time.Hour)
	c.Do(acts.StartShift(c.H, logbook.ShiftStarted{
		Day: "2026-03-10", Operators: []logbook.Operator{{Name: crew.Ada, Number: "Q-8", Expiry: "2028-01-01"}},
		Units: []logbook.Unit{{Serial: crew.Unit, Corrects: logbook.No}}, Weather: logbook.Weather{Sky: "dry", Shelter: "none"},
	}))
	c.made("1B", "W-1")
	return c.report(Query{})
}

// Unfailed is a site on which a correction took a fail away.
func Unfailed(t testing.TB) Report {
	c := onSite(t)
	moved := c.fused("1A")
	c.Do(acts.Disturb(c.H, moved, 2, "", "the trench wall slid"))
	c.Wait(time.Hour)
	c.Do(acts.Correct(c.H, moved, "disturbed", "no", "it was the other pipe"))
	return c.report(Query{})
}
