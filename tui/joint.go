package tui

import (
	"cmp"
	"fmt"
	"strings"
	"time"

	"github.com/charmbracelet/bubbletea"

	"coolhold/logbook"
	"coolhold/logbook/acts"
	"coolhold/logbook/ahead"
	"coolhold/logbook/audit"
	"coolhold/logbook/register"
	"coolhold/tui/desk"
	"coolhold/tui/form"
	"coolhold/tui/shell"
	"coolhold/tui/walk"
	"coolhold/tui/widget"
)

// joint is one joint: what can be done there, and what is recorded of it.
type joint struct {
	label string
	top   widget.Scroll // of what is recorded
}

// A choice is one line of a menu.
type choice struct {
	text string
	do   func(shell.Env)
	// first is set where Enter may take it: it only goes on to questions.
	first bool
}

// mostLines is how many queries have a line of the menu each: every line must have a digit.
const mostLines = 3

func (s joint) choices(env shell.Env) []choice {
	j := env.Joint(s.label)
	var out []choice
	add := func(when bool, text string, do func(shell.Env)) {
		if when {
			out = append(out, choice{text, do, false})
		}
	}
	w := env.Weld(j.Stands)
	add(j.Walk != "", "go on with "+j.Walk+whose(env, j), func(env shell.Env) { goOn(env, j) })
	add(j.Open() && j.Walk == "", "weld it", func(env shell.Env) {
		if needShift(env) {
			env.Do.Pop()
			walk.Begin(env, j.Label)
		}
	})
	add(w.Stands(), "go to "+w.ID+": "+whatNext(w, j), func(env shell.Env) { env.Do.Push(goTo(env, w)) })
	add(w.Stands(), "record that "+w.ID+" was cut out", func(env shell.Env) { env.Do.Push(cutting(env, w)) })
	noHeat := ": no current was on"
	if env.Weld(j.Walk).HeatPossible() {
		noHeat = ": whether current was on is not known"
	}
	add(j.Walk != "", "give "+j.Walk+" up"+noHeat, func(env shell.Env) { env.Do.Push(givingUp(env, j)) })
	late := "enter a weld made without the laptop"
	if j.Walk != "" {
		late = "it was fused all the same: enter it as it was"
	}
	open := audit.Acceptable(env.Audit.At(w))
	if len(open) > mostLines {
		add(w.Stands(), fmt.Sprintf("accept one of %d queries by name", len(open)), func(env shell.Env) { env.Do.Push(desk.Accepting(w, open...)) })
		open = nil
	}
	for _, f := range open {
		add(w.Stands(), "accept by name: "+strings.TrimLeft(strings.TrimPrefix(f.Says, w.ID), ": "), func(env shell.Env) { env.Do.Push(desk.Accepting(w, f)) })
	}
	add(j.Open(), late, func(env shell.Env) {
		if needShift(env) {
			env.Do.Push(newLater(env))
		}
	})
	add(j.Open() && j.Walk == "", "make-up piece: two joints instead of one", func(env shell.Env) { env.Do.Push(splitting(env, j)) })
	add(j.Open() && j.Walk == "", "it is not being built", func(env shell.Env) { env.Do.Push(desk.Striking("", j)) })
	add(j.Struck != "", "it is being built after all", func(env shell.Env) { env.Do.Push(takingUp(j)) })
	if n := len(j.Welds); n > 0 {
		id := j.Welds[n-1]
		if j.Stands != "" {
			id = j.Stands
		}
		add(true, "everything known of "+id, func(env shell.Env) { env.Do.Push(desk.NewWeld(id)) })
	}
	add(walk.MayLookAgain(env, w), "look at "+w.ID+" again", func(env shell.Env) { env.Do.Push(walk.LookAgain(env, w, env.By)) })
	if len(out) > 0 && j.Open() {
		out[0].first = true
		out[0].text += "   (Enter)"
	}
	return out
}

// whose says of a walk that it is another's.
func whose(env shell.Env, j logbook.Joint) string {
	if w := env.Weld(j.Walk); w.Operator != env.By {
		return ", begun by " + logbook.Clean(w.Operator)
	}
	return ""
}

// goOn takes a walk up. Another's is taken up on purpose and by name: who answers now
// is asked, and whether the weld becomes his.
func goOn(env shell.Env, j logbook.Joint) {
	w := env.Weld(j.Walk)
	env.Do.Pop()
	if w.Operator == env.By {
		walk.TakeUp(env, w)
		return
	}
	var names []string
	for _, o := range env.Shift.Operators {
		names = append(names, o.Name)
	}
	env.Do.Push(form.Ask{
		About: "whose",
		Title: fmt.Sprintf("%s  %s was begun by %s", w.Joint, w.ID, w.Operator),
		Text:  func(shell.Env) []string { return []string{"Whose hands make this weld from here on?"} },
		Form:  form.New([]form.Field{{Item: logbook.FieldOperator, Label: "who welds", Manner: form.Choice, Options: names}}),
		Done: func(env shell.Env, a form.Answers) {
			env.By = a.V(logbook.FieldOperator)
			env.Do.By(env.By)
			walk.TakeUp(env, w)
			if env.By != w.Operator {
				form.Saves(env, w.ID+" operator", func(h acts.Head) acts.Act {
					return acts.AnswerStep(h, w.ID, logbook.StepPeople, []logbook.Answer{a[logbook.FieldOperator]})
				})
			}
		},
	})
}

