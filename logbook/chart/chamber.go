package chart

import (
	"fmt"
	"slices"

	"coolhold/logbook"
)

// The two rails of a chamber, named by the way the water goes.
const (
	fromGround = logbook.FromGround
	toGround   = logbook.ToGround
)

// A ladder is the drawing of one chamber: one rail at the top, the other at the
// bottom, a circuit from rail to rail in each column. Drawn so no lines cross,
// whatever rows the ports are in; the rail of the high row is on top, as it is
// for whoever looks into the chamber.
type ladder struct {
	Drawing
	rails
	name          string // of the chamber; only the small drawing bears it
	circuits      [][]Place
	spares        [][]Place          // ports without a joint, a column each
	headers       map[string][]Place // by rail
	tall          map[string]int     // the most joints one leg has on that rail
	upper, middle int                // where the upper joints and the words between begin
	lower, bar    int                // where the lower joints and the lower rail begin
}

// Chamber draws a chamber at most width units wide: as many drawings, one after
// another, as its circuits need. Joints that were split are drawn as the pieces
// they became. Places of other chambers are left out.
// Spare ports, as Spares gives them, stand on their rails after the circuits.
func Chamber(name string, places []Place, width int, spares ...Place) []Drawing {
	var out []Drawing
	fit := max(1, (width-side)/column)
	rails := railsOf(name, slices.Concat(places, spares))
	all := ladders(name, places, fit)
	for _, pair := range pairs(name, rails, spares) {
		last := &all[len(all)-1]
		if len(last.circuits)+len(last.spares) == fit {
			all = append(all, ladder{})
			last = &all[len(all)-1]
		}
		last.spares = append(last.spares, pair)
	}
	for _, l := range all {
		l.rails = rails
		out = append(out, l.draw())
	}
	return out
}

// The rows of ports, as the plan has them.
const (
	high = "high"
	low  = "low"
)

// rails are the two of a chamber as they are drawn, and in which row the ports
// of each lie; "" where they lie in both, or nobody said.
type rails struct {
	top, bottom string
	row         map[string]string
}

// railsOf finds which rail is drawn on top: the one with more of its ports in the
// high row. Where neither has, it is the one from ground.
func railsOf(chamber string, places []Place) rails {
	r := rails{fromGround, toGround, map[string]string{}}
	up, mixed := map[string]int{}, map[string]bool{}
	for _, p := range places {
		if p.Chamber != chamber || p.Row == "" || len(p.Split) > 0 {
			continue
		}
		rail := barOf(p)
		mixed[rail] = mixed[rail] || r.row[rail] != "" && r.row[rail] != p.Row
		r.row[rail] = p.Row
		up[rail] += map[string]int{high: 1, low: -1}[p.Row]
	}
	for rail := range mixed {
		if mixed[rail] {
			r.row[rail] = ""
		}
	}
	if up[toGround] > up[fromGround] {
		r.top, r.bottom = toGround, fromGround
	}
	return r
}

// named is a rail with the row of its ports: "rail to ground, high row".
func (r rails) named(rail string) string {
	if r.row[rail] == "" {
		return "rail " + rail
	}
	return "rail " + rail + ", " + r.row[rail] + " row"
}

// pairs are the spare ports of a chamber, one of each rail to a column.
func pairs(name string, r rails, spares []Place) (out [][]Place) {
	spares = slices.DeleteFunc(slices.Clone(spares), func(p Place) bool { return p.Chamber != name })
	top, bottom := on(r.top, spares), on(r.bottom, spares)
	for i := range max(len(top), len(bottom)) {
		out = append(out, slices.Concat(top[min(i, len(top)):min(i+1, len(top))], bottom[min(i, len(bottom)):min(i+1, len(bottom))]))
	}
	return out
}

