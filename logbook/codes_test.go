package logbook

import (
	"strings"
	"testing"
)

const code24, code26 = "123456789012345678901234", "12345678901234567890123456"

var code40 = strings.Repeat("1234567890", 4)

func TestTeachACode(t *testing.T) {
	c := onSite(t)
	nobody := c.h
	nobody.By = ""
	c.refused(TeachCode(nobody, code24, "coupler 40", ""), ErrRule, "needs a name")
	c.refused(TeachCode(c.h, code26, "coupler 40", ""), ErrRule, "24 digits")
	c.refused(TeachCode(c.h, code24, "bend 99", ""), ErrUnknown, "bend 99")
	c.do(TeachCode(c.h, " "+code24+"\r", "coupler 40", ""))
	c.refused(TeachCode(c.h, code24, "coupler 40", ""), ErrExists, "coupler 40")
	c.refused(TeachCode(c.h, code24, "elbow 40", " "), ErrRule, "taught as coupler 40 by "+ada)
	c.do(TeachCode(c.h, code24, "elbow 40", "read off the wrong bag"))
	got, ok := c.site().TaughtAs(code24)
	if !ok || got.Fitting != "elbow 40" || got.Was != "coupler 40" || got.By != ada || got.Table != Hash(tableText) {
		t.Errorf("%+v", got)
	}
	if all := c.site().TaughtCodes(); len(all) != 1 || len(c.site().Codes) != 2 {
		t.Errorf("%+v", all)
	}
}

func TestATaughtCodeIsRecalled(t *testing.T) {
	c := onSite(t)
	first := c.begin("1A")
	c.do(ScanCode(c.h, first, code24))
	if w := c.weld(first); w.Answers[ItemCode].V != code24 || w.Fitting() != "" {
		t.Errorf("an untaught code chose %q", w.Fitting())
	}
	c.do(AnswerStep(c.h, first, StepFitting, fitting("coupler 40", "W-1")))
	if u := Untaught(c.book, c.h.Site); len(u) != 1 || u[0].Code != code24 || u[0].Fitting != "coupler 40" {
		t.Errorf("untaught: %+v", u)
	}
	c.do(TeachCode(c.h, code24, "coupler 40", ""))
	if u := Untaught(c.book, c.h.Site); len(u) != 0 {
		t.Errorf("untaught: %+v", u)
	}
	second := c.begin("1B")
	c.do(ScanCode(c.h, second, code24))
	w := c.weld(second)
	if a := w.Answers[ItemFitting]; a.V != "coupler 40" || a.How != Scanned || w.Answers[ItemCode].V != code24 {
		t.Errorf("recalled %+v", a)
	}
}

// A code that is taught as another fitting stops the step and is no answer.
func TestAWrongCodeStops(t *testing.T) {
	c := onSite(t)
	c.do(TeachCode(c.h, code24, "coupler 40", ""))
	id := c.begin("E1")
	c.do(ScanCode(c.h, id, code24))
	stop := last[StepStopped](c)
	if stop.Step != StepFitting || stop.Tried != code24 || !strings.Contains(stop.Why, "taught as coupler 40, but the plan says elbow 40") {
		t.Errorf("%+v", stop)
	}
	if w := c.weld(id); w.Fitting() != "" || w.Answers[ItemCode].V != "" {
		t.Errorf("it was an answer: %+v", w.Answers)
	}
	c.do(AnswerStep(c.h, id, StepFitting, []Answer{say(ItemFitting, "elbow 40")}))
	c.do(ScanCode(c.h, id, code24))
	if stop := last[StepStopped](c); !strings.Contains(stop.Why, "but elbow 40 was chosen") {
		t.Errorf("%+v", stop)
	}
}

// Traceability is kept, digit by digit, in its own place.
func TestTraceabilityIsKept(t *testing.T) {
	c := onSite(t)
	id := c.begin("1A")
	c.do(ScanCode(c.h, id, code26), ScanCode(c.h, id, code40), ScanCode(c.h, id, "77"))
	w := c.weld(id)
	if w.Answers[ItemTrace].V != code26 || w.Answers[ItemPipeTrace].V != code40 || w.Answers[ItemCode].V != "77" {
		t.Errorf("%+v", w.Answers)
	}
	scanned := func(item, v string) Answer { return Answer{Item: item, V: v, How: Scanned} }
	for _, tt := range []struct {
		a    Answer
		item string
	}{
		{scanned(ItemBatch, code26), ItemTrace}, {scanned(ItemBatch, "A]B~1"), ItemTrace}, {scanned(ItemPipeBatch, code40), ItemPipeTrace},
		{scanned(ItemBatch, code40), ""}, {scanned(ItemBatch, "W-1"), ""}, {say(ItemBatch, code26), ""},
	} {
		all := WithTrace(tt.a)
		if all[0] != tt.a || (len(all) == 2) != (tt.item != "") || len(all) == 2 && (all[1].Item != tt.item || all[1].V != tt.a.V) {
			t.Errorf("%+v gives %+v", tt.a, all)
		}
	}
	c.refused(ScanCode(c.h, c.fused("1B"), code26), ErrRule, "past its walk")
}
