package speech

import (
	"slices"
	"testing"

	tea "github.com/charmbracelet/bubbletea"

	"coolhold/tui/shell"
)

// A talk is a window that changes, and what is said of it.
type talk struct {
	t    *testing.T
	said Speech
}

func (k *talk) says(s shell.Spoken, given bool, want ...string) {
	k.t.Helper()
	next, got := k.said.Next(s, given)
	k.said = next
	if !slices.Equal(got, want) {
		k.t.Errorf("said %q, want %q", got, want)
	}
}

func board(rows ...string) shell.Spoken {
	return shell.Spoken{Title: "Site", Screen: "1 board", Home: true, Keys: " Enter open · → runs · 1 next", Body: append([]string{" Next: 1A: key 1.", ""}, rows...)}
}

func form(lines ...string) shell.Spoken {
	return shell.Spoken{Title: "Site", Screen: "2 form", Keys: " Esc leave", Body: append([]string{" A form", ""}, lines...)}
}

// Time that runs is no news; what is over is, once; a cursor that moves says where it is.
func TestOnlyWhatIsNewIsSaid(t *testing.T) {
	k := &talk{t: t}
	s := board(" ▸ 1A   hold 3:51", "   1B   open")
	s.News = []string{"1A hold 3:51"}
	k.says(s, false, "Site", "1A hold 3:51", "Next: 1A: key 1.", "* 1A  hold 3:51", "1B  open", "keys: enter: open, runs, 1: next")
	s = board(" ▸ 1A   hold 3:50", "   1B   open")
	s.News = []string{"1A hold 3:50"}
	k.says(s, false)
	k.says(s, true)
	s = board("   1A   hold 3:49", " ▸ 1B   open")
	s.News = []string{"1A hold 3:49"}
	k.says(s, true, "* 1B  open")
	s = board("   1A   hold over", " ▸ 1B   open")
	s.News = []string{"1A hold over: release →"}
	k.says(s, false, "1A hold over: release runs", "1A  hold over")
	k.says(s, false)
	k.says(form("▸ leave", "    1  stay"), true, "A form", "? leave", "1  stay", "keys: leave")
	k.says(s, true, "1A hold over: release runs", "Next: 1A: key 1.")
}

// Each line that is given leads to a question, and a refusal is said each time.
func TestEachLineLeadsToAQuestion(t *testing.T) {
	k := &talk{t: t}
	k.says(form("▸ indicator 1", "    1  up"), true, "Site", "A form", "? indicator 1", "1  up", "keys: leave")
	k.says(form("  indicator 1  up", "▸ indicator 2", "    1  up"), true, "indicator 1  up", "? indicator 2", "1  up")
	refused := form("  indicator 1  up", "▸ indicator 2", "    1  up", "  ! press a digit")
	k.says(refused, true, "! press a digit", "? indicator 2")
	k.says(refused, false)
	k.says(refused, true, "! press a digit", "? indicator 2")
	with := refused
	with.Said = []string{"scan ignored here"}
	k.says(with, true, "scan ignored here", "! press a digit", "? indicator 2")
	k.says(with, false)
}

func TestKeys(t *testing.T) {
	const enter = "enter"
	for _, tt := range []struct {
		line string
		into shell.Taking
		want []string // nil: not understood
	}{
		{"", shell.NoScan, []string{enter}},
		{"  ", shell.TextField, []string{enter}},
		{"3", shell.NoScan, []string{"3"}},
		{"Down", shell.NoScan, []string{"down"}},
		{"down", shell.TextField, []string{"d", "o", "w", "n", enter}},
		{"8.5", shell.FigureField, []string{"8", ".", "5", enter}},
		{"space", shell.FigureField, []string{" "}},
		{"down", shell.FigureField, []string{"down"}},
		{"Bo B", shell.ScanText, []string{"B", "o", " ", "B", enter}},
		{"back", shell.TextField, []string{"left"}},
		{" back", shell.TextField, []string{"b", "a", "c", "k", enter}},
		{"leave", shell.NoScan, []string{"esc"}},
		{"help", shell.FigureField, []string{"f1"}},
		{"runs", shell.TextField, []string{"right"}},
		{"again", shell.TextField, []string{}},
		{"400612345678", shell.ScanField, []string{"[400612345678]"}},
		{"400612345678", shell.NoScan, nil},
	} {
		keys, known := Keys(tt.line, tt.into)
		got := []string{}
		for _, k := range keys {
			got = append(got, tea.Key(k).String())
		}
		if known != (tt.want != nil) || known && !slices.Equal(got, tt.want) {
			t.Errorf("%q on %v: %q, %v, want %q", tt.line, tt.into, got, known, tt.want)
		}
	}
}

// A key that does what another does too is told by one word.
func TestAFootNamesOneKeyForADeed(t *testing.T) {
	for said, want := range map[string]string{
		"↑↓ PgDn read · Esc ← Enter back": "up or down: read, leave: back", "Enter or digit answer": "enter: answer", "→ runs · 1 next": "runs, 1: next",
	} {
		if got := foot(said); got != want {
			t.Errorf("%q is told as %q, want %q", said, got, want)
		}
	}
}
