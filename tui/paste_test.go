package tui

import (
	"strings"
	"testing"
	"time"
	"unicode"

	tea "github.com/charmbracelet/bubbletea"
	"pgregory.net/rapid"

	"coolhold/logbook/crew"
	"coolhold/tui/form"
	"coolhold/tui/shell"
)

// questions is a form that asks in each manner, and begins at one of them. It counts
// what is answered.
func questions(first int, answers *int) form.Ask {
	all := []form.Field{
		{Item: "why", Label: "why it was cut out", Manner: form.Text},
		{Item: "batch", Label: "batch", Manner: form.Text, Scan: true, Offer: "B1"},
		{Item: "bag", Label: "this bag prints", Manner: form.Choice, Options: []string{"one", "two", "three"}, Offer: "two"},
		{Item: "ohms", Label: "ohms", Manner: form.Number, Offer: "2.6"},
		{Item: "who", Label: "who", Manner: form.Text, Offer: "Ona"},
	}
	fields := append(append([]form.Field{}, all[first:]...), all[:first]...)
	for i := range fields {
		fields[i].Check = func(s string) (string, error) { *answers++; return s, nil }
	}
	return form.Ask{Title: "Questions", Form: form.New(fields), Done: func(shell.Env, form.Answers) {}}
}

// pasted is a paste as a terminal with brackets tells it.
func (d *driver) pasted(text string) {
	d.t.Helper()
	*d.mono += time.Second
	d.send(tea.KeyMsg{Type: tea.KeyRunes, Runes: []rune(text), Paste: true})
}

// A paste is text wherever text is asked, also where a code may be scanned, and
// where it reads like the name of a key; Enter gives it. Elsewhere it is said.
func TestAPasteIsText(t *testing.T) {
	for _, text := range []string{"Ona Brill", "enter", "esc", "left", "right", "up", "ctrl+u", "1", "4006123"} {
		for first := range 2 {
			d := drive(t, exampleAt(t, monday), monday, 80, 24)
			d.open(questions(first, new(int)))
			d.keys("x")
			d.pasted(text)
			asked := []string{"why it was cut out", "batch"}[first]
			d.sees("▸ "+asked, "    x"+text+"█")
			d.keys("enter")
			d.lacks("▸ " + asked)
			d.sees("x" + text)
		}
	}
	d := drive(t, exampleAt(t, monday), monday, 80, 24)
	d.open(questions(2, new(int)))
	d.pasted("1")
	d.sees("▸ this bag prints", "a paste is not taken here: 1")
	d.keys("1")
	d.pasted("2.6 or so")
	d.sees("▸ ohms", "a paste is not taken here: 2.6 … (9 characters)")
	d.pasted("2.6")
	d.sees("▸ ohms", "    2.6█")
	// more than a field holds is not dropped unsaid
	d.open(questions(0, new(int)))
	d.pasted(strings.Repeat("word ", 60))
	d.sees("! 200 characters are the most: the end of it was not taken")
	d.keys("x")
	d.sees("! 200 characters are the most")
	d.keys("backspace")
	d.lacks("are the most")
}

// burstReads cuts a burst into reads no more than 30 ms apart, as a terminal without
// brackets hands on a paste.
func burstReads(t *rapid.T, d *driver, text string) {
	var runes []rune
	flush := func() {
		if len(runes) > 0 {
			d.send(tea.KeyMsg{Type: tea.KeyRunes, Runes: runes})
		}
		runes = nil
	}
	for _, c := range text {
		if gap := rapid.IntRange(-30, 30).Draw(t, "gap"); gap > 0 {
			flush()
			*d.mono += time.Duration(gap) * time.Millisecond
			d.send(shell.Quiet())
		}
		switch {
		case c == '\r':
			flush()
			d.send(tea.KeyMsg{Type: tea.KeyEnter})
		case c == '\n':
			flush()
			d.send(tea.KeyMsg{Type: tea.KeyCtrlJ})
		case unicode.IsSpace(c):
			flush()
			d.send(tea.KeyMsg{Type: tea.KeySpace, Runes: []rune{' '}})
		default:
			runes = append(runes, c)
		}
	}
	flush()
}

// However a burst of lines is cut, it is never split into two questions: what is
// behind its first answer answers nothing and stands in no other field.
func TestABurstIsNeverTwoAnswers(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		d := drive(t, logOf(crew.NewMemory("KM")), monday, 80, 24)
		first := rapid.SampledFrom([]int{0, 1, 3, 4}).Draw(rt, "first")
		answers := 0
		d.open(questions(first, &answers))
		*d.mono += time.Second
		lines := rapid.SliceOfN(rapid.StringMatching(`[0-9a-z]{0,3}( ?[0-9]){0,4}`), 1, 5).Draw(rt, "lines")
		text := strings.Join(lines, rapid.SampledFrom([]string{"\r", "\r\n", "\n"}).Draw(rt, "end")) + "\r"
		burstReads(rt, d, text)
		*d.mono += time.Second
		d.send(shell.Quiet())
		if answers > 1 {
			rt.Fatalf("%q gave %d answers\n%s", text, answers, d.frame())
		}
		if answers == 1 && strings.Contains(d.frame(), "█") && !strings.Contains(d.frame(), "\n    █") {
			rt.Fatalf("%q gave an answer and stands in the next field too\n%s", text, d.frame())
		}
	})
}

// A scan or a paste of more characters than are kept is not cut short unsaid: nothing of
// it is taken.
func TestTooLongAScan(t *testing.T) {
	d := drive(t, exampleAt(t, monday), monday, 80, 24)
	d.open(questions(1, new(int)))
	long := strings.Repeat("7", 513)
	d.pasted(long)
	d.sees("▸ batch", "this has 513 characters, 512 are the most: nothing of it is taken")
	d.lacks("7777")
	d.scan(long)
	d.sees("▸ batch", "this has 513 characters")
	d.scan(long[1:])
	d.sees("▸ this bag prints", "7777")
}
