package tui

import (
	"fmt"
	"strconv"
	"strings"

	tea "github.com/charmbracelet/bubbletea"

	"coolhold/tui/shell"
)

// A menu is a plain choice of further screens. It stores nothing, so its digits
// act at once.
type menu struct {
	title string
	topic string
	lines []menuLine
}

// A menuLine is one digit of a menu. Digits stay what they are when lines come
// and go.
type menuLine struct {
	digit int
	short string // in the foot
	text  string
	open  func(shell.Env)
	ends  bool // it does a thing, and leads back to the board; else back to the menu
}

// planAhead is everything about the work that is still to come.
func planAhead() menu {
	return menu{"Plan ahead", "ahead", []menuLine{
		{1, "ready", "readiness of plan, tables, kit and shift; type the kit", func(env shell.Env) { env.Do.Push(newReady(env)) }, false},
		{2, "order", "order of the joints left", func(env shell.Env) { env.Do.Push(newOrder(env)) }, false},
		{3, "codes", "codes of fittings, to be taught", func(env shell.Env) { env.Do.Push(newCodes()) }, false},
		{4, "labels", "labels: what to write on the pipes", func(env shell.Env) { env.Do.Push(newLabels(env)) }, false},
		{5, "add a joint", "add a joint that is not in the plan", func(env shell.Env) { env.Do.Push(newAddJoint(env)) }, true},
		{6, "batch", "batch: prepare several joints, then fuse them", func(env shell.Env) { env.Do.Push(newBatch(env)) }, true},
	}}
}

// seldom is what is needed seldom.
func seldom() menu {
	return menu{"More", "more", []menuLine{
		{1, "sites", "sites", func(env shell.Env) { env.Do.Push(newSites()) }, false},
		{2, "theme", "theme: light on dark, for the sun, without colour", turnTheme, false},
		{3, "people", "people: who is who, and who works alone", func(env shell.Env) { env.Do.Push(newPeople()) }, false},
		{4, "stick", "stick: a copy and the seal as each shift ends", func(env shell.Env) { env.Do.Push(newStick()) }, true},
	}}
}

// turnTheme goes to the next theme and keeps it for this laptop. Which one it is now is
// said: the eye alone does not tell whether another comes.
func turnTheme(env shell.Env) {
	env.Do.Theme()
	keep, name := env.Outside.KeepTheme, shell.NextStyle(env.Style).Name
	env.Do.Say("theme " + name + ", of " + strings.Join(shell.Themes, ", "))
	if keep == nil {
		return
	}
	env.Do.Fetch(func(shell.Log) (string, error) { return "", keep(name) })
}

// Update opens a line.
func (s menu) Update(env shell.Env, msg tea.Msg) shell.Screen {
	if shell.Is(msg, shell.Leave, shell.BackOne) {
		env.Do.Pop()
		return s
	}
	for _, l := range s.lines {
		if shell.Digit(msg) == l.digit {
			if l.ends {
				env.Do.Pop()
			}
			l.open(env)
		}
	}
	return s
}

// View lists the lines.
func (s menu) View(env shell.Env) string {
	lines := []string{env.Style.Bold(" " + s.title), ""}
	for _, l := range s.lines {
		lines = append(lines, fmt.Sprintf("  %d  %s", l.digit, l.text))
	}
	return strings.Join(lines, "\n")
}

// Keys are the menu's.
func (s menu) Keys(shell.Env) shell.Keys {
	var keys shell.Keys
	for _, l := range s.lines {
		keys = append(keys, shell.On(strconv.Itoa(l.digit), l.short))
	}
	return append(keys, shell.Back)
}

// Topic is that of its page.
func (s menu) Topic(shell.Env) string { return s.topic }

// Takes wants no scan.
func (s menu) Takes(shell.Env) shell.Taking { return shell.NoScan }
