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
		{logbook.StepPrep, func() acts.Act { return acts.AnswerStep(c.H, id, logbook.StepPrep, crew.Card()) }},
		{logbook.StepAmbient, func() acts.Act { return acts.ReadAmbient(c.H, id, 14_50, logbook.Typed, nil) }},
		{logbook.StepBag, func() acts.Act { return acts.ReadBag(c.H, id, true) }},
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
	c.Do(acts.Disturb(c.H, id, 1, "", "why"))
	second := c.Begin("1B")
	c.Do(acts.AnswerStep(c.H, second, logbook.StepFitting, crew.Fitting("coupler 40", "W-1")))
	c.WantNext(second, logbook.StepPrep) // the bag of this batch was read
	third := c.Begin("2A")
	c.Do(acts.AnswerStep(c.H, third, logbook.StepFitting, crew.Fitting("coupler 40", "W-2")))
	c.Do(acts.AnswerStep(c.H, third, logbook.StepPrep, crew.Card()), acts.ReadAmbient(c.H, third, 9_00, logbook.Typed, nil))
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
	c.Do(acts.AnswerStep(c.H, id, logbook.StepPrep, []logbook.Answer{{Item: logbook.ItemScraped, V: logbook.CouldNot, Why: "no tool"}}))
	c.WantNext(id, logbook.StepPrep) // the other end was
	c.Do(acts.AnswerStep(c.H, id, logbook.StepPrep, []logbook.Answer{{Item: logbook.ItemScraped2, V: logbook.CouldNot, Why: "no tool"}}))
	c.WantNext(id, logbook.StepAmbient)
}

// After a break it is asked what is true of the joint now; nobody is made to scrape
// again. Reading and settings hold as long as they are fresh and the unit fed no other.
func TestABreakAsksWhatIsTrueNow(t *testing.T) {
	for _, tt := range []struct {
		said string
		next logbook.Step
	}{
		{logbook.Untouched, logbook.StepStart}, {logbook.Cleaned, logbook.StepStart}, {logbook.HandAgain, logbook.StepStart},
		{logbook.NotPutRight, logbook.StepStart}, {logbook.CutBack, logbook.StepPrep},
	} {
		c := crew.OnSite(t)
		id := c.Prepared("1A")
		c.Do(acts.LeaveWalk(c.H, id, logbook.StepStart))
		c.Wait(2 * time.Second)
		c.Do(acts.ResumeWalk(c.H, id, logbook.StepBreak))
		c.WantNext(id, logbook.StepBreak)
		c.Refused(acts.StartFusion(c.H, id, 0), logbook.ErrRule, "what is true of joint 1A after the break")
		if w := c.Weld(id); w.Left || w.Resumed != 1 || w.Answers[logbook.ItemScraped].V != logbook.Done || w.Ambient == nil || w.Settings == nil || w.Ohms == nil {
			t.Errorf("resumed as %+v", w)
		}
		c.Do(acts.AnswerStep(c.H, id, logbook.StepBreak, []logbook.Answer{crew.Say(logbook.BreakItem(1), tt.said)}))
		c.WantNext(id, tt.next)
		if _, kept := c.Weld(id).Answers["wiped"]; kept != (tt.said != logbook.CutBack) {
			t.Errorf("%s: the card kept is %v", tt.said, kept)
		}
		c.WantRebuilt()
	}
}

func TestOnlyWhatABreakTouchedIsAskedAgain(t *testing.T) {
	c := crew.OnSite(t)
	id := c.Prepared("1A")
	back := func() {
		c.Do(acts.LeaveWalk(c.H, id, logbook.StepStart), acts.ResumeWalk(c.H, id, logbook.StepBreak))
		c.Do(acts.AnswerStep(c.H, id, logbook.StepBreak, []logbook.Answer{crew.Say(logbook.BreakItem(c.Weld(id).Resumed), logbook.Untouched)}))
	}
	c.Wait(29 * time.Minute)
	back()
	c.WantNext(id, logbook.StepStart)
	c.Wait(2 * time.Minute)
	back()
	c.WantNext(id, logbook.StepAmbient) // older than what may be confirmed
	c.Settle(id)
	c.WantNext(id, logbook.StepStart)
	c.Wait(time.Second)
	c.Fused("2A")
	back()
	c.WantNext(id, logbook.StepSettings) // the unit was set for another fitting
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
	c.Do(acts.ReadAmbient(c.H, id, 9_00, logbook.Typed, nil))
	c.WantNext(id, logbook.StepBag)
	c.Refused(acts.KeySettings(c.H, id, logbook.ModeKeyed, 40, new(39.5)), logbook.ErrRule, "is stopped")
}

func TestSettingsNotCompared(t *testing.T) {
	for _, mode := range []logbook.Mode{logbook.ModeCode, logbook.ModeSelf} {
		c := crew.OnSite(t)
		id := c.Fitted("1A")
		c.Do(acts.AnswerStep(c.H, id, logbook.StepPrep, crew.Card()), acts.ReadAmbient(c.H, id, 9_00, logbook.Typed, nil))
		c.Bagged(id)
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

// A batch that is scanned before the fitting is chosen stays; that of a fitting which is
// changed does not.
func TestABatchBeforeItsFittingStays(t *testing.T) {
	c := crew.OnSite(t)
	id := c.Begin("1A")
	say := func(item, v string) {
		c.Do(acts.AnswerStep(c.H, id, logbook.StepFitting, []logbook.Answer{crew.Say(item, v)}))
	}
	say(logbook.ItemBatch, "W-1")
	if say(logbook.ItemFitting, "coupler 40"); c.Weld(id).Batch() != "W-1" {
		t.Error("the fitting wiped its batch")
	}
	if say(logbook.ItemFitting, "elbow 40"); c.Weld(id).Batch() != "" {
		t.Error("another fitting has the batch of the one before")
	}
	c.WantRebuilt()
}
