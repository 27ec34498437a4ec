package acts_test

import (
	"reflect"
	"slices"
	"strings"
	"testing"
	"time"

	"coolhold/logbook"
	"coolhold/logbook/acts"
	"coolhold/logbook/ahead"
	"coolhold/logbook/crew"
)

func TestCorrect(t *testing.T) {
	tests := []struct {
		field, value, old, want string
	}{
		{logbook.ItemBatch, "W-77", "W-1", "W-77"},
		{"operator", "Bo Invented", crew.Ada, "Bo Invented"},
		{"control unit", "CU-9", crew.Unit, "CU-9"},
		{logbook.ItemMethod, "Hand  tool", logbook.RotaryTool, logbook.HandTool},
		{"clamped", "could not", logbook.Done, logbook.CouldNot},
		{"no water", logbook.CouldNot, logbook.Done, logbook.CouldNot},
		{"ends", logbook.CouldNot, logbook.Done, logbook.CouldNot},
		{logbook.ItemPort, "3", "1", "3"},
		{logbook.FieldAmbient, "12,5", "9", "12.5"},
		{"seconds set", "44", "40", "44"},
		{"volts set", "40", "39.5", "40"},
		{"time from", "read from a code", string(logbook.ModeKeyed), string(logbook.ModeCode)},
		{"ohms", "2,5", "2.4", "2.5"},
		{"outcome", "STOPPED", string(logbook.Completed), string(logbook.Stopped)},
		{"stopped at", "17", "", "17"},
		{"seconds run", "39", "40", "39"},
		{"indicators after fusion (look 1)", "up / Up", "up,flat", "up,up"},
		{"melt after fusion (look 1)", "outside", "none", "outside"},
		{"wire after fusion (look 1)", "none seen", "seen", "none"},
		{"felt.release.2", "still warm", "firm", "warm"},
	}
	for _, tt := range tests {
		t.Run(tt.field, func(t *testing.T) {
			c := crew.OnSite(t)
			id := c.Done("1A")
			was := c.Weld(id)
			c.Do(acts.Correct(c.H, id, tt.field, tt.value, "misread"))
			w := c.Weld(id)
			f, ok := logbook.FieldOf(w, tt.field)
			if !ok || f.Get(w) != tt.want {
				t.Errorf("reads %q, want %q", f.Get(w), tt.want)
			}
			if got := crew.Last[logbook.Correction](c); got.Field != f.Key || got.Old != tt.old || got.New != tt.want || got.Why != "misread" {
				t.Errorf("stored %+v", got)
			}
			if n := w.Corrections[0]; n.By != crew.Ada || n.Seq != c.Entries[len(c.Entries)-1].Seq || n.Old != tt.old {
				t.Errorf("kept as %+v", n)
			}
			all := w.AsRecorded()
			if len(all) != 2 || !reflect.DeepEqual(crew.Bare(all[1]), crew.Bare(was)) {
				t.Errorf("as recorded\n%+v\nwant\n%+v", crew.Bare(all[1]), crew.Bare(was))
			}
		})
	}
}

// Another temperature or another fitting is another band or row: what the
// table says follows, what the unit showed stays.
func TestCorrectFollowsTheTable(t *testing.T) {
	c := crew.OnSite(t)
	id := c.Done("1A")
	c.Do(acts.Correct(c.H, id, logbook.FieldAmbient, "3", "read off the wrong probe"))
	if s := c.Weld(id).Settings; s.SecondsTable != 44 || s.SecondsShown != 40 || s.Band.Low != -5 || s.Unlike() == "" {
		t.Errorf("at 3 °C: %+v", s)
	}
	c.Do(acts.Correct(c.H, id, logbook.FieldAmbient, "40", "again"))
	if s := c.Weld(id).Settings; s.Band != nil || s.SecondsShown != 40 || s.VoltsTable != 39.5 {
		t.Errorf("outside the bands: %+v", s)
	}
	c.Do(acts.Correct(c.H, id, logbook.FieldAmbient, "9", "again"), acts.Correct(c.H, id, logbook.ItemFitting, "cap 40", "wrong row"))
	w := c.Weld(id)
	if s := w.Settings; s.SecondsTable != 40 || s.PressureWaitMin != nil || w.Ohms.High != 0 || *w.Ohms.Ohms != 2.4 {
		t.Errorf("another row: %+v, %+v", s, w.Ohms)
	}
	c.Do(acts.Correct(c.H, id, logbook.ItemFitting, "odd one", "from no table"))
	if s := c.Weld(id).Settings; s.Table != "" || s.Band != nil || s.SecondsShown != 40 {
		t.Errorf("no row: %+v", s)
	}
	if first := c.Weld(id).AsRecorded(); first[len(first)-1].Settings.SecondsTable != 40 || *first[len(first)-1].Settings.PressureWaitMin != 20 {
		t.Errorf("as recorded: %+v", first[len(first)-1].Settings)
	}
}

