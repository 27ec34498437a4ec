package tui

import (
	"testing"
	"time"

	tea "github.com/charmbracelet/bubbletea"

	"coolhold/logbook"
	"coolhold/tui/shell"
)

// hurries strikes keys at the pace of a hand that types a figure.
func (d *driver) hurries(text string) {
	d.t.Helper()
	for _, r := range text {
		*d.mono += 180 * time.Millisecond
		msg := tea.KeyMsg{Type: tea.KeyRunes, Runes: []rune{r}}
		if r == '\r' {
			msg = tea.KeyMsg{Type: tea.KeyEnter}
		}
		d.send(msg)
		*d.mono += 70 * time.Millisecond
		d.send(shell.Quiet())
	}
}

// A figure that comes too late, where the start is asked, starts nothing: its first digit
// does not come alone. One key alone starts, as ever.
func TestALateFigureStartsNothing(t *testing.T) {
	m := onMeadow(t)
	id := m.upToStart("1A", "1")
	for _, late := range []string{"1.12\r", "12\r", "2.38\r"} {
		m.hurries(late)
		m.sees("step 6 of 9: start", "▸ start", "is a figure, and none is asked here: nothing was done")
		if w := m.weld(id); w.Started != nil || m.said(1, logbook.AttemptRefused{}.Kind()) > 0 {
			t.Fatalf("%q started the current", late)
		}
		*m.mono += time.Second
	}
	m.keys("1")
	m.sees("Fusing:")
}
