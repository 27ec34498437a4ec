package form

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"github.com/charmbracelet/bubbletea"

	"coolhold/logbook"
	"coolhold/tui/shell"
)

// Figures make a choice one of figures: who reads 39.5 off a display types 39.5, and a
// digit that was taken for the place of a line would choose another figure, the rest of
// what is typed falling into the next question. So a figure that is typed chooses its
// own line, with Enter.
type Figures struct {
	Of     func(option string) string // the figure of a line, "" of one in words
	Else   string                     // the line for a figure that is not listed: the field behind it is given that figure; "": it is refused
	Placed bool                       // a digit that begins none of them chooses by its place too
}

// placed tells whether the digit of a line chooses it: one in words or of several
// figures, a single figure where the list says so.
func (f Field) placed(i int) bool {
	if f.Figures == nil || i >= 9 {
		return i < 9
	}
	digit, n := strconv.Itoa(i+1), len(strings.Fields(f.Figures.Of(f.Options[i])))
	begins := func(option string) bool { return strings.HasPrefix(f.Figures.Of(option), digit) }
	return (f.Figures.Placed || n != 1) && !slices.ContainsFunc(f.Options, begins)
}

// digitOf is the digit that chooses a line, "" where none does.
func (f Field) digitOf(i int) string {
	if !f.placed(i) {
		return ""
	}
	return strconv.Itoa(i + 1)
}

// inFigure tells whether a figure of the list is being typed.
func (f Form) inFigure(field Field) bool { return field.Figures != nil && !f.Empty() }

// figured takes a key as part of a figure; false where it is none.
func (f Form) figured(field Field, m tea.KeyMsg) (Form, Event, bool) {
	text := m.Type == tea.KeyRunes || m.Type == tea.KeySpace
	switch began := f.inFigure(field); {
	case began && shell.Is(m, shell.Enter):
		more, event := f.byFigure(field)
		return more, event, true
	case shell.Is(m, shell.Enter), shell.Is(m, shell.Up, shell.Down):
		f.input.Reset()
		return f, Nothing, false
	case !began && (!text || f.places(field, m) || strings.Trim(string(m.Runes), "0123456789.,") != ""):
		return f, Nothing, false
	case text && strings.Trim(string(m.Runes), "0123456789., ") != "":
		f.Fault = fmt.Sprintf("%q is no digit: it was not taken", string(m.Runes))
		return f, Nothing, true
	}
	f.input, _ = f.input.Update(m)
	f.Fault, f.touched, f.cursor = "", true, f.match(field)
	return f, Nothing, true
}

// places tells whether a key is a digit that chooses a line by its place.
func (f Form) places(field Field, m tea.KeyMsg) bool {
	d := shell.Digit(m)
	return d >= 1 && d <= len(field.Options) && field.placed(d-1)
}

// match is the line whose figure is typed, "" while it is none's.
func (f Form) match(field Field) string {
	typed := figure(f.input.Value())
	i := slices.IndexFunc(field.Options, func(o string) bool { return typed != "" && figure(field.Figures.Of(o)) == typed })
	if i < 0 {
		return ""
	}
	return field.Options[i]
}

// byFigure gives the line whose figure is typed.
func (f Form) byFigure(field Field) (Form, Event) {
	typed := strings.TrimSpace(f.input.Value())
	if option := f.match(field); option != "" {
		return f.give(field, option, logbook.Typed)
	}
	if field.Figures.Else == "" {
		f.input.Reset()
		f.Fault = typed + " is none of these: type one of them and Enter"
		return f, Nothing
	}
	more, event := f.give(field, field.Figures.Else, logbook.Typed)
	if next, asked := more.Field(); asked && event == Answered {
		return more.give(next, typed, logbook.Typed)
	}
	return more, event
}

// figure is a figure, or several, as they are compared: 40.0 is 40.
func figure(s string) string {
	parts := strings.Fields(strings.ReplaceAll(s, ",", "."))
	for i, p := range parts {
		if x, err := strconv.ParseFloat(p, 64); err == nil {
			parts[i] = strconv.FormatFloat(x, 'f', -1, 64)
		}
	}
	return strings.Join(parts, " ")
}
