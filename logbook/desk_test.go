package logbook

import (
	"encoding/json"
	"errors"
	"reflect"
	"slices"
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"

	"coolhold/fusion"
)

// done is a whole weld, looked at and released.
func (c *crew) done(label string) string {
	c.t.Helper()
	id := c.fused(label)
	c.do(ReadRun(c.h, id, ptr(40)))
	hot := Look{When: LookHot, Indicators: []string{Up, Flat}, Melt: "none", Wire: "seen", Marks: "inplace", Straight: "yes", How: Typed}
	c.do(ReadLook(c.h, id, hot))
	c.wait(time.Hour)
	c.do(Release(c.h, id, look(LookRelease), fusion.Stamp{}))
	return id
}

func TestCorrect(t *testing.T) {
	tests := []struct {
		field, value, old, want string
	}{
		{ItemBatch, "W-77", "W-1", "W-77"},
		{"operator", "Bo Invented", ada, "Bo Invented"},
		{"control unit", "CU-9", unit, "CU-9"},
		{ItemMethod, "Hand  tool", RotaryTool, HandTool},
		{"clamped", "could not", Done, CouldNot},
		{"no water", CouldNot, Done, CouldNot},
		{"cut_square", CouldNot, Done, CouldNot},
		{ItemPort, "3", "1", "3"},
		{FieldAmbient, "12,5", "9", "12.5"},
		{"seconds set", "44", "40", "44"},
		{"volts set", "40", "39.5", "40"},
		{"time from", "read from a code", string(ModeKeyed), string(ModeCode)},
		{"ohms", "2,5", "2.4", "2.5"},
		{"outcome", "STOPPED", string(Completed), string(Stopped)},
		{"stopped at", "17", "", "17"},
		{"seconds run", "39", "40", "39"},
		{"indicators after fusion (look 1)", "up / Up", "up,flat", "up,up"},
		{"melt after fusion (look 1)", "outside", "none", "outside"},
		{"wire after fusion (look 1)", "none seen", "seen", "none"},
		{"felt.release.2", "still warm", "firm", "warm"},
	}
	for _, tt := range tests {
		t.Run(tt.field, func(t *testing.T) {
			c := onSite(t)
			id := c.done("1A")
			was := c.weld(id)
			c.do(Correct(c.h, id, tt.field, tt.value, "misread"))
			w := c.weld(id)
			f, ok := FieldOf(w, tt.field)
			if !ok || f.Get(w) != tt.want {
				t.Errorf("reads %q, want %q", f.Get(w), tt.want)
			}
			if got := last[Correction](c); got.Field != f.Key || got.Old != tt.old || got.New != tt.want || got.Why != "misread" {
				t.Errorf("stored %+v", got)
			}
			if n := w.Corrections[0]; n.By != ada || n.Seq != c.entries[len(c.entries)-1].Seq || n.Old != tt.old {
				t.Errorf("kept as %+v", n)
			}
			all := w.AsRecorded()
			if len(all) != 2 || !reflect.DeepEqual(bare(all[1]), bare(was)) {
				t.Errorf("as recorded\n%+v\nwant\n%+v", bare(all[1]), bare(was))
			}
		})
	}
}

// bare is a weld without what only tells of it.
func bare(w Weld) string {
	w.Trail, w.Corrections = nil, nil
	for item, a := range w.Answers {
		if a.V == "" {
			delete(w.Answers, item)
		}
	}
	line, _ := json.Marshal(w)
	return string(line)
}

