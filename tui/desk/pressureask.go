package desk

import (
	"fmt"
	"slices"
	"strconv"
	"strings"
	"time"

	"coolhold/fusion"
	"coolhold/logbook"
	"coolhold/logbook/acts"
	"coolhold/logbook/ahead"
	"coolhold/logbook/audit"
	"coolhold/tui/form"
	"coolhold/tui/shell"
)

// beginning asks all that is given before a test. Circumstances are offered as they were
// at the last one; a pressure is proposed nowhere, and an observation never.
func beginning(env shell.Env, section ahead.TestSection, by string, before bool) shell.Screen {
	last, _ := lastTest(env)
	fields := []form.Field{}
	if before {
		fields = append(fields, form.Field{Item: "at", Label: "begun at (HH:MM, or YYYY-MM-DD HH:MM)", Manner: form.Text, Check: pastMinute(env)})
	}
	for _, v := range logbook.PressureValues {
		fields = append(fields, pressureField(v, last))
	}
	fields = append(fields, form.Field{
		Item: "wall of", Label: "pipe that the wall was measured on", Manner: form.Choice, Options: pipesOf(section),
		Skip: func(a form.Answers) bool { return a.V("wall") == "" || len(section.Pipes) < 2 },
	})
	if before {
		fields = append(fields, form.Reason("late", "why it was not logged at once", logbook.WhyLate))
	}
	return form.Ask{
		About: "pressure",
		Title: "A pressure test of " + section.Name,
		Text: func(env shell.Env) []string {
			return []string{strings.Join(testingOf(env, section).Standing(env.Now), "; "), audit.PressureCaution}
		},
		Form: form.New(append(fields, whose(by))),
		Done: func(env shell.Env, a form.Answers) {
			b := begunOf(a)
			b.Section = section.ID
			b.Stated, b.Why = statedAt(env, a), a.V("late")
			saveAs(env, a, "pressure test of "+section.Name, func(h acts.Head) acts.Act { return acts.BeginPressure(h, env.Beat, b) })
		},
	}
}

func pipesOf(section ahead.TestSection) []string {
	var out []string
	for _, p := range section.Pipes {
		out = append(out, p.Name)
	}
	return out
}

func begunOf(a form.Answers) logbook.PressureBegun {
	b := logbook.PressureBegun{WallOf: a.V("wall of")}
	for _, v := range logbook.PressureValues {
		if given, ok := a[v.Key]; ok && v.Asked(b.Method) {
			stored, _ := v.Read(given.V) // checked when it was given; "" is not known
			v.Set(&b, stored)
		}
	}
	return b
}

func lastTest(env shell.Env) (logbook.PressureBegun, bool) {
	for _, t := range slices.Backward(env.Site.Tests) {
		if t.Counts() {
			return t.PressureBegun, true
		}
	}
	return logbook.PressureBegun{}, false
}

// kept are the circumstances that are offered as they last were.
var kept = []string{"method", "spec", "minutes", "fall", "er", "er_source", "issue", "weakest", "weakest_bar", "gauge", "range", "resolution", "calibrated"}

func pressureField(v logbook.PressureValue, last logbook.PressureBegun) form.Field {
	label := v.Name
	switch {
	case v.Unit != "" && v.Hint != "":
		label += " (" + v.Unit + ", " + v.Hint + ")"
	case v.Unit != "" || v.Hint != "":
		label += " (" + v.Unit + v.Hint + ")"
	}
	f := form.Field{Item: v.Key, Label: label, Manner: form.Text, Check: checks(v)}
	switch {
	case v.Options != nil:
		f = form.Choose(v.Key, label, v.Options)
	case v.Bounds != nil:
		if f.Manner = form.Number; !v.Must {
			f = f.OrNone(logbook.UnknownWord)
		}
	default:
		f.Usual = append(slices.Clone(v.Usual), logbook.UnknownWord)
	}
	if v.Key == "bar" {
		f.Doubt = func(a form.Answers, said string) string {
			return logbook.Joined("; ", tooHigh(a, said), beyondGauge(a, said))
		}
	}
	if slices.Contains(kept, v.Key) {
		f.Offer = v.Stored(last)
	}
	f.Skip = func(a form.Answers) bool { return !v.Asked(logbook.PressureMethod(a.V("method"))) }
	return f
}

