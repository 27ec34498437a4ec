package tui

import (
	"cmp"
	"fmt"
	"slices"
	"strconv"
	"strings"
	"time"

	"github.com/charmbracelet/bubbletea"

	"coolhold/fusion"
	"coolhold/logbook"
	"coolhold/logbook/acts"
	"coolhold/logbook/ahead"
	"coolhold/tui/desk"
	"coolhold/tui/form"
	"coolhold/tui/shell"
	"coolhold/tui/walk"
	"coolhold/tui/widget"
)

// holds lists everything that runs or waits for an answer, the first to end
// first, and behind it the pressure tests that go on. Its cursor follows a weld or a test.
type holds struct {
	at   string
	last string // the weld answered for last, whose last answer ← still changes
}

// newHolds is the list with the mark on the fusion that ended first, where one waits: it
// cannot wait as a hold can.
func newHolds(env shell.Env) shell.Screen {
	for _, line := range listed(env) {
		if line.Fusing && line.Over() {
			return holds{at: line.Weld.ID}
		}
	}
	return holds{}
}

// listed is what runs in an order that no passing of time changes, so that a digit means
// the same when a fusion ends under the hand: what stands between two zones, then the
// first to end, then what has no time.
func listed(env shell.Env) []ahead.Running {
	place := func(line ahead.Running) int {
		switch {
		case line.Weld.Between():
			return 0
		case line.Known:
			return 1
		}
		return 2
	}
	all := slices.Clone(env.Running)
	slices.SortStableFunc(all, func(a, b ahead.Running) int {
		return cmp.Or(cmp.Compare(place(a), place(b)), cmp.Compare(a.Left, b.Left))
	})
	return all
}

// Update chooses one and opens it.
func (s holds) Update(env shell.Env, msg tea.Msg) shell.Screen {
	key, ok := msg.(tea.KeyMsg)
	if !ok {
		return s
	}
	list := s.list(env)
	switch by := shell.Chooses(key); {
	case shell.Is(key, shell.BackOne) && amendable(env, s.last):
		amend(env, s.last)
		s.last = ""
	case shell.Is(key, shell.Leave, shell.BackOne):
		env.Do.Pop()
	case by != 0:
		s.at = list.Move(s.at, by)
	case shell.Is(key, shell.Enter):
		return s.answer(env, list.Index(s.at))
	case key.Type == tea.KeyRunes:
		if n := shell.Digit(key) - 1; n >= 0 && n < len(env.Running)+len(env.Tests) {
			return s.answer(env, n)
		}
	}
	return s
}

func (s holds) list(env shell.Env) widget.List {
	var rows []widget.Row
	column := env.JointColumn()
	for i, line := range listed(env) {
		rows = append(rows, widget.Row{Key: line.Weld.ID, Text: func() string { return fmt.Sprintf("%d  %s", i+1, holdLine(column, line)) }})
	}
	for i, line := range env.Tests {
		rows = append(rows, widget.Row{Key: line.Test.ID, Text: func() string { return fmt.Sprintf("%d  %s", len(env.Running)+i+1, pressureLine(column, line)) }})
	}
	return env.List(rows)
}

func (s holds) answer(env shell.Env, i int) shell.Screen {
	if n := i - len(env.Running); n >= 0 {
		if n < len(env.Tests) {
			env.Do.Push(desk.NewTest(env.Tests[n].Test.ID))
		} else {
			env.Do.Pop()
		}
		return s
	}
	line := listed(env)[i]
	w := line.Weld
	s.last = w.ID
	if line.Fusing && line.Over() {
		env.Do.Ack(w.ID)
	}
	if w.Fusing() || w.Next(env.Joint(w.Joint), logbook.Due{}) != logbook.StepDone {
		env.Do.Pop() // a walk ends where it was gone to from
		env.Do.Push(walk.Open(env, w))
		return s
	}
	env.Do.Push(ending(env, w))
	return s
}

// ending is the screen on which a hold ends: a fusion that stopped is cut out
// when it is cold, everything else is released.
func ending(env shell.Env, w logbook.Weld) shell.Screen {
	if w.Outcome == logbook.Stopped && over(env, w) {
		return cutting(env, w)
	}
	return newRelease(env, w)
}

// View draws the list.
func (s holds) View(env shell.Env) string {
	lines := []string{env.Style.Bold(" What runs and what waits"), ""}
	if len(env.Running)+len(env.Tests) == 0 {
		lines = append(lines, " Nothing. Esc goes back.")
	}
	return strings.Join(append(lines, s.list(env).View(s.at, env.H-len(lines))...), "\n")
}

