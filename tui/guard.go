package tui

import (
	"fmt"
	"runtime/debug"

	tea "github.com/charmbracelet/bubbletea"
)

// guarded leaves the terminal in order when something panics, in a screen or in
// a command, and keeps the trace.
type guarded struct {
	m     tea.Model
	trace *string
}

type panicked struct{ trace string }

func traceOf(p any) string { return fmt.Sprintf("%v\n\n%s", p, debug.Stack()) }

// Init begins as the model does.
func (g guarded) Init() tea.Cmd { return wrapped(g.m.Init()) }

// Update hands on, and ends the program after a panic.
func (g guarded) Update(msg tea.Msg) (next tea.Model, cmd tea.Cmd) {
	if p, ok := msg.(panicked); ok {
		*g.trace = p.trace
		return g, tea.Quit
	}
	if *g.trace != "" { // drawing failed
		return g, tea.Quit
	}
	defer func() {
		if p := recover(); p != nil {
			*g.trace = traceOf(p)
			next, cmd = g, tea.Quit
		}
	}()
	m, cmd := g.m.Update(msg)
	return guarded{m, g.trace}, wrapped(cmd)
}

// View draws nothing where drawing panics: the next message ends the program.
func (g guarded) View() (frame string) {
	defer func() {
		if p := recover(); p != nil {
			*g.trace, frame = traceOf(p), ""
		}
	}()
	if *g.trace != "" {
		return ""
	}
	return g.m.View()
}

// wrapped runs a command, and those that it stands for, under the same guard.
func wrapped(cmd tea.Cmd) tea.Cmd {
	if cmd == nil {
		return nil
	}
	return func() (msg tea.Msg) {
		defer func() {
			if p := recover(); p != nil {
				msg = panicked{traceOf(p)}
			}
		}()
		msg = cmd()
		if batch, ok := msg.(tea.BatchMsg); ok {
			for i := range batch {
				batch[i] = wrapped(batch[i])
			}
		}
		return msg
	}
}