func whatNext(w logbook.Weld, j logbook.Joint) string {
	if step := w.Next(j, logbook.Due{}); step != logbook.StepDone {
		return step.String()
	}
	if w.Holding() {
		return "hold"
	}
	return "what to write on the pipe"
}

func goTo(env shell.Env, w logbook.Weld) shell.Screen {
	if w.Holding() && w.Next(env.Joint(w.Joint), logbook.Due{}) == logbook.StepDone {
		return ending(env, w)
	}
	return walk.Open(env, w)
}

// Update runs the menu.
func (s joint) Update(env shell.Env, msg tea.Msg) shell.Screen {
	key, ok := msg.(tea.KeyMsg)
	if !ok {
		return s
	}
	choices, room := s.choices(env), env.H-len(s.head(env))
	switch by := shell.Reads(key, room); {
	case shell.Is(key, shell.Leave, shell.BackOne):
		env.Do.Pop()
	case by != 0:
		s.top = s.top.Move(by, len(jointFacts(env, env.Joint(s.label))), room)
	case shell.Is(key, shell.Enter):
		if len(choices) > 0 && choices[0].first {
			choices[0].do(env)
		}
	case key.Type == tea.KeyRunes:
		if n := shell.Digit(key) - 1; n >= 0 && n < len(choices) {
			choices[n].do(env)
		}
	}
	return s
}

// View draws the menu and the records, newest weld first.
func (s joint) View(env shell.Env) string {
	head := s.head(env)
	facts := jointFacts(env, env.Joint(s.label))
	return strings.Join(append(head, s.top.View(facts, env.H-len(head), env.Style.Dim)...), "\n")
}

// head is the joint and the menu.
func (s joint) head(env shell.Env) []string {
	j := env.Joint(s.label)
	lines := []string{env.Style.Bold(widget.Cut(fmt.Sprintf(" %s   %s   %s", j.Label, logbook.Clean(j.Fitting), env.Audit.StateOf(j)), env.W))}
	for _, where := range append([]string{jointPlace(j)}, meetingAt(env, j)...) {
		if where != "" {
			lines = append(lines, widget.Cut(" "+where, env.W))
		}
	}
	if _, under := ahead.Under(env.Site, j); under && j.Open() {
		lines = append(lines, env.Style.Warn(widget.Cut(" Covered while open: dig it up first. "+logbook.Clean(ahead.SectionOf(j))+" is said to be covered.", env.W)))
	}
	if says := env.Audit.BeforeWelding(ahead.SectionOf(j)); says != "" && j.Open() {
		lines = append(lines, env.Style.Warn(widget.Cut(" To be looked at before welding: "+logbook.Clean(says)+": board, keys 9 and 4.", env.W)))
	}
	lines = append(lines, "")
	for i, c := range s.choices(env) {
		lines = append(lines, widget.Cut(fmt.Sprintf("  %d  %s", i+1, c.text), env.W))
	}
	return append(lines, "")
}

func jointPlace(j logbook.Joint) string {
	var parts []string
	if j.Circuit > 0 {
		parts = append(parts, fmt.Sprintf("circuit %d, leg %s, port %d %s, rail %s", j.Circuit, j.Leg, j.Port, j.Row, j.Bar))
	}
	if j.Tape != "" {
		parts = append(parts, logbook.Clean(j.Tape)+" tape")
	}
	if way := j.HeaderWay(); way != "" {
		parts = append(parts, "header "+way)
	}
	if j.Probe != "" {
		parts = append(parts, "probe "+logbook.Clean(j.Probe))
	}
	if line := j.PipeLine(); line != "" && len(j.Ends) == 0 {
		parts = append(parts, line)
	}
	if j.Where != "" {
		parts = append(parts, logbook.Clean(j.Where))
	}
	return strings.Join(parts, "; ")
}

// meetingAt says what meets at a joint of several ends, and which joints on its
// pipes came fused from a works.
func meetingAt(env shell.Env, j logbook.Joint) []string {
	var lines []string
	if len(j.Ends) > 0 {
		lines = widget.Wrap(logbook.Clean(j.PipeLine()), env.W-2)
	}
	for _, n := range env.Site.NotOurs() {
		if n.Shares(j.Joint) {
			lines = append(lines, widget.Wrap(logbook.Clean("on its pipe, not ours: "+n.Label+", "+n.Says()), env.W-2)...)
		}
	}
	return lines
}

