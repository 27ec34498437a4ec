// Package early settles the terminal's background before anything asks for it.
//
// The screen library asks the terminal for its background colour while packages
// are initialised, and waits five seconds where none answers; what is typed or
// scanned meanwhile is lost. Packages initialise in the order of their import
// paths, and "coolhold/…" sorts before "github.com/…", so this one comes first.
package early

import "github.com/charmbracelet/lipgloss"

func init() { lipgloss.SetHasDarkBackground(true) }
