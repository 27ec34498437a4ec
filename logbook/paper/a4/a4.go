// Package a4 draws the sheet for the van: A4 across, black on white, boxes to
// write in with cold hands.
package a4

import (
	"fmt"
	"io"
	"time"

	"coolhold/logbook/paper"
	"coolhold/logbook/paper/page"
)

// Lengths in mm; all are our choice.
const (
	wide, high = 297.0, 210.0
	margin     = 9.0
	headHigh   = 15.0 // of the page's head
	jointHigh  = 14.0 // of the lines over the boxes of a joint
	boxHigh    = 18.2
	perPage    = 2 // joints
)

// weights are boxes that are wider or narrower than the rest of their row.
var weights = map[string]float64{
	"operator": 1.4, "port": 0.7, "print": 1.2, "fitting": 1.2, "method": 1.1,
	"time_from": 1.7, "outcome": 1.5, "start": 0.9, "end": 0.9, "ohms": 0.9,
	"indicators": 1.7, "remarks": 2.2, "cut_out": 1.3,
}

// A drawing is a sheet while it is drawn.
type drawing struct {
	page.PDF
	s     paper.Sheet
	pages int
}

// Write writes the sheet as a PDF that says it was made at at. The same sheet
// and the same time give the same bytes.
func Write(w io.Writer, s paper.Sheet, at time.Time) error {
	p, err := page.New("L", "Sheet for the van, "+s.Site+", "+s.Day, margin, at)
	if err != nil {
		return fmt.Errorf("the sheet is not made: %w", err)
	}
	d := drawing{p, s, max(1, (len(s.Blocks)+perPage-1)/perPage)}
	for n := range d.pages {
		d.page(n)
	}
	return d.Output(w)
}

func (d drawing) page(n int) {
	d.AddPage()
	d.line(margin, margin, 0, 11, "B", fmt.Sprintf("%s   |   joints to weld, %s", d.s.Site, d.s.Day))
	d.SetXY(wide-margin-40, margin)
	d.SetFont(page.Family, "", 9)
	d.CellFormat(40, 5, fmt.Sprintf("page %d of %d", n+1, d.pages), "", 0, "R", false, 0, "")
	d.line(margin, margin+5, 0, 9, "B", paper.Caution)
	d.line(margin, margin+9.5, 0, 8, "", paper.How)
	y := margin + headHigh
	for i := n * perPage; i < min((n+1)*perPage, len(d.s.Blocks)); i++ {
		d.block(d.s.Blocks[i], y)
		y += jointHigh + float64(len(paper.Boxes()))*boxHigh + 3
	}
}

// line is one line of text; one without a width goes to the margin.
func (d drawing) line(x, y, width, size float64, style, text string) {
	if width == 0 {
		width = wide - margin - x
	}
	d.Line(x, y, width, size, style, text)
}

func (d drawing) block(b paper.Block, y float64) {
	d.line(margin, y, 34, 20, "B", b.Joint)
	d.line(margin+35, y, 0, 9, "B", fmt.Sprintf("planned: %s   |   %s", b.Fitting, b.Place))
	style := ""
	if len(b.Figures) == 0 {
		style = "B"
	}
	d.line(margin+35, y+4.7, 0, 9, style, b.Times())
	d.line(margin+35, y+9.2, 0, 8, "", b.Supply())
	if b.First != "" {
		d.line(margin+35, y+12.2, 0, 8, "B", "FIRST: "+b.First)
		y += 2.5
	}
	y += jointHigh
	for _, row := range paper.Boxes() {
		d.boxes(row, y)
		y += boxHigh
	}
}

func (d drawing) boxes(row []paper.Column, y float64) {
	all := 0.0
	for _, c := range row {
		all += weight(c)
	}
	x := margin
	for _, c := range row {
		w := (wide - 2*margin) * weight(c) / all
		d.Rect(x, y, w, boxHigh, "D")
		d.line(x, y+0.8, w-1, 7.5, "B", c.Name)
		d.SetFont(page.Family, "", 6.3)
		for i, hint := range d.SplitText(c.Hint(), w-2) {
			d.line(x, y+4+float64(i)*2.4, w, 6.3, "", hint)
		}
		x += w
	}
}

func weight(c paper.Column) float64 {
	if w := weights[c.Name]; w > 0 {
		return w
	}
	return 1
}
