// Package desk is the foreman's screens: a day's welds, one weld, one circuit,
// what may be covered, and the signature under a day.
package desk

import (
	"fmt"
	"strings"
	"time"

	"github.com/charmbracelet/bubbletea"

	"coolhold/logbook"
	"coolhold/logbook/acts"
	"coolhold/logbook/history"
	"coolhold/tui/form"
	"coolhold/tui/shell"
	"coolhold/tui/widget"
)

// circuit is everything that ever happened to the circuit of a joint, the
// newest at the bottom. A joint of no circuit stands for itself.
type circuit struct {
	label string
	up    widget.Scroll // counted from the end: 0 shows the newest
}

// newCircuit is everything that ever happened to the circuit of a joint.
func newCircuit(j logbook.Joint) shell.Screen { return circuit{label: j.Label} }

// Update reads up and down and opens the form for what happened later.
func (s circuit) Update(env shell.Env, msg tea.Msg) shell.Screen {
	key, ok := msg.(tea.KeyMsg)
	if !ok {
		return s
	}
	j := env.Joint(s.label)
	switch {
	case shell.Is(key, shell.Leave, shell.BackOne):
		env.Do.Pop()
	case shell.Digit(key) == 1:
		env.Do.Push(newHappened(env, j))
	default:
		room := circuitRoom(env)
		s.up = s.up.Move(-shell.Reads(key, room), len(circuitLines(env, j)), room)
	}
	return s
}

// circuitRoom are the rows under the title and over the line that says what is
// below.
func circuitRoom(env shell.Env) int { return max(1, env.H-3) }

// View draws the end of the story, or the part of it that was scrolled to.
func (s circuit) View(env shell.Env) string {
	j := env.Joint(s.label)
	lines := circuitLines(env, j)
	below, last := s.up.Part(len(lines), circuitRoom(env))
	from, to := len(lines)-last, len(lines)-below
	above := ""
	if from > 0 {
		above = env.Style.Dim(widget.Cut(fmt.Sprintf("%s, %d earlier: ↑", dateAt(lines, from), from), env.W))
	}
	out := []string{env.Style.Bold(widget.Cut(" "+circuitTitle(env, j), env.W)), above}
	out = append(out, lines[from:to]...)
	if below > 0 {
		out = append(out, env.Style.Dim(fmt.Sprintf("   %d later: ↓", below)))
	}
	return strings.Join(out, "\n")
}

// dateAt is the date under which a line stands: dates are set one column in,
// entries three.
func dateAt(lines []string, at int) string {
	for ; at > 0 && strings.HasPrefix(lines[at], "   "); at-- {
	}
	return lines[at]
}

func circuitTitle(env shell.Env, j logbook.Joint) string {
	if j.Circuit == 0 {
		return logbook.Clean("Joint " + j.Label + ": all that was recorded of it")
	}
	var labels []string
	for _, j := range history.Joints(env.Book, env.Site.ID, about(j)) {
		labels = append(labels, j.Label)
	}
	return logbook.Clean(fmt.Sprintf("Circuit %d, chamber %s: %s", j.Circuit, j.Chamber, strings.Join(labels, ", ")))
}

// Keys are the screen's.
func (s circuit) Keys(shell.Env) shell.Keys {
	return shell.Keys{shell.On("1", "record what happened later"), shell.On("↑↓", "read"), shell.Back}
}

// Topic is that of its page.
func (s circuit) Topic(shell.Env) string { return "circuit" }

// Takes wants no scan.
func (s circuit) Takes(shell.Env) shell.Taking { return shell.NoScan }

// about asks for the circuit that a joint ends; any other joint stands for
// itself.
func about(j logbook.Joint) history.Query {
	if j.Circuit == 0 {
		return history.Query{Joint: j.Label}
	}
	return history.Query{Circuit: j.Circuit, Chamber: j.Chamber}
}

// circuitLines are all entries on a circuit in the order of the log, in Env.W
// columns, under their dates.
func circuitLines(env shell.Env, j logbook.Joint) []string {
	var lines []string
	day := ""
	for _, m := range history.Of(env.Book, env.Site.ID, about(j)) {
		date, clock := dateAndClock(m.At)
		if date != day {
			lines, day = append(lines, widget.Cut(" "+date, env.W)), date
		}
		text := strings.TrimSpace(m.Joint+" "+m.Weld) + ": " + m.What
		if m.Joint == "" {
			text = "site: " + m.What
		}
		if m.By != "" {
			text += " (" + m.By + ")"
		}
		lines = append(lines, hanging("   "+clock+"  ", logbook.Clean(text), env.W)...)
	}
	return lines
}

func dateAndClock(at string) (date, clock string) {
	t, err := time.Parse(time.RFC3339, at)
	if err != nil {
		return logbook.Clean(at), "--:--:--"
	}
	return t.Format("Mon 2 Jan 2006"), t.Format("15:04:05")
}

// hanging wraps a text behind a lead; further lines stand under its beginning.
func hanging(lead, text string, width int) []string { return widget.Hanging(lead, text, width) }

// newHappened asks what happened to a circuit, or to a joint of none, later.
func newHappened(env shell.Env, j logbook.Joint) shell.Screen {
	title := "What happened later to joint " + j.Label
	if j.Circuit > 0 {
		title = fmt.Sprintf("What happened later to circuit %d, chamber %s", j.Circuit, j.Chamber)
	}
	return form.Ask{
		About: "circuit",
		Title: title,
		Form: form.New([]form.Field{
			form.Choose("what", "what happened", logbook.Happenings),
			{Item: "on", Label: "on which date, YYYY-MM-DD", Manner: form.Text, Check: pastDate(env.Now.Local())},
			{Item: "text", Label: "what was found, and where", Manner: form.Text},
			{Item: "by", Label: "recorded by (name)", Manner: form.Text},
		}),
		Done: func(env shell.Env, a form.Answers) {
			b, at := logbook.Happened{What: logbook.Happening(a.V("what")), On: a.V("on"), Text: a.V("text")}, j.Label
			if j.Circuit > 0 {
				b.Chamber, b.Circuit, at = j.Chamber, j.Circuit, ""
			}
			env.By = a.V("by")
			form.Saves(env, b.What.String(), func(h acts.Head) acts.Act { return acts.Happen(h, at, b) })
		},
	}
}

// pastDate checks for a date that has come.
func pastDate(now time.Time) func(string) (string, error) {
	return func(s string) (string, error) {
		t, err := time.Parse(time.DateOnly, s)
		switch {
		case err != nil:
			return "", fmt.Errorf("%q is no date; write it like %s", logbook.Clean(s), now.Format(time.DateOnly))
		case t.Format(time.DateOnly) > now.Format(time.DateOnly):
			return "", fmt.Errorf("%s has not come yet", s)
		}
		return s, nil
	}
}
