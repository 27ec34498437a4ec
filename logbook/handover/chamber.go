package handover

import (
	"cmp"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"coolhold/fusion"
	"coolhold/logbook"
	"coolhold/logbook/chart"
)

// ChamberPage is the page for the lid of a chamber: to be read standing over it, years
// later, by somebody who knows nothing of it. false: there is no such chamber.
func (h Handover) ChamberPage(name string) (Leaf, bool) {
	i := slices.IndexFunc(h.Chambers, func(c Chamber) bool { return c.Name == name })
	if i < 0 {
		return Leaf{}, false
	}
	c := h.Chambers[i]
	year := "when it was welded is not recorded"
	if c.Year != "" {
		year = "welded in " + c.Year
	}
	lid := ""
	if c.Lid != "" {
		lid = "lid: " + c.Lid
	}
	return Leaf{
		Kind: "Chamber of a ground loop", Title: "CHAMBER " + c.Name, Loud: true,
		Under: []string{h.Site, logbook.Joined("; ", h.Address, lid, year), "As recorded up to " + h.at.Format(dayOf) + "; what is in it, and the pressure, may be otherwise by now."},
		Parts: []Part{c.portsPart(), h.chamberCircuits(c), h.lidPart(c), h.chamberRows(c), h.callPart(), {Name: "caution", Title: "Caution", Lines: []string{cautions[0], cautions[1], "Before you climb in: no ground stands unsupported, and air in a pit can be bad."}}},
		Foot:  []string{Caveat},
		By:    h.Program,
	}, true
}

// portsPart is each rail with its ports, for whoever has no drawing.
func (c Chamber) portsPart() Part {
	p := Part{Name: "ports", Title: "Ports", Ports: c.Ports}
	for _, rail := range c.rails() {
		var says []string
		for _, port := range c.Ports {
			if port.Rail == rail {
				says = append(says, port.called())
			}
		}
		p.Rows = append(p.Rows, Row{c.railName(rail), []string{strings.Join(says, ", ")}})
	}
	if len(c.Ports) == 0 {
		p.Lines = []string{"No port of it is in the plan."}
	}
	return p
}

// rails are those of a chamber, the one whose ports lie high on top.
func (c Chamber) rails() (rails []string) {
	high := map[string]int{}
	for _, p := range c.Ports {
		if !slices.Contains(rails, p.Rail) {
			rails = append(rails, p.Rail)
		}
		if p.Row == "high" {
			high[p.Rail]++
		}
	}
	slices.SortStableFunc(rails, func(a, b string) int { return cmp.Or(cmp.Compare(high[b], high[a]), cmp.Compare(a, b)) })
	return rails
}

// railName is a rail with its mark, and the row that its ports lie in where that is one.
func (c Chamber) railName(rail string) string {
	var rows []string
	for _, p := range c.Ports {
		if p.Rail == rail && p.Row != "" && !slices.Contains(rows, p.Row) {
			rows = append(rows, p.Row)
		}
	}
	name := "rail not stated"
	if rail != "" {
		name = "rail " + rail + " (" + logbook.WayMark(rail) + ")"
	}
	if len(rows) == 1 {
		name += ", " + rows[0] + " row"
	}
	return name
}

// called is a port with what is on it.
func (p Port) called() string {
	return fmt.Sprintf("port %d: %s", p.No, cmp.Or(p.Joint, "spare"))
}

// portsShort are the legs of a circuit at its ports: "FG 1, TG 6".
func (c Circuit) portsShort() string {
	var says []string
	for _, l := range c.Ports {
		port := "not stated"
		if l.Port > 0 {
			port = strconv.Itoa(l.Port)
		}
		says = append(says, logbook.Joined(" ", logbook.WayMark(l.Rail), port))
	}
	return cmp.Or(strings.Join(says, ", "), "not stated")
}

// flowShort is the flow of a circuit with how it is known, in a few words.
func (c Circuit) flowShort() string {
	says := c.alone
	if c.set {
		says = logbook.Joined("; ", fusion.Figure(*c.LPM)+" L/min, as set", c.alone)
	}
	return logbook.Joined(": ", cmp.Or(says, "not recorded"), c.against)
}

func (h Handover) chamberCircuits(c Chamber) Part {
	t := &Table{Heads: []string{"circuit", "ports", "pipe", "litres, at most", "flow"}}
	for _, k := range h.Circuits {
		if k.Chamber == c.Name {
			t.Rows = append(t.Rows, []string{k.called(), k.portsShort(), k.Pipe, shortLitres(k.LitresL), k.flowShort()})
		}
	}
	for _, k := range h.Headers {
		if k.Chamber == c.Name {
			t.Rows = append(t.Rows, []string{"header " + k.Way, k.Mark, k.Pipe, shortLitres(k.LitresL), "all circuits"})
		}
	}
	if len(t.Rows) == 0 {
		return Part{Name: "circuits", Title: "Circuits", Lines: []string{"No circuit and no header of it is in the plan."}}
	}
	return Part{Name: "circuits", Title: "Circuits", Table: t}
}

