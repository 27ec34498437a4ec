package store

import (
	"errors"
	"flag"
	"fmt"
	"path/filepath"
	"reflect"
	"testing"
	"time"

	"pgregory.net/rapid"

	"coolhold/fusion"
	"coolhold/logbook"
	"coolhold/logbook/plan"
	"coolhold/logbook/store/soaktest"
)

// drawDraft draws an entry that may make sense or not: the store does not
// judge, and its records must be those of the plain fold either way.
func drawDraft(t *rapid.T) logbook.Draft {
	pick := func(name string, from ...string) string { return rapid.SampledFrom(from).Draw(t, name) }
	label := pick("joint", "", "C1A", "C1B", "C2A")
	bodies := []logbook.Body{
		logbook.SiteOpened{Name: pick("name", "Meadow", "Hill & <dale>", "\xff\x00"), UID: pick("uid", "", "00000000000000a1", "0000000000000002", "none")},
		logbook.JointAdded{Joint: plan.Joint{Label: label}, Why: "invented"},
		logbook.JointStruck{Why: "invented"}, logbook.JointSplit{Into: []string{"C1A-1", "C1A-2"}},
		logbook.ShiftStarted{Day: "2026-03-09"}, logbook.ShiftClosed{},
		logbook.WeldBegun{Operator: "Ada Invented"}, logbook.WalkAbandoned{Why: "rain"},
		logbook.StepAnswered{Step: logbook.StepPrep, Answers: []logbook.Answer{{Item: "scraped", V: logbook.Done}}},
		logbook.FusionStarted{AgoS: rapid.SampledFrom([]int{0, 90000}).Draw(t, "ago")}, // also over midnight
		logbook.FusionEnded{Outcome: logbook.Completed}, logbook.Released{}, logbook.Disturbed{}, logbook.CutOut{Why: "invented"},
		logbook.AmbientRead{C: 1250}, logbook.WalkLeft{}, logbook.WalkResumed{}, logbook.Note{Text: pick("text", "n", "\n", "\t", "\u2028")},
		logbook.TableTaken{Hash: "0123", Text: "an invented table"}, logbook.TableReadBack{Hash: "0123"},
		logbook.Correction{Field: pick("field", logbook.FieldDisturbed, "joint", "unit"), Old: "C1A", New: "C1B"},
	}
	return logbook.Draft{
		At: stamp(rapid.IntRange(0, 90000).Draw(t, "time")), By: pick("by", "", "Ada Invented", "\xfe"),
		Site: pick("site", "", "meadow", "meadow", "hill", "dale\xff", "never opened"), Joint: label,
		Weld: pick("weld", "", "KM-9999", "KM-10000"), Shift: pick("shift", "", "s1", "s2"),
		Body: rapid.SampledFrom(append(bodies, bodies[0], bodies[0], bodies[6], bodies[9], bodies[9])).Draw(t, "body"), // opened, begun and fused oftener
	}
}

// A machine is a log in several hands, beside the plain model of it.
type machine struct {
	t       *testing.T
	hands   []*Log // of one file: what one writes the others must see
	entries []logbook.Entry
	book    *logbook.Book
	saves   int
	flooded bool
	last    []logbook.Draft
}

func (m *machine) hand(t *rapid.T) *Log { return rapid.SampledFrom(m.hands).Draw(t, "hand") }

// Save stores some entries, all with what the model would say.
func (m *machine) Save(t *rapid.T) {
	m.saves++
	one := rapid.Bool().Draw(t, "one id")
	m.last = nil
	for range rapid.IntRange(1, 4).Draw(t, "drafts") {
		d := drawDraft(t)
		d.ID = fmt.Sprintf("save %d", m.saves)
		if !one {
			d.ID += " " + d.Site
		}
		m.last = append(m.last, d)
	}
	got, err := m.hand(t).Append(bg, func(r logbook.Reader) ([]logbook.Draft, error) {
		m.compare(t, r)
		return m.last, nil
	})
	if err != nil || len(got) != len(m.last) {
		t.Fatalf("saved %d of %d: %v", len(got), len(m.last), err)
	}
	m.keep(t, got)
}

// keep takes what was stored into the model: what belongs to no site that was
// opened is in no record.
func (m *machine) keep(t *rapid.T, got []logbook.Entry) {
	pos := map[string]int{}
	for i, e := range got {
		d := m.last[i]
		if want := fmt.Sprintf("%s.%d", d.ID, pos[d.ID]); e.Seq != uint64(len(m.entries)+1) || (e.ID != want && d.Site != "dale\xff") {
			t.Fatalf("stored as entry %d %q, want %d %q", e.Seq, e.ID, len(m.entries)+1, want)
		}
		pos[d.ID]++
		m.entries = append(m.entries, e)
		if e.N > 0 {
			m.book.Add(e)
		}
		m.book.StartAt(map[string]int{"KM-9999": 10000, "KM-10000": 10001}[e.Weld])
	}
}