// tooHigh doubts a test pressure above what the weakest part takes, the height of the
// gauge counted in. It is asked once more, and taken.
func tooHigh(a form.Answers, said string) string {
	b := begunOf(a)
	most, known := ahead.MostBar(b)
	if bar, err := strconv.ParseFloat(said, 64); err != nil || !known || bar <= most {
		return ""
	}
	return fmt.Sprintf("%s takes at most %.2f bar at the gauge", b.Weakest, most)
}

// beyondGauge doubts a test pressure that the gauge cannot show.
func beyondGauge(a form.Answers, said string) string {
	b := begunOf(a)
	if b.Bar, _ = strconv.ParseFloat(said, 64); !ahead.BeyondGauge(b) {
		return ""
	}
	return fmt.Sprintf("the gauge ends at %s bar", fusion.Figure(*b.Gauge.RangeBar))
}

// checks keeps the words of a text and the figure of a figure.
func checks(v logbook.PressureValue) func(string) (string, error) {
	return func(said string) (string, error) {
		stored, err := v.Read(said)
		if err == nil && stored == "" {
			return logbook.UnknownWord, nil
		}
		return stored, err
	}
}

func pastMinute(env shell.Env) func(string) (string, error) {
	check := form.PastDay(env)
	return func(s string) (string, error) {
		if _, dayOnly, err := form.Stated(env, s); err == nil && dayOnly {
			return "", fmt.Errorf("%q has no time: write 14:05 or 2026-03-09 14:05", s)
		}
		return check(s)
	}
}

// earlier asks when something was, of a test that was begun earlier: what stands on paper
// has its own minute. Of one that runs it is now.
func earlier(env shell.Env, t audit.Tested, fields ...form.Field) []form.Field {
	if t.Stated == nil {
		return fields
	}
	check := func(s string) (string, error) {
		if s == "" {
			return "", nil // it goes on still
		}
		return pastMinute(env)(form.ClockSince(env, s, *t.Stated))
	}
	return append([]form.Field{{Item: "at", Label: "at (HH:MM, or YYYY-MM-DD HH:MM)", Hint: "Enter alone: now.", Manner: form.Text, Blank: true, Check: check}}, fields...)
}

// tense is how a form speaks of a test that runs, or of one from paper.
func tense(t audit.Tested, now, was string) string {
	if t.Stated == nil {
		return now
	}
	return was
}

// statedAt is when it was, where that was asked.
func statedAt(env shell.Env, a form.Answers) *time.Time {
	if a.V("at") == "" {
		return nil
	}
	at, _, _ := form.Stated(env, a.V("at")) // checked when it was given
	return &at
}

// barField is a figure of the gauge.
func barField(item, label string) form.Field {
	return form.Field{Item: item, Label: label, Manner: form.Number, Keep: true}
}

func reading(env shell.Env, t audit.Tested, by string) shell.Screen {
	return form.Ask{
		About: "test",
		Title: "Pressure test " + t.ID + ": what the gauge " + tense(t, "shows now", "showed"),
		Form:  form.New(earlier(env, t, barField("bar", "gauge (bar)"), whose(by))),
		Done: func(env shell.Env, a form.Answers) {
			b := logbook.PressureRead{Test: t.ID, Bar: a.Float("bar"), Stated: statedAt(env, a)}
			saveAs(env, a, t.ID+" read", func(h acts.Head) acts.Act { return acts.ReadPressure(h, "", b) })
		},
	}
}

