package chart

import (
	"slices"
	"strings"

	"coolhold/logbook"
)

// strokes are the characters of each edge: level, upright and the corners.
var strokes = map[Edge][6]rune{
	Dotted: {'┈', '┊', '┌', '┐', '└', '┘'},
	Dashed: {'╌', '╎', '┌', '┐', '└', '┘'},
	Solid:  {'─', '│', '┌', '┐', '└', '┘'},
	Heavy:  {'━', '┃', '┏', '┓', '┗', '┛'},
}

// Text is the drawing in characters, one string a line, for a terminal. Words
// that do not fit their box end in an ellipsis.
func (d Drawing) Text() []string {
	c := make(canvas, d.H)
	for y := range c {
		c[y] = []rune(strings.Repeat(" ", d.W))
	}
	for _, l := range d.Strokes {
		for x := l.X1; x < l.X2; x++ {
			c.set(x, l.Y1, strokes[l.Edge][0])
		}
		for y := l.Y1; y < l.Y2; y++ {
			c.set(l.X1, y, strokes[l.Edge][1])
		}
	}
	for _, b := range d.Boxes {
		c.box(b)
	}
	for _, l := range d.Labels {
		c.words(l.X, l.Y, l.W, l.Text, l.Left)
	}
	out := make([]string, d.H)
	for y := range c {
		out[y] = strings.TrimRight(string(c[y]), " ")
	}
	return out
}

// Heading is a line of words, to be set over a drawing.
func Heading(text string, width int) Drawing {
	return Drawing{W: width, H: 1, Labels: []Label{{W: width, Text: text, Left: true}}}
}

// Above sets a drawing over another.
func (d Drawing) Above(o Drawing) Drawing {
	out := Drawing{W: max(d.W, o.W), H: d.H + o.H, Boxes: slices.Clone(d.Boxes), Strokes: slices.Clone(d.Strokes), Labels: slices.Clone(d.Labels)}
	for _, b := range o.Boxes {
		b.Y += d.H
		out.Boxes = append(out.Boxes, b)
	}
	for _, l := range o.Strokes {
		l.Y1, l.Y2 = l.Y1+d.H, l.Y2+d.H
		out.Strokes = append(out.Strokes, l)
	}
	for _, l := range o.Labels {
		l.Y += d.H
		out.Labels = append(out.Labels, l)
	}
	return out
}

// Find is the box of a joint.
func (d Drawing) Find(joint string) (Box, bool) {
	i := slices.IndexFunc(d.Boxes, func(b Box) bool { return joint != "" && b.Joint == joint })
	if i < 0 {
		return Box{}, false
	}
	return d.Boxes[i], true
}

// Chosen is the drawing with a mark before the name of a joint.
func (d Drawing) Chosen(joint string) Drawing {
	d.Boxes = slices.Clone(d.Boxes)
	for i, b := range d.Boxes {
		if joint != "" && b.Joint == joint {
			d.Boxes[i].Lines = append([]string{"▸" + b.Lines[0]}, b.Lines[1:]...)
		}
	}
	return d
}

type canvas [][]rune

func (c canvas) set(x, y int, r rune) {
	if y >= 0 && y < len(c) && x >= 0 && x < len(c[y]) {
		c[y][x] = r
	}
}

func (c canvas) box(b Box) {
	if b.H == 1 {
		c.bracketed(b)
		return
	}
	s := strokes[b.Edge]
	inside := ' '
	if b.Hatch {
		inside = '░'
	}
	right, low := b.X+b.W-1, b.Y+b.H-1
	for y := b.Y; y <= low; y++ {
		for x := b.X; x <= right; x++ {
			c.set(x, y, inside)
		}
		c.set(b.X, y, s[1])
		c.set(right, y, s[1])
	}
	for x := b.X; x <= right; x++ {
		c.set(x, b.Y, s[0])
		c.set(x, low, s[0])
	}
	c.set(b.X, b.Y, s[2])
	c.set(right, b.Y, s[3])
	c.set(b.X, low, s[4])
	c.set(right, low, s[5])
	c.words(b.X+1, b.Y, b.W-2, b.Title, true)
	for i, text := range b.Lines {
		c.words(b.X+1, b.Y+1+i, b.W-2, text, false)
	}
}

// bracketed is a box that is a single line high.
func (c canvas) bracketed(b Box) {
	c.words(b.X, b.Y, b.W, "["+strings.Repeat(" ", max(0, b.W-2))+"]", true)
	c.words(b.X+1, b.Y, b.W-2, strings.Join(b.Lines, "  "), true)
}

// words writes a text into w places, one rune a place: labels and words of
// other scripts than these are rare here, and a wide one only shifts its line.
func (c canvas) words(x, y, w int, text string, left bool) {
	runes := []rune(logbook.Clean(text))
	if len(runes) > w {
		runes = append(runes[:max(0, w-1)], '…')
	}
	if !left {
		x += (w - len(runes)) / 2
	}
	for i, r := range runes {
		c.set(x+i, y, r)
	}
}