// Again repeats the last save by its ids, in any hand.
func (m *machine) Again(t *rapid.T) {
	if m.last == nil {
		t.Skip("nothing was saved yet")
	}
	got, err := m.hand(t).Append(bg, these(m.last...))
	if want := m.entries[len(m.entries)-len(m.last):]; err != nil || !reflect.DeepEqual(got, want) {
		t.Fatalf("repeated as %+v, %v; want %+v", got, err, want)
	}
}

// Flood writes more than is folded under the exclusive lock, once.
func (m *machine) Flood(t *rapid.T) {
	if m.flooded || rapid.IntRange(0, 3).Draw(t, "flood") > 0 {
		t.Skip("a step that takes its time")
	}
	m.flooded = true
	m.saves++
	site := rapid.SampledFrom([]string{"meadow", "hill"}).Draw(t, "site")
	m.last = nil
	for range mostUnderLock + 1 {
		m.last = append(m.last, logbook.Draft{ID: fmt.Sprintf("save %d", m.saves), At: stamp(m.saves), Site: site, Body: logbook.Note{Text: "n"}})
	}
	got, err := m.hand(t).Append(bg, these(m.last...))
	if err != nil {
		t.Fatal(err)
	}
	m.keep(t, got)
	m.last = nil // too far back to be found
}

// Refuse decides against it.
func (m *machine) Refuse(t *rapid.T) {
	no := errors.New("no")
	if _, err := m.hand(t).Append(bg, func(logbook.Reader) ([]logbook.Draft, error) { return nil, no }); err != no {
		t.Fatalf("refused with %v", err)
	}
}

// Reopen opens the log again in one of the hands.
func (m *machine) Reopen(t *rapid.T) {
	l, err := Open(m.hands[0].path)
	if err != nil {
		t.Fatal(err)
	}
	m.hands[rapid.IntRange(0, len(m.hands)-1).Draw(t, "which")] = l
}

// View compares the log with the model.
func (m *machine) View(t *rapid.T) {
	if err := m.hand(t).View(bg, func(r logbook.Reader) error { m.compare(t, r); return nil }); err != nil {
		t.Fatal(err)
	}
}

// Book takes the book of one site: that is whole, the others are listed.
func (m *machine) Book(t *rapid.T) {
	site := rapid.SampledFrom([]string{"", "meadow", "hill", "never opened"}).Draw(t, "site")
	book, err := m.hand(t).Book(bg, site)
	if err != nil {
		t.Fatal(err)
	}
	want, got := m.book.Sites(), book.Sites()
	if len(got) != len(want) || book.NextWeld() != m.book.NextWeld() {
		t.Fatalf("%d sites, next %d; want %d, next %d", len(got), book.NextWeld(), len(want), m.book.NextWeld())
	}
	if site == "" && len(want) > 0 {
		site = want[len(want)-1].ID
	}
	for i, s := range got {
		if s.ID != want[i].ID || s.LastAt != want[i].LastAt || s.OpenedAt.IsZero() || s.Name == "" {
			t.Fatalf("site %d is listed as %+v, should be %+v", i, s, want[i])
		}
	}
	if g, w := dumpSite(m.t, book, site), dumpSite(m.t, m.book, site); g != w {
		t.Fatalf("the book of %q shows\n%s\nthe model\n%s", site, g, w)
	}
}

// ReadSites reads each site by itself.
func (m *machine) ReadSites(t *rapid.T) {
	for _, s := range m.book.Sites() {
		shot, err := ReadSite(bg, m.hands[0].path, s.ID, time.Time{})
		if err != nil || shot.ID != m.hands[0].id || shot.Entries != len(m.entries) || shot.Book.NextWeld() != m.book.NextWeld() {
			t.Fatalf("read %d of %d entries, next %d (%v)", shot.Entries, len(m.entries), shot.Book.NextWeld(), err)
		}
		if g, w := dumpSite(m.t, shot.Book, s.ID), dumpSite(m.t, m.book, s.ID); g != w {
			t.Fatalf("site %q by itself shows\n%s\nthe model\n%s", s.ID, g, w)
		}
	}
}

