package logbook

import (
	"slices"
	"testing"
	"time"

	"coolhold/fusion"
)

// The hold begins at the later of the key and the time the fusion should have
// taken, 40 s here (common practice, no source).
func TestHoldBegins(t *testing.T) {
	tests := []struct {
		name    string
		ago     int           // seconds
		key     time.Duration // after the start's entry
		outcome Outcome
		want    time.Duration // after the start's entry
	}{
		{"key late", 0, 55 * time.Second, Completed, 55 * time.Second},
		{"key early", 0, 10 * time.Second, Completed, 40 * time.Second},
		{"key early, start entered late", 15, 10 * time.Second, Completed, 25 * time.Second},
		{"stopped early", 0, 10 * time.Second, Stopped, 10 * time.Second},
		{"nobody saw", 0, 10 * time.Second, NotSeen, 10 * time.Second},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			c := onSite(t)
			id := c.prepared("1A")
			c.do(StartFusion(c.h, id, tt.ago))
			start := c.h.At
			c.wait(tt.key)
			c.do(EndFusion(c.h, id, FusionEnded{Outcome: tt.outcome}))
			hold := c.weld(id).Hold
			if hold == nil || hold.Began != start.Add(tt.want) || hold.Want != 6*time.Minute || hold.Done != 0 {
				t.Errorf("hold %+v, want its begin at %+v", hold, start.Add(tt.want))
			}
		})
	}
}

func TestReleaseWaitsForTheHold(t *testing.T) {
	c := onSite(t)
	id := c.fused("1A")
	c.refused(EndFusion(c.h, id, FusionEnded{Outcome: Completed}), ErrRule, "not fusing")
	c.wait(6*time.Minute - time.Millisecond)
	c.refused(Release(c.h, id, look(LookRelease), fusion.Stamp{}), ErrRule, "not over")
	c.wait(time.Millisecond)
	c.do(Release(c.h, id, look(LookRelease), fusion.Stamp{}))
	if w := c.weld(id); w.Released == nil || w.Holding() || len(w.Looks) != 1 || w.Looks[0].By != ada {
		t.Errorf("released as %+v", w)
	}
	c.refused(Release(c.h, id, look(LookRelease), fusion.Stamp{}), ErrRule, "not in a hold")
	c.wantRebuilt()
}

func TestDisturb(t *testing.T) {
	for _, tt := range []struct {
		said  int // minutes after the fusion
		after int
		early bool
	}{{0, 0, true}, {6, 5, true}, {6, 6, false}, {40, 30, false}, {3, 99, true}} { // the last: a typo while the hold runs
		c := onSite(t)
		id := c.fused("1A")
		c.wait(time.Duration(tt.said) * time.Minute)
		c.do(Disturb(c.h, id, tt.after, "digger"))
		if b := last[Disturbed](c); b.Early != tt.early || b.AfterMin != tt.after {
			t.Errorf("%d min: %+v", tt.after, b)
		}
		c.refused(Release(c.h, id, look(LookRelease), fusion.Stamp{}), ErrRule, "not in a hold")
	}
	c := onSite(t)
	id := c.prepared("1A")
	c.refused(Disturb(c.h, id, 1, "digger"), ErrRule, "does not stand")
	c.do(StartFusion(c.h, id, 0))
	c.refused(Disturb(c.h, id, 1, "digger"), ErrRule, "not recorded yet")
}

func TestCutOpensTheJoint(t *testing.T) {
	c := onSite(t)
	id := c.fused("1A")
	c.do(Cut(c.h, id, "indicator flat"))
	if j := c.joint("1A"); !j.Open() || !slices.Equal(j.Welds, []string{id}) {
		t.Errorf("joint %+v", j)
	}
	c.wantNext(id, StepDone)
	c.refused(Cut(c.h, id, "twice"), ErrRule, "does not stand")
	if again := c.fused("1A"); c.joint("1A").Stands != again {
		t.Error("the second weld does not stand")
	}
}

