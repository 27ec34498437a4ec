// Package page is what every sheet in PDF begins with: A4, fonts from bytes, and
// lines of stored text that are drawn whole or made smaller, never cut.
package page

import (
	"time"

	"codeberg.org/go-pdf/fpdf"
	"golang.org/x/image/font/gofont/gobold"
	"golang.org/x/image/font/gofont/goregular"
)

// Family is the font of a sheet, upright and bold ("B").
const Family = "go"

// smallest is the size in points below which no line is made smaller: it could
// no longer be read. Our choice.
const smallest = 5.0

// A PDF is a PDF while it is drawn. Lengths are in mm, sizes in points.
type PDF struct {
	*fpdf.Fpdf
	glyphs Glyphs
}

// New begins a sheet that says it was made at at: the same drawing and the same
// time give the same bytes. orientation is "P", upright, or "L", lying.
func New(orientation, title string, margin float64, at time.Time) (PDF, error) {
	g, err := NewGlyphs(goregular.TTF)
	if err != nil {
		return PDF{}, err
	}
	s := PDF{fpdf.New(orientation, "mm", "A4", ""), g}
	s.SetCatalogSort(true)
	s.SetCreationDate(at)
	s.SetModificationDate(at)
	s.SetTitle(g.Say(title), true)
	s.AddUTF8FontFromBytes(Family, "", goregular.TTF)
	s.AddUTF8FontFromBytes(Family, "B", gobold.TTF)
	s.SetAutoPageBreak(false, 0)
	s.SetMargins(margin, margin, margin)
	s.SetLineWidth(0.3)
	return s, nil
}

// Line draws one line of text at x and y, made smaller until it fits into
// width.
func (s PDF) Line(x, y, width, size float64, style, text string) {
	text = s.glyphs.Say(text)
	for s.SetFont(Family, style, size); s.GetStringWidth(text) > width && size > smallest; size -= 0.25 {
		s.SetFont(Family, style, size-0.25)
	}
	s.SetXY(x, y)
	s.CellFormat(width, size*0.5, text, "", 0, "L", false, 0, "")
}

// Block draws text at x and y, broken into lines of width and made smaller
// until all of it fits into high.
func (s PDF) Block(x, y, width, high, size float64, style, text string) {
	text = s.glyphs.Say(text)
	lines := func() []string { s.SetFont(Family, style, size); return s.SplitText(text, width) }
	for len(lines()) > max(1, int(high/(size*0.5))) && size > smallest {
		size -= 0.25
	}
	for i, line := range lines() {
		s.SetXY(x, y+float64(i)*size*0.5)
		s.CellFormat(width, size*0.5, line, "", 0, "L", false, 0, "")
	}
}

// Lines are the lines of a text in a width, none of it cut: a word that is wider stands
// in pieces.
func (s PDF) Lines(width, size float64, style, text string) []string {
	s.SetFont(Family, style, size)
	return s.SplitText(s.glyphs.Say(text), width)
}
