package form

import (
	"maps"
	"strings"

	"github.com/charmbracelet/bubbletea"

	"coolhold/logbook"
	"coolhold/tui/shell"
	"coolhold/tui/widget"
)

// A Line is one observation on a card.
type Line struct {
	Field
	Well string // the answer that says it is as it should be
}

// Card asks for several observations at once. 0 says of all that is not marked that it
// is as it should be; a digit marks a line. Enter alone answers nothing: an observation
// has no default.
func Card(item, label string, lines ...Line) Field {
	return Field{Item: item, Label: label, Manner: Lines, Lines: lines}
}

// Unless is the line where it does not always belong to the card.
func (l Line) Unless(skip func(Answers) bool) Line {
	l.Skip = skip
	return l
}

// open are the lines that belong to the card by what was given.
func (f Form) open(field Field) []Line {
	var lines []Line
	for _, l := range field.Lines {
		if l.Skip == nil || !l.Skip(f.Given) {
			lines = append(lines, l)
		}
	}
	return lines
}

// onCard takes a key on a card, or on the question of one of its lines.
func (f Form) onCard(field Field, m tea.KeyMsg) (Form, Event) {
	if f.line != nil {
		return f.marks(field, m)
	}
	lines := f.open(field)
	switch d := shell.Digit(m); {
	case d == 0:
		return f.well(field, lines)
	case d >= 1 && d <= len(lines):
		asked := lines[d-1].Field
		asked.Skip = nil // that it is asked was decided by what was given before
		line := New([]Field{asked})
		f.line, f.Fault = &line, ""
	case shell.Is(m, shell.Enter) && f.hasGiven(field):
		return f.take(field, f.Given[field.Item])
	case shell.Is(m, shell.Enter):
		f.Fault = "0 says that it is so; a digit marks what is not"
	}
	return f, Nothing
}

// marks takes the answer to one line; the card is there again, unless that answers it.
func (f Form) marks(field Field, m tea.KeyMsg) (Form, Event) {
	line, event := f.line.Update(m)
	f.line = &line
	if event != Complete {
		return f, Nothing
	}
	given := maps.Clone(f.Given)
	maps.Copy(given, line.Given)
	f.Given, f.line = given, nil
	if field.Enough != nil && field.Enough(given) {
		return f.take(field, f.summary(field))
	}
	return f, Nothing
}

// well gives every line without a mark the answer that it is as it should be.
func (f Form) well(field Field, lines []Line) (Form, Event) {
	given := maps.Clone(f.Given)
	for _, l := range lines {
		if _, marked := given[l.Item]; !marked {
			given[l.Item] = logbook.Answer{Item: l.Item, V: l.Well, How: logbook.Typed}
		}
	}
	f.Given = given
	return f.take(field, f.summary(field))
}

// summary is the card as one answer: what is not as it should be.
func (f Form) summary(field Field) logbook.Answer {
	var not []string
	for _, l := range f.open(field) {
		if v := f.Given.V(l.Item); v != "" && v != l.Well {
			not = append(not, l.Label+": "+l.words(v))
		}
	}
	says := "as it should be"
	if len(not) > 0 {
		says = strings.Join(not, "; ")
	}
	return logbook.Answer{Item: field.Item, V: says, How: logbook.Typed}
}

// card draws the lines of a card.
func (f Form) card(field Field, st *shell.Style, width int) []string {
	var lines []string
	open, label, marked := f.open(field), 0, false
	for _, l := range open {
		label = max(label, widget.Width(logbook.Clean(l.Label)))
	}
	for i, l := range open {
		v, given := f.Given[l.Item]
		text := widget.Pad(logbook.Clean(l.Label), min(label, width/2)) + "  "
		if given {
			text += shown(l.Field, v)
		} else {
			text += "should be: " + l.words(l.Well)
		}
		line := widget.Cut("    "+string(rune('1'+i))+"  "+text, width)
		switch {
		case given && v.V != l.Well:
			line, marked = st.Warn(line), true
		case !given:
			line = st.Dim(line)
		}
		lines = append(lines, line)
	}
	all := "    0  all as it should be"
	if marked {
		all = "    0  the rest as it should be"
	}
	return append(lines, st.Bold(all))
}
