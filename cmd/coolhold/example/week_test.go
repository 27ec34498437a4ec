package example

import (
	"context"
	"slices"
	"testing"
	"time"

	"coolhold/fusion"
	"coolhold/logbook"
	"coolhold/logbook/audit"
	"coolhold/logbook/store"
)

// The three crews make all welds of their sites in a week; one batch fails more than the
// other, and what the example wants to show is there to be found.
func TestTheWeekOfThreeCrews(t *testing.T) {
	monday := fusion.Stamp{Wall: time.Date(2026, 3, 9, 7, 0, 0, 0, time.UTC), Offset: 3600, Boot: time.Hour, BootID: "monday", Machine: "laptop"}
	fails, welds := map[string]int{}, map[string]int{}
	for _, c := range Crews {
		log, err := store.Create(t.TempDir()+"/log", store.NewLog{Tag: c.Tag, Rand: zeros{}})
		if err != nil {
			t.Fatal(err)
		}
		l, err := NewLaptop(log, c, monday)
		for range WorkDays {
			if err == nil {
				err = l.Day()
			}
		}
		if err != nil {
			t.Fatalf("%s: %v", c.Name, err)
		}
		snap, err := store.ReadAll(context.Background(), log.Path())
		if err != nil {
			t.Fatal(err)
		}
		book := logbook.Fold(c.Tag, snap.Entries)
		site := book.Sites()[0].ID
		res := audit.Run(book, site, snap.Entries[len(snap.Entries)-1].At, fusion.Stamp{})
		all := book.Welds(site)
		if len(all) != len(weekLegs) {
			t.Errorf("%s made %d welds of %d", c.Name, len(all), len(weekLegs))
		}
		for _, w := range all {
			welds[w.Batch()]++
			if slices.ContainsFunc(res.OfWeld(w.ID), func(f audit.Finding) bool { return f.Severity == audit.Fail && !f.Work }) {
				fails[w.Batch()]++
			}
		}
	}
	if welds[BadBatch] < 20 || welds[firstBatch] < 20 || fails[BadBatch] < 5 || fails[firstBatch] > 0 {
		t.Errorf("welds %v, with a fail %v", welds, fails)
	}
}

type zeros struct{}

func (zeros) Read(p []byte) (int, error) { clear(p); return len(p), nil }
