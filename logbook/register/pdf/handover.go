package pdf

import (
	"cmp"
	"strings"

	"coolhold/logbook/handover"
)

// handover is what the site is handed over with: what the plumber's leaf says, then what
// the file keeps besides. What is not in this log is said to be so.
func (d *doc) handover() {
	h := d.rep.Handover()
	d.chapter(false, "Hand-over")
	d.text("", 9, handover.Caveat)
	for _, p := range h.Leaf().Parts {
		d.handed(p)
	}
	f := h.File()
	for _, part := range []struct {
		title string
		lines []string
	}{
		{"For the file: pressure tests", f.Tests}, {"For the file: flow of each circuit", f.Flows}, {"For the file: purges", f.Purges},
		{"For the file: labels of headers and legs", f.Labels}, {"For the file: photos, certificates and other files, by hash", f.Enclosed}, {"For the file: open items", f.Open},
	} {
		d.heading(part.title, 10)
		d.text("", 9, cmp.Or(strings.Join(part.lines, "\n"), "None in this log."))
	}
}

// handed is a part of the leaf as it stands in the file.
func (d *doc) handed(p handover.Part) {
	d.heading(p.Title, 15)
	for i, text := range p.Loud {
		style := ""
		if i == 0 {
			style = "B"
		}
		d.text(style, 9, text)
	}
	for _, c := range p.Columns {
		d.text("B", 9, c.Title)
		d.text("", 9, strings.Join(c.Lines, "\n"))
	}
	var pairs [][2]string
	for _, r := range p.Rows {
		pairs = append(pairs, [2]string{r.Name, strings.Join(r.Says, "\n")})
	}
	d.pairs(36, pairs)
	if p.Table != nil {
		widths := []float64{28, 32, 30, 16, 36, 0}
		var cols []column
		for i, head := range p.Table.Heads {
			cols = append(cols, column{head, widths[i]})
		}
		t := d.grid(8, cols...)
		for _, row := range p.Table.Rows {
			t.row(row...)
		}
	}
	for _, line := range p.Lines {
		d.text("", 9, line)
	}
}
