package tui

import (
	"strings"

	tea "github.com/charmbracelet/bubbletea"

	"coolhold/logbook"
	"coolhold/tui/form"
	"coolhold/tui/shell"
	"coolhold/tui/widget"
)

// ask is a screen made of a form: a title, lines above it, and what to do with
// the answers. It closes itself when it is done.
type ask struct {
	title string
	text  func(shell.Env) []string
	form  form.Form
	done  func(shell.Env, form.Answers)
}

// Update answers Esc and ← and hands the rest to the form.
func (s ask) Update(env shell.Env, msg tea.Msg) shell.Screen {
	if key, ok := msg.(tea.KeyMsg); ok {
		switch {
		case shell.Is(key, shell.Leave):
			env.Do.Pop()
			return s
		case shell.Is(key, shell.BackOne):
			s.form, _ = s.form.Back()
			return s
		}
	}
	if _, saved := msg.(shell.Saved); saved {
		return s
	}
	f, event := s.form.Update(msg)
	s.form = f
	if event == form.Complete {
		env.Do.Pop()
		s.done(env, f.Given)
	}
	return s
}

// View draws title, lines and form.
func (s ask) View(env shell.Env) string {
	lines := []string{env.Style.Bold(widget.Cut(" "+s.title, env.W))}
	if s.text != nil {
		for _, t := range s.text(env) {
			for _, l := range widget.Wrap(t, env.W-2) {
				lines = append(lines, " "+l)
			}
		}
	}
	lines = append(lines, "")
	return strings.Join(append(lines, s.form.View(env.Style, env.W, env.H-len(lines))), "\n")
}

// Keys are the same for every form.
func (s ask) Keys(shell.Env) []shell.Hint {
	return []shell.Hint{{Key: "digit or type, Enter"}, {Key: "←", Does: "one back"}, {Key: "Esc", Does: "leave"}}
}

// Takes is the present field's wish.
func (s ask) Takes(shell.Env) shell.Taking { return s.form.Takes() }

// saves is the common end of a form: one act under a label.
func saves(env shell.Env, label string, act func(logbook.Head) logbook.Act) {
	h := env.Head()
	env.Do.Save(h, label, act(h))
}

func leaving(env shell.Env) shell.Screen {
	return ask{
		title: "Leave coolhold?",
		text: func(env shell.Env) []string {
			if len(env.Running) > 0 {
				return []string{"What runs goes on by the clock and is here when you come back."}
			}
			return nil
		},
		form: form.New([]form.Field{{Item: "leave", Label: "leave", Kind: form.Choice, Options: []string{"stay", "leave"}}}),
		done: func(env shell.Env, a form.Answers) {
			if a.V("leave") == "leave" {
				env.Do.Quit()
			}
		},
	}
}
