package ahead

import (
	"testing"
	"time"
)

// A time of day at which work ends lies in the day and is written as it is read.
func FuzzParseClock(f *testing.F) {
	for _, s := range []string{"18:00", "18.00", "1800", "24:00", "0:00", "9:5", "2460"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		d, err := ParseClock(s)
		if err != nil {
			return
		}
		if again, err := ParseClock(clockWord(d)); err != nil || again != d || d <= 0 || d > 24*time.Hour {
			t.Errorf("%q is %s, again %s, %v", s, d, again, err)
		}
	})
}
