package handover

import (
	"fmt"
	"io"
	"strings"

	"coolhold/logbook"
)

// Lines are a leaf as lines, for a terminal. What begins a part stands at the margin.
func (l Leaf) Lines() (lines []string) {
	add := func(indent, text string) {
		if text != "" {
			lines = append(lines, indent+logbook.Clean(text))
		}
	}
	add("", l.Kind)
	add("", l.Title)
	for _, u := range l.Under {
		add("", u)
	}
	for _, p := range l.Parts {
		lines = append(lines, "")
		add("", strings.ToUpper(p.Title))
		for _, text := range p.Loud {
			add("  ", text)
		}
		for _, c := range p.Columns {
			add("  ", c.Title)
			for _, text := range c.Lines {
				add("    ", text)
			}
		}
		for _, row := range p.Rows {
			for i, says := range row.Says {
				name := row.Name + ": "
				if i > 0 {
					name = "  "
				}
				add("  ", name+says)
			}
		}
		if p.Table != nil {
			for _, row := range p.Table.Rows {
				add("  ", row[0])
				for i, cell := range row[1:] {
					add("    ", p.Table.Heads[i+1]+": "+cell)
				}
			}
		}
		for _, text := range p.Lines {
			add("  ", text)
		}
	}
	lines = append(lines, "")
	for _, f := range l.Foot {
		add("", f)
	}
	return lines
}

// WriteText writes it as plain text.
func (l Leaf) WriteText(w io.Writer) error {
	_, err := fmt.Fprintln(w, strings.Join(l.Lines(), "\n"))
	return err
}

// Says are all sentences of a leaf: what each form of it must hold.
func (l Leaf) Says() (says []string) {
	say := func(texts ...string) { says = append(says, texts...) }
	say(l.Kind, l.Title)
	say(l.Under...)
	for _, p := range l.Parts {
		say(p.Loud...)
		for _, c := range p.Columns {
			say(c.Title)
			say(c.Lines...)
		}
		for _, row := range p.Rows {
			say(row.Name)
			say(row.Says...)
		}
		if p.Table != nil {
			for _, row := range p.Table.Rows {
				say(row...)
			}
		}
		say(p.Lines...)
	}
	say(l.Foot...)
	return says
}
