package logbook_test

import (
	"slices"
	"testing"
	"time"

	"coolhold/logbook"
	"coolhold/logbook/acts"
	"coolhold/logbook/crew"
)

// A whole weld, step by step, as Next asks for it.
func TestStepsOfAWholeWeld(t *testing.T) {
	c := crew.OnSite(t)
	id := c.Begin("1A")
	steps := []struct {
		step logbook.Step
		act  func() acts.Act
	}{
		{logbook.StepFitting, func() acts.Act {
			return acts.AnswerStep(c.H, id, logbook.StepFitting, crew.Fitting("coupler 40", "W-1"))
		}},
		{logbook.StepBag, func() acts.Act { return acts.ReadBag(c.H, id, true) }},
		{logbook.StepPrep, func() acts.Act { return acts.AnswerStep(c.H, id, logbook.StepPrep, crew.Card()) }},
		{logbook.StepAmbient, func() acts.Act { return acts.ReadAmbient(c.H, id, 14_50, logbook.Typed, nil) }},
		{logbook.StepSettings, func() acts.Act { return acts.KeySettings(c.H, id, logbook.ModeKeyed, 40, new(39.5)) }},
		{logbook.StepResistance, func() acts.Act { return acts.ReadOhms(c.H, id, nil) }},
		{logbook.StepStart, func() acts.Act { return acts.StartFusion(c.H, id, 0) }},
		{logbook.StepFusion, func() acts.Act {
			c.Wait(41 * time.Second)
			return acts.EndFusion(c.H, id, logbook.FusionEnded{Outcome: logbook.Completed})
		}},
		{logbook.StepRun, func() acts.Act { return acts.ReadRun(c.H, id, nil) }},
		{logbook.StepLook, func() acts.Act { return acts.ReadLook(c.H, id, crew.Look(logbook.LookHot)) }},
	}
	for _, s := range steps {
		c.WantNext(id, s.step)
		c.Do(s.act())
	}
	c.WantNext(id, logbook.StepDone)
	second := c.Begin("1B")
	c.Do(acts.AnswerStep(c.H, second, logbook.StepFitting, crew.Fitting("coupler 40", "W-1")))
	c.WantNext(second, logbook.StepPrep) // the bag of this batch was read
	third := c.Begin("2A")
	c.Do(acts.AnswerStep(c.H, third, logbook.StepFitting, crew.Fitting("coupler 40", "W-2")))
	c.WantNext(third, logbook.StepBag)
	c.WantRebuilt()
}

func TestFittingItems(t *testing.T) {
	c := crew.OnSite(t)
	tests := []struct {
		label string
		want  []string
	}{
		{"1A", []string{logbook.ItemFitting, logbook.ItemPort, logbook.ItemBatch, logbook.ItemPrint, logbook.ItemPipeBatch, logbook.ItemStubBatch}},
		{"FG", []string{logbook.ItemFitting, logbook.ItemBatch, logbook.ItemPrint, logbook.ItemPipeBatch, logbook.ItemStubBatch}},
		{"E1", []string{logbook.ItemFitting, logbook.ItemBatch, logbook.ItemPrint, logbook.ItemPipeBatch, logbook.ItemPlace}},
	}
	for _, tt := range tests {
		if got := logbook.FittingItems(c.Joint(tt.label)); !slices.Equal(got, tt.want) {
			t.Errorf("%s asks %q, want %q", tt.label, got, tt.want)
		}
	}
	if got := logbook.FittingItems(logbook.Joint{}); !slices.Equal(got, []string{logbook.ItemFitting, logbook.ItemBatch, logbook.ItemPipeBatch}) {
		t.Errorf("a joint of no known pipe asks %q", got)
	}
}

