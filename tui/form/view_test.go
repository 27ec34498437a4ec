package form

import (
	"strings"
	"testing"

	tea "github.com/charmbracelet/bubbletea"
	"github.com/charmbracelet/x/ansi"
	"pgregory.net/rapid"

	"coolhold/tui/shell"
	"coolhold/tui/widget"
)

// typed is a form with a text in it and the cursor so many keys from its end.
func typedIn(text string, back int) Form {
	f := New([]Field{{Item: "why", Label: "why", Manner: Text}})
	f, _ = f.Update(tea.KeyMsg{Type: tea.KeyRunes, Runes: []rune(text), Paste: true})
	for range back {
		f, _ = f.Update(tea.KeyMsg{Type: tea.KeyCtrlB})
	}
	return f
}

// boxOf is the line of a form in which one types.
func boxOf(f Form, theme string, width int) string {
	return strings.Split(f.View(shell.NewStyle(theme), width, 10), "\n")[1]
}

// A long text is never typed blind: the window of the field goes with the cursor, and
// a mark says where more of it lies.
func TestTheCursorIsSeen(t *testing.T) {
	const long = "0123456789 abcdefghij 0123456789 ABCDEFGHIJ 0123456789 klmnopqrst"
	for _, tt := range []struct {
		text string
		back int
		want string
	}{
		{"", 0, "    █"},
		{"ohm", 0, "    ohm█"},
		{"ohm", 1, "    oh█m"},
		{"ohm", 3, "    █ohm"},
		{"a b", 2, "    a█b"},
		{long, 0, "  … ABCDEFGHIJ 0123456789 klmnopqrst█"},
		{long, 1, "  … ABCDEFGHIJ 0123456789 klmnopqrs█t"},
		{long, 50, "  … 789 abcd█efghij 0123456789 ABCDEFG …"},
		{long, 65, "    █0123456789 abcdefghij 0123456789 …"},
	} {
		if got := boxOf(typedIn(tt.text, tt.back), "plain", 40); got != tt.want {
			t.Errorf("%q, %d back:\n got %q\nwant %q", tt.text, tt.back, got, tt.want)
		}
	}
}

// Whatever is typed, the runes round the cursor are in sight, in every theme, and no
// line is wider than the window.
func TestTheCursorIsSeenInAnyText(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		text := rapid.StringOfN(rapid.RuneFrom([]rune("aZ9 ,ü漢字ｗ\u0301·…█")), 0, 150, -1).Draw(t, "text")
		width := rapid.IntRange(shell.MinWidth, 120).Draw(t, "width")
		f := typedIn(text, rapid.IntRange(0, 160).Draw(t, "back"))
		value, at := []rune(f.input.Value()), f.input.Position()
		for _, theme := range shell.Themes {
			box := boxOf(f, theme, width)
			if n := widget.Width(box); n > width {
				t.Fatalf("%s: %d of %d columns: %q", theme, n, width, box)
			}
			if theme == "plain" {
				continue
			}
			on := shell.NewStyle(theme).Cursor("|")
			before, after, _ := strings.Cut(on, "|")
			_, rest, found := strings.Cut(box, before)
			under, _, closed := strings.Cut(rest, after)
			if want := string(append(value[:len(value):len(value)], ' ')[at]); !found || !closed || under != want {
				t.Fatalf("%s: the cursor is on %q, want %q: %q", theme, under, want, box)
			}
			if shown := ansi.Strip(box); !strings.Contains(shown, "…") && !strings.Contains(shown, strings.TrimRight(string(value), " ")) {
				t.Fatalf("%s: something is missing unsaid: %q of %q", theme, shown, string(value))
			}
		}
	})
}
