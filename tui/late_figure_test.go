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

// Where something has ended → leads there and to nothing else: that the last reading
// holds is said by the space bar then, and → behind typed digits stays with them.
func TestOneMeaningOfTheRightArrow(t *testing.T) {
	m := onMeadow(t)
	m.upToStart("1A", "1")
	m.keys("1", "esc")
	m.begins("2A")
	m.fits("3", "W-1")
	m.prepares()
	m.sees("step 3 of 9: ambient", "→ still 9 °C", "→ still as shown")
	m.keys("1", "right", "2")
	m.sees("12█")
	m.keys("backspace", "backspace")
	m.pass(41 * time.Second)
	m.sees("FUSION ENDED: →", "Space still 9 °C", "Space still as shown", "→ runs")
	m.lacks("→ still")
	m.keys("space")
	m.sees("step 4 of 9: settings")
}