// jointFacts are the findings and the register's cells of every weld here.
func jointFacts(env shell.Env, j logbook.Joint) []string {
	var lines []string
	rows := register.Rows(env.Book, env.Site.ID, env.Audit)
	for i := len(rows) - 1; i >= 0; i-- {
		if rows[i].Weld.ID == "" || rows[i].Weld.Joint != j.Label {
			continue
		}
		lines = append(lines, env.Style.Bold(fmt.Sprintf(" %s: %s", rows[i].Weld.ID, rows[i].Verdict)))
		for _, f := range rows[i].Findings {
			for _, l := range widget.Hanging("   "+f.Word()+": ", logbook.Clean(f.Says), env.W) {
				lines = append(lines, env.Style.Warn(l))
			}
		}
		lines = append(lines, weldFacts(env, rows[i])...)
	}
	return lines
}

func weldFacts(env shell.Env, row register.Row) []string {
	var lines []string
	for _, c := range register.Columns {
		v := c.Cell(row)
		switch c.Name {
		case "weld", "joint", "verdict", "findings", "chamber", "circuit", "leg":
			continue
		}
		if v == nil || ofPlan(c.Name, row.Weld) {
			continue
		}
		if t, ok := v.(time.Time); ok {
			v = t.Format("2 Jan 2006 15:04:05")
		}
		lines = append(lines, widget.Cut(fmt.Sprintf("   %s %s", widget.Pad(c.Label(), 25), logbook.Clean(fmt.Sprint(v))), env.W))
	}
	return lines
}

// ofPlan tells whether a cell holds what the plan has and not what was recorded: that
// stands at the head of the screen.
func ofPlan(name string, w logbook.Weld) bool {
	switch name {
	case "header", "port", "pipe_od_mm", "pipe_sdr", "tape", "ends", "probe":
		return true
	case "fitting":
		return w.Fitting() == ""
	case "position":
		return w.Answered(logbook.ItemPlace) == ""
	}
	return false
}

// Keys are the menu's.
func (s joint) Keys(env shell.Env) shell.Keys {
	all := s.choices(env)
	return shell.Keys{shell.Digits(len(all), "do it"), shell.When(len(all) > 0 && all[0].first, shell.On("Enter", "the first")), shell.On("↑↓ PgDn", "read"), shell.Back}
}

// Topic is that of its page.
func (s joint) Topic(shell.Env) string { return "joint" }

// Takes wants no scan.
func (s joint) Takes(shell.Env) shell.Taking { return shell.NoScan }

func whyField(label string, usual ...string) []form.Field {
	return []form.Field{form.Reason("why", label, usual)}
}

// signed are fields of what is done by somebody: his name is asked where no shift says it.
func signed(env shell.Env, fields []form.Field) []form.Field {
	if inShift(env) {
		return fields
	}
	return append([]form.Field{{Item: "by", Label: "your name", Manner: form.Text}}, fields...)
}

// inShift tells whether the shift says who it is.
func inShift(env shell.Env) bool { return env.By != "" && env.Site.Shift != "" }

// signedBy is who does it then.
func signedBy(env shell.Env, a form.Answers) shell.Env {
	env.By = cmp.Or(a.V("by"), env.By)
	return env
}

func cutting(env shell.Env, w logbook.Weld) shell.Screen {
	return form.Ask{
		About: "cutout",
		Once:  "cut out " + w.ID, Title: w.ID + " was cut out of " + w.Joint,
		Text: func(shell.Env) []string {
			return []string{"The weld keeps its number and stays in the register. The joint is open again; the next weld takes a new fitting."}
		},
		Hands: inShift(env),
		Form:  form.New(signed(env, whyField("why it was cut out", logbook.WhyCut...))),
		Done: func(env shell.Env, a form.Answers) {
			form.Saves(signedBy(env, a), w.ID+" cut out", func(h acts.Head) acts.Act { return acts.Cut(h, w.ID, a.V("why")) })
		},
	}
}

func givingUp(env shell.Env, j logbook.Joint) shell.Screen {
	return form.Ask{
		About: "giveup",
		Title: "Give " + j.Walk + " up",
		Hands: inShift(env),
		Form:  form.New(signed(env, whyField("why", logbook.WhyGivenUp...))),
		Done: func(env shell.Env, a form.Answers) {
			form.Saves(signedBy(env, a), j.Walk+" given up", func(h acts.Head) acts.Act { return acts.AbandonWalk(h, j.Walk, a.V("why")) })
		},
	}
}

func takingUp(j logbook.Joint) shell.Screen {
	return form.Ask{
		About: "takeup",
		Title: j.Label + " is being built after all",
		Text: func(shell.Env) []string {
			return []string{"Taken off the list: " + j.Struck + ". Both stay in the log."}
		},
		Form: form.New(append([]form.Field{{Item: "by", Label: "your name", Manner: form.Text}}, whyField("why", logbook.WhyBuilt...)...)),
		Done: func(env shell.Env, a form.Answers) {
			env.By = a.V("by")
			form.Saves(env, j.Label+" being built", func(h acts.Head) acts.Act { return acts.TakeUpJoint(h, j.Label, a.V("why")) })
		},
	}
}

func checkLabel(s string) (string, error) { return s, acts.LabelFault(s) }
