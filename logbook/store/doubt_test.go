package store

import (
	"errors"
	"fmt"
	"os"
	"reflect"
	"testing"

	"coolhold/logbook"
)

// doubted is a save that is stored, though its log is made to believe that it may
// not be.
func doubted(t *testing.T, l *Log, id string) []logbook.Entry {
	t.Helper()
	entries, err := l.Append(bg, saves(id, 2))
	if err != nil {
		t.Fatal(err)
	}
	l.doubt = doubtOf(entries)
	l.doubt.cause = errors.New("the disk said nothing")
	return entries
}

// A save of which nothing is known is looked up before anything else is stored,
// whatever that is, and as long as it cannot be nothing is stored.
func TestADoubtIsLookedUpFirst(t *testing.T) {
	l := fresh(t)
	doubted(t, l, "a")
	away := l.path + ".away"
	if err := os.Rename(l.path, away); err != nil {
		t.Fatal(err)
	}
	for range 2 {
		if _, err := l.Append(bg, saves("b", 1)); !errors.Is(err, logbook.ErrNotKnown) {
			t.Errorf("the log is away: %v", err)
		}
	}
	if err := os.Rename(away, l.path); err != nil {
		t.Fatal(err)
	}
	if _, err := l.Append(bg, saves("b", 1)); err != nil {
		t.Error(err)
	}
	if n := len(readAll(t, l.path).Entries); n != 3 {
		t.Errorf("%d entries", n)
	}
}

// However much others write meanwhile, a save in doubt that is tried once more is
// not stored twice.
func TestADoubtIsFoundFarBack(t *testing.T) {
	l := fresh(t)
	first := doubted(t, l, "a")
	other := another(t, l)
	for i := range recent + 10 {
		if _, err := other.Append(bg, saves(fmt.Sprint("other ", i), 1)); err != nil {
			t.Fatal(err)
		}
	}
	refuses := func(logbook.Reader) ([]logbook.Draft, error) { return nil, logbook.Refuse("it stands there") }
	if _, err := l.Append(logbook.Tried(bg, "b"), refuses); !errors.Is(err, logbook.ErrRule) {
		t.Errorf("one that is not there is decided on: %v", err)
	}
	for what, again := range map[string]func() ([]logbook.Entry, error){
		"decided anew": func() ([]logbook.Entry, error) { return l.Append(bg, saves("a", 2)) },
		"the act would refuse itself, since the records have it": func() ([]logbook.Entry, error) { return l.Append(logbook.Tried(bg, "a"), refuses) },
	} {
		l.doubt, l.settled = doubtOf(first), nil
		if entries, err := again(); err != nil || !reflect.DeepEqual(entries, first) {
			t.Errorf("%s: got %+v, %v; want %+v", what, entries, err, first)
		}
	}
	add(t, l, draft("later", logbook.Note{}))
	if l.settled != nil || l.doubt != nil {
		t.Error("it is looked for for ever")
	}
}

// One that is not there is said to be not stored, and is stored when it is tried
// once more.
func TestADoubtThatIsNotStored(t *testing.T) {
	l := fresh(t)
	l.doubt = &doubt{ids: []string{"a"}, cause: errors.New("the disk said nothing")}
	entries, err := l.settle(bg)
	if len(entries) > 0 || err == nil || errors.Is(err, logbook.ErrNotKnown) || errors.Is(err, logbook.ErrStored) {
		t.Errorf("%v, %v", entries, err)
	}
	wantLine(t, err, err, "the disk said nothing; it was looked up: nothing of it is stored")
	if entries, err := l.Append(bg, saves("a", 1)); err != nil || entries[0].Seq != 1 {
		t.Errorf("%v, %v", entries, err)
	}
}

// outcomeOf is what a save is said to have become.
func outcomeOf(err error) string {
	switch {
	case err == nil:
		return "STORED"
	case errors.Is(err, logbook.ErrStored):
		return "STORED WITHOUT JOURNAL"
	case errors.Is(err, logbook.ErrNotKnown):
		return "NOT KNOWN"
	}
	return "NOT STORED"
}
