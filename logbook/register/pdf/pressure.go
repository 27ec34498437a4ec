package pdf

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"coolhold/logbook/audit"
	"coolhold/logbook/register"
	"coolhold/logbook/register/account"
)

// pressure is the pressure tests: what they come to for the joints as they stand, then
// section by section each with its readings, drawn and told, and all that was given before
// it.
func (d *doc) pressure() {
	if c := (account.Chapter{ID: "pressure", Title: "Pressure tests", Intro: d.told.Pressure.Intro}); len(d.told.Pressure.Tests) == 0 {
		d.part(c, 60)
	} else {
		d.section(false, 60, c.Title)
		d.stands(c.ID)
		d.tell(c)
	}
	told := map[string]account.Test{}
	for _, k := range d.told.Pressure.Tests {
		told[k.Of.ID] = k
	}
	var apart [][]audit.Tested
	for _, tests := range d.rep.TestsBySection() {
		if slices.ContainsFunc(tests, d.rep.Fell) {
			apart = append(apart, tests)
			continue
		}
		for _, t := range tests {
			d.pressureTest(told[t.ID])
		}
	}
	for _, tests := range apart {
		d.apart(tests, told)
	}
}

// apart are the tests of a section that fell, on a page of their own with what stands
// there: it is handed on by itself. How any section was left stands among the hand-over.
func (d *doc) apart(tests []audit.Tested, told map[string]account.Test) {
	title := "Not within its pressure test: " + tests[0].Of.Name
	d.page(false)
	d.f.Bookmark(d.say(title), 1, -1)
	d.text("B", 13, title)
	d.text("", toldSize, "What stands in it: "+strings.Join(d.rep.StandingIn(tests[0]), "; ")+".")
	for _, t := range tests {
		d.pressureTest(told[t.ID])
	}
}

func (d *doc) pressureTest(k account.Test) {
	d.heading(k.Title)
	d.stands(k.ID)
	d.keep(9, append([]string{k.Came}, k.Says...)...)
	if len(k.Of.Plot()) > 0 { // what it came to is not parted from its chart
		d.hold(plotHigh+10, func() {})
	}
	d.text("B", 10, k.Came)
	for _, line := range k.Says {
		d.text("", 9, line)
	}
	d.gap(1)
	d.readings(k.Of)
	for _, line := range k.Course {
		d.text("", 8.5, line)
	}
	d.gap(1)
	d.text("", 8.5, "Given before: "+strings.Join(k.Given, "; ")+".")
}

// The chart of a test: mm of its box, and the room left of it for figures.
const (
	plotWide, plotHigh = 120.0, 42.0
	plotLeft           = 14.0
)

// readings draws the pressures of a test over its minutes, with what was to be reached
// and how far it may fall as broken lines.
func (d *doc) readings(t audit.Tested) {
	points := t.Plot()
	if len(points) == 0 {
		return
	}
	d.room(plotHigh + 10)
	p := plotOf(t, points, d.f.GetX()+plotLeft, d.f.GetY()+1)
	left := d.f.GetX()
	d.f.SetLineWidth(0.2)
	d.f.SetDashPattern(nil, 0)
	d.f.Rect(p.x, p.y, plotWide, plotHigh, "D")
	d.font("", 7)
	for _, l := range t.Levels() {
		y := p.at(l.Bar)
		d.f.SetDashPattern([]float64{1, 1}, 0)
		d.f.Line(p.x, y, p.x+plotWide, y)
		d.label(left, y-1.5, fmt.Sprintf("%.2f", l.Bar))
		d.f.SetXY(p.x+plotWide+1, y-1.5)
		d.f.CellFormat(30, 3, l.Name, "", 0, "L", false, 0, "")
	}
	d.f.SetDashPattern(nil, 0)
	d.f.SetFillColor(0, 0, 0)
	for i, k := range points {
		x, y := p.along(k.Minute), p.at(k.Bar)
		d.f.Circle(x, y, 0.6, "F")
		if i > 0 {
			d.f.Line(p.along(points[i-1].Minute), p.at(points[i-1].Bar), x, y)
		}
	}
	d.last(p, points[len(points)-1])
	d.label(left, p.y, fmt.Sprintf("%.2f bar", p.High))
	d.f.SetXY(p.x, p.y+plotHigh+0.5)
	d.f.CellFormat(plotWide/2, 3, "0", "", 0, "L", false, 0, "")
	d.f.CellFormat(plotWide/2, 3, fmt.Sprintf("%g min", math.Round(p.Most*10)/10), "", 0, "R", false, 0, "")
	d.f.SetXY(left, p.y+plotHigh+5)
}

// last writes the value of the last point beside it, where the box has room for it.
func (d *doc) last(p plot, k audit.Plotted) {
	x, y := p.along(k.Minute), p.at(k.Bar)+0.8
	if y+3 > p.y+plotHigh {
		y -= 4.6
	}
	d.label(max(x-plotLeft+1, p.x), y, fmt.Sprintf("%.2f bar", k.Bar))
}

func (d *doc) label(x, y float64, s string) {
	d.f.SetXY(x, y)
	d.f.CellFormat(plotLeft-1, 3, s, "", 0, "R", false, 0, "")
}

// A plot is where the box of a chart lies and what it reaches.
type plot struct {
	x, y float64
	register.Reach
}

func plotOf(t audit.Tested, points []audit.Plotted, x, y float64) plot {
	return plot{x, y, register.ReachOf(t, points)}
}

func (p plot) along(minute float64) float64 { return p.x + minute/p.Most*plotWide }

func (p plot) at(bar float64) float64 { return p.y + (p.High-bar)/(p.High-p.Low)*plotHigh }
