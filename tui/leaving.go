package tui

import (
	"coolhold/tui/form"
	"coolhold/tui/shell"
)

// The answers to whether somebody leaves.
const (
	stays  = "stay"
	leaves = "leave"
)

func leaving() shell.Screen {
	return form.Ask{
		Title: "Leave coolhold?", Esc: stays,
		Text: func(env shell.Env) []string {
			if len(env.Running) > 0 {
				return []string{"What runs goes on by the clock and is here when you come back."}
			}
			return nil
		},
		Form: form.New([]form.Field{{Item: "leave", Label: "leave", Manner: form.Choice, Options: []string{stays, leaves}}}),
		Done: func(env shell.Env, a form.Answers) {
			if a.V("leave") == leaves {
				env.Do.Quit()
			}
		},
	}
}
