package logbook_test

import (
	"encoding/json"
	"fmt"
	"regexp"
	"slices"
	"strings"
	"testing"
	"time"

	"coolhold/fusion"
	"coolhold/logbook"
	"coolhold/logbook/acts"
	"coolhold/logbook/crew"
)

var (
	codeForm = regexp.MustCompile(`^[a-z]{2,12}$`)
	keyForm  = regexp.MustCompile(`^[a-z_]{3,20}$`)
)

// Each option has a code that can stay for ever and a word of its own; what is
// written means one option.
func TestOptions(t *testing.T) {
	if len(logbook.AllOptions) < 20 {
		t.Fatalf("%d lists of options", len(logbook.AllOptions))
	}
	for _, o := range logbook.AllOptions {
		seen := map[string]string{}
		for _, opt := range o.List {
			if !codeForm.MatchString(opt.Code) || opt.Word == "" {
				t.Errorf("%s: code %q, word %q", o.Of, opt.Code, opt.Word)
			}
			for _, said := range append([]string{opt.Code, opt.Word, strings.ToUpper(opt.Word), "  " + strings.ReplaceAll(opt.Word, " ", "   ")}, opt.Former...) {
				if code, known := o.Code(said); !known || code != opt.Code {
					t.Errorf("%s: %q means %q, want %q", o.Of, said, code, opt.Code)
				}
			}
			for _, said := range append([]string{opt.Code, fusion.Folded(opt.Word)}, opt.Former...) {
				if other, had := seen[said]; had && other != opt.Code {
					t.Errorf("%s: %q is %s and %s", o.Of, said, other, opt.Code)
				}
				seen[said] = opt.Code
			}
		}
		if _, known := o.Code("nothing of the kind"); o.Of == "" || known || o.Word("nothing of the kind") != "nothing of the kind" {
			t.Errorf("%q knows what it has not", o.Of)
		}
		if code, known := o.Begun("nothing of the kind"); known || code != "" {
			t.Errorf("%q finds %q by words that are not its own", o.Of, code)
		}
	}
}

// formerWords are the words that sheets, scripts and people had before the words
// of today, by their list: a sheet lies in the van for months.
var formerWords = map[string]map[string]string{
	"scraping method": {"rotary tool": "rotary", "hand tool": "hand"},
	"occasion":        {"at the round": "round"},
	"indicator":       {"up": "up", "part": "part", "flat": "flat", "none on this fitting": "none", "not seen": "unseen"},
	"melt":            {"none": "none", "outside": "outside", "not seen": "unseen"},
	"wire":            {"none seen": "none", "seen": "seen", "not seen": "unseen"},
	"insertion marks": {"in place": "inplace", "moved": "moved", "not seen": "unseen"},
	"in line":         {"yes": "yes", "no": "no", "not seen": "unseen"},
	"felt":            {"cold and firm": "firm", "still warm": "warm", "moves": "moves", "not seen": "unseen"},
}

// Each former word is read as what it meant, by its first words too where they
// were enough, and none is shown.
func TestFormerWordsAreRead(t *testing.T) {
	n := 0
	for _, o := range logbook.AllOptions {
		for word, want := range formerWords[o.Of] {
			n++
			if code, known := o.Code(word); !known || code != want {
				t.Errorf("%s: %q means %q, meant %q", o.Of, word, code, want)
			}
			first, _, more := strings.Cut(word, " ")
			if code, known := o.Begun(first); more && len(first) >= 4 && (!known || code != want) {
				t.Errorf("%s: %q means %q, meant %q", o.Of, first, code, want)
			}
		}
		for _, opt := range o.List {
			if slices.ContainsFunc(opt.Former, func(was string) bool { return slices.Contains(o.Words(), was) }) {
				t.Errorf("%s: %q is shown", o.Of, opt.Former)
			}
		}
	}
	if n != 24 {
		t.Errorf("%d words were looked at", n)
	}
}

// What may be the half of two words is neither of them.
func TestHalfAWordIsVague(t *testing.T) {
	felt := logbook.LookValue("felt").Options
	for said, want := range map[string]string{
		"firm": "firm, cool; firm, still hot", "firm, cool": "", "firm, still hot": "", "loose": "", "cold": "", "still": "", "could not feel": "", "": "",
	} {
		if got := strings.Join(felt.Vague(said), "; "); got != want {
			t.Errorf("%q may be %q, want %q", said, got, want)
		}
	}
}

