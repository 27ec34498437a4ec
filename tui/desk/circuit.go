// Package desk is the foreman's screens: a day's welds, one weld, one circuit,
// what may be covered, and the signature under a day.
package desk

import (
	"coolhold/logbook"
	"coolhold/tui/form"
	"coolhold/tui/shell"
)

// newCircuit is everything that ever happened to the circuit of a joint.
func newCircuit(j logbook.Joint) shell.Screen { return form.Ask{Title: "Circuit of " + j.Label} }
