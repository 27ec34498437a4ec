package chart

import (
	"fmt"
	"strings"
	"testing"
)

// Each port has its box under the name of its rail; what fits not in the width goes on in a
// row below, and a spare one is dotted.
func TestPorts(t *testing.T) {
	rails := []Rail{{Name: "rail to ground (TG), high row"}, {Name: "rail from ground (FG), low row"}}
	for i := range 14 {
		rails[0].Stubs = append(rails[0].Stubs, Stub{i + 1, fmt.Sprintf("%dB", i+1)})
	}
	rails[1].Stubs = []Stub{{15, "1A"}, {16, ""}}
	d := Ports(rails, 104)
	if len(d.Boxes) != 16 || d.W > 104 {
		t.Fatalf("%d boxes, %d wide", len(d.Boxes), d.W)
	}
	for i, b := range d.Boxes {
		if b.X+b.W > d.W || b.Y+b.H > d.H {
			t.Errorf("box %d ends outside: %+v of %d by %d", i, b, d.W, d.H)
		}
		for _, o := range d.Boxes[:i] {
			if b.X < o.X+o.W && o.X < b.X+b.W && b.Y < o.Y+o.H && o.Y < b.Y+b.H {
				t.Errorf("%q lies on %q", b.Lines, o.Lines)
			}
		}
	}
	if a, b := d.Boxes[12], d.Boxes[13]; a.Y != d.Boxes[0].Y || b.Y <= a.Y {
		t.Errorf("thirteen fit a row: %d and %d", a.Y, b.Y)
	}
	spare := d.Boxes[15]
	if spare.Edge != Dotted || spare.Lines[0] != "spare" || spare.Lines[1] != "port 16" || d.Boxes[14].Edge != Solid {
		t.Errorf("the spare port is %+v", spare)
	}
	text := strings.Join(d.Text(), "\n")
	if !strings.Contains(text, rails[0].Name) || !strings.Contains(text, rails[1].Name) || strings.Count(text, rails[0].Name) != 2 {
		t.Errorf("drawn as\n%s", text)
	}
}
