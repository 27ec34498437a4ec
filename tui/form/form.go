// Package form asks one field after another and keeps what was given and how
// it came. A form is a list of fields: what they are about is nothing to it.
package form

import (
	"cmp"
	"fmt"
	"maps"
	"slices"
	"strconv"
	"strings"
	"unicode/utf8"

	"github.com/charmbracelet/bubbles/cursor"
	"github.com/charmbracelet/bubbles/key"
	"github.com/charmbracelet/bubbles/textinput"
	"github.com/charmbracelet/bubbletea"

	"coolhold/fusion"
	"coolhold/logbook"
	"coolhold/tui/shell"
	"coolhold/tui/widget"
)

// A Manner says how a field is answered.
type Manner int

// The kinds of fields.
const (
	Choice Manner = iota // a digit, or arrows and Enter
	Number               // digits, point or comma, Enter
	Text                 // anything, Enter
	Lines                // several observations at once, see Card
)

// A Field is one question. A field without an Offer is answered only by giving
// something: Enter alone answers nothing. So an observation never has one.
type Field struct {
	Item    string // as stored
	Label   string
	Hint    string
	Say     func(Answers) string // a hint by the answers before, in place of Hint
	Manner  Manner
	Options []string            // as stored
	Says    func(string) string // an answer in words; nil: as it stands
	Offer   string              // of a circumstance: the last answer, taken by Enter
	Blank   bool                // may be left empty by Enter
	Scan    bool                // a scanner's burst is an answer
	Check   func(string) (string, error)
	Skip    func(Answers) bool
	Other   *Other                                // what a key says in place of a figure
	Keep    bool                                  // a figure that is refused stays in the box too, to be mended there
	Usual   []string                              // of a text: what is often said, each chosen by a digit; one's own words come last
	Person  bool                                  // it asks for a person, whom a digit chooses
	Doubt   func(Answers, string) (beside string) // why a value is asked for twice; "" or nil: it is not
	Lines   []Line                                // of a card
	Enough  func(Answers) bool                    // tells whether one line answers the card; nil: none does
	Alone   bool                                  // of a choice: a digit answers only where it comes alone, as what follows cannot be taken back
	Figures *Figures                              // of a choice: its lines are figures, each chosen by being typed; nil: they are not
}

// An Other is what an arrow says where a figure is asked: → that it is still as it was
// shown, ↓ that none is shown. That is no digit and no Enter, so that no figure is
// mistaken for it. The space bar says it too.
type Other struct {
	Says string
	V    string
	How  logbook.How // "": typed
}

// key is the arrow that says it; the space bar where that arrow leads elsewhere.
func (o Other) key(elsewhere bool) key.Binding {
	switch {
	case o.How == logbook.Offered && elsewhere:
		return shell.On("Space", "still as shown")
	case o.How == logbook.Offered:
		return shell.On("→", "still as shown")
	}
	return shell.On("↓", o.Says)
}

// words are an answer as it is shown.
func (f Field) words(v string) string {
	if f.Says != nil {
		v = f.Says(v)
	}
	return logbook.Clean(v)
}

// Answers are the answers so far, by item.
type Answers map[string]logbook.Answer

// V is the value given for an item.
func (a Answers) V(item string) string { return a[item].V }

// Int is the value of an item as a whole number, nil where it is none.
func (a Answers) Int(item string) *int {
	n, err := strconv.Atoi(a[item].V)
	if err != nil {
		return nil
	}
	return &n
}

// Float is the value of an item as a decimal, nil where it is none.
func (a Answers) Float(item string) *float64 {
	f, err := strconv.ParseFloat(a[item].V, 64)
	if err != nil {
		return nil
	}
	return &f
}