// chamberRows is what is in the pipes of a chamber and how they were left.
func (h Handover) chamberRows(c Chamber) Part {
	in := func(section string) bool {
		if section == logbook.Whole {
			return true
		}
		for _, t := range h.sections {
			if t.Name == section {
				return t.ID.Chamber == c.Name
			}
		}
		return false
	}
	own := func(all []Said) []Said {
		return slices.DeleteFunc(slices.Clone(all), func(s Said) bool { return !in(s.Section) })
	}
	p := Part{Name: "content", Title: "In it, and how it was left"}
	for _, k := range h.In {
		if where := slices.DeleteFunc(slices.Clone(k.Where), func(s string) bool { return !in(s) }); len(where) > 0 {
			p.Rows = append(p.Rows, Row{"in " + listed(where), []string{k.Words, "frost: " + k.Freezing}})
		}
	}
	var alike told
	for _, t := range h.Tests {
		if in(t.Section) {
			alike.add(t.Section, t.short)
		}
	}
	tests := alike.lines()
	if len(tests) == 0 {
		tests = []string{"none is recorded"}
	}
	if open := h.openIn(c); len(open) > 0 {
		p = h.with(p, Row{"open then", open})
	}
	return h.with(p, Row{"pressure tests", tests}, Row{"pressure standing", of(own(h.Pressure), askBar)}, Row{"valves", of(own(h.Valves), askValves)})
}

// lidPart is a line for each joint of a chamber, to be ticked by who stands over it before
// the lid is closed. What is ticked stands on the page alone.
func (h Handover) lidPart(c Chamber) Part {
	var joints []string
	for _, p := range c.Ports {
		if p.Joint != "" {
			joints = append(joints, strings.Split(p.Joint, " and ")...)
		}
	}
	for _, k := range h.Headers {
		if k.Chamber == c.Name {
			joints = append(joints, k.Joint)
		}
	}
	if len(joints) == 0 {
		return Part{Name: "lid", Title: lidTitle, Lines: []string{"No joint of it is in the plan."}}
	}
	const beside = 4 // joints in a row
	t := &Table{}
	for range beside {
		t.Heads = append(t.Heads, "joint", "mark, dry, label")
	}
	for from := 0; from < len(joints); from += beside {
		row := make([]string, 2*beside)
		for i, joint := range joints[from:min(len(joints), from+beside)] {
			row[2*i], row[2*i+1] = joint, strings.Join([]string{Box, Box, Box}, " ")
		}
		t.Rows = append(t.Rows, row)
	}
	return Part{Name: "lid", Title: lidTitle, Table: t, Lines: []string{lidHow}}
}

const (
	lidTitle = "Before the lid is closed: tick what was looked at"
	lidHow   = "Mark on the pipe read; no water seen at the joint; label on. By ____________________ on ____________ What is ticked is not in the log: enter what was found."
)

// Box stands in a table where a person ticks; a page draws it.
const Box = "[  ]"

// openIn is what was open at the joints of a chamber: in which no weld stood, and the fails
// and queries, of which the register has the words.
func (h Handover) openIn(c Chamber) (says []string) {
	var own []string
	for _, p := range c.Ports {
		own = append(own, strings.Split(p.Joint, " and ")...)
	}
	for _, k := range h.Headers {
		if k.Chamber == c.Name {
			own = append(own, k.Joint)
		}
	}
	add := func(what string, at []string) {
		if here := slices.DeleteFunc(slices.Clone(at), func(l string) bool { return !slices.Contains(own, l) }); len(here) > 0 {
			says = append(says, what+": "+strings.Join(here, ", "))
		}
	}
	add("no weld", h.NoWeld)
	for _, o := range h.Open {
		if o.What != toDo {
			add(o.What, o.At)
		}
	}
	return says
}

// Drawn are ports as they are drawn: the rail whose ports lie high on top.
func Drawn(ports []Port) (out []chart.Rail) {
	c := Chamber{Ports: ports}
	for _, rail := range c.rails() {
		r := chart.Rail{Name: c.railName(rail)}
		for _, p := range ports {
			if p.Rail == rail {
				r.Stubs = append(r.Stubs, chart.Stub{No: p.No, Joint: p.Joint})
			}
		}
		out = append(out, r)
	}
	return out
}
