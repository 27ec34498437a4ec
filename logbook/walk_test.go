package logbook

import (
	"slices"
	"strings"
	"testing"
	"time"
)

// A whole weld, step by step, as Next asks for it.
func TestStepsOfAWholeWeld(t *testing.T) {
	c := onSite(t)
	id := c.begin("1A")
	steps := []struct {
		step Step
		act  func() Act
	}{
		{StepFitting, func() Act { return AnswerStep(c.h, id, StepFitting, fitting("coupler 40", "W-1")) }},
		{StepBag, func() Act { return ReadBag(c.h, id, true) }},
		{StepPrep, func() Act { return AnswerStep(c.h, id, StepPrep, card()) }},
		{StepAmbient, func() Act { return ReadAmbient(c.h, id, 14_50, Typed, nil) }},
		{StepSettings, func() Act { return KeySettings(c.h, id, ModeKeyed, 40, ptr(39.5)) }},
		{StepResistance, func() Act { return ReadOhms(c.h, id, nil) }},
		{StepStart, func() Act { return StartFusion(c.h, id, 0) }},
		{StepFusion, func() Act { c.wait(41 * time.Second); return EndFusion(c.h, id, FusionEnded{Outcome: Completed}) }},
		{StepRun, func() Act { return ReadRun(c.h, id, nil) }},
		{StepLook, func() Act { return ReadLook(c.h, id, look(LookHot)) }},
	}
	for _, s := range steps {
		c.wantNext(id, s.step)
		c.do(s.act())
	}
	c.wantNext(id, StepDone)
	second := c.begin("1B")
	c.do(AnswerStep(c.h, second, StepFitting, fitting("coupler 40", "W-1")))
	c.wantNext(second, StepPrep) // the bag of this batch was read
	third := c.begin("2A")
	c.do(AnswerStep(c.h, third, StepFitting, fitting("coupler 40", "W-2")))
	c.wantNext(third, StepBag)
	c.wantRebuilt()
}

func TestFittingItems(t *testing.T) {
	c := onSite(t)
	tests := []struct {
		label string
		want  []string
	}{
		{"1A", []string{ItemFitting, ItemPort, ItemBatch, ItemPrint, ItemPipeBatch, ItemStubBatch}},
		{"FG", []string{ItemFitting, ItemBatch, ItemPrint, ItemPipeBatch, ItemStubBatch}},
		{"E1", []string{ItemFitting, ItemBatch, ItemPrint, ItemPipeBatch, ItemPlace}},
	}
	for _, tt := range tests {
		if got := FittingItems(c.joint(tt.label)); !slices.Equal(got, tt.want) {
			t.Errorf("%s asks %q, want %q", tt.label, got, tt.want)
		}
	}
	if got := FittingItems(Joint{}); !slices.Equal(got, []string{ItemFitting, ItemBatch, ItemPipeBatch}) {
		t.Errorf("a joint of no known pipe asks %q", got)
	}
}

func TestNumbersAreNeverUsedAgain(t *testing.T) {
	c := onSite(t)
	if id := c.begin("1A"); id != "KM-0001" {
		t.Fatalf("the first weld is %s", id)
	}
	c.do(AbandonWalk(c.h, "KM-0001", "rain"))
	c.wantNext("KM-0001", StepDone)
	if id := c.begin("1A"); id != "KM-0002" {
		t.Errorf("after giving up the next weld is %s", id)
	}
	if got := c.joint("1A"); !slices.Equal(got.Welds, []string{"KM-0001", "KM-0002"}) || got.Walk != "KM-0002" {
		t.Errorf("joint holds %q, walk %q", got.Welds, got.Walk)
	}
	c.refused(AbandonWalk(c.h, "KM-0001", "twice"), ErrRule, "given up")
	if got := WeldNumber("KM", 12345); got != "KM-12345" {
		t.Errorf("number past four digits: %s", got)
	}
}

