package store

import (
	"bytes"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"reflect"
	"runtime"
	"strings"
	"testing"
	"time"

	bolt "go.etcd.io/bbolt"

	"coolhold/logbook"
	"coolhold/logbook/store/soaktest"
)

func TestNotALog(t *testing.T) {
	l := aDay(t)
	for _, c := range []struct {
		name string
		data []byte
		want string
	}{
		{"empty", nil, "it is empty (0 bytes)"},
		{"one byte", []byte{1}, "does not begin like a log"},
		{"text", bytes.Repeat([]byte("not a log\n"), 9000), "does not begin like a log"},
		{"zeros", make([]byte, 4*pageSize), "does not begin like a log"},
		{"heads gone", spoil(t, l.path, 40, pageSize+40), "neither of its two heads is whole"},
	} {
		t.Run(c.name, func(t *testing.T) {
			path := filepath.Join(t.TempDir(), "x.log")
			rewrite(t, path, c.data)
			for what, err := range tryAll(path) {
				if !errors.Is(err, ErrDamaged) || !strings.Contains(err.Error(), c.want) || !strings.HasPrefix(err.Error(), path) {
					t.Errorf("%s: %v", what, err)
				}
				if strings.Contains(err.Error(), "\n") {
					t.Errorf("%s: more than one line: %q", what, err)
				}
			}
			if data, err := os.ReadFile(path); err != nil || !bytes.Equal(data, c.data) {
				t.Errorf("the file was changed (%v)", err)
			}
		})
	}
	t.Run("missing", func(t *testing.T) {
		path := filepath.Join(t.TempDir(), "x.log")
		for what, err := range tryAll(path) {
			if !errors.Is(err, ErrNoLog) {
				t.Errorf("%s: %v", what, err)
			}
		}
		if _, err := os.Stat(path); err == nil {
			t.Error("a missing log was made")
		}
		rewrite(t, path+".journal", []byte("{}\n"))
		if _, err := Open(path); !errors.Is(err, ErrNoLog) || !strings.Contains(err.Error(), "its journal is there") {
			t.Errorf("beside a journal: %v", err)
		}
	})
	t.Run("a folder", func(t *testing.T) {
		for what, err := range tryAll(t.TempDir()) {
			if err == nil {
				t.Errorf("%s: opened", what)
			}
		}
	})
	t.Run("a database with other pages", func(t *testing.T) {
		path := filepath.Join(t.TempDir(), "x.log")
		db, err := bolt.Open(path, 0o666, &bolt.Options{PageSize: 2 * pageSize})
		if err != nil {
			t.Fatal(err)
		}
		db.Close()
		for what, err := range tryAll(path) {
			if !errors.Is(err, ErrDamaged) || !strings.Contains(err.Error(), "its pages are 8192 bytes long, not 4096") {
				t.Errorf("%s: %v", what, err)
			}
		}
	})
	t.Run("a database of something else", func(t *testing.T) {
		path := filepath.Join(t.TempDir(), "x.log")
		db, err := bolt.Open(path, 0o666, &bolt.Options{PageSize: pageSize})
		if err != nil {
			t.Fatal(err)
		}
		db.Close()
		for what, err := range tryAll(path) {
			if !errors.Is(err, ErrDamaged) || !strings.Contains(err.Error(), `"meta" is missing`) {
				t.Errorf("%s: %v", what, err)
			}
		}
	})
}

// tryAll opens and reads the file in all ways there are.
func tryAll(path string) map[string]error {
	_, open := Open(path)
	_, read := ReadAll(bg, path)
	_, site := ReadSite(bg, path, "meadow", time.Time{})
	return map[string]error{"open": open, "read": read, "read a site": site}
}

// spoil is the content of the file with a bit turned at each place.
func spoil(t testing.TB, path string, at ...int) []byte {
	t.Helper()
	data, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	for _, i := range at {
		data[i] ^= 1 << (i % 8)
	}
	return data
}

