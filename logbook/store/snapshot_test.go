package store

import (
	"fmt"
	"os"
	"slices"
	"testing"
	"time"

	"coolhold/logbook"
)

// A log is read for one site, by its name or its short name; without a name for
// the only one there is.
func TestReadSite(t *testing.T) {
	l := aDay(t)
	if err := l.Beat(stamp(77)); err != nil {
		t.Fatal(err)
	}
	book := logbook.Fold("KM", readAll(t, l.path).Entries)
	for name, whole := range map[string][]string{
		"meadow": {"meadow"}, "Invented meadow": {"meadow"}, "hill": {"hill"}, "dale": nil, "": nil,
	} {
		shot, err := ReadSite(bg, l.path, name, time.Time{})
		if err != nil || shot.ID != l.id || shot.Tag != "KM" || shot.Entries != 24 || shot.Beat != stamp(77) || shot.Sealed != nil {
			t.Fatalf("%q: %+v (%v)", name, shot, err)
		}
		if n := len(shot.Book.Sites()); n != 2 || shot.Book.NextWeld() != 6 {
			t.Errorf("%q: %d sites, next %d", name, n, shot.Book.NextWeld())
		}
		for _, site := range whole {
			if got, want := dumpSite(t, shot.Book, site), dumpSite(t, book, site); got != want {
				t.Errorf("%q: site %s shows\n%s\nwant\n%s", name, site, got, want)
			}
		}
		if got := len(shot.Book.Welds("meadow")); (got == 5) != (whole != nil && whole[0] == "meadow") {
			t.Errorf("%q: %d welds of meadow", name, got)
		}
	}
	sealedTwice(t, l)
	shot, err := ReadSite(bg, l.path, "hill", time.Time{})
	if err != nil || shot.Sealed == nil || shot.Sealed.Seq != 27 || shot.Sealed.Kind != "sealed" || shot.Entries != 27 {
		t.Errorf("sealed: %+v (%v)", shot, err)
	}
	for i := range 5 {
		d := draft(fmt.Sprint("note ", i), logbook.Note{Text: "between seals"})
		d.At = stamp(100 + 2*i)
		add(t, l, d)
		sealAt(t, l, fmt.Sprint("seal ", i), stamp(101+2*i))
	}
	for _, upto := range readAll(t, l.path).Entries {
		shot, err := ReadSite(bg, l.path, "hill", upto.At.Wall)
		var sealed, seal uint64
		for _, e := range readAll(t, l.path).Entries[:shot.Entries] {
			if e.Kind == "sealed" {
				sealed = e.Seq
			}
		}
		if shot.Sealed != nil {
			seal = shot.Sealed.Seq
		}
		if err != nil || shot.Entries < int(upto.Seq) || seal != sealed {
			t.Errorf("as of entry %d: %d entries, sealed by %d; want %d (%v)", upto.Seq, shot.Entries, seal, sealed, err)
		}
	}
	one := fresh(t)
	add(t, one, draft("site", logbook.SiteOpened{Name: "Meadow"}), draft("shift", logbook.JointStruck{Why: "x"}))
	shot, err = ReadSite(bg, one.path, "", time.Time{})
	if err != nil {
		t.Fatal(err)
	}
	if got, want := dumpSite(t, shot.Book, "meadow"), dumpSite(t, logbook.Fold("KM", readAll(t, one.path).Entries), "meadow"); got != want {
		t.Errorf("the only site shows\n%s\nwant\n%s", got, want)
	}
	os.Remove(one.path + ".journal")
	if _, err := ReadSite(bg, one.path, "", time.Time{}); err != nil {
		t.Errorf("without a journal: %v", err)
	}
	if _, err := os.Stat(one.path + ".journal"); err == nil {
		t.Error("a journal was made")
	}
}

// Who goes through all lines is told how far that is.
func TestThroughTheLinesIsTold(t *testing.T) {
	l := fresh(t)
	if _, err := l.Append(bg, saves("many", 2*busyEvery+1)); err != nil {
		t.Fatal(err)
	}
	var told []string
	WhenBusy(func(stage string, done, of int) { told = append(told, fmt.Sprint(stage, " ", done, " of ", of)) })
	defer WhenBusy(nil)
	lines := 0
	err := ReadLines(bg, l.path, func(has Lines) error { return has.Each(func([]byte) { lines++ }) })
	want := []string{"reading the log 0 of 513", "reading the log 256 of 513", "reading the log 512 of 513"}
	if err != nil || lines != 513 || !slices.Equal(told, want) {
		t.Errorf("%d lines, told %q (%v)", lines, told, err)
	}
}
