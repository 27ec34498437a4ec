package tui

import (
	"fmt"
	"strings"

	tea "github.com/charmbracelet/bubbletea"

	"coolhold/tui/shell"
	"coolhold/tui/widget"
)

// scrolled is how far a text was scrolled that has a head of two lines and says
// below how much more there is.
type scrolled int

// room is how many lines of the text are shown.
func (s scrolled) room(env shell.Env) int { return max(1, env.H-3) }

// move scrolls by a key, inside a text of so many lines.
func (s scrolled) move(env shell.Env, key tea.KeyMsg, lines int) scrolled {
	by := 0
	switch {
	case shell.Is(key, shell.Up):
		by = -1
	case shell.Is(key, shell.Down):
		by = 1
	case shell.Is(key, shell.PageUp):
		by = 1 - s.room(env)
	case shell.Is(key, shell.PageDown):
		by = s.room(env) - 1
	}
	return s.within(env, int(s)+by, lines)
}

// within keeps the first line shown inside what there is.
func (s scrolled) within(env shell.Env, from, lines int) scrolled {
	return scrolled(min(max(0, from), max(0, lines-s.room(env))))
}

// view draws the head and the part of the text that is shown.
func (s scrolled) view(env shell.Env, head string, text []string) string {
	lines := []string{env.Style.Bold(widget.Cut(" "+head, env.W)), ""}
	from := int(s.within(env, int(s), len(text)))
	to := min(len(text), from+s.room(env))
	lines = append(lines, text[from:to]...)
	if to < len(text) {
		lines = append(lines, env.Style.Dim(fmt.Sprintf("   %d more lines: ↓", len(text)-to)))
	}
	return strings.Join(lines, "\n")
}