// ladders are the circuits of a chamber, so many a ladder; the headers are on
// the first.
func ladders(name string, places []Place, fit int) []ladder {
	var circuits [][]Place
	headers := map[string][]Place{}
	at := map[int]int{}
	for _, p := range places {
		switch {
		case p.Chamber != name || len(p.Split) > 0:
		case p.Circuit == 0:
			headers[barOf(p)] = append(headers[barOf(p)], p)
		default:
			i, known := at[p.Circuit]
			if !known {
				i, circuits = len(circuits), append(circuits, nil)
				at[p.Circuit] = i
			}
			circuits[i] = append(circuits[i], p)
		}
	}
	var out []ladder
	for first := 0; first == 0 || first < len(circuits); first += fit {
		l := ladder{circuits: circuits[first:min(len(circuits), first+fit)], headers: headers}
		if first > 0 {
			l.headers = nil
		}
		out = append(out, l)
	}
	return out
}

// barOf is the rail that a joint is on; a joint that does not say is drawn by
// its leg or way.
func barOf(p Place) string {
	switch {
	case p.Bar != "":
		return p.Bar
	case p.Leg == "B" || p.Way == logbook.TG:
		return toGround
	}
	return fromGround
}

func on(bar string, places []Place) []Place {
	return slices.DeleteFunc(slices.Clone(places), func(p Place) bool { return barOf(p) != bar })
}

func (l ladder) draw() Drawing {
	l.measure()
	l.upper = barH + portH + shortestLine
	l.middle = l.upper + l.tall[l.top]*boxPitch
	l.lower = l.middle + middleH + shortestLine
	l.bar = l.lower + l.tall[l.bottom]*boxPitch + portH
	l.W, l.H = side+max(1, len(l.circuits)+len(l.spares))*column, l.bar+barH
	l.bars()
	for i, c := range l.circuits {
		l.circuit(side+i*column, c)
	}
	for i, pair := range l.spares {
		l.spare(side+(len(l.circuits)+i)*column, pair)
	}
	l.header(l.top, 0, 1)
	l.header(l.bottom, l.H-boxH, -1)
	return l.Drawing
}

// measure finds the most joints that a leg has on each rail.
func (l *ladder) measure() {
	l.tall = map[string]int{fromGround: 1, toGround: 1}
	for _, c := range l.circuits {
		for _, bar := range []string{fromGround, toGround} {
			l.tall[bar] = max(l.tall[bar], len(on(bar, c)))
		}
	}
}

func (l *ladder) bars() {
	for _, b := range []struct {
		name string
		y    int
	}{{l.top, 0}, {l.bottom, l.bar}} {
		l.Boxes = append(l.Boxes, Box{X: side, Y: b.y, W: l.W - side, H: barH, Edge: Solid, Lines: []string{l.named(b.name)}})
	}
}

// circuit draws one loop of pipe from rail to rail.
func (l *ladder) circuit(x int, joints []Place) {
	centre := x + boxW/2
	top, bottom := on(l.top, joints), on(l.bottom, joints)
	l.port(x, barH, top)
	l.port(x, l.bar-portH, bottom)
	from := barH + portH
	if len(top) == 0 {
		from = barH
	}
	for i, p := range top {
		y := l.upper + i*boxPitch
		l.Strokes = append(l.Strokes, Stroke{centre, from, centre, y, Solid})
		l.Boxes = append(l.Boxes, p.box(x, y))
		from = y + boxH
	}
	l.Strokes = append(l.Strokes, Stroke{centre, from, centre, l.middle, Solid})
	l.words(x, joints[0].Joint)
	from = l.middle + middleH
	for i := range bottom { // the first piece of a leg is at the rail, as on top
		p, y := bottom[len(bottom)-1-i], l.bar-portH-(len(bottom)-i)*boxPitch
		l.Strokes = append(l.Strokes, Stroke{centre, from, centre, y, Solid})
		l.Boxes = append(l.Boxes, p.box(x, y))
		from = y + boxH
	}
	end := l.bar - portH
	if len(bottom) == 0 {
		end = l.bar
	}
	l.Strokes = append(l.Strokes, Stroke{centre, from, centre, end, Solid})
}

