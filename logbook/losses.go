package logbook

import (
	"fmt"
	"slices"
	"strings"
	"time"
)

// Happen records something that happened later; joint may be empty. It refuses
// a date before the site was opened or to come, and a repair dated before the
// loss of pressure that it is said of.
func Happen(h Head, joint string, b Happened) Act {
	return func(r Reader) ([]Draft, error) {
		if err := Named(h, "an event", b.Text); err != nil {
			return nil, err
		}
		s, ok := r.Site(h.Site)
		if !ok {
			return nil, fmt.Errorf("site %q: %w", h.Site, ErrUnknown)
		}
		if _, ok := r.Joint(h.Site, joint); joint != "" && !ok {
			return nil, fmt.Errorf("joint %s: %w", joint, ErrUnknown)
		}
		if !Happenings.has(string(b.What)) {
			return nil, refuse("%q is no event; write %s", string(b.What), strings.Join(Happenings.Words(), ", "))
		}
		if err := onADay(h, s, b); err != nil {
			return nil, err
		}
		if err := notBeforeLoss(r, s, joint, b); err != nil {
			return nil, err
		}
		return []Draft{h.joint(joint, b)}, nil
	}
}

// onADay wants a day from the opening of the site to today.
func onADay(h Head, s Site, b Happened) error {
	if _, err := time.Parse(time.DateOnly, b.On); err != nil {
		return refuse("%q is no date; write it like 2027-01-14", b.On)
	}
	now := h.At.Local()
	switch today, opened := now.Format(time.DateOnly), s.OpenedAt.Wall.In(now.Location()).Format(time.DateOnly); {
	case b.On > today:
		return refuse("%s is still to come: today is %s", b.On, today)
	case b.On < opened:
		return refuse("%s is before the site was opened in this log, %s", b.On, opened)
	}
	return nil
}

// notBeforeLoss refuses a repair that closes nothing only for its date.
func notBeforeLoss(r Reader, s Site, joint string, b Happened) error {
	if b.What != Repaired || len(ClosedBy(r, s, joint, b)) > 0 {
		return nil
	}
	late := b
	late.On = "9999-12-31"
	if lost := ClosedBy(r, s, joint, late); len(lost) > 0 {
		return refuse("a repair on %s is before the loss that it would close, %s", b.On, lost[0].Place())
	}
	return nil
}

// Place says what was lost or repaired, when and where: "pressure lost on
// 2027-01-14, circuit 3".
func (e Event) Place() string {
	line := e.What.String() + " on " + e.On
	switch {
	case e.Joint != "":
		return line + ", joint " + e.Joint
	case e.Circuit == 0 && e.Chamber == "":
		return line + ", the whole site"
	case e.Circuit > 0:
		line += fmt.Sprintf(", circuit %d", e.Circuit)
	}
	if e.Chamber != "" {
		line += ", chamber " + e.Chamber
	}
	return line
}

// ClosedBy are the open losses of pressure that a repair closes: those said of
// its own part or of a part within it, on its day or before. A repair of one
// circuit closes no loss of the whole site: where that one was is not known.
func ClosedBy(r Reader, s Site, joint string, b Happened) []Event {
	if b.What != Repaired {
		return nil
	}
	p := placesOf(r, s)
	repair := p.of(Event{Happened: b, Joint: joint})
	return slices.DeleteFunc(p.openLosses(s.Events), func(l Event) bool { return !p.closes(repair, l) })
}

// OpenLosses are the losses of pressure that no repair recorded since has
// closed, in the order of the log. Of a circuit that only one chamber has, they
// name the chamber.
func OpenLosses(r Reader, s Site) []Event {
	if len(s.Events) == 0 {
		return nil
	}
	return placesOf(r, s).openLosses(s.Events)
}

// places is where the joints of a site are.
type places struct {
	joints   map[string]Joint
	chambers map[int][]string // by circuit
}

func placesOf(r Reader, s Site) places {
	p := places{map[string]Joint{}, map[int][]string{}}
	for _, j := range r.Joints(s.ID) {
		p.joints[j.Label] = j
		if j.Circuit > 0 && !slices.Contains(p.chambers[j.Circuit], j.Chamber) {
			p.chambers[j.Circuit] = append(p.chambers[j.Circuit], j.Chamber)
		}
	}
	return p
}

func (p places) openLosses(events []Event) []Event {
	var open []Event
	for _, e := range events {
		switch e = p.of(e); e.What {
		case PressureLost:
			open = append(open, e)
		case Repaired:
			open = slices.DeleteFunc(open, func(l Event) bool { return p.closes(e, l) })
		}
	}
	return open
}

// of names the chamber of a circuit where only one has it.
func (p places) of(e Event) Event {
	if in := p.chambers[e.Circuit]; e.Joint == "" && e.Circuit > 0 && e.Chamber == "" && len(in) == 1 {
		e.Chamber = in[0]
	}
	return e
}

func (p places) closes(repair, lost Event) bool {
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
