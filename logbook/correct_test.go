package logbook_test

import (
	"errors"
	"testing"

	"pgregory.net/rapid"

	"coolhold/logbook"
	"coolhold/logbook/acts"
	"coolhold/logbook/crew"
)

// Whatever is corrected, in whatever order: what was recorded first is found
// again.
func TestAsRecordedIsTheFirstRecord(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		c := crew.OnSite(t)
		id := c.Done("1A")
		if rapid.Bool().Draw(rt, "disturbed") {
			c.Do(acts.Disturb(c.H, id, 3, "", "digger"))
		}
		was := crew.Bare(c.Weld(id))
		values := []string{"up", "up, part", logbook.Done, logbook.CouldNot, "12", "3", "40", "44", "W-9", "stopped", "completed", "code", "cap 40", "coupler 40", logbook.No, "2B", "E1"}
		for range rapid.IntRange(1, 12).Draw(rt, "corrections") {
			f := rapid.SampledFrom(logbook.Fields(c.Weld(id))).Draw(rt, "field")
			v := rapid.SampledFrom(append(values, optionsOf(f)...)).Draw(rt, "value")
			act := acts.Correct(c.H, id, f.Key, v, "why")
			if f.Key == logbook.FieldJoint {
				act = acts.MoveWeld(c.H, id, v, "why", true)
			}
			if err := c.Try(act); err != nil && !errors.Is(err, logbook.ErrRule) && !errors.Is(err, logbook.ErrUnknown) {
				rt.Fatal(err)
			}
		}
		all := c.Weld(id).AsRecorded()
		if got := crew.Bare(all[len(all)-1]); got != was {
			rt.Fatalf("first recorded\n%s\nfound\n%s", was, got)
		}
		if len(all) != len(c.Weld(id).Corrections)+1 {
			rt.Fatalf("%d states of %d corrections", len(all), len(c.Weld(id).Corrections))
		}
		for i, w := range all {
			if want := len(all) - 1 - i; len(w.Corrections) != want {
				rt.Fatalf("as it stood %d corrections ago it has %d, want %d", i, len(w.Corrections), want)
			}
		}
	})
}

// optionsOf are the words and codes that can be written for a value.
func optionsOf(a logbook.Field) []string {
	if a.Options == nil {
		return nil
	}
	return append(a.Options.Words(), a.Options.Codes()...)
}
