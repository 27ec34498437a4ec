package store

import (
	"context"
	"errors"
	"fmt"
	"runtime"
	"testing"
	"time"

	"coolhold/logbook"
)

// A long decision keeps nobody from the log: others save while it is made. Then it is made
// once more, of what they saved.
func TestALongDecisionIsMadeBeforeTheLock(t *testing.T) {
	l := aDay(t)
	other := another(t, l)
	note := func(id string) []logbook.Draft {
		return []logbook.Draft{{ID: id, At: stamp(1), Site: "meadow", Body: logbook.Happened{Text: id}}}
	}
	calls, seen := 0, 0
	saved, err := l.AppendAhead(bg, func(r logbook.Reader) ([]logbook.Draft, error) {
		s, _ := r.Site("meadow")
		seen = len(s.Events)
		if calls++; calls > 1 {
			return note(fmt.Sprint("after ", seen)), nil
		}
		soon, cancel := context.WithTimeout(bg, 5*time.Second)
		defer cancel()
		if _, err := other.Append(soon, func(logbook.Reader) ([]logbook.Draft, error) { return note("meanwhile"), nil }); err != nil {
			t.Errorf("another waits for it: %v", err)
		}
		return note("before"), nil
	})
	if err != nil || calls != 2 || len(saved) != 1 || saved[0].ID != fmt.Sprintf("after %d.0", seen) || seen == 0 {
		t.Errorf("decided %d times, of %d, saved %+v, %v", calls, seen, saved, err)
	}
	calls = 0
	saved, err = l.AppendAhead(bg, func(logbook.Reader) ([]logbook.Draft, error) { calls++; return note("alone"), nil })
	if err != nil || calls != 1 || len(saved) != 1 || saved[0].ID != "alone.0" {
		t.Errorf("decided %d times, saved %+v, %v", calls, saved, err)
	}
	no, before := errors.New("no"), howMany(t, l)
	if _, err = l.AppendAhead(bg, func(logbook.Reader) ([]logbook.Draft, error) { return nil, no }); !errors.Is(err, no) || howMany(t, l) != before {
		t.Errorf("refused: %v", err)
	}
}

func howMany(t *testing.T, l *Log) int { return len(readAll(t, l.path).Entries) }

// The row of a site names its welds that may run: it is written once a save, or a sheet of
// many rows would be written in the square of them.
func TestAWeldOfALongSaveCostsNoMore(t *testing.T) {
	each := func(welds int) float64 {
		l := fresh(t)
		drafts := []logbook.Draft{{ID: "open", At: stamp(0), Site: "dale", Body: logbook.SiteOpened{Name: "Invented Dale"}}}
		for n := 1; n <= welds; n++ {
			drafts = append(drafts, benchWeld("dale", n)[:3]...)
		}
		var before, after runtime.MemStats
		runtime.ReadMemStats(&before)
		if _, err := l.Append(bg, func(logbook.Reader) ([]logbook.Draft, error) { return drafts, nil }); err != nil {
			t.Fatal(err)
		}
		runtime.ReadMemStats(&after)
		return float64(after.TotalAlloc-before.TotalAlloc) / float64(welds)
	}
	each(10)
	if few, many := each(50), each(800); many > 1.8*few { // a list that is copied for each is a part of it
		t.Errorf("%.0f bytes a weld of 50, %.0f of 800", few, many)
	}
}