// A Form is the fields with what was given. The zero At is the first field.
type Form struct {
	Fields  []Field
	Given   Answers
	at      int
	cursor  string          // the option chosen so far, or ""
	input   textinput.Model // of a typed field
	touched bool
	doubted string // typed once, and asked for again
	refused bool   // what is typed was not taken: a key that moves in it puts it right, a letter begins anew
	Fault   string
	stands  Answers // what was answered before the form was opened
	people  []logbook.Person
	line    *Form // the question of one line of a card, while it is asked
	yields  bool  // → leads to what has ended
}

// New is a form at its first field.
func New(fields []Field) Form {
	f := Form{Fields: fields, Given: Answers{}, at: -1}
	return f.advance()
}

// Again is a form whose answers stand and may be changed. Enter keeps what stands.
func Again(fields []Field, stands Answers) Form {
	f := Form{Fields: fields, Given: stands, stands: stands, at: -1}
	return f.advance()
}

// AtLast is the form at its last field.
func (f Form) AtLast() Form {
	for f.at = len(f.Fields) - 1; f.at > 0; f.at-- {
		if skip := f.Fields[f.at].Skip; skip == nil || !skip(f.Given) {
			break
		}
	}
	f.at--
	return f.advance()
}

// Kept tells whether a form that was opened again ended with nothing changed.
func (f Form) Kept() bool {
	return f.stands != nil && f.Done() && maps.Equal(values(f.Given), values(f.stands))
}

func values(a Answers) map[string]string {
	vs := map[string]string{}
	for item, given := range a {
		vs[item] = given.V
	}
	return vs
}

// An Event is what an update of a form came to.
type Event int

// The events.
const (
	Nothing  Event = iota
	Answered       // the field before the present one was answered
	Complete       // and it was the last
)

// Done tells whether every field is answered.
func (f Form) Done() bool { return f.at >= len(f.Fields) }

// Field is the present field.
func (f Form) Field() (Field, bool) {
	if f.Done() {
		return Field{}, false
	}
	return f.Fields[f.at], true
}

// Last is the answer given last.
func (f Form) Last() logbook.Answer {
	for i := min(f.at, len(f.Fields)) - 1; i >= 0; i-- {
		if a, ok := f.Given[f.Fields[i].Item]; ok {
			return a
		}
	}
	return logbook.Answer{}
}

// Yielding is the form while → leads to what has ended, and answers nothing here.
func (f Form) Yielding(is bool) Form {
	f.yields = is
	return f
}

// Empty tells whether nothing is typed into the present field.
func (f Form) Empty() bool { return f.input.Value() == "" }

func (f Form) advance() Form {
	f.input, f.Fault, f.touched, f.doubted, f.line, f.refused = newInput(), "", false, "", nil, false
	for f.at++; f.at < len(f.Fields); f.at++ {
		if skip := f.Fields[f.at].Skip; skip == nil || !skip(f.Given) {
			break
		}
	}
	f.cursor = ""
	if field, ok := f.Field(); ok && slices.Contains(field.Options, field.Offer) {
		f.cursor = field.Offer
	}
	return f
}

// Back goes to the field before the present one, if there is one.
func (f Form) Back() Form {
	if f.line != nil {
		f.line = nil
		return f
	}
	for at := f.at - 1; at >= 0; at-- {
		if skip := f.Fields[at].Skip; skip == nil || !skip(f.Given) {
			f.at = at - 1
			return f.advance()
		}
	}
	return f
}

// Anew asks for an item once more, as if it had never been given.
func (f Form) Anew(item string) Form {
	f.Given = maps.Clone(f.Given)
	delete(f.Given, item)
	f.at = slices.IndexFunc(f.Fields, func(g Field) bool { return g.Item == item }) - 1
	return f.advance()
}

// AtFirst tells whether there is no field before the present one.
func (f Form) AtFirst() bool { return f.line == nil && f.Back().at == f.at }

