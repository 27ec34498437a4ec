package store

import (
	"bytes"
	"encoding/binary"
	"errors"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// What is found in a log that is looked through on a copy, and whether a save could
// make it worse.
func TestLookThrough(t *testing.T) {
	day := aDay(t)
	data := spoil(t, day.path)
	journal := spoil(t, day.path+".journal")
	leaves := leafCounts(data)
	free := int(newest(bytes.NewReader(data)).free)*pageSize + pageHeader
	for _, c := range []struct {
		name    string
		log     []byte
		journal []byte
		what    string // "": nothing
		stop    bool
	}{
		{"sound", data, journal, "", false},
		{"a leaf", spoilBytes(data, leaves[len(leaves)-1]), journal, "page ", true},
		{"a free page", spoilBytes(data, free), journal, "the list of free pages", true},
		{"a value", spoilBytes(data, occurrences(data, []byte(`{"seq":3,`), 20)...), journal, "entry 3 does not match its checksum", false},
		{"two values", spoilBytes(data, append(occurrences(data, []byte(`{"seq":3,`), 20), occurrences(data, []byte(`{"seq":5,`), 20)...)...), journal, "more); coolhold verify lists", false},
		{"the journal", data, append(bytes.Clone(journal), '\n'), "of the journal is no entry", false},
	} {
		path := clone(t, day.path)
		rewrite(t, path, c.log)
		rewrite(t, path+".journal", c.journal)
		copy := filepath.Join(t.TempDir(), "look.copy")
		rewrite(t, copy, nil)
		got, err := LookThrough(bg, path, copy)
		if err != nil || got.Stop != c.stop || !strings.Contains(got.What, c.what) || (got.What == "") != (c.what == "") {
			t.Errorf("%s: %+v, %v", c.name, got, err)
		}
		if now := spoil(t, path); !bytes.Equal(now, c.log) {
			t.Errorf("%s: the log was changed", c.name)
		}
	}
	taken := filepath.Join(t.TempDir(), "taken")
	rewrite(t, taken, []byte("mine"))
	if _, err := LookThrough(bg, day.path, taken); !errors.Is(err, ErrExists) || string(spoil(t, taken)) != "mine" {
		t.Errorf("onto a file that holds something: %v", err)
	}
	if _, err := LookThrough(bg, day.path, filepath.Join(t.TempDir(), "none")); !errors.Is(err, os.ErrNotExist) {
		t.Errorf("without a file to copy to: %v", err)
	}
}

// bbolt's own check is asked too: a sequence that nobody uses it does not look at,
// but a key that is too small for where it stands it does.
func TestBoltsOwnCheck(t *testing.T) {
	data, f := tree(t)
	path := filepath.Join(t.TempDir(), "x.log")
	rewrite(t, path, data)
	if err := checkByBolt(path, "x"); err != nil {
		t.Fatal(err)
	}
	num := binary.NativeEndian
	e := f.leaf + pageHeader
	data[e+int(num.Uint32(data[e+4:]))] ^= 0x80 // the first key, far too great
	rewrite(t, path, data)
	if err := checkByBolt(path, "x"); !errors.Is(err, ErrDamaged) {
		t.Errorf("got %v", err)
	}
}

// A log that is stopped takes nothing more, and says why.
func TestStopped(t *testing.T) {
	l := aDay(t)
	log, journal := spoil(t, l.path), spoil(t, l.path+".journal")
	why := errors.New("a reason")
	l.Stop(why)
	if _, err := l.Append(bg, saves("x", 1)); !errors.Is(err, why) {
		t.Errorf("got %v", err)
	}
	if !bytes.Equal(spoil(t, l.path), log) || !bytes.Equal(spoil(t, l.path+".journal"), journal) {
		t.Error("something was written")
	}
	if _, err := l.Book(bg, "meadow"); err != nil {
		t.Errorf("it can be read: %v", err)
	}
}
