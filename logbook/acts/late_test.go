package acts_test

import (
	"strings"
	"testing"
	"time"

	"coolhold/logbook"
	"coolhold/logbook/acts"
	"coolhold/logbook/crew"
)

func TestEnterLater(t *testing.T) {
	c := crew.OnSite(t)
	id := c.Late(func(*acts.LateWeld) {})
	w := c.Weld(id)
	if w.LateWhy != "laptop in the van" || w.Settings.How != logbook.Later || w.Ambient.How != logbook.Later || w.Looks[0].How != logbook.Later || *w.Run != 40 {
		t.Errorf("entered as %+v", w)
	}
	for item, a := range w.Answers {
		if a.How != logbook.Later {
			t.Errorf("%s came %q", item, a.How)
		}
	}
	ended := c.H.At.Local().Add(-4 * time.Minute)
	if got, _ := w.EndedAt(); !got.Equal(ended) {
		t.Errorf("ended %v", got)
	}
	if got, _ := w.FusedAt(); !got.Equal(ended.Add(-40 * time.Second)) {
		t.Errorf("fused %v", got)
	}
	if c.Joint("2A").Stands != id || c.Site().Ambient != nil {
		t.Error("it must stand, and its temperature is no fresh reading")
	}
	c.WantNext(id, logbook.StepDone)
	c.WantRebuilt()
}

// The hold of a weld entered later runs from the entry, unless somebody states
// its begin.
func TestHoldOfALateWeld(t *testing.T) {
	for _, tt := range []struct {
		stated bool
		left   time.Duration
	}{{false, 6 * time.Minute}, {true, 2 * time.Minute}} {
		c := crew.OnSite(t)
		w := c.Weld(c.Late(func(l *acts.LateWeld) { l.HoldStated = tt.stated }))
		if left, _ := w.Hold.Left(c.H.At, crew.Morning); left != tt.left || w.HoldStated != tt.stated {
			t.Errorf("stated %v: left %v, want %v", tt.stated, left, tt.left)
		}
		if until, _ := w.HoldUntil(); !until.Equal(c.H.At.Wall.Add(tt.left)) {
			t.Errorf("stated %v: until %v", tt.stated, until)
		}
	}
}

// What has happened is never refused for being wrong.
func TestLateFacts(t *testing.T) {
	tests := []struct {
		name   string
		change func(*acts.LateWeld)
		holds  func(logbook.Weld) bool
	}{
		{
			"ambient outside", func(l *acts.LateWeld) { l.Ambient, l.CoolingMin = 31_00, 9 },
			func(w logbook.Weld) bool {
				return w.Settings.Band == nil && w.Hold.Want == 9*time.Minute && w.Settings.VoltsTable == 39.5 && w.Settings.Table != ""
			},
		},
		{
			"display unlike the table", func(l *acts.LateWeld) { l.SecondsShown = 44 },
			func(w logbook.Weld) bool { return w.Settings.Unlike() != "" && len(w.Stops) == 0 && w.Stands() },
		},
		{
			"fitting of another size", func(l *acts.LateWeld) { l.Answers[0].V = "coupler 63" },
			func(w logbook.Weld) bool { return w.Fitting() == "coupler 63" && w.Settings.SecondsTable == 80 },
		},
		{
			"fitting in no table", func(l *acts.LateWeld) { l.Answers[0].V, l.CoolingMin = "odd one", 0 },
			func(w logbook.Weld) bool { return w.Settings.Table == "" && w.Settings.Band == nil && w.Hold == nil },
		},
		{
			"stopped", func(l *acts.LateWeld) { l.Outcome, l.StoppedAt, l.Said = logbook.Stopped, new(17), "voltage lost" },
			func(w logbook.Weld) bool {
				return w.Outcome == logbook.Stopped && *w.StoppedAt == 17 && len(w.Looks) == 0 && !w.RunAsked
			},
		},
		{
			"released", func(l *acts.LateWeld) { l.Released = l.Ended.Add(time.Minute) },
			func(w logbook.Weld) bool { return !w.Holding() && w.ReleasedStated.Sub(*w.EndedStated) == time.Minute },
		},
		{
			"end not stated", func(l *acts.LateWeld) { l.Outcome, l.Ended, l.HoldStated = logbook.NotSeen, time.Time{}, true },
			func(w logbook.Weld) bool {
				return w.EndedStated == nil && w.Ended != nil && w.Hold.Done == 0 && !w.HoldStated
			},
		},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			c := crew.OnSite(t)
			if w := c.Weld(c.Late(tt.change)); !tt.holds(w) {
				t.Errorf("entered as %+v, settings %+v", w, w.Settings)
			}
			c.WantRebuilt()
		})
	}
}

