package acts_test

import (
	"testing"
	"time"

	"coolhold/fusion"
	"coolhold/logbook"
	"coolhold/logbook/acts"
	"coolhold/logbook/crew"
)

// carried is a hold of 6 min (common practice, no source) that is read on another
// machine after two of them, with a heartbeat of the first minute.
func carried(t *testing.T) (c *crew.Crew, id string, beat fusion.Stamp) {
	t.Helper()
	c = crew.OnSite(t)
	id = c.Fused("1A")
	beat = c.H.At.Add(time.Minute)
	c.Wait(2 * time.Minute)
	c.H.At.Machine, c.H.At.Boot = office, 50*time.Hour
	return c, id, beat
}

// A person states by a watch, or by the ink on the pipe, how much of a hold has run.
// What is read to the minute is taken so that the hold is longer.
func TestAHoldIsStated(t *testing.T) {
	for _, tt := range []struct {
		name  string
		said  logbook.HoldSaid
		left  time.Duration
		wrong string // "": it is taken
	}{
		{"ink", logbook.HoldSaid{Watch: "14:49", Ink: "14:52"}, 3 * m, ""},
		{"ink, the watch to the second", logbook.HoldSaid{Watch: "14:49:30", Ink: "14:52"}, 2*m + 30*time.Second, ""},
		{"ink that is past", logbook.HoldSaid{Watch: "14:53", Ink: "14:52"}, -m, ""},
		{"ink across midnight", logbook.HoldSaid{Watch: "23:58", Ink: "00:01"}, 3 * m, ""},
		{"ink that was rounded up, by more than the clocks prove", logbook.HoldSaid{Watch: "14:45", Ink: "14:52"}, 5 * m, ""},
		{"ink of a later hold", logbook.HoldSaid{Watch: "14:44", Ink: "14:52"}, 0, "14:52 on the pipe is 8 min after 14:44, the hold is 6 min: read both again"},
		{"a watch to the minute", logbook.HoldSaid{Watch: "14:49", Began: "14:46"}, 4 * m, ""},
		{"a watch to the second", logbook.HoldSaid{Watch: "14:49:10", Began: "14:46:10"}, 3 * m, ""},
		{"a watch across midnight", logbook.HoldSaid{Watch: "00:01:00", Began: "23:58:00"}, 3 * m, ""},
		{"a watch in the same minute", logbook.HoldSaid{Watch: "14:49", Began: "14:49"}, 5 * m, ""},
		{"a watch long ago", logbook.HoldSaid{Watch: "14:49", Began: "09:00"}, 6*m - 348*m, ""},
		{"less than the clocks prove", logbook.HoldSaid{Watch: "14:49:00", Began: "14:48:30"}, 5 * m, ""},
		{"a begin that is to come", logbook.HoldSaid{Watch: "14:49", Began: "14:50"}, 0, "14:50 is still to come by a watch that shows 14:49: read both again"},
		{"neither", logbook.HoldSaid{Watch: "14:49"}, 0, "one of the two"},
		{"both", logbook.HoldSaid{Watch: "14:49", Began: "14:46", Ink: "14:52"}, 0, "one of the two"},
		{"no watch", logbook.HoldSaid{Ink: "14:52"}, 0, `what the watch shows now: "" is no time; write 14:49, or 14:49:30`},
		{"no time in ink", logbook.HoldSaid{Watch: "14:49", Ink: "soon"}, 0, `what stands on the pipe: "soon" is no time`},
		{"no time of a begin", logbook.HoldSaid{Watch: "14:49", Began: "25:00"}, 0, `when the hold began: "25:00" is no time`},
	} {
		t.Run(tt.name, func(t *testing.T) {
			for _, found := range []bool{false, true} {
				c, id, beat := carried(t)
				if found {
					c.Do(acts.FoundAtStart(c.H, beat))
				}
				tt.said.Why = "read on the pipe"
				if act := acts.SayHold(c.H, id, tt.said, beat); tt.wrong != "" {
					c.Refused(act, logbook.ErrRule, tt.wrong)
					continue
				} else {
					c.Do(act)
				}
				b := crew.Last[logbook.HoldSaid](c)
				if b.RanS != (6*m-tt.left).Seconds() || b.SureS != 60 || b.Watch != tt.said.Watch || b.Ink != tt.said.Ink || b.Began != tt.said.Began {
					t.Errorf("stored as %+v", b)
				}
				if n := len(c.Weld(id).Doubts); n != 1 {
					t.Errorf("doubted %d times: what the clocks prove stands before what is stated", n)
				}
				c.Wait(max(0, tt.left) + time.Second)
				if left, _ := c.Weld(id).Hold.Left(c.H.At, fusion.Stamp{}); left != min(0, tt.left)-time.Second {
					t.Errorf("%v left, want %v", left, -time.Second)
				}
				if said := c.Weld(id).HoldSaid; said == nil || said.By != crew.Ada {
					t.Errorf("kept as %+v", said)
				}
				c.Do(acts.Release(c.H, id, crew.Look(logbook.LookRelease), beat))
				c.WantRebuilt()
			}
		})
	}
}

