package form

import (
	"cmp"
	"strconv"
	"strings"

	"github.com/charmbracelet/bubbletea"

	"coolhold/logbook"
	"coolhold/tui/shell"
	"coolhold/tui/widget"
)

// MostUsual are as many as have a digit.
const MostUsual = 9

// Reason asks why, with the reasons that are usually given. A digit and Enter give one
// of them, as a digit and Enter give a name: one's own words may begin with a digit. None
// is marked, and Enter alone takes none.
func Reason(item, label string, usual []string) Field {
	return Field{Item: item, Label: label, Manner: Text, Usual: usual[:min(len(usual), MostUsual)]}
}

// usualBy is the one that a text chooses, "" where it is one's own words.
func (f Field) usualBy(text string) string {
	n, err := strconv.Atoi(text)
	if err != nil || len(text) != 1 || n < 1 || n > len(f.Usual) {
		return ""
	}
	return f.Usual[n-1]
}

// listsUsual tells whether the usual ones are shown: until one's own words are begun.
func (f Form) listsUsual(field Field) bool {
	text := strings.TrimSpace(f.input.Value())
	return len(field.Usual) > 0 && (text == "" || field.usualBy(text) != "")
}

// lines are the usual ones as a choice, with the one that is marked.
func (f Form) lines(field Field) (list widget.List, marked string) {
	field.Options, field.Offer, field.Says = field.Usual, "", nil
	return optionList(field), cmp.Or(field.usualBy(strings.TrimSpace(f.input.Value())), f.cursor)
}

// usual takes one of the usual ones. What is no answer to the list is text.
func (f Form) usual(field Field, m tea.KeyMsg) (Form, Event, bool) {
	list, marked := f.lines(field)
	switch {
	case shell.Is(m, shell.Up, shell.Down) && f.Empty():
		f.cursor = list.Turn(f.cursor, shell.Steps(m, 1))
	case shell.Is(m, shell.Enter) && marked != "":
		more, event := f.give(field, marked, logbook.Typed)
		return more, event, true
	case shell.Is(m, shell.Enter) && f.Empty() && !f.hasGiven(field):
		f.Fault = "press a digit and Enter, or type it: nothing is taken for granted here"
	default:
		f.cursor = ""
		return f, Nothing, false
	}
	return f, Nothing, true
}

// InText tells whether the cursor stands in something typed, where ← moves it.
func (f Form) InText() bool {
	field, ok := f.Field()
	return ok && (field.Manner == Text || field.Manner == Number || f.inFigure(field)) && !f.Empty()
}

// Rightward tells whether → is an answer to the present field, or moves in its text.
func (f Form) Rightward() bool {
	field, ok := f.Field()
	switch {
	case !ok:
		return false
	case f.InText(): // at its end too: who types must not be led away by one key too many
		return true
	}
	return field.Manner == Number && field.Other != nil && field.Other.How == logbook.Offered
}
