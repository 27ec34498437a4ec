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
	About string // its topic (shell.Topics)
	Title string
	Text  func(shell.Env) []string // nil: no lines
	Form  Form
	Done  func(shell.Env, Answers)
	Esc   string // what Esc does; "": leave
	Hands bool   // Tab names another of the shift who does it

	hand  Hand
	drops bool // whether the answers are dropped is asked
}

// Update answers Esc and ← and hands the rest to the form.
func (s Ask) Update(env shell.Env, msg tea.Msg) shell.Screen {
	if key, ok := msg.(tea.KeyMsg); ok {
		switch {
		case s.drops:
			return s.dropping(env, key)
		case shell.Is(key, shell.Leave):
			return s.leave(env, longForm)
		case shell.Is(key, shell.BackOne) && s.Form.AtFirst() && !s.Form.InText():
			return s.leave(env, 1)
		case shell.Is(key, shell.BackOne) && !s.Form.InText():
			s.Form = s.Form.Back()
			return s
		}
	}
	if _, said := shell.Entries(msg); said {
		return s
	}
	if hand, turned := s.hand.Turns(env, msg); s.Hands && turned {
		s.hand = hand
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

// longForm is how many answers are not dropped by one Esc: our choice.
const longForm = 3

// leave closes the form; where so many answers would be lost it asks first.
func (s Ask) leave(env shell.Env, most int) Ask {
	if s.Form.gave() >= most {
		s.drops = true
		return s
	}
	env.Do.Pop()
	return s
}

// dropping answers whether what was given is dropped.
func (s Ask) dropping(env shell.Env, key tea.KeyMsg) Ask {
	if shell.Digit(key) == 1 {
		env.Do.Pop()
		return s
	}
	s.drops = false
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
	if s.Hands {
		env = s.hand.Of(env)
	}
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
	if says := s.hand.Says(env); s.Hands && says != "" {
		lines = append(lines, widget.Cut(" "+says, env.W))
	}
	if s.Text != nil {
		for _, t := range s.Text(env) {
			for _, l := range widget.Wrap(logbook.Clean(t), env.W-2) {
				lines = append(lines, " "+l)
			}
		}
	}
	lines = append(lines, "")
	if s.drops {
		n := logbook.Count(s.Form.gave(), "answer")
		return strings.Join(append(lines, " "+n+" given here, nothing of it stored yet. Drop it?", "", "  1  yes: drop it and leave", "  2  no: go on where it was"), "\n")
	}
	return strings.Join(append(lines, s.Form.knowing(env).View(env.Style, env.W, env.H-len(lines))), "\n")
}

// Keys are the present field's, and those of every form.
func (s Ask) Keys(env shell.Env) shell.Keys {
	if s.drops {
		return shell.Keys{shell.On("1", "drop it"), shell.On("2", "go on"), shell.BackTo("go on")}
	}
	f := s.Form.knowing(env)
	keys := f.Keys()
	if s.Hands {
		keys = append(keys, s.hand.Keys(env)...)
	}
	return append(keys, shell.On("←", "one back"), shell.On("Esc", cmp.Or(s.Esc, "leave")))
}

// Name is what stands on the stack once; "" for the others.
func (s Ask) Name() string { return s.Once }

// Topic is that of its page.
func (s Ask) Topic(shell.Env) string { return s.About }

// Takes is the present field's wish.
func (s Ask) Takes(shell.Env) shell.Taking {
	if s.drops {
		return shell.NoScan
	}
	return s.Form.Takes()
}

// Sideways tells whether → belongs to the present field.
func (s Ask) Sideways(shell.Env) bool { return !s.drops && s.Form.Rightward() }

// Saves is the common end of a form: one act under a label.
func Saves(env shell.Env, label string, act func(acts.Head) acts.Act) {
	h := env.Head()
	env.Do.Save(h, label, acts.As(h, act(h)))
}