func TestCorrectRefuses(t *testing.T) {
	c := crew.OnSite(t)
	id, walking := c.Done("1A"), c.Prepared("1B")
	nobody := c.H
	nobody.By = " "
	c.Refused(acts.Correct(nobody, id, logbook.ItemBatch, "W-2", "why"), logbook.ErrRule, "needs a name")
	c.Refused(acts.Correct(c.H, id, logbook.ItemBatch, "W-2", " "), logbook.ErrRule, "needs a reason")
	c.Refused(acts.Correct(c.H, id, logbook.ItemBatch, "", "why"), logbook.ErrRule, "nothing was given")
	c.Refused(acts.Correct(c.H, id, logbook.ItemBatch, " W-1 ", "why"), logbook.ErrRule, "already")
	c.Refused(acts.Correct(c.H, id, "colour", "red", "why"), logbook.ErrRule, "no value of KM-0001")
	c.Refused(acts.Correct(c.H, id, logbook.FieldJoint, "1B", "why"), logbook.ErrRule, "no value of KM-0001")
	c.Refused(acts.Correct(c.H, id, "started", "2026-03-09 08:00", "why"), logbook.ErrRule, "no value") // a stamp of the clock
	c.Refused(acts.Correct(c.H, id, "clamped", "well", "why"), logbook.ErrRule, `clamped: "well" is not known: write done or could not`)
	c.Refused(acts.Correct(c.H, id, "indicators after fusion (look 1)", "up, upper", "why"), logbook.ErrRule, `"upper"`)
	c.Refused(acts.Correct(c.H, id, "seconds run", "4o", "why"), logbook.ErrRule, "whole number")
	c.Refused(acts.Correct(c.H, id, "volts set", "-39", "why"), logbook.ErrRule, "from 0 to 400")
	c.Refused(acts.Correct(c.H, id, logbook.FieldAmbient, "warm", "why"), logbook.ErrRule, "warm")
	c.Refused(acts.Correct(c.H, "KM-0099", logbook.ItemBatch, "W", "why"), logbook.ErrUnknown, "KM-0099")
	c.Refused(acts.Correct(c.H, walking, logbook.FieldAmbient, "12", "why"), logbook.ErrRule, "walk of KM-0002 is open")
	c.Refused(acts.Correct(c.H, walking, logbook.ItemFitting, "cap 40", "why"), logbook.ErrRule, "walk of KM-0002 is open")
	c.Do(acts.Correct(c.H, walking, logbook.ItemBatch, "W-3", "misread"))
	if got := c.Weld(walking).Batch(); got != "W-3" {
		t.Errorf("batch %q", got)
	}
}

func TestCorrectAStatedTime(t *testing.T) {
	c := crew.OnSite(t)
	c.Wait(time.Hour)
	c.Do(acts.EnterLater(c.H, c.LateWeld(func(l *acts.LateWeld) { l.Joint = "1A" })))
	c.Do(acts.Correct(c.H, "KM-0001", "started", "2026-03-09 08:02", "the other note"))
	w := c.Weld("KM-0001")
	if at, _ := w.FusedAt(); at.Format("15:04 -0700") != "08:02 +0100" {
		t.Errorf("fused at %v", at)
	}
	c.Refused(acts.Correct(c.H, "KM-0001", "ended", "noon", "why"), logbook.ErrRule, "2026-03-09 14:05")
}