// Another temperature or another fitting is another band or row: what the
// table says follows, what the unit showed stays.
func TestCorrectFollowsTheTable(t *testing.T) {
	c := onSite(t)
	id := c.done("1A")
	c.do(Correct(c.h, id, FieldAmbient, "3", "read off the wrong probe"))
	if s := c.weld(id).Settings; s.SecondsTable != 44 || s.SecondsShown != 40 || s.Band.Low != -5 || s.Unlike() == "" {
		t.Errorf("at 3 °C: %+v", s)
	}
	c.do(Correct(c.h, id, FieldAmbient, "40", "again"))
	if s := c.weld(id).Settings; s.Band != nil || s.SecondsShown != 40 || s.VoltsTable != 39.5 {
		t.Errorf("outside the bands: %+v", s)
	}
	c.do(Correct(c.h, id, FieldAmbient, "9", "again"), Correct(c.h, id, ItemFitting, "cap 40", "wrong row"))
	w := c.weld(id)
	if s := w.Settings; s.SecondsTable != 40 || s.PressureWaitMin != nil || w.Ohms.High != 0 || *w.Ohms.Ohms != 2.4 {
		t.Errorf("another row: %+v, %+v", s, w.Ohms)
	}
	c.do(Correct(c.h, id, ItemFitting, "odd one", "from no table"))
	if s := c.weld(id).Settings; s.Table != "" || s.Band != nil || s.SecondsShown != 40 {
		t.Errorf("no row: %+v", s)
	}
	if first := c.weld(id).AsRecorded(); first[len(first)-1].Settings.SecondsTable != 40 || *first[len(first)-1].Settings.PressureWaitMin != 20 {
		t.Errorf("as recorded: %+v", first[len(first)-1].Settings)
	}
}

func TestCorrectRefuses(t *testing.T) {
	c := onSite(t)
	id, walking := c.done("1A"), c.prepared("1B")
	nobody := c.h
	nobody.By = " "
	c.refused(Correct(nobody, id, ItemBatch, "W-2", "why"), ErrRule, "needs a name")
	c.refused(Correct(c.h, id, ItemBatch, "W-2", " "), ErrRule, "needs a reason")
	c.refused(Correct(c.h, id, ItemBatch, "", "why"), ErrRule, "nothing was given")
	c.refused(Correct(c.h, id, ItemBatch, " W-1 ", "why"), ErrRule, "already")
	c.refused(Correct(c.h, id, "colour", "red", "why"), ErrRule, "no value of KM-0001")
	c.refused(Correct(c.h, id, FieldJoint, "1B", "why"), ErrRule, "no value of KM-0001")
	c.refused(Correct(c.h, id, "started", "2026-03-09 08:00", "why"), ErrRule, "no value") // a stamp of the clock
	c.refused(Correct(c.h, id, "clamped", "well", "why"), ErrRule, `clamped: "well" is not known: write done or could not`)
	c.refused(Correct(c.h, id, "indicators after fusion (look 1)", "up, upper", "why"), ErrRule, `"upper"`)
	c.refused(Correct(c.h, id, "seconds run", "4o", "why"), ErrRule, "whole number")
	c.refused(Correct(c.h, id, "volts set", "-39", "why"), ErrRule, "above 0")
	c.refused(Correct(c.h, id, FieldAmbient, "warm", "why"), ErrRule, "warm")
	c.refused(Correct(c.h, "KM-0099", ItemBatch, "W", "why"), ErrUnknown, "KM-0099")
	c.refused(Correct(c.h, walking, FieldAmbient, "12", "why"), ErrRule, "walk of KM-0002 is open")
	c.refused(Correct(c.h, walking, ItemFitting, "cap 40", "why"), ErrRule, "walk of KM-0002 is open")
	c.do(Correct(c.h, walking, ItemBatch, "W-3", "misread"))
	if got := c.weld(walking).Batch(); got != "W-3" {
		t.Errorf("batch %q", got)
	}
}

func TestCorrectAStatedTime(t *testing.T) {
	c := onSite(t)
	c.wait(time.Hour)
	c.do(EnterLater(c.h, c.lateWeld(func(l *LateWeld) { l.Joint = "1A" })))
	c.do(Correct(c.h, "KM-0001", "started", "2026-03-09 08:02", "the other note"))
	w := c.weld("KM-0001")
	if at, _ := w.FusedAt(); at.Format("15:04 -0700") != "08:02 +0100" {
		t.Errorf("fused at %v", at)
	}
	c.refused(Correct(c.h, "KM-0001", "ended", "noon", "why"), ErrRule, "2026-03-09 14:05")
}

