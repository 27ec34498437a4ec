package walk

import (
	"fmt"
	"strings"

	"github.com/charmbracelet/bubbletea"

	"coolhold/logbook"
	"coolhold/logbook/acts"
	"coolhold/logbook/ahead"
	"coolhold/tui/form"
	"coolhold/tui/shell"
	"coolhold/tui/widget"
)

// begin asks what a weld must know before it has a number: whether to work on
// a pipe that is held, and whose hands and which unit, where there are several.
type begin struct {
	joint string
	form  form.Form
}

const (
	otherJoint = "take another joint"
	stays      = "it stays clamped and is not disturbed by this: go on"
	staysNot   = "go on, though it is disturbed or not clamped"
	notSure    = "go on; nobody is sure"
)

// besides are what each says of the held joint.
var besides = map[string]string{stays: logbook.Yes, staysNot: logbook.No, notSure: logbook.Unsure}

// Begin starts the next weld of a joint, or asks first.
func Begin(env shell.Env, joint string) {
	fields := beginFields(env, env.Joint(joint))
	if len(fields) > 0 {
		env.Do.Push(begin{joint, form.New(fields)})
		return
	}
	env.Do.Push(number(env, joint, form.Answers{}))
}

func beginFields(env shell.Env, j logbook.Joint) []form.Field {
	var fields []form.Field
	if held, is := ahead.PipeHeld(env.Book, j, env.Now, env.Beat); is {
		fields = append(fields, form.Field{
			Item: "held", Label: fmt.Sprintf("%s shares its pipe with %s, which must not move", j.Label, shell.StripItem(held)),
			Manner: form.Choice, Options: []string{otherJoint, stays, staysNot, notSure},
		})
	}
	for _, f := range peopleFields(env) {
		fields = append(fields, f.Unless(leaves))
	}
	return fields
}

// PeopleFields ask who makes a batch, and with which unit.
func PeopleFields(env shell.Env) []form.Field { return peopleFields(env) }

// peopleFields ask whose hands and which unit, where the shift has several.
func peopleFields(env shell.Env) []form.Field {
	var fields []form.Field
	if len(env.Shift.Operators) > 1 {
		var names []string
		for _, o := range env.Shift.Operators {
			names = append(names, o.Name)
		}
		fields = append(fields, form.Field{Item: logbook.FieldOperator, Label: "who welds", Manner: form.Choice, Options: names, Offer: env.By})
	}
	if len(env.Shift.Units) > 1 {
		var serials []string
		for _, u := range env.Shift.Units {
			serials = append(serials, u.Serial)
		}
		fields = append(fields, form.Field{Item: logbook.FieldUnit, Label: "control unit", Manner: form.Choice, Options: serials, Offer: lastUnit(env)})
	}
	return fields
}

func leaves(a form.Answers) bool { return a.V("held") == otherJoint }

func lastUnit(env shell.Env) string {
	welds := env.Book.Welds(env.Site.ID)
	if len(welds) == 0 {
		return ""
	}
	unit := welds[len(welds)-1].Unit
	if _, busy := ahead.Busy(env.Book, env.Site.ID, unit); busy {
		return ""
	}
	return unit
}

// number stores that the weld is begun and opens its walk.
func number(env shell.Env, joint string, a form.Answers) shell.Screen {
	operator, unit := a.V(logbook.FieldOperator), a.V(logbook.FieldUnit)
	if operator == "" {
		operator = env.By
	}
	if unit == "" && len(env.Shift.Units) > 0 {
		unit = env.Shift.Units[0].Serial
	}
	env.Do.By(operator)
	env.By = operator
	h := env.Head()
	var beside []logbook.Answer
	if said, asked := besides[a.V("held")]; asked {
		held, _ := ahead.PipeHeld(env.Book, env.Joint(joint), env.Now, env.Beat)
		beside = append(beside, logbook.Answer{Item: logbook.BesideItem(held.Weld.ID), V: said, How: logbook.Typed})
	}
	env.Do.Save(h, "weld begun", acts.BeginWeld(h, joint, operator, unit, beside...))
	return Walk{joint: joint, asked: h.ID}
}

// Update answers the questions, then goes on.
func (s begin) Update(env shell.Env, msg tea.Msg) shell.Screen {
	switch {
	case shell.Is(msg, shell.Leave), shell.Is(msg, shell.BackOne) && s.form.AtFirst():
		env.Do.Pop()
		return s
	case shell.Is(msg, shell.BackOne):
		s.form = s.form.Back()
		return s
	}
	f, event := s.form.Update(msg)
	s.form = f
	switch {
	case event != form.Nothing && leaves(f.Given):
		env.Do.Pop()
	case event == form.Complete:
		env.Do.Replace(number(env, s.joint, f.Given))
	}
	return s
}

// View draws the questions.
func (s begin) View(env shell.Env) string {
	lines := []string{env.Style.Bold(widget.Cut("New weld in "+s.joint, env.W)), ""}
	return strings.Join(append(lines, s.form.View(env.Style, env.W, env.H-2)), "\n")
}

// Keys are the form's.
func (s begin) Keys(shell.Env) shell.Keys {
	return append(s.form.Keys(), shell.On("←", "one back"), shell.On("Esc", "back"))
}

// Topic is that of its page.
func (s begin) Topic(shell.Env) string { return "begin" }

// Takes wants no scan.
func (s begin) Takes(shell.Env) shell.Taking { return shell.NoScan }
