// Package chart lays out a chamber with its circuits and the state of every
// joint as boxes, lines and words on a grid: one unit is a character wide and a
// line high. It knows no colour: words, the styles of edges and a hatch carry
// the meaning, so that a terminal and a black and white print say the same.
package chart

import (
	"cmp"
	"fmt"
	"slices"
	"strconv"
	"strings"
	"unicode/utf8"

	"coolhold/logbook"
	"coolhold/logbook/ahead"
	"coolhold/logbook/audit"
	"coolhold/logbook/plan"
)

// An Edge is how a box is bordered or a line drawn.
type Edge int

// The edges, from the quietest.
const (
	Dotted Edge = iota // nothing stands there
	Dashed             // not finished, or a person must decide
	Solid              // no fault is recorded
	Heavy              // a fault is recorded
)

// A Box is a rectangle with words in it; the first line is the name. One that is
// a single line high has no edges but brackets.
type Box struct {
	X, Y, W, H int // H counts both edges
	Edge       Edge
	Hatch      bool
	Title      string // on the upper edge; may be ""
	Lines      []string
	Joint      string // label of the joint that it shows, or ""
}

// A Stroke is upright or level.
type Stroke struct {
	X1, Y1, X2, Y2 int
	Edge           Edge
}

// A Label is words in the open, centred in W.
type Label struct {
	X, Y, W int
	Text    string
	Left    bool // not centred
}

// A Drawing is one picture, W by H units.
type Drawing struct {
	W, H    int
	Boxes   []Box
	Strokes []Stroke
	Labels  []Label
}

// A Place is a joint with what is made in it.
type Place struct {
	logbook.Joint
	Weld  string   // that stands or is made in it, or ""
	Also  []string // that stand in it too: of several logs
	State audit.State
	Left  string // of a fusion or hold that runs: time left or a word; else ""
	Port  string // as welded, where that was said; else ""

	// Moved is the port that its leg lies at where that is another than the plan's, as the weld
	// in it says or that in another piece of the leg. Row and Bar are then those of that port,
	// unless both legs of its circuit would be drawn on one rail.
	Moved   *plan.Port
	Planned plan.Port // the plan's, where Moved is another
	OneRail bool      // they would: it is drawn where the plan has it

	NotOurs bool   // it came fused from a works
	Covered bool   // under the ground though not settled
	On      string // the pipe that a joint outside the chambers is on, in words; else ""
}

// Places are the joints of a site in the plan's order.
func Places(r logbook.Reader, site string, res audit.Result) []Place {
	var out []Place
	s, _ := r.Site(site)
	for _, j := range r.Joints(site) {
		p := Place{Joint: j, Weld: cmp.Or(j.Stands, j.Walk), State: res.StateOf(j)}
		if _, under := ahead.Under(s, j); under {
			p.Covered = !p.State.Is(audit.Clear) && !p.State.Is(audit.Accepted) && !p.State.Is(audit.OwnOnly)
		}
		if w, ok := r.Weld(site, p.Weld); ok {
			p.Joint = j.In(w)
			p.Port = w.Answers[logbook.ItemPort].V
		}
		out = append(out, p)
	}
	for _, w := range r.Welds(site) {
		i := slices.IndexFunc(out, func(p Place) bool { return p.Label == w.Joint })
		if i >= 0 && w.Stands() && w.ID != out[i].Weld {
			out[i].Also = append(out[i].Also, w.ID)
		}
	}
	for i, p := range out {
		if p.Chamber == "" {
			out[i].On = pipeOf(out, p)
		}
	}
	moved(r, s, out)
	return out
}

// moved puts the legs of circuits where they were welded.
func moved(r logbook.Reader, s logbook.Site, places []Place) {
	type circuit struct {
		chamber string
		no      int
	}
	bars := map[circuit]map[string]string{} // the leg that is on each rail
	for i, p := range places {
		if p.Chamber == "" || p.Circuit == 0 || !p.Counts() {
			continue
		}
		bar := barOf(p)
		if no := ahead.LegPort(r, p.Joint); no != p.Joint.Port {
			at := plan.Port{No: no, Bar: bar, Row: p.Row}
			for _, o := range ahead.PortsOf(r, s, p.Chamber) {
				if o.No == no {
					at = o
				}
			}
			places[i].Moved, places[i].Planned, bar = &at, plan.Port{No: p.Joint.Port, Row: p.Row, Bar: bar}, at.Bar
		}
		c := circuit{p.Chamber, p.Circuit}
		if bars[c] == nil {
			bars[c] = map[string]string{}
		}
		if leg, taken := bars[c][bar]; taken && leg != p.Leg {
			bars[c][""] = bothLegs
		}
		bars[c][bar] = p.Leg
	}
	for i, p := range places {
		switch {
		case p.Moved == nil:
		case bars[circuit{p.Chamber, p.Circuit}][""] == bothLegs:
			places[i].OneRail = true
		default:
			places[i].Row, places[i].Bar = p.Moved.Row, p.Moved.Bar
		}
	}
}

// bothLegs marks a circuit of which both legs are on one rail.
const bothLegs = "both"

