package acts_test

import (
	"slices"
	"strings"
	"testing"
	"time"

	"coolhold/logbook"
	"coolhold/logbook/acts"
	"coolhold/logbook/ahead"
	"coolhold/logbook/crew"
)

func TestNumbersAreNeverUsedAgain(t *testing.T) {
	c := crew.OnSite(t)
	if id := c.Begin("1A"); id != "KM-0001" {
		t.Fatalf("the first weld is %s", id)
	}
	c.Do(acts.AbandonWalk(c.H, "KM-0001", "rain"))
	c.WantNext("KM-0001", logbook.StepDone)
	if id := c.Begin("1A"); id != "KM-0002" {
		t.Errorf("after giving up the next weld is %s", id)
	}
	if got := c.Joint("1A"); !slices.Equal(got.Welds, []string{"KM-0001", "KM-0002"}) || got.Walk != "KM-0002" {
		t.Errorf("joint holds %q, walk %q", got.Welds, got.Walk)
	}
	c.Refused(acts.AbandonWalk(c.H, "KM-0001", "twice"), logbook.ErrRule, "given up")
	if got := logbook.WeldNumber("KM", 12345); got != "KM-12345" {
		t.Errorf("number past four digits: %s", got)
	}
}

func TestBeginRefused(t *testing.T) {
	c := crew.OnSite(t)
	c.Begin("1A")
	c.Fused("1B")
	tests := []struct {
		name, label, unit string
		want              error
		says              string
	}{
		{"no such joint", "9Z", crew.Unit, logbook.ErrUnknown, "9Z"},
		{"no such unit", "2A", "CU-9", logbook.ErrUnknown, "CU-9"},
		{"a walk is open", "1A", crew.Unit, logbook.ErrRule, "walk open: KM-0001"},
		{"a weld stands", "1B", crew.Unit, logbook.ErrRule, "KM-0002 stands"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) { c.Refused(acts.BeginWeld(c.H, tt.label, crew.Ada, tt.unit), tt.want, tt.says) })
	}
	c.Do(acts.CloseShift(c.H))
	c.Refused(acts.BeginWeld(c.H, "2A", crew.Ada, crew.Unit), logbook.ErrRule, "start a shift")
}

func TestStopsBeforeTheCurrent(t *testing.T) {
	tests := []struct {
		name string
		act  func(*crew.Crew, string) acts.Act
		step logbook.Step
		says string
	}{
		{"too cold", func(c *crew.Crew, id string) acts.Act { return acts.ReadAmbient(c.H, id, -5_50, logbook.Typed, nil) }, logbook.StepAmbient, "-5.5 °C is outside"},
		{"too warm", func(c *crew.Crew, id string) acts.Act { return acts.ReadAmbient(c.H, id, 25_51, logbook.Typed, nil) }, logbook.StepAmbient, "25.51 °C is outside"},
		{"other seconds", func(c *crew.Crew, id string) acts.Act {
			return acts.KeySettings(c.H, id, logbook.ModeKeyed, 44, new(39.5))
		}, logbook.StepSettings, "44 s"},
		{"other volts", func(c *crew.Crew, id string) acts.Act {
			return acts.KeySettings(c.H, id, logbook.ModeKeyed, 40, new(40.0))
		}, logbook.StepSettings, "40 V"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			c := crew.OnSite(t)
			id := c.Fitted("1A")
			c.Do(acts.AnswerStep(c.H, id, logbook.StepPrep, crew.Card()))
			if tt.step == logbook.StepSettings {
				c.Do(acts.ReadAmbient(c.H, id, 9_00, logbook.Typed, nil))
				c.Bagged(id)
			}
			c.Do(tt.act(c, id))
			if b := crew.Last[logbook.StepStopped](c); b.Step != tt.step || !strings.Contains(b.Why, tt.says) || b.Tried == "" {
				t.Errorf("stopped as %+v", b)
			}
			if w := c.Weld(id); w.Settings != nil || len(w.Stops) != 1 {
				t.Errorf("settings %+v, stops %v", w.Settings, w.Stops)
			}
			c.WantNext(id, tt.step)
			c.Refused(acts.StartFusion(c.H, id, 0), logbook.ErrRule, "display")
		})
	}
}

func TestFittingMustFitThePipe(t *testing.T) {
	c := crew.OnSite(t)
	id := c.Begin("1A")
	c.Refused(acts.AnswerStep(c.H, id, logbook.StepFitting, crew.Fitting("coupler 63", "W-1")), logbook.ErrRule, "40")
	c.Refused(acts.AnswerStep(c.H, id, logbook.StepFitting, crew.Fitting("coupler 41", "W-1")), logbook.ErrUnknown, "coupler 41")
	c.Refused(acts.AnswerStep(c.H, "KM-0099", logbook.StepFitting, nil), logbook.ErrUnknown, "KM-0099")
}

