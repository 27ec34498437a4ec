package walk

import (
	"slices"
	"strings"
	"testing"

	"coolhold/logbook"
)

func marks(step logbook.Step) string {
	var b strings.Builder
	for _, s := range stops(step) {
		b.WriteString(s.state)
	}
	return b.String()
}

// Each step has one place: what is before it is done, what is behind it is to come.
func TestTheStepsOfAWalk(t *testing.T) {
	n := len(order)
	for i, step := range order {
		want := strings.Repeat(isDone, i) + isNow + strings.Repeat(toCome, n-i-1)
		if got := marks(step); got != want {
			t.Errorf("%s: %s, want %s", step, got, want)
		}
	}
	for step, before := range between {
		all := stops(step)
		at := slices.IndexFunc(all, func(s stop) bool { return s.state == isNow })
		if at < 0 || all[at].step != step || all[at+1].step != before || len(all) != n+1 {
			t.Errorf("%s stands in %v", step, all)
		}
	}
	if got, want := marks(logbook.StepDone), strings.Repeat(isDone, n); got != want {
		t.Errorf("at the end: %s, want %s", got, want)
	}
	for step := range steps {
		_, between := between[step]
		if step != logbook.StepDone && !between && !slices.Contains(order, step) {
			t.Errorf("%s has no place among the steps", step)
		}
	}
}
