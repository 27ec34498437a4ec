package chart

import (
	"fmt"
	"strings"
	"unicode/utf8"

	"coolhold/logbook"
)

// The measures of the small drawing, of which eight circuits fit a terminal of
// 80 columns. It leaves out the weld's number; the port is on the box's edge.
const (
	smallW, smallH = 10, 5
	smallMiddle    = 2  // lines of words between the legs
	smallHeader    = 24 // width of a header's joint
	smallLeast     = 60 // so that what is beside the header's joint can be read
)

// Small draws a chamber as Chamber does, in less room: at most width columns,
// and 16 lines where no joint was split.
func Small(name string, places []Place, width int) []Drawing {
	var out []Drawing
	rails := railsOf(name, places)
	for _, l := range ladders(name, places, max(1, width/smallW)) {
		l.name, l.rails = name, rails
		out = append(out, l.drawSmall(width))
	}
	return out
}

// SmallRuns lists the joints outside the chambers, a line each.
func SmallRuns(places []Place, width int) Drawing {
	d := Drawing{W: max(smallLeast, width)}
	for _, p := range places {
		if p.Chamber != "" || len(p.Split) > 0 {
			continue
		}
		d.Boxes = append(d.Boxes, p.line(0, d.H))
		d.Labels = append(d.Labels, Label{X: smallHeader + 1, Y: d.H, W: d.W - smallHeader - 1, Text: logbook.Joined(" ", p.Fitting, p.Where), Left: true})
		d.H++
	}
	return d
}

func (l ladder) drawSmall(width int) Drawing {
	l.measure()
	head, foot := min(1, len(l.headers[l.top])), min(1, len(l.headers[l.bottom]))
	l.upper = head + 1
	l.middle = l.upper + l.tall[l.top]*smallH
	l.lower = l.middle + smallMiddle
	l.bar = l.lower + l.tall[l.bottom]*smallH
	l.W, l.H = max(len(l.circuits)*smallW, min(width, smallLeast)), l.bar+1+foot
	l.smallRail(l.top, head)
	l.smallRail(l.bottom, l.bar)
	for i, c := range l.circuits {
		l.smallCircuit(i*smallW, c)
	}
	l.smallHeaders(l.top, 0)
	l.smallHeaders(l.bottom, l.H-1)
	return l.Drawing
}

// smallRail is a rail with its chamber; the row of its ports is left out where
// the line is too narrow for it, the ports have it then.
func (l *ladder) smallRail(rail string, y int) {
	l.Strokes = append(l.Strokes, Stroke{0, y, l.W, y, Heavy})
	text := " chamber " + l.name + ", " + l.named(rail) + " "
	if utf8.RuneCountInString(text) > l.W {
		text = " chamber " + l.name + ", rail " + rail + " "
	}
	wide := utf8.RuneCountInString(text)
	l.Labels = append(l.Labels, Label{X: (l.W - wide) / 2, Y: y, W: wide, Text: text, Left: true})
}

// smallCircuit draws one loop of pipe from rail to rail.
func (l *ladder) smallCircuit(x int, joints []Place) {
	centre := x + smallW/2
	top, bottom := on(l.top, joints), on(l.bottom, joints)
	for i, p := range top {
		l.Boxes = append(l.Boxes, p.small(x, l.upper+i*smallH, i == 0, l.rowOn(l.top, p)))
	}
	l.Strokes = append(l.Strokes, Stroke{centre, l.upper + len(top)*smallH, centre, l.middle, Solid})
	for i, text := range smallWords(joints[0]) {
		l.Labels = append(l.Labels, Label{X: x, Y: l.middle + i, W: smallW - 1, Text: text})
	}
	first := l.bar - len(bottom)*smallH
	l.Strokes = append(l.Strokes, Stroke{centre, l.lower, centre, first, Solid})
	for i := range bottom { // the first piece of a leg is at the rail, as on top
		p := bottom[len(bottom)-1-i]
		l.Boxes = append(l.Boxes, p.small(x, first+i*smallH, i == len(bottom)-1, l.rowOn(l.bottom, p)))
	}
}

// smallWords name a circuit, and say by what its pipe is told from the others.
func smallWords(p Place) []string {
	name, mark := fmt.Sprintf("circuit %d", p.Circuit), p.Tape
	if len(name) >= smallW {
		name = fmt.Sprintf("circ. %d", p.Circuit)
	}
	if mark == "" && p.OdMM > 0 {
		mark = fmt.Sprintf("%d mm", p.OdMM)
	}
	return []string{name, mark}
}

// rowOn is the row of a port where its rail does not say it for all.
func (l *ladder) rowOn(rail string, p Place) string {
	if l.row[rail] != "" {
		return ""
	}
	return p.Row
}

// smallHeaders draws the joints between a rail and the pipe to the plant room.
func (l *ladder) smallHeaders(bar string, y int) {
	joints := l.headers[bar]
	if len(joints) == 0 {
		return
	}
	x := 0
	for _, p := range joints {
		l.Boxes = append(l.Boxes, p.line(x, y))
		x += smallHeader + 1
	}
	size, _ := pipe(joints[0].Joint)
	l.W = max(l.W, x)
	l.Labels = append(l.Labels, Label{X: x, Y: y, W: l.W - x, Text: logbook.Joined(" ", "header", bar, size), Left: true})
}

// small is the box of a joint with its port, as welded where that is not the
// plan's, on its edge; with its row, where that must be said.
func (p Place) small(x, y int, port bool, row string) Box {
	s := styleOf(p.State)
	b := Box{X: x, Y: y, W: smallW, H: smallH, Edge: s.Edge, Hatch: s.Hatch, Joint: p.Label, Lines: append([]string{tail(p.Label, smallW-3)}, p.twoLines()...)}
	switch {
	case !port:
	case p.Moved != nil:
		b.Title = fmt.Sprintf("made %d", p.Moved.No)
	case p.Joint.Port > 0 && row != "":
		b.Title = fmt.Sprintf("%d %s", p.Joint.Port, row)
	case p.Joint.Port > 0:
		b.Title = fmt.Sprintf("port %d", p.Joint.Port)
	}
	return b
}

// tail is the end of a label that is too long: labels of a chamber begin alike.
func tail(label string, most int) string {
	runes := []rune(label)
	if len(runes) <= most {
		return label
	}
	return "…" + string(runes[len(runes)-most+1:])
}

// twoLines is the state on two narrow lines, the time left on the second.
func (p Place) twoLines() []string {
	state := p.state()
	if p.Left != "" {
		return []string{state, p.Left}
	}
	if p.Covered && len(state) <= smallW-2 {
		return []string{state, covered}
	}
	if len(state) <= smallW-2 {
		return []string{state, ""}
	}
	if i := strings.LastIndexByte(state, ' '); i > 0 {
		return []string{state[:i], state[i+1:]}
	}
	half := len(state) / 2
	return []string{state[:half] + "-", state[half:]}
}

// line is a joint on a line of its own.
func (p Place) line(x, y int) Box {
	s := styleOf(p.State)
	state := logbook.Joined(" ", string(p.State), p.Left)
	if p.Covered {
		state = logbook.Joined(" ", state, covered)
	}
	return Box{X: x, Y: y, W: smallHeader, H: 1, Edge: s.Edge, Joint: p.Label, Lines: []string{p.Label, state}}
}
