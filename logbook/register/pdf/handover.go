package pdf

import (
	"slices"
	"strings"

	"coolhold/logbook/handover"
	"coolhold/logbook/register/account"
)

// handover is what the site is handed over with, as the plumber's leaf has it.
func (d *doc) handover() {
	d.section(false, 80, "Hand-over")
	d.text("", 9, d.told.HandoverSay)
	for _, p := range d.told.Handover {
		d.handed(p)
	}
}

// handed is a part of the leaf as it stands in the file.
func (d *doc) handed(p handover.Part) {
	if p.Name == "call" {
		d.stands("handover-call")
	}
	d.heading(p.Title)
	if p.Table == nil && len(p.Rows)+len(p.Columns) == 0 && p.Title != account.Labels {
		d.keep(9, slices.Concat(p.Loud, p.Lines)...) // no line of a caution is overlooked on the next page
	}
	for i, text := range p.Loud {
		style := ""
		if i == 0 {
			style = "B"
		}
		d.text(style, 9, text)
	}
	for _, c := range p.Columns {
		d.font("B", 9)
		title := d.lines(c.Title, d.width())
		d.settle()
		d.hold(float64(len(title))*lineHigh(9), func() { d.bold(9, title) })
		d.text("", 9, strings.Join(c.Lines, "\n"))
	}
	var pairs []account.Pair
	for _, r := range p.Rows {
		pairs = append(pairs, account.Pair{Name: r.Name, Says: r.Says})
	}
	d.pairs(36, pairs)
	if p.Table != nil {
		widths := []float64{32, 49, 28, 13, 26, 0}
		var cols []column
		for i, head := range p.Table.Heads {
			cols = append(cols, column{head, widths[i]})
		}
		t := d.grid(7, cols...)
		for _, row := range p.Table.Rows {
			t.row(row...)
		}
	}
	if p.Title == account.Labels { // as many as there are ends: beside each other
		d.columns(7, p.Lines)
		return
	}
	for _, line := range p.Lines {
		d.text("", 9, line)
	}
}

// columns lists short lines in two columns, down the first and then the second.
func (d *doc) columns(size float64, lines []string) {
	half := (len(lines) + 1) / 2
	t := d.grid(size, column{"the first half", d.width() / 2}, column{"the second", 0})
	t.plain = true
	for i := range half {
		right := ""
		if half+i < len(lines) {
			right = lines[half+i]
		}
		t.row(lines[i], right)
	}
}
