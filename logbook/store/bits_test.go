package store

import (
	"bytes"
	"encoding/binary"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"sync"
	"sync/atomic"
	"testing"

	"coolhold/logbook"
	"coolhold/logbook/store/soaktest"
)

// A small log with a branch, a leaf that runs on, and free pages.
func smallTree(t *testing.T) (data []byte, path string) {
	t.Helper()
	l := fresh(t)
	add(t, l, draft("open", logbook.SiteOpened{UID: uids["meadow"], Name: "Invented meadow"}))
	for i := range 12 {
		add(t, l, draft(fmt.Sprint("note ", i), logbook.Note{Text: strings.Repeat("n", 1200)}))
	}
	add(t, l, draft("long", logbook.Note{Text: strings.Repeat("n", 2*pageSize)}))
	data = spoil(t, l.path)
	return data[:newest(bytes.NewReader(data)).pages*pageSize], l.path
}

// structure are the places of all page headers, elements and branch keys that are
// in use, of the heads and of the list of free pages.
func structure(t *testing.T, data []byte) (at []int) {
	t.Helper()
	h := newest(bytes.NewReader(data))
	w, err := walk(fileSource{bytes.NewReader(data)}, "x", h, true)
	if err != nil {
		t.Fatal(err)
	}
	num := binary.NativeEndian
	span := func(from, n int) {
		for i := range n {
			at = append(at, from+i)
		}
	}
	sorts := map[uint16]int{}
	for id, seen := range w.seen {
		start := id * pageSize
		page := data[start:]
		flags, count := num.Uint16(page[8:]), int(num.Uint16(page[10:]))
		switch {
		case id < 2:
			span(start, pageHeader+headBytes)
		case uint64(id) == h.free:
			span(start, pageHeader+8*count)
		case seen == pageTaken:
			sorts[flags]++
			span(start, pageHeader+count*elementSize)
			for i := 0; flags == pageBranch && i < count; i++ {
				span(start+pageHeader+i*elementSize+int(num.Uint32(page[pageHeader+i*elementSize:])), int(num.Uint32(page[pageHeader+i*elementSize+4:])))
			}
		}
	}
	if sorts[pageBranch] == 0 || sorts[pageLeaf] < 5 {
		t.Fatalf("the log has not all sorts of pages: %v", sorts)
	}
	return at
}

// Every bit of every page header, element and branch key, one at a time: the file
// is refused, or all of it is read just as before.
func TestSoakBitsOfThePages(t *testing.T) {
	s := soaktest.New(t, "one bit of a page header, an element or a branch key", "each of a small log, through the page check: refused, or the same register")
	data, path := smallTree(t)
	want := fmt.Sprint(readAll(t, path).Entries)
	places := structure(t, data)
	step := soaktest.Rounds(t, 7*stride, 1, 1) // in every test each 7th of them
	journal := spoil(t, path+".journal")
	var next, refused, same atomic.Int64
	var running sync.WaitGroup
	for part := range runtime.GOMAXPROCS(0) {
		mine := filepath.Join(t.TempDir(), fmt.Sprint(part, ".log"))
		rewrite(t, mine+".journal", journal)
		running.Go(func() {
			bad := bytes.Clone(data)
			for n := int(next.Add(1)-1) * step; n < 8*len(places); n = int(next.Add(1)-1) * step {
				at, bit := places[n/8], byte(1)<<(n%8)
				bad[at] ^= bit
				s.Ran()
				if err := checkPages(bytes.NewReader(bad), "x"); errors.Is(err, ErrDamaged) {
					refused.Add(1)
				} else if readsAs(t, s, mine, bad, want, fmt.Sprintf("page %d, byte %d, bit %d", at/pageSize, at%pageSize, n%8)) {
					same.Add(1)
				} else {
					refused.Add(1)
				}
				bad[at] ^= bit
			}
		})
	}
	running.Wait()
	s.Counts("of %d bits each %d: %d refused, %d read as before", 8*len(places), step, refused.Load(), same.Load())
	if same.Load() == 0 || refused.Load() < 2*same.Load() {
		t.Error("the check lets too much or too little pass")
	}
}

// readsAs reads a file that the page check lets pass: as it was, or not at all.
func readsAs(t *testing.T, s *soaktest.Soak, path string, data []byte, want, what string) bool {
	if err := os.WriteFile(path, data, 0o600); err != nil {
		t.Error(err)
		return false
	}
	snap, err := ReadAll(bg, path)
	if err != nil {
		if !errors.Is(err, ErrDamaged) && !errors.Is(err, ErrJournalAhead) && !errors.Is(err, ErrOld) {
			s.Lies("%s: %v", what, err)
		}
		return false
	}
	if got := fmt.Sprint(snap.Entries); got != want {
		s.Lies("%s: another register", what)
	}
	return true
}

// A leaf that is said to run on into a page that is free would be written over by a
// save; that is found though the leaf itself is read only when it is touched.
func TestALeafThatRunsIntoAFreePage(t *testing.T) {
	data, _ := smallTree(t)
	num := binary.NativeEndian
	h := newest(bytes.NewReader(data))
	list := data[h.free*pageSize:]
	free, tried := map[uint64]bool{}, 0
	for i := range int(num.Uint16(list[10:])) {
		free[num.Uint64(list[pageHeader+8*i:])] = true
	}
	check := func() error { return checkForWriting(fileSource{bytes.NewReader(data)}, "x", h, false) }
	if err := check(); err != nil {
		t.Fatal(err)
	}
	for id := uint64(2); id < h.pages; id++ {
		page := data[id*pageSize:]
		more := num.Uint32(page[12:])
		if free[id] || num.Uint16(page[8:]) != pageLeaf || id == h.root || !free[id+uint64(more)+1] {
			continue
		}
		tried++
		num.PutUint32(page[12:], more+1)
		if err := check(); !errors.Is(err, ErrDamaged) {
			t.Errorf("page %d runs on into the free page %d: %v", id, id+uint64(more)+1, err)
		}
		num.PutUint32(page[12:], more)
	}
	if tried == 0 {
		t.Fatal("no leaf of the log lies before a free page")
	}
}