// What is said once more counts, and what the clocks prove is told without what was
// said before.
func TestAHoldIsStatedAgain(t *testing.T) {
	c, id, beat := carried(t)
	say := func(ink string) {
		c.Do(acts.SayHold(c.H, id, logbook.HoldSaid{Watch: "14:49", Ink: ink, Why: "read on the pipe"}, beat))
	}
	say("14:50")
	c.Wait(30 * time.Second)
	say("14:53")
	if b := crew.Last[logbook.HoldSaid](c); b.RanS != 120 || b.SureS != 90 {
		t.Errorf("the second counts %+v", b)
	}
	c.Wait(4*m - time.Millisecond)
	c.Refused(acts.Release(c.H, id, crew.Look(logbook.LookRelease), beat), logbook.ErrRule, "not over")
	if sure := c.Weld(id).SureRun(c.H.At, beat); sure != 90*time.Second+4*m-time.Millisecond {
		t.Errorf("the clocks prove %v", sure)
	}
}

// A word takes nothing from what the first machine proves; a changed word does away
// with what others count by the one before.
func TestAWordOnAHoldBesideTheFirstMachine(t *testing.T) {
	c, id, beat := carried(t)
	first := crew.Morning
	first.Boot, first.Wall = beat.Boot+2*m, beat.Wall.Add(2*m) // 3 min after the hold began
	say := func(h acts.Head, ink string) {
		c.Do(acts.SayHold(h, id, logbook.HoldSaid{Watch: "14:49", Ink: ink, Why: "read on the pipe"}, beat))
	}
	left := func() time.Duration { d, _ := c.Weld(id).Hold.Left(first, beat); return d }
	say(c.H, "14:53")
	if got := left(); got != 3*m {
		t.Errorf("%v left on the first machine, want what its clock says", got)
	}
	say(c.H, "14:51")
	if got := left(); got != 2*m {
		t.Errorf("%v left on the first machine, want what was stated", got)
	}
}

func TestWhatIsNotStatedOfAHold(t *testing.T) {
	ink := logbook.HoldSaid{Watch: "14:49", Ink: "14:52", Why: "read on the pipe"}
	c := crew.OnSite(t)
	id := c.Prepared("1A")
	c.Refused(acts.SayHold(c.H, id, ink, fusion.Stamp{}), logbook.ErrRule, "not in a hold")
	id = c.Fused("1B")
	c.Wait(time.Minute)
	c.Refused(acts.SayHold(c.H, id, ink, fusion.Stamp{}), logbook.ErrRule, "one clock has counted the hold of KM-0002")
	c.Boot("boot two", m, m)
	for _, who := range []struct{ by, why, wrong string }{{"", "read on the pipe", "needs a name"}, {crew.Ada, "", "needs a reason"}, {crew.Ada, ".", "needs a reason"}} {
		h, said := c.H, ink
		h.By, said.Why = who.by, who.why
		c.Refused(acts.SayHold(h, id, said, fusion.Stamp{}), logbook.ErrRule, who.wrong)
	}
	c.Do(acts.SayHold(c.H, id, ink, fusion.Stamp{})) // across a restart too
	if kinds := c.Kinds(); kinds[len(kinds)-2] != (logbook.ClockDoubted{}).Kind() {
		t.Errorf("stored %v", kinds[len(kinds)-2:])
	}
	odd := c.Late(func(l *acts.LateWeld) { l.Answers[0].V, l.CoolingMin = "odd one", 0 })
	c.Refused(acts.SayHold(c.H, odd, ink, fusion.Stamp{}), logbook.ErrRule, "no cooling time is known of "+odd)
}