// Logged at one joint, made at another: both show it.
func TestMoveWeld(t *testing.T) {
	c := crew.OnSite(t)
	id := c.Done("1A")
	c.Do(acts.MoveWeld(c.H, id, "1B", "the label was read wrong", false))
	from, to, w := c.Joint("1A"), c.Joint("1B"), c.Weld(id)
	if from.Stands != "" || len(from.Welds) != 0 || to.Stands != id || !slices.Equal(to.Welds, []string{id}) || w.Joint != "1B" {
		t.Errorf("1A %+v\n1B %+v\nweld at %s", from, to, w.Joint)
	}
	for _, j := range []logbook.Joint{from, to} {
		if len(j.Moves) != 1 || j.Moves[0].From != "1A" || j.Moves[0].To != "1B" || j.Moves[0].By != crew.Ada {
			t.Errorf("%s shows %+v", j.Label, j.Moves)
		}
	}
	c.Refused(acts.MoveWeld(c.H, id, "1B", "why", false), logbook.ErrRule, "recorded at 1B already")
	c.Refused(acts.MoveWeld(c.H, id, "9Z", "why", false), logbook.ErrUnknown, "9Z")
	c.Refused(acts.MoveWeld(c.H, id, "1A", "", false), logbook.ErrRule, "reason")
	c.Do(acts.Cut(c.H, id, "why"), acts.MoveWeld(c.H, id, "2A", "why", false))
	if j := c.Joint("2A"); j.Stands != "" || !slices.Equal(j.Welds, []string{id}) {
		t.Errorf("a weld that was cut out stands in 2A: %+v", j)
	}
	if j := c.Joint("1B"); j.Stands != "" || len(j.Welds) != 0 {
		t.Errorf("1B still has %+v", j)
	}
}

// Two welds taken for each other are put right in one act.
func TestSwapWelds(t *testing.T) {
	c := crew.OnSite(t)
	a, b := c.Done("1A"), c.Done("1B")
	c.Refused(acts.MoveWeld(c.H, a, "1B", "why", false), logbook.ErrRule, b+" stands in 1B")
	c.Do(acts.MoveWeld(c.H, a, "1B", "labels swapped", true))
	if c.Joint("1A").Stands != b || c.Joint("1B").Stands != a || c.Weld(a).Joint != "1B" || c.Weld(b).Joint != "1A" {
		t.Errorf("1A has %s, 1B has %s", c.Joint("1A").Stands, c.Joint("1B").Stands)
	}
	walk := c.Begin("2A")
	c.Refused(acts.MoveWeld(c.H, a, "2A", "why", true), logbook.ErrRule, "walk open: "+walk)
	c.Refused(acts.MoveWeld(c.H, walk, "2B", "why", true), logbook.ErrRule, "walk of "+walk)
}

func TestOrders(t *testing.T) {
	c := crew.OnSite(t)
	id := c.Done("1A")
	nobody := c.H
	nobody.By = ""
	c.Refused(acts.OrderCut(nobody, id, "why"), logbook.ErrRule, "needs a name")
	c.Refused(acts.AskRecheck(c.H, id, ""), logbook.ErrRule, "needs a reason")
	c.Do(acts.AskRecheck(c.H, id, "part up?"), acts.OrderCut(c.H, id, "flat"), acts.NoteOn(c.H, id, "seen"))
	w := c.Weld(id)
	if w.Recheck.Why != "part up?" || w.CutOrdered.By != crew.Ada || w.CutOrdered.Seq <= w.Recheck.Seq || w.Notes[0].Text != "seen" || !w.Stands() {
		t.Errorf("%+v %+v %+v", w.Recheck, w.CutOrdered, w.Notes)
	}
	c.Do(acts.Cut(c.H, id, "as ordered"))
	c.Refused(acts.OrderCut(c.H, id, "why"), logbook.ErrRule, "does not stand")
	var lines []string
	for _, l := range c.Weld(id).Trail {
		lines = append(lines, logbook.TraceOf(l).Line)
	}
	if all := strings.Join(lines, "\n"); !strings.Contains(all, "cut-out ordered: flat\nnote: seen\ncut out: as ordered") {
		t.Errorf("its trail is\n%s", all)
	}
}

