package logbook

import (
	"encoding/json"
	"fmt"
	"regexp"
	"slices"
	"strings"
	"testing"
	"time"

	"coolhold/fusion"
)

var (
	codeForm = regexp.MustCompile(`^[a-z]{2,12}$`)
	keyForm  = regexp.MustCompile(`^[a-z_]{3,20}$`)
)

// Each option has a code that can stay for ever and a word of its own; what is
// written means one option.
func TestOptions(t *testing.T) {
	if len(AllOptions) < 20 {
		t.Fatalf("%d lists of options", len(AllOptions))
	}
	for _, o := range AllOptions {
		seen := map[string]string{}
		for _, opt := range o.List {
			if !codeForm.MatchString(opt.Code) || opt.Word == "" {
				t.Errorf("%s: code %q, word %q", o.Of, opt.Code, opt.Word)
			}
			for _, said := range []string{opt.Code, opt.Word, strings.ToUpper(opt.Word), "  " + strings.ReplaceAll(opt.Word, " ", "   ")} {
				if code, known := o.Code(said); !known || code != opt.Code {
					t.Errorf("%s: %q means %q, want %q", o.Of, said, code, opt.Code)
				}
			}
			for _, said := range []string{opt.Code, folded(opt.Word)} {
				if other, had := seen[said]; had && other != opt.Code {
					t.Errorf("%s: %q is %s and %s", o.Of, said, other, opt.Code)
				}
				seen[said] = opt.Code
			}
		}
		if _, known := o.Code("nothing of the kind"); o.Of == "" || known || o.Word("nothing of the kind") != "nothing of the kind" {
			t.Errorf("%q knows what it has not", o.Of)
		}
	}
}

// shortOf is what a row lacks.
func shortOf(v About) (faults []string) {
	lacks := func(is bool, what string) {
		if is {
			faults = append(faults, v.Key+": "+what)
		}
	}
	number := v.Kind == AsWhole || v.Kind == AsDecimal
	lacks(!keyForm.MatchString(v.Key), "no key")
	lacks(v.Name == "", "no name")
	lacks(v.Ask == "" && v.Kind != AsMoment && v.Key != ItemCode, "not asked") // the clock and the scanner give these
	lacks(number && !(v.High > v.Low), "no bounds")
	lacks(v.Unit == "" && (v.Kind == AsDecimal || v.Kind == AsCelsius || v.Kind == AsWhole && v.Key != ItemPort), "no unit")
	lacks((v.Kind == AsChoice || v.Kind == AsChoices) && (v.Options == nil || len(v.Options.List) < 2), "no options")
	lacks((v.Write == "") != (v.Example == ""), "half a column on paper")
	for _, text := range []string{v.Write, v.Hint, v.Example} {
		lacks(strings.Contains(v.Fill(text), "{"), fmt.Sprintf("%q names no option", text))
	}
	if v.Kind == AsChoice && v.Options != nil && v.Write != "" {
		for _, code := range v.Offered() {
			lacks(!strings.Contains(v.Write, "{"+code+"}"), "does not say that "+code+" can be written")
		}
	}
	if v.Options != nil {
		lacks(!slices.Contains(AllOptions, v.Options), "its options stand alone")
	}
	if v.Example != "" && v.Kind != AsMoment && len(faults) == 0 {
		stored, err := v.Read(v.Fill(v.Example))
		lacks(err != nil || stored == "", "its example cannot be read")
	}
	return faults
}

func TestEachValueIsDescribedWhole(t *testing.T) {
	keys, names := map[string]bool{}, map[string]bool{}
	for _, v := range WeldValues {
		for _, fault := range shortOf(v.About) {
			t.Error(fault)
		}
		if keys[v.Key] || names[folded(v.Name)] {
			t.Errorf("%s (%s) stands twice", v.Key, v.Name)
		}
		keys[v.Key], names[folded(v.Name)] = true, true
	}
	if len(keys) < 40 {
		t.Errorf("%d values", len(keys))
	}
	volts, _ := ValueOf(FieldVolts)
	whole := volts.About
	for what, spoil := range map[string]func(*About){
		"no key": func(a *About) { a.Key = "" }, "no name": func(a *About) { a.Name = "" }, "not asked": func(a *About) { a.Ask = "" },
		"no bounds": func(a *About) { a.High = 0 }, "no unit": func(a *About) { a.Unit = "" }, "no options": func(a *About) { a.Kind = AsChoice },
		"half a column": func(a *About) { a.Example = "" }, "names no option": func(a *About) { a.Hint = "or {no}" },
		"cannot be read": func(a *About) { a.Example = "mains" }, "stand alone": func(a *About) { a.Options = &Options{List: []Option{{"none", "none"}}} },
	} {
		a := whole
		if spoil(&a); !slices.ContainsFunc(shortOf(a), func(f string) bool { return strings.Contains(f, what) }) {
			t.Errorf("%q is not missed: %q", what, shortOf(a))
		}
	}
}

