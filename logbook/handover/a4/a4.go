// Package a4 draws the leaves of a hand-over: A4 upright, black on white, on one page
// where that can be read, else on as many as it needs. Nothing is cut.
package a4

import (
	"fmt"
	"io"
	"strings"
	"time"

	"coolhold/logbook/chart"
	"coolhold/logbook/handover"
	"coolhold/logbook/paper/page"
)

// Lengths in mm and sizes in points; all are our choice.
const (
	left, top  = 10.0, 7.0
	wide, high = 210 - 2*left, 297.0 - 2*top
	lead       = 0.42 // mm a line needs for each point of its letters
	leadTight  = 0.36 // where a leaf is made smaller
	tightBelow = 0.95
	leastSize  = 8.0  // points: what can still be read
	foot       = 7.0  // room for the foot
	names      = 31.0 // mm of the names of rows
	mostScale  = 1.12
	leastScale = 0.72 // below it a leaf goes on over the page instead
	lidScale   = 1.32 // of the letters of a page in a lid
	frameLine  = 0.9  // mm of a heavy frame
	thinLine   = 0.25
	tickLine   = 0.4 // of a box to tick
)

// step is by how much the letters are made smaller until the leaf fits one page; onScale
// is their size where it fits none, and goes on.
const (
	step    = 0.08
	onScale = 0.9
)

// A sheet is a leaf while it is drawn.
type sheet struct {
	page.PDF
	leaf  handover.Leaf
	scale float64
	y     float64
	page  int
	pages int // of the leaf; 0: not known yet
}

// Write draws leaves one after another, each on pages of its own. The same leaves give the
// same bytes.
func Write(w io.Writer, at time.Time, leaves ...handover.Leaf) error {
	title := "Hand-over"
	if len(leaves) > 0 {
		title = leaves[0].Kind + ": " + leaves[0].Title
	}
	p, err := newPDF(title, at)
	if err != nil {
		return err
	}
	if len(leaves) > 0 && leaves[0].By != "" {
		p.SetCreator(leaves[0].By, true)
	}
	for _, l := range leaves {
		scale, pages, err := scaleOf(l, at)
		if err != nil {
			return err
		}
		draw(p, l, scale, pages)
	}
	if err := p.Output(w); err != nil {
		return fmt.Errorf("the hand-over is not made: %w", err)
	}
	return nil
}

func newPDF(title string, at time.Time) (page.PDF, error) {
	p, err := page.New("P", title, left, at)
	if err != nil {
		return p, fmt.Errorf("the hand-over is not made: %w", err)
	}
	p.SetLang("en")
	p.SetCellMargin(0)
	return p, nil
}

// scaleOf is the largest of the letters at which a leaf fits one page; where none does it
// is a middle one, and the leaf goes on over so many pages.
func scaleOf(l handover.Leaf, at time.Time) (scale float64, pages int, err error) {
	most := mostScale
	if l.Loud {
		most = lidScale
	}
	tried := func(scale float64) (int, error) {
		p, err := newPDF("", at)
		if err != nil {
			return 0, err
		}
		draw(p, l, scale, 0)
		return p.PageNo(), nil
	}
	for s := most; s > leastScale-step; s -= step {
		s := max(s, leastScale)
		if n, err := tried(s); err != nil || n == 1 {
			return s, n, err
		}
	}
	pages, err = tried(onScale)
	return onScale, pages, err
}

func draw(p page.PDF, l handover.Leaf, scale float64, pages int) {
	s := &sheet{PDF: p, leaf: l, scale: scale, pages: pages}
	s.begin()
	s.text("", 9, l.Kind)
	s.text("B", 19, l.Title)
	for _, u := range l.Under {
		s.text("", 9, u)
	}
	for _, part := range l.Parts {
		s.part(part)
	}
	s.gap(1)
	for _, f := range l.Foot {
		s.text("", 7.5, f)
	}
}

// begin begins a page.
func (s *sheet) begin() {
	s.AddPage()
	s.SetTextColor(0, 0, 0)
	s.y = top
	if s.page++; s.page > 1 {
		s.text("", 8, s.leaf.Title+", "+s.leaf.Kind+", continued")
		s.gap(1)
	}
	if s.pages > 1 {
		s.Line(left+wide-20, top+high+1, 20, leastSize, "", fmt.Sprintf("page %d of %d", s.page, s.pages))
	}
}

func (s *sheet) bottom() float64 { return top + high }

// room makes a new page unless so many mm are left.
func (s *sheet) room(mm float64) {
	if s.y+mm > s.bottom() && s.y > top {
		s.begin()
	}
}

func (s *sheet) gap(mm float64) { s.y += mm * s.scale }

// size is that of letters: titles shrink with the leaf, nothing below what can be read.
func (s *sheet) size(points float64) float64 { return max(leastSize, points*s.scale) }

// lead is what a line needs for each point of its letters.
func (s *sheet) lead() float64 { return leadOf(s.scale) }

// close is by how much gaps shrink where a leaf is made smaller.
func (s *sheet) close() float64 {
	if s.scale < tightBelow {
		return 0.6
	}
	return 1
}

