package tui

import (
	"strings"
	"testing"

	tea "github.com/charmbracelet/bubbletea"
)

// faulty panics where it is told to.
type faulty struct{ in string }

func (f faulty) Init() tea.Cmd {
	if f.in == "batch" {
		return tea.Batch(f.Cmd("init"), func() tea.Msg { panic("invented fault") })
	}
	return f.Cmd("init")
}

func (f faulty) Update(tea.Msg) (tea.Model, tea.Cmd) {
	if f.in == "update" {
		panic("invented fault")
	}
	return f, f.Cmd("command")
}

func (f faulty) View() string {
	if f.in == "view" {
		panic("invented fault")
	}
	return "frame"
}

func (f faulty) Cmd(in string) tea.Cmd {
	return func() tea.Msg {
		if f.in == in {
			panic("invented fault")
		}
		return nil
	}
}

// play runs a model's commands as the library does, until it wants to quit.
func play(m tea.Model, cmd tea.Cmd) (tea.Model, bool) {
	if cmd == nil {
		return m, false
	}
	switch msg := cmd().(type) {
	case nil:
		return m, false
	case tea.QuitMsg:
		return m, true
	case tea.BatchMsg:
		for _, c := range msg {
			next, quit := play(m, c)
			if m = next; quit {
				return m, true
			}
		}
		return m, false
	default:
		next, cmd := m.Update(msg)
		return play(next, cmd)
	}
}

func TestAPanicLeavesTheTerminalInOrder(t *testing.T) {
	for _, in := range []string{"init", "batch", "update", "command", "view"} {
		trace := ""
		var m tea.Model = guarded{faulty{in}, &trace}
		m, quit := play(m, m.Init())
		if !quit {
			m.View()
			next, cmd := m.Update(tea.KeyMsg{Type: tea.KeyEnter})
			_, quit = play(next, cmd)
		}
		if !quit || !strings.Contains(trace, "invented fault") || !strings.Contains(trace, "guard_test.go") {
			t.Errorf("in %s: quit %v, trace %.80q", in, quit, trace)
		}
	}
	trace := ""
	var m tea.Model = guarded{faulty{}, &trace}
	if _, quit := play(m, m.Init()); quit || m.View() != "frame" || trace != "" {
		t.Errorf("nothing is wrong: quit %v, trace %q", quit, trace)
	}
}
