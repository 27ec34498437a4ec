package tui

import (
	"coolhold/tui/form"
	"coolhold/tui/shell"
)

func leaving(env shell.Env) shell.Screen {
	return form.Ask{
		Title: "Leave coolhold?",
		Text: func(env shell.Env) []string {
			if len(env.Running) > 0 {
				return []string{"What runs goes on by the clock and is here when you come back."}
			}
			return nil
		},
		Form: form.New([]form.Field{{Item: "leave", Label: "leave", Kind: form.Choice, Options: []string{"stay", "leave"}}}),
		Done: func(env shell.Env, a form.Answers) {
			if a.V("leave") == "leave" {
				env.Do.Quit()
			}
		},
	}
}
