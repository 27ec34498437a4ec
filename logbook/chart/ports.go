package chart

import "fmt"

// A Stub is a port of a chamber in a drawing of its ports alone.
type Stub struct {
	No    int
	Joint string // what is on it; "": nothing
}

// A Rail is the ports of a chamber that share one header, in their order.
type Rail struct {
	Name  string
	Stubs []Stub
}

// The measures of a drawing of ports. It is to be read from above, in a lid: few words in
// wide boxes.
const (
	stubW, stubH = 7, 3
	stubColumn   = 8
	railH        = 2
	railGap      = 1
)

// Ports draws the rails of a chamber one under another, the first on top, each with so many
// of its ports as fit into width, and the rest in rows of their own. Where nothing is on a
// port its box is dotted.
func Ports(rails []Rail, width int) (d Drawing) {
	fit := max(1, width/stubColumn)
	for _, r := range rails {
		d.W = max(d.W, min(fit, len(r.Stubs))*stubColumn)
	}
	for _, r := range rails {
		for from := 0; from == 0 || from < len(r.Stubs); from += fit {
			d = d.rail(r, from, min(len(r.Stubs), from+fit))
		}
	}
	return d
}

func (d Drawing) rail(r Rail, from, to int) Drawing {
	if d.H > 0 {
		d.H += railGap
	}
	d.Labels = append(d.Labels, Label{X: 0, Y: d.H, W: max(d.W, 1), Text: r.Name, Left: true})
	d.H += railH - 1
	for i, s := range r.Stubs[from:to] {
		b := Box{X: i * stubColumn, Y: d.H, W: stubW, H: stubH, Edge: Solid, Joint: s.Joint, Lines: []string{s.Joint, fmt.Sprintf("port %d", s.No)}}
		if s.Joint == "" {
			b.Edge, b.Lines[0] = Dotted, "spare"
		}
		d.Boxes = append(d.Boxes, b)
	}
	d.H += stubH
	return d
}