func TestCutShort(t *testing.T) {
	path := aDay(t).path
	data := spoil(t, path)
	whole := int(newest(bytes.NewReader(data)).pages) * pageSize
	for size := 0; size < whole; size += 1 + size/40 {
		to := filepath.Join(t.TempDir(), "cut.log")
		rewrite(t, to, data[:size])
		for what, err := range tryAll(to) {
			if !errors.Is(err, ErrDamaged) {
				t.Fatalf("%s with %d of %d bytes: %v", what, size, whole, err)
			}
		}
	}
	to := filepath.Join(t.TempDir(), "whole.log")
	rewrite(t, to, data[:whole])
	sound(t, to)
}

// A file that is cut short while it is mapped would kill the process.
func TestCutShortWhileOpen(t *testing.T) {
	if runtime.GOOS == "windows" {
		t.Skip("Windows cuts no file that is mapped")
	}
	l := aDay(t)
	cut := func(t *testing.T) *Log {
		c, err := Open(clone(t, l.path))
		if err != nil {
			t.Fatal(err)
		}
		return c
	}
	for _, c := range []struct {
		name string
		call func(*Log, func(logbook.Reader)) error
	}{
		{"view", func(l *Log, f func(logbook.Reader)) error {
			return l.View(bg, func(r logbook.Reader) error { f(r); return nil })
		}},
		{"append", func(l *Log, f func(logbook.Reader)) error {
			_, err := l.Append(bg, func(r logbook.Reader) ([]logbook.Draft, error) { f(r); return nil, nil })
			return err
		}},
	} {
		t.Run(c.name, func(t *testing.T) {
			l := cut(t)
			err := c.call(l, func(r logbook.Reader) {
				if err := os.Truncate(l.path, 2*pageSize); err != nil {
					t.Error(err)
				}
				t.Errorf("%d welds read from nothing", len(r.Welds("meadow")))
			})
			if !errors.Is(err, ErrDamaged) {
				t.Errorf("got %v", err)
			}
			if _, err := l.Append(bg, saves("x", 1)); !errors.Is(err, ErrDamaged) {
				t.Errorf("afterwards: %v", err) // not ErrLocked
			}
		})
	}
}

// A changed byte in a stored entry is found, and the entry is named.
func TestEveryEntryIsChecked(t *testing.T) {
	path := aDay(t).path
	data, to := spoil(t, path), clone(t, path)
	for i, line := range storedLines(t, path) {
		for at := i % 37; at < len(line)+4; at += 37 {
			all := occurrences(data, line, at)
			turn(t, to, data, all, 1<<(at%8))
			_, err := ReadAll(bg, to)
			turn(t, to, data, all, 1<<(at%8))
			if want := fmt.Sprintf("entry %d does not match its checksum", i+1); !errors.Is(err, ErrDamaged) || !strings.Contains(err.Error(), want) {
				t.Fatalf("byte %d of entry %d: %v", at, i+1, err)
			}
		}
	}
}

// turn changes bytes of the file in place; done twice it changes them back.
func turn(t testing.TB, path string, data []byte, at []int, with byte) {
	t.Helper()
	f, err := os.OpenFile(path, os.O_RDWR, 0)
	if err != nil {
		t.Fatal(err)
	}
	for _, i := range at {
		data[i] ^= with
		if _, err := f.WriteAt(data[i:i+1], int64(i)); err != nil {
			t.Fatal(err)
		}
	}
	if err := f.Close(); err != nil {
		t.Fatal(err)
	}
}

// occurrences are the places where a part stands, shifted by so many bytes:
// old pages hold older copies of it.
func occurrences(data, part []byte, shift int) (at []int) {
	for from := 0; ; {
		i := bytes.Index(data[from:], part)
		if i < 0 {
			return at
		}
		at = append(at, from+i+shift)
		from += i + 1
	}
}