func TestRefusedStart(t *testing.T) {
	for _, started := range []bool{false, true} {
		c := crew.OnSite(t)
		id := c.Prepared("1A")
		if started {
			c.Do(acts.StartFusion(c.H, id, 0))
			c.WantNext(id, logbook.StepFusion)
			c.Wait(2 * time.Second)
		}
		c.Do(acts.RefuseStart(c.H, id, "contact fault", new(0)))
		w := c.Weld(id)
		if w.Fused() || w.Stands() || !w.Walking() || len(w.Refused) != 1 || w.Refused[0].Said != "contact fault" || !w.Refused[0].Cold() {
			t.Errorf("started %v: %+v", started, w)
		}
		c.WantNext(id, logbook.StepResistance)
		c.Refused(acts.Cut(c.H, id, "nothing to cut"), logbook.ErrRule, "does not stand")
		if j := c.Joint("1A"); j.Stands != "" || j.Walk != id || !j.Open() {
			t.Errorf("started %v: joint %+v", started, j)
		}
		c.Do(acts.ReadOhms(c.H, id, new(2.4)), acts.StartFusion(c.H, id, 0))
		if c.Joint("1A").Stands != id {
			t.Error("the second start does not count")
		}
		c.WantRebuilt()
	}
}

// A refusal that is said once the current was on is kept with what tells whether heat
// went in; a unit that ran did not refuse.
func TestRefusedAfterTheCurrent(t *testing.T) {
	for _, tt := range []struct {
		name  string
		after time.Duration
		run   *int
		cold  bool
		line  string
	}{
		{"at once", 4 * time.Second, new(0), true, "start refused by the unit: lead; said 4 s after the current was on, 0 s run shown"},
		{"at the last moment that is at once", 15 * time.Second, new(0), true, "said 15 s after"},
		{"late", 16 * time.Second, new(0), false, "said 16 s after the current was on, 0 s run shown"},
		{"without a figure", 4 * time.Second, nil, false, "said 4 s after the current was on, no seconds run shown"},
	} {
		c := crew.OnSite(t)
		id := c.Prepared("1A")
		c.Do(acts.StartFusion(c.H, id, 0))
		c.Wait(tt.after)
		c.Do(acts.RefuseStart(c.H, id, "lead", tt.run))
		b := c.Weld(id).Refused[0]
		if b.Cold() != tt.cold || !strings.Contains(b.Line(), tt.line) {
			t.Errorf("%s: cold %v, %q", tt.name, b.Cold(), b.Line())
		}
		c.WantNext(id, logbook.StepResistance)
	}
	c := crew.OnSite(t)
	id := c.Prepared("1A")
	c.Do(acts.StartFusion(c.H, id, 0))
	c.Wait(45 * time.Second)
	c.Do(acts.RefuseStart(c.H, id, "lead", new(7)))
	if w := c.Weld(id); w.Outcome != logbook.Stopped || *w.StoppedAt != 7 || len(w.Refused) > 0 || !w.Stands() {
		t.Errorf("a unit that ran 7 s: %+v", w)
	}
}

// The current was not on before the last answer of the walk.
func TestTheStartIsNotBeforeTheLastAnswer(t *testing.T) {
	c := crew.OnSite(t)
	id := c.Prepared("1A")
	c.Wait(20 * time.Second)
	c.Refused(acts.StartFusion(c.H, id, 21), logbook.ErrRule, "21 s ago lies before the last answer of this walk: at most 20 s")
	c.Do(acts.StartFusion(c.H, id, 20))
	c.Wait(time.Second)
	c.Do(acts.RefuseStart(c.H, id, "", nil))
	if b := c.Weld(id).Refused[0]; *b.AfterS != 21 {
		t.Errorf("refused %d s after the start, want 21", *b.AfterS)
	}
}

func TestOneFusionAUnit(t *testing.T) {
	c := crew.OnSite(t)
	first, second := c.Prepared("1A"), c.Prepared("1B")
	c.Do(acts.StartFusion(c.H, first, 0))
	c.Refused(acts.StartFusion(c.H, second, 0), logbook.ErrRule, "unit CU-1 is still fusing "+first)
	c.Refused(acts.KeySettings(c.H, second, logbook.ModeKeyed, 40, nil), logbook.ErrRule, "unit CU-1 is still fusing "+first)
	c.Refused(acts.ReadOhms(c.H, second, new(2.4)), logbook.ErrRule, "unit CU-1 is still fusing "+first)
	c.Do(acts.BeginWeld(c.H, "2A", crew.Ada, "CU-2"))
	third := c.Entries[len(c.Entries)-1].Weld
	c.Do(acts.AnswerStep(c.H, third, logbook.StepFitting, crew.Fitting("coupler 40", "W-1")), acts.AnswerStep(c.H, third, logbook.StepPrep, crew.Card()))
	c.Settle(third)
	c.Do(acts.StartFusion(c.H, third, 0)) // another unit is free
	c.Wait(40 * time.Second)
	c.Do(acts.EndFusion(c.H, first, logbook.FusionEnded{Outcome: logbook.Completed}), acts.StartFusion(c.H, second, 0))
	if w, busy := ahead.Busy(c.Book, c.H.Site, crew.Unit); !busy || w.ID != second {
		t.Errorf("unit is busy with %q", w.ID)
	}
}