func TestBeginRefused(t *testing.T) {
	c := onSite(t)
	c.begin("1A")
	c.fused("1B")
	tests := []struct {
		name, label, unit string
		want              error
		says              string
	}{
		{"no such joint", "9Z", unit, ErrUnknown, "9Z"},
		{"no such unit", "2A", "CU-9", ErrUnknown, "CU-9"},
		{"a walk is open", "1A", unit, ErrRule, "walk open: KM-0001"},
		{"a weld stands", "1B", unit, ErrRule, "KM-0002 stands"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) { c.refused(BeginWeld(c.h, tt.label, ada, tt.unit), tt.want, tt.says) })
	}
	c.do(CloseShift(c.h))
	c.refused(BeginWeld(c.h, "2A", ada, unit), ErrRule, "start a shift")
}

func TestPreparation(t *testing.T) {
	c := onSite(t)
	tests := []struct {
		name string
		but  []Answer
		want Step
	}{
		{"all done", nil, StepAmbient},
		{"could not is an answer", []Answer{{Item: "clamped", V: CouldNot, How: Typed, Why: "no access"}}, StepAmbient},
		{"not yet is none", []Answer{say("wiped", NotYet)}, StepPrep},
	}
	for i, tt := range tests {
		id := c.fitted([]string{"1A", "1B", "2A"}[i])
		c.do(AnswerStep(c.h, id, StepPrep, card(tt.but...)))
		if got := c.next(id); got != tt.want {
			t.Errorf("%s: next is %q, want %q", tt.name, got, tt.want)
		}
	}
	id := c.fitted("2B")
	answers := card()
	c.do(AnswerStep(c.h, id, StepPrep, answers[:len(answers)-1]))
	c.wantNext(id, StepPrep) // scraped, but nobody said how
	c.do(AnswerStep(c.h, id, StepPrep, []Answer{{Item: "scraped", V: CouldNot, Why: "no tool"}}))
	c.wantNext(id, StepAmbient)
}

func TestResumeAfterScrapingAsksAgain(t *testing.T) {
	c := onSite(t)
	id := c.prepared("1A")
	c.wantNext(id, StepStart)
	c.do(LeaveWalk(c.h, id, StepStart))
	if !c.weld(id).Left {
		t.Error("the walk is not left")
	}
	was := len(c.entries)
	c.wait(time.Hour)
	c.do(ResumeWalk(c.h, id, StepStart))
	w := c.weld(id)
	for _, p := range PrepItems {
		again := slices.Contains([]string{"scraped", "wiped", "no_water"}, p.Item)
		if _, given := w.Answers[p.Item]; given == again {
			t.Errorf("%s: given %v, asked again %v", p.Item, given, again)
		}
	}
	if w.Left || w.Resumed != 1 || w.Ambient != nil || w.Settings != nil || w.Ohms != nil || w.Fitting() != "coupler 40" {
		t.Errorf("resumed as %+v", w)
	}
	if old := Fold("KM", c.entries[:was]); mustWeld(t, old, id).Answers["scraped"].V != Done {
		t.Error("the old answers are not kept as entries")
	}
	c.wantNext(id, StepPrep)
	c.do(AnswerStep(c.h, id, StepPrep, card()))
	c.wantNext(id, StepAmbient)
	c.wantRebuilt()
}

func mustWeld(t *testing.T, r Reader, id string) Weld {
	t.Helper()
	w, ok := r.Weld("invented-meadow", id)
	if !ok {
		t.Fatalf("no weld %s", id)
	}
	return w
}

func TestResumeBeforeScrapingKeepsAll(t *testing.T) {
	c := onSite(t)
	id := c.fitted("1A")
	c.do(AnswerStep(c.h, id, StepPrep, []Answer{say("wiped", Done), say("cut square", Done)}))
	c.do(LeaveWalk(c.h, id, StepPrep), ResumeWalk(c.h, id, StepPrep))
	if w := c.weld(id); w.Answers["wiped"].V != Done || w.Answers["cut square"].V != Done {
		t.Errorf("answers after resuming: %v", w.Answers)
	}
}