func holdLine(column int, line ahead.Running) string {
	w := line.Weld
	until := ""
	if line.Known && !line.Over() {
		until = "to " + line.Ends.Format("15:04:05")
	}
	return widget.Columns([]int{column, 8, 22, 11}, w.Joint, w.ID, strings.TrimRight(strings.TrimPrefix(shell.StripItem(line), w.Joint+" "), ": →"), until, doubtWord(w))
}

func pressureLine(column int, line ahead.TestRunning) string {
	until := ""
	if line.Known && !line.Over() {
		until = "to " + line.Ends.Format("15:04:05")
	}
	return widget.Columns([]int{column + 32, 11}, strings.TrimRight(shell.StripTest(line), ": →"), until, line.Doubt.Says())
}

// doubtWord is why the time of a hold is in doubt, or what it goes by since.
func doubtWord(w logbook.Weld) string {
	switch n := len(w.Doubts); {
	case w.HoldSaid != nil:
		return "stated"
	case n == 0 || w.Gap != "":
		return ""
	case fusion.Doubt(w.Doubts[n-1].Why) == fusion.Elsewhere:
		return "other machine"
	}
	return "restarted"
}

// Keys are the list's.
func (s holds) Keys(env shell.Env) shell.Keys {
	hints := shell.Keys{shell.On("↑↓", "choose"), shell.On("Enter or digit", "answer")}
	if amendable(env, s.last) {
		hints = append(hints, shell.On("←", "change the last answer on "+s.last))
	}
	return append(hints, shell.Back)
}

// justNow is how long after a look its last answer is changed where it was given: our
// choice. Later it is corrected on the weld's page.
const justNow = 2 * time.Minute

// amendable tells whether a weld was looked at just now by one of those who are here.
func amendable(env shell.Env, weld string) bool {
	w := env.Weld(weld)
	n := len(w.Looks) - 1
	if n < 0 || !w.Stands() {
		return false
	}
	by := w.Looks[n].By
	_, here := env.Shift.Operator(by)
	return (here || by == env.By) && env.Now.Wall.Sub(w.Looks[n].At.Wall) <= justNow
}

func amend(env shell.Env, weld string) {
	w := env.Weld(weld)
	env.Do.Push(walk.Amend(env, w, len(w.Looks)-1))
}

// Name says that the list stands on the stack once.
func (s holds) Name() string { return "what runs" }

// Topic is that of its page.
func (s holds) Topic(shell.Env) string { return "holds" }

// Takes wants no scan.
func (s holds) Takes(shell.Env) shell.Taking { return shell.NoScan }

// The ways a hold can end, as asked.
const (
	heldStill  = "held to the end, clamp on until now"
	heldBroken = "it was moved or unclamped before"
	heldOn     = "leave it alone and go back"
	heldGap    = "accept the time of the wall clock"
	heldRead   = "a watch or the ink on the pipe tells more"
	readInk    = "the ink on the pipe: cool until"
	readWatch  = "a watch, on which somebody saw it begin"
)

// newRelease asks how a hold ended. While it runs it can only have been broken.
func newRelease(env shell.Env, w logbook.Weld) shell.Screen {
	is := func(v string) func(form.Answers) bool {
		return func(a form.Answers) bool { return a.V("held") != v }
	}
	fields := []form.Field{
		heldField(env, w),
		form.Choose("moved", "it was moved or unclamped", logbook.Befores).Unless(func(a form.Answers) bool { return a.V("held") != heldBroken || !over(env, w) }),
		movedField(env, w).Unless(is(heldBroken)),
		{Item: "what", Label: "what happened", Manner: form.Text, Blank: true, Skip: is(heldBroken)},
		{Item: "by", Label: "who accepts", Manner: form.Text, Skip: is(heldGap)},
		form.Reason("why", "why the wall clock can be trusted", logbook.WhyClockTrusted).Unless(is(heldGap)),
	}
	fields = append(fields, readFields(is(heldRead))...)
	for _, f := range walk.BothIndicators(env, w) {
		inner := f.Skip
		f.Skip = func(a form.Answers) bool { return a.V("held") != heldStill || inner != nil && inner(a) }
		fields = append(fields, f)
	}
	return form.Ask{About: "release", Hands: true, Once: "release " + w.ID, Title: w.Joint + "  " + w.ID, Text: releaseText(w.ID), Form: form.New(fields), Done: func(env shell.Env, a form.Answers) { release(env, w, a) }}
}

// heldField asks how a hold ended, with what the hand feels once it is over, on one card.
// A digit never turns into its opposite while somebody waits: 1 leaves it alone, and then
// says that nobody moved it.
func heldField(env shell.Env, w logbook.Weld) form.Field {
	held := form.Field{Item: "held", Label: "the hold", Manner: form.Choice, Options: []string{heldStill, heldBroken}}
	if !over(env, w) {
		held.Options = append([]string{heldOn, heldBroken}, heldDoubts(env, w)...)
		return held
	}
	broken := func(a form.Answers) bool { return a.V("held") == heldBroken }
	card := form.Card("release", "the hold, and felt by hand", form.Line{Field: held, Well: heldStill}, walk.FeltLine().Unless(broken))
	card.Enough = broken
	return card
}

