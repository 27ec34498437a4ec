package logbook_test

import (
	"encoding/json"
	"errors"
	"slices"
	"strings"
	"testing"
	"time"

	"coolhold/logbook"
	"coolhold/logbook/acts"
	"coolhold/logbook/crew"
)

func TestMerge(t *testing.T) {
	one, two := crew.OnSite(t), crew.Tagged(t, "QT")
	two.Wait(time.Minute)
	two.Opens(crew.PlanText, crew.TableText)
	two.Do(acts.ReadBack(two.H, logbook.Hash(crew.TableText)))
	two.StartShift("2026-03-09")
	a := one.Done("1A")
	two.Wait(5 * time.Minute)
	b := two.Done("1B")
	logs := []logbook.LogCopy{{"one", "id1", "KM", one.Entries}, {"old copy", "id1", "KM", one.Entries[:12]}, {"two", "id2", "QT", two.Entries}}
	all, err := logbook.Merge(logs)
	if err != nil || len(all) != len(one.Entries)+len(two.Entries) {
		t.Fatalf("%d entries of %d and %d: %v", len(all), len(one.Entries), len(two.Entries), err)
	}
	logs[0], logs[1] = logs[1], logs[0] // whichever is named first, the longer copy counts
	if again, err := logbook.Merge(logs); err != nil || len(again) != len(all) {
		t.Errorf("with the older copy first %d entries, want %d: %v", len(again), len(all), err)
	}
	book := logbook.Fold("KM", all)
	site := one.H.Site
	if ja, _ := book.Joint(site, "1A"); ja.Stands != a {
		t.Errorf("1A has %q", ja.Stands)
	}
	if jb, _ := book.Joint(site, "1B"); jb.Stands != b || b != "QT-0001" {
		t.Errorf("1B has %q", jb.Stands)
	}
	w, _ := book.Weld(site, b)
	sh, ok := book.Shift(site, w.Shift)
	if !ok || sh.ID != "2026-03-09 QT" || len(book.Joints(site)) != 6 {
		t.Errorf("shift %q of %+v", w.Shift, sh)
	}
	s, _ := book.Site(site)
	if row, err := logbook.ShelfOf(s).Row("coupler 40"); err != nil || row.Fitting.Seconds[1] != 40 {
		t.Errorf("its tables: %v", err)
	}
	for i := 1; i < len(all); i++ {
		if all[i].Seq != all[i-1].Seq+1 || all[i].At.Wall.Before(all[i-1].At.Wall) {
			t.Fatalf("entry %d is out of order", i)
		}
	}
}

func TestMergeRefuses(t *testing.T) {
	c := crew.OnSite(t)
	forked := slices.Clone(c.Entries)
	forked[3].Body = json.RawMessage(`{"why":"another"}`)
	if _, err := logbook.Merge([]logbook.LogCopy{{"a", "id", "KM", c.Entries}, {"b", "id", "KM", forked}}); !errors.Is(err, logbook.ErrForked) || !strings.Contains(err.Error(), "entry 4") {
		t.Errorf("forked: %v", err)
	}
	if _, err := logbook.Merge([]logbook.LogCopy{{"a", "id", "KM", c.Entries}, {"b", "other", "KM", c.Entries}}); !errors.Is(err, logbook.ErrRule) || !strings.Contains(err.Error(), "tag KM") {
		t.Errorf("one tag: %v", err)
	}
	if got, err := logbook.Merge([]logbook.LogCopy{{"a", "id", "KM", c.Entries}}); err != nil || len(got) != len(c.Entries) {
		t.Errorf("one log: %v", err)
	}
	if got, err := logbook.Merge(nil); err != nil || got != nil {
		t.Errorf("none: %v %v", got, err)
	}
}
