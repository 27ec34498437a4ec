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
	Paper                           *PaperRow // nil: from memory, on the form
}

// EnterLater records a weld that has already been made: nothing of it is
// refused for being wrong, whatever is wrong with it becomes a finding. Only a
// joint in which another weld stands must be cleared first, since two fittings
// cannot stand in one place. Where a walk is open in the joint its weld was
// fused all the same, and keeps its number.
func EnterLater(h Head, l LateWeld) Act {
	return onJoint(h, l.Joint, func(r Reader, j Joint) ([]Draft, error) {
		if j.Stands != "" {
			return nil, refuse("weld %s stands in joint %s: say first that it was cut out", j.Stands, l.Joint)
		}
		if !l.inOrder(h.At.Wall) {
			return nil, refuse("the stated times are not in order: start, end, release, now")
		}
		w := Weld{ID: j.Walk, Site: h.Site, Joint: l.Joint, Unit: l.Unit, Answers: map[string]Answer{}}
		if w.ID == "" {
			w.ID = WeldNumber(r.Tag(), r.NextWeld())
		}
		for i := range l.Answers {
			if l.Answers[i].How != Offered {
				l.Answers[i].How = Later
			}
			w.Answers[l.Answers[i].Item] = l.Answers[i]
		}
		w.Ambient = &AmbientRead{C: l.Ambient, How: Later}
		bodies := append(l.before(r, w), l.after()...)
		if j.Walk == "" {
			bodies = append([]Body{WeldBegun{l.Operator, l.Unit, l.Corrects}}, bodies...)
		}
		drafts := make([]Draft, len(bodies))
		for i, b := range bodies {
			drafts[i] = h.weld(w, b)
		}
		return drafts, nil
	})
}

// inOrder tells whether the times that are stated can be: a release before the
// end of fusion, or anything that is still to come, was not seen by anybody.
func (l LateWeld) inOrder(now time.Time) bool {
	before := l.Started
	for _, t := range []time.Time{l.Ended, l.Released} {
		if t.IsZero() {
			continue
		}
		if t.Before(before) {
			return false
		}
		before = t
	}
	return !before.After(now)
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
		EnteredLater{l.Why, l.Paper}, StepAnswered{StepFitting, l.Answers}, *w.Ambient, settings, ohms,
	}
}

func (l LateWeld) after() []Body {
	ended := FusionEnded{Outcome: l.Outcome, AtS: l.StoppedAt, Said: l.Said}
	if !l.Ended.IsZero() {
		ended.Stated, ended.HoldStated = &l.Ended, l.HoldStated
	}
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
