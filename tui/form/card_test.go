package form

import (
	"strings"
	"testing"

	tea "github.com/charmbracelet/bubbletea"

	"coolhold/logbook"
	"coolhold/tui/shell"
)

// eyes is a card of two lines, and a field after it.
func eyes() Form {
	card := Card("eyes", "eyes", Line{Field: Of("melt"), Well: "none"}, Line{Field: Of("marks"), Well: "inplace"})
	return New([]Field{card, {Item: "then", Label: "then", Manner: Text}})
}

func strike(f Form, keys string) Form {
	for _, r := range keys {
		m := tea.KeyMsg{Type: tea.KeyRunes, Runes: []rune{r}}
		if r == '\r' {
			m = tea.KeyMsg{Type: tea.KeyEnter}
		}
		f, _ = f.Update(m)
	}
	return f
}

func (f Form) seen() string { return f.View(shell.NewStyle("plain"), 80, 20) }

// Enter alone answers nothing of a card: 0 does, for all that is not marked, and that is
// stored as any answer that was typed.
func TestZeroSaysThatAllIsAsItShouldBe(t *testing.T) {
	f := strike(eyes(), "\r")
	if len(f.Given) > 0 || !strings.Contains(f.Fault, "0 says that it is so") {
		t.Fatalf("Enter gave %v: %q", f.Given, f.Fault)
	}
	if f = strike(eyes(), "0"); f.Given.V("melt") != "none" || f.Given.V("marks") != "inplace" || f.Given["marks"].How != logbook.Typed {
		t.Errorf("0 gave %v", f.Given)
	}
	if now, _ := f.Field(); now.Item != "then" {
		t.Errorf("asked next: %q", now.Item)
	}
}

// A line belongs to the card by what was given before it, and is asked so too.
func TestALineIsAskedByWhatWasGivenBefore(t *testing.T) {
	unless := func(a Answers) bool { return a.V("when") != "hot" }
	card := Card("eyes", "eyes", Line{Field: Of("melt"), Well: "none"}.Unless(unless), Line{Field: Of("marks"), Well: "inplace"})
	f := New([]Field{{Item: "when", Label: "when", Manner: Choice, Options: []string{"hot", "cold"}}, card, {Item: "then", Label: "then", Manner: Text}})
	hot := strike(f, "11")
	if s := hot.seen(); !strings.Contains(s, "▸ melt") {
		t.Fatalf("asked:\n%s", s)
	}
	if hot = strike(hot, "20"); hot.Given.V("melt") != logbook.MeltOutside || hot.Given.V("marks") != "inplace" {
		t.Errorf("given %v", hot.Given)
	}
	if cold := strike(f, "20"); cold.Given.V("melt") != "" || cold.Given.V("marks") != "inplace" {
		t.Errorf("given %v", cold.Given)
	}
}

// A digit marks a line by its own question, and 0 leaves it so; none but that line is
// answered by it.
func TestADigitMarksALine(t *testing.T) {
	f := strike(eyes(), "2")
	if s := f.seen(); !strings.Contains(s, "▸ insertion marks") || strings.Contains(s, "▸ eyes") {
		t.Fatalf("asked:\n%s", s)
	}
	if f = strike(f, "2"); f.Given.V("marks") != logbook.MarksMoved || f.Given.V("melt") != "" {
		t.Fatalf("given %v", f.Given)
	}
	if s := f.seen(); !strings.Contains(s, "marks                     moved") && !strings.Contains(s, "moved") || !strings.Contains(s, "0  the rest as it should be") {
		t.Errorf("drawn:\n%s", s)
	}
	if f = strike(f, "0"); f.Given.V("marks") != logbook.MarksMoved || f.Given.V("melt") != "none" {
		t.Errorf("after 0: %v", f.Given)
	}
	if f = f.Back(); !strings.Contains(f.seen(), "now: insertion marks: moved   Enter keeps it") {
		t.Errorf("back:\n%s", f.seen())
	}
	if f = strike(f, "\r"); f.Given.V("marks") != logbook.MarksMoved {
		t.Errorf("Enter kept %v", f.Given)
	}
}

// One back from the question of a line is the card, with what was marked before.
func TestBackFromALineIsTheCard(t *testing.T) {
	f := strike(eyes(), "221")
	if f.AtFirst() {
		t.Error("nothing is before the question of a line")
	}
	if f = f.Back(); !f.AtFirst() || f.Given.V("marks") != logbook.MarksMoved || !strings.Contains(f.seen(), "▸ eyes") {
		t.Errorf("back at %v:\n%s", f.Given, f.seen())
	}
}

// A line that says enough answers the card alone, and one that does not belong is not
// answered with it.
func TestALineThatSaysEnough(t *testing.T) {
	moved := func(a Answers) bool { return a.V("marks") == logbook.MarksMoved }
	card := Card("eyes", "eyes", Line{Field: Of("marks"), Well: "inplace"}, Line{Field: Of("melt"), Well: "none"}.Unless(moved))
	card.Enough = moved
	f := strike(New([]Field{card}), "12")
	if _, melt := f.Given["melt"]; !f.Done() || melt {
		t.Errorf("done %v, given %v", f.Done(), f.Given)
	}
}