// said are ways to write what a value can be: each option by word and by code,
// and the figures at and beyond its bounds.
func said(v About) (taken, refused []string) {
	if v.Options != nil {
		taken = append(v.Options.Words(v.Offered()...), v.Offered()...)
	}
	switch v.Kind {
	case AsText:
		return append(taken, "W-1", strings.Repeat("x", longest)), []string{strings.Repeat("x", longest+1)}
	case AsChoice:
		return taken, append(slices.DeleteFunc(v.Options.Words(), func(w string) bool { return slices.Contains(taken, w) }), "well", "4")
	case AsChoices:
		return append(taken, "up / flat", "part,up", "Not seen + up"), []string{"well", "up / well", "/", "up / none", strings.Repeat("up/", mostSides+1)}
	case AsCelsius:
		return []string{"-60", "80", "8,5", "9 °C", "0"}, []string{"-61", "81", "warm"}
	case AsMoment:
		return []string{"2026-03-09 08:02", "2026-03-09T08:02:00+01:00"}, []string{"noon", "8"}
	case AsDecimal:
		return []string{"0.01", "2,5", fmt.Sprint(v.High), "2.5 " + v.Unit}, []string{"0", "-1", fmt.Sprint(v.High + 1), "1.2,3", "1e2"}
	}
	return append(taken, fmt.Sprint(v.Low), fmt.Sprint(v.High), fmt.Sprint(v.Low)+spaced(v.Unit)),
		[]string{fmt.Sprint(v.Low - 1), fmt.Sprint(v.High + 1), "4.5", "four"}
}

// Whatever can be written for a value is a correction of it, and what was
// recorded first is found again; what lies outside changes nothing.
func TestWhatCanBeWrittenCanBeCorrected(t *testing.T) {
	c := onSite(t)
	c.wait(time.Hour)
	late := c.late(func(l *LateWeld) { l.Joint, l.Released = "1A", l.Ended.Add(time.Minute) })
	c.do(Disturb(c.h, late, 3, "digger"))
	corrected := 0
	for _, f := range Fields(c.weld(late)) {
		if f.Key == FieldJoint {
			continue // it goes by MoveWeld
		}
		taken, refused := said(f.About)
		for _, text := range taken {
			before := c.weld(late)
			err := c.try(Correct(c.h, late, f.Key, text, "why"))
			want, readErr := f.ReadOn(before, text)
			if readErr != nil || err != nil && !strings.Contains(err.Error(), "already") {
				t.Errorf("%s: %q is refused: %v, %v", f.Name, text, err, readErr)
			}
			after := c.weld(late)
			if f.Get(after) != want {
				t.Errorf("%s: %q is %q, want %q", f.Name, text, f.Get(after), want)
			}
			if err == nil {
				corrected++
				if states := after.AsRecorded(); bare(states[1]) != bare(before) {
					t.Errorf("%s: before %q stood\n%s\nfound\n%s", f.Name, text, bare(before), bare(states[1]))
				}
			}
		}
		for _, text := range refused {
			c.refused(Correct(c.h, late, f.Key, text, "why"), ErrRule, f.Name)
		}
	}
	if corrected < 80 {
		t.Errorf("%d corrections", corrected)
	}
}

// A value is found again by its key and by its name, of each look too.
func TestValueOf(t *testing.T) {
	c := onSite(t)
	w := c.weld(c.done("1A"))
	for _, f := range Fields(w) {
		byKey, ok := ValueOf(f.Key)
		byName, found := FieldOf(w, strings.ToUpper(f.Name))
		if !ok || !found || byKey.Name != f.Name || byName.Key != f.Key || NameOf(f.Key) != f.Name {
			t.Errorf("%s (%s): %q, %q", f.Key, f.Name, byKey.Name, byName.Key)
		}
	}
	for _, key := range []string{"", "melt.hot", "melt.hot.0", "melt.hot.x", "colour.hot.1", "colour"} {
		if v, ok := ValueOf(key); ok {
			t.Errorf("%q is %q", key, v.Name)
		}
	}
	if v, _ := ValueOf("melt.hot.9"); v.Get(w) != "" || bare(v.Set(w, "none")) != bare(w) {
		t.Error("a look that was not taken has a value")
	}
	if LookNo("melt.hot.2") != 2 || LookNo("melt") != 0 {
		t.Error("the number of a look is not found")
	}
}

