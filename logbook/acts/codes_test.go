package acts_test

import (
	"slices"
	"strings"
	"testing"

	"coolhold/logbook"
	"coolhold/logbook/acts"
	"coolhold/logbook/ahead"
	"coolhold/logbook/crew"
)

const code24, code26 = "123456789012345678901234", "12345678901234567890123456"

var code40 = strings.Repeat("1234567890", 4)

func TestTeachACode(t *testing.T) {
	c := crew.OnSite(t)
	nobody := c.H
	nobody.By = ""
	c.Refused(acts.TeachCode(nobody, code24, "coupler 40", ""), logbook.ErrRule, "needs a name")
	c.Refused(acts.TeachCode(c.H, code26, "coupler 40", ""), logbook.ErrRule, "24 digits")
	c.Refused(acts.TeachCode(c.H, code24, "bend 99", ""), logbook.ErrUnknown, "bend 99")
	c.Do(acts.TeachCode(c.H, " "+code24+"\r", "coupler 40", ""))
	c.Refused(acts.TeachCode(c.H, code24, "coupler 40", ""), logbook.ErrExists, "coupler 40")
	c.Refused(acts.TeachCode(c.H, code24, "elbow 40", " "), logbook.ErrRule, "taught as coupler 40 by "+crew.Ada)
	c.Do(acts.TeachCode(c.H, code24, "elbow 40", "read off the wrong bag"))
	got, ok := c.Site().TaughtAs(code24)
	if !ok || got.Fitting != "elbow 40" || got.Was != "coupler 40" || got.By != crew.Ada || got.Table != logbook.Hash(crew.TableText) {
		t.Errorf("%+v", got)
	}
	if all := c.Site().TaughtCodes(); len(all) != 1 || len(slices.Collect(c.Site().Codes.All())) != 2 {
		t.Errorf("%+v", all)
	}
}

func TestATaughtCodeIsRecalled(t *testing.T) {
	c := crew.OnSite(t)
	first := c.Begin("1A")
	c.Do(acts.ScanCode(c.H, first, code24))
	if w := c.Weld(first); w.Answers[logbook.ItemCode].V != code24 || w.Fitting() != "" {
		t.Errorf("an untaught code chose %q", w.Fitting())
	}
	c.Do(acts.AnswerStep(c.H, first, logbook.StepFitting, crew.Fitting("coupler 40", "W-1")))
	if u := ahead.Untaught(c.Book, c.H.Site); len(u) != 1 || u[0].Code != code24 || u[0].Fitting != "coupler 40" {
		t.Errorf("untaught: %+v", u)
	}
	c.Do(acts.TeachCode(c.H, code24, "coupler 40", ""))
	if u := ahead.Untaught(c.Book, c.H.Site); len(u) != 0 {
		t.Errorf("untaught: %+v", u)
	}
	second := c.Begin("1B")
	c.Do(acts.ScanCode(c.H, second, code24))
	w := c.Weld(second)
	if a := w.Answers[logbook.ItemFitting]; a.V != "coupler 40" || a.How != logbook.Scanned || w.Answers[logbook.ItemCode].V != code24 {
		t.Errorf("recalled %+v", a)
	}
}

// A code that is taught as another fitting stops the step and is no answer.
func TestAWrongCodeStops(t *testing.T) {
	c := crew.OnSite(t)
	c.Do(acts.TeachCode(c.H, code24, "coupler 40", ""))
	id := c.Begin("E1")
	c.Do(acts.ScanCode(c.H, id, code24))
	stop := crew.Last[logbook.StepStopped](c)
	if stop.Step != logbook.StepFitting || stop.Tried != code24 || !strings.Contains(stop.Why, "taught as coupler 40, but the plan says elbow 40") {
		t.Errorf("%+v", stop)
	}
	if w := c.Weld(id); w.Fitting() != "" || w.Answers[logbook.ItemCode].V != "" {
		t.Errorf("it was an answer: %+v", w.Answers)
	}
	c.Do(acts.AnswerStep(c.H, id, logbook.StepFitting, []logbook.Answer{crew.Say(logbook.ItemFitting, "elbow 40")}))
	c.Do(acts.ScanCode(c.H, id, code24))
	if stop := crew.Last[logbook.StepStopped](c); !strings.Contains(stop.Why, "but elbow 40 was chosen") {
		t.Errorf("%+v", stop)
	}
}

// Traceability is kept, digit by digit, in its own place.
func TestTraceabilityIsKept(t *testing.T) {
	c := crew.OnSite(t)
	id := c.Begin("1A")
	c.Do(acts.ScanCode(c.H, id, code26), acts.ScanCode(c.H, id, code40), acts.ScanCode(c.H, id, "77"))
	w := c.Weld(id)
	if w.Answers[logbook.ItemTrace].V != code26 || w.Answers[logbook.ItemPipeTrace].V != code40 || w.Answers[logbook.ItemCode].V != "77" {
		t.Errorf("%+v", w.Answers)
	}
	scanned := func(item, v string) logbook.Answer { return logbook.Answer{Item: item, V: v, How: logbook.Scanned} }
	for _, tt := range []struct {
		a    logbook.Answer
		item string
	}{
		{scanned(logbook.ItemBatch, code26), logbook.ItemTrace}, {scanned(logbook.ItemBatch, "A]B~1"), logbook.ItemTrace}, {scanned(logbook.ItemPipeBatch, code40), logbook.ItemPipeTrace},
		{scanned(logbook.ItemBatch, code40), ""}, {scanned(logbook.ItemBatch, "W-1"), ""}, {crew.Say(logbook.ItemBatch, code26), ""},
	} {
		all := acts.WithTrace(tt.a)
		if all[0] != tt.a || (len(all) == 2) != (tt.item != "") || len(all) == 2 && (all[1].Item != tt.item || all[1].V != tt.a.V) {
			t.Errorf("%+v gives %+v", tt.a, all)
		}
	}
	c.Refused(acts.ScanCode(c.H, c.Fused("1B"), code26), logbook.ErrRule, "past its walk")
}
