package tui

import (
	"fmt"
	"strings"

	tea "github.com/charmbracelet/bubbletea"

	"coolhold/logbook/labels"
	"coolhold/tui/shell"
	"coolhold/tui/widget"
)

// headed is how many lines stand above a text: what it is, and a blank one.
const headed = 2

// labelList shows what to write on the pipe for each joint, leg and header.
type labelList struct{ top widget.Scroll }

func newLabels(shell.Env) shell.Screen { return labelList{} }

// Update scrolls, and writes the sheet.
func (s labelList) Update(env shell.Env, msg tea.Msg) shell.Screen {
	key, ok := msg.(tea.KeyMsg)
	if !ok {
		return s
	}
	switch {
	case shell.Is(key, shell.Leave, shell.BackOne):
		env.Do.Pop()
	case shell.Digit(key) == 1 && env.Site.ID != "":
		env.Write("labels", env.Outside.WriteLabels)
	default:
		room := env.H - headed
		s.top = s.top.Move(shell.Reads(key, room), len(s.body(env)), room)
	}
	return s
}

// body is a line a label, or several where it is long: what it is for, and what
// a marker writes.
func (s labelList) body(env shell.Env) []string {
	var out []string
	for _, l := range labels.Of(env.Book, env.Site, labels.Query{Now: env.Now, Beat: env.Beat}) {
		for i, part := range widget.Wrap(l.Ink, env.W-12) {
			kind := string(l.Purpose)
			if i > 0 {
				kind = ""
			}
			line := fmt.Sprintf(" %-7s  %s", kind, part)
			if l.Purpose == labels.Joint {
				line = env.Style.Bold(line)
			}
			out = append(out, line)
		}
	}
	return out
}

// View draws what to write, the joints in bold.
func (s labelList) View(env shell.Env) string {
	body := s.body(env)
	if len(body) == 0 {
		return env.Style.Bold(" No joint is planned, so there is nothing to write.")
	}
	lines := []string{env.Style.Bold(" What to write on the pipe"), ""}
	return strings.Join(append(lines, s.top.View(body, env.H-headed, env.Style.Dim)...), "\n")
}

// Keys are the screen's.
func (s labelList) Keys(shell.Env) shell.Keys {
	return shell.Keys{shell.On("1", "write the sheet to print"), shell.On("↑↓ PgDn", "read"), shell.Back}
}

// Topic is that of its page.
func (s labelList) Topic(shell.Env) string { return "labels" }

// Takes wants no scan.
func (s labelList) Takes(shell.Env) shell.Taking { return shell.NoScan }
