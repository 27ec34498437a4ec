package main

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"sync"
	"testing"

	"coolhold/fusion"
	"coolhold/logbook"
	"coolhold/logbook/acts"
	"coolhold/logbook/seal"
	"coolhold/logbook/store"
)

// sealEdges are edges with a key file in a folder of the test's own.
func sealEdges(t *testing.T) (e edges, key string, said *bytes.Buffer) {
	t.Helper()
	key, said = filepath.Join(t.TempDir(), "keys", "seal.key"), &bytes.Buffer{}
	e = realEdges()
	at := readClock(holdClock(t).file)
	e.now = func() fusion.Stamp { return at }
	e.err = said
	e.getenv = func(name string) string {
		if name == "COOLHOLD_KEY" {
			return key
		}
		return ""
	}
	return e, key, said
}

// smallLog is a log with one entry.
func smallLog(t *testing.T, e edges) *store.Log {
	t.Helper()
	l, err := store.Create(filepath.Join(t.TempDir(), "site.coolhold"), store.NewLog{Tag: "KM"})
	if err != nil {
		t.Fatal(err)
	}
	addNote(t, e, l, "first")
	return l
}

func addNote(t testing.TB, e edges, l *store.Log, text string) {
	t.Helper()
	d := logbook.Draft{ID: newID(e.rand)(), At: e.now(), Body: logbook.Note{Text: text}}
	if _, err := l.Append(context.Background(), func(logbook.Reader) ([]logbook.Draft, error) { return []logbook.Draft{d}, nil }); err != nil {
		t.Error(err)
	}
}

// The key is made once, for its owner alone, and whoever else can read it is
// warned of.
func TestLaptopKey(t *testing.T) {
	e, path, said := sealEdges(t)
	first, err := laptopKey(e)
	if err != nil {
		t.Fatal(err)
	}
	if !strings.Contains(said.String(), first.Public()) || strings.Contains(said.String(), first.Secret()) {
		t.Errorf("said %q", said)
	}
	said.Reset()
	again, err := laptopKey(e)
	if err != nil || again.Secret() != first.Secret() || said.Len() > 0 {
		t.Errorf("%v, said %q", err, said)
	}
	if left, err := os.ReadDir(filepath.Dir(path)); err != nil || len(left) != 1 {
		t.Errorf("%d files beside the key, %v", len(left), err)
	}
	if runtime.GOOS == "windows" {
		return
	}
	for file, want := range map[string]os.FileMode{path: 0o600, filepath.Dir(path): os.ModeDir | 0o700} {
		if info, err := os.Stat(file); err != nil || info.Mode() != want {
			t.Errorf("%s: %v, want %v (%v)", file, info.Mode(), want, err)
		}
	}
	if err := os.Chmod(path, 0o640); err != nil {
		t.Fatal(err)
	}
	if _, err := laptopKey(e); err != nil || !strings.Contains(said.String(), "can be read by others") {
		t.Errorf("%v, said %q", err, said)
	}
}

// Two programs that need the first key at once end up with the same.
func TestLaptopKeyMadeTwiceAtOnce(t *testing.T) {
	e, _, _ := sealEdges(t)
	keys := make([]string, 8)
	var all sync.WaitGroup
	for i := range keys {
		all.Go(func() {
			mine := e
			mine.err = &bytes.Buffer{}
			k, err := laptopKey(mine)
			if err != nil {
				t.Error(err)
				return
			}
			keys[i] = k.Secret()
		})
	}
	all.Wait()
	for _, k := range keys {
		if k != keys[0] || k == "" {
			t.Fatal("two keys were made")
		}
	}
}

func TestKeyOnTheCommandLine(t *testing.T) {
	e, path, _ := sealEdges(t)
	k, err := laptopKey(e)
	if err != nil {
		t.Fatal(err)
	}
	public := filepath.Join(t.TempDir(), "laptop.pub")
	if err := os.WriteFile(public, []byte(k.Public()+"\n"), 0o600); err != nil {
		t.Fatal(err)
	}
	for _, arg := range []string{k.Public(), public, path} {
		if v, err := publicKey(arg); err != nil || seal.KeyID(v) != strings.Join(strings.SplitN(k.Public(), "+", 3)[:2], "+") {
			t.Errorf("%s: %v", arg, err)
		}
	}
	if _, err := publicKey(k.Public()[1:]); err == nil {
		t.Error("a key cut short was taken")
	}
}

