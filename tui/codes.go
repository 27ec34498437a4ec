package tui

import (
	"cmp"
	"fmt"
	"strings"
	"time"

	"github.com/charmbracelet/bubbletea"

	"coolhold/fusion"
	"coolhold/logbook"
	"coolhold/logbook/acts"
	"coolhold/logbook/ahead"
	"coolhold/tui/form"
	"coolhold/tui/shell"
	"coolhold/tui/widget"
)

// codes lists the codes of fitting types: those that wait to be taught, and
// those that were.
// Its cursor follows a code.
type codes struct{ at string }

func newCodes() shell.Screen { return codes{} }

// codeRow is one line of the list.
type codeRow struct {
	code, fitting, by string
}

func codeRows(env shell.Env) (rows []codeRow, waiting int) {
	for _, c := range ahead.Untaught(env.Book, env.Site.ID) {
		rows = append(rows, codeRow{c.Code, c.Fitting, ""})
	}
	waiting = len(rows)
	for _, c := range env.Site.TaughtCodes() {
		rows = append(rows, codeRow{c.Code, c.Fitting, c.Who()})
	}
	return rows, waiting
}

func (s codes) list(env shell.Env, all []codeRow, waiting int) widget.List {
	var rows []widget.Row
	for i, r := range all {
		says := "taught as " + logbook.Clean(r.fitting) + " by " + logbook.Clean(r.by)
		if i < waiting {
			says = "NOT taught; scanned with " + cmp.Or(logbook.Clean(r.fitting), "no fitting chosen")
		}
		rows = append(rows, widget.Row{Key: r.code, Text: func() string { return r.code + "  " + says }})
	}
	return env.List(rows)
}

// Update chooses a code, teaches it, or takes one by hand or scanner.
func (s codes) Update(env shell.Env, msg tea.Msg) shell.Screen {
	rows, waiting := codeRows(env)
	list := s.list(env, rows, waiting)
	if scan, ok := msg.(shell.Scan); ok {
		s.scanned(env, scan.Text)
		return s
	}
	switch by := shell.Chooses(msg); {
	case shell.Is(msg, shell.Leave, shell.BackOne):
		env.Do.Pop()
	case by != 0:
		s.at = list.Move(s.at, by)
	case shell.Digit(msg) == 1 && len(rows) > 0:
		env.Do.Push(teaching(env, rows[list.Index(s.at)].code))
	}
	return s
}

// scanned teaches a code of a fitting type, or says what it is known as.
func (s codes) scanned(env shell.Env, text string) {
	c := fusion.ReadCode(text)
	if c.Form != fusion.FusionData {
		env.Do.Say("no code of a fitting type: " + string(c.Form))
		return
	}
	env.Do.Push(teaching(env, c.Raw))
}

// View lists the codes.
func (s codes) View(env shell.Env) string {
	rows, waiting := codeRows(env)
	lines := []string{env.Style.Bold(" Codes of fittings"), ""}
	for _, l := range widget.Wrap("A 24-digit code is the same on every fitting of one type. Taught once, its next scan chooses the row of your own table. Nothing is read out of its digits.", env.W-2) {
		lines = append(lines, " "+l)
	}
	lines = append(append(lines, paceLines(env)...), "")
	if len(rows) == 0 {
		for _, l := range widget.Wrap("No code was scanned yet. Scan one here, or at the fitting step of a weld.", env.W-2) {
			lines = append(lines, " "+l)
		}
		return strings.Join(lines, "\n")
	}
	return strings.Join(append(lines, s.list(env, rows, waiting).View(s.at, env.H-len(lines))...), "\n")
}

// slowest is the gap from which on a scanner is near what counts as a hand.
const slowest = 50 * time.Millisecond

// paceLines are the checkup of the scanner at hand: how fast its newest scan came.
func paceLines(env shell.Env) []string {
	p := env.Pace
	if p.Runes == 0 {
		return nil
	}
	ms := func(d time.Duration) int { return int(d.Round(time.Millisecond) / time.Millisecond) }
	line := fmt.Sprintf("The scanner at hand: %d characters, %d ms each, longest gap %d ms.", p.Runes, ms(p.Took)/max(1, p.Runes-1), ms(p.Longest))
	if p.Took == 0 {
		line = fmt.Sprintf("The scanner at hand: %d characters in one go.", p.Runes)
	}
	if p.Longest >= slowest {
		line += " That is slow: from 60 ms on they count as keys. Set its delay between characters shorter."
	}
	var out []string
	for _, l := range widget.Wrap(line, env.W-2) {
		out = append(out, " "+l)
	}
	return out
}

// Keys are the list's.
func (s codes) Keys(env shell.Env) shell.Keys {
	rows, _ := codeRows(env)
	return shell.Keys{shell.On("↑↓", "choose"), shell.When(len(rows) > 0, shell.On("1", "teach")), shell.On("scan", "teach it"), shell.Back}
}

// Topic is that of its page.
func (s codes) Topic(shell.Env) string { return "codes" }

// Takes wants a code.
func (s codes) Takes(shell.Env) shell.Taking { return shell.ScanField }

// teaching binds a code to a row: somebody holds code and bag side by side.
func teaching(env shell.Env, code string) shell.Screen {
	was, had := env.Site.TaughtAs(code)
	var rows []string
	for _, row := range env.Shelf.Rows() {
		if _, err := env.Shelf.Row(row.Fitting.Name); err == nil {
			rows = append(rows, row.Fitting.Name)
		}
	}
	return form.Ask{
		About: "codes",
		Title: "Teach code " + code,
		Text: func(shell.Env) []string {
			lines := []string{"Hold the bag beside the screen: the code must be this fitting's own."}
			if had {
				lines = append(lines, "It is taught as "+logbook.Clean(was.Fitting)+" by "+logbook.Clean(was.Who())+".")
			}
			return lines
		},
		Form: form.New([]form.Field{
			{Item: "fitting", Label: "fitting, as printed on the bag", Manner: form.Choice, Options: rows},
			form.Reason("why", "why it is another fitting now", logbook.WhyOtherCode).Unless(func(a form.Answers) bool { return !had || a.V("fitting") == was.Fitting }),
			{Item: "by", Label: "compared by (name)", Manner: form.Text},
		}),
		Done: func(env shell.Env, a form.Answers) {
			env.By = a.V("by")
			form.Saves(env, "code taught", func(h acts.Head) acts.Act {
				return acts.TeachCode(h, code, a.V("fitting"), a.V("why"))
			})
		},
	}
}