// What a value was called is still read where its name is typed.
func TestFormerNamesAreRead(t *testing.T) {
	w := logbook.Weld{Looks: []logbook.Seen{{Look: logbook.Look{When: logbook.LookHot}}, {Look: logbook.Look{When: logbook.LookRound}}}}
	for said, key := range map[string]string{
		"coil batch": logbook.ItemPipeBatch, "batch of the coil or pipe": logbook.ItemPipeBatch, "Port as welded": logbook.ItemPort, "port": logbook.ItemPort,
		"felt at the round (look 2)": "felt.round.2", "felt at the end-of-shift check (look 2)": "felt.round.2",
	} {
		if f, ok := logbook.FieldOf(w, said); !ok || f.Key != key || f.Name == f.Former {
			t.Errorf("%q is %q, want %q", said, f.Key, key)
		}
	}
	if f, ok := logbook.FieldOf(w, ""); ok {
		t.Errorf("a blank is %q", f.Key)
	}
}

// shortOf is what a row lacks.
func shortOf(v logbook.About) (faults []string) {
	lacks := func(is bool, what string) {
		if is {
			faults = append(faults, v.Key+": "+what)
		}
	}
	number := v.Kind == logbook.AsWhole || v.Kind == logbook.AsDecimal
	lacks(!keyForm.MatchString(v.Key), "no key")
	lacks(v.Name == "", "no name")
	lacks(v.Ask == "" && v.Kind != logbook.AsMoment && v.Key != logbook.ItemCode, "not asked") // the clock and the scanner give these
	lacks(number && !(v.High > v.Low), "no bounds")
	lacks(v.Unit == "" && (v.Kind == logbook.AsDecimal || v.Kind == logbook.AsCelsius || v.Kind == logbook.AsWhole && v.Key != logbook.ItemPort), "no unit")
	lacks((v.Kind == logbook.AsChoice || v.Kind == logbook.AsChoices) && (v.Options == nil || len(v.Options.List) < 2), "no options")
	lacks((v.Write == "") != (v.Example == ""), "half a column on paper")
	for _, text := range []string{v.Write, v.Hint, v.Example} {
		lacks(strings.Contains(v.Fill(text), "{"), fmt.Sprintf("%q names no option", text))
	}
	if v.Kind == logbook.AsChoice && v.Options != nil && v.Write != "" {
		for _, code := range v.Offered() {
			lacks(!strings.Contains(v.Write, "{"+code+"}"), "does not say that "+code+" can be written")
		}
	}
	if v.Options != nil {
		lacks(!slices.Contains(logbook.AllOptions, v.Options), "its options stand alone")
	}
	if v.Example != "" && v.Kind != logbook.AsMoment && len(faults) == 0 {
		stored, err := v.Read(v.Fill(v.Example))
		lacks(err != nil || stored == "", "its example cannot be read")
	}
	return faults
}

func TestEachValueIsDescribedWhole(t *testing.T) {
	keys, names := map[string]bool{}, map[string]bool{}
	for _, v := range logbook.WeldValues {
		for _, fault := range shortOf(v.About) {
			t.Error(fault)
		}
		if keys[v.Key] || names[fusion.Folded(v.Name)] {
			t.Errorf("%s (%s) stands twice", v.Key, v.Name)
		}
		keys[v.Key], names[fusion.Folded(v.Name)] = true, true
	}
	if len(keys) < 40 {
		t.Errorf("%d values", len(keys))
	}
	volts, _ := logbook.ValueOf(logbook.FieldVolts)
	whole := volts.About
	for what, spoil := range map[string]func(*logbook.About){
		"no key": func(a *logbook.About) { a.Key = "" }, "no name": func(a *logbook.About) { a.Name = "" }, "not asked": func(a *logbook.About) { a.Ask = "" },
		"no bounds": func(a *logbook.About) { a.High = 0 }, "no unit": func(a *logbook.About) { a.Unit = "" }, "no options": func(a *logbook.About) { a.Kind = logbook.AsChoice },
		"half a column": func(a *logbook.About) { a.Example = "" }, "names no option": func(a *logbook.About) { a.Hint = "or {no}" },
		"cannot be read": func(a *logbook.About) { a.Example = "mains" }, "stand alone": func(a *logbook.About) {
			a.Options = &logbook.Options{List: []logbook.Option{{Code: "none", Word: "none"}}}
		},
	} {
		a := whole
		if spoil(&a); !slices.ContainsFunc(shortOf(a), func(f string) bool { return strings.Contains(f, what) }) {
			t.Errorf("%q is not missed: %q", what, shortOf(a))
		}
	}
}

