package tui

import (
	"fmt"
	"strings"

	tea "github.com/charmbracelet/bubbletea"

	"coolhold/logbook"
	"coolhold/logbook/acts"
	logready "coolhold/logbook/ready"
	"coolhold/tui/form"
	"coolhold/tui/shell"
	"coolhold/tui/widget"
)

// ready shows plan, tables, kit and shift side by side before anything is
// scraped, what is short first.
type ready struct {
	expect *logready.Range // nil: the last reading of today
	top    widget.Scroll
}

func newReady(shell.Env) shell.Screen { return ready{} }

// Update scrolls, and opens the two forms.
func (s ready) Update(env shell.Env, msg tea.Msg) shell.Screen {
	key, ok := msg.(tea.KeyMsg)
	if !ok {
		return s
	}
	room := env.H - headed
	switch by := shell.Reads(key, room); {
	case shell.Is(key, shell.Leave, shell.BackOne):
		env.Do.Pop()
	case by != 0:
		s.top = s.top.Move(by, len(s.body(env)), room)
	case shell.Digit(key) == 1 && env.Site.ID != "":
		env.Do.Push(expecting())
	case shell.Digit(key) == 2 && env.Site.ID != "":
		s.top = 0 // what comes of it is read from its top, where it says what is short
		env.Do.Push(kitWays{})
	}
	return s
}

func (s ready) lines(env shell.Env) []logready.Comparison {
	return logready.WorstFirst(logready.Check(env.Book, env.Site.ID, logready.Given{Now: env.Now, Expect: s.expect}))
}

// body is each line wrapped under its state, and what it stands on.
func (s ready) body(env shell.Env) []string {
	var out []string
	for _, l := range s.lines(env) {
		for i, part := range widget.Wrap(l.String(), env.W-4) {
			if indent := "   "; i > 0 {
				part = indent + part
			}
			if !l.State.Settled() {
				part = env.Style.Bold(part)
			}
			out = append(out, " "+part)
		}
		for _, part := range widget.Wrap(l.Ground(), env.W-8) {
			out = append(out, env.Style.Dim("       "+part))
		}
	}
	return out
}

// View draws how many lines are short, then all of them.
func (s ready) View(env shell.Env) string {
	lines := []string{env.Style.Bold(widget.Cut(" "+summary(s.lines(env)), env.W)), ""}
	return strings.Join(append(lines, s.top.View(s.body(env), env.H-headed, env.Style.Dim)...), "\n")
}

// summary counts the lines of each state that is there, the worst first.
func summary(lines []logready.Comparison) string {
	if len(lines) == 0 {
		return "Nothing to compare: open a site with its plan and tables first."
	}
	var parts []string
	for _, state := range logready.States {
		n := 0
		for _, l := range lines {
			if l.State == state {
				n++
			}
		}
		if n > 0 {
			parts = append(parts, fmt.Sprintf("%d %s", n, state))
		}
	}
	return "Readiness: " + strings.Join(parts, ", ") + "."
}

// Keys are the screen's.
func (s ready) Keys(shell.Env) shell.Keys {
	return shell.Keys{shell.On("1", "temperatures expected"), shell.On("2", "type or take a kit"), shell.On("↑↓ PgDn", "read"), shell.Back}
}

// Topic is that of its page.
func (s ready) Topic(shell.Env) string { return "ready" }

// Takes wants no scan.
func (s ready) Takes(shell.Env) shell.Taking { return shell.NoScan }

// expecting asks for the range of ambient temperatures that the day will bring.
func expecting() shell.Screen {
	low, high := form.Of(logbook.FieldAmbient), form.Of(logbook.FieldAmbient)
	low.Item, low.Label = "low", "coldest, °C"
	high.Item, high.Label = "high", "warmest, °C"
	return form.Ask{
		About: "expect",
		Title: "Ambient temperatures expected",
		Text: func(shell.Env) []string {
			return []string{"In °C, in the shade beside the joints. Each weld is still set by the temperature read at it."}
		},
		Form: form.New([]form.Field{low, high}),
		Done: func(env shell.Env, a form.Answers) {
			r, err := logready.NewRange(a.V("low"), a.V("high"))
			if err != nil {
				env.Do.Say(logbook.Clean(err.Error()))
				return
			}
			env.Do.Replace(ready{expect: &r})
		},
	}
}

// takingKit takes a kit from a file, then asks who declares it.
func takingKit(shell.Env) shell.Screen {
	return form.TakingFile{
		Title: "A kit from a file: units, leads, generator, extension, the van", Box: form.NewFileBox("kit", "kit file", ""),
		Done: func(env shell.Env, in shell.Input) { env.Do.Replace(declaring(env, in)) },
	}
}

func declaring(env shell.Env, in shell.Input) shell.Screen {
	return form.Ask{
		About: "kit",
		Title: "The kit " + in.Name,
		Text:  func(shell.Env) []string { return []string{"No fault found: " + in.Says + "."} },
		Form:  form.New([]form.Field{{Item: form.By, Label: "declared by (name)", Manner: form.Text, Offer: env.By}}),
		Done: func(env shell.Env, a form.Answers) {
			env.By = a.V(form.By)
			form.Saves(env, "kit taken", func(h acts.Head) acts.Act { return acts.TakeKit(h, in.File) })
		},
	}
}
