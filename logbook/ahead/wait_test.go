package ahead_test

import (
	"testing"
	"time"

	"coolhold/fusion"
	"coolhold/logbook"
	"coolhold/logbook/acts"
	"coolhold/logbook/ahead"
	"coolhold/logbook/crew"
)

// From when a weld may be put under pressure goes by the clocks that hold go by: no
// wall clock that is set takes the wait away or makes it longer. The figures of the
// table are invented: 20 min from the end of cooling, which is 6 min after fusion
// (common practice, no source); "coupler 63" 30 min from the end of fusion.
func TestThePressureWaitGoesByTheBootClock(t *testing.T) {
	const day, m = 24 * time.Hour, time.Minute
	set := func(by time.Duration) func(*crew.Crew) {
		return func(c *crew.Crew) { c.Wait(5 * m); c.H.At.Wall = c.H.At.Wall.Add(by) }
	}
	entered := func(c *crew.Crew) { c.Do(acts.ChangeWeather(c.H, logbook.Weather{Sky: "dry", Shelter: "none"})) }
	for _, tt := range []struct {
		name  string
		since func(*crew.Crew)
		left  [2]time.Duration // from the end of cooling, and from the end of fusion; of 26 and of 30 min
		doubt fusion.Doubt
	}{
		{"the clock kept", set(0), [2]time.Duration{21 * m, 25 * m}, fusion.Sure},
		{"set a day on", set(day), [2]time.Duration{21 * m, 25 * m}, fusion.Sure},
		{"set a day back", set(-day), [2]time.Duration{21 * m, 25 * m}, fusion.Sure},
		{"a closed lid", func(c *crew.Crew) { c.Wait(20 * m) }, [2]time.Duration{6 * m, 10 * m}, fusion.Sure},
		{"over, and the clock set back", func(c *crew.Crew) { c.Wait(40 * m); c.H.At.Wall = c.H.At.Wall.Add(-day) }, [2]time.Duration{-14 * m, -10 * m}, fusion.Sure},
		{"a restart, set a day on", func(c *crew.Crew) { c.Boot("boot two", day, 4*m) }, [2]time.Duration{22 * m, 26 * m}, fusion.Restarted},
		{"a restart, set a day back", func(c *crew.Crew) { c.Boot("boot two", -day, 4*m) }, [2]time.Duration{26 * m, 30 * m}, fusion.Restarted},
		{"next morning, after an hour of entries", func(c *crew.Crew) { c.Wait(60 * m); entered(c); c.Boot("boot two", 14*time.Hour, m) }, [2]time.Duration{-35 * m, -31 * m}, fusion.Restarted},
		{"next morning, right after the last entry", func(c *crew.Crew) { c.Wait(3 * m); entered(c); c.Boot("boot two", 14*time.Hour, m) }, [2]time.Duration{22 * m, 26 * m}, fusion.Restarted},
		{"another machine", func(c *crew.Crew) { c.H.At.Machine = "office"; c.H.At.Wall = c.H.At.Wall.Add(day) }, [2]time.Duration{26 * m, 30 * m}, fusion.Elsewhere},
		{"another machine, since it was taken up there", func(c *crew.Crew) { c.H.At.Machine = "office"; entered(c); c.Wait(9 * m) }, [2]time.Duration{17 * m, 21 * m}, fusion.Elsewhere},
	} {
		t.Run(tt.name, func(t *testing.T) {
			for i, label := range []string{"1A", "FG"} {
				c := crew.OnSite(t)
				id := c.Fused(label)
				tt.since(c)
				wait, ok := ahead.WaitOf(c.Site(), c.Weld(id), c.H.At, fusion.Stamp{})
				byWall, _ := c.Weld(id).WaitOver()
				left := wait.Over.Sub(c.H.At.Local())
				if over := tt.left[i] <= 0; over && tt.doubt != fusion.Sure {
					left = tt.left[i] // it is over, and told as it was told before
					if !wait.Over.Equal(byWall) {
						t.Errorf("%s: over at %v, want %v as before", label, wait.Over, byWall)
					}
				}
				if !ok || left != tt.left[i] || wait.Runs != (tt.left[i] > 0) || wait.Doubt != tt.doubt {
					t.Errorf("%s: %v left, want %v; %+v", label, left, tt.left[i], wait)
				}
				if unsure := wait.Runs && tt.doubt != fusion.Sure && !wait.Over.Equal(byWall); wait.Doubtful() != unsure {
					t.Errorf("%s: doubtful %v: %+v", label, wait.Doubtful(), wait)
				}
			}
		})
	}
}

// A drift of a moment moves no time that was told: it is rounded up to the minute.
func TestAToldWaitStays(t *testing.T) {
	c := crew.OnSite(t)
	id := c.Fused("1A")
	told, _ := ahead.WaitOf(c.Site(), c.Weld(id), c.H.At, fusion.Stamp{})
	c.Wait(time.Minute)
	for _, drift := range []time.Duration{-2 * time.Second, time.Millisecond, 2 * time.Second} {
		now := c.H.At
		now.Wall = now.Wall.Add(drift)
		if wait, _ := ahead.WaitOf(c.Site(), c.Weld(id), now, fusion.Stamp{}); !wait.Over.Equal(told.Over) {
			t.Errorf("drifted by %v: %v, told %v", drift, wait.Over, told.Over)
		}
	}
	now := c.H.At
	now.Wall = now.Wall.Add(2*time.Second + time.Millisecond)
	if wait, _ := ahead.WaitOf(c.Site(), c.Weld(id), now, fusion.Stamp{}); wait.Over.Equal(told.Over) {
		t.Error("a clock that was set is taken for one that drifted")
	}
}

// The forecast and the order tell it by the same.
func TestAClockSetOnTakesNoForecastAway(t *testing.T) {
	c := crew.OnSite(t)
	c.Fused("FG")
	c.H.At.Wall = c.H.At.Wall.Add(24 * time.Hour)
	want := c.H.At.Local().Add(30 * time.Minute)
	if f := ahead.ForecastOf(c.Book, c.H.Site, nil, c.H.At, fusion.Stamp{}); !f.Wait.Over.Equal(want) || !f.Wait.Runs {
		t.Errorf("forecast %+v, want %v", f.Wait, want)
	}
	for _, j := range c.Book.Joints(c.H.Site) {
		if j.Label != "FG" {
			c.Do(acts.StrikeJoint(c.H, j.Label, "not needed"))
		}
	}
	site := c.Site()
	if o := ahead.OrderOf(c.Book, logbook.ShelfOf(site), site.ID, ahead.OrderGiven{}, c.H.At, fusion.Stamp{}); !o.Test.Equal(want) {
		t.Errorf("the order has %v, want %v", o.Test, want)
	}
}
