package ahead

import (
	"cmp"
	"fmt"
	"slices"

	"coolhold/logbook"
	"coolhold/logbook/plan"
)

// PortsOf are the ports of a chamber by number, as the plan of its site has
// them. Where it cannot be read they are those that joints name.
func PortsOf(r logbook.Reader, site logbook.Site, chamber string) []plan.Port {
	ports := plannedPorts(site, chamber)
	if len(ports) == 0 {
		for _, j := range r.Joints(site.ID) {
			if j.Chamber == chamber && j.Port > 0 && !slices.ContainsFunc(ports, func(p plan.Port) bool { return p.No == j.Port }) {
				ports = append(ports, plan.Port{No: j.Port, Row: j.Row, Bar: j.Bar})
			}
		}
	}
	slices.SortFunc(ports, func(a, b plan.Port) int { return cmp.Compare(a.No, b.No) })
	return ports
}

func plannedPorts(site logbook.Site, chamber string) []plan.Port {
	if site.Plan == nil {
		return nil
	}
	for _, c := range site.Plan.Chambers {
		if c.Name == chamber {
			return slices.Clone(c.Ports)
		}
	}
	return nil
}

// atPort is where the leg of a joint is: the port of the weld that stands or is
// made in it, as welded or as planned.
func atPort(r logbook.Reader, j logbook.Joint) (no int, weld string, said bool) {
	id := j.Stands
	if id == "" {
		id = j.Walk
	}
	w, ok := r.Weld(j.Site, id)
	if !ok {
		return j.Port, "", false
	}
	_, said = w.Answers[logbook.ItemPort]
	return logbook.PortOf(w, j), id, said
}

// OneLeg tells whether two joints are pieces of one leg, which lies at one port.
func OneLeg(a, b logbook.Joint) bool {
	return a.Chamber == b.Chamber && a.Chamber != "" && a.Circuit == b.Circuit && a.Circuit > 0 && a.Leg == b.Leg && a.Leg != ""
}

// LegPort is the port of the leg of a joint: as the weld in it says; where there is none, as
// the weld says that stands in another piece of the leg; else as planned.
func LegPort(r logbook.Reader, j logbook.Joint) int {
	no, weld, _ := atPort(r, j)
	if weld != "" || j.Leg == "" || j.Added == "" { // the pieces of a leg are added
		return no
	}
	for _, o := range r.Joints(j.Site) {
		if o.Stands == "" || !o.Counts() || !OneLeg(o, j) {
			continue
		}
		if at, _, said := atPort(r, o); said {
			no = at
		}
	}
	return no
}

// PortTaken says which leg has a port already. One that is only planned for
// another leg is free; the pieces of a split joint are one leg.
func PortTaken(r logbook.Reader, j logbook.Joint, at plan.Port) string {
	for _, o := range r.Joints(j.Site) {
		if o.Chamber != j.Chamber || o.Circuit == 0 || o.Circuit == j.Circuit && o.Leg == j.Leg || !o.Counts() {
			continue
		}
		no, weld, said := atPort(r, o)
		if no == at.No && weld != "" && (o.Stands != "" || said) {
			return fmt.Sprintf("port %d has leg %s already (%s)", at.No, o.Label, weld)
		}
	}
	return ""
}

// besides says of another port than the planned one that it is on its rail.
func besides(at plan.Port, planned int) string {
	if at.No == planned {
		return ""
	}
	return fmt.Sprintf(", and port %d is on the same rail, %s", at.No, at.Bar)
}

// OneBar says that both legs of a circuit would be on one rail: nothing would
// move in it.
func OneBar(r logbook.Reader, j logbook.Joint, at plan.Port) string {
	site, _ := r.Site(j.Site)
	ports := PortsOf(r, site, j.Chamber)
	for _, o := range r.Joints(j.Site) {
		if o.Chamber != j.Chamber || o.Circuit != j.Circuit || o.Leg == j.Leg || !o.Counts() {
			continue
		}
		no, weld, _ := atPort(r, o)
		i := slices.IndexFunc(ports, func(p plan.Port) bool { return p.No == no })
		if i < 0 || ports[i].Bar == "" || ports[i].Bar != at.Bar {
			continue
		}
		if weld != "" {
			return fmt.Sprintf("port %d is on the rail %s, and so is leg %s (port %d, %s): nothing would move in circuit %d", at.No, at.Bar, o.Label, no, weld, j.Circuit)
		}
		return fmt.Sprintf("port %d is planned for %s%s: nothing would move in circuit %d; if the pipe's ends are changed over, weld this end as %s",
			no, o.Label, besides(at, no), j.Circuit, o.Label)
	}
	return ""
}

// UnlikePort says in one sentence that a weld's port is not the plan's, or
// nothing.
func UnlikePort(w logbook.Weld, j logbook.Joint) string {
	if _, said := w.Answers[logbook.ItemPort]; !said || logbook.PortOf(w, j) == j.Port {
		return ""
	}
	return fmt.Sprintf("Port %d, where the plan has port %d for %s: it goes on, valves and labels must follow, and the foreman is asked.", logbook.PortOf(w, j), j.Port, j.Label)
}
