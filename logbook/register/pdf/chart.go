package pdf

import (
	"fmt"
	"slices"
	"strings"

	"coolhold/logbook/chart"
	"coolhold/logbook/register/account"
)

// The measures of the chart: mm a unit of its grid at most, and how many units
// lie beside each other, so that every word in a box can be read.
const (
	unitWide, unitHigh = 3.2, 4.4
	unitsAcross        = 168
	legendHigh         = 13 // mm
)

// charts are the chambers on lying pages, then what lies outside them. A part of one goes
// below another where it has room.
func (d *doc) charts() {
	joints := d.rep.Drawn(d.told.UnderLoss())
	for _, c := range d.rep.Site.Chambers {
		for i, drawing := range chart.Chamber(c.Name, joints, unitsAcross, d.rep.Spares...) {
			title := "Chamber " + c.Name
			if i > 0 {
				title += ", continued"
			}
			d.section(true, float64(drawing.H)*unitHigh+30+legendHigh, title)
			if i == 0 {
				if says := d.told.Covered("chamber " + c.Name); says != "" {
					d.text("", 9, says)
				}
				d.also(c.Name)
				for _, says := range slices.Concat(d.told.Moved(c.Name), d.told.LostBesides(c.Name)) {
					d.text("B", 9, says)
				}
			}
			d.drawing(drawing)
			d.legendAt(d.f.GetY()+2, "The high row is drawn on top. Drawn so that no lines cross; both rails lie in the chamber.")
		}
	}
	d.runs(joints)
}

// also names the welds that stand in a joint beside the one that its box shows.
func (d *doc) also(chamber string) {
	for _, p := range d.rep.Joints {
		if p.Chamber == chamber && len(p.Also) > 0 {
			d.text("B", 9, fmt.Sprintf("In joint %s stands %s too.", p.Label, strings.Join(p.Also, ", ")))
		}
	}
}

// runs lists the joints outside the chambers, a few boxes a page.
func (d *doc) runs(joints []chart.Place) {
	var outside []chart.Place
	for _, p := range joints {
		if p.Chamber == "" && len(p.Split) == 0 {
			outside = append(outside, p)
		}
	}
	outside = append(outside, chart.Factory(d.rep.Site)...)
	const most = 6 // boxes that fit a lying page
	for i := 0; i < len(outside); i += most {
		title := "Joints outside the chambers"
		if i > 0 {
			title += ", continued"
		}
		d.section(true, 70, title)
		if i == 0 {
			d.also("")
			for _, says := range d.told.LostBesides("") {
				d.text("B", 9, says)
			}
		}
		d.drawing(chart.Runs(outside[i:min(len(outside), i+most)], 120))
		d.legendAt(d.f.GetY()+2, "A list, not a picture of the trench: each joint with its place, its fitting and the pipe it is on.")
	}
}

// A scale turns units of the grid into mm on the page.
type scale struct{ x, y, w, h float64 }

func (d *doc) drawing(g chart.Drawing) {
	d.room(min(float64(g.H)*unitHigh+legendHigh, d.bottom()-d.begins()-30))
	s := scale{d.f.GetX(), d.f.GetY() + 1, min(unitWide, d.width()/float64(g.W)), unitHigh}
	s.h = min(s.h, (d.bottom()-s.y-13)/float64(max(1, g.H)))
	for _, l := range g.Strokes {
		d.edge(l.Edge)
		x, y := 0.5, 0.0 // an upright line runs in the middle of its column
		if l.Y1 == l.Y2 {
			x, y = 0, 0.5 // a level one in the middle of its row
		}
		d.f.Line(s.x+(float64(l.X1)+x)*s.w, s.y+(float64(l.Y1)+y)*s.h, s.x+(float64(l.X2)+x)*s.w, s.y+(float64(l.Y2)+y)*s.h)
	}
	for _, b := range g.Boxes {
		d.box(s, b)
	}
	for _, l := range g.Labels {
		align := "C"
		if l.Left {
			align = "L"
		}
		d.words(s.x+float64(l.X)*s.w, s.y+float64(l.Y)*s.h+offBorder(g, l), float64(l.W)*s.w, s.h, "", align, l.Text)
	}
	d.edge(chart.Solid)
	d.f.SetXY(s.x, s.y+float64(g.H)*s.h+2)
}

// apart is how far words at a box are moved off its border, which may be heavy, in mm. Our
// choice.
const apart = 0.9

