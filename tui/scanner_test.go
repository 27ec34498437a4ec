package tui

import (
	"math/rand"
	"strings"
	"testing"
	"time"

	tea "github.com/charmbracelet/bubbletea"

	"coolhold/tui/shell"
)

// struck sends runes one by one, each a gap after the one before, and what the
// program asked to be told of in between.
func (d *driver) struck(text string, gap func() time.Duration) {
	d.t.Helper()
	for _, c := range text {
		*d.mono += gap()
		d.send(shell.Quiet())
		if c == '\r' {
			d.send(tea.KeyMsg{Type: tea.KeyEnter})
			continue
		}
		d.send(tea.KeyMsg{Type: tea.KeyRunes, Runes: []rune{c}})
	}
}

// jittered are gaps round one, each time the same.
func jittered(ms, by int) func() time.Duration {
	r := rand.New(rand.NewSource(int64(ms)))
	return func() time.Duration { return time.Duration(ms-by+r.Intn(2*by+1)) * time.Millisecond }
}

// A slow scanner that fires at the board begins no weld and opens nothing, and the
// codes' screen says how slow it is.
func TestASlowScannerRunsNoCommand(t *testing.T) {
	for _, tt := range []struct {
		ms, by int
		says   string
	}{{5, 3, "ms each, longest gap"}, {32, 9, "ms each, longest gap"}, {40, 9, "ms each, longest gap"}, {55, 4, "That is slow: from 60 ms on they count as keys."}} {
		log := exampleAt(t, monday)
		d := drive(t, log, monday, 80, 24)
		entries := len(log.Memory.Entries)
		*d.mono += time.Second
		d.struck("1"+code24[1:]+"\r", jittered(tt.ms, tt.by))
		*d.mono += time.Second
		d.send(shell.Quiet())
		d.sees("scan ignored here: 1234… (24 characters)", "Enter open")
		if n := len(log.Memory.Entries); n != entries {
			t.Errorf("at %d ms a character %d entries were written", tt.ms, n-entries)
		}
		d.open(newCodes())
		d.sees("The scanner at hand: 24 characters,")
		if !strings.Contains(strings.Join(strings.Fields(d.frame()), " "), tt.says) {
			t.Errorf("at %d ms a character the screen does not say %q:\n%s", tt.ms, tt.says, d.frame())
		}
	}
}

// Text that comes in one go stands in its field and waits for Enter; nothing that
// follows it as fast answers the next question. A paste is text as well.
func TestTextInOneGoIsText(t *testing.T) {
	for _, how := range []string{"read", "singly", "paste"} {
		d := drive(t, exampleAt(t, monday), monday, 80, 24)
		d.open(newCodes())
		d.scan(code24)
		d.keys("1")
		d.sees("compared by (name)")
		*d.mono += time.Second
		switch how {
		case "read":
			for _, k := range []tea.KeyMsg{
				{Type: tea.KeyRunes, Runes: []rune("Ona")}, {Type: tea.KeySpace, Runes: []rune{' '}}, {Type: tea.KeyRunes, Runes: []rune("Brill")}, {Type: tea.KeyEnter},
				{Type: tea.KeyRunes, Runes: []rune("1")}, {Type: tea.KeyEnter},
			} {
				d.send(k)
			}
			d.sees("compared by (name)", "  Ona Brill 1", "it came in one go: Enter gives it")
		case "singly":
			d.struck("Ona Brill\r1\r", jittered(6, 4))
			d.sees("compared by (name)", "  Ona Brill 1", "it came in one go: Enter gives it")
		case "paste":
			d.send(tea.KeyMsg{Type: tea.KeyRunes, Runes: []rune("Ona Brill\r1\r"), Paste: true})
			d.sees("compared by (name)", "  Ona Brill 1")
		}
		d.lacks("scan ignored")
		d.keys("backspace", "backspace", "enter")
		d.sees("taught as coupler 40 by Ona Brill")
	}
}

// A scan that is taken without its Enter answers its own question; the Enter that a hand
// adds from habit answers nothing more, and says so.
func TestAnEnterFromHabitAnswersNothing(t *testing.T) {
	log := hillfoot(t)
	d := driveReady(t, log, 80, 24, nil)
	d.keys("2")
	d.picks("type it")
	d.sees("▸ serial")
	*d.mono += time.Second
	d.struck("CU-2080", jittered(10, 5))
	*d.mono += 160 * time.Millisecond
	d.send(shell.Quiet())
	d.sees("CU-2080")
	*d.mono += 700 * time.Millisecond
	d.send(tea.KeyMsg{Type: tea.KeyEnter})
	d.sees("▸ input, kVA", "that Enter came right behind a scan")
	d.text("3.5")
	d.sees("▸ input, V")
	d.keys("enter")
	d.sees("▸ lowest input it allows, V")
}