// Factory are the joints of a site that came fused from a works, to stand in the
// list of what lies outside the chambers.
func Factory(s logbook.Site) []Place {
	var out []Place
	for _, n := range s.NotOurs() {
		p := Place{Joint: logbook.Joint{Joint: n.Joint, Site: s.ID}, State: notOurs, NotOurs: true}
		p.Fitting = n.Says()
		if n.Chamber != "" {
			p.Chamber, p.On = "", "in chamber "+n.Chamber
		}
		out = append(out, p)
	}
	return out
}

// notOurs is said of a joint that came fused from a works. No audit knows it.
const notOurs = audit.State("not ours")

// Spares are the ports of the plan on which no joint is and at which none was
// made, a place each with nothing but its chamber and port.
func Spares(r logbook.Reader, site string, places []Place) []Place {
	s, _ := r.Site(site)
	var out []Place
	for _, c := range s.Chambers {
		for _, port := range ahead.PortsOf(r, s, c.Name) {
			used := func(p Place) bool {
				return p.Chamber == c.Name && (p.Joint.Port == port.No || p.Port == strconv.Itoa(port.No))
			}
			if slices.ContainsFunc(places, used) {
				continue
			}
			spare := Place{}
			spare.Chamber, spare.Joint.Port, spare.Row, spare.Bar = c.Name, port.No, port.Row, port.Bar
			out = append(out, spare)
		}
	}
	return out
}

// A Style is how the states of joints are drawn.
type Style struct {
	States []audit.State
	Edge   Edge
	Hatch  bool
}

// Styles is the legend, the worst first.
var Styles = []Style{
	{[]audit.State{audit.State(audit.Failed), audit.Crossed}, Heavy, true},
	{[]audit.State{audit.State(audit.Queried), audit.PressureLost}, Heavy, false},
	{[]audit.State{audit.Fusing, audit.InHold, audit.State(audit.Unfinished), audit.InTheWalk}, Dashed, false},
	{[]audit.State{audit.NotMade, audit.OpenAgain, audit.StruckOff, audit.SplitUp}, Dotted, false},
	{[]audit.State{audit.State(audit.Clear), audit.State(audit.Accepted), audit.State(audit.OwnOnly)}, Solid, false},
}

// Words are the states that are drawn so, for a legend.
func (s Style) Words() string {
	words := make([]string, len(s.States))
	for i, state := range s.States {
		words[i] = string(state)
	}
	return strings.Join(words, ", ")
}

func styleOf(state audit.State) Style {
	for _, s := range Styles {
		if slices.Contains(s.States, state) {
			return s
		}
	}
	return Style{Edge: Dashed} // a word that is not known yet must not look settled
}

// The measures of the grid. A column holds one circuit.
const (
	boxW, boxH   = 13, 5
	column       = 14
	side         = 17 // room at the left for the headers
	barH, portH  = 3, 4
	portW        = 9
	middleH      = 3 // lines of words at the far end of a circuit
	boxPitch     = boxH + 1
	shortestLine = 1
)

// Least is the least width at which a chamber can be drawn.
const Least = side + column

func (p Place) box(x, y int) Box {
	s := styleOf(p.State)
	weld, label := cmp.Or(p.Weld, "no weld"), p.Label
	if p.NotOurs {
		weld, label, s.Edge = "from works", "", Dotted // no joint that can be chosen
	}
	b := Box{X: x, Y: y, W: boxW, H: boxH, Edge: s.Edge, Hatch: s.Hatch, Joint: label, Lines: []string{p.Label, weld, logbook.Joined(" ", p.state(), p.Left)}}
	if p.Covered {
		b.Title = covered
	}
	return b
}

// state is a joint's state as it fits a box.
func (p Place) state() string {
	if p.State == audit.StruckOff {
		return "not built" // "not being built" is cut there
	}
	return string(p.State)
}

// covered stands on the edge of a joint that is under the ground and not settled.
const covered = "covered"

// pipe says what a joint's pipe is.
func pipe(j logbook.Joint) (size, length string) {
	if j.OdMM > 0 {
		size = fmt.Sprintf("%d mm", j.OdMM)
	}
	if j.SDR > 0 {
		size += fmt.Sprintf(" SDR %s", j.SDR)
	}
	if j.LengthM > 0 {
		length = fmt.Sprintf("%g m", j.LengthM)
	}
	return size, length
}

// narrow is the size of a pipe for a column: without its unit where it would be cut.
func narrow(size string) string {
	if utf8.RuneCountInString(size) > boxW {
		return strings.Replace(size, " mm SDR ", ", SDR ", 1)
	}
	return size
}

// meets says what several pipes that meet outside the chambers are: "63 + 63 + 40
// mm", "?" where one is not stated; of one pipe what pipe says.
func meets(j logbook.Joint) string {
	size, _ := pipe(j)
	if len(j.Ends) < 2 {
		return size
	}
	sizes := make([]string, len(j.Ends))
	for i, e := range j.Ends {
		sizes[i] = "?"
		if e.OdMM > 0 {
			sizes[i] = strconv.Itoa(e.OdMM)
		}
	}
	return strings.Join(sizes, " + ") + " mm"
}

// stub is the size of the chamber's stub that a joint is on, or "".
func stub(j logbook.Joint) string {
	for _, e := range j.Ends {
		if e.Stub && e.OdMM > 0 {
			return fmt.Sprintf("%d mm", e.OdMM)
		}
	}
	return ""
}
