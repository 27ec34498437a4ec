package store

import (
	"bytes"
	"errors"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"coolhold/logbook"
)

// A stick that was pulled, or is not in yet, is no reason to make a new log.
func TestStickIsNotIn(t *testing.T) {
	day := aDay(t)
	path := clone(t, day.path)
	l, err := Open(path)
	if err != nil {
		t.Fatal(err)
	}
	gone := filepath.Join(filepath.Dir(path), "elsewhere")
	if err := errors.Join(os.Rename(path, gone), os.Remove(path+".journal")); err != nil {
		t.Fatal(err)
	}
	_, appended := l.Append(bg, saves("x", 1))
	_, read := l.Book(bg, "meadow")
	for _, err := range []error{appended, read} {
		if !errors.Is(err, ErrNoLog) || !strings.Contains(err.Error(), "it was there and is gone; put the stick back") || strings.Contains(err.Error(), "make a new log") {
			t.Errorf("pulled: %v", err)
		}
	}
	if err := os.Rename(gone, path); err != nil {
		t.Fatal(err)
	}
	if _, err := l.Append(bg, saves("x", 1)); err != nil {
		t.Errorf("put back: %v", err)
	}
	if _, err := Open(filepath.Join(t.TempDir(), "stick", "x.log")); !errors.Is(err, ErrNoLog) || !strings.Contains(err.Error(), "nor is its folder: put the stick in") {
		t.Errorf("not in: %v", err)
	}
}

// Whoever else may have written to a log: its branches and free pages are walked
// through before the next save, and the free pages as well where nobody did.
func TestWalkedBeforeWriting(t *testing.T) {
	for name, others := range map[string]bool{"nobody wrote": false, "others wrote": true} {
		day := aDay(t)
		path := clone(t, day.path)
		l, err := Open(path)
		if err != nil {
			t.Fatal(err)
		}
		add(t, l, draft("mine", logbook.Note{Text: "mine"}))
		if others {
			o, err := Open(path)
			if err != nil {
				t.Fatal(err)
			}
			add(t, o, draft("others", logbook.Note{Text: "others"}))
		}
		data := spoil(t, path)
		h := newest(bytes.NewReader(data))
		bad := spoilBytes(data, int(h.free)*pageSize+pageHeader)
		rewrite(t, path, bad)
		if _, err := l.Append(bg, saves("x", 1)); !errors.Is(err, ErrDamaged) || !strings.Contains(err.Error(), "page") {
			t.Errorf("%s: %v", name, err)
		}
		if now := spoil(t, path); string(now) != string(bad) {
			t.Errorf("%s: something was written", name)
		}
		rewrite(t, path, data)
		if _, err := l.Append(bg, saves("x", 1)); err != nil {
			t.Errorf("%s, put right: %v", name, err)
		}
	}
}