// phasing begins a phase, with what the gauge shows then.
func phasing(env shell.Env, t audit.Tested, by string) shell.Screen {
	var codes []string
	for _, p := range t.Method.Phases() {
		codes = append(codes, string(p))
	}
	notDrop := func(a form.Answers) bool { return a.V("phase") != string(logbook.PhaseDrop) }
	return form.Ask{
		About: "test",
		Title: "Pressure test " + t.ID + ": a phase " + tense(t, "begins now", "began"),
		Text: func(shell.Env) []string {
			return []string{tense(t, "The clock counts from the moment in which this is saved.", "It counts from the time that is given here.")}
		},
		Form: form.New(earlier(env, t,
			form.Field{Item: "phase", Label: "phase", Manner: form.Choice, Options: codes, Says: logbook.PressurePhases.Word, Offer: string(ahead.NextPhase(t.PressureTest))},
			barField("bar", "gauge (bar)").OrNone("not read"),
			barField("out", "water let out (L)").Unless(notDrop),
			barField("step", "smallest step of its measure (L)").Unless(notDrop),
			whose(by),
		)),
		Done: func(env shell.Env, a form.Answers) {
			b := logbook.PressureRead{Test: t.ID, Bar: a.Float("bar"), LetOutL: a.Float("out"), MeasureL: a.Float("step"), Stated: statedAt(env, a)}
			phase := logbook.PressurePhase(a.V("phase"))
			saveAs(env, a, t.ID+" "+phase.String(), func(h acts.Head) acts.Act { return acts.ReadPressure(h, phase, b) })
		},
	}
}

func endingTest(env shell.Env, t audit.Tested, by string) shell.Screen {
	toEnd := func(a form.Answers) bool { return a.V("ending") == string(logbook.RanToEnd) }
	return form.Ask{
		About: "test",
		Title: "Pressure test " + t.ID + ": how it ended",
		Text: func(shell.Env) []string {
			return []string{"Look at every joint while the pressure stands. " + audit.PressureCaution}
		},
		Form: form.New(earlier(env, t,
			form.Choose("ending", "the test", logbook.PressureEndings),
			form.Choose("leaks", "leaks", logbook.Leaks),
			form.Field{Item: "text", Label: "what happened", Manner: form.Text, Skip: toEnd},
			barField("left", "pressure left standing (bar; 0: let out)").OrNone(logbook.UnknownWord),
			whose(by),
		)),
		Done: func(env shell.Env, a form.Answers) {
			b := logbook.PressureEnded{Test: t.ID, Ending: logbook.PressureEnding(a.V("ending")), Leaks: a.V("leaks"), LeftBar: a.Float("left"), Text: a.V("text"), Stated: statedAt(env, a)}
			saveAs(env, a, t.ID+" ended", func(h acts.Head) acts.Act { return acts.EndPressure(h, b) })
		},
	}
}

// puttingRight gives another figure for a reading; both stay.
func puttingRight(t audit.Tested, by string) shell.Screen {
	var options []string
	says := map[string]string{}
	for i, r := range t.Readings {
		if r.Bar != nil || r.LetOutL != nil {
			no := strconv.Itoa(i + 1)
			options, says[no] = append(options, no), r.When().Local().Format("15:04")+"  "+logbook.PressureFigure(r.Bar, r.LetOutL)
		}
	}
	of := func(a form.Answers) logbook.Reading {
		n, _ := strconv.Atoi(a.V("no"))
		return t.Readings[max(0, n-1)]
	}
	return form.Ask{
		About: "test",
		Title: "Pressure test " + t.ID + ": a reading that was written down wrongly",
		Text: func(shell.Env) []string {
			return []string{"Both stay in the log, and somebody else is asked about it."}
		},
		Form: form.New([]form.Field{
			{Item: "no", Label: "which reading", Manner: form.Choice, Options: options, Says: func(no string) string { return says[no] }},
			barField("bar", "gauge (bar)").Unless(func(a form.Answers) bool { return of(a).Bar == nil }),
			barField("out", "water let out (L)").Unless(func(a form.Answers) bool { return of(a).LetOutL == nil }),
			form.Reason("why", "why", logbook.WhyCorrected),
			whose(by),
		}),
		Done: func(env shell.Env, a form.Answers) {
			n, _ := strconv.Atoi(a.V("no"))
			b := logbook.PressureRead{Test: t.ID, Bar: a.Float("bar"), LetOutL: a.Float("out"), MeasureL: of(a).MeasureL, Instead: n, Why: a.V("why")}
			saveAs(env, a, t.ID+" put right", func(h acts.Head) acts.Act { return acts.ReadPressure(h, "", b) })
		},
	}
}