// port draws the stub that the joints of a leg are on.
func (l *ladder) port(x, y int, leg []Place) {
	if len(leg) == 0 {
		return
	}
	p := leg[0]
	lines := []string{"port ?", p.Row}
	if p.Joint.Port > 0 {
		lines[0] = fmt.Sprintf("port %d", p.Joint.Port)
	}
	for _, q := range leg {
		switch {
		case q.Moved == nil:
		case q.OneRail:
			lines = []string{lines[0], fmt.Sprintf("made %d", q.Moved.No)}
		default:
			lines = []string{fmt.Sprintf("port %d", q.Moved.No), fmt.Sprintf("plan %d", q.Planned.No)}
		}
	}
	l.Boxes = append(l.Boxes, Box{X: x + (boxW-portW)/2, Y: y, W: portW, H: portH, Edge: Solid, Title: stub(p.Joint), Lines: lines})
}

// spare draws ports on which nothing is.
func (l *ladder) spare(x int, pair []Place) {
	for _, p := range pair {
		y := barH
		if barOf(p) == l.bottom {
			y = l.bar - portH
		}
		l.Boxes = append(l.Boxes, Box{X: x + (boxW-portW)/2, Y: y, W: portW, H: portH, Edge: Dotted, Lines: []string{fmt.Sprintf("port %d", p.Joint.Port), "spare"}})
	}
}

// words stand at the far end of a circuit, in the ground.
func (l *ladder) words(x int, j logbook.Joint) {
	size, length := pipe(j)
	for i, text := range []string{fmt.Sprintf("circuit %d", j.Circuit), narrow(size), logbook.Joined(" ", j.Tape, length)} {
		l.Labels = append(l.Labels, Label{X: x, Y: l.middle + i, W: boxW, Text: text})
	}
}

// header draws the joints between a rail and the pipe to the plant room, from
// the rail inwards.
func (l *ladder) header(bar string, y, way int) {
	joints := l.headers[bar]
	if len(joints) == 0 {
		return
	}
	l.Strokes = append(l.Strokes, Stroke{boxW, l.barY(bar), side, l.barY(bar), Solid})
	for i, p := range joints {
		l.Boxes = append(l.Boxes, p.box(0, y+way*i*boxPitch))
		if i > 0 {
			low := max(y+way*i*boxPitch, y+way*(i-1)*boxPitch)
			l.Strokes = append(l.Strokes, Stroke{boxW / 2, low - 1, boxW / 2, low, Solid})
		}
	}
	size, _ := pipe(joints[0].Joint)
	text, at := []string{"header", bar, narrow(size)}, y+len(joints)*boxPitch-1
	if way < 0 {
		at = y - (len(joints)-1)*boxPitch - len(text)
	}
	for i, t := range text {
		l.Labels = append(l.Labels, Label{X: 0, Y: at + i, W: boxW, Text: t})
	}
}

func (l *ladder) barY(bar string) int {
	if bar == l.top {
		return barH / 2
	}
	return l.bar + barH/2
}

// Runs draws the joints outside the chambers as a list, each with what is known
// of its place.
func Runs(places []Place, width int) Drawing {
	d := Drawing{W: max(Least, width)}
	for _, p := range places {
		if p.Chamber != "" || len(p.Split) > 0 {
			continue
		}
		d.Boxes = append(d.Boxes, p.box(0, d.H))
		_, length := pipe(p.Joint)
		for i, text := range []string{p.Where, p.Fitting, logbook.Joined(", ", p.On, meets(p.Joint), length)} {
			d.Labels = append(d.Labels, Label{X: boxW + 2, Y: d.H + 1 + i, W: d.W - boxW - 2, Text: text, Left: true})
		}
		d.H += boxPitch
	}
	return d
}

// pipeOf says in words which pipe a joint outside the chambers is on: that of a
// header, that of a circuit, or one of its own.
func pipeOf(places []Place, p Place) string {
	for _, o := range places {
		switch {
		case o.Chamber == "" || !o.Joint.On(p.Pipe):
		case o.Circuit > 0:
			return fmt.Sprintf("on the pipe of circuit %d, chamber %s", o.Circuit, o.Chamber)
		default:
			return fmt.Sprintf("on the header %s, chamber %s", barOf(o), o.Chamber)
		}
	}
	for _, o := range places {
		if o.Joint.On(p.Pipe) && o.Label != p.Label {
			return "on the pipe of joint " + o.Label
		}
	}
	return "on a pipe of its own"
}

// listed sets what is said behind another with commas.
