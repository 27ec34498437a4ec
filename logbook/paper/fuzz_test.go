package paper

import (
	"testing"
	"time"
)

// A day that is read is one that can be written again; a time of day is one of a clock.
func FuzzParseDay(f *testing.F) {
	for _, s := range []string{"2026-03-09", "9.3.2026", "09/03/2026", "9.3.26", "46090", "2026-03-09T00:00:00", "29.2.2026", "14:05", "14.05.59", "24:00"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		if at, err := ParseDay(s, time.UTC); err == nil {
			again, err := ParseDay(at.Format(time.DateOnly), time.UTC)
			if err != nil || !again.Equal(at) || at.Hour() != 12 {
				t.Errorf("%q is %s, again %s, %v", s, at, again, err)
			}
		}
		if h, m, sec, err := parseClock(s); err == nil && (h < 0 || h > 23 || m < 0 || m > 59 || sec < 0 || sec > 59) {
			t.Errorf("%q is %d:%d:%d", s, h, m, sec)
		}
	})
}
