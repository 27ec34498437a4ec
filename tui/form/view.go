package form

import (
	"fmt"
	"strings"

	"coolhold/logbook"
	"coolhold/tui/shell"
	"coolhold/tui/widget"
)

// View draws the form in width by height: what was given, the present field
// in full, what is still to come.
func (f Form) View(st *shell.Style, width, height int) string {
	label := f.labelWidth(width)
	now := f.present(st, width)
	var before, after []string
	for i, field := range f.Fields {
		if a, ok := f.Given[field.Item]; ok && i < f.at {
			before = append(before, st.Dim(widget.Cut("  "+widget.Pad(logbook.Clean(field.Label), label)+"  "+shown(field, a), width)))
		}
		if i > f.at && (field.Skip == nil || !field.Skip(f.Given)) {
			after = append(after, st.Dim(widget.Cut("  "+logbook.Clean(field.Label), width)))
		}
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
	v := field.words(a.V)
	if v == "" {
		v = "-"
	}
	switch a.How {
	case logbook.Offered:
		return v + "  (taken by Enter)"
	case logbook.Scanned:
		return v + "  (scanned)"
	}
	return v
}

func (f Form) present(st *shell.Style, width int) []string {
	field, ok := f.Field()
	if !ok {
		return nil
	}
	lines := []string{st.Bold(widget.Cut("▸ "+logbook.Clean(field.Label), width))}
	hint := field.Hint
	if field.Say != nil {
		hint = field.Say(f.Given)
	}
	for _, l := range widget.Wrap(logbook.Clean(hint), width-4) {
		if l != "" {
			lines = append(lines, "    "+l)
		}
	}
	if field.Kind == Choice {
		lines = append(lines, f.options(field, st, width)...)
	} else {
		lines = append(lines, f.box(field, st, width))
	}
	if f.Fault != "" {
		for _, l := range widget.Wrap(logbook.Clean(f.Fault), width-4) {
			lines = append(lines, st.Warn("  ! "+l))
		}
	}
	return lines
}

// options are the choices; a long list is windowed round the cursor.
func (f Form) options(field Field, st *shell.Style, width int) []string {
	from, to := widget.Window(len(field.Options), max(0, f.cursor), 9)
	var lines []string
	for i := from; i < to; i++ {
		key := " "
		if i < 9 {
			key = fmt.Sprint(i + 1)
		}
		text := field.words(field.Options[i])
		if field.Options[i] == field.Offer {
			text += "   (Enter)"
		}
		line := widget.Cut(fmt.Sprintf("    %s  %s", key, text), width)
		if i == f.cursor {
			line = st.Pick(widget.Cut(fmt.Sprintf("  ▸ %s  %s", key, text), width))
		}
		lines = append(lines, line)
	}
	if to < len(field.Options) {
		lines = append(lines, st.Dim(fmt.Sprintf("       %d more: ↓", len(field.Options)-to)))
	}
	return lines
}

func (f Form) box(field Field, st *shell.Style, width int) string {
	line := "    " + logbook.Clean(f.input.Value()) + "█"
	switch {
	case !f.Empty():
	case field.Offer != "":
		line += st.Dim("   Enter: " + field.words(field.Offer))
	case field.Blank:
		line += st.Dim("   Enter: leave blank")
	}
	return widget.Cut(line, width)
}
