package html

import (
	"fmt"
	"slices"
	"strconv"
	"strings"
	"unicode/utf8"

	"coolhold/logbook"
	"coolhold/logbook/chart"
	"coolhold/logbook/register/account"
)

// The measures of a drawing: dots a unit of the chart's grid, and how many units lie beside
// each other, so that letters can be read on A4.
const (
	unitWide, unitHigh = 8, 16
	unitsAcross        = 115
	letterWide         = 7.2 // of a bold letter, about
)

// A chamber is drawn once or, where it has many circuits, several times.
type chamber struct {
	Title string
	Says  []string
	Draws []drawing
}

// A drawing is shapes in dots.
type drawing struct {
	ID, Title, Says string
	W, H            int
	Lines           []stroke
	Boxes           []box
	Words           []word
}

type stroke struct {
	X1, Y1, X2, Y2 string
	Edge           string
}

// A box is a joint, a port or a rail. One that leads to the section of its joint says so.
type box struct {
	X, Y, W, H  int
	Edge, Hatch string // the path of the hatch, "": none
	To, Says    string
	Plates      []plate
	Words       []word
}

// A plate lies under words on a hatch.
type plate struct{ X, Y, W, H string }

// A word is a line of letters. Wide is how wide it must be made to stay within its box, ""
// as it is.
type word struct {
	X, Y, Text, Wide string
	Left, Bold       bool
}

var edges = map[chart.Edge]string{chart.Dotted: "dotted", chart.Dashed: "dashed", chart.Solid: "solid", chart.Heavy: "heavy"}

func (m maker) drawings() (out []chamber) {
	drawn := m.rep.Drawn(m.UnderLoss())
	for i, k := range m.rep.Site.Chambers {
		c := chamber{Title: "Chamber " + k.Name}
		if says := m.Covered("chamber " + k.Name); says != "" {
			c.Says = append(c.Says, says)
		}
		joints := 0
		for _, p := range m.rep.Joints {
			if p.Chamber != k.Name {
				continue
			}
			if joints++; len(p.Also) > 0 {
				c.Says = append(c.Says, fmt.Sprintf("In joint %s stands %s too.", p.Label, strings.Join(p.Also, ", ")))
			}
		}
		if joints == 0 {
			continue
		}
		c.Says = append(append(c.Says, m.Moved(k.Name)...), m.LostBesides(k.Name)...)
		all := chart.Chamber(k.Name, drawn, unitsAcross, m.rep.Spares...)
		for n, g := range all {
			d := m.draw(g)
			d.ID, d.Title = fmt.Sprintf("drawing-%d-%d", i+1, n+1), c.Title
			if len(all) > 1 {
				d.Title = fmt.Sprintf("%s, part %d of %d", c.Title, n+1, len(all))
			}
			c.Draws = append(c.Draws, d)
		}
		out = append(out, c)
	}
	return out
}

// Hint is the class of the words that a drawing is moved sideways: they are shown only where
// the screen is narrower than it.
func (d drawing) Hint() string { return hintOf(d.W) }

// hintOf names the widest screen on which something so wide is moved.
func hintOf(wide int) string {
	for _, step := range []int{1000, 840, 680, 520, 360} {
		if wide > step-70 {
			return fmt.Sprintf("w%d", step)
		}
	}
	return ""
}

// dots is a length as it is written, a half at most.
func dots(f float64) string { return strconv.FormatFloat(f, 'f', -1, 64) }

