package acts

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"coolhold/logbook"
	"coolhold/logbook/ahead"
	"coolhold/logbook/plan"
)

// ChoosePort records to which port of its chamber the leg of a weld goes. A port
// that another leg has, or that puts both legs of the circuit on one bar, stops
// the step, and that it was tried is stored. A port that is none of the
// chamber's is refused.
func ChoosePort(h Head, weld string, a logbook.Answer) Act {
	return inWalk(h, weld, func(r logbook.Reader, w logbook.Weld) ([]logbook.Body, error) {
		j, _ := r.Joint(w.Site, w.Joint)
		site, _ := r.Site(w.Site)
		if !logbook.AsksPort(j) {
			return nil, logbook.Refuse("joint %s goes to no port", j.Label)
		}
		at, err := findPort(ahead.PortsOf(r, site, j.Chamber), j.Chamber, a.V)
		if err != nil {
			return nil, err
		}
		tried := fmt.Sprintf("port %d", at.No)
		for _, why := range []string{ahead.PortTaken(r, j, at), ahead.OneBar(r, j, at)} {
			if why != "" {
				return []logbook.Body{logbook.StepStopped{Step: logbook.StepFitting, Why: why, Tried: tried}}, nil
			}
		}
		a.Item, a.V = logbook.ItemPort, strconv.Itoa(at.No)
		a.Was = was(w, a)
		return []logbook.Body{logbook.StepAnswered{Step: logbook.StepFitting, Answers: []logbook.Answer{a}}}, nil
	})
}

func findPort(ports []plan.Port, chamber, said string) (plan.Port, error) {
	no, err := strconv.Atoi(strings.TrimSpace(said))
	i := slices.IndexFunc(ports, func(p plan.Port) bool { return p.No == no })
	if err != nil || i < 0 {
		return plan.Port{}, logbook.Refuse("%q is no port of chamber %s; its ports are %s", said, chamber, portList(ports))
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
