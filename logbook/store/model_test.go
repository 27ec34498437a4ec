package store

import (
	"errors"
	"fmt"
	"path/filepath"
	"reflect"
	"testing"

	bolt "go.etcd.io/bbolt"
	"pgregory.net/rapid"

	"coolhold/logbook"
	"coolhold/logbook/plan"
)

// drawDraft draws an entry that may make sense or not: the store does not
// judge, and its records must be those of the plain fold either way.
func drawDraft(t *rapid.T, id string) logbook.Draft {
	pick := func(name string, from ...string) string { return rapid.SampledFrom(from).Draw(t, name) }
	label := pick("joint", "", "C1A", "C1B", "C2A")
	bodies := []logbook.Body{
		logbook.SiteOpened{Name: pick("name", "Meadow", "Hill & <dale>", "\xff\x00")},
		logbook.JointAdded{Joint: plan.Joint{Label: label}, Why: "invented"},
		logbook.JointStruck{Why: "invented"}, logbook.JointSplit{Into: []string{"C1A-1", "C1A-2"}},
		logbook.ShiftStarted{Day: "2026-03-09"}, logbook.ShiftClosed{},
		logbook.WeldBegun{Operator: "Ada Invented"}, logbook.WalkAbandoned{Why: "rain"},
		logbook.StepAnswered{Step: logbook.StepPrep, Answers: []logbook.Answer{{Item: "scraped", V: logbook.Done}}},
		logbook.FusionStarted{AgoS: rapid.SampledFrom([]int{0, 90000}).Draw(t, "ago")}, // also over midnight
		logbook.FusionEnded{Outcome: logbook.Completed}, logbook.Released{}, logbook.Disturbed{}, logbook.CutOut{Why: "invented"},
		logbook.AmbientRead{C: 1250}, logbook.WalkLeft{}, logbook.WalkResumed{}, logbook.Note{Text: pick("text", "n", "\n", "\u2028")},
		logbook.TableTaken{Hash: "0123", Text: "an invented table"}, logbook.TableReadBack{Hash: "0123"},
	}
	return logbook.Draft{
		ID: id, At: stamp(rapid.IntRange(0, 90000).Draw(t, "time")), By: pick("by", "", "Ada Invented", "\xfe"),
		Site: pick("site", "", "meadow", "meadow", "hill", "never opened"), Joint: label,
		Weld: pick("weld", "", "KM-9999", "KM-10000"), Shift: pick("shift", "", "s1", "s2"),
		Body: rapid.SampledFrom(append(bodies, bodies[0], bodies[6], bodies[9], bodies[9])).Draw(t, "body"), // begun and fused oftener
	}
}

// A machine is the log beside the plain model of it.
type machine struct {
	t       *testing.T
	l       *Log
	entries []logbook.Entry
	book    *logbook.Book
	saves   int
	last    []logbook.Draft
}

// Save stores some entries, all with what the model would say.
func (m *machine) Save(t *rapid.T) {
	m.saves++
	id := fmt.Sprintf("save %d", m.saves)
	m.last = nil
	for range rapid.IntRange(1, 4).Draw(t, "drafts") {
		m.last = append(m.last, drawDraft(t, id))
	}
	got, err := m.l.Append(bg, func(r logbook.Reader) ([]logbook.Draft, error) {
		m.compare(t, r)
		return m.last, nil
	})
	if err != nil || len(got) != len(m.last) {
		t.Fatalf("saved %d of %d: %v", len(got), len(m.last), err)
	}
	for _, e := range got {
		m.book.Add(e)
	}
	m.entries = append(m.entries, got...)
}

// Again repeats the last save by its id.
func (m *machine) Again(t *rapid.T) {
	if m.last == nil {
		t.Skip("nothing was saved yet")
	}
	got, err := m.l.Append(bg, these(m.last...))
	if want := m.entries[len(m.entries)-len(m.last):]; err != nil || !reflect.DeepEqual(got, want) {
		t.Fatalf("repeated as %+v, %v; want %+v", got, err, want)
	}
}

