package tui

import (
	"fmt"
	"strings"

	"github.com/charmbracelet/bubbletea"

	"coolhold/logbook"
	"coolhold/logbook/acts"
	"coolhold/tui/form"
	"coolhold/tui/shell"
	"coolhold/tui/walk"
	"coolhold/tui/widget"
)

// round is the check at the end of the shift, before the crew leaves: every weld
// of the day once more by hand, then the shift is closed. Among many alike one is soon
// overlooked (common practice).
type round struct {
	weld string // the one being answered
	form form.Form
	hand form.Hand     // who feels and looks, for all that are left
	top  widget.Scroll // of what is left
}

// newRound begins with the first weld that can be felt; where there is none it shows
// what is left.
func newRound(env shell.Env) shell.Screen { return round{}.next(env, "") }

// todo are the standing welds of the shift that the round has not reached.
func todo(env shell.Env) []logbook.Weld {
	var out []logbook.Weld
	for _, w := range env.Book.Welds(env.Site.ID) {
		if w.Shift == env.Shift.ID && w.Stands() && w.Outcome == logbook.Completed && w.Disturbed == nil && !w.LookedOver() {
			out = append(out, w)
		}
	}
	return out
}

// Update answers for the weld at hand; without one it offers the next or the
// close of the shift.
func (s round) Update(env shell.Env, msg tea.Msg) shell.Screen {
	key, isKey := msg.(tea.KeyMsg)
	if isKey && shell.Is(key, shell.Leave) {
		if s.weld != "" {
			return round{hand: s.hand}
		}
		env.Do.Pop()
		return s
	}
	if s.weld != "" {
		return s.answer(env, msg)
	}
	if !isKey {
		return s
	}
	switch by := shell.Reads(key, roundRoom(env)); {
	case by != 0:
		s.top = s.top.Move(by, len(todo(env)), roundRoom(env))
	case shell.Is(key, shell.Enter):
		if s = s.next(env, ""); s.weld == "" && len(todo(env)) > 0 {
			env.Do.Say("what is left is not released: →")
		}
		return s
	case shell.Digit(key) == 9:
		env.Do.Push(closing(env))
	}
	return s
}

// next takes up the first weld of the round that is not in its hold and was not
// answered for just now.
func (s round) next(env shell.Env, just string) round {
	for _, w := range todo(env) {
		if !w.Holding() && w.ID != just {
			felt := form.Card("hand", "felt by hand", walk.FeltLine())
			return round{weld: w.ID, hand: s.hand, form: form.New(append([]form.Field{felt}, walk.BothIndicators(env, w)...))}
		}
	}
	return round{hand: s.hand}
}

func (s round) answer(env shell.Env, msg tea.Msg) shell.Screen {
	if key, ok := msg.(tea.KeyMsg); ok && shell.Is(key, shell.BackOne) {
		s.form = s.form.Back()
		return s
	}
	if hand, turned := s.hand.Turns(env, msg); turned {
		s.hand = hand
		return s
	}
	f, event := s.form.Update(msg)
	s.form = f
	if event != form.Complete {
		return s
	}
	look := walk.LookOf(f.Given)
	look.When = logbook.LookRound
	id := s.weld
	form.Saves(s.hand.Of(env), id+" end-of-shift check", func(h acts.Head) acts.Act { return acts.ReadLook(h, id, look) })
	return s.next(env, id)
}

// View draws the weld at hand, or what is left of the round.
func (s round) View(env shell.Env) string {
	left := todo(env)
	lines := []string{env.Style.Bold(fmt.Sprintf(" End-of-shift check %s: %d to feel and look at", env.Shift.ID, len(left))), ""}
	if s.weld != "" {
		w := env.Weld(s.weld)
		lines = append(lines, env.Style.Bold(fmt.Sprintf(" %s   %s   %s", w.Joint, w.ID, logbook.Clean(w.Fitting()))), " "+s.hand.Says(env))
		return strings.Join(append(lines, s.form.View(env.Style, env.W, env.H-len(lines))), "\n")
	}
	lines = append(append(lines, s.top.View(roundLines(env, left), roundRoom(env), env.Style.Dim)...), "")
	if len(left) > 0 {
		lines = append(lines, "  Enter: the next weld")
	}
	return strings.Join(append(lines, "  9: close the shift"), "\n")
}

// roundRoom is how many welds are shown, under the head and over what the keys do.
func roundRoom(env shell.Env) int { return env.H - 5 }

func roundLines(env shell.Env, left []logbook.Weld) []string {
	var lines []string
	column := env.JointColumn()
	for _, w := range left {
		state := ""
		switch {
		case w.Holding() && over(env, w):
			state = "hold over: release it first"
		case w.Holding():
			state = "in its hold"
		}
		lines = append(lines, widget.Cut("   "+widget.Columns([]int{column, 9, 18}, w.Joint, w.ID, logbook.Clean(w.Fitting()), state), env.W))
	}
	return lines
}

// Keys are the round's.
func (s round) Keys(env shell.Env) shell.Keys {
	if s.weld != "" {
		return append(append(s.form.Keys(), s.hand.Keys(env)...), shell.On("←", "one back"), shell.On("Esc", "to the check"))
	}
	return shell.Keys{shell.When(len(todo(env)) > 0, shell.On("Enter", "next weld")), shell.On("↑↓ PgDn", "read"), shell.On("9", "close the shift"), shell.On("Esc", "back")}
}

// Topic is that of its page.
func (s round) Topic(shell.Env) string { return "round" }

// Takes wants no scan.
func (s round) Takes(shell.Env) shell.Taking { return shell.NoScan }

// The answers to whether the shift is closed.
const (
	notYet  = "not yet"
	closeIt = "close it"
)

// closing asks once more; what is left undone stays a finding.
func closing(env shell.Env) shell.Screen {
	left := len(todo(env))
	return form.Ask{
		About: "close",
		Title: "Close shift " + env.Shift.ID,
		Text: func(env shell.Env) []string {
			lines := []string{"Tape or cap every open end (UFGS 15741N 3.2). Tell the plumber which header is from ground (FG) and which is to ground (TG)."}
			return append(lines, leftBehind(env, left)...)
		},
		Form: form.New([]form.Field{{Item: "close", Label: "close the shift", Manner: form.Choice, Options: []string{closeIt, notYet}}}),
		Done: func(env shell.Env, a form.Answers) {
			if a.V("close") == closeIt {
				ended := env.Head()
				form.Saves(env, "shift closed", acts.CloseShift)
				env.Do.Home()
				env.Do.Say("shift " + env.Shift.ID + " is closed")
				if backup, day := env.Outside.Backup, env.Shift.Day; backup != nil {
					env.Do.Fetch(func(log shell.Log) (string, error) { return backup(ended, log, day) })
				}
			}
		},
	}
}
