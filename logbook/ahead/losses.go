package ahead

import (
	"slices"
	"strings"

	"coolhold/logbook"
)

// ClosedBy are the open losses of pressure that a repair closes: those said of
// its own part or of a part within it, on its day or before. A repair of one
// circuit closes no loss of the whole site: where that one was is not known.
func ClosedBy(r logbook.Reader, s logbook.Site, joint string, b logbook.Happened) []logbook.Event {
	if b.What != logbook.Repaired {
		return nil
	}
	p := placesOf(r, s)
	repair := p.of(logbook.Event{Happened: b, Joint: joint})
	return slices.DeleteFunc(p.openLosses(s.Events), func(l logbook.Event) bool { return !p.closes(repair, l) })
}

// OpenLosses are the losses of pressure that no repair recorded since has
// closed, in the order of the log. Of a circuit that only one chamber has, they
// name the chamber.
func OpenLosses(r logbook.Reader, s logbook.Site) []logbook.Event {
	if len(s.Events) == 0 {
		return nil
	}
	return placesOf(r, s).openLosses(s.Events)
}

// places is where the joints of a site are.
type places struct {
	joints   map[string]logbook.Joint
	chambers map[int][]string // by circuit
}

func placesOf(r logbook.Reader, s logbook.Site) places {
	p := places{map[string]logbook.Joint{}, map[int][]string{}}
	for _, j := range r.Joints(s.ID) {
		p.joints[j.Label] = j
		if j.Circuit > 0 && !slices.Contains(p.chambers[j.Circuit], j.Chamber) {
			p.chambers[j.Circuit] = append(p.chambers[j.Circuit], j.Chamber)
		}
	}
	return p
}

func (p places) openLosses(events []logbook.Event) []logbook.Event {
	open, _ := p.fold(events)
	return open
}

// A Repair is one that closed losses of pressure, and which.
type Repair struct {
	logbook.Event
	Closed []logbook.Event
}

// Repairs are the repairs that closed a loss of pressure, in the order of the log.
func Repairs(r logbook.Reader, s logbook.Site) []Repair {
	if len(s.Events) == 0 {
		return nil
	}
	_, repairs := placesOf(r, s).fold(s.Events)
	return repairs
}

// fold takes losses and repairs one after another: what is left open, and what each
// repair closed.
func (p places) fold(events []logbook.Event) (open []logbook.Event, repairs []Repair) {
	for _, e := range events {
		switch e = p.of(e); e.What {
		case logbook.PressureLost:
			open = append(open, e)
		case logbook.Repaired:
			var left, closed []logbook.Event
			for _, l := range open {
				if p.closes(e, l) {
					closed = append(closed, l)
				} else {
					left = append(left, l)
				}
			}
			if open = left; len(closed) > 0 {
				repairs = append(repairs, Repair{e, closed})
			}
		}
	}
	return open, repairs
}

// of names the chamber of a circuit where only one has it.
func (p places) of(e logbook.Event) logbook.Event {
	if in := p.chambers[e.Circuit]; e.Joint == "" && e.Circuit > 0 && e.Chamber == "" && len(in) == 1 {
		e.Chamber = in[0]
	}
	return e
}

func (p places) closes(repair, lost logbook.Event) bool {
	switch {
	case repair.On < lost.On:
		return false
	case repair.Joint != "":
		return repair.Joint == lost.Joint
	case lost.Joint != "":
		return repair.Touches(p.joints[lost.Joint])
	}
	return (repair.Circuit == 0 || repair.Circuit == lost.Circuit) && (repair.Chamber == "" || strings.EqualFold(repair.Chamber, lost.Chamber))
}
