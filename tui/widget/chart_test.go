package widget

import (
	"strings"
	"testing"
)

// A chart shows each point where its figures say, with what is allowed as a line across,
// and never wider or higher than it was given.
func TestAChart(t *testing.T) {
	c := Chart{Points: []Point{{0, 6.1}, {30, 6.05}, {60, 5.8}}, Levels: []Level{{5.9, "allowed"}}, Unit: "bar", Along: "min", Most: 60}
	got := c.View(40, 8)
	want := []string{
		"   6.13 │o                              ",
		"        │               o               ",
		"        │                               ",
		"   5.90 │┈┈┈┈┈┈┈┈┈┈┈┈┈┈┈┈┈┈┈┈┈┈┈ allowed",
		"        │                               ",
		"   5.77 │                              o",
		"     bar└───────────────────────────────",
		"         0                        60 min",
	}
	if strings.Join(got, "\n") != strings.Join(want, "\n") {
		t.Errorf("drawn as\n%s\nwant\n%s", strings.Join(got, "\n"), strings.Join(want, "\n"))
	}
	for _, size := range [][2]int{{20, 5}, {40, 8}, {120, 20}} {
		lines := c.View(size[0], size[1])
		if len(lines) > size[1] {
			t.Errorf("%d lines in %d", len(lines), size[1])
		}
		for _, l := range lines {
			if Width(l) > size[0] || strings.Contains(ASCII(l), "?") {
				t.Errorf("in %d columns %q, in ASCII %q", size[0], l, ASCII(l))
			}
		}
	}
	if (Chart{}).View(80, 10) != nil || c.View(15, 10) != nil || c.View(80, 4) != nil {
		t.Error("drawn without a point, or without room")
	}
}
