package desk

import (
	"coolhold/tui/form"
	"coolhold/tui/shell"
)

// newCover lists the chambers and runs with what is missing in each.
func newCover(shell.Env) shell.Screen { return form.Ask{Title: "Cover"} }