func TestSiteIsSignedOff(t *testing.T) {
	c := crew.OnSite(t)
	id := c.Done("1A")
	names := []string{}
	for _, s := range ahead.Sections(c.Book, c.H.Site) {
		names = append(names, s.Name)
	}
	if !slices.Equal(names, []string{"chamber A", "run A/1"}) {
		t.Fatalf("sections %q", names)
	}
	c.Refused(acts.Happen(c.H, "", logbook.Happened{What: "flooded", On: "2026-03-09", Text: "wet"}), logbook.ErrRule, "pressure lost")
	c.Refused(acts.Happen(c.H, "9Z", logbook.Happened{What: logbook.DugUp, On: "2026-03-09", Text: "wet"}), logbook.ErrUnknown, "9Z")
	c.Refused(acts.Enclose(c.H, "KM-0099", "", logbook.Enclosed{File: "f"}), logbook.ErrUnknown, "KM-0099")
	c.Do(
		crew.CoverSection(c.H, "run A/1", []string{"E1"}), crew.CoverSection(c.H, "run A/1", nil),
		crew.SignDay(c.H, logbook.DaySigned{Day: "2026-03-09", Acks: []logbook.Judged{{Key: "k", Digest: "f"}}, Open: 2}),
		acts.Enclose(c.H, id, "", logbook.Enclosed{File: "photo.jpg", Hash: "aa", Bytes: 3, What: "photo"}),
		acts.Enclose(c.H, "", "", logbook.Enclosed{File: "cert.pdf", Hash: "bb", Bytes: 3, What: "certificate"}),
		acts.Happen(c.H, "E1", logbook.Happened{What: logbook.PressureLost, On: "2026-03-09", Circuit: 1, Text: "0.4 bar overnight"}),
		crew.ReviewAt(c.H, "E1", logbook.Reviewed{Judged: logbook.Judged{Key: "missing-weld:E1"}, Accepted: true, Why: "why"}), crew.ReviewAt(c.H, "", logbook.Reviewed{Judged: logbook.Judged{Key: "shift-open:x"}, Accepted: true, Why: "why"}),
	)
	c.Refused(acts.Enclose(c.H, id, "", logbook.Enclosed{File: "photo2.jpg", Hash: "aa"}), logbook.ErrExists, "photo2.jpg")
	s := c.Site()
	cover, _ := s.CoverOf("run A/1")
	signed, ok := s.SignatureOf("2026-03-09")
	if len(s.Covers) != 2 || len(cover.Missing) != 0 || !ok || signed.By != crew.Ada || signed.Open != 2 {
		t.Errorf("covers %+v, signed %+v", s.Covers, signed)
	}
	if len(s.Enclosed) != 2 || s.Enclosed[0].Weld != id || s.Events[0].Joint != "E1" || len(s.Reviews) != 1 || len(c.Joint("E1").Reviews) != 1 {
		t.Errorf("%+v\n%+v\n%+v", s.Enclosed, s.Events, s.Reviews)
	}
	if ahead.SectionOf(c.Joint("E1")) != "run A/1" || ahead.SectionOf(c.Joint("1A")) != "chamber A" {
		t.Error("a joint is not in its section")
	}
}

// A time that is stated for what has happened lies behind: no correction puts it ahead.
func TestNoCorrectionPutsATimeAhead(t *testing.T) {
	c := crew.OnSite(t)
	id := c.Late(func(l *acts.LateWeld) { l.Released = l.Ended.Add(time.Minute) })
	ahead := c.H.At.Local().Add(2 * time.Minute).Format("2006-01-02 15:04")
	for _, field := range []string{logbook.FieldStarted, logbook.FieldEnded, logbook.FieldReleased} {
		c.Refused(acts.Correct(c.H, id, field, ahead, "misread"), logbook.ErrRule, ahead+" is still to come: it is "+c.H.At.Local().Format("2006-01-02 15:04"))
	}
	c.Do(acts.Correct(c.H, id, logbook.FieldStarted, c.H.At.Local().Format("2006-01-02 15:04"), "misread"))
}