// The wall clock of another machine is no witness of a fusion here, fast by ten
// minutes as it may be.
func TestNoGapIsAcceptedByTheClockOfAnotherMachine(t *testing.T) {
	c, id, beat := carried(t)
	c.H.At.Wall = c.H.At.Wall.Add(10 * time.Minute)
	c.Do(acts.FoundAtStart(c.H, beat))
	c.Refused(acts.AcceptGap(c.H, id, "sat beside it"), logbook.ErrRule, "ended on another machine")
	if left, _ := c.Weld(id).Hold.Left(c.H.At, beat); left != 5*m {
		t.Errorf("%v left", left)
	}
}

// A program that shows a log all the time meets holds of another machine as they come;
// from when it saw them they run here, once, and each machine goes by its own clock.
func TestAHoldThatCameFromElsewhere(t *testing.T) {
	c := crew.OnSite(t)
	here := c.H.At
	c.H.At.Machine, c.H.At.Boot = office, 50*time.Hour
	id := c.Fused("1A")
	there, since := c.H.At, c.H.At.Boot-50*time.Hour
	c.H.At = here.Add(since + 2*m)
	c.Do(acts.FoundElsewhere(c.H, fusion.Stamp{}))
	if b := crew.Last[logbook.ClockDoubted](c); b.Why != string(fusion.Elsewhere) || b.RanS != 0 {
		t.Errorf("recorded %+v", b)
	}
	n := len(c.Entries)
	c.Do(acts.FoundElsewhere(c.H, fusion.Stamp{}))
	if len(c.Entries) != n {
		t.Error("found twice")
	}
	c.Wait(m)
	for machine, tt := range map[string]struct {
		now  fusion.Stamp
		left time.Duration
	}{laptop: {c.H.At, 5 * m}, office: {there.Add(3 * m), 3 * m}} {
		if left, doubt := c.Weld(id).Hold.Left(tt.now, fusion.Stamp{}); left != tt.left || doubt != fusion.Sure {
			t.Errorf("%s: %v left, %q; want %v", machine, left, doubt, tt.left)
		}
	}
	c.Boot("boot two", m, m)
	c.Do(acts.FoundElsewhere(c.H, fusion.Stamp{})) // a restart is found at the start of the program
	if len(c.Entries) != n {
		t.Errorf("recorded %v", c.Kinds()[n:])
	}
}

// A fusion that is found on another machine runs there at full length from then on, so
// that its time runs out and its end is asked for.
func TestAFusionFoundElsewhere(t *testing.T) {
	c := crew.OnSite(t)
	id := c.Prepared("1A")
	c.Do(acts.StartFusion(c.H, id, 0))
	first := c.H.At
	c.Wait(10 * time.Second)
	c.H.At.Machine, c.H.At.Boot = office, 50*time.Hour
	c.Do(acts.FoundAtStart(c.H, fusion.Stamp{}))
	c.Wait(15 * time.Second)
	for _, tt := range []struct {
		now  fusion.Stamp
		left time.Duration
	}{{c.H.At, 25 * time.Second}, {first.Add(25 * time.Second), 15 * time.Second}} {
		span, _ := c.Weld(id).FusionSpan()
		if left, doubt := span.Left(tt.now, fusion.Stamp{}); left != tt.left || doubt != fusion.Sure {
			t.Errorf("%s: %v of 40 s left, %q; want %v", tt.now.Machine, left, doubt, tt.left)
		}
	}
}

// A fusion of 40 s whose end was said after 10, before a restart: its hold has not begun
// when the machine is on again, however short that took.
func TestAHoldStillToBeginAtARestart(t *testing.T) {
	c := crew.OnSite(t)
	id := c.Prepared("1A")
	c.Do(acts.StartFusion(c.H, id, 0))
	c.Wait(10 * time.Second)
	c.Do(acts.EndFusion(c.H, id, logbook.FusionEnded{Outcome: logbook.Completed}))
	c.Boot("boot two", 2*time.Second, 8*time.Second)
	c.Do(acts.FoundAtStart(c.H, fusion.Stamp{}))
	left, _ := c.Weld(id).Hold.Left(c.H.At, fusion.Stamp{})
	if want := 6*m + 22*time.Second; left != want { // 30 s less the 8 since the restart; in truth 20
		t.Errorf("%v left, want %v", left, want)
	}
}