func TestPreparation(t *testing.T) {
	c := crew.OnSite(t)
	tests := []struct {
		name string
		but  []logbook.Answer
		want logbook.Step
	}{
		{"all done", nil, logbook.StepAmbient},
		{"could not is an answer", []logbook.Answer{{Item: "clamped", V: logbook.CouldNot, How: logbook.Typed, Why: "no access"}}, logbook.StepAmbient},
		{"not yet is none", []logbook.Answer{crew.Say("wiped", logbook.NotYet)}, logbook.StepPrep},
	}
	for i, tt := range tests {
		id := c.Fitted([]string{"1A", "1B", "2A"}[i])
		c.Do(acts.AnswerStep(c.H, id, logbook.StepPrep, crew.Card(tt.but...)))
		if got := c.Next(id); got != tt.want {
			t.Errorf("%s: next is %q, want %q", tt.name, got, tt.want)
		}
	}
	id := c.Fitted("2B")
	answers := crew.Card()
	c.Do(acts.AnswerStep(c.H, id, logbook.StepPrep, answers[:len(answers)-1]))
	c.WantNext(id, logbook.StepPrep) // scraped, but nobody said how
	c.Do(acts.AnswerStep(c.H, id, logbook.StepPrep, []logbook.Answer{{Item: "scraped", V: logbook.CouldNot, Why: "no tool"}}))
	c.WantNext(id, logbook.StepAmbient)
}

func TestResumeAfterScrapingAsksAgain(t *testing.T) {
	c := crew.OnSite(t)
	id := c.Prepared("1A")
	c.WantNext(id, logbook.StepStart)
	c.Do(acts.LeaveWalk(c.H, id, logbook.StepStart))
	if !c.Weld(id).Left {
		t.Error("the walk is not left")
	}
	was := len(c.Entries)
	c.Wait(time.Hour)
	c.Do(acts.ResumeWalk(c.H, id, logbook.StepStart))
	w := c.Weld(id)
	for _, p := range logbook.PrepItems {
		again := slices.Contains([]string{"scraped", "wiped", "no_water"}, p.Item)
		if _, given := w.Answers[p.Item]; given == again {
			t.Errorf("%s: given %v, asked again %v", p.Item, given, again)
		}
	}
	if w.Left || w.Resumed != 1 || w.Ambient != nil || w.Settings != nil || w.Ohms != nil || w.Fitting() != "coupler 40" {
		t.Errorf("resumed as %+v", w)
	}
	if old := logbook.Fold("KM", c.Entries[:was]); mustWeld(t, old, id).Answers["scraped"].V != logbook.Done {
		t.Error("the old answers are not kept as entries")
	}
	c.WantNext(id, logbook.StepPrep)
	c.Do(acts.AnswerStep(c.H, id, logbook.StepPrep, crew.Card()))
	c.WantNext(id, logbook.StepAmbient)
	c.WantRebuilt()
}

func mustWeld(t *testing.T, r logbook.Reader, id string) logbook.Weld {
	t.Helper()
	w, ok := r.Weld("invented-meadow", id)
	if !ok {
		t.Fatalf("no weld %s", id)
	}
	return w
}

func TestResumeBeforeScrapingKeepsAll(t *testing.T) {
	c := crew.OnSite(t)
	id := c.Fitted("1A")
	c.Do(acts.AnswerStep(c.H, id, logbook.StepPrep, []logbook.Answer{crew.Say("wiped", logbook.Done), crew.Say("cut square", logbook.Done)}))
	c.Do(acts.LeaveWalk(c.H, id, logbook.StepPrep), acts.ResumeWalk(c.H, id, logbook.StepPrep))
	if w := c.Weld(id); w.Answers["wiped"].V != logbook.Done || w.Answers["cut square"].V != logbook.Done {
		t.Errorf("answers after resuming: %v", w.Answers)
	}
}