func TestStopsBeforeTheCurrent(t *testing.T) {
	tests := []struct {
		name string
		act  func(*crew, string) Act
		step Step
		says string
	}{
		{"too cold", func(c *crew, id string) Act { return ReadAmbient(c.h, id, -5_50, Typed, nil) }, StepAmbient, "-5.5 °C is outside"},
		{"too warm", func(c *crew, id string) Act { return ReadAmbient(c.h, id, 25_51, Typed, nil) }, StepAmbient, "25.51 °C is outside"},
		{"other seconds", func(c *crew, id string) Act { return KeySettings(c.h, id, ModeKeyed, 44, ptr(39.5)) }, StepSettings, "44 s"},
		{"other volts", func(c *crew, id string) Act { return KeySettings(c.h, id, ModeKeyed, 40, ptr(40.0)) }, StepSettings, "40 V"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			c := onSite(t)
			id := c.fitted("1A")
			c.do(AnswerStep(c.h, id, StepPrep, card()))
			if tt.step == StepSettings {
				c.do(ReadAmbient(c.h, id, 9_00, Typed, nil))
			}
			c.do(tt.act(c, id))
			if b := last[StepStopped](c); b.Step != tt.step || !strings.Contains(b.Why, tt.says) || b.Tried == "" {
				t.Errorf("stopped as %+v", b)
			}
			if w := c.weld(id); w.Settings != nil || len(w.Stops) != 1 {
				t.Errorf("settings %+v, stops %v", w.Settings, w.Stops)
			}
			c.wantNext(id, tt.step)
			c.refused(StartFusion(c.h, id, 0), ErrRule, "display")
		})
	}
}

// Where the unit finds its time itself nothing is compared.
// Once a walk is over, because the current was on or because it was given up,
// nothing more is said of its steps.
func TestNothingIsSaidOfAWalkThatIsOver(t *testing.T) {
	c := onSite(t)
	begun := c.prepared("1A")
	c.do(AbandonWalk(c.h, begun, "rain"))
	for _, id := range []string{begun, c.fused("1B")} {
		for name, act := range map[string]Act{
			"answer": AnswerStep(c.h, id, StepPrep, card()), "bag": ReadBag(c.h, id, true), "scan": ScanCode(c.h, id, "000000000000000000000000"),
			"port": ChoosePort(c.h, id, say(ItemPort, "1")), "ambient": ReadAmbient(c.h, id, 9_00, Typed, nil),
			"settings": KeySettings(c.h, id, ModeKeyed, 40, ptr(39.5)), "ohms": ReadOhms(c.h, id, ptr(2.4)),
			"start": StartFusion(c.h, id, 0), "refused": RefuseStart(c.h, id, "E12"),
			"leave": LeaveWalk(c.h, id, StepPrep), "resume": ResumeWalk(c.h, id, StepPrep), "abandon": AbandonWalk(c.h, id, "twice"),
		} {
			t.Run(name, func(t *testing.T) {
				at := *c
				at.t = t
				at.refused(act, ErrRule, "is past its walk")
			})
		}
	}
}

// Another crew's bag may stop a row while a walk stands at it: no time is read
// from it any more.
func TestARowStoppedInTheMidstOfAWalk(t *testing.T) {
	c := onSite(t)
	id := c.fitted("1A")
	c.do(AnswerStep(c.h, id, StepPrep, card()))
	other := c.begin("2A")
	c.do(AnswerStep(c.h, other, StepFitting, fitting("coupler 40", "W-2")), ReadBag(c.h, other, false))
	c.refused(ReadAmbient(c.h, id, 9_00, Typed, nil), ErrRule, "is stopped")
	c.refused(KeySettings(c.h, id, ModeKeyed, 40, ptr(39.5)), ErrRule, "is stopped")
}

func TestSettingsNotCompared(t *testing.T) {
	for _, mode := range []Mode{ModeCode, ModeSelf} {
		c := onSite(t)
		id := c.fitted("1A")
		c.do(AnswerStep(c.h, id, StepPrep, card()), ReadAmbient(c.h, id, 9_00, Typed, nil))
		c.do(KeySettings(c.h, id, mode, 43, nil))
		if b := last[SettingsKeyed](c); b.SecondsShown != 43 || b.SecondsTable != 40 || b.Unlike() != "" {
			t.Errorf("%s: %+v", mode, b)
		}
		c.wantNext(id, StepResistance)
	}
}