// Update takes a key or a scan.
func (f Form) Update(msg tea.Msg) (Form, Event) {
	field, ok := f.Field()
	if !ok {
		return f, Nothing
	}
	switch m := msg.(type) {
	case shell.Scan:
		if field.Manner == Lines {
			return f, Nothing
		}
		return f.give(field, strings.TrimSpace(m.Text), logbook.Scanned)
	case tea.KeyMsg:
		switch field.Manner {
		case Choice:
			return f.choose(field, m)
		case Lines:
			return f.onCard(field, m)
		}
		return f.typed(field, m)
	}
	return f, Nothing
}

func (f Form) choose(field Field, m tea.KeyMsg) (Form, Event) {
	if field.Figures != nil {
		more, event, took := f.figured(field, m)
		if f = more; took {
			return f, event
		}
	}
	switch {
	case shell.Is(m, shell.Up, shell.Down):
		f.touched = true
		f.cursor = optionList(field).Turn(f.cursor, shell.Steps(m, 1))
	case shell.Is(m, shell.Enter):
		if given, ok := f.Given[field.Item]; ok && !f.touched {
			return f.take(field, given)
		}
		if f.cursor == "" {
			f.Fault = "press a digit"
			return f, Nothing
		}
		how := logbook.Typed
		if !f.touched && f.cursor == field.Offer {
			how = logbook.Offered
		}
		return f.give(field, f.cursor, how)
	case f.places(field, m):
		return f.give(field, field.Options[shell.Digit(m)-1], logbook.Typed)
	}
	return f, Nothing
}

// optionList is the choices of a field, with the digits that choose them. None is
// chosen by itself.
func optionList(field Field) widget.List {
	var rows []widget.Row
	for i, option := range field.Options {
		rows = append(rows, widget.Row{Key: option, Text: func() string { return optionLine(field.digitOf(i), field.words(option), option == field.Offer) }})
	}
	return widget.List{Rows: rows, Free: true, Indent: " "}
}

func (f Form) typed(field Field, m tea.KeyMsg) (Form, Event) {
	if f.listsUsual(field) && !f.refused {
		more, event, took := f.usual(field, m)
		if f = more; took {
			return f, event
		}
	}
	if shell.Is(m, shell.Enter) {
		return f.enter(field)
	}
	if field.Manner == Number {
		switch text := string(m.Runes); {
		case field.Other != nil && f.Empty() && (m.Type == tea.KeySpace || text == " " || shell.Is(m, field.Other.key(false))):
			return f.take(field, logbook.Answer{Item: field.Item, V: field.Other.V, How: cmp.Or(field.Other.How, logbook.Typed)})
		case !f.Empty() && strings.TrimSpace(text) == "" && text != "": // it stays in sight: 40 63 must not become 4063
		case m.Type == tea.KeyRunes && strings.Trim(text, "0123456789.,-") != "":
			f.Fault = fmt.Sprintf("%q is no digit: it was not taken", text)
			return f, Nothing
		}
	}
	if f.refused && (m.Type == tea.KeyRunes || m.Type == tea.KeySpace) {
		f.input.Reset()
	}
	f.refused = false
	before := f.input.Value()
	f.input, _ = f.input.Update(m)
	f.Fault = tooLong(before, f.input.Value(), m)
	return f, Nothing
}

// tooLong says that not all of a text was taken, for want of room.
func tooLong(before, now string, m tea.KeyMsg) string {
	typed := (m.Type == tea.KeyRunes || m.Type == tea.KeySpace) && !m.Alt
	if typed && utf8.RuneCountInString(now) == longest && utf8.RuneCountInString(before)+len(m.Runes) > longest {
		return fmt.Sprintf("%d characters are the most: the end of it was not taken", longest)
	}
	return ""
}

const longest = 200 // runes of a typed text

func newInput() textinput.Model {
	in := textinput.New()
	in.CharLimit = longest
	in.Cursor.SetMode(cursor.CursorStatic) // nothing blinks here
	in.Focus()
	return in
}