// Logged at one joint, made at another: both show it.
func TestMoveWeld(t *testing.T) {
	c := onSite(t)
	id := c.done("1A")
	c.do(MoveWeld(c.h, id, "1B", "the label was read wrong", false))
	from, to, w := c.joint("1A"), c.joint("1B"), c.weld(id)
	if from.Stands != "" || len(from.Welds) != 0 || to.Stands != id || !slices.Equal(to.Welds, []string{id}) || w.Joint != "1B" {
		t.Errorf("1A %+v\n1B %+v\nweld at %s", from, to, w.Joint)
	}
	for _, j := range []Joint{from, to} {
		if len(j.Moves) != 1 || j.Moves[0].From != "1A" || j.Moves[0].To != "1B" || j.Moves[0].By != ada {
			t.Errorf("%s shows %+v", j.Label, j.Moves)
		}
	}
	c.refused(MoveWeld(c.h, id, "1B", "why", false), ErrRule, "recorded at 1B already")
	c.refused(MoveWeld(c.h, id, "9Z", "why", false), ErrUnknown, "9Z")
	c.refused(MoveWeld(c.h, id, "1A", "", false), ErrRule, "reason")
	c.do(Cut(c.h, id, "why"), MoveWeld(c.h, id, "2A", "why", false))
	if j := c.joint("2A"); j.Stands != "" || !slices.Equal(j.Welds, []string{id}) {
		t.Errorf("a weld that was cut out stands in 2A: %+v", j)
	}
	if j := c.joint("1B"); j.Stands != "" || len(j.Welds) != 0 {
		t.Errorf("1B still has %+v", j)
	}
}

// Two welds taken for each other are put right in one act.
func TestSwapWelds(t *testing.T) {
	c := onSite(t)
	a, b := c.done("1A"), c.done("1B")
	c.refused(MoveWeld(c.h, a, "1B", "why", false), ErrRule, b+" stands in 1B")
	c.do(MoveWeld(c.h, a, "1B", "labels swapped", true))
	if c.joint("1A").Stands != b || c.joint("1B").Stands != a || c.weld(a).Joint != "1B" || c.weld(b).Joint != "1A" {
		t.Errorf("1A has %s, 1B has %s", c.joint("1A").Stands, c.joint("1B").Stands)
	}
	walk := c.begin("2A")
	c.refused(MoveWeld(c.h, a, "2A", "why", true), ErrRule, "walk open: "+walk)
	c.refused(MoveWeld(c.h, walk, "2B", "why", true), ErrRule, "walk of "+walk)
}

func TestOrders(t *testing.T) {
	c := onSite(t)
	id := c.done("1A")
	nobody := c.h
	nobody.By = ""
	c.refused(OrderCut(nobody, id, "why"), ErrRule, "needs a name")
	c.refused(AskRecheck(c.h, id, ""), ErrRule, "needs a reason")
	c.do(AskRecheck(c.h, id, "part up?"), OrderCut(c.h, id, "flat"), NoteOn(c.h, id, "seen"))
	w := c.weld(id)
	if w.Recheck.Why != "part up?" || w.CutOrdered.By != ada || w.CutOrdered.Seq <= w.Recheck.Seq || w.Notes[0].Text != "seen" || !w.Stands() {
		t.Errorf("%+v %+v %+v", w.Recheck, w.CutOrdered, w.Notes)
	}
	c.do(Cut(c.h, id, "as ordered"))
	c.refused(OrderCut(c.h, id, "why"), ErrRule, "does not stand")
	var lines []string
	for _, l := range c.weld(id).Trail {
		lines = append(lines, TraceOf(l).Line)
	}
	if all := strings.Join(lines, "\n"); !strings.Contains(all, "cut-out ordered: flat\nnote: seen\ncut out: as ordered") {
		t.Errorf("its trail is\n%s", all)
	}
}