// ReadSitesAt reads each site by itself as it was at a time: as the entries up to the last
// one that was made by then make it, whatever clocks said before.
func (m *machine) ReadSitesAt(t *rapid.T) {
	at := stamp(rapid.IntRange(-1, 90000).Draw(t, "as of")).Wall
	then := m.entries
	for len(then) > 0 && then[len(then)-1].At.Wall.After(at) {
		then = then[:len(then)-1]
	}
	var last fusion.Stamp
	var sealed uint64
	for _, e := range then {
		if last = e.At; e.Kind == "sealed" {
			sealed = e.Seq
		}
	}
	want := logbook.NewBook("KM", 1)
	for _, e := range then {
		if e.N > 0 { // else it belongs to no site that was opened
			want.Add(e)
		}
	}
	for _, s := range m.book.Sites() {
		shot, err := ReadSite(bg, m.hands[0].path, s.ID, at)
		if err != nil || shot.Entries != len(then) || shot.Last != last || (shot.Sealed != nil) != (sealed > 0) || sealed > 0 && shot.Sealed.Seq != sealed {
			t.Fatalf("read %d of %d entries, the last of %v, sealed by %v; should be %v, %d (%v)", shot.Entries, len(then), shot.Last, shot.Sealed, last, sealed, err)
		}
		if g, w := len(shot.Book.Sites()), len(want.Sites()); g != w {
			t.Fatalf("%d sites were open then, should be %d", g, w)
		}
		if g, w := dumpSite(m.t, shot.Book, s.ID), dumpSite(m.t, want, s.ID); g != w {
			t.Fatalf("site %q as of %v shows\n%s\nthe model\n%s", s.ID, at, g, w)
		}
	}
}

// dumpSite is what a book shows of one site.
func dumpSite(t testing.TB, book *logbook.Book, site string) string {
	one := logbook.NewBook("KM", 1)
	one.Adopt(book, site)
	return dump(t, one)
}

func (m *machine) compare(t *rapid.T, r logbook.Reader) {
	if got, want := dump(m.t, r), dump(m.t, m.book); got != want {
		t.Fatalf("the log shows\n%s\nthe model\n%s", got, want)
	}
	for _, site := range []string{"never opened", "", "hil"} {
		if _, has := m.book.Site(site); has {
			continue // it was opened after all
		}
		if _, ok := r.Site(site); ok || len(r.Welds(site)) > 0 || len(r.Joints(site)) > 0 || r.MayRun(site) != nil {
			t.Fatalf("there are records of %q", site)
		}
	}
}

// fewerDraws has rapid draw 30 times where it would 100 times, but in a soak and where a
// number is given by hand.
func fewerDraws(t *testing.T) {
	t.Helper()
	checks := flag.Lookup("rapid.checks")
	if checks.Value.String() != checks.DefValue || soaktest.Rounds(t, 0, 1, 1) == 1 {
		return
	}
	set := func(n string) {
		if err := checks.Value.Set(n); err != nil {
			t.Fatal(err)
		}
	}
	set("30")
	t.Cleanup(func() { set(checks.DefValue) })
}

func TestAgainstThePlainModel(t *testing.T) {
	fewerDraws(t)
	dir, n := t.TempDir(), 0
	rapid.Check(t, func(rt *rapid.T) {
		n++
		l, err := Create(filepath.Join(dir, fmt.Sprint(n)), NewLog{Tag: "KM"})
		if err != nil {
			rt.Fatal(err)
		}
		m := &machine{t: t, hands: []*Log{l}, book: logbook.NewBook("KM", 1)}
		for range 2 {
			other, err := Open(l.path)
			if err != nil {
				rt.Fatal(err)
			}
			m.hands = append(m.hands, other)
		}
		save := m.Save
		rt.Repeat(map[string]func(*rapid.T){
			"save": save, "save 2": save, "save 3": save, "again": m.Again, "flood": m.Flood, "refuse": m.Refuse,
			"reopen": m.Reopen, "view": m.View, "book": m.Book,
		})
		snap := readAll(t, l.path)
		if len(snap.Entries) != len(m.entries) || (len(m.entries) > 0 && !reflect.DeepEqual(snap.Entries, m.entries)) {
			rt.Fatalf("read back %d entries, %d were saved", len(snap.Entries), len(m.entries))
		}
		for range m.hands {
			m.View(rt)
		}
		m.ReadSites(rt)
		for range 3 {
			m.ReadSitesAt(rt)
		}
		indexed(t, l.path, snap.Entries)
		sound(t, l.path)
		if t.Failed() {
			rt.Fatal("see above")
		}
	})
}
