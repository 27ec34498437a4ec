package form

import (
	"cmp"
	"fmt"
	"slices"

	"github.com/charmbracelet/bubbletea"

	"coolhold/logbook"
	"coolhold/tui/shell"
	"coolhold/tui/widget"
)

// A Hand is who does what a screen records: whoever is at the laptop, until Tab names
// another of the shift. So the usual one costs no key, and nobody signs for another
// unseen.
type Hand string

// Turns tells whether a key names the next of the shift, and who that is.
func (h Hand) Turns(env shell.Env, msg tea.Msg) (Hand, bool) {
	if !shell.Is(msg, shell.Another) || !several(env) {
		return h, false
	}
	all := env.Shift.Operators
	at := slices.IndexFunc(all, func(o logbook.Operator) bool { return o.Name == h.name(env) })
	return Hand(all[(at+1)%len(all)].Name), true
}

// Of is the sight of whoever does it.
func (h Hand) Of(env shell.Env) shell.Env {
	env.By = h.name(env)
	return env
}

// Says names who does it where it may be another.
func (h Hand) Says(env shell.Env) string {
	if !several(env) {
		return ""
	}
	const beside = 26 // what stands beside the name, here and where this is shown
	name := widget.Cut(logbook.Clean(h.name(env)), max(8, env.W-beside))
	return fmt.Sprintf("by %s (%s: another)", name, shell.Another.Help().Key)
}

// Keys are the one that names another, where there is one.
func (h Hand) Keys(env shell.Env) shell.Keys {
	if !several(env) {
		return nil
	}
	return shell.Keys{shell.Another}
}

func (h Hand) name(env shell.Env) string { return cmp.Or(string(h), env.By) }

func several(env shell.Env) bool { return len(env.Shift.Operators) > 1 }