func TestLateRefused(t *testing.T) {
	c := crew.OnSite(t)
	c.Fused("1A")
	now := c.H.At.Local()
	tests := []struct {
		name   string
		change func(*acts.LateWeld)
		want   error
		says   string
	}{
		{"another stands", func(l *acts.LateWeld) { l.Joint = "1A" }, logbook.ErrRule, "KM-0001 stands"},
		{"no such joint", func(l *acts.LateWeld) { l.Joint = "9Z" }, logbook.ErrUnknown, "9Z"},
		{"end before start", func(l *acts.LateWeld) { l.Ended = l.Started.Add(-time.Second) }, logbook.ErrRule, "not in order"},
		{"released before the end", func(l *acts.LateWeld) { l.Released = l.Ended.Add(-time.Second) }, logbook.ErrRule, "not in order"},
		{"end to come", func(l *acts.LateWeld) { l.Ended = now.Add(time.Second) }, logbook.ErrRule, "not in order"},
		{"start to come", func(l *acts.LateWeld) { l.Started, l.Ended = now.Add(time.Second), time.Time{} }, logbook.ErrRule, "not in order"},
		{"release to come", func(l *acts.LateWeld) { l.Released = now.Add(time.Second) }, logbook.ErrRule, "not in order"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) { c.Refused(acts.EnterLater(c.H, c.LateWeld(tt.change)), tt.want, tt.says) })
	}
}

// A walk that was stopped, and the fitting fused all the same: the fact is
// taken, under the number that may stand on the pipe already.
func TestLateOnAnOpenWalkKeepsItsNumber(t *testing.T) {
	c := crew.OnSite(t)
	walk := c.Begin("1B")
	c.Late(func(l *acts.LateWeld) { l.Joint, l.SecondsShown = "1B", 83 })
	w := c.Weld(walk)
	if !w.Stands() || w.LateWhy == "" || w.Settings.Unlike() == "" {
		t.Errorf("%s is %+v", walk, w)
	}
	if j := c.Joint("1B"); j.Stands != walk || j.Walk != "" {
		t.Errorf("joint 1B is %+v", j)
	}
	c.WantRebuilt()
}

// A walk that somebody else began keeps its number, and the weld is that of who made it,
// with what it was made.
func TestLateOnAnOpenWalkSaysWhoMadeIt(t *testing.T) {
	c := crew.OnSite(t)
	id := c.Fitted("1A")
	c.Wait(time.Hour)
	c.Late(func(l *acts.LateWeld) {
		l.Joint, l.Operator, l.Unit, l.Corrects = "1A", "Bo Invented", "CU-2", logbook.NotKnown
	})
	w := c.Weld(id)
	if w.Operator != "Bo Invented" || w.Unit != "CU-2" || w.Corrects != logbook.NotKnown || !w.Fused() {
		t.Errorf("made by %s with %s (%s)", w.Operator, w.Unit, w.Corrects)
	}
	said := ""
	for _, e := range c.Entries {
		if b, ok := e.Open().(logbook.StepAnswered); ok && b.Step == logbook.StepPeople {
			said = b.Line()
		}
	}
	if want := "operator: Bo Invented (before: Ada Invented); control unit: CU-2 (before: CU-1)"; !strings.Contains(said, want) {
		t.Errorf("stored %q, want %q", said, want)
	}
	c.WantRebuilt()
}

// A cap takes one end: a sheet on which the other was left blank says so by itself; of a
// coupler it stays unsaid.
func TestLateCapHasOneEnd(t *testing.T) {
	for fitting, want := range map[string]string{"cap 40": logbook.NoSuch, "coupler 40": ""} {
		c := crew.OnSite(t)
		c.Wait(time.Hour)
		id := c.Late(func(l *acts.LateWeld) {
			l.Answers = append(crew.Fitting(fitting, "W-1"), crew.Say(logbook.ItemScraped, logbook.Done))
		})
		if got := c.Weld(id).Answers[logbook.ItemScraped2]; got.V != want {
			t.Errorf("%s: stored %+v", fitting, got)
		}
	}
}

// A cut-out that is stated with a weld entered later has no time of its own: that of the
// typing is none. One that is said at the joint has.
func TestWhenALateWeldWasCutOut(t *testing.T) {
	c := crew.OnSite(t)
	c.Wait(time.Hour)
	late := c.Late(func(l *acts.LateWeld) { l.CutOut = "clamp slipped" })
	if w := c.Weld(late); w.CutOut == nil || !w.CutUnsaid {
		t.Errorf("%+v", w)
	}
	said := c.Late(func(*acts.LateWeld) {})
	c.Do(acts.Cut(c.H, said, "clamp slipped"))
	if w := c.Weld(said); w.CutOut == nil || w.CutUnsaid {
		t.Errorf("%+v", w)
	}
	c.WantRebuilt()
}