// A changed byte in the index, or in an entry that a record is made of, breaks
// off whatever would decide on it.
func TestNothingIsDecidedOnDamage(t *testing.T) {
	l := aDay(t)
	data := spoil(t, l.path)
	var values [][]byte
	raw(t, l.path, func(b *bolt.Tx) error {
		for _, name := range []string{"meta", "site", "within", "entry"} {
			err := b.Bucket([]byte(name)).ForEach(func(k, v []byte) error {
				if name == "within" {
					v = append(bytes.Clone(k), v...) // the value alone stands in many places
				}
				values = append(values, bytes.Clone(v))
				return nil
			})
			if err != nil {
				return err
			}
		}
		return nil
	})
	path := clone(t, l.path)
	for n, value := range values {
		for at := n % 23; at < len(value); at += 23 {
			all := occurrences(data, value, at)
			turn(t, path, data, all, 1<<(at%8))
			reads := 0
			_, opened := Open(path)
			_, err := l.at(path).Append(bg, func(r logbook.Reader) ([]logbook.Draft, error) {
				dump(t, r)
				reads++
				return nil, nil
			})
			turn(t, path, data, all, 1<<(at%8))
			if bytes.HasPrefix(value, []byte("KM")) && len(value) == 6 { // the tag is read at the opening
				err, reads = opened, 0
			}
			if !errors.Is(err, ErrDamaged) || reads > 0 {
				t.Fatalf("byte %d of %q: %v after %d reads", at, value, err, reads)
			}
		}
	}
}

// Whatever single byte of the file is wrong, anywhere: what is read is what was
// written, or it is an error. Nothing hangs and nothing dies.
func TestAnyByteOfTheFile(t *testing.T) {
	l := aDay(t)
	want := readAll(t, l.path)
	meadow := dumpSite(t, logbook.Fold("KM", want.Entries), "meadow")
	data := spoil(t, l.path)
	path := clone(t, l.path)
	used := int(newest(bytes.NewReader(data)).pages) * pageSize
	refused := 0
	try := func(at int, bits byte) {
		turn(t, path, data, []int{at}, bits)
		snap, err := ReadAll(bg, path)
		shot, site := ReadSite(bg, path, "meadow", time.Time{})
		turn(t, path, data, []int{at}, bits)
		if site == nil && dumpSite(t, shot.Book, "meadow") != meadow || site != nil && !errors.Is(site, ErrDamaged) && !errors.Is(site, ErrJournalAhead) {
			t.Fatalf("byte %d turned by %#x: the site is another (%v)", at, bits, site)
		}
		switch {
		case errors.Is(err, ErrDamaged), errors.Is(err, ErrJournalAhead):
			refused++
		case err != nil || !reflect.DeepEqual(snap.Entries, want.Entries):
			t.Fatalf("byte %d turned by %#x: %d entries, %v", at, bits, len(snap.Entries), err)
		}
	}
	each := soaktest.Rounds(t, 4, 1, 1) // in every test each 4th of them, on each page others
	for page := 0; page < used; page += pageSize {
		for at := page / pageSize % each; at < 100; at += each { // headers and the elements behind them
			try(page+at, 1<<((at+page/pageSize)%8))
		}
		try(page+pageSize/2, 0xff)
	}
	if refused == 0 {
		t.Error("no turned byte was found")
	}
}

// Entries missing at the end leave no gap; the hashes tell.
func TestLastEntryMissing(t *testing.T) {
	path := clone(t, aDay(t).path)
	os.Remove(path + ".journal")
	raw(t, path, func(b *bolt.Tx) error {
		last, _ := b.Bucket([]byte("entry")).Cursor().Last()
		return b.Bucket([]byte("entry")).Delete(last)
	})
	if _, err := ReadAll(bg, path); !errors.Is(err, ErrDamaged) || !strings.Contains(err.Error(), "is missing") {
		t.Errorf("got %v", err)
	}
}

func TestEntryMissing(t *testing.T) {
	path := clone(t, aDay(t).path)
	raw(t, path, func(b *bolt.Tx) error { return b.Bucket([]byte("entry")).Delete(key64(4)) })
	if _, err := ReadAll(bg, path); !errors.Is(err, ErrDamaged) || !strings.Contains(err.Error(), "entry 4 is missing") {
		t.Errorf("got %v", err)
	}
}
