package widget

import (
	"fmt"
	"math"
	"strings"
)

// A Point is one of a chart.
type Point struct{ X, Y float64 }

// A Level is a line across a chart with its name behind it.
type Level struct {
	Y    float64
	Name string
}

// A Chart is a few points over a line of their own, drawn in signs that every terminal
// has. A library for it was looked at and left: it draws in dots of braille, which have
// no form in ASCII a cell for a cell.
type Chart struct {
	Points []Point
	Levels []Level
	Unit   string // of the points' height
	Along  string // of the line below, "min"
	Most   float64
}

// chartLabel is the room for a figure left of the chart.
const chartLabel = 8

// View is the chart in so many columns and rows, its axis and figures in them. Nothing is
// drawn where there is no room or no point.
func (c Chart) View(width, height int) []string {
	cols, rows := width-chartLabel-1, height-2
	if len(c.Points) == 0 || cols < 10 || rows < 3 {
		return nil
	}
	low, high := c.bounds()
	grid := make([][]rune, rows)
	for i := range grid {
		grid[i] = []rune(strings.Repeat(" ", cols))
	}
	row := func(y float64) int { return int(math.Round((high - y) / (high - low) * float64(rows-1))) }
	labels := map[int]string{0: figure2(high), rows - 1: figure2(low)}
	for _, l := range c.Levels {
		at := row(l.Y)
		labels[at] = figure2(l.Y)
		c.level(grid[at], l.Name)
	}
	most := c.along()
	for _, p := range c.Points {
		at := int(math.Round(p.X / most * float64(cols-1)))
		grid[row(p.Y)][min(max(0, at), cols-1)] = 'o'
	}
	return c.framed(grid, labels, most)
}

// level is a line with its name at its end.
func (c Chart) level(line []rune, name string) {
	for i := range line {
		line[i] = '┈'
	}
	text := []rune(" " + name)
	if len(text) < len(line) {
		copy(line[len(line)-len(text):], text)
	}
}

func (c Chart) framed(grid [][]rune, labels map[int]string, most float64) []string {
	var out []string
	for i, line := range grid {
		out = append(out, fmt.Sprintf("%*s│", chartLabel, labels[i])+string(line))
	}
	cols := len(grid[0])
	end := fmt.Sprintf("%s %s", figure(most), c.Along)
	out = append(out, fmt.Sprintf("%*s└", chartLabel, c.Unit)+strings.Repeat("─", cols))
	return append(out, strings.Repeat(" ", chartLabel+1)+"0"+strings.Repeat(" ", max(1, cols-1-Width(end)))+end)
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
	most := c.Most
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
