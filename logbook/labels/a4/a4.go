// Package a4 draws labels to print and cut: A4 upright, black on white, large
// enough to be read down in a pit.
package a4

import (
	"cmp"
	"fmt"
	"io"
	"time"

	"coolhold/logbook"
	"coolhold/logbook/labels"
	"coolhold/logbook/paper/page"
)

// Lengths in mm; all are our choice.
const (
	left, top  = 10.0, 15.0 // of the grid
	wide, high = 95.0, 45.0 // of a label
	columns    = 2
	rows       = 6
	pad        = 4.0
	inner      = wide - 2*pad
)

// A Sheet is what a sheet of labels is made of.
type Sheet struct {
	Site   string
	Labels []labels.Label
	At     time.Time // as of when, local
}

// A drawing is a sheet while it is drawn.
type drawing struct {
	page.PDF
	s     Sheet
	pages int
}

// Write writes the labels as a PDF. The same sheet gives the same bytes.
func Write(w io.Writer, s Sheet) error {
	p, err := page.New("P", "Labels, "+s.Site, left, s.At)
	if err != nil {
		return fmt.Errorf("the labels are not made: %w", err)
	}
	cells := cellsOf(copied(s.Labels))
	d := drawing{p, s, max(1, (len(cells)+columns*rows-1)/(columns*rows))}
	for n := range d.pages {
		d.head(n + 1)
		for i := n * columns * rows; i < min((n+1)*columns*rows, len(cells)); i++ {
			if cells[i] != nil {
				d.label(cells[i].Label, cells[i].end, left+float64(i%columns)*wide, top+float64(i/columns%rows)*high)
			}
		}
	}
	return d.Output(w)
}

// A one is one copy of a label, and for which end of its pipe it is.
type one struct {
	labels.Label
	end string
}

// copied are the labels, one for each end of a header.
func copied(list []labels.Label) (out []one) {
	for _, l := range list {
		if l.Purpose != labels.Header {
			out = append(out, one{l, ""})
			continue
		}
		for _, end := range labels.Ends {
			out = append(out, one{l, end})
		}
	}
	return out
}

// cellsOf sets the two labels of a joint side by side, with an empty place (nil)
// before them where they would stand below each other.
func cellsOf(list []one) []*one {
	var out []*one
	for i := range list {
		pair := i+1 < len(list) && list[i+1].Joint == list[i].Joint
		if pair && len(out)%columns != 0 {
			out = append(out, nil)
		}
		out = append(out, &list[i])
	}
	return out
}

// head begins a page: whose labels these are, and the lines to cut along.
func (d drawing) head(n int) {
	d.AddPage()
	d.Line(left, 7, columns*wide-25, 9, "", fmt.Sprintf("%s   |   labels as of %s, cut along the dashed lines", d.s.Site, d.s.At.Format("2006-01-02 15:04")))
	d.Line(left+columns*wide-22, 7, 22, 9, "", fmt.Sprintf("page %d of %d", n, d.pages))
	d.SetDashPattern([]float64{2, 1.5}, 0)
	for c := range columns + 1 {
		d.Fpdf.Line(left+float64(c)*wide, top, left+float64(c)*wide, top+rows*high)
	}
	for r := range rows + 1 {
		d.Fpdf.Line(left, top+float64(r)*high, left+columns*wide, top+float64(r)*high)
	}
	d.SetDashPattern(nil, 0)
}

func (d drawing) label(l labels.Label, end string, x, y float64) {
	x, y = x+pad, y+3
	switch l.Purpose {
	case labels.Leg:
		d.Line(x, y, inner, 26, "B", l.Title())
		d.Line(x, y+13, inner, 26, "B", l.AtPort())
		tape := ""
		if l.Tape != "" {
			tape = "   " + l.Tape + " tape"
		}
		d.Line(x, y+26, inner, 15, "", l.Bar+" rail"+tape)
		d.Line(x, y+34, inner, 11, "", under(l))
	case labels.Header:
		d.Line(x, y, inner, 28, "B", l.Title())
		d.Block(x, y+13, inner, 11, 11, "", l.Water())
		d.Line(x, y+24, inner, 11, "B", logbook.Joined(", ", "header of chamber "+l.Chamber, l.Pipe))
		d.Line(x, y+29.5, inner, 9, "", logbook.Joined(", ", end, "joint "+l.Joint, l.Site))
		d.Line(x, y+34.5, inner, 10, "", cmp.Or(l.Phone, "call ______________________"))
	default:
		d.Line(x, y, inner, 34, "B", l.Title())
		d.Block(x, y+15.5, inner, 9, 10, "", l.Place())
		for i, f := range l.Pairs() {
			d.field(f, x+float64(i%2)*inner/2, y+25+float64(i/2)*8.5, inner/2-3)
		}
	}
}

// under is the last line of a leg's label.
func under(l labels.Label) string {
	if l.Chamber == "" {
		return "joint " + l.Joint
	}
	return "chamber " + l.Chamber + ", joint " + l.Joint
}

// field is a name with its value, or with a line to write on.
func (d drawing) field(f labels.Pair, x, y, width float64) {
	named := 12.0
	if f.Name == labels.CoolUntil {
		named = 18
	}
	if f.Name != "" {
		d.Line(x, y+2, named, 9, "", f.Name)
		x, width = x+named, width-named
	}
	if f.Value == "" {
		d.Fpdf.Line(x, y+6.5, x+width, y+6.5)
		return
	}
	d.Line(x, y, width, 14, "B", f.Value)
}