// Where the unit finds its time itself nothing is compared.
// Once a walk is over, because the current was on or because it was given up,
// nothing more is said of its steps.
func TestNothingIsSaidOfAWalkThatIsOver(t *testing.T) {
	c := crew.OnSite(t)
	begun := c.Prepared("1A")
	c.Do(acts.AbandonWalk(c.H, begun, "rain"))
	for _, id := range []string{begun, c.Fused("1B")} {
		for name, act := range map[string]acts.Act{
			"answer": acts.AnswerStep(c.H, id, logbook.StepPrep, crew.Card()), "bag": acts.ReadBag(c.H, id, true), "scan": acts.ScanCode(c.H, id, "000000000000000000000000"),
			"port": acts.ChoosePort(c.H, id, crew.Say(logbook.ItemPort, "1")), "ambient": acts.ReadAmbient(c.H, id, 9_00, logbook.Typed, nil),
			"settings": acts.KeySettings(c.H, id, logbook.ModeKeyed, 40, new(39.5)), "ohms": acts.ReadOhms(c.H, id, new(2.4)),
			"start": acts.StartFusion(c.H, id, 0), "refused": acts.RefuseStart(c.H, id, "E12", nil),
			"leave": acts.LeaveWalk(c.H, id, logbook.StepPrep), "resume": acts.ResumeWalk(c.H, id, logbook.StepPrep), "abandon": acts.AbandonWalk(c.H, id, "twice"),
		} {
			t.Run(name, func(t *testing.T) {
				at := *c
				at.T = t
				at.Refused(act, logbook.ErrRule, "is past its walk")
			})
		}
	}
}

// Another crew's bag may stop a row while a walk stands at it: no time is read
// from it any more.
func TestARowStoppedInTheMidstOfAWalk(t *testing.T) {
	c := crew.OnSite(t)
	id := c.Fitted("1A")
	c.Do(acts.AnswerStep(c.H, id, logbook.StepPrep, crew.Card()))
	other := c.Begin("2A")
	c.Do(acts.AnswerStep(c.H, other, logbook.StepFitting, crew.Fitting("coupler 40", "W-2")), acts.ReadBag(c.H, other, false))
	c.Refused(acts.ReadAmbient(c.H, id, 9_00, logbook.Typed, nil), logbook.ErrRule, "is stopped")
	c.Refused(acts.KeySettings(c.H, id, logbook.ModeKeyed, 40, new(39.5)), logbook.ErrRule, "is stopped")
}

func TestSettingsNotCompared(t *testing.T) {
	for _, mode := range []logbook.Mode{logbook.ModeCode, logbook.ModeSelf} {
		c := crew.OnSite(t)
		id := c.Fitted("1A")
		c.Do(acts.AnswerStep(c.H, id, logbook.StepPrep, crew.Card()), acts.ReadAmbient(c.H, id, 9_00, logbook.Typed, nil))
		c.Do(acts.KeySettings(c.H, id, mode, 43, nil))
		if b := crew.Last[logbook.SettingsKeyed](c); b.SecondsShown != 43 || b.SecondsTable != 40 || b.Unlike() != "" {
			t.Errorf("%s: %+v", mode, b)
		}
		c.WantNext(id, logbook.StepResistance)
	}
}

func TestAmbientAgainDropsSettings(t *testing.T) {
	c := crew.OnSite(t)
	id := c.Prepared("1A")
	c.Do(acts.ReadAmbient(c.H, id, 20_00, logbook.Typed, nil))
	c.WantNext(id, logbook.StepSettings)
	c.Do(acts.KeySettings(c.H, id, logbook.ModeKeyed, c.Table(id).Seconds, nil))
	c.WantNext(id, logbook.StepStart)
}

// What was read for one fitting says nothing of another.
func TestAnotherFittingDropsWhatWasRead(t *testing.T) {
	c := crew.OnSite(t)
	id := c.Prepared("1A")
	c.Do(acts.AnswerStep(c.H, id, logbook.StepFitting, crew.Fitting("coupler 40", "W-1")))
	c.WantNext(id, logbook.StepStart) // the same fitting again changes nothing
	c.Do(acts.AnswerStep(c.H, id, logbook.StepFitting, crew.Fitting("elbow 40", "W-9")), acts.ReadBag(c.H, id, true))
	if w := c.Weld(id); w.Ambient != nil || w.Settings != nil || w.Ohms != nil {
		t.Errorf("still holds %+v %+v %+v", w.Ambient, w.Settings, w.Ohms)
	}
	c.WantNext(id, logbook.StepAmbient)
}
