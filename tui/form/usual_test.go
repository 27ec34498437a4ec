package form

import (
	"errors"
	"strings"
	"testing"

	tea "github.com/charmbracelet/bubbletea"

	"coolhold/logbook"
	"coolhold/tui/shell"
)

var namedKeys = map[string]tea.KeyType{"enter": tea.KeyEnter, "esc": tea.KeyEsc, "up": tea.KeyUp, "down": tea.KeyDown, "left": tea.KeyLeft, "right": tea.KeyRight, "backspace": tea.KeyBackspace, "space": tea.KeySpace}

func pressed(k string) tea.KeyMsg {
	if typ, ok := namedKeys[k]; ok {
		return tea.KeyMsg{Type: typ}
	}
	return tea.KeyMsg{Type: tea.KeyRunes, Runes: []rune(k)}
}

func keysInto(f Form, keys ...string) (Form, Event) {
	last := Nothing
	for _, k := range keys {
		f, last = f.Update(pressed(k))
	}
	return f, last
}

func letters(text string) []string { return strings.Split(text, "") }

// A reason is chosen by a digit and Enter or typed, also where it begins with a digit;
// what is stored are the words. None is marked, and Enter alone takes none.
func TestAReasonByADigit(t *testing.T) {
	fresh := func() Form { return New([]Field{Reason("why", "why", []string{"it was wet", "the unit failed"})}) }
	see := func(f Form) string { return f.View(shell.NewStyle("plain"), 60, 20) }
	for _, tt := range []struct {
		keys []string
		want string
	}{
		{[]string{"2", "enter"}, "the unit failed"},
		{[]string{"down", "enter"}, "it was wet"},
		{append(letters("a van came"), "enter"), "a van came"},
		{append(letters("2 of 3 clamps"), "enter"), "2 of 3 clamps"}, // begun with the digit of another
		{[]string{"2", "backspace", "1", "enter"}, "it was wet"},
		{[]string{"down", "x", "enter"}, "x"},
	} {
		if f, event := keysInto(fresh(), tt.keys...); event != Complete || f.Given["why"] != (logbook.Answer{Item: "why", V: tt.want, How: logbook.Typed}) {
			t.Errorf("%q: %v, want %q", tt.keys, f.Given, tt.want)
		}
	}
	f, event := keysInto(fresh(), "enter")
	if event != Nothing || len(f.Given) > 0 || !strings.Contains(see(f), "press a digit") {
		t.Errorf("Enter alone took %v\n%s", f.Given, see(f))
	}
	if s := see(fresh()); !strings.Contains(s, "1  it was wet") || !strings.Contains(s, "in your own words") || strings.Contains(s, "▸ 1") {
		t.Errorf("one is marked, or a line is missing:\n%s", s)
	}
	if f, event = keysInto(fresh(), "2"); event != Nothing || !strings.Contains(see(f), "▸ 2  the unit failed") {
		t.Errorf("a digit alone gave %v, or does not mark its line:\n%s", f.Given, see(f))
	}
	if f, _ = keysInto(fresh(), letters("2 o")...); strings.Contains(see(f), "it was wet") {
		t.Errorf("the list stands beside one's own words:\n%s", see(f))
	}
}

// What is refused stays, to be put right where it is wrong; a letter begins it anew.
func TestARefusedTextIsPutRight(t *testing.T) {
	fresh := func() Form {
		return New([]Field{{Item: "on", Label: "on", Manner: Text, Check: func(s string) (string, error) {
			if s != "2026-03-09" {
				return "", errors.New("no date")
			}
			return s, nil
		}}})
	}
	for _, then := range [][]string{{"backspace", "9", "enter"}, append(letters("2026-03-09"), "enter")} {
		f, event := keysInto(fresh(), append(letters("2026-03-08"), "enter")...)
		if event != Nothing || !strings.Contains(f.View(shell.NewStyle("plain"), 60, 20), "2026-03-08") {
			t.Fatalf("a refused date is gone:\n%s", f.View(shell.NewStyle("plain"), 60, 20))
		}
		if f, _ = keysInto(f, then...); f.Given.V("on") != "2026-03-09" {
			t.Errorf("%q after it gives %q", then, f.Given.V("on"))
		}
	}
}

// ← moves in what is typed, and is back where nothing is; Esc on a long form asks before
// it drops the answers, and says so.
func TestBackAndLeave(t *testing.T) {
	var fields []Field
	for _, item := range []string{"a", "b", "c", "d"} {
		fields = append(fields, Field{Item: item, Label: item, Manner: Text})
	}
	env := shell.Env{W: 60, H: 20, Style: shell.NewStyle("plain"), Do: &shell.Do{}}
	var s shell.Screen = Ask{Title: "t", Form: New(fields), Done: func(shell.Env, Answers) {}}
	press := func(keys ...string) {
		for _, k := range keys {
			s = s.Update(env, pressed(k))
		}
	}
	press("x", "enter", "y", "z", "left", "left", "w", "enter")
	if got := s.(Ask).Form.Given.V("b"); got != "wyz" {
		t.Errorf("← in a text gives %q", got)
	}
	press("left")
	if field, _ := s.(Ask).Form.Field(); field.Item != "b" || s.(Ask).Form.Given.V("b") != "wyz" {
		t.Errorf("← in an empty field is at %q with %v", field.Item, s.(Ask).Form.Given)
	}
	press("enter", "v", "enter", "esc")
	if frame := s.View(env); !strings.Contains(frame, "3 answers given here, nothing of it stored yet. Drop it?") || env.Do.Wants() > 0 {
		t.Fatalf("Esc does not ask:\n%s", frame)
	}
	press("esc")
	if field, _ := s.(Ask).Form.Field(); field.Item != "d" || env.Do.Wants() > 0 {
		t.Fatalf("Esc does not go on with %q", field.Item)
	}
	press("esc", "1")
	if env.Do.Wants() != 1 {
		t.Error("1 does not leave")
	}
}
