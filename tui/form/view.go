package form

import (
	"cmp"
	"io"
	"strings"

	"github.com/charmbracelet/lipgloss"
	"github.com/muesli/termenv"

	"coolhold/logbook"
	"coolhold/tui/shell"
	"coolhold/tui/widget"
)

// View draws the form in width by height: what was given, the present field
// in full, what is still to come.
func (f Form) View(st *shell.Style, width, height int) string {
	label := f.labelWidth(width)
	now := f.present(st, width, height)
	var before, after []string
	for i, field := range f.Fields {
		if a, ok := f.Given[field.Item]; ok && i < f.at {
			before = append(before, st.Dim(widget.Cut("  "+widget.Pad(logbook.Clean(field.Label), label)+"  "+shown(field, a), width)))
		}
		if i > f.at && (field.Skip == nil || !field.Skip(f.Given)) {
			after = append(after, st.Dim(widget.Cut("  "+logbook.Clean(field.Label), width)))
		}
	}
	if st.Spoken {
		after = nil // one question at a time
	}
	room := height - len(now)
	if keep := max(0, room-min(len(after), 2)); len(before) > keep {
		before = before[len(before)-keep:]
	}
	if keep := max(0, room-len(before)); len(after) > keep {
		after = after[:keep]
	}
	return strings.Join(append(append(before, now...), after...), "\n")
}

func (f Form) labelWidth(width int) int {
	w := 0
	for _, field := range f.Fields {
		w = max(w, widget.Width(logbook.Clean(field.Label)))
	}
	return min(w, width/2)
}

func shown(field Field, a logbook.Answer) string {
	v := cmp.Or(field.words(a.V), "-")
	if field.Other != nil && a.V == field.Other.V {
		v = logbook.Clean(field.Other.Says)
	}
	switch a.How {
	case logbook.Offered:
		return v + "  (taken by Enter)"
	case logbook.Scanned:
		return v + "  (scanned)"
	}
	return v
}

func (f Form) present(st *shell.Style, width, height int) []string {
	field, ok := f.Field()
	if !ok {
		return nil
	}
	if f.line != nil {
		return f.line.present(st, width, height)
	}
	var lines []string
	lead := "▸ "
	for _, l := range widget.Wrap(logbook.Clean(field.Label), width-2) {
		lines, lead = append(lines, st.Bold(lead+l)), "  "
	}
	hint := field.Hint
	if field.Say != nil {
		hint = field.Say(f.Given)
	}
	if field.Figures != nil {
		hint = strings.TrimSpace(hint + " Type the figure and Enter; a line with a digit by that too.")
	}
	for _, l := range widget.Wrap(logbook.Clean(hint), width-4) {
		if l != "" {
			lines = append(lines, "    "+l)
		}
	}
	faults := f.faults(st, width)
	// Whom the list leaves out is typed; the box must stay in sight.
	room := max(1, height-len(lines)-len(faults)-2)
	for _, l := range widget.CutBelow(widget.Wrap(logbook.Clean(f.listed(field)), width-4), room, width-4) {
		if l != "" {
			lines = append(lines, st.Dim("    "+l))
		}
	}
	if given, ok := f.Given[field.Item]; ok {
		lines = append(lines, widget.Cut("    now: "+shown(field, given)+"   Enter keeps it", width))
	}
	switch {
	case field.Manner == Lines:
		lines = append(lines, f.card(field, st, width)...)
	case f.listsUsual(field):
		list, marked := f.lines(field)
		list.Width, list.Pick, list.Dim = width, st.Pick, st.Dim
		lines = append(lines, list.View(marked, min(max(1, height-len(lines)-len(faults)-1), mostOptions))...)
		lines = append(lines, f.box(field, st, width))
	case field.Manner == Choice:
		if f.inFigure(field) {
			faults = append([]string{widget.Cut(f.typing(st, width)+st.Dim("   Enter gives it"), width)}, faults...)
		}
		lines = append(lines, f.options(field, st, width, height-len(lines)-len(faults))...)
	default:
		lines = append(lines, f.box(field, st, width))
	}
	return append(lines, faults...)
}

func (f Form) faults(st *shell.Style, width int) []string {
	var lines []string
	for _, l := range widget.Wrap(logbook.Clean(f.Fault), width-4) {
		if l != "" {
			lines = append(lines, st.Warn("  ! "+l))
		}
	}
	return lines
}

// mostOptions are the lines that the options take at most: nine have a digit.
const mostOptions = 10

func (f Form) options(field Field, st *shell.Style, width, height int) []string {
	if f.hasGiven(field) {
		field.Offer = "" // Enter keeps what was given
	}
	list := optionList(field)
	list.Width, list.Pick, list.Dim = width, st.Pick, st.Dim
	return list.View(f.cursor, min(height, mostOptions))
}

func optionLine(digit, words string, offered bool) string {
	line := cmp.Or(digit, " ") + "  " + logbook.Clean(words)
	if offered {
		line += "   (Enter)"
	}
	return line
}

// box is what is typed, with the cursor, and while nothing is what Enter gives.
func (f Form) box(field Field, st *shell.Style, width int) string {
	line := f.typing(st, width)
	switch {
	case !f.Empty():
	case field.Other != nil:
		line += st.Dim("   " + field.Other.key(f.yields).Help().Key + " " + logbook.Clean(field.Other.Says))
	case f.hasGiven(field): // Enter keeps it, as is said above
	case field.Offer != "":
		line += st.Dim("   Enter: " + field.words(field.Offer))
	case len(field.Usual) > 0:
		line += st.Dim("   a digit and Enter, or in your own words")
	case field.Blank:
		line += st.Dim("   Enter: leave blank")
	}
	return widget.Cut(line, width)
}

// typing is the part of what is typed round the cursor, with a mark where more of it
// lies to the left or right.
func (f Form) typing(st *shell.Style, width int) string {
	const margin = 4
	in, at := f.input, f.input.Position()
	in.SetValue(logbook.Clean(in.Value())) // rune for rune
	in.Prompt, in.TextStyle = "", bare
	in.Cursor.Style = bare.Transform(st.Cursor)
	in.Width = width - 2*margin
	in.CursorEnd()
	in.SetCursor(max(0, at-2*margin)) // a few runes before it are in sight too
	in.SetCursor(at)
	shown := strings.TrimRight(in.View(), " ")
	if widget.Width(in.Value()) <= in.Width {
		return strings.Repeat(" ", margin) + shown
	}
	left, right := strings.Repeat(" ", margin), ""
	in.Cursor.Style = bare
	seen := strings.TrimRight(in.View(), " ")
	if !strings.HasPrefix(in.Value(), seen) {
		left = "  … "
	}
	if !strings.HasSuffix(strings.TrimRight(in.Value(), " "), seen) {
		right = " …"
	}
	return left + shown + right
}

// bare leaves text as it is: what is styled is styled by the theme.
var bare = func() lipgloss.Style {
	r := lipgloss.NewRenderer(io.Discard)
	r.SetColorProfile(termenv.Ascii)
	return r.NewStyle()
}()
