package form

import (
	"slices"

	"github.com/charmbracelet/bubbletea"

	"coolhold/logbook"
	"coolhold/tui/shell"
)

// ownWords is the last line of the usual ones.
const ownWords = "in your own words: type it"

// Reason asks why, with the reasons that are usually given. None of them is marked, and
// Enter alone takes none.
func Reason(item, label string, usual []string) Field {
	return Field{Item: item, Label: label, Manner: Text, Usual: usual}
}

// offersUsual tells whether digits choose what is often said: until a word of one's own
// is begun.
func (f Form) offersUsual(field Field) bool {
	return len(field.Usual) > 0 && f.Empty() && !f.own
}

// lines are the usual ones as a choice.
func (f Field) lines() Field {
	f.Options, f.Offer, f.Says = append(slices.Clone(f.Usual[:min(len(f.Usual), 8)]), ownWords), "", nil
	return f
}

// usual takes one of the usual ones, or goes on to words of one's own. What is no answer
// to the list is text.
func (f Form) usual(field Field, m tea.KeyMsg) (Form, Event, bool) {
	lines := field.lines()
	chosen := ""
	switch n := shell.Digit(m); {
	case n >= 1 && n <= len(lines.Options):
		chosen = lines.Options[n-1]
	case n >= 0:
		f.Fault = "press one of these digits, or begin with a letter"
		return f, Nothing, true
	case shell.Is(m, shell.Up, shell.Down):
		f.cursor = optionList(lines).Turn(f.cursor, shell.Steps(m, 1))
		return f, Nothing, true
	case shell.Is(m, shell.Enter) && f.cursor != "":
		chosen = f.cursor
	case shell.Is(m, shell.Enter) && !f.hasGiven(field):
		f.Fault = "press a digit: nothing is taken for granted here"
		return f, Nothing, true
	default:
		return f, Nothing, false
	}
	if f.Fault = ""; chosen == ownWords {
		f.own, f.cursor = true, ""
		return f, Nothing, true
	}
	more, event := f.give(field, chosen, logbook.Typed)
	return more, event, true
}

// InText tells whether the cursor stands in something typed, where ← moves it.
func (f Form) InText() bool {
	field, ok := f.Field()
	return ok && (field.Manner == Text || field.Manner == Number) && !f.Empty()
}

// Rightward tells whether → is an answer to the present field, or moves in its text.
func (f Form) Rightward() bool {
	field, ok := f.Field()
	switch {
	case !ok:
		return false
	case f.InText():
		return f.input.Position() < len([]rune(f.input.Value()))
	}
	return field.Manner == Number && field.Other != nil && field.Other.How == logbook.Offered
}