// A boot is a later start of the machine: the wall clock ran on, the boot
// clock began anew.
func (c *crew) boot(id string, off, since time.Duration) {
	c.h.At.Wall = c.h.At.Wall.Add(off + since)
	c.h.At.Boot, c.h.At.BootID = since, id
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
			c := onSite(t)
			id := c.fused("1A")
			began := *c.weld(id).Hold
			beat := fusion.Stamp{}
			if tt.beat != -1 {
				beat = began.Began.Add(tt.beat)
			}
			c.boot("boot two", tt.off, tt.since)
			before, _ := began.Left(c.h.At, beat)
			c.do(FoundAtStart(c.h, beat))
			if b := last[ClockDoubted](c); b.RanS != tt.ran.Seconds() || b.ByWallS != (tt.off+tt.since).Seconds() {
				t.Errorf("doubted as %+v", b)
			}
			after, doubt := c.weld(id).Hold.Left(c.h.At, beat)
			if after < before || after != 6*time.Minute-tt.ran || doubt != fusion.Sure {
				t.Errorf("left %v (%q), before %v", after, doubt, before)
			}
			c.do(FoundAtStart(c.h, beat))
			if n := len(c.weld(id).Doubts); n != 1 {
				t.Errorf("a second start of the program doubts %d times", n)
			}
			c.wantRebuilt()
		})
	}
}

// Whether a hold may end is judged on the weld as it is stored, not as it was
// shown: what another program stored in between counts.
func TestAHoldBetweenSeeingAndReleasing(t *testing.T) {
	tests := []struct {
		name, want string // "": it is released
		between    func(*crew, string)
	}{
		{"nothing", "", func(*crew, string) {}},
		{"a look", "", func(c *crew, id string) { c.do(ReadLook(c.h, id, look(LookRound))) }},
		{"its hold is doubted", "the hold of KM-0001 is not over", func(c *crew, id string) {
			c.do(onWeld(c.h, id, func(Reader, Weld) ([]Body, error) { return []Body{ClockDoubted{Why: "restarted", RanS: 60}}, nil }))
		}},
		{"disturbed", "KM-0001 is not in a hold", func(c *crew, id string) { c.do(Disturb(c.h, id, 2, "digger")) }},
		{"released by another", "KM-0001 is not in a hold", func(c *crew, id string) { c.do(Release(c.h, id, look(LookRelease), fusion.Stamp{})) }},
		{"cut out", "KM-0001 is not in a hold", func(c *crew, id string) { c.do(Cut(c.h, id, "crooked")) }},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			c := onSite(t)
			id := c.fused("1A")
			c.wait(6 * time.Minute)
			act := Release(c.h, id, look(LookRelease), fusion.Stamp{})
			if _, err := act(c.book); err != nil {
				t.Fatalf("on what was seen: %v", err)
			}
			tt.between(c, id)
			if tt.want != "" {
				c.refused(act, ErrRule, tt.want)
				return
			}
			if c.do(act); c.weld(id).Released == nil {
				t.Error("it is not released")
			}
		})
	}
}

func TestGapAccepted(t *testing.T) {
	c := onSite(t)
	id := c.fused("1A")
	c.refused(AcceptGap(c.h, id, "why"), ErrRule, "no doubted hold")
	c.boot("boot two", 4*time.Minute, 30*time.Second)
	c.do(FoundAtStart(c.h, fusion.Stamp{}))
	c.refused(AcceptGap(c.h, id, ""), ErrRule, "needs a")
	c.wait(30 * time.Second)
	c.do(AcceptGap(c.h, id, "sat beside it"))
	if b := last[GapAccepted](c); b.RanS != 300 {
		t.Errorf("accepted %g s, want 300", b.RanS)
	}
	if left, _ := c.weld(id).Hold.Left(c.h.At, fusion.Stamp{}); left != time.Minute || c.weld(id).Gap != ada {
		t.Errorf("left %v, accepted by %q", left, c.weld(id).Gap)
	}
}

// A weld entered later whose hold counts from the entry must not gain the time
// before it by way of a gap.
func TestGapOfALateWeldCountsFromItsEntry(t *testing.T) {
	for _, stated := range []bool{false, true} {
		c := onSite(t)
		id := c.late(func(l *LateWeld) { l.HoldStated = stated })
		since := 4 * time.Minute // from the stated end to the entry
		c.boot("boot two", time.Minute, 10*time.Second)
		c.do(FoundAtStart(c.h, fusion.Stamp{}), AcceptGap(c.h, id, "sat beside it"))
		want := 70 * time.Second
		if stated {
			want += since
		}
		if b := last[GapAccepted](c); b.RanS != want.Seconds() {
			t.Errorf("stated %v: accepted %g s, want %g", stated, b.RanS, want.Seconds())
		}
	}
}

