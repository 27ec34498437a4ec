package logbook_test

import (
	"slices"
	"testing"
	"time"

	"coolhold/logbook"
	"coolhold/logbook/acts"
	"coolhold/logbook/crew"
)

// The hold begins at the later of the key and the time the fusion should have
// taken, 40 s here (common practice, no source).
func TestHoldBegins(t *testing.T) {
	tests := []struct {
		name    string
		ago     int           // seconds
		key     time.Duration // after the start's entry
		outcome logbook.Outcome
		want    time.Duration // after the start's entry
	}{
		{"key late", 0, 55 * time.Second, logbook.Completed, 55 * time.Second},
		{"key early", 0, 10 * time.Second, logbook.Completed, 40 * time.Second},
		{"key early, start entered late", 15, 10 * time.Second, logbook.Completed, 25 * time.Second},
		{"stopped early", 0, 10 * time.Second, logbook.Stopped, 10 * time.Second},
		{"nobody saw", 0, 10 * time.Second, logbook.NotSeen, 10 * time.Second},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			c := crew.OnSite(t)
			id := c.Prepared("1A")
			c.Wait(time.Duration(tt.ago) * time.Second)
			c.Do(acts.StartFusion(c.H, id, tt.ago))
			start := c.H.At
			c.Wait(tt.key)
			c.Do(acts.EndFusion(c.H, id, logbook.FusionEnded{Outcome: tt.outcome}))
			hold := c.Weld(id).Hold
			if hold == nil || hold.Began.Add(-hold.Done) != start.Add(tt.want) || hold.Want != 6*time.Minute || hold.Done > 0 {
				t.Errorf("hold %+v, want its begin at %+v", hold, start.Add(tt.want))
			}
		})
	}
}

func TestCutOpensTheJoint(t *testing.T) {
	c := crew.OnSite(t)
	id := c.Fused("1A")
	c.Do(acts.Cut(c.H, id, "indicator flat"))
	if j := c.Joint("1A"); !j.Open() || !slices.Equal(j.Welds, []string{id}) {
		t.Errorf("joint %+v", j)
	}
	c.WantNext(id, logbook.StepDone)
	c.Refused(acts.Cut(c.H, id, "twice"), logbook.ErrRule, "does not stand")
	if again := c.Fused("1A"); c.Joint("1A").Stands != again {
		t.Error("the second weld does not stand")
	}
}

func TestInk(t *testing.T) {
	c := crew.OnSite(t)
	id := c.Fused("1A")
	if got, want := c.Weld(id).Ink("AI"), "1A  KM-0001  9 Mar  AI  cool until 08:07"; got != want {
		t.Errorf("ink %q, want %q", got, want)
	}
	minute := time.Date(2026, 3, 9, 8, 7, 0, 0, time.UTC)
	for _, d := range []time.Duration{0, -time.Nanosecond, -59 * time.Second} {
		if got := logbook.UpMinute(minute.Add(d)); !got.Equal(minute) {
			t.Errorf("%v before 08:07 is written %v", -d, got)
		}
	}
}