// heldDoubts are the ways to say how much of a hold has run that no clock tells.
func heldDoubts(env shell.Env, w logbook.Weld) (options []string) {
	if acts.GapTold(w, env.Now) {
		options = append(options, heldGap)
	}
	if acts.InDoubt(w, env.Now, env.Beat) {
		options = append(options, heldRead)
	}
	return options
}

// readFields ask what a watch or the ink says of a hold. What the watch shows now is
// asked after what was read before: the later it is read, the longer the hold.
func readFields(unless func(form.Answers) bool) []form.Field {
	by := func(v string) func(form.Answers) bool {
		return func(a form.Answers) bool { return unless(a) || a.V("reads") != v }
	}
	return []form.Field{
		{Item: "reads", Label: "what tells it", Manner: form.Choice, Options: []string{readInk, readWatch}, Skip: unless},
		{Item: "ink", Label: "cool until, as it stands there", Hint: "As 14:52.", Manner: form.Text, Check: acts.WatchTime, Skip: by(readInk)},
		{Item: "began", Label: "when the hold began, by the watch", Hint: "As 14:46, or 14:46:10.", Manner: form.Text, Check: acts.WatchTime, Skip: by(readWatch)},
		{Item: "watch", Label: "what the watch shows now", Hint: "As 14:49, or 14:49:30. Not this laptop's clock.", Manner: form.Text, Check: acts.WatchTime, Skip: unless},
		{Item: "stater", Label: "who states it", Person: true, Manner: form.Text, Skip: unless},
		{Item: "known", Label: "how that is known", Manner: form.Text, Skip: unless},
	}
}

// movedField asks the minute at which a joint was moved, and doubts one that is still
// to come.
func movedField(env shell.Env, w logbook.Weld) form.Field {
	f := form.Of(logbook.FieldDisturbed)
	f.Doubt = func(_ form.Answers, v string) string {
		n, _ := strconv.Atoi(v)
		if w.Ended == nil || !w.Ended.SameBoot(env.Now) {
			return ""
		}
		since := (env.Now.Boot - w.Ended.Boot).Minutes()
		if float64(n) <= since+1 {
			return ""
		}
		return fmt.Sprintf("%d min beside %.0f min since the fusion", n, since)
	}
	return f
}

func over(env shell.Env, w logbook.Weld) bool {
	return w.Hold == nil || w.Hold.Over(env.Now, env.Beat)
}

func releaseText(id string) func(shell.Env) []string {
	return func(env shell.Env) []string {
		w := env.Weld(id)
		lines := []string{"The hold is over. Feel it and look at its indicators, then take the clamp off."}
		if !over(env, w) {
			left, _ := w.Hold.Left(env.Now, env.Beat)
			lines = []string{"The hold runs: " + shell.Clock(left) + " left. Leave it alone. Holding longer is harmless."}
		}
		if says := env.FaultLine(id); says != "" {
			lines = append(lines, says)
		}
		if n := len(w.Doubts); n > 0 {
			lines = append(lines, logbook.Clean(w.Doubts[n-1].Line()))
		}
		if w.HoldSaid != nil {
			lines = append(lines, logbook.Clean(w.HoldSaid.Line()))
		}
		return lines
	}
}

func release(env shell.Env, w logbook.Weld, a form.Answers) {
	switch a.V("held") {
	case heldOn:
	case heldBroken:
		after := 0
		if n := a.Int(logbook.FieldDisturbed); n != nil {
			after = *n
		}
		form.Saves(env, w.ID+" disturbed", func(h acts.Head) acts.Act { return acts.Disturb(h, w.ID, after, a.V("moved"), a.V("what")) })
	case heldGap:
		env.By = a.V("by")
		form.Saves(env, w.ID+" gap accepted", func(h acts.Head) acts.Act { return acts.AcceptGap(h, w.ID, a.V("why")) })
	case heldRead:
		env.By = a.V("stater")
		said := logbook.HoldSaid{Watch: a.V("watch"), Began: a.V("began"), Ink: a.V("ink"), Why: a.V("known")}
		form.Saves(env, w.ID+" hold stated", func(h acts.Head) acts.Act { return acts.SayHold(h, w.ID, said, env.Beat) })
	default:
		look := walk.LookOf(a)
		look.When = logbook.LookRelease
		form.Saves(env, w.ID+" released", func(h acts.Head) acts.Act { return acts.Release(h, w.ID, look, env.Beat) })
		env.Do.Say(w.Joint + ": " + w.ID + " is released")
	}
}
