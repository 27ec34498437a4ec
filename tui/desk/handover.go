package desk

import (
	"strings"

	tea "github.com/charmbracelet/bubbletea"

	"coolhold/logbook/ahead"
	"coolhold/tui/shell"
	"coolhold/tui/widget"
)

// handed is the plumber's leaf as it would be written now.
type handed struct {
	by  string
	top widget.Scroll
}

func newHanded(by string) shell.Screen { return handed{by: by} }

// Update scrolls, writes it, and says how it was left.
func (s handed) Update(env shell.Env, msg tea.Msg) shell.Screen {
	s.by = read(s.by, msg)
	key, ok := msg.(tea.KeyMsg)
	if !ok {
		return s
	}
	sections := ahead.TestSections(env.Sight, env.Site.ID)
	switch n := shell.Digit(key); {
	case shell.Is(key, shell.Leave, shell.BackOne):
		env.Do.Pop()
	case n == 1:
		env.Write("hand-over", env.Outside.WriteHandover)
	case n == 2 && len(sections) > 0:
		env.Do.Push(askLeft(env, sections, s.by))
	default:
		rows, room := s.rows(env), env.H-1
		s.top = s.top.Move(shell.Reads(key, room), len(rows), room)
	}
	return s
}

// rows are the leaf in the width of the window, its titles in bold.
func (s handed) rows(env shell.Env) (rows []string) {
	for _, l := range env.Leaf() {
		indent := l[:len(l)-len(strings.TrimLeft(l, " "))]
		for _, part := range hanging(" "+indent, strings.TrimLeft(l, " "), env.W) {
			if indent == "" && l == strings.ToUpper(l) {
				part = env.Style.Bold(part)
			}
			rows = append(rows, part)
		}
	}
	return rows
}

// View draws the part of the leaf that fits.
func (s handed) View(env shell.Env) string {
	title := env.Style.Bold(widget.Cut(" Hand-over: what the plumber's leaf says now", env.W))
	return strings.Join(append([]string{title}, s.top.View(s.rows(env), env.H-1, env.Style.Dim)...), "\n")
}

// Keys are the screen's.
func (s handed) Keys(env shell.Env) shell.Keys {
	return shell.Keys{
		shell.On("1", "write it to print, for a phone, for the lids"),
		shell.When(len(ahead.TestSections(env.Sight, env.Site.ID)) > 0, shell.On("2", "say how it was left")),
		shell.On("↑↓ PgDn", "read"), shell.Back,
	}
}

// Topic is that of its page.
func (s handed) Topic(shell.Env) string { return "handover" }

// Takes wants no scan.
func (s handed) Takes(shell.Env) shell.Taking { return shell.NoScan }