func TestAmbientAgainDropsSettings(t *testing.T) {
	c := onSite(t)
	id := c.prepared("1A")
	c.do(ReadAmbient(c.h, id, 20_00, Typed, nil))
	c.wantNext(id, StepSettings)
	c.do(KeySettings(c.h, id, ModeKeyed, c.table(id).Seconds, nil))
	c.wantNext(id, StepStart)
}

// What was read for one fitting says nothing of another.
func TestAnotherFittingDropsWhatWasRead(t *testing.T) {
	c := onSite(t)
	id := c.prepared("1A")
	c.do(AnswerStep(c.h, id, StepFitting, fitting("coupler 40", "W-1")))
	c.wantNext(id, StepStart) // the same fitting again changes nothing
	c.do(AnswerStep(c.h, id, StepFitting, fitting("elbow 40", "W-9")), ReadBag(c.h, id, true))
	if w := c.weld(id); w.Ambient != nil || w.Settings != nil || w.Ohms != nil {
		t.Errorf("still holds %+v %+v %+v", w.Ambient, w.Settings, w.Ohms)
	}
	c.wantNext(id, StepAmbient)
}

func TestFittingMustFitThePipe(t *testing.T) {
	c := onSite(t)
	id := c.begin("1A")
	c.refused(AnswerStep(c.h, id, StepFitting, fitting("coupler 63", "W-1")), ErrRule, "40")
	c.refused(AnswerStep(c.h, id, StepFitting, fitting("coupler 41", "W-1")), ErrUnknown, "coupler 41")
	c.refused(AnswerStep(c.h, "KM-0099", StepFitting, nil), ErrUnknown, "KM-0099")
}

func TestRefusedStart(t *testing.T) {
	for _, started := range []bool{false, true} {
		c := onSite(t)
		id := c.prepared("1A")
		if started {
			c.do(StartFusion(c.h, id, 0))
			c.wantNext(id, StepFusion)
			c.wait(2 * time.Second)
		}
		c.do(RefuseStart(c.h, id, "contact fault"))
		w := c.weld(id)
		if w.Fused() || w.Stands() || !w.Walking() || !slices.Equal(w.Refused, []string{"contact fault"}) {
			t.Errorf("started %v: %+v", started, w)
		}
		c.wantNext(id, StepResistance)
		c.refused(Cut(c.h, id, "nothing to cut"), ErrRule, "does not stand")
		if j := c.joint("1A"); j.Stands != "" || j.Walk != id || !j.Open() {
			t.Errorf("started %v: joint %+v", started, j)
		}
		c.do(ReadOhms(c.h, id, ptr(2.4)), StartFusion(c.h, id, 0))
		if c.joint("1A").Stands != id {
			t.Error("the second start does not count")
		}
		c.wantRebuilt()
	}
}

func TestOneFusionAUnit(t *testing.T) {
	c := onSite(t)
	first, second := c.prepared("1A"), c.prepared("1B")
	c.do(StartFusion(c.h, first, 0))
	c.refused(StartFusion(c.h, second, 0), ErrRule, "unit CU-1 is still fusing "+first)
	c.do(BeginWeld(c.h, "2A", ada, "CU-2"))
	third := c.entries[len(c.entries)-1].Weld
	c.do(AnswerStep(c.h, third, StepFitting, fitting("coupler 40", "W-1")), AnswerStep(c.h, third, StepPrep, card()))
	c.settle(third)
	c.do(StartFusion(c.h, third, 0)) // another unit is free
	c.wait(40 * time.Second)
	c.do(EndFusion(c.h, first, FusionEnded{Outcome: Completed}), StartFusion(c.h, second, 0))
	if w, busy := Busy(c.book, c.h.Site, unit); !busy || w.ID != second {
		t.Errorf("unit is busy with %q", w.ID)
	}
}