func TestSiteIsSignedOff(t *testing.T) {
	c := onSite(t)
	id := c.done("1A")
	names := []string{}
	for _, s := range Sections(c.book, c.h.Site) {
		names = append(names, s.Name)
	}
	if !slices.Equal(names, []string{"chamber A", "run A/1"}) {
		t.Fatalf("sections %q", names)
	}
	c.refused(Happen(c.h, "", Happened{What: "flooded", On: "2026-03-09", Text: "wet"}), ErrRule, "pressure lost")
	c.refused(Happen(c.h, "9Z", Happened{What: DugUp, On: "2026-03-09", Text: "wet"}), ErrUnknown, "9Z")
	c.refused(Enclose(c.h, "KM-0099", "", Enclosed{File: "f"}), ErrUnknown, "KM-0099")
	c.do(
		CoverPart(c.h, "run A/1", []string{"E1"}), CoverPart(c.h, "run A/1", nil),
		SignDay(c.h, DaySigned{Day: "2026-03-09", Acks: []Judged{{Key: "k", Digest: "f"}}, Open: 2}),
		Enclose(c.h, id, "", Enclosed{File: "photo.jpg", Hash: "aa", Bytes: 3, What: "photo"}),
		Enclose(c.h, "", "", Enclosed{File: "cert.pdf", Hash: "bb", Bytes: 3, What: "certificate"}),
		Happen(c.h, "E1", Happened{What: PressureLost, On: "2026-03-09", Circuit: 1, Text: "0.4 bar overnight"}),
		AcceptAt(c.h, "E1", Reviewed{Judged{Key: "missing-weld:E1"}, true, "why"}), AcceptAt(c.h, "", Reviewed{Judged{Key: "shift-open:x"}, true, "why"}),
	)
	c.refused(Enclose(c.h, id, "", Enclosed{File: "photo2.jpg", Hash: "aa"}), ErrExists, "photo2.jpg")
	s := c.site()
	cover, _ := s.CoverOf("run A/1")
	signed, ok := s.SignatureOf("2026-03-09")
	if len(s.Covers) != 2 || len(cover.Missing) != 0 || !ok || signed.By != ada || signed.Open != 2 {
		t.Errorf("covers %+v, signed %+v", s.Covers, signed)
	}
	if len(s.Enclosed) != 2 || s.Enclosed[0].Weld != id || s.Events[0].Joint != "E1" || len(s.Reviews) != 1 || len(c.joint("E1").Reviews) != 1 {
		t.Errorf("%+v\n%+v\n%+v", s.Enclosed, s.Events, s.Reviews)
	}
	if SectionOf(c.joint("E1")) != "run A/1" || SectionOf(c.joint("1A")) != "chamber A" {
		t.Error("a joint is not in its section")
	}
}

// Whatever is corrected, in whatever order: what was recorded first is found
// again.
func TestAsRecordedIsTheFirstRecord(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		c := onSite(t)
		id := c.done("1A")
		if rapid.Bool().Draw(rt, "disturbed") {
			c.do(Disturb(c.h, id, 3, "digger"))
		}
		was := bare(c.weld(id))
		values := []string{"up", "up, part", Done, CouldNot, "12", "3", "40", "44", "W-9", "stopped", "completed", "code", "cap 40", "coupler 40", No, "2B", "E1"}
		for range rapid.IntRange(1, 12).Draw(rt, "corrections") {
			f := rapid.SampledFrom(Fields(c.weld(id))).Draw(rt, "field")
			v := rapid.SampledFrom(append(values, optionsOf(f)...)).Draw(rt, "value")
			act := Correct(c.h, id, f.Key, v, "why")
			if f.Key == FieldJoint {
				act = MoveWeld(c.h, id, v, "why", true)
			}
			if err := c.try(act); err != nil && !errors.Is(err, ErrRule) && !errors.Is(err, ErrUnknown) {
				rt.Fatal(err)
			}
		}
		all := c.weld(id).AsRecorded()
		if got := bare(all[len(all)-1]); got != was {
			rt.Fatalf("first recorded\n%s\nfound\n%s", was, got)
		}
		if len(all) != len(c.weld(id).Corrections)+1 {
			rt.Fatalf("%d states of %d corrections", len(all), len(c.weld(id).Corrections))
		}
	})
}