func TestFusionFoundAtStart(t *testing.T) {
	c := onSite(t)
	id := c.prepared("1A")
	c.do(StartFusion(c.h, id, 0))
	c.wait(10 * time.Second)
	c.do(FoundAtStart(c.h, fusion.Stamp{}))
	if b := last[WalkResumed](c); !b.Found || !c.weld(id).Unwatched {
		t.Errorf("found as %+v", b)
	}
	was := len(c.entries)
	c.do(FoundAtStart(c.h, fusion.Stamp{}))
	if len(c.entries) != was {
		t.Error("found twice")
	}
	c.do(EndFusion(c.h, id, FusionEnded{Outcome: Completed})) // after 10 of 40 s
	if w := c.weld(id); w.Hold.Began != c.h.At.Add(30*time.Second) || w.Answers["scraped"].V != Done {
		t.Errorf("said after 10 of 40 s, on the same start: the hold must begin when the fusion was due to end: %+v", w.Hold)
	}
}

func TestClockDrift(t *testing.T) {
	tests := []struct {
		name string
		move func(*crew)
		want float64 // seconds; 0: none recorded
	}{
		{"wall put forward", func(c *crew) { c.h.At.Wall = c.h.At.Wall.Add(time.Hour) }, 3600},
		{"wall put back", func(c *crew) { c.h.At.Wall = c.h.At.Wall.Add(-3 * time.Second) }, -3},
		{"just not", func(c *crew) { c.h.At.Wall = c.h.At.Wall.Add(2 * time.Second) }, 0},
		{"another start", func(c *crew) { c.boot("boot two", time.Hour, time.Second) }, 0},
		{"no boot id", func(c *crew) { c.h.At.Wall, c.h.At.BootID = c.h.At.Wall.Add(time.Hour), "" }, 0},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			c := onSite(t)
			was := len(c.entries)
			tt.move(c)
			c.do(FoundAtStart(c.h, fusion.Stamp{}))
			if tt.want == 0 {
				if len(c.entries) != was || len(c.site().Drifts) != 0 {
					t.Errorf("recorded %v", c.kinds()[was:])
				}
				return
			}
			if b := last[ClockDoubted](c); b.DriftS != tt.want || len(c.site().Drifts) != 1 {
				t.Errorf("recorded %+v, site %v", b, c.site().Drifts)
			}
		})
	}
	c := onSite(t)
	c.do(DoubtDrift(c.h, 5*time.Second))
	if b := last[ClockDoubted](c); b.DriftS != 5 || len(c.site().Drifts) != 1 {
		t.Errorf("recorded %+v", b)
	}
}

func TestRunningOn(t *testing.T) {
	c := onSite(t)
	held := c.fused("1A")
	on := c.prepared("2A")
	c.do(StartFusion(c.h, on, 0))
	c.wait(5 * time.Second)
	lines := RunningOn(c.book, c.h.Site, c.h.At, fusion.Stamp{})
	if len(lines) != 2 || lines[0].Weld.ID != on || !lines[0].Fusing || lines[0].Left != 35*time.Second ||
		lines[1].Weld.ID != held || lines[1].Fusing || lines[1].Left != 355*time.Second {
		t.Errorf("running %+v", lines)
	}
	if ends := c.h.At.Local().Add(35 * time.Second); !lines[0].Ends.Equal(ends) || lines[0].Over() {
		t.Errorf("ends %v, want %v", lines[0].Ends, ends)
	}
	c.wait(36 * time.Second)
	if lines = RunningOn(c.book, c.h.Site, c.h.At, fusion.Stamp{}); !lines[0].Over() || lines[1].Over() {
		t.Errorf("after 41 s %+v", lines)
	}
}

func TestInk(t *testing.T) {
	c := onSite(t)
	id := c.fused("1A")
	if got, want := c.weld(id).Ink("AI"), "1A  KM-0001  9 Mar  AI  hold to 08:07"; got != want {
		t.Errorf("ink %q, want %q", got, want)
	}
	minute := time.Date(2026, 3, 9, 8, 7, 0, 0, time.UTC)
	for _, d := range []time.Duration{0, -time.Nanosecond, -59 * time.Second} {
		if got := UpMinute(minute.Add(d)); !got.Equal(minute) {
			t.Errorf("%v before 08:07 is written %v", -d, got)
		}
	}
}