func leadOf(scale float64) float64 {
	if scale < tightBelow {
		return leadTight
	}
	return lead
}

// block are lines in a width at a size, as they will be drawn.
type block struct {
	lines []string
	style string
	size  float64
	lead  float64
}

func (s *sheet) block(width float64, style string, points float64, text string) block {
	return block{s.Lines(width, s.size(points), style, text), style, s.size(points), s.lead()}
}

func (b block) high() float64 { return float64(len(b.lines)) * b.size * b.lead }

// put draws a block at x and y.
func (s *sheet) put(b block, x, y float64) {
	s.SetFont(page.Family, b.style, b.size)
	for i, line := range b.lines {
		s.SetXY(x, y+float64(i)*b.size*b.lead)
		s.CellFormat(0, b.size*b.lead, line, "", 0, "L", false, 0, "")
	}
}

// text draws a text over the whole width, over the page where it must.
func (s *sheet) text(style string, points float64, text string) {
	s.flow(s.block(wide, style, points, text), left)
}

// flow draws a block line by line, over the page where it must.
func (s *sheet) flow(b block, x float64) {
	for _, line := range b.lines {
		s.room(b.size * b.lead)
		s.put(block{[]string{line}, b.style, b.size, b.lead}, x, s.y)
		s.y += b.size * b.lead
	}
}

func (s *sheet) part(p handover.Part) {
	s.gap(2.2 * s.close())
	s.room(s.size(30))
	s.title(p)
	s.loud(p.Loud)
	s.columns(p.Columns)
	s.ports(p.Ports)
	if len(p.Ports) == 0 { // where they are drawn they need not be told
		s.rows(p.Rows)
	}
	s.table(p.Table)
	for _, line := range p.Lines {
		s.text("", 8.5, line)
	}
}

// title is a part's over a rule.
func (s *sheet) title(p handover.Part) {
	s.text("B", 10, p.Title)
	s.SetLineWidth(thinLine)
	s.SetDashPattern(nil, 0)
	s.Fpdf.Line(left, s.y, left+wide, s.y)
	s.gap(0.8)
}

// loud is a heavy frame, its first line in large letters.
func (s *sheet) loud(texts []string) {
	if len(texts) == 0 {
		return
	}
	pad, between := 2.0*s.close(), 0.6*s.close()
	var blocks []block
	high := 2 * pad
	for i, text := range texts {
		style, points := "", 9.0
		if i == 0 {
			style, points = "B", 14
		}
		b := s.block(wide-2*pad-1, style, points, text)
		blocks, high = append(blocks, b), high+b.high()+between
	}
	if high > s.bottom()-top { // longer than a page: without a frame
		for _, b := range blocks {
			s.flow(b, left)
		}
		return
	}
	s.room(high)
	s.frame(left, s.y, wide, high, frameLine)
	y := s.y + pad
	for _, b := range blocks {
		s.put(b, left+pad, y)
		y += b.high() + between
	}
	s.y += high + 0.5
}

func (s *sheet) frame(x, y, w, h, line float64) {
	s.SetLineWidth(line)
	s.SetDashPattern(nil, 0)
	s.Rect(x, y, w, h, "D")
}

// columns are boxes side by side, two in a row.
func (s *sheet) columns(all []handover.Column) {
	const between, across = 4.0, 2
	pad := 2.0 * s.close()
	w := (wide - between) / across
	for from := 0; from < len(all); from += across {
		row := all[from:min(len(all), from+across)]
		var boxes [][]block
		high := 0.0
		for _, c := range row {
			blocks, h := []block{s.block(w-2*pad, "B", 16, c.Title)}, 2*pad
			for i, text := range c.Lines {
				style, points := "", 8.5
				if i < 2 { // where it goes, and what pipe it is
					style, points = "B", 10.5
				}
				blocks = append(blocks, s.block(w-2*pad, style, points, text))
			}
			for _, b := range blocks {
				h += b.high() + 0.4
			}
			boxes, high = append(boxes, blocks), max(high, h)
		}
		s.room(high)
		for i, blocks := range boxes {
			x, y := left+float64(i)*(w+between), s.y+pad
			s.frame(x, s.y, w, high, 0.6)
			for _, b := range blocks {
				s.put(b, x+pad, y)
				y += b.high() + 0.4
			}
		}
		s.y += high + 1
	}
}

// rows are names with what is recorded of each.
func (s *sheet) rows(rows []handover.Row) {
	for _, r := range rows {
		name := s.block(names*s.nameScale()-2, "B", 8.5, r.Name)
		first := true
		for _, says := range r.Says {
			b := s.block(wide-names*s.nameScale(), "", 8.5, says)
			s.room(max(b.size*b.lead, name.high()))
			if first {
				s.put(name, left, s.y)
			}
			from := s.y
			s.flow(b, left+names*s.nameScale())
			if first && s.y > from {
				s.y = max(s.y, from+name.high())
			}
			first = false
		}
		s.gap(0.4 * s.close())
	}
}

// nameScale widens the column of names in a lid, where letters are larger.
func (s *sheet) nameScale() float64 { return max(1, s.scale) }