func (f Form) enter(field Field) (Form, Event) {
	text := strings.TrimSpace(f.input.Value())
	switch {
	case text != "" && field.asksWho():
		name, gone := f.who(text)
		if gone != "" {
			f.input.SetValue(name)
			f.Fault = "taken out of the name, since nobody sees it: " + gone + "; Enter takes what is left"
			return f, Nothing
		}
		return f.give(field, name, logbook.Typed)
	case text != "":
		return f.give(field, text, logbook.Typed)
	case f.hasGiven(field):
		return f.take(field, f.Given[field.Item])
	case field.Offer != "":
		return f.give(field, field.Offer, logbook.Offered)
	case field.Blank:
		return f.give(field, "", logbook.Typed)
	}
	f.Fault = "type it first: nothing is taken for granted here"
	return f, Nothing
}

// gave is how many answers were given by hand or scanner since the form was opened.
func (f Form) gave() (n int) {
	for item, a := range f.Given {
		if a.How != logbook.Offered && a.V != "" && a.V != f.stands.V(item) {
			n++
		}
	}
	return n
}

func (f Form) hasGiven(field Field) bool { _, ok := f.Given[field.Item]; return ok }

func (f Form) give(field Field, v string, how logbook.How) (Form, Event) {
	if field.Manner == Number {
		if len(strings.Fields(v)) > 1 {
			f.input.Reset()
			f.Fault = fmt.Sprintf("one figure is asked here, %q are several: it was not taken", v)
			return f, Nothing
		}
		v = strings.ReplaceAll(v, ",", ".")
	}
	if field.Check != nil {
		checked, err := field.Check(v)
		if err != nil {
			f.Fault = err.Error()
			if field.Manner != Text && !field.Keep || how != logbook.Typed {
				f.input.Reset()
				return f, Nothing
			}
			f.refused = true
			f.Fault += "; type it anew, or put it right with ← and Backspace"
			return f, Nothing
		}
		v = checked
	}
	if field.Doubt != nil && v != f.doubted {
		if beside := field.Doubt(f.Given, v); beside != "" {
			f.Fault, f.doubted = beside+": read it again; the same digits once more if it is so", v
			f.input.Reset()
			return f, Nothing
		}
	}
	return f.take(field, logbook.Answer{Item: field.Item, V: v, How: how})
}

// take keeps an answer and goes on.
func (f Form) take(field Field, a logbook.Answer) (Form, Event) {
	given := maps.Clone(f.Given)
	given[field.Item] = a
	f.Given = given
	f = f.advance()
	if f.Done() {
		return f, Complete
	}
	return f, Answered
}

// Takes says what the present field does with a scan.
func (f Form) Takes() shell.Taking {
	field, ok := f.Field()
	switch {
	case ok && f.inFigure(field):
		return shell.FigureField
	case ok && field.Figures != nil:
		return shell.FigureList
	case ok && field.Alone:
		return shell.OneKey
	case !ok || field.Manner == Lines || field.Manner == Choice && !field.Scan:
		return shell.NoScan
	case field.Manner == Choice:
		return shell.ScanField
	case field.Scan:
		return shell.ScanText
	case field.Manner == Number:
		return shell.FigureField
	}
	return shell.TextField
}

// Whole checks for a whole number from low to high.
func Whole(low, high int, unit string) func(string) (string, error) {
	return func(s string) (string, error) {
		n, err := strconv.Atoi(s)
		if err != nil || n < low || n > high {
			return "", fmt.Errorf("%q is no whole number from %d to %d%s", s, low, high, logbook.Spaced(unit))
		}
		return strconv.Itoa(n), nil
	}
}

// Within checks for a figure in its bounds of sense.
func Within(in fusion.Bounds) func(string) (string, error) {
	return func(s string) (string, error) {
		if s == "" {
			return "", nil
		}
		x, err := strconv.ParseFloat(s, 64)
		if err != nil || !in.Holds(x) {
			return "", fmt.Errorf("%q is outside %s", s, in)
		}
		return fusion.Figure(x), nil
	}
}
