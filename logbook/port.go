package logbook

import (
	"cmp"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"coolhold/logbook/plan"
)

// AsksPort tells whether it is asked to which port of its chamber a joint's leg
// goes. Headers and joints outside the chambers have none.
func AsksPort(j Joint) bool { return j.Chamber != "" && j.Circuit > 0 && j.Port > 0 }

// PortsOf are the ports of a chamber by number, as the plan of its site has
// them. Where it cannot be read they are those that joints name.
func PortsOf(r Reader, site Site, chamber string) []plan.Port {
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

func plannedPorts(site Site, chamber string) []plan.Port {
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

// PortOf is the port a weld was made at: the plan's, but where another was said.
// It is 0 where what was said is no number.
func PortOf(w Weld, j Joint) int {
	said := strings.TrimSpace(w.Answers[ItemPort].V)
	if said == "" {
		return j.Port
	}
	no, _ := strconv.Atoi(said)
	return no
}

// ChoosePort records to which port of its chamber the leg of a weld goes. A port
// that another leg has, or that puts both legs of the circuit on one bar, stops
// the step, and that it was tried is stored. A port that is none of the
// chamber's is refused.
func ChoosePort(h Head, weld string, a Answer) Act {
	return onWeld(h, weld, func(r Reader, w Weld) ([]Body, error) {
		if err := mustWalk(w); err != nil {
			return nil, err
		}
		j, _ := r.Joint(w.Site, w.Joint)
		site, _ := r.Site(w.Site)
		if !AsksPort(j) {
			return nil, refuse("joint %s goes to no port", j.Label)
		}
		at, err := findPort(PortsOf(r, site, j.Chamber), j.Chamber, a.V)
		if err != nil {
			return nil, err
		}
		tried := fmt.Sprintf("port %d", at.No)
		for _, why := range []string{takenBy(r, j, at), oneBar(r, j, at)} {
			if why != "" {
				return []Body{StepStopped{StepFitting, why, tried}}, nil
			}
		}
		a.Item, a.V = ItemPort, strconv.Itoa(at.No)
		return []Body{StepAnswered{StepFitting, []Answer{a}}}, nil
	})
}

func findPort(ports []plan.Port, chamber, said string) (plan.Port, error) {
	no, err := strconv.Atoi(strings.TrimSpace(said))
	i := slices.IndexFunc(ports, func(p plan.Port) bool { return p.No == no })
	if err != nil || i < 0 {
		return plan.Port{}, refuse("%q is no port of chamber %s; its ports are %s", said, chamber, portList(ports))
	}
	return ports[i], nil
}

func portList(ports []plan.Port) string {
	var nos []string
	for _, p := range ports {
		nos = append(nos, strconv.Itoa(p.No))
	}
	return strings.Join(nos, ", ")
}

// atPort is where the leg of a joint is: the port of the weld that stands or is
// made in it, as welded or as planned.
func atPort(r Reader, j Joint) (no int, weld string, said bool) {
	id := j.Stands
	if id == "" {
		id = j.Walk
	}
	w, ok := r.Weld(j.Site, id)
	if !ok {
		return j.Port, "", false
	}
	_, said = w.Answers[ItemPort]
	return PortOf(w, j), id, said
}

// takenBy says which leg has a port already. One that is only planned for
// another leg is free; the pieces of a split joint are one leg.
func takenBy(r Reader, j Joint, at plan.Port) string {
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

// oneBar says that both legs of a circuit would be on one bar: nothing would
// move in it.
func oneBar(r Reader, j Joint, at plan.Port) string {
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
			return fmt.Sprintf("port %d is on the bar %s, and so is leg %s (port %d, %s): nothing would move in circuit %d", at.No, at.Bar, o.Label, no, weld, j.Circuit)
		}
		return fmt.Sprintf("port %d is on the bar %s, and so is port %d, planned for leg %s: nothing would move in circuit %d; if the pipe's ends are changed over, weld this end as %s",
			at.No, at.Bar, no, o.Label, j.Circuit, o.Label)
	}
	return ""
}

// UnlikePort says in one sentence that a weld's port is not the plan's, or
// nothing.
func UnlikePort(w Weld, j Joint) string {
	if _, said := w.Answers[ItemPort]; !said || PortOf(w, j) == j.Port {
		return ""
	}
	return fmt.Sprintf("Port %d, where the plan has port %d for %s: it goes on, valves and labels must follow, and the foreman is asked.", PortOf(w, j), j.Port, j.Label)
}
