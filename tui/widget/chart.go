package widget

import (
	"fmt"
	"math"
	"strings"
)

// A Point is one of a chart.
type Point struct{ X, Y float64 }

// A Level is a line across a chart, with its name beside it.
type Level struct {
	Y    float64
	Name string
}

// A Chart is a few points over a line of their own, drawn in signs that every terminal
// has. A library for it was looked at and left: it draws in dots of braille, which have
// no form in ASCII a cell for a cell.
type Chart struct {
	Points []Point
	Levels []Level // the highest first
	Unit   string  // of the points' height
	Along  string  // of the line below, "min"
	Most   float64
	Now    float64 // how far along it is now; 0: not marked
}

// chartLabel is the room for a figure left of the chart.
const chartLabel = 8

// View is the chart in so many columns and rows, its axis and figures in them. Nothing is
// drawn where there is no room or no point. The names of its levels have columns of their
// own, so that no point hides one.
func (c Chart) View(width, height int) []string {
	names, wide := make([]string, len(c.Levels)), 0
	for i, l := range c.Levels {
		names[i] = " " + figure2(l.Y) + l.Name
		wide = max(wide, Width(names[i]))
	}
	cols, rows := width-chartLabel-1-wide, height-2
	if len(c.Points) == 0 || cols < 10 || rows < max(3, len(names)) {
		return nil
	}
	low, high := c.bounds()
	grid, beside := make([][]rune, rows), make([]string, rows)
	for i := range grid {
		grid[i] = []rune(strings.Repeat(" ", cols))
	}
	row := func(y float64) int { return int(math.Round((high - y) / (high - low) * float64(rows-1))) }
	free := 0 // two levels of one row have their names one under the other
	for i, l := range c.Levels {
		at := row(l.Y)
		grid[at] = []rune(strings.Repeat("┈", cols))
		free = min(max(at, free), rows-len(names)+i)
		beside[free] = names[i]
		free++
	}
	for _, p := range c.Points {
		grid[row(p.Y)][c.column(p.X, cols)] = 'o'
	}
	labels := map[int]string{0: figure2(high), rows - 1: figure2(low)}
	var out []string
	for i, line := range grid {
		out = append(out, strings.TrimRight(fmt.Sprintf("%*s│", chartLabel, labels[i])+string(line)+beside[i], " "))
	}
	return append(out, c.axis(cols)...)
}

// column is where so far along lies.
func (c Chart) column(x float64, cols int) int {
	return min(max(0, int(math.Round(x/c.along()*float64(cols-1)))), cols-1)
}

// steps are how far apart the marks of an axis may be.
var steps = []float64{1, 2, 5, 10, 15, 30, 60, 120, 240, 480, 1440}

// perMark are the columns that a mark has at least.
const perMark = 8

// axis is the line below with its marks, and their figures. Where it is now is marked too.
func (c Chart) axis(cols int) []string {
	line, under := []rune(strings.Repeat("─", cols)), []rune(strings.Repeat(" ", cols))
	put := func(from int, text string) {
		at := []rune(text)
		from = min(max(0, from), cols-len(at))
		if strings.TrimSpace(string(under[max(0, from-1):min(cols, from+len(at)+1)])) == "" {
			copy(under[from:], at)
		}
	}
	put(0, "0")
	put(cols, fmt.Sprintf("%s %s", figure(c.along()), c.Along))
	if c.Now > 0 {
		line[c.column(c.Now, cols)] = '^'
		put(c.column(c.Now, cols)-1, "now")
	}
	for _, step := range steps {
		if c.along()/step > float64(cols)/perMark {
			continue
		}
		for x := step; x < c.along(); x += step {
			at := c.column(x, cols)
			if line[at] == '─' {
				line[at] = '┬'
			}
			put(at-len(figure(x))/2, figure(x))
		}
		break
	}
	return []string{fmt.Sprintf("%*s└", chartLabel, c.Unit) + string(line), strings.Repeat(" ", chartLabel+1) + string(under)}
}

// bounds are the least and the greatest height, with a little room.
func (c Chart) bounds() (low, high float64) {
	low, high = math.Inf(1), math.Inf(-1)
	for _, p := range c.Points {
		low, high = min(low, p.Y), max(high, p.Y)
	}
	for _, l := range c.Levels {
		low, high = min(low, l.Y), max(high, l.Y)
	}
	room := max((high-low)/10, 0.01)
	return low - room, high + room
}

func (c Chart) along() float64 {
	most := max(c.Most, c.Now)
	for _, p := range c.Points {
		most = max(most, p.X)
	}
	if most <= 0 {
		return 1
	}
	return most
}

func figure2(x float64) string { return fmt.Sprintf("%.2f ", x) }

func figure(x float64) string { return strings.TrimSuffix(fmt.Sprintf("%.1f", x), ".0") }
