package form

import (
	"cmp"
	"strings"

	"github.com/charmbracelet/bubbletea"

	"coolhold/logbook"
	"coolhold/logbook/acts"
	"coolhold/tui/shell"
	"coolhold/tui/widget"
)

// An Ask is a screen made of a form: a title, lines above it, and what to do with
// the answers. It closes itself when it is done.
type Ask struct {
	Once  string // its name, where it stands on the stack once (shell.Singular)
	Title string
	Text  func(shell.Env) []string // nil: no lines
	Form  Form
	Done  func(shell.Env, Answers)
	Esc   string // what Esc does; "": leave
}

// Update answers Esc and ← and hands the rest to the form.
func (s Ask) Update(env shell.Env, msg tea.Msg) shell.Screen {
	if key, ok := msg.(tea.KeyMsg); ok {
		switch {
		case shell.Is(key, shell.Leave):
			env.Do.Pop()
			return s
		case shell.Is(key, shell.BackOne):
			s.Form = s.Form.Back()
			return s
		}
	}
	if _, saved := msg.(shell.Saved); saved {
		return s
	}
	asked, _ := s.Form.Field()
	f, event := s.Form.knowing(env).Update(msg)
	if event != Nothing && asked.asksWho() && !asked.Person {
		if more, is := f.whose(env, asked); is {
			f, event = more, Answered
			if f.Done() {
				event = Complete
			}
		}
	}
	s.Form = f
	if event == Complete {
		return s.done(env)
	}
	return s
}

// done closes the form and does what it is for. Where what was typed is
// refused it stays with all that was given, and says why.
func (s Ask) done(env shell.Env) Ask {
	f, wants := s.Form, env.Do
	if tell := Telling(f.Given, By); f.hasGiven(Field{Item: By}) {
		env.Tell = &tell
	}
	env.Do = new(shell.Do)
	env.Do.Pop()
	s.Done(env, f.Given)
	if why := env.Do.Refusal(env.Book); why != "" {
		s.Form = f.Back()
		s.Form.Fault = why
		return s
	}
	wants.Add(env.Do)
	return s
}

// View draws title, lines and form. What was stored is made safe to draw here,
// for every form.
func (s Ask) View(env shell.Env) string {
	lines := []string{env.Style.Bold(widget.Cut(" "+logbook.Clean(s.Title), env.W))}
	if s.Text != nil {
		for _, t := range s.Text(env) {
			for _, l := range widget.Wrap(logbook.Clean(t), env.W-2) {
				lines = append(lines, " "+l)
			}
		}
	}
	lines = append(lines, "")
	return strings.Join(append(lines, s.Form.knowing(env).View(env.Style, env.W, env.H-len(lines))), "\n")
}

// Keys are the present field's, and those of every form.
func (s Ask) Keys(env shell.Env) shell.Keys {
	f := s.Form.knowing(env)
	return append(f.Keys(), shell.When(!f.AtFirst(), shell.On("←", "one back")), shell.On("Esc", cmp.Or(s.Esc, "leave")))
}

// Name is what stands on the stack once; "" for the others.
func (s Ask) Name() string { return s.Once }

// Takes is the present field's wish.
func (s Ask) Takes(shell.Env) shell.Taking { return s.Form.Takes() }

// Saves is the common end of a form: one act under a label.
func Saves(env shell.Env, label string, act func(acts.Head) acts.Act) {
	h := env.Head()
	env.Do.Save(h, label, acts.As(h, act(h)))
}
