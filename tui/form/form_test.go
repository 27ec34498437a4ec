package form

import (
	"errors"
	"strings"
	"testing"

	tea "github.com/charmbracelet/bubbletea"

	"coolhold/logbook"
	"coolhold/tui/shell"
)

// A name with an escape in it is harmless wherever a form draws it, and stays
// what it is as an answer.
func TestEscapesInAFormDoNotAct(t *testing.T) {
	const name = "Ada\x1b[2J Invented\x07"
	field := Field{Item: "who", Label: name + " label", Hint: name + " hint", Manner: Choice, Options: []string{"Bo", name}, Offer: name}
	later := Field{Item: "why", Label: name + " later", Manner: Text, Hint: name, Check: func(string) (string, error) { return "", errors.New(name + " fault") }}
	ask := Ask{
		Title: name + " title", Text: func(shell.Env) []string { return []string{name + " text"} },
		Form: New([]Field{field, later}), Done: func(shell.Env, Answers) {},
	}
	env := shell.Env{W: 80, H: 24, Style: shell.NewStyle("plain"), Do: &shell.Do{}}
	sees := func(texts ...string) {
		t.Helper()
		frame := ask.View(env)
		if strings.ContainsAny(frame, "\x1b\x07") {
			t.Errorf("an escape is drawn: %q", frame)
		}
		for _, text := range texts {
			if !strings.Contains(frame, "Ada·[2J Invented·"+text) {
				t.Errorf("%q is not drawn:\n%s", text, frame)
			}
		}
	}
	key := func(k tea.KeyMsg) { ask = ask.Update(env, k).(Ask) }
	sees(" title", " text", " label", " hint", "   (Enter)", " later")
	key(tea.KeyMsg{Type: tea.KeyEnter})
	if a := ask.Form.Given["who"]; a.V != name || a.How != logbook.Offered {
		t.Errorf("answered %+v", a)
	}
	key(tea.KeyMsg{Type: tea.KeyRunes, Runes: []rune("x")})
	key(tea.KeyMsg{Type: tea.KeyEnter})
	sees(" label", "  (taken by Enter)", " fault")
}

// A batch that a spreadsheet has shortened is doubted once, typed or scanned, and taken
// when it comes again; another value with an E in it is not.
func TestShortenedBatchIsDoubtedOnce(t *testing.T) {
	say := func(f Form, text string) Form {
		f, _ = f.Update(tea.KeyMsg{Type: tea.KeyRunes, Runes: []rune(text)})
		f, _ = f.Update(tea.KeyMsg{Type: tea.KeyEnter})
		return f
	}
	for _, item := range []string{logbook.ItemBatch, logbook.ItemPipeBatch, logbook.ItemStubBatch} {
		f := say(New([]Field{Of(item)}), "1.23457E+17")
		if f.Done() || !strings.Contains(f.Fault, "spreadsheet shortens") {
			t.Errorf("%s: taken at once: %q", item, f.Fault)
		}
		if f = say(f, "1.23457E+17"); !f.Done() {
			t.Errorf("%s: not taken the second time: %q", item, f.Fault)
		}
	}
	if f := say(New([]Field{Of(logbook.ItemBatch)}), "12E17-A"); !f.Done() {
		t.Errorf("a batch with an E: %q", f.Fault)
	}
}

// Of a long list of people as many are shown as leave the box in sight, and that there
// are more is marked.
func TestALongListOfPeopleLeavesTheBox(t *testing.T) {
	f := New([]Field{{Item: By, Label: "your name", Manner: Text}})
	for range mostPeople {
		f.people = append(f.people, logbook.Person{Name: strings.Repeat("Ona Brill ", 6)})
	}
	lines := strings.Split(f.View(shell.NewStyle("plain"), 60, 7), "\n")
	if len(lines) > 7 || !strings.Contains(lines[len(lines)-1], "█") || !strings.HasSuffix(strings.TrimSpace(lines[len(lines)-2]), "…") {
		t.Errorf("%d lines:\n%s", len(lines), strings.Join(lines, "\n"))
	}
}

// What is given already is kept by Enter: the offer beside it is not.
func TestTheOfferIsNotMarkedWhereAnAnswerStands(t *testing.T) {
	f := New([]Field{{Item: "a", Label: "a", Manner: Choice, Options: []string{"no", "yes"}, Offer: "no"}, {Item: "b", Label: "b", Manner: Text, Offer: "old"}, {Item: "c", Label: "c", Manner: Text}})
	see := func() string { return f.View(shell.NewStyle("plain"), 60, 20) }
	press := func(keys ...tea.KeyMsg) {
		for _, k := range keys {
			f, _ = f.Update(k)
		}
	}
	if !strings.Contains(see(), "no   (Enter)") {
		t.Fatal(see())
	}
	press(tea.KeyMsg{Type: tea.KeyRunes, Runes: []rune("2")})
	if !strings.Contains(see(), "Enter: old") {
		t.Fatal(see())
	}
	press(tea.KeyMsg{Type: tea.KeyRunes, Runes: []rune("new")}, tea.KeyMsg{Type: tea.KeyEnter})
	f = f.Back()
	if s := see(); strings.Contains(s, "Enter: old") || !strings.Contains(s, "now: new   Enter keeps it") {
		t.Errorf("an offer beside what was given:\n%s", s)
	}
	f = f.Back()
	if s := see(); strings.Contains(s, "(Enter)") || !strings.Contains(s, "now: yes   Enter keeps it") {
		t.Errorf("an offer beside what was given:\n%s", s)
	}
}
