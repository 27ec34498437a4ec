package shell

import (
	"slices"
	"testing"
	"time"

	"coolhold/fusion"
	"coolhold/logbook"
)

// A stick that does not answer is asked once and said; what it says in the end is of
// the log that it was asked for.
func TestATwinThatDoesNotAnswer(t *testing.T) {
	type log struct{ Log }
	mine, other := &log{}, &log{}
	r := Root{w: 80, log: mine, base: logbook.NewBook("KM", 1), now: fusion.Stamp{Wall: time.Date(2026, 3, 9, 8, 0, 0, 0, time.UTC), Boot: time.Hour}}
	r.opts.Outside.Twin = func(Log) TwinState { return TwinState{Trouble: "twin away"} }
	r, answer := r.followTwin()
	if answer == nil {
		t.Fatal("not asked")
	}
	for n := range 20 {
		r.now = r.now.Add(time.Second)
		r.base = logbook.NewBook("KM", 1) // something was stored
		next, cmd := r.followTwin()
		if r = next; cmd != nil {
			t.Fatalf("asked again after %d s", n+1)
		}
		want := []string{" twin does not answer"}
		if n+1 < twinEvery {
			want = nil
		}
		if got := r.twinLines(); !slices.Equal(got, want) {
			t.Errorf("after %d s: %q", n+1, got)
		}
	}
	answered, _ := r.twinned(answer().(twinMsg))
	if got := answered.twinLines(); !slices.Equal(got, []string{" twin away"}) {
		t.Errorf("%q", got)
	}
	r.log = other
	r, fresh := r.followTwin()
	if fresh == nil {
		t.Error("another log's twin is not asked")
	}
	if late, _ := r.twinned(answer().(twinMsg)); late.twin.state.Trouble != "" || late.twin.asked.IsZero() {
		t.Error("the answer for the other log is taken")
	}
	r.aside = true
	r, _ = r.twinned(fresh().(twinMsg))
	if _, cmd := r.followTwin(); cmd != nil {
		t.Error("asked while put aside")
	}
}