// shares are how much of the width a column of a table takes, by its heads:
// of several the one by which the table is lowest.
var shares = map[int][][]float64{
	6: {{21, 26, 27, 13, 60, 40}, {21, 26, 27, 13, 83, 17}, {21, 50, 36, 13, 50, 17}, {21, 26, 27, 13, 30, 70}},
	5: {{32, 44, 42, 22, 46}},
	8: {{20, 27, 20, 27, 20, 27, 20, 27}},
}

// widths are those by which a table is lowest.
func (s *sheet) widths(t *handover.Table) (best []float64) {
	least := 0.0
	for _, w := range shares[len(t.Heads)] {
		high := 0.0
		for _, row := range t.Rows {
			high += s.rowHigh(w, row, "")
		}
		if best == nil || high < least {
			best, least = w, high
		}
	}
	return best
}

// table draws a grid; its heads stand again on a new page.
func (s *sheet) table(t *handover.Table) {
	if t == nil {
		return
	}
	widths := s.widths(t)
	s.cells(widths, t.Heads, "B", true)
	for _, row := range t.Rows {
		if high := s.rowHigh(widths, row, ""); s.y+high > s.bottom() && s.y > top {
			s.begin()
			s.cells(widths, t.Heads, "B", true)
		}
		s.cells(widths, row, "", false)
	}
}

const (
	cellPad = 0.8
	// A box to tick takes the pencil of a hand in a glove; our choice.
	tickSide = 7.0
	tickGap  = 1.6
	tickRoom = 0.6 // above and below it in its cell
)

// ticks is how many boxes to tick a cell is made of, 0 where it is words.
func ticks(text string) int {
	if strings.Trim(strings.ReplaceAll(text, handover.Box, ""), " ") != "" {
		return 0
	}
	return strings.Count(text, handover.Box)
}

// tickBoxes draws n of them side by side, in the middle of a cell.
func (s *sheet) tickBoxes(x, y, w, high float64, n int) {
	x += (w - float64(n)*tickSide - float64(n-1)*tickGap) / 2
	for range n {
		s.frame(x, y+(high-tickSide)/2, tickSide, tickSide, tickLine)
		x += tickSide + tickGap
	}
}

func (s *sheet) cellBlocks(widths []float64, texts []string, style string) (blocks []block, high float64) {
	sum := 0.0
	for _, w := range widths {
		sum += w
	}
	for i, text := range texts {
		own := style
		if i == 0 {
			own = "B"
		}
		if ticks(text) > 0 {
			blocks, high = append(blocks, block{}), max(high, tickSide+2*tickRoom-2*cellPad)
			continue
		}
		b := s.block(widths[i]*wide/sum-2*cellPad, own, 8, text)
		blocks, high = append(blocks, b), max(high, b.high())
	}
	return blocks, high + 2*cellPad
}

func (s *sheet) rowHigh(widths []float64, texts []string, style string) float64 {
	_, high := s.cellBlocks(widths, texts, style)
	return high
}

func (s *sheet) cells(widths []float64, texts []string, style string, head bool) {
	blocks, high := s.cellBlocks(widths, texts, style)
	sum := 0.0
	for _, w := range widths {
		sum += w
	}
	x := left
	for i, b := range blocks {
		w := widths[i] * wide / sum
		line := thinLine
		if head {
			line = 0.5
		}
		s.frame(x, s.y, w, high, line)
		if n := ticks(texts[i]); n > 0 {
			s.tickBoxes(x, s.y, w, high, n)
		} else {
			s.put(b, x+cellPad, s.y+cellPad)
		}
		x += w
	}
	s.y += high
}

// The ports of a chamber: mm a unit of the drawing at most, and how many units fit.
const (
	unitWide, unitHigh = 2.9, 4.6
	unitsAcross        = 104
)

// ports draws the ports of a chamber.
func (s *sheet) ports(ports []handover.Port) {
	if len(ports) == 0 {
		return
	}
	g := chart.Ports(handover.Drawn(ports), unitsAcross)
	w := min(unitWide, wide/float64(max(1, g.W)))
	h := unitHigh * max(0.8, min(1.25, s.scale))
	for _, l := range g.Labels {
		s.Line(left+float64(l.X)*w, s.y+float64(l.Y)*h, wide, 9*h/unitHigh, "B", l.Text)
	}
	for _, b := range g.Boxes {
		x, y, bw, bh := left+float64(b.X)*w, s.y+float64(b.Y)*h, float64(b.W)*w, float64(b.H)*h
		s.SetLineWidth(0.4)
		s.SetDashPattern(nil, 0)
		if b.Edge == chart.Dotted {
			s.SetDashPattern([]float64{0.5, 1}, 0)
		}
		s.Rect(x, y, bw, bh, "D")
		s.Line(x+0.7, y+0.8, bw-1.4, 13*h/unitHigh, "B", b.Lines[0])
		s.Line(x+0.7, y+bh*0.58, bw-1.4, 8.5*h/unitHigh, "", b.Lines[1])
	}
	s.SetDashPattern(nil, 0)
	s.y += float64(g.H)*h + 1.5
}