// What is not of its kind sets nothing: a damaged entry is no figure of 0.
func TestSetTakesItsKindOnly(t *testing.T) {
	c := onSite(t)
	w := c.weld(c.done("1A"))
	for key, not := range map[string]string{FieldSeconds: "forty", FieldVolts: "mains", FieldAmbient: "warm", FieldRun: "4o", FieldStarted: "noon", FieldDisturbed: "later"} {
		if v, _ := ValueOf(key); bare(v.Set(w, not)) != bare(w) {
			t.Errorf("%s took %q", key, not)
		}
	}
}

// reword gives each option another word until the test is over.
func reword(t testing.TB) {
	for _, o := range AllOptions {
		was := slices.Clone(o.List)
		t.Cleanup(func() { o.List = was })
		for i := range o.List {
			o.List[i].Word = fmt.Sprintf("«%s %d»", o.Of, i)
		}
	}
}

// everyKind is a site on which each option is stored, by codes and by the words
// of the day.
func everyKind(t *testing.T) *crew {
	c := onSite(t)
	id := c.prepared("1A", Answer{Item: "clamped", V: CouldNot, How: Typed, Reason: "noaccess", Why: "the wall"}, Answer{Item: "wiped", V: NotYet, How: Typed})
	c.do(LeaveWalk(c.h, id, StepPrep), ResumeWalk(c.h, id, StepPrep), AnswerStep(c.h, id, StepPrep, card()))
	c.settle(id)
	c.do(ChangeWeather(c.h, Weather{SkyWet, ShelterNone}), StartFusion(c.h, id, 0))
	c.wait(time.Minute)
	c.do(EndFusion(c.h, id, FusionEnded{Outcome: Completed}), ReadRun(c.h, id, ptr(40)))
	c.do(ReadLook(c.h, id, Look{When: LookHot, Indicators: []string{Up, Flat}, Melt: MeltOutside, Wire: "none", Marks: MarksMoved, Straight: No, How: Typed}))
	c.wait(time.Hour)
	c.do(Release(c.h, id, look(LookRelease), fusion.Stamp{}), ReadLook(c.h, id, look(LookRound)))
	for _, f := range Fields(c.weld(id)) {
		if f.Kind == AsChoice {
			for _, word := range f.Options.Words(f.Offered()...) {
				if err := c.try(Correct(c.h, id, f.Key, word, "why")); err != nil && !strings.Contains(err.Error(), "already") {
					t.Fatal(err)
				}
			}
		}
	}
	c.do(Correct(c.h, id, "indicators.hot.1", Indicators.Word(Up)+"/"+Indicators.Word(Part), "why"), Correct(c.h, id, ItemBatch, batches.Word(NotKnown), "why"))
	late := c.late(func(l *LateWeld) { l.Joint = "1B" })
	c.do(Disturb(c.h, late, 3, "digger"), Correct(c.h, late, FieldDisturbed, undisturbed.Word(No), "why"))
	for _, h := range Happenings.Codes() {
		c.do(Happen(c.h, "1A", Happened{What: Happening(h), On: "2026-03-09", Text: "as told"}))
	}
	return c
}

// A word may change: no byte of a log does, and what follows from it stays.
func TestWordsAreNotStored(t *testing.T) {
	first := everyKind(t)
	reword(t)
	other := everyKind(t)
	if len(first.entries) != len(other.entries) {
		t.Fatalf("%d entries, then %d", len(first.entries), len(other.entries))
	}
	said := 0
	for i, e := range first.entries {
		was, _ := json.Marshal(e)
		is, _ := json.Marshal(other.entries[i])
		if string(was) != string(is) {
			t.Errorf("stored\n%s\nand\n%s", was, is)
		}
		said += strings.Count(e.Open().Line(), "«")
	}
	if said < 50 {
		t.Errorf("%d words were said anew", said)
	}
}