func (m maker) draw(g chart.Drawing) drawing {
	d := drawing{W: g.W*unitWide + 6, H: g.H*unitHigh + 6} // with room for half of a heavy line
	for _, l := range g.Strokes {
		x, y := 0.5, 0.0 // an upright line runs in the middle of its column
		if l.Y1 == l.Y2 {
			x, y = 0, 0.5 // a level one in the middle of its row
		}
		d.Lines = append(d.Lines, stroke{
			dots((float64(l.X1) + x) * unitWide), dots((float64(l.Y1) + y) * unitHigh), dots((float64(l.X2) + x) * unitWide), dots((float64(l.Y2) + y) * unitHigh), edges[l.Edge],
		})
	}
	var joints []string
	for _, b := range g.Boxes {
		k := m.box(b)
		if d.Boxes = append(d.Boxes, k); b.Joint != "" {
			joints = append(joints, k.Says)
		}
	}
	for _, l := range g.Labels {
		d.Words = append(d.Words, wordIn(float64(l.X*unitWide), float64(l.Y*unitHigh), float64(l.W*unitWide), l.Text, l.Left, false))
	}
	d.Says = "The joints in it: " + strings.Join(joints, "; ") + "."
	return d
}

func (m maker) box(b chart.Box) box {
	x, y, w, h := b.X*unitWide, b.Y*unitHigh, b.W*unitWide, b.H*unitHigh
	k := box{X: x, Y: y, W: w, H: h, Edge: edges[b.Edge]}
	lines := slices.Clone(b.Lines)
	for i, text := range lines {
		if b.Joint != "" {
			lines[i] = m.BoxState(b.Joint, text)
		} else {
			lines[i] = account.OnDrawing(text)
		}
	}
	if b.Title != "" {
		lines = append(lines, b.Title)
	}
	if b.Hatch {
		k.Hatch = hatch(x, y, w, h)
	}
	high := min(unitHigh, float64(h)/float64(len(lines)+1))
	top := float64(y) + (float64(h)-high*float64(len(lines)))/2
	for i, text := range lines {
		at := top + float64(i)*high
		k.Words = append(k.Words, wordIn(float64(x)+4, at, float64(w)-8, text, false, i == 0 || i >= 2))
		if b.Hatch && text != "" { // words stay readable on a hatch
			wide := min(float64(w)-8, float64(utf8.RuneCountInString(logbook.Clean(text)))*letterWide+6)
			k.Plates = append(k.Plates, plate{dots(float64(x) + (float64(w)-wide)/2), dots(at), dots(wide), dots(high)})
		}
	}
	if b.Joint != "" {
		k.To, k.Says = m.JointAt(b.Joint), "joint "+logbook.Joined(", ", lines...)
	}
	return k
}

// wordIn is a line of letters within a width, and a unit high.
func wordIn(x, y, w float64, text string, left, bold bool) word {
	k := word{X: dots(x + w/2), Y: dots(y + 12), Text: text, Left: left, Bold: bold}
	if left {
		k.X = dots(x)
	}
	if float64(utf8.RuneCountInString(logbook.Clean(text)))*letterWide > w {
		k.Wide = dots(w)
	}
	return k
}

// hatch is slanting lines over a box, as a path.
func hatch(x, y, w, h int) string {
	var out strings.Builder
	const apart = 7
	for from := x - h + apart; from < x+w; from += apart { // where a line would meet the lower edge
		x1, y1, x2, y2 := from, y+h, from+h, y
		if x1 < x {
			x1, y1 = x, y1-(x-from)
		}
		if over := x2 - (x + w); over > 0 {
			x2, y2 = x+w, y+over
		}
		fmt.Fprintf(&out, "M%d %dL%d %d", x1, y1, x2, y2)
	}
	return out.String()
}

// A drawn is how joints of some states are drawn.
type drawn struct{ Edge, Hatch, Words string }

// Legend is how joints are drawn, the quietest first.
func (v view) Legend() (out []drawn) {
	for i := len(chart.Styles) - 1; i >= 0; i-- {
		st := chart.Styles[i]
		k := drawn{Edge: edges[st.Edge], Words: account.OnDrawing(st.Words())}
		if st.Hatch {
			k.Hatch = hatch(2, 2, 36, 16)
		}
		out = append(out, k)
	}
	return out
}
