package walk

import (
	"fmt"
	"slices"
	"strconv"
	"strings"
	"time"

	"github.com/charmbracelet/bubbletea"

	"coolhold/logbook"
	"coolhold/logbook/acts"
	"coolhold/logbook/ahead"
	"coolhold/logbook/kit"
	"coolhold/tui/form"
	"coolhold/tui/shell"
)

// The ways a fusion can end, as asked.
const (
	endCompleted = "completed: the unit ran to its end"
	endStopped   = "stopped before its end"
	endRefused   = "the unit refused to start"
	endNotSeen   = "nobody saw"
)

func openFusion(c ctx) stepper {
	return formStep{
		text: fusionText, form: endForm(c), again: endForm,
		done: func(c ctx, a form.Answers) {
			if a.V(logbook.FieldRun) == runsOn {
				return
			}
			save(c, "end of fusion", func(h acts.Head) acts.Act { return endAct(c, h, a) })
		},
	}
}

func fusionText(c ctx) []string {
	left, known := fusionLeft(c)
	if c.w.Unwatched && left <= 0 {
		return []string{"The program was not running all through this fusion. What happened? Ask whoever stood at the unit."}
	}
	if !known {
		return nil
	}
	if left > 0 {
		return []string{
			fmt.Sprintf("Fusing: %s left of %d s. Nobody moves the joint, nobody touches terminals.", shell.Clock(left), c.w.Settings.SecondsShown),
			"Esc goes to the board: the next preparation may begin. The bell calls you back.",
		}
	}
	then := "The hold begins with your answer."
	if c.w.MoreZones() {
		then = "Another zone follows: do not move the joint."
	}
	return []string{c.Style.Alarm("  FUSION TIME IS OVER  "), "Look at the unit's display. " + then}
}

// fusionLeft is what is left of the time set.
func fusionLeft(c ctx) (left time.Duration, known bool) {
	span, known := c.w.FusionSpan()
	if known {
		left, _ = span.Left(c.Now, c.Beat)
	}
	return left, known
}

// What the display shows of the time run after a refusal.
const (
	ranNone = "none"
	ranSome = "some"
	ranHid  = "hidden"
)

// ranSays words what a display shows, by how it counts as the kit says.
func ranSays(c ctx) func(string) string {
	set := 0
	if c.w.Settings != nil {
		set = c.w.Settings.SecondsShown
	}
	says := map[string]string{ranNone: "nothing has run", ranSome: "some seconds have run", ranHid: "no figure"}
	switch counts(c) {
	case kit.CountsUp:
		says[ranNone], says[ranSome] = "0 s: nothing has run", "more than 0 s"
	case kit.CountsDown:
		says[ranNone], says[ranSome] = fmt.Sprintf("%d s, all that was set: nothing has run", set), fmt.Sprintf("less than %d s", set)
	}
	return func(v string) string { return says[v] }
}

// counts is how the display of the walk's unit counts; "" where the kit does not say.
func counts(c ctx) kit.Counts {
	k, _ := logbook.KitOf(c.Site)
	u, _ := k.Unit(c.w.Unit)
	return u.Counts
}

// runsOn is said of a fusion that was called ended before its time, by a key that
// bounced or was struck too soon.
const runsOn = "runs on"

// sooner is how much before its time a fusion may be called ended without a word: the
// laptop counts from a key, so the unit ends first. Our choice.
const sooner = 15 * time.Second

func endForm(c ctx) form.Form {
	options := []string{endCompleted, endStopped, endRefused}
	if c.w.Found {
		options = append(options, endNotSeen)
	}
	unless := func(vs ...string) func(form.Answers) bool {
		return func(a form.Answers) bool { return !slices.Contains(vs, a.V("ending")) }
	}
	at := form.Of(logbook.FieldStoppedAt).Unless(func(a form.Answers) bool {
		return a.V("ending") != endStopped && a.V("ran") != ranSome
	})
	at.Say = func(a form.Answers) string {
		if a.V("ran") == ranSome && counts(c) == kit.CountsDown {
			return "Seconds run: what was set, less what the display still shows."
		}
		return "As the unit shows."
	}
	at.Doubt = doubtSeconds(c, ahead.DoubtStop)
	return form.New([]form.Field{
		{Item: "ending", Label: form.Of(logbook.FieldOutcome).Label, Manner: form.Choice, Options: options},
		earlyField(c),
		{Item: "ran", Label: "the time run, as its display shows", Manner: form.Choice, Options: []string{ranNone, ranSome, ranHid}, Says: ranSays(c), Skip: func(a form.Answers) bool {
			return a.V("ending") != endRefused || counts(c) == kit.CountsNot // then there is nothing to read
		}},
		at,
		{Item: "said", Label: "what the unit said", Manner: form.Text, Blank: true, Skip: unless(endStopped, endRefused)},
	})
}

