//go:build linux

package main

import (
	"bytes"
	"context"
	"encoding/json"
	"path/filepath"
	"slices"
	"testing"
	"time"

	"coolhold/logbook"
	"coolhold/logbook/audit"
	"coolhold/logbook/store"
)

// The smallest log holds every kind of entry, and what checks a log finds no fault in it.
func TestEveryKindIsInALog(t *testing.T) {
	path := filepath.Join(t.TempDir(), "site.coolhold")
	if err := sizeOf("site-10").make(path); err != nil {
		t.Fatal(err)
	}
	v, err := store.Verify(context.Background(), path, true)
	if err != nil || len(v.Faults) > 0 {
		t.Fatal(v.Faults, err)
	}
	l, err := store.Open(path)
	if err != nil {
		t.Fatal(err)
	}
	book, err := l.Book(context.Background(), "")
	if err != nil {
		t.Fatal(err)
	}
	site := book.Sites()[0]
	at := site.LastAt
	for _, f := range audit.Run(book, site.ID, at, at).Findings {
		if f.Rule == "unread-entry" {
			t.Error(f.Says)
		}
	}
	var buf bytes.Buffer
	if _, err := sizeOf("site-10").journal(&buf); err != nil {
		t.Fatal(err)
	}
	has := []logbook.Kind{(logbook.TwinSetAside{}).Kind(), (logbook.Sealed{}).Kind(), (logbook.LogRestored{}).Kind()} // stored after the lines
	for line := range bytes.Lines(buf.Bytes()) {
		var e logbook.Entry
		text, _, _ := bytes.Cut(line, []byte("\t"))
		if err := json.Unmarshal(text, &e); err != nil {
			t.Fatal(err)
		}
		if has = append(has, e.Kind); e.Garbled() {
			t.Errorf("entry %d cannot be read: %s", e.Seq, text)
		}
	}
	for _, k := range logbook.Kinds() {
		if !slices.Contains(has, k) {
			t.Errorf("no entry of kind %q", k)
		}
	}
}

// What is made twice is the same to the byte.
func TestTheSameLogEachTime(t *testing.T) {
	var a, b bytes.Buffer
	for _, w := range []*bytes.Buffer{&a, &b} {
		if _, err := (size{"two sites", 2, 100}).journal(w); err != nil {
			t.Fatal(err)
		}
	}
	if !bytes.Equal(a.Bytes(), b.Bytes()) {
		t.Error("made twice, it is not the same")
	}
}

// Of the last site a tenth is left and eight welds are held.
func TestTheLastSiteIsInTheWork(t *testing.T) {
	for _, s := range []size{{"one site", 0, 100}, {"two", 1, 100}} {
		all := s.scripts()
		at, _, err := places(all)
		if err != nil {
			t.Fatal(err)
		}
		entries, err := all[len(all)-1].make(at[len(at)-1])
		if err != nil {
			t.Fatal(err)
		}
		book := logbook.Fold(tag, entries)
		held, walking, open := 0, 0, 0
		site := book.Sites()[0].ID
		for _, w := range book.Welds(site) {
			if w.Holding() {
				held++
			}
			if w.Walking() {
				walking++
			}
		}
		for _, j := range book.Joints(site) {
			if j.Open() {
				open++
			}
		}
		if held != 8 || walking != 1 || open < 10 || open > 13 {
			t.Errorf("%s: %d held, %d walks open, %d joints open", s.name, held, walking, open)
		}
		if last := entries[len(entries)-1].At.Wall; last.After(time.Date(2026, 4, 1, 0, 0, 0, 0, time.UTC)) {
			t.Errorf("%s: it ends on %v", s.name, last)
		}
	}
}
