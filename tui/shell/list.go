package shell

import (
	tea "github.com/charmbracelet/bubbletea"

	"coolhold/tui/widget"
)

// listPage is how many entries the page keys go in every list.
const listPage = 8

// List is rows in the look that every list has.
func (e Env) List(rows []widget.Row) widget.List {
	return widget.List{Rows: rows, Width: e.W, Pick: e.Style.Pick, Dim: e.Style.Dim}
}

// Chooses is how many entries of a list a key goes down; 0 for any other key.
func Chooses(msg tea.Msg) int { return Steps(msg, listPage) }

// Reads is how many lines of a text a key goes down, where so many are shown; a
// page keeps one of them.
func Reads(msg tea.Msg, shown int) int { return Steps(msg, max(1, shown-1)) }
