package logbook

import (
	"time"

	"coolhold/fusion"
)

// A LateWeld is a weld made without the laptop, as a person states it on one
// form. A zero Ended or Released was not stated.
type LateWeld struct {
	Joint, Operator, Unit, Corrects string
	Answers                         []Answer // fitting, batches, card, method
	Ambient                         fusion.Celsius
	Mode                            string
	SecondsShown                    int
	VoltsShown, Ohms                *float64
	CoolingMin                      int // as printed; asked only where the table has no band
	Started, Ended                  time.Time
	Outcome                         string
	StoppedAt, Run                  *int
	Said                            string
	Look                            Look
	HoldStated                      bool // a named person states that the hold began with Ended
	Released                        time.Time
	Why                             string
}

// EnterLater records a weld that has already been made: nothing of it is
// refused for being wrong, whatever is wrong with it becomes a finding. Only a
// joint in which another weld stands must be cleared first, since two fittings
// cannot stand in one place.
func EnterLater(h Head, l LateWeld) Act {
	return onJoint(h, l.Joint, func(r Reader, j Joint) ([]Draft, error) {
		if j.Stands != "" {
			return nil, refuse("weld %s stands in joint %s: say first that it was cut out", j.Stands, l.Joint)
		}
		if l.Started.After(h.At.Wall) || l.Ended.After(h.At.Wall) || l.Ended.Before(l.Started) {
			return nil, refuse("the stated times are not in order: start, end, now")
		}
		w := Weld{
			ID: WeldNumber(r.Tag(), r.NextWeld()), Site: h.Site, Joint: l.Joint,
			Unit: l.Unit, Answers: map[string]Answer{},
		}
		for i := range l.Answers {
			if l.Answers[i].How != Offered {
				l.Answers[i].How = Later
			}
			w.Answers[l.Answers[i].Item] = l.Answers[i]
		}
		w.Ambient = &AmbientRead{C: l.Ambient, How: Later}
		bodies := append(l.before(r, w), l.after()...)
		drafts := make([]Draft, len(bodies))
		for i, b := range bodies {
			drafts[i] = h.weld(w, b)
		}
		return drafts, nil
	})
}

func (l LateWeld) before(r Reader, w Weld) []Body {
	settings := SettingsKeyed{
		Mode: l.Mode, VoltsShown: l.VoltsShown, SecondsShown: l.SecondsShown, How: Later,
		CoolingMin: l.CoolingMin, CoolingHow: Later,
	}
	site, _ := r.Site(w.Site)
	row, _ := ShelfOf(r, site).Row(w.Fitting()) // a row that may not be used was used all the same
	if s, err := row.Table.Settings(w.Fitting(), l.Ambient); err == nil {
		settings = keyed(s, row, l.Mode, l.SecondsShown, l.VoltsShown, Later)
	} else {
		settings.Table, settings.Title = row.Ref.Hash, row.Ref.Title
		settings.VoltsTable = row.Fitting.Volts
	}
	ohms := ohmsOf(r, w, l.Ohms, Later)
	return []Body{
		WeldBegun{l.Operator, l.Unit, l.Corrects}, EnteredLater{l.Why},
		StepAnswered{StepFitting, l.Answers}, *w.Ambient, settings, ohms,
	}
}

func (l LateWeld) after() []Body {
	ended := FusionEnded{Outcome: l.Outcome, AtS: l.StoppedAt, Said: l.Said, Stated: &l.Ended, HoldStated: l.HoldStated}
	bodies := []Body{FusionStarted{Stated: &l.Started}, ended}
	if l.Outcome != Completed {
		return bodies
	}
	l.Look.How = Later
	bodies = append(bodies, RunRead{l.Run, Later}, IndicatorsRead{l.Look})
	if !l.Released.IsZero() {
		bodies = append(bodies, Released{&l.Released})
	}
	return bodies
}
