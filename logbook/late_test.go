package logbook

import (
	"testing"
	"time"
)

// late enters a weld in 2A that ended 4 minutes ago, changed as given.
func (c *crew) late(change func(*LateWeld)) string {
	c.t.Helper()
	c.do(EnterLater(c.h, c.lateWeld(change)))
	return c.entries[len(c.entries)-1].Weld
}

func (c *crew) lateWeld(change func(*LateWeld)) LateWeld {
	ended := c.h.At.Local().Add(-4 * time.Minute)
	l := LateWeld{
		Joint: "2A", Operator: ada, Unit: unit, Corrects: No, Answers: append(fitting("coupler 40", "W-1"), card()...),
		Ambient: 9_00, Mode: ModeKeyed, SecondsShown: 40, VoltsShown: ptr(39.5), Started: ended.Add(-40 * time.Second),
		Ended: ended, Outcome: Completed, Run: ptr(40), Look: look(LookHot), Why: "laptop in the van",
	}
	change(&l)
	return l
}

func TestEnterLater(t *testing.T) {
	c := onSite(t)
	id := c.late(func(*LateWeld) {})
	w := c.weld(id)
	if w.LateWhy != "laptop in the van" || w.Settings.How != Later || w.Ambient.How != Later || w.Looks[0].How != Later || *w.Run != 40 {
		t.Errorf("entered as %+v", w)
	}
	for item, a := range w.Answers {
		if a.How != Later {
			t.Errorf("%s came %q", item, a.How)
		}
	}
	ended := c.h.At.Local().Add(-4 * time.Minute)
	if got, _ := w.EndedAt(); !got.Equal(ended) {
		t.Errorf("ended %v", got)
	}
	if got, _ := w.FusedAt(); !got.Equal(ended.Add(-40 * time.Second)) {
		t.Errorf("fused %v", got)
	}
	if c.joint("2A").Stands != id || c.site().Ambient != nil {
		t.Error("it must stand, and its temperature is no fresh reading")
	}
	c.wantNext(id, StepDone)
	c.wantRebuilt()
}

// The hold of a weld entered later runs from the entry, unless somebody states
// its begin.
func TestHoldOfALateWeld(t *testing.T) {
	for _, tt := range []struct {
		stated bool
		left   time.Duration
	}{{false, 6 * time.Minute}, {true, 2 * time.Minute}} {
		c := onSite(t)
		w := c.weld(c.late(func(l *LateWeld) { l.HoldStated = tt.stated }))
		if left, _ := w.Hold.Left(c.h.At, morning); left != tt.left || w.HoldStated != tt.stated {
			t.Errorf("stated %v: left %v, want %v", tt.stated, left, tt.left)
		}
		if until, _ := w.HoldUntil(); !until.Equal(c.h.At.Wall.Add(tt.left)) {
			t.Errorf("stated %v: until %v", tt.stated, until)
		}
	}
}

// What has happened is never refused for being wrong.
func TestLateFacts(t *testing.T) {
	tests := []struct {
		name   string
		change func(*LateWeld)
		holds  func(Weld) bool
	}{
		{
			"ambient outside", func(l *LateWeld) { l.Ambient, l.CoolingMin = 31_00, 9 },
			func(w Weld) bool {
				return w.Settings.Band == nil && w.Hold.Want == 9*time.Minute && w.Settings.VoltsTable == 39.5 && w.Settings.Table != ""
			},
		},
		{
			"display unlike the table", func(l *LateWeld) { l.SecondsShown = 44 },
			func(w Weld) bool { return w.Settings.Unlike() != "" && len(w.Stops) == 0 && w.Stands() },
		},
		{
			"fitting of another size", func(l *LateWeld) { l.Answers[0].V = "coupler 63" },
			func(w Weld) bool { return w.Fitting() == "coupler 63" && w.Settings.SecondsTable == 80 },
		},
		{
			"fitting in no table", func(l *LateWeld) { l.Answers[0].V, l.CoolingMin = "odd one", 0 },
			func(w Weld) bool { return w.Settings.Table == "" && w.Settings.Band == nil && w.Hold == nil },
		},
		{
			"stopped", func(l *LateWeld) { l.Outcome, l.StoppedAt, l.Said = Stopped, ptr(17), "voltage lost" },
			func(w Weld) bool {
				return w.Outcome == Stopped && *w.StoppedAt == 17 && len(w.Looks) == 0 && !w.RunAsked
			},
		},
		{
			"released", func(l *LateWeld) { l.Released = l.Ended.Add(time.Minute) },
			func(w Weld) bool { return !w.Holding() && w.ReleasedStated.Sub(*w.EndedStated) == time.Minute },
		},
		{
			"end not stated", func(l *LateWeld) { l.Outcome, l.Ended, l.HoldStated = NotSeen, time.Time{}, true },
			func(w Weld) bool { return w.EndedStated == nil && w.Ended != nil && w.Hold.Done == 0 && !w.HoldStated },
		},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			c := onSite(t)
			if w := c.weld(c.late(tt.change)); !tt.holds(w) {
				t.Errorf("entered as %+v, settings %+v", w, w.Settings)
			}
			c.wantRebuilt()
		})
	}
}

func TestLateRefused(t *testing.T) {
	c := onSite(t)
	c.fused("1A")
	now := c.h.At.Local()
	tests := []struct {
		name   string
		change func(*LateWeld)
		want   error
		says   string
	}{
		{"another stands", func(l *LateWeld) { l.Joint = "1A" }, ErrRule, "KM-0001 stands"},
		{"no such joint", func(l *LateWeld) { l.Joint = "9Z" }, ErrUnknown, "9Z"},
		{"end before start", func(l *LateWeld) { l.Ended = l.Started.Add(-time.Second) }, ErrRule, "not in order"},
		{"released before the end", func(l *LateWeld) { l.Released = l.Ended.Add(-time.Second) }, ErrRule, "not in order"},
		{"end to come", func(l *LateWeld) { l.Ended = now.Add(time.Second) }, ErrRule, "not in order"},
		{"start to come", func(l *LateWeld) { l.Started, l.Ended = now.Add(time.Second), time.Time{} }, ErrRule, "not in order"},
		{"release to come", func(l *LateWeld) { l.Released = now.Add(time.Second) }, ErrRule, "not in order"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) { c.refused(EnterLater(c.h, c.lateWeld(tt.change)), tt.want, tt.says) })
	}
}

// A walk that was stopped, and the fitting fused all the same: the fact is
// taken, under the number that may stand on the pipe already.
func TestLateOnAnOpenWalkKeepsItsNumber(t *testing.T) {
	c := onSite(t)
	walk := c.begin("1B")
	c.late(func(l *LateWeld) { l.Joint, l.SecondsShown = "1B", 83 })
	w := c.weld(walk)
	if !w.Stands() || w.LateWhy == "" || w.Settings.Unlike() == "" {
		t.Errorf("%s is %+v", walk, w)
	}
	if j := c.joint("1B"); j.Stands != walk || j.Walk != "" {
		t.Errorf("joint 1B is %+v", j)
	}
	c.wantRebuilt()
}