// offBorder moves words that stand right below or above a box as wide as they are away from it,
// with all lines that belong to them.
func offBorder(g chart.Drawing, l chart.Label) float64 {
	first, last := l.Y, l.Y+1
	beside := func(y int) bool {
		return slices.ContainsFunc(g.Labels, func(o chart.Label) bool { return o.X == l.X && o.W == l.W && o.Y == y })
	}
	for beside(first - 1) {
		first--
	}
	for beside(last) {
		last++
	}
	for _, b := range g.Boxes {
		switch {
		case b.X != l.X || b.W != l.W:
		case b.Y+b.H == first:
			return apart
		case b.Y == last:
			return -apart
		}
	}
	return 0
}

// edge sets how lines are drawn.
func (d *doc) edge(e chart.Edge) {
	width, dash := 0.25, []float64(nil)
	switch e {
	case chart.Dotted:
		dash = []float64{0.4, 0.9}
	case chart.Dashed:
		dash = []float64{2, 1}
	case chart.Heavy:
		width = 0.8
	}
	d.f.SetLineWidth(width)
	d.f.SetDashPattern(dash, 0)
}

func (d *doc) box(s scale, b chart.Box) {
	x, y, w, h := s.x+float64(b.X)*s.w, s.y+float64(b.Y)*s.h, float64(b.W)*s.w, float64(b.H)*s.h
	d.f.SetFillColor(255, 255, 255)
	d.edge(b.Edge)
	d.f.Rect(x, y, w, h, "FD")
	if b.Hatch {
		d.hatch(x, y, w, h)
	}
	if b.Title != "" { // on paper there is room for it within
		b.Lines = append(slices.Clone(b.Lines), b.Title)
	}
	high := h / float64(len(b.Lines)+1)
	high = min(high, s.h)
	at := y + (h-high*float64(len(b.Lines)))/2
	for i, text := range b.Lines {
		if b.Joint != "" {
			text = d.told.BoxState(b.Joint, text)
		} else {
			text = account.OnDrawing(text)
		}
		style := ""
		if i == 0 || i >= 2 {
			style = "B"
		}
		if b.Hatch { // words stay readable on a hatch
			d.plate(x, at+float64(i)*high, w, high, style, text)
		}
		d.words(x+0.6, at+float64(i)*high, w-1.2, high, style, "C", text)
	}
}

// hatch draws slanting lines over a box.
func (d *doc) hatch(x, y, w, h float64) {
	d.f.ClipRect(x, y, w, h, false)
	d.f.SetLineWidth(0.2)
	d.f.SetDashPattern(nil, 0)
	for at := x - h; at < x+w; at += 1.6 {
		d.f.Line(at, y+h, at+h, y)
	}
	d.f.ClipEnd()
}

func (d *doc) plate(x, y, w, h float64, style, text string) {
	d.font(style, wordSize(h))
	wide := min(w-1.2, d.f.GetStringWidth(d.say(text))+1.5)
	d.f.Rect(x+(w-wide)/2, y, wide, h, "F")
}

// wordSize is the size of letters, in points, that fill a line so high.
func wordSize(h float64) float64 { return min(9, h/0.3528*0.8) }

// words writes one line into a width, with smaller letters where it is long.
func (d *doc) words(x, y, w, h float64, style, align, text string) {
	size := wordSize(h)
	d.font(style, size)
	if wide := d.f.GetStringWidth(d.say(text)); wide > w {
		size = max(5, size*w/wide)
		d.font(style, size)
	}
	d.f.SetXY(x, y)
	d.f.CellFormat(w, h, d.fit(text, w), "", 0, align, false, 0, "")
}

// legendAt explains the edges, and how the picture is to be read.
func (d *doc) legendAt(y float64, how string) {
	left := d.left()
	x := left
	for i := len(chart.Styles) - 1; i >= 0; i-- {
		st := chart.Styles[i]
		d.f.SetFillColor(255, 255, 255)
		d.edge(st.Edge)
		d.f.Rect(x, y, 7, 4, "D")
		if st.Hatch {
			d.hatch(x, y, 7, 4)
		}
		d.font("", 7.5)
		text := account.OnDrawing(st.Words())
		d.f.SetXY(x+8.5, y)
		d.f.CellFormat(40, 4, text, "", 0, "L", false, 0, "")
		x += 8.5 + d.f.GetStringWidth(text) + 6
	}
	d.edge(chart.Solid)
	d.font("", 7.5)
	d.f.SetXY(left, y+4.5)
	d.f.CellFormat(d.width(), 4, how+" As of "+d.rep.AsOf.Format(offset)+". Under each joint: its weld and the state of its record; \"covered\" is under the ground and not settled.", "", 0, "L", false, 0, "")
	d.f.SetXY(left, y+9)
}
