package logbook

import (
	"slices"

	"coolhold/fusion"
)

// A Shift is one day's people and equipment at a site.
type Shift struct {
	ID   string
	Site string
	ShiftStarted
	Started fusion.Stamp
	Closed  *fusion.Stamp
	Changes []Change  // of the weather; Weather itself is the newest
	First   *Weather  // what the shift began with
	Own     []Noticed // its own entries, in their order
}

// A Noticed is an entry by what it is and who made it when.
type Noticed struct {
	Kind Kind
	Signature
}

// After is the shift after one more entry.
func (s Shift) After(e *Entry) Shift {
	switch b := e.Open().(type) {
	case ShiftStarted:
		s.ID, s.Site, s.ShiftStarted, s.Started = e.Shift, e.Site, b, e.At
		s.First = &b.Weather
	case ShiftClosed:
		s.Closed = &e.At
	case WeatherChanged:
		s.ShiftStarted.Weather = b.Weather
		s.Changes = append(slices.Clone(s.Changes), Change{e.At, b.Weather})
	default:
		return s
	}
	s.Own = append(slices.Clip(s.Own), Noticed{e.Kind, signature(e)})
	return s
}

// Operator finds one of the shift's operators by name.
func (s Shift) Operator(name string) (Operator, bool) {
	for _, o := range s.Operators {
		if o.Name == name {
			return o, true
		}
	}
	return Operator{}, false
}

// Unit finds one of the shift's control units by serial.
func (s Shift) Unit(serial string) (Unit, bool) {
	for _, u := range s.Units {
		if u.Serial == serial {
			return u, true
		}
	}
	return Unit{}, false
}

// WeatherAt is the weather as last recorded at that moment.
func (s Shift) WeatherAt(at fusion.Stamp) Weather {
	w := s.ShiftStarted.Weather
	if s.First != nil {
		w = *s.First
	}
	for _, c := range s.Changes {
		if !c.At.Wall.After(at.Wall) {
			w = c.Weather
		}
	}
	return w
}

// WeatherSaid is the weather at the joint as its sheet says it.
func (w Weld) WeatherSaid() Weather {
	return Weather{w.Answers[ItemSky].V, w.Answers[ItemShelter].V}
}

// A Change is weather from a moment on.
type Change struct {
	At fusion.Stamp
	Weather
}
