package shell

import (
	"testing"

	tea "github.com/charmbracelet/bubbletea"
)

// A page of a list is eight entries; one of a text is what is shown, less the line
// that stays in sight.
func TestAPageDown(t *testing.T) {
	down, up := tea.KeyMsg{Type: tea.KeyPgDown}, tea.KeyMsg{Type: tea.KeyPgUp}
	for _, c := range []struct{ got, want int }{
		{Chooses(down), listPage}, {Chooses(up), -listPage}, {Chooses(tea.KeyMsg{Type: tea.KeyDown}), 1}, {Chooses(tea.KeyMsg{Type: tea.KeyEnter}), 0},
		{Reads(down, 10), 9}, {Reads(up, 10), -9}, {Reads(tea.KeyMsg{Type: tea.KeyUp}, 10), -1}, {Reads(down, 2), 1}, {Reads(down, 1), 1}, {Reads(down, 0), 1},
	} {
		if c.got != c.want {
			t.Errorf("goes %d, want %d", c.got, c.want)
		}
	}
}
