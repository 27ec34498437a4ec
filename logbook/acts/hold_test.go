package acts_test

import (
	"testing"
	"time"

	"coolhold/fusion"
	"coolhold/logbook"
	"coolhold/logbook/acts"
	"coolhold/logbook/crew"
)

func TestReleaseWaitsForTheHold(t *testing.T) {
	c := crew.OnSite(t)
	id := c.Fused("1A")
	c.Refused(acts.EndFusion(c.H, id, logbook.FusionEnded{Outcome: logbook.Completed}), logbook.ErrRule, "not fusing")
	c.Wait(6*time.Minute - time.Millisecond)
	c.Refused(acts.Release(c.H, id, crew.Look(logbook.LookRelease), fusion.Stamp{}), logbook.ErrRule, "not over")
	c.Wait(time.Millisecond)
	c.Do(acts.Release(c.H, id, crew.Look(logbook.LookRelease), fusion.Stamp{}))
	if w := c.Weld(id); w.Released == nil || w.Holding() || len(w.Looks) != 1 || w.Looks[0].By != crew.Ada {
		t.Errorf("released as %+v", w)
	}
	c.Refused(acts.Release(c.H, id, crew.Look(logbook.LookRelease), fusion.Stamp{}), logbook.ErrRule, "not in a hold")
	c.WantRebuilt()
}

func TestDisturb(t *testing.T) {
	for _, tt := range []struct {
		said  int // minutes after the fusion
		after int
		early bool
	}{{0, 0, true}, {6, 5, true}, {6, 6, false}, {40, 30, false}, {3, 99, true}} { // the last: a typo while the hold runs
		c := crew.OnSite(t)
		id := c.Fused("1A")
		c.Wait(time.Duration(tt.said) * time.Minute)
		c.Do(acts.Disturb(c.H, id, tt.after, "", "digger"))
		if b := crew.Last[logbook.Disturbed](c); b.Early != tt.early || b.AfterMin != tt.after {
			t.Errorf("%d min: %+v", tt.after, b)
		}
		c.Refused(acts.Release(c.H, id, crew.Look(logbook.LookRelease), fusion.Stamp{}), logbook.ErrRule, "not in a hold")
	}
	c := crew.OnSite(t)
	id := c.Prepared("1A")
	c.Refused(acts.Disturb(c.H, id, 1, "", "digger"), logbook.ErrRule, "does not stand")
	c.Do(acts.StartFusion(c.H, id, 0))
	c.Refused(acts.Disturb(c.H, id, 1, "", "digger"), logbook.ErrRule, "not recorded yet")
}

func TestHoldAfterRestart(t *testing.T) {
	tests := []struct {
		name       string
		beat       time.Duration // of the last heartbeat after the hold's begin; -1: none
		off, since time.Duration
		ran        time.Duration // what is certain
	}{
		{"no heartbeat", -1, 3 * time.Minute, time.Minute, time.Minute},
		{"heartbeat", 45 * time.Second, 3 * time.Minute, time.Minute, 105 * time.Second},
		{"heartbeat before the hold", -30 * time.Second, time.Minute, 20 * time.Second, 20 * time.Second},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			c := crew.OnSite(t)
			id := c.Fused("1A")
			began := *c.Weld(id).Hold
			beat := fusion.Stamp{}
			if tt.beat != -1 {
				beat = began.Began.Add(tt.beat)
			}
			c.Boot("boot two", tt.off, tt.since)
			before, _ := began.Left(c.H.At, beat)
			c.Do(acts.FoundAtStart(c.H, beat))
			if b := crew.Last[logbook.ClockDoubted](c); b.RanS != tt.ran.Seconds() || b.ByWallS != (tt.off+tt.since).Seconds() {
				t.Errorf("doubted as %+v", b)
			}
			after, doubt := c.Weld(id).Hold.Left(c.H.At, beat)
			if after < before || after != 6*time.Minute-tt.ran || doubt != fusion.Sure {
				t.Errorf("left %v (%q), before %v", after, doubt, before)
			}
			c.Do(acts.FoundAtStart(c.H, beat))
			if n := len(c.Weld(id).Doubts); n != 1 {
				t.Errorf("a second start of the program doubts %d times", n)
			}
			c.WantRebuilt()
		})
	}
}

