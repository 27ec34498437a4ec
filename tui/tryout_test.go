package tui

import (
	"strings"
	"testing"
	"time"

	tea "github.com/charmbracelet/bubbletea"
)

// What comes is said as the screens would take it: a scanner's burst with its pace, a
// paste in one go, a hand's keys one by one.
func TestTryoutSaysWhatItIsTakenFor(t *testing.T) {
	var at time.Duration
	var m tea.Model = tryout{w: 80, o: Program{Mono: func() time.Duration { return at }, After: func(d time.Duration, msg tea.Msg) tea.Cmd {
		return func() tea.Msg { at += d; return msg }
	}}}
	give := func(gap time.Duration, keys ...tea.KeyMsg) {
		var wait tea.Cmd
		for _, k := range keys {
			at += gap
			m, wait = m.Update(k)
		}
		for wait != nil {
			m, wait = m.Update(wait())
		}
	}
	runes := func(s string) (keys []tea.KeyMsg) {
		for _, r := range s {
			keys = append(keys, tea.KeyMsg{Type: tea.KeyRunes, Runes: []rune{r}})
		}
		return keys
	}
	give(12*time.Millisecond, append(runes("4006381333931"), tea.KeyMsg{Type: tea.KeyEnter})...)
	give(time.Second, runes("ab")...)
	give(time.Second, tea.KeyMsg{Type: tea.KeyRunes, Runes: []rune("first\nsecond"), Paste: true})
	want := `Scan a code, paste a line, strike a key: it says how that is taken. Esc ends.
  a scan of 13 characters in 144 ms, longest gap 12 ms: 4006381333931
  a key: a
  a key: b
  a paste of 5 characters, taken in one go: first
`
	if got := m.View(); got != want {
		t.Errorf("shown:\n%s\nwant:\n%s", got, want)
	}
	for range 3 * tried {
		give(time.Second, runes("x")...)
	}
	if got := strings.Count(m.View(), "\n"); got != tried+1 {
		t.Errorf("%d lines, want %d", got, tried+1)
	}
	if _, end := m.Update(tea.KeyMsg{Type: tea.KeyEsc}); end == nil {
		t.Error("Esc does not end it")
	}
}
