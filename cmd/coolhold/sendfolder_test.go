package main

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"testing"
	"time"

	"coolhold/logbook"
	"coolhold/logbook/office"
	"coolhold/logbook/office/officetest"
)

// stick is a folder between laptop and office.
func (f *firm) stick() string {
	f.t.Helper()
	dir := filepath.Join(f.t.TempDir(), "stick")
	if err := os.Mkdir(dir, 0o700); err != nil {
		f.t.Fatal(err)
	}
	return dir
}

// takesFrom is what the office does with a stick: it takes what is whole, in any order, and
// leaves its receipt and key there.
func (f *firm) takesFrom(dir string) (refused int) {
	f.t.Helper()
	names, err := filepath.Glob(filepath.Join(dir, "*"+parcelEnding))
	if err != nil {
		f.t.Fatal(err)
	}
	for range names { // until nothing more fits: they lie there by their names
		refused = 0
		for _, name := range names {
			data, err := os.ReadFile(name)
			if err != nil {
				f.t.Fatal(err)
			}
			a, err := office.Signing(f.office, f.key).Take(context.Background(), data)
			switch {
			case errors.Is(err, office.ErrParcel):
				refused++
			case err != nil:
				f.t.Fatal(err)
			case a.Receipt != "":
				f.leave(dir, f.run1(1).ID+receiptEnding, a.Receipt)
			}
		}
	}
	f.leave(dir, officeKeyFile, f.key.Public()+"\n")
	return refused
}

func (f *firm) leave(dir, name, text string) {
	f.t.Helper()
	if err := os.WriteFile(filepath.Join(dir, name), []byte(text), 0o600); err != nil {
		f.t.Fatal(err)
	}
}

// notes records many things at once.
func (f *firm) notes(n int) {
	f.t.Helper()
	l, err := openLog(f.log)
	if err != nil {
		f.t.Fatal(err)
	}
	drafts := make([]logbook.Draft, n)
	for i := range drafts {
		drafts[i] = logbook.Draft{ID: newID(f.e.rand)(), At: f.now, Body: logbook.Note{Text: fmt.Sprint("word ", i)}}
	}
	if _, err := l.Append(context.Background(), func(logbook.Reader) ([]logbook.Draft, error) { return drafts, nil }); err != nil {
		f.t.Fatal(err)
	}
}

// A stick carries all there and the receipt back; then only what is new lies on it, and
// the board sends nowhere.
func TestSendOnAStick(t *testing.T) {
	f := admitted(t)
	dir := f.stick()
	n := f.run1(1).Entries
	id := f.run1(1).ID
	f.send(exitDone, fmt.Sprintf("1 parcel put there, entries 1 to %d of log XM", n), "--to", dir)
	f.send(exitDone, "its parcels lie there already", "--to", dir)
	f.takesFrom(dir)
	f.send(exitDone, fmt.Sprintf("the office has all up to 17:40, entry %d", n), "--to", dir)
	f.holds(0)
	for i := range 2 {
		f.note("a word")
		f.send(exitDone, fmt.Sprintf("1 parcel put there, entries %d to %d", n+1+int64(i), n+1+int64(i)), "--to", dir)
		f.takesFrom(dir)
		f.send(exitDone, "the office has all", "--to", dir)
		f.holds(0)
	}
	if k, err := readOffice(f.log, id); err != nil || k.Office != "" {
		t.Errorf("the board would send to %q (%v)", k.Office, err)
	}
	f.send(exitDone, "the office has all", "--to", f.url) // what came by the stick is not sent again
	f.holds(0)
}

// A parcel that was torn or turned on the stick is none: the office refuses it, the laptop
// puts it there anew.
func TestSendOnAStickThatFails(t *testing.T) {
	for name, spoil := range map[string]func([]byte) []byte{
		"torn":        func(p []byte) []byte { return p[:len(p)/2] },
		"a bit":       func(p []byte) []byte { q := slices.Clone(p); q[len(q)-9] ^= 4; return q },
		"empty":       func([]byte) []byte { return nil },
		"another log": func(p []byte) []byte { return bytes.Replace(p, []byte("\nlog "), []byte("\nlog 0"), 1) },
	} {
		t.Run(name, func(t *testing.T) {
			f := admitted(t)
			dir := f.stick()
			f.send(exitDone, "put there", "--to", dir)
			r := f.run1(1)
			file := filepath.Join(dir, parcelName(r.ID, 1, r.Last))
			sound, err := os.ReadFile(file)
			if err != nil {
				t.Fatal(err)
			}
			f.leave(dir, filepath.Base(file), string(spoil(sound)))
			if f.takesFrom(dir) != 1 || len(f.office.Lines(r.ID, 0)) > 0 {
				t.Error("the office took it")
			}
			f.send(exitDone, "1 parcel put there", "--to", dir)
			f.takesFrom(dir)
			f.send(exitDone, "the office has all", "--to", dir)
			f.holds(0)
		})
	}
}