// Whether a hold may end is judged on the weld as it is stored, not as it was
// shown: what another program stored in between counts.
func TestAHoldBetweenSeeingAndReleasing(t *testing.T) {
	tests := []struct {
		name, want string // "": it is released
		between    func(*crew.Crew, string)
	}{
		{"nothing", "", func(*crew.Crew, string) {}},
		{"a look", "", func(c *crew.Crew, id string) { c.Do(acts.ReadLook(c.H, id, crew.Look(logbook.LookRound))) }},
		{"its hold is doubted", "the hold of KM-0001 is not over", func(c *crew.Crew, id string) {
			c.Do(crew.Raw(c.H, c.Weld(id).Joint, id, logbook.ClockDoubted{Why: "restarted", RanS: 60}))
		}},
		{"disturbed", "KM-0001 is not in a hold", func(c *crew.Crew, id string) { c.Do(acts.Disturb(c.H, id, 2, "", "digger")) }},
		{"released by another", "KM-0001 is not in a hold", func(c *crew.Crew, id string) {
			c.Do(acts.Release(c.H, id, crew.Look(logbook.LookRelease), fusion.Stamp{}))
		}},
		{"cut out", "KM-0001 is not in a hold", func(c *crew.Crew, id string) { c.Do(acts.Cut(c.H, id, "crooked")) }},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			c := crew.OnSite(t)
			id := c.Fused("1A")
			c.Wait(6 * time.Minute)
			act := acts.Release(c.H, id, crew.Look(logbook.LookRelease), fusion.Stamp{})
			if _, err := act(c.Book); err != nil {
				t.Fatalf("on what was seen: %v", err)
			}
			tt.between(c, id)
			if tt.want != "" {
				c.Refused(act, logbook.ErrRule, tt.want)
				return
			}
			if c.Do(act); c.Weld(id).Released == nil {
				t.Error("it is not released")
			}
		})
	}
}

func TestGapAccepted(t *testing.T) {
	c := crew.OnSite(t)
	id := c.Fused("1A")
	c.Refused(acts.AcceptGap(c.H, id, "why"), logbook.ErrRule, "no doubted hold")
	c.Boot("boot two", 4*time.Minute, 30*time.Second)
	c.Do(acts.FoundAtStart(c.H, fusion.Stamp{}))
	c.Refused(acts.AcceptGap(c.H, id, ""), logbook.ErrRule, "needs a")
	c.Wait(30 * time.Second)
	c.Do(acts.AcceptGap(c.H, id, "sat beside it"))
	if b := crew.Last[logbook.GapAccepted](c); b.RanS != 300 {
		t.Errorf("accepted %g s, want 300", b.RanS)
	}
	if left, _ := c.Weld(id).Hold.Left(c.H.At, fusion.Stamp{}); left != time.Minute || c.Weld(id).Gap != crew.Ada {
		t.Errorf("left %v, accepted by %q", left, c.Weld(id).Gap)
	}
}

// A weld entered later whose hold counts from the entry must not gain the time
// before it by way of a gap.
func TestGapOfALateWeldCountsFromItsEntry(t *testing.T) {
	for _, stated := range []bool{false, true} {
		c := crew.OnSite(t)
		id := c.Late(func(l *acts.LateWeld) { l.HoldStated = stated })
		since := 4 * time.Minute // from the stated end to the entry
		c.Boot("boot two", time.Minute, 10*time.Second)
		c.Do(acts.FoundAtStart(c.H, fusion.Stamp{}), acts.AcceptGap(c.H, id, "sat beside it"))
		want := 70 * time.Second
		if stated {
			want += since
		}
		if b := crew.Last[logbook.GapAccepted](c); b.RanS != want.Seconds() {
			t.Errorf("stated %v: accepted %g s, want %g", stated, b.RanS, want.Seconds())
		}
	}
}