func takeTestBack(t audit.Tested, by string) shell.Screen {
	return form.Ask{
		About: "test",
		Title: "Pressure test " + t.ID + " was none: take it back",
		Text: func(shell.Env) []string {
			return []string{"It was recorded by mistake. Both stay in the log; where the gauge was read somebody else is asked. A test that was given up is no mistake: end it."}
		},
		Form: form.New([]form.Field{form.Reason("why", "why it is taken back", logbook.WhyTakenBack), whose(by)}),
		Done: func(env shell.Env, a form.Answers) {
			saveAs(env, a, t.ID+" taken back", func(h acts.Head) acts.Act { return acts.WithdrawPressure(h, t.ID, a.V("why")) })
		},
	}
}

// closable are the joints of a section whose weld no test holds.
func closable(env shell.Env, section ahead.TestSection) []string {
	var out []string
	for _, j := range section.Joints {
		if w := env.Weld(j.Stands); w.Stands() && env.Audit.Untested(j.Label) && w.Closing == nil {
			out = append(out, j.Label)
		}
	}
	return out
}

// closing asks which weld closes the section.
func (s pressureOf) closing(env shell.Env, section ahead.TestSection) {
	labels := closable(env, section)
	if len(labels) == 0 {
		env.Do.Say("no weld here was made after a test of its section")
		return
	}
	env.Do.Push(form.Ask{
		About: "pressure",
		Title: "The closing weld of " + section.Name,
		Text: func(shell.Env) []string {
			return []string{"No test holds it. A look at it under pressure by somebody else, with a witness, ends its query."}
		},
		Form: form.New([]form.Field{
			{Item: "joint", Label: "joint", Manner: form.Choice, Options: labels},
			{Item: "why", Label: "why no test can hold it", Manner: form.Text},
			whose(s.by),
		}),
		Done: func(env shell.Env, a form.Answers) {
			w := env.Weld(env.Joint(a.V("joint")).Stands)
			saveAs(env, a, w.ID+" closes", func(h acts.Head) acts.Act { return acts.NameClosing(h, w.ID, a.V("why")) })
		},
	})
}

// looking asks what was seen of one weld under pressure.
func (s pressureOf) looking(env shell.Env, section ahead.TestSection) {
	var labels []string
	for _, j := range section.Joints {
		if env.Weld(j.Stands).Stands() {
			labels = append(labels, j.Label)
		}
	}
	if len(labels) == 0 {
		env.Do.Say("no weld stands here")
		return
	}
	env.Do.Push(form.Ask{
		About: "pressure",
		Title: "A look at a weld under pressure",
		Text:  func(shell.Env) []string { return []string{audit.PressureCaution} },
		Form: form.New([]form.Field{
			{Item: "joint", Label: "joint", Manner: form.Choice, Options: labels},
			barField("bar", "gauge (bar)"),
			form.Choose("leaks", "leaks", logbook.Leaks),
			{Item: "witness", Label: "witness (name)", Manner: form.Text, Usual: []string{"none"}},
			whose(s.by),
		}),
		Done: func(env shell.Env, a form.Answers) {
			w := env.Weld(env.Joint(a.V("joint")).Stands)
			b := logbook.PressureLook{Leaks: a.V("leaks"), Witness: a.V("witness")}
			if bar := a.Float("bar"); bar != nil {
				b.Bar = *bar
			}
			if b.Witness == "none" {
				b.Witness = ""
			}
			saveAs(env, a, w.ID+" looked at under pressure", func(h acts.Head) acts.Act { return acts.LookUnderPressure(h, w.ID, b) })
		},
	})
}
