package html

import (
	"fmt"
	"math"
	"strings"

	"coolhold/logbook"
	"coolhold/logbook/audit"
	"coolhold/logbook/register"
	"coolhold/logbook/register/account"
)

// A test is a pressure test with its readings drawn.
type test struct {
	account.Test
	Plot *plot
}

func testsOf(p account.Pressure) (out []test) {
	for _, t := range p.Tests {
		out = append(out, test{t, plotOf(t.ID, t.Of)})
	}
	return out
}

// A plot is the pressures of a test over its minutes, in dots.
type plot struct {
	ID, Title, Says string
	W, H            int
	Box             box
	Levels          []level
	Path            string
	Points          []stroke // their X1 and Y1
	Words           []word
}

// Hint is the class of the words that it is moved sideways.
func (p plot) Hint() string { return hintOf(p.W) }

// A level is a line across the plot with its figure and its name.
type level struct{ Y, Under, Figure, Name, Right string }

// The measures of a plot, in dots.
const (
	plotLeft, plotTop, plotWide, plotHigh = 60, 8, 420, 150
	plotNames                             = 110
)

// plotOf draws the readings of a test, with what was to be reached and how far it may fall
// as broken lines; nil where nothing was read.
func plotOf(id string, t audit.Tested) *plot {
	points := t.Plot()
	if len(points) == 0 {
		return nil
	}
	r := register.ReachOf(t, points)
	x := func(minute float64) float64 { return math.Round(plotLeft + minute/r.Most*plotWide) }
	y := func(bar float64) float64 { return math.Round(plotTop + (r.High-bar)/(r.High-r.Low)*plotHigh) }
	p := &plot{ID: id + "-plot", Title: "Pressure in test " + t.ID, W: plotLeft + plotWide + plotNames, H: plotTop + plotHigh + 24, Box: box{X: plotLeft, Y: plotTop, W: plotWide, H: plotHigh}}
	var says []string
	for _, l := range t.Levels() {
		p.Levels = append(p.Levels, level{dots(y(l.Bar)), dots(y(l.Bar) + 4), fmt.Sprintf("%.2f", l.Bar), l.Name, dots(plotLeft + plotWide)})
		says = append(says, fmt.Sprintf("%s %.2f bar", l.Name, l.Bar))
	}
	var path strings.Builder
	for i, k := range points {
		p.Points = append(p.Points, stroke{X1: dots(x(k.Minute)), Y1: dots(y(k.Bar))})
		fmt.Fprintf(&path, "%s%s %s", map[bool]string{true: "M", false: "L"}[i == 0], dots(x(k.Minute)), dots(y(k.Bar)))
		says = append(says, fmt.Sprintf("%.2f bar at %g min", k.Bar, math.Round(k.Minute*10)/10))
	}
	last := points[len(points)-1]
	p.Path, p.Says = path.String(), "Read: "+logbook.Joined("; ", says...)+"."
	p.Words = []word{
		{X: dots(plotLeft), Y: dots(plotTop + plotHigh + 16), Text: "0 min"},
		{X: dots(plotLeft + plotWide), Y: dots(plotTop + plotHigh + 16), Text: fmt.Sprintf("%g min", math.Round(r.Most*10)/10)},
		{X: dots(min(max(x(last.Minute), plotLeft+34), plotLeft+plotWide-34)), Y: dots(lowered(y(last.Bar))), Text: fmt.Sprintf("%.2f bar", last.Bar)},
	}
	return p
}

// lowered is where the words of a point stand: below it where there is room, else above.
func lowered(y float64) float64 {
	if y+16 > plotTop+plotHigh {
		return y - 7
	}
	return y + 16
}