func TestFusionFoundAtStart(t *testing.T) {
	c := crew.OnSite(t)
	id := c.Prepared("1A")
	c.Do(acts.StartFusion(c.H, id, 0))
	c.Wait(10 * time.Second)
	c.Do(acts.FoundAtStart(c.H, fusion.Stamp{}))
	if b := crew.Last[logbook.WalkResumed](c); !b.Found || !b.Running || c.Weld(id).Unwatched || !c.Weld(id).Found {
		t.Errorf("found as %+v; its end is still to come", b)
	}
	was := len(c.Entries)
	c.Do(acts.FoundAtStart(c.H, fusion.Stamp{}))
	if len(c.Entries) != was {
		t.Error("found twice")
	}
	c.Do(acts.EndFusion(c.H, id, logbook.FusionEnded{Outcome: logbook.Completed})) // after 10 of 40 s
	if w := c.Weld(id); w.Hold.Began.Add(-w.Hold.Done) != c.H.At.Add(30*time.Second) || w.Answers["scraped"].V != logbook.Done {
		t.Errorf("said after 10 of 40 s, on the same start: the hold must begin when the fusion was due to end: %+v", w.Hold)
	}
}

func TestClockDrift(t *testing.T) {
	tests := []struct {
		name string
		move func(*crew.Crew)
		want float64 // seconds; 0: none recorded
	}{
		{"wall put forward", func(c *crew.Crew) { c.H.At.Wall = c.H.At.Wall.Add(time.Hour) }, 3600},
		{"wall put back", func(c *crew.Crew) { c.H.At.Wall = c.H.At.Wall.Add(-3 * time.Second) }, -3},
		{"just not", func(c *crew.Crew) { c.H.At.Wall = c.H.At.Wall.Add(2 * time.Second) }, 0},
		{"another start", func(c *crew.Crew) { c.Boot("boot two", time.Hour, time.Second) }, 0},
		{"no boot id", func(c *crew.Crew) { c.H.At.Wall, c.H.At.BootID = c.H.At.Wall.Add(time.Hour), "" }, 0},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			c := crew.OnSite(t)
			was := len(c.Entries)
			tt.move(c)
			c.Do(acts.FoundAtStart(c.H, fusion.Stamp{}))
			if tt.want == 0 {
				if len(c.Entries) != was || len(c.Site().Drifts) != 0 {
					t.Errorf("recorded %v", c.Kinds()[was:])
				}
				return
			}
			if b := crew.Last[logbook.ClockDoubted](c); b.DriftS != tt.want || len(c.Site().Drifts) != 1 {
				t.Errorf("recorded %+v, site %v", b, c.Site().Drifts)
			}
		})
	}
	c := crew.OnSite(t)
	c.Do(acts.DoubtDrift(c.H, 5*time.Second))
	if b := crew.Last[logbook.ClockDoubted](c); b.DriftS != 5 || len(c.Site().Drifts) != 1 {
		t.Errorf("recorded %+v", b)
	}
}

// On a system that does not name its starts the smaller of two clocks counts,
// and a boot clock that went back is a restart.
func TestHoldWithoutBootID(t *testing.T) {
	c := crew.OnSite(t)
	c.H.At.BootID = ""
	c.Fused("1A")
	was := len(c.Entries)
	for _, after := range []time.Duration{0, time.Minute} { // at the very moment the hold begins, and later
		c.Wait(after)
		c.Do(acts.FoundAtStart(c.H, fusion.Stamp{}))
		if len(c.Entries) != was {
			t.Fatalf("doubted without a restart: %v", c.Kinds()[was:])
		}
	}
	c.Boot("", 2*time.Minute, 30*time.Second)
	c.Do(acts.FoundAtStart(c.H, fusion.Stamp{}))
	if b := crew.Last[logbook.ClockDoubted](c); b.RanS > 30 || b.ByWallS != 210 {
		t.Errorf("doubted as %+v", b)
	}
}