// optionsOf are the words and codes that can be written for a value.
func optionsOf(a Field) []string {
	if a.Options == nil {
		return nil
	}
	return append(a.Options.Words(), a.Options.Codes()...)
}

func TestMerge(t *testing.T) {
	one, two := onSite(t), onSite(t)
	two.book = NewBook("QT", 1)
	two.entries, two.h.Shift = nil, ""
	two.h.At = morning.Add(time.Minute)
	two.do(OpenSite(two.h, File{"plan.toml", planText}, []File{{"table.toml", tableText}}), ReadBack(two.h, Hash(tableText)))
	two.startShift("2026-03-09")
	a := one.done("1A")
	two.wait(5 * time.Minute)
	b := two.done("1B")
	logs := []LogCopy{{"one", "id1", "KM", one.entries}, {"old copy", "id1", "KM", one.entries[:12]}, {"two", "id2", "QT", two.entries}}
	all, err := Merge(logs)
	if err != nil || len(all) != len(one.entries)+len(two.entries) {
		t.Fatalf("%d entries of %d and %d: %v", len(all), len(one.entries), len(two.entries), err)
	}
	book := Fold("KM", all)
	site := one.h.Site
	if ja, _ := book.Joint(site, "1A"); ja.Stands != a {
		t.Errorf("1A has %q", ja.Stands)
	}
	if jb, _ := book.Joint(site, "1B"); jb.Stands != b || b != "QT-0001" {
		t.Errorf("1B has %q", jb.Stands)
	}
	w, _ := book.Weld(site, b)
	sh, ok := book.Shift(site, w.Shift)
	if !ok || sh.ID != "2026-03-09 QT" || len(book.Joints(site)) != 6 {
		t.Errorf("shift %q of %+v", w.Shift, sh)
	}
	s, _ := book.Site(site)
	if row, err := ShelfOf(s).Row("coupler 40"); err != nil || row.Fitting.Seconds[1] != 40 {
		t.Errorf("its tables: %v", err)
	}
	for i := 1; i < len(all); i++ {
		if all[i].Seq != all[i-1].Seq+1 || all[i].At.Wall.Before(all[i-1].At.Wall) {
			t.Fatalf("entry %d is out of order", i)
		}
	}
}

func TestMergeRefuses(t *testing.T) {
	c := onSite(t)
	forked := slices.Clone(c.entries)
	forked[3].Body = json.RawMessage(`{"why":"another"}`)
	if _, err := Merge([]LogCopy{{"a", "id", "KM", c.entries}, {"b", "id", "KM", forked}}); !errors.Is(err, ErrForked) || !strings.Contains(err.Error(), "entry 4") {
		t.Errorf("forked: %v", err)
	}
	if _, err := Merge([]LogCopy{{"a", "id", "KM", c.entries}, {"b", "other", "KM", c.entries}}); !errors.Is(err, ErrRule) || !strings.Contains(err.Error(), "tag KM") {
		t.Errorf("one tag: %v", err)
	}
	if got, err := Merge([]LogCopy{{"a", "id", "KM", c.entries}}); err != nil || len(got) != len(c.entries) {
		t.Errorf("one log: %v", err)
	}
	if got, err := Merge(nil); err != nil || got != nil {
		t.Errorf("none: %v %v", got, err)
	}
}