// Many parcels are put there one after the other; what a stick lost is put there again as
// the office says what it has.
func TestSendManyParcelsOnAStick(t *testing.T) {
	f := admitted(t)
	dir := f.stick()
	first := f.run1(1).Entries
	f.notes(2*office.ParcelEntries + 10)
	n := first + 2*office.ParcelEntries + 10
	f.send(exitDone, fmt.Sprintf("entries 1 to %d", n), "--to", dir)
	id := f.run1(1).ID
	lost := filepath.Join(dir, parcelName(id, office.ParcelEntries+1, 2*office.ParcelEntries))
	if err := os.Remove(lost); err != nil {
		t.Fatal(err)
	}
	f.takesFrom(dir)
	if got := len(f.office.Lines(id, 0)); got != office.ParcelEntries {
		t.Fatalf("%d entries without those in the gap", got)
	}
	f.send(exitDone, fmt.Sprintf("1 parcel put there, entries %d to %d", office.ParcelEntries+1, n), "--to", dir)
	f.takesFrom(dir)
	f.send(exitDone, fmt.Sprintf("entry %d", n), "--to", dir)
	f.holds(0)
}

// A receipt of another office, of nothing, or of an older day changes nothing; one over
// more than the log has says that the laptop is behind.
func TestReceiptsOnAStick(t *testing.T) {
	f := admitted(t)
	dir := f.stick()
	f.send(exitDone, "the office has all", "--to", f.url)
	id := f.run1(1).ID
	old, err := readOffice(f.log, id)
	if err != nil {
		t.Fatal(err)
	}
	back := f.copyLog()
	f.note("one more")
	f.send(exitDone, "the office has all")
	newer, err := readOffice(f.log, id)
	if err != nil {
		t.Fatal(err)
	}
	same := func(when string, want keptOffice) {
		t.Helper()
		if k, err := readOffice(f.log, id); err != nil || k.Receipt != want.Receipt || k.Key != want.Key {
			t.Errorf("%s: kept is %+v (%v)", when, k, err)
		}
	}
	f.leave(dir, id+receiptEnding, old.Receipt)
	f.send(exitInput, officeKeyFile, "--to", dir)
	f.leave(dir, officeKeyFile, f.key.Public())
	f.send(exitDone, "the office has all", "--to", dir)
	same("an older one", newer)
	f.leave(dir, id+receiptEnding, "nothing")
	f.send(exitFindings, "no receipt for this log", "--to", dir)
	same("none", newer)
	f.leave(dir, officeKeyFile, newOfficeKey(t).Public())
	f.send(exitFindings, "this is another office than before", "--to", dir)
	same("another office's", newer)
	back()
	f.leave(dir, id+receiptEnding, newer.Receipt)
	f.leave(dir, officeKeyFile, f.key.Public())
	f.send(exitFindings, "the office has more of this log than this laptop", "--to", dir)
	same("one over more", old)
}

// An office that was restored to yesterday says in a receipt what it has, to a laptop that
// has a stick alone; one that lay about from before says nothing.
func TestSendOnAStickToAnOfficeOfYesterday(t *testing.T) {
	f := admitted(t)
	carry := func(dir string) { // there, taken, and read
		t.Helper()
		f.send(exitDone, "put there", "--to", dir)
		f.takesFrom(dir)
	}
	dir := f.stick()
	carry(dir)
	f.send(exitDone, "the office has all", "--to", dir)
	n := f.run1(1).Entries
	yesterday, before := f.office.Copy(), dir
	f.note("after the backup")
	dir = f.stick()
	carry(dir)
	f.send(exitDone, fmt.Sprintf("the office has all up to 17:40, entry %d", n+1), "--to", dir)
	f.send(exitDone, "the office has all", "--to", before)
	f.now = f.now.Add(time.Hour)
	f.office = yesterday
	f.note("after the loss")
	dir = f.stick()
	f.send(exitDone, fmt.Sprintf("entries %d to %d", n+2, n+2), "--to", dir)
	f.takesFrom(dir)
	f.send(exitDone, fmt.Sprintf("entries %d to %d", n+1, n+2), "--to", dir)
	f.takesFrom(dir)
	f.send(exitDone, fmt.Sprintf("entry %d", n+2), "--to", dir)
	f.holds(0)
	f.now = f.now.Add(time.Hour)
	strange := &officetest.Office{Now: yesterday.Now, MostWait: 100} // what waits there is lost too
	f.send(exitFindings, "does not know this laptop's key yet", "--to", listens(t, strange, f.key))
	f.office = &officetest.Office{Now: yesterday.Now, MostWait: 100} // one that has nothing at all, and knows the laptop
	if err := f.office.Admit(f.public()); err != nil {
		t.Fatal(err)
	}
	f.note("once more")
	dir = f.stick()
	f.send(exitDone, fmt.Sprintf("entries %d to %d", n+3, n+3), "--to", dir)
	f.takesFrom(dir)
	f.send(exitDone, fmt.Sprintf("entries 1 to %d", n+3), "--to", dir)
	f.takesFrom(dir)
	f.send(exitDone, "the office has all", "--to", dir)
	f.holds(0)
}

// A laptop that went on by itself, further than the office has it and without a receipt,
// finds what both share by what the office names.
func TestSendFindsWhatItShares(t *testing.T) {
	f := admitted(t)
	f.send(exitDone, "the office has all", "--to", f.url)
	back := f.copyLog()
	then := f.run1(1).Entries
	f.notes(3)
	f.send(exitDone, "the office has all")
	back()
	f.notes(9)
	if err := os.Remove(officeOf(f.log)); err != nil {
		t.Fatal(err)
	}
	before := f.office.Takes
	f.send(exitFindings, fmt.Sprintf("went on in two ways from entry %d:", then+1), "--to", f.url)
	f.holds(1)
	if n := f.office.Takes - before; n != 2 {
		t.Errorf("%d parcels: what both share was sent again", n)
	}
}
