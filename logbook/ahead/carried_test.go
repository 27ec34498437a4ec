package ahead_test

import (
	"testing"

	"coolhold/logbook"
	"coolhold/logbook/acts"
	"coolhold/logbook/ahead"
	"coolhold/logbook/crew"
)

// Who tells a weld afterwards and knows no batch wipes none; who could not read one at
// the joint does, and then nothing is carried over.
func TestALateWeldWipesNoBatch(t *testing.T) {
	c := crew.OnSite(t)
	c.Fitted("1A")
	as := logbook.Weld{Site: c.H.Site, Joint: "1B", Answers: map[string]logbook.Answer{logbook.ItemFitting: crew.Say(logbook.ItemFitting, "coupler 40")}}
	carries := func() string { return ahead.Carries(c.Book, as, logbook.ItemBatch) }
	if got := carries(); got != "W-1" {
		t.Fatalf("carries %q", got)
	}
	c.Late(func(l *acts.LateWeld) {
		for i := range l.Answers {
			if l.Answers[i].Item == logbook.ItemBatch {
				l.Answers[i].V = logbook.NotKnown
			}
		}
	})
	if got := carries(); got != "W-1" {
		t.Errorf("after a late weld: carries %q", got)
	}
	c.Do(acts.AnswerStep(c.H, c.Begin("1B"), logbook.StepFitting, []logbook.Answer{crew.Say(logbook.ItemFitting, "coupler 40"), crew.Say(logbook.ItemBatch, logbook.NotKnown)}))
	if got := carries(); got != "" {
		t.Errorf("after one that could not be read: carries %q", got)
	}
}

// What an end was scraped with is that of the last weld with the same fitting, of an end
// that was scraped.
func TestTheLastMethodIsOfTheSameKind(t *testing.T) {
	c := crew.OnSite(t)
	scraped := func(label, fitting, first, other, second string) {
		c.Do(acts.AnswerStep(c.H, c.Begin(label), logbook.StepPrep, []logbook.Answer{
			crew.Say(logbook.ItemFitting, fitting), crew.Say(logbook.ItemMethod, first), crew.Say(logbook.ItemMethod2, other),
			crew.Say(logbook.ItemScraped, logbook.Done), crew.Say(logbook.ItemScraped2, second),
		}))
	}
	scraped("1A", "coupler 40", logbook.HandTool, logbook.RotaryTool, logbook.Done)
	scraped("1B", "elbow 40", logbook.RotaryTool, logbook.RotaryTool, logbook.Done)
	scraped("2A", "coupler 40", logbook.HandTool, logbook.HandTool, logbook.CouldNot)
	for _, tt := range []struct{ joint, fitting, first, other string }{
		{"2B", "coupler 40", logbook.HandTool, logbook.RotaryTool}, {"2B", "elbow 40", logbook.RotaryTool, logbook.RotaryTool},
		{"2B", "cap 40", "", ""}, {"E1", "coupler 40", "", ""}, // outside the chamber
	} {
		w := logbook.Weld{Site: c.H.Site, Joint: tt.joint, Answers: map[string]logbook.Answer{logbook.ItemFitting: crew.Say(logbook.ItemFitting, tt.fitting)}}
		first, other := ahead.LastMethod(c.Book, w, logbook.Ends[0]), ahead.LastMethod(c.Book, w, logbook.Ends[1])
		if first != tt.first || other != tt.other {
			t.Errorf("%s at %s: %q and %q, want %q and %q", tt.fitting, tt.joint, first, other, tt.first, tt.other)
		}
	}
}

// A coil is carried over along its own pipe; to the next circuit it is not.
func TestACoilIsCarriedAlongItsPipe(t *testing.T) {
	c := crew.OnSite(t)
	c.Do(acts.AnswerStep(c.H, c.Begin("1A"), logbook.StepFitting, []logbook.Answer{crew.Say(logbook.ItemPipeBatch, "coil 1")}))
	for label, want := range map[string]string{"1B": "coil 1", "E1": "coil 1", "2A": "", "2B": ""} {
		if got := ahead.Carries(c.Book, logbook.Weld{Site: c.H.Site, Joint: label}, logbook.ItemPipeBatch); got != want {
			t.Errorf("%s carries %q, want %q", label, got, want)
		}
	}
}