// earlyField asks for the evidence where a fusion is called ended well before its time.
// A digit alone answers nothing there, since digits come next anyway.
func earlyField(c ctx) form.Field {
	f := form.Of(logbook.FieldRun).Unless(func(a form.Answers) bool {
		left, _ := fusionLeft(c)
		return a.V("ending") != endCompleted || left <= sooner
	})
	f.Say = func(form.Answers) string {
		left, _ := fusionLeft(c)
		return fmt.Sprintf("%d s of its time are left by the laptop. Read the unit's display.", int(left.Seconds()))
	}
	f.Other = &form.Other{Says: "it runs on", V: runsOn}
	f.Doubt = doubtSeconds(c, ahead.DoubtRun)
	return f
}

// doubtSeconds is a field's doubt about seconds.
func doubtSeconds(c ctx, doubt func(logbook.Weld, int) (logbook.Doubt, string)) func(form.Answers, string) string {
	return func(_ form.Answers, v string) string {
		n, _ := strconv.Atoi(v)
		_, beside := doubt(c.w, n)
		return beside
	}
}

func endAct(c ctx, h acts.Head, a form.Answers) acts.Act {
	switch a.V("ending") {
	case endStopped:
		return acts.EndFusion(h, c.w.ID, logbook.FusionEnded{Outcome: logbook.Stopped, AtS: a.Int(logbook.FieldStoppedAt), Said: a.V("said")})
	case endRefused:
		return acts.RefuseStart(h, c.w.ID, a.V("said"), ranOf(a), c.asked)
	case endNotSeen:
		return acts.EndFusion(h, c.w.ID, logbook.FusionEnded{Outcome: logbook.NotSeen})
	}
	if ran := a.Int(logbook.FieldRun); ran != nil {
		return acts.EndAt(h, c.w.ID, *ran)
	}
	return acts.EndFusion(h, c.w.ID, logbook.FusionEnded{Outcome: logbook.Completed})
}

// ranOf is the seconds that the unit shows as run; nil where it shows none.
func ranOf(a form.Answers) *int {
	if a.V("ran") == ranNone {
		return new(int)
	}
	return a.Int(logbook.FieldStoppedAt)
}

func openRun(c ctx) stepper {
	run := form.Of(logbook.FieldRun).OrNone("it shows none")
	run.Doubt = doubtSeconds(c, ahead.DoubtRun)
	run.Say = func(form.Answers) string { return runSays(c) }
	return formStep{
		text: func(c ctx) []string {
			if c.w.Between() {
				return []string{"This zone is fused, and the next one follows. Do not move the joint.", "Read the unit's display: your own keys are never used as a measure."}
			}
			return []string{"The hold runs. Do not touch the joint.", "Read the unit's display: your own keys are never used as a measure."}
		},
		form: form.New([]form.Field{run}),
		done: func(c ctx, a form.Answers) {
			save(c, "seconds run", func(h acts.Head) acts.Act { return acts.ReadRun(h, c.w.ID, a.Int(logbook.FieldRun)) })
		},
	}
}

func openLook(c ctx) stepper {
	return formStep{
		text: func(c ctx) []string {
			lines := []string{"Look, do not touch: the indicators are hot, and a push moves the joint."}
			if says := form.Hand(c.By).Says(c.Env); says != "" {
				lines = append(lines, "Looked at "+says+".")
			}
			return lines
		},
		form: form.New(append([]form.Field{EyeCard()}, BothIndicators(c.Env, c.w)...)),
		done: func(c ctx, a form.Answers) {
			look := LookOf(a)
			look.When = logbook.LookHot
			save(c, "look", func(h acts.Head) acts.Act { return acts.ReadLook(h, c.w.ID, look) })
		},
	}
}