// Refuse decides against it.
func (m *machine) Refuse(t *rapid.T) {
	no := errors.New("no")
	if _, err := m.l.Append(bg, func(logbook.Reader) ([]logbook.Draft, error) { return nil, no }); err != no {
		t.Fatalf("refused with %v", err)
	}
}

// Reopen opens the log again, with records of another version or not.
func (m *machine) Reopen(t *rapid.T) {
	if rapid.Bool().Draw(t, "rebuild") {
		raw(m.t, m.l.path, func(b *bolt.Tx) error {
			newTx(&session{path: m.l.path}, b).meta.putNumber("projections", projections+1)
			return nil
		})
	}
	l, err := Open(m.l.path)
	if err != nil {
		t.Fatal(err)
	}
	m.l = l
}

// View compares the log with the model.
func (m *machine) View(t *rapid.T) {
	if err := m.l.View(bg, func(r logbook.Reader) error { m.compare(t, r); return nil }); err != nil {
		t.Fatal(err)
	}
}

func (m *machine) compare(t *rapid.T, r logbook.Reader) {
	if got, want := dump(m.t, r), dump(m.t, m.book); got != want {
		t.Fatalf("the log shows\n%s\nthe model\n%s", got, want)
	}
	for _, site := range []string{"never opened", "", "hil"} {
		if len(r.Welds(site)) > 0 && len(m.book.Welds(site)) == 0 {
			t.Fatalf("welds of %q: %+v", site, r.Welds(site))
		}
	}
}

func TestAgainstThePlainModel(t *testing.T) {
	dir, n := t.TempDir(), 0
	rapid.Check(t, func(rt *rapid.T) {
		n++
		l, err := Create(filepath.Join(dir, fmt.Sprint(n)), Options{Tag: "KM"})
		if err != nil {
			rt.Fatal(err)
		}
		m := &machine{t: t, l: l, book: logbook.NewBook("KM", 1)}
		rt.Repeat(map[string]func(*rapid.T){
			"save": m.Save, "again": m.Again, "refuse": m.Refuse, "reopen": m.Reopen, "view": m.View,
		})
		snap := readAll(t, l.path)
		if len(snap.Entries) != len(m.entries) || (len(m.entries) > 0 && !reflect.DeepEqual(snap.Entries, m.entries)) {
			rt.Fatalf("read back %d entries, %d were saved", len(snap.Entries), len(m.entries))
		}
		m.book = logbook.Fold("KM", snap.Entries)
		m.View(rt)
		indexed(t, rt, m.l, m.book)
		sound(t, l.path)
	})
}

// indexed holds the buckets day and open against the welds of the model.
func indexed(t *testing.T, rt *rapid.T, l *Log, book *logbook.Book) {
	want := map[string]string{}
	for _, site := range []string{"meadow", "hill", "never opened"} {
		for _, w := range book.Welds(site) {
			switch {
			case w.Walking():
				want["open "+weldKey(site, w.ID)] = "walking"
			case w.Fusing():
				want["open "+weldKey(site, w.ID)] = "fusing"
			case w.Holding():
				want["open "+weldKey(site, w.ID)] = "holding"
			}
			if at, ok := w.FusedAt(); ok {
				want["day "+site+"\x00"+at.Format("2006-01-02")+"\x00"+w.ID] = ""
			}
		}
	}
	got := map[string]string{}
	raw(t, l.path, func(b *bolt.Tx) error {
		for _, name := range []string{"day", "open"} {
			err := b.Bucket([]byte(name)).ForEach(func(k, v []byte) error {
				payload, _ := unsum(k, v)
				got[name+" "+string(k)] = string(payload)
				return nil
			})
			if err != nil {
				return err
			}
		}
		return nil
	})
	if !reflect.DeepEqual(got, want) {
		rt.Fatalf("indexes %q, want %q", got, want)
	}
}