// said are ways to write what a value can be: each option by word and by code,
// and the figures at and beyond its bounds.
func said(v logbook.About) (taken, refused []string) {
	if v.Options != nil {
		taken = append(v.Options.Words(v.Offered()...), v.Offered()...)
	}
	switch v.Kind {
	case logbook.AsText:
		return append(taken, "W-1", strings.Repeat("x", logbook.Longest)), []string{strings.Repeat("x", logbook.Longest+1)}
	case logbook.AsChoice:
		return taken, append(slices.DeleteFunc(v.Options.Words(), func(w string) bool { return slices.Contains(taken, w) }), "well", "4")
	case logbook.AsChoices:
		return append(taken, "up / flat", "part,up", "Not seen + up"), []string{"well", "up / well", "/", "up / none", strings.Repeat("up/", logbook.MostSides+1)}
	case logbook.AsCelsius:
		return []string{"-60", "80", "8,5", "9 °C", "0"}, []string{"-61", "81", "warm"}
	case logbook.AsMoment:
		return []string{"2026-03-09 08:02", "2026-03-09T08:02:00+01:00"}, []string{"noon", "8"}
	case logbook.AsDecimal:
		return []string{"0", "0.01", "2,5", fmt.Sprint(v.High), "2.5 " + v.Unit}, []string{"-1", fmt.Sprint(v.High + 1), "1.2,3", "1e2"}
	}
	return append(taken, fmt.Sprint(v.Low), fmt.Sprint(v.High), fmt.Sprint(v.Low)+logbook.Spaced(v.Unit)),
		[]string{fmt.Sprint(v.Low - 1), fmt.Sprint(v.High + 1), "4.5", "four"}
}

// Whatever can be written for a value is a correction of it, and what was
// recorded first is found again; what lies outside changes nothing.
func TestWhatCanBeWrittenCanBeCorrected(t *testing.T) {
	c := crew.OnSite(t)
	c.Wait(time.Hour)
	late := c.Late(func(l *acts.LateWeld) { l.Joint, l.Released = "1A", l.Ended.Add(time.Minute) })
	c.Do(acts.Disturb(c.H, late, 3, "", "digger"))
	corrected := 0
	for _, f := range logbook.Fields(c.Weld(late)) {
		if f.Key == logbook.FieldJoint {
			continue // it goes by MoveWeld
		}
		taken, refused := said(f.About)
		if f.Key == logbook.FieldOperator {
			taken, refused = []string{"Bo Invented", "not known"}, append(refused, "W-1", "?")
		}
		for _, text := range taken {
			before := c.Weld(late)
			err := c.Try(acts.Correct(c.H, late, f.Key, text, "why"))
			want, readErr := f.ReadOn(before, text)
			if readErr != nil || err != nil && !strings.Contains(err.Error(), "already") {
				t.Errorf("%s: %q is refused: %v, %v", f.Name, text, err, readErr)
			}
			after := c.Weld(late)
			if f.Get(after) != want {
				t.Errorf("%s: %q is %q, want %q", f.Name, text, f.Get(after), want)
			}
			if err == nil {
				corrected++
				if states := after.AsRecorded(); crew.Bare(states[1]) != crew.Bare(before) {
					t.Errorf("%s: before %q stood\n%s\nfound\n%s", f.Name, text, crew.Bare(before), crew.Bare(states[1]))
				}
			}
		}
		for _, text := range refused {
			c.Refused(acts.Correct(c.H, late, f.Key, text, "why"), logbook.ErrRule, f.Name)
		}
	}
	if corrected < 80 {
		t.Errorf("%d corrections", corrected)
	}
}

// A value is found again by its key and by its name, of each look too.
func TestValueOf(t *testing.T) {
	c := crew.OnSite(t)
	w := c.Weld(c.Done("1A"))
	for _, f := range logbook.Fields(w) {
		byKey, ok := logbook.ValueOf(f.Key)
		byName, found := logbook.FieldOf(w, strings.ToUpper(f.Name))
		if !ok || !found || byKey.Name != f.Name || byName.Key != f.Key || logbook.NameOf(f.Key) != f.Name {
			t.Errorf("%s (%s): %q, %q", f.Key, f.Name, byKey.Name, byName.Key)
		}
	}
	for _, key := range []string{"", "melt.hot", "melt.hot.0", "melt.hot.x", "colour.hot.1", "colour"} {
		if v, ok := logbook.ValueOf(key); ok {
			t.Errorf("%q is %q", key, v.Name)
		}
	}
	if v, _ := logbook.ValueOf("melt.hot.9"); v.Get(w) != "" || crew.Bare(v.Set(w, "none")) != crew.Bare(w) {
		t.Error("a look that was not taken has a value")
	}
	if logbook.LookNo("melt.hot.2") != 2 || logbook.LookNo("melt") != 0 {
		t.Error("the number of a look is not found")
	}
}

