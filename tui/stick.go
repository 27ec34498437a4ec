package tui

import (
	"strings"

	"coolhold/tui/form"
	"coolhold/tui/shell"
)

// newStick asks for the folder of the stick that takes a copy of the log, and the seal of
// the day, at the end of each shift.
func newStick() shell.Screen {
	return form.Ask{
		About: "stick",
		Title: "A stick for this site",
		Text: func(shell.Env) []string {
			return []string{
				"At the end of each shift a copy of the log and the seal of the day go onto it by themselves. It stops nothing, and replaces nothing.",
				"Put it in and name its folder. It is known again by a small file on it. \"none\" names no stick any more.",
			}
		},
		Form: form.New([]form.Field{{Item: "stick", Label: "folder of the stick", Manner: form.Text}}),
		Done: func(env shell.Env, a form.Answers) {
			name, site, dir := env.Outside.NameStick, env.Site.ID, strings.TrimSpace(a.V("stick"))
			if name == nil || site == "" {
				env.Do.Say("a stick is named for a site, once one is open")
				return
			}
			env.Do.Fetch(func(log shell.Log) (string, error) { return name(log, site, dir) })
		},
	}
}