// runSays is how the seconds run are read off a display that counts as the kit says.
func runSays(c ctx) string {
	switch counts(c) {
	case kit.CountsDown:
		if c.w.Settings == nil {
			return ""
		}
		return fmt.Sprintf("The kit has this display count down: the %d s that it showed before, less what it shows now. 0 left is %d.", c.w.Settings.SecondsShown, c.w.Settings.SecondsShown)
	case kit.CountsNot:
		return "The kit has this unit show no running time: ↓."
	}
	return ""
}

// allIndicators is the item of all indicators of a look.
const allIndicators = "indicators"

// apart is said of indicators that are not alike: each is asked by itself.
const apart = "apart"

// BothIndicators ask for the indicators of all sides with one key of their own, and for
// each by itself where they are not alike. Nothing else ever answers for them.
func BothIndicators(env shell.Env, w logbook.Weld) []form.Field {
	each := IndicatorFields(env, w)
	if len(each) < 2 {
		return each
	}
	label := "both indicators"
	if len(each) > 2 {
		label = fmt.Sprintf("all %d indicators", len(each))
	}
	fields := []form.Field{alike(label, len(each))}
	for _, f := range each {
		inner := f.Skip
		f.Skip = func(a form.Answers) bool { return a.V(allIndicators) != apart || inner != nil && inner(a) }
		fields = append(fields, f)
	}
	return fields
}

// alike asks for n indicators that look alike.
func alike(label string, n int) form.Field {
	f := form.Choose(allIndicators, label, logbook.Indicators)
	f.Hint = partIs
	for i, code := range f.Options {
		if code != logbook.None { // a fitting has none once
			f.Options[i] = strings.Repeat(","+code, n)[1:]
		}
	}
	f.Options = append(f.Options, apart)
	f.Says = func(v string) string {
		if v == apart {
			return "not alike: each by itself"
		}
		code, _, _ := strings.Cut(v, ",")
		return logbook.Indicators.Word(code)
	}
	return f
}

// IndicatorFields ask for each indicator that the table prints for the weld's
// fitting; where it prints no number, for all of them at once, the worst.
func IndicatorFields(env shell.Env, w logbook.Weld) []form.Field {
	n := -1
	if row, _ := env.Shelf.Row(w.Fitting()); row.Fitting.Indicators != nil {
		n = *row.Fitting.Indicators
	}
	switch {
	case n < 0:
		return []form.Field{WorstIndicator()}
	case n == 0:
		return []form.Field{indicator(1, "indicators (the table says there are none)")}
	}
	var fields []form.Field
	for i := 1; i <= n; i++ {
		f := indicator(i, fmt.Sprintf("indicator %d of %d%s", i, n, sideOf(env, w, i, n)))
		if i > 1 {
			f.Skip = func(a form.Answers) bool { return a.V("indicator 1") == logbook.None }
		}
		fields = append(fields, f)
	}
	return fields
}

// sideOf is the end of the joint that an indicator of two is at, named and counted as the
// preparation has them: which of two is meant is not left to a guess.
func sideOf(env shell.Env, w logbook.Weld, i, n int) string {
	c := ctx{Env: env, w: w, j: env.Joint(w.Joint)}
	if n != len(logbook.Ends) || endsOf(c) != n {
		return ""
	}
	return ", " + endName(c, logbook.Ends[i-1])
}

// WorstIndicator asks for all indicators at once.
func WorstIndicator() form.Field { return indicator(1, form.Of("indicators").Label) }

func indicator(i int, label string) form.Field {
	f := form.Choose(fmt.Sprintf("indicator %d", i), label, logbook.Indicators)
	f.Hint = partIs
	return f
}

// partIs says what the shortest of the words means.
const partIs = "part: partly up."

// EyeFields ask for what can be seen without touching.
func EyeFields() []form.Field {
	return []form.Field{form.Of("melt"), form.Of("wire"), form.Of("marks"), form.Of("straight")}
}