// What is not of its kind sets nothing: a damaged entry is no figure of 0.
func TestSetTakesItsKindOnly(t *testing.T) {
	c := crew.OnSite(t)
	w := c.Weld(c.Done("1A"))
	for key, not := range map[string]string{logbook.FieldSeconds: "forty", logbook.FieldVolts: "mains", logbook.FieldAmbient: "warm", logbook.FieldRun: "4o", logbook.FieldStarted: "noon", logbook.FieldDisturbed: "later"} {
		if v, _ := logbook.ValueOf(key); crew.Bare(v.Set(w, not)) != crew.Bare(w) {
			t.Errorf("%s took %q", key, not)
		}
	}
}

// reword gives each option another word until the test is over.
func reword(t testing.TB) {
	for _, o := range logbook.AllOptions {
		was := slices.Clone(o.List)
		t.Cleanup(func() { o.List = was })
		for i := range o.List {
			o.List[i].Word = fmt.Sprintf("«%s %d»", o.Of, i)
		}
	}
}

// everyKind is a site on which each option is stored, by codes and by the words
// of the day.
func everyKind(t *testing.T) *crew.Crew {
	c := crew.OnSite(t)
	id := c.Prepared("1A", logbook.Answer{Item: "clamped", V: logbook.CouldNot, How: logbook.Typed, Reason: "noaccess", Why: "the wall"}, logbook.Answer{Item: "wiped", V: logbook.NotYet, How: logbook.Typed})
	c.Do(acts.LeaveWalk(c.H, id, logbook.StepPrep), acts.ResumeWalk(c.H, id, logbook.StepPrep), acts.AnswerStep(c.H, id, logbook.StepPrep, crew.Card()))
	c.Settle(id)
	c.Do(acts.ChangeWeather(c.H, logbook.Weather{logbook.SkyWet, logbook.ShelterNone}), acts.StartFusion(c.H, id, 0))
	c.Wait(time.Minute)
	c.Do(acts.EndFusion(c.H, id, logbook.FusionEnded{Outcome: logbook.Completed}), acts.ReadRun(c.H, id, new(40)))
	c.Do(acts.ReadLook(c.H, id, logbook.Look{When: logbook.LookHot, Indicators: []string{logbook.Up, logbook.Flat}, Melt: logbook.MeltOutside, Wire: "none", Marks: logbook.MarksMoved, Straight: logbook.No, How: logbook.Typed}))
	c.Wait(time.Hour)
	c.Do(acts.Release(c.H, id, crew.Look(logbook.LookRelease), fusion.Stamp{}), acts.ReadLook(c.H, id, crew.Look(logbook.LookRound)))
	for _, f := range logbook.Fields(c.Weld(id)) {
		if f.Kind == logbook.AsChoice {
			for _, word := range f.Options.Words(f.Offered()...) {
				if err := c.Try(acts.Correct(c.H, id, f.Key, word, "why")); err != nil && !strings.Contains(err.Error(), "already") {
					t.Fatal(err)
				}
			}
		}
	}
	c.Do(acts.Correct(c.H, id, "indicators.hot.1", logbook.Indicators.Word(logbook.Up)+"/"+logbook.Indicators.Word(logbook.Part), "why"), acts.Correct(c.H, id, logbook.ItemBatch, logbook.Batches.Word(logbook.NotKnown), "why"))
	late := c.Late(func(l *acts.LateWeld) { l.Joint = "1B" })
	c.Do(acts.Disturb(c.H, late, 3, "", "digger"), acts.Correct(c.H, late, logbook.FieldDisturbed, logbook.Undisturbed.Word(logbook.No), "why"))
	for _, h := range logbook.Happenings.Codes() {
		c.Do(acts.Happen(c.H, "1A", logbook.Happened{What: logbook.Happening(h), On: "2026-03-09", Text: "as told"}))
	}
	return c
}

// A word may change: no byte of a log does, and what follows from it stays.
func TestWordsAreNotStored(t *testing.T) {
	first := everyKind(t)
	reword(t)
	other := everyKind(t)
	if len(first.Entries) != len(other.Entries) {
		t.Fatalf("%d entries, then %d", len(first.Entries), len(other.Entries))
	}
	said := 0
	for i, e := range first.Entries {
		was, _ := json.Marshal(e)
		is, _ := json.Marshal(other.Entries[i])
		if string(was) != string(is) {
			t.Errorf("stored\n%s\nand\n%s", was, is)
		}
		said += strings.Count(e.Open().Line(), "«")
	}
	if said < 50 {
		t.Errorf("%d words were said anew", said)
	}
}
