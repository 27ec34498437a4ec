package widget

import (
	"strings"
	"testing"
)

// A chart shows each point where its figures say, with what is allowed as a line across,
// the time in marks and where it is now, and never wider or higher than it was given. No
// point hides the name of a line, and two lines of one row have both.
func TestAChart(t *testing.T) {
	c := Chart{Points: []Point{{0, 6.1}, {30, 6.05}, {59, 5.9}}, Levels: []Level{{6, "wanted"}, {5.9, "allowed"}}, Unit: "bar", Along: "min", Most: 60, Now: 40}
	got := c.View(60, 8)
	want := []string{
		"   6.12 │o",
		"        │                   o",
		"        │",
		"        │┈┈┈┈┈┈┈┈┈┈┈┈┈┈┈┈┈┈┈┈┈┈┈┈┈┈┈┈┈┈┈┈┈┈┈┈┈┈ 6.00 wanted",
		"        │",
		"   5.88 │┈┈┈┈┈┈┈┈┈┈┈┈┈┈┈┈┈┈┈┈┈┈┈┈┈┈┈┈┈┈┈┈┈┈┈┈o┈ 5.90 allowed",
		"     bar└─────────┬─────────┬─────^──┬─────────",
		"         0       15        30    now     60 min",
	}
	if strings.Join(got, "\n") != strings.Join(want, "\n") {
		t.Errorf("drawn as\n%s\nwant\n%s", strings.Join(got, "\n"), strings.Join(want, "\n"))
	}
	c.Points = append(c.Points, Point{60, 2})
	got = c.View(60, 8)
	if !strings.HasSuffix(got[1], " 6.00 wanted") || !strings.HasSuffix(got[2], " 5.90 allowed") {
		t.Errorf("drawn as\n%s", strings.Join(got, "\n"))
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