// A day that was signed is sealed under its date and the name of who signed.
func TestSealDay(t *testing.T) {
	e, path, said := sealEdges(t)
	l := smallLog(t, e)
	h := head(e, "Ada Invented")
	theDay := screens(e, l.Path(), "", "").Outside.SealDay
	line, err := theDay(h, l, "2026-03-09")
	if want := "signed; sealed over 1 entry; key made: coolhold seal --show-key"; err != nil || line != want {
		t.Fatalf("%q, %v", line, err)
	}
	if said.Len() > 0 {
		t.Errorf("stderr, behind the screen: %q", said)
	}
	v, err := verifyLog(e, l.Path(), "", []string{path}, true)
	if err != nil || len(v.faults) > 0 || len(v.seals) != 1 {
		t.Fatalf("%+v, %v", v, err)
	}
	s := v.seals[0]
	if s.Day != "2026-03-09" || s.By != "Ada Invented" || !s.At.Equal(h.At.Wall) || len(s.Signed) != 1 {
		t.Errorf("sealed as %+v", s)
	}
	h = head(e, strings.Repeat("Ada Invented ", 10))
	if line, err := theDay(h, l, "2026-03-10"); err != nil || line != "signed; sealed over 2 entries" {
		t.Errorf("a long name, with the key there: %q, %v", line, err)
	}
	if _, err := theDay(h, l, "today"); !errors.Is(err, seal.ErrStatement) {
		t.Errorf("a day without a date: %v", err)
	}
}

func TestNothingToSeal(t *testing.T) {
	e, _, _ := sealEdges(t)
	l, err := store.Create(filepath.Join(t.TempDir(), "site.coolhold"), store.NewLog{})
	if err != nil {
		t.Fatal(err)
	}
	_, err = sealNow(e, l.Path(), head(e, ""), "")
	if got := report(&bytes.Buffer{}, err); got != exitFindings || !errors.Is(err, seal.ErrStatement) {
		t.Errorf("exit code %d, %v", got, err)
	}
}

// What another program stores between the check and the seal is not sealed
// unchecked.
func TestSealOnlyWhatWasChecked(t *testing.T) {
	e, _, _ := sealEdges(t)
	l := smallLog(t, e)
	k, err := laptopKey(e)
	if err != nil {
		t.Fatal(err)
	}
	r, err := sound(l.Path(), k)
	if err != nil {
		t.Fatal(err)
	}
	addNote(t, e, l, "between")
	h := head(e, "")
	b, err := sealed(r, h, "", k)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := l.Append(context.Background(), onTree(r, acts.SealLog(h, b))); !errors.Is(err, errMoved) {
		t.Errorf("sealed all the same: %v", err)
	}
	if snap, err := store.ReadAll(context.Background(), l.Path()); err != nil || len(snap.Entries) != 2 {
		t.Errorf("%d entries, %v", len(snap.Entries), err)
	}
}

// Seals and entries of two programs come in any order; every seal holds.
func TestSealWhileOthersWrite(t *testing.T) {
	e, _, _ := sealEdges(t)
	l := smallLog(t, e)
	other, err := store.Open(l.Path())
	if err != nil {
		t.Fatal(err)
	}
	var all sync.WaitGroup
	all.Go(func() {
		for i := range 30 {
			addNote(t, e, other, fmt.Sprint("note ", i))
		}
	})
	made := 0
	for range 10 {
		switch _, err := sealNow(e, l.Path(), head(e, ""), ""); {
		case err == nil:
			made++
		case !errors.Is(err, errMoved):
			t.Error(err)
		}
	}
	all.Wait()
	if _, err := sealNow(e, l.Path(), head(e, ""), ""); err != nil {
		t.Error(err)
	}
	v, err := verifyLog(e, l.Path(), "", nil, true)
	if err != nil || len(v.faults) > 0 || len(v.seals) != made+1 {
		t.Errorf("%d seals made, %d hold, %v, %v", made+1, len(v.seals), v.faults, err)
	}
}

// A seal in the log whose signature is not this laptop's key's is a fault, and
// such a log is not sealed further.
func TestForgedSealInTheLog(t *testing.T) {
	e, _, _ := sealEdges(t)
	l := smallLog(t, e)
	k, err := laptopKey(e)
	if err != nil {
		t.Fatal(err)
	}
	r, err := sound(l.Path(), k)
	if err != nil {
		t.Fatal(err)
	}
	h := head(e, "")
	b, err := sealed(r, h, "", k)
	if err != nil {
		t.Fatal(err)
	}
	b.Note = strings.Replace(b.Note, "claimed 2026", "claimed 2025", 1)
	if _, err := l.Append(context.Background(), acts.SealLog(h, b)); err != nil {
		t.Fatal(err)
	}
	_, err = sealNow(e, l.Path(), head(e, ""), "")
	if got := report(&bytes.Buffer{}, err); got != exitFindings || !strings.Contains(fmt.Sprint(err), "not sealed: the seal in entry 2 does not hold: the signature is not the key's") {
		t.Errorf("exit code %d, %v", got, err)
	}
}
