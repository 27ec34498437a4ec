package store

import (
	"bytes"
	"encoding/json"
	"errors"
	"os"
	"strings"
	"testing"

	bolt "go.etcd.io/bbolt"
	"golang.org/x/mod/sumdb/tlog"

	"coolhold/logbook"
	"coolhold/logbook/seal"
)

// spoilt is the report on a log after a forger had his way with its file, who
// brings everything up that he can: numbers, checksums, tree, index and journal.
func spoilt(t *testing.T, path string, forge func(lines [][]byte) [][]byte) Checkup {
	t.Helper()
	to := clone(t, path)
	lines := forge(storedLines(t, path))
	raw(t, to, func(b *bolt.Tx) error {
		for _, name := range []string{"entry", "hash", "site", "within"} {
			if err := errors.Join(b.DeleteBucket([]byte(name)), func() error { _, err := b.CreateBucket([]byte(name)); return err }()); err != nil {
				return err
			}
		}
		tx := newTx(&session{path: to}, b)
		tx.bind()
		tx.meta.putNumber("next", 1)
		tx.meta.putNumber("sealed", 0)
		x := logbook.NewIndex("KM")
		for i, line := range lines {
			tx.take(x, uint64(i+1), renumbered(t, x, line, i+1))
		}
		tx.noted(x)
		return nil
	})
	os.Remove(to + ".journal")
	if _, err := Open(to); err != nil { // makes the journal anew
		t.Fatal(err)
	}
	r, err := Verify(bg, to, true)
	if err != nil {
		t.Fatal(err)
	}
	return r
}

// renumbered is a line with the numbers of another place.
func renumbered(t *testing.T, x *logbook.Index, line []byte, seq int) []byte {
	t.Helper()
	var e logbook.Entry
	if err := json.Unmarshal(line, &e); err != nil {
		t.Fatal(err)
	}
	e.Seq, e.N = uint64(seq), x.Number(e.Site, e.Kind)
	line, err := json.Marshal(e)
	if err != nil {
		t.Fatal(err)
	}
	return line
}

// An entry removed, doubled, swapped or changed, with everything else made to
// fit: only the seals know. What follows the last seal nobody sealed.
func TestForgedAndMadeToFit(t *testing.T) {
	l := aSealedHour(t)
	add(t, l, draft("last", logbook.Note{Text: "after the last seal"}))
	path := l.path
	if r := spoilt(t, path, func(l [][]byte) [][]byte { return l }); len(r.Faults) > 0 || !r.Deep {
		t.Fatalf("not forged at all: %v %v", r.Faults, r.Remarks)
	}
	last := holds(t, path).Seals[1]
	n := int(last.Seq)
	forgeries := map[string]func(l [][]byte, i int) [][]byte{
		"removed": func(l [][]byte, i int) [][]byte { return append(l[:i:i], l[i+1:]...) },
		"doubled": func(l [][]byte, i int) [][]byte { return append(l[:i+1:i+1], l[i:]...) },
		"swapped": func(l [][]byte, i int) [][]byte { l[i], l[i+1] = l[i+1], l[i]; return l },
		"changed": func(l [][]byte, i int) [][]byte {
			l[i] = bytes.Replace(l[i], []byte("Ada Invented"), []byte("Ida Invented"), 1)
			return l
		},
	}
	for name, forge := range forgeries {
		for i := range n - 1 {
			r := spoilt(t, path, func(l [][]byte) [][]byte { return forge(l, i) })
			if !sealFaults(r) {
				t.Errorf("entry %d %s: %v", i+1, name, r.Faults)
			}
		}
		r := spoilt(t, path, func(l [][]byte) [][]byte { return forge(l, n-1) })
		if err := last.Seal.ExtendedBy(r.ID, r.Tag, r.Entries, r); err != nil {
			t.Errorf("the seal's own entry %s: %v", name, err)
		}
	}
}

// sealFaults tells whether all that is wrong is that a seal does not hold.
func sealFaults(r Checkup) bool {
	for _, f := range r.Faults {
		if f.Damage || !strings.HasPrefix(f.What, "the seal in entry ") {
			return false
		}
	}
	return len(r.Faults) > 0
}

// Whoever leaves the seals in the log out as well is found by one that left it.
func TestForgedWithoutSeals(t *testing.T) {
	path := aSealedHour(t).path
	kept := holds(t, path).Seals[0].Seal
	r := spoilt(t, path, func(l [][]byte) [][]byte {
		l[2] = bytes.Replace(l[2], []byte("Ada Invented"), []byte("Ida Invented"), 1)
		return l[:len(l)-3]
	})
	if len(r.Faults) > 0 || len(r.Seals) > 0 {
		t.Errorf("the log alone tells: %v", r.Faults)
	}
	if err := kept.ExtendedBy(r.ID, r.Tag, r.Entries, r); !errors.Is(err, seal.ErrNotExtended) {
		t.Errorf("the seal that left it: %v", err)
	}
}

// An entry of the kind that does not say what its note says.
func TestSealEntryUnlikeItsNote(t *testing.T) {
	for name, change := range map[string]func(*logbook.Sealed){
		"count": func(s *logbook.Sealed) { s.Entries++ },
		"root":  func(s *logbook.Sealed) { s.Root = tlog.RecordHash(nil).String() },
		"day":   func(s *logbook.Sealed) { s.Day = "2026-03-09" },
		"note":  func(s *logbook.Sealed) { s.Note = strings.Replace(s.Note, "entries 1", "entries 2", 1) },
		"none":  func(s *logbook.Sealed) { s.Note = "" },
	} {
		l := fresh(t)
		add(t, l, draft("open", logbook.SiteOpened{Name: "Invented meadow"}))
		n, root := int64(1), holds(t, l.path).Root
		note, err := seal.Sign(seal.Statement{Log: l.id, Tag: l.tag, Entries: n, Root: root, At: noon}, laptop(t))
		if err != nil {
			t.Fatal(err)
		}
		b := logbook.Sealed{Entries: n, Root: root.String(), Note: string(note)}
		change(&b)
		c, err := Open(clone(t, l.path))
		if err != nil {
			t.Fatal(err)
		}
		add(t, c, draft("seal", b))
		r, err := Verify(bg, c.path, true)
		if err != nil || len(r.Faults) != 1 || len(r.Seals) != 0 || !strings.Contains(r.Faults[0].What, "the seal in entry 2 does not hold") {
			t.Errorf("%s: %v, %v", name, r.Faults, err)
		}
	}
}
