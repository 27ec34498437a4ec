package tui

import (
	"coolhold/tui/form"
	"coolhold/tui/shell"
)

// The answers to whether somebody leaves.
const (
	stays  = "no: stay"
	leaves = "yes: leave"
)

func leaving() shell.Screen {
	return form.Ask{
		About: "leave",
		Title: "Leave coolhold?", Esc: "stay",
		Text: func(env shell.Env) []string {
			says := []string{"1 leaves. Esc stays here."}
			if len(env.Running)+len(env.Tests) > 0 {
				says = append(says, "What runs goes on by the clock and is here when you come back.")
			}
			return says
		},
		Form: form.New([]form.Field{{Item: "leave", Label: "leave", Manner: form.Choice, Options: []string{leaves, stays}}}),
		Done: func(env shell.Env, a form.Answers) {
			if a.V("leave") == leaves {
				env.Do.Quit()
			}
		},
	}
}