// EyeCard asks for it on one card.
func EyeCard() form.Field {
	var lines []form.Line
	for _, f := range EyeFields() {
		lines = append(lines, form.Line{Field: f, Well: well[f.Item]})
	}
	return form.Card("eyes", "melt, wire, marks, in line", lines...)
}

// well are the answers that say that a thing is as it should be.
var well = map[string]string{"melt": logbook.None, "wire": logbook.None, "marks": "inplace", "straight": logbook.Yes, "felt": "firm"}

// FeltLine is what a hand can tell, as a line of a card.
func FeltLine() form.Line { return form.Line{Field: FeltField(), Well: well["felt"]} }

// FeltField asks what a hand can tell of a weld.
func FeltField() form.Field { return form.Of("felt").But(logbook.Unseen) }

// LookOf makes a look of the answers given.
func LookOf(a form.Answers) logbook.Look {
	look := logbook.Look{How: logbook.Typed}
	for _, v := range logbook.LookValues {
		if given, ok := a[v.Key]; ok && given.V != apart {
			look = v.Set(look, given.V)
		}
	}
	for i := 1; ; i++ {
		given, ok := a[fmt.Sprintf("indicator %d", i)]
		if !ok {
			return look
		}
		look.Indicators = append(look.Indicators, given.V)
	}
}

// done shows what to write on the pipe.
type done struct{}

func openDone(ctx) stepper { return done{} }

// back changes the last answer of the look: a correction, since it was recorded.
func (s done) back(c ctx) (stepper, bool) {
	if n := len(c.w.Looks); n > 0 && c.w.Stands() {
		c.Do.Push(Amend(c.Env, c.w, n-1))
		return s, true
	}
	return s, false
}

func (done) ended() bool { return false }

func (done) update(c ctx, msg tea.Msg) stepper {
	if key, ok := msg.(tea.KeyMsg); ok && shell.Is(key, shell.Enter) {
		c.Do.Pop()
	}
	return done{}
}

func (done) view(c ctx, height int) string {
	var lines []string
	switch {
	case c.w.Abandoned != "":
		lines = wrapped("Given up before any current: "+logbook.Clean(c.w.Abandoned)+". The joint is open.", c.W)
		if c.w.HeatPossible() {
			lines = wrapped("Given up: "+logbook.Clean(c.w.Abandoned)+". It is not known that no current went in: the foreman must decide. Take the fitting out; the joint is open.", c.W)
		}
	case c.w.CutOut != nil:
		lines = wrapped("Cut out: "+logbook.Clean(c.w.CutWhy)+". The joint is open again.", c.W)
	case c.w.Outcome != logbook.Completed:
		lines = wrapped("Let it cool, then cut it out. A fitting is fused once: start again with a new one.", c.W)
	case c.w.Disturbed != nil && c.w.Disturbed.Early:
		lines = wrapped("It was moved before its time was up: when it is cold, cut it out and weld again with a new fitting.", c.W)
	case c.w.Released != nil:
		lines = wrapped("Recorded. Its hold is over, and it is released.", c.W)
	default:
		lines = wrapped("Recorded. Leave the joint alone until its hold is over.", c.W)
	}
	if says := c.FaultLine(c.w.ID); says != "" && c.w.Stands() && c.w.Disturbed == nil && c.w.Outcome == logbook.Completed {
		for _, l := range wrapped(says, c.W) {
			lines = append(lines, c.Style.Warn(l))
		}
	}
	if c.w.Stands() {
		lines = append(lines, "", "  Write on the pipe:", "", "      "+c.Style.Bold(c.w.Ink(c.Mark(c.w.Operator))))
	}
	lines = append(lines, "", "  Enter: back")
	if len(c.w.Looks) > 0 && c.w.Stands() {
		lines = append(lines, "  ←: change the last answer of the look")
	}
	return join(lines)
}

func (done) takes(ctx) shell.Taking { return shell.NoScan }
func (done) keys(ctx) shell.Keys    { return shell.Keys{shell.On("Enter", "back")} }

func join(lines []string) string { return strings.Join(lines, "\n") }
