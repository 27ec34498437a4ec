package desk

import (
	"coolhold/tui/form"
	"coolhold/tui/shell"
)

// newSign closes a day by name.
func newSign(_ shell.Env, day string) shell.Screen { return form.Ask{Title: "Sign " + day} }
