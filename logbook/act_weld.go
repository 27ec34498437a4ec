package logbook

import (
	"fmt"

	"coolhold/fusion"
)

// BeginWeld gives a joint's next attempt its number.
func BeginWeld(h Head, label, operator, unit string) Act {
	return onJoint(h, label, func(r Reader, j Joint) ([]Draft, error) {
		sh, ok := r.Shift(h.Site, h.Shift)
		u, known := sh.Unit(unit)
		switch {
		case !ok || sh.Closed != nil:
			return nil, refuse("start a shift first")
		case j.Stands != "":
			return nil, refuse("weld %s stands in joint %s", j.Stands, label)
		case j.Walk != "":
			return nil, refuse("joint %s has a walk open: %s", label, j.Walk)
		case !known:
			return nil, fmt.Errorf("control unit %q: %w", unit, ErrUnknown)
		}
		d := h.joint(label, WeldBegun{operator, unit, u.Corrects})
		d.Weld = WeldNumber(r.Tag(), r.NextWeld())
		return []Draft{d}, nil
	})
}

// AnswerStep stores answers of the fitting step or the preparation card.
func AnswerStep(h Head, weld string, step Step, answers []Answer) Act {
	return onWeld(h, weld, func(r Reader, w Weld) ([]Body, error) {
		if err := mustWalk(w); err != nil {
			return nil, err
		}
		for _, a := range answers {
			if a.Item != ItemFitting {
				continue
			}
			if err := fits(r, w, a.V); err != nil {
				return nil, err
			}
		}
		return []Body{StepAnswered{step, answers}}, nil
	})
}

func fits(r Reader, w Weld, fitting string) error {
	site, _ := r.Site(w.Site)
	row, err := ShelfOf(site).Row(fitting)
	if err != nil {
		return err
	}
	j, _ := r.Joint(w.Site, w.Joint)
	if j.OdMM == 0 {
		return nil
	}
	if err := row.Fitting.Fits(j.OdMM, j.SDR); err != nil {
		return refuse("%v", err)
	}
	return nil
}

// ReadBag records whether the bag of a new batch prints the table's time. A
// bag that prints otherwise stops the row for the whole site.
func ReadBag(h Head, weld string, matches bool) Act {
	return onWeld(h, weld, func(r Reader, w Weld) ([]Body, error) {
		if err := mustWalk(w); err != nil {
			return nil, err
		}
		site, _ := r.Site(w.Site)
		row, err := ShelfOf(site).Row(w.Fitting())
		if err != nil {
			return nil, err
		}
		band := row.BagBand(site.Ambient)
		return []Body{BagRead{
			Fitting: w.Fitting(), Batch: w.Batch(), Table: row.Ref.Hash,
			Band: row.Table.Bands[band], Seconds: row.Fitting.Seconds[band], Matches: matches,
		}}, nil
	})
}

// ReadAmbient stores an ambient temperature. taken is set where an earlier
// reading is confirmed. Outside the table's bands there is no time: the step
// is stopped, and that it was tried is stored.
func ReadAmbient(h Head, weld string, c fusion.Celsius, how How, taken *fusion.Stamp) Act {
	return onWeld(h, weld, func(r Reader, w Weld) ([]Body, error) {
		if err := mustWalk(w); err != nil {
			return nil, err
		}
		site, _ := r.Site(w.Site)
		row, err := ShelfOf(site).Row(w.Fitting())
		if err != nil {
			return nil, err
		}
		if _, err := row.Table.Settings(w.Fitting(), c); err != nil {
			return []Body{StepStopped{StepAmbient, err.Error(), c.String() + " °C"}}, nil
		}
		return []Body{AmbientRead{c, how, taken}}, nil
	})
}

// SettingsFor is what the table of the weld's fitting says at its ambient.
func SettingsFor(r Reader, w Weld) (fusion.Settings, Row, error) {
	site, _ := r.Site(w.Site)
	row, err := ShelfOf(site).Row(w.Fitting())
	if err != nil {
		return fusion.Settings{}, row, err
	}
	if w.Ambient == nil {
		return fusion.Settings{}, row, refuse("read the ambient temperature first")
	}
	s, err := row.Table.Settings(w.Fitting(), w.Ambient.C)
	return s, row, err
}

func keyed(s fusion.Settings, row Row, mode Mode, seconds int, volts *float64, how How) SettingsKeyed {
	band := s.Band
	return SettingsKeyed{
		Table: row.Ref.Hash, Title: row.Ref.Title, Band: &band, Degree: s.Degree,
		VoltsTable: s.Volts, SecondsTable: s.Seconds, CoolingMin: s.CoolingMin, CoolingHow: Computed,
		PressureWaitMin: s.PressureWaitMin, PressureWaitFrom: s.PressureWaitFrom,
		Mode: mode, VoltsShown: volts, SecondsShown: seconds, How: how,
	}
}

// KeySettings stores what the unit's display shows. Unlike the table, the step
// is stopped, and that it was tried is stored.
func KeySettings(h Head, weld string, mode Mode, seconds int, volts *float64) Act {
	return onWeld(h, weld, func(r Reader, w Weld) ([]Body, error) {
		if err := mustWalk(w); err != nil {
			return nil, err
		}
		s, row, err := SettingsFor(r, w)
		if err != nil {
			return nil, err
		}
		b := keyed(s, row, mode, seconds, volts, Typed)
		if why := b.Unlike(); why != "" {
			return []Body{StepStopped{StepSettings, why, fmt.Sprintf("%d s", seconds)}}, nil
		}
		return []Body{b}, nil
	})
}

// ReadOhms stores the resistance as the unit showed it; nil: not shown. A
// reading outside its window is stored all the same: the unit stops by itself.
func ReadOhms(h Head, weld string, ohms *float64) Act {
	return onWeld(h, weld, func(r Reader, w Weld) ([]Body, error) {
		if err := mustWalk(w); err != nil {
			return nil, err
		}
		return []Body{ohmsOf(r, w, ohms, Typed)}, nil
	})
}

func ohmsOf(r Reader, w Weld, ohms *float64, how How) ResistanceRead {
	b := ResistanceRead{Ohms: ohms, How: how}
	site, _ := r.Site(w.Site)
	row, err := ShelfOf(site).Row(w.Fitting())
	if err != nil && row.Fitting.Name == "" {
		return b
	}
	if win, ok := row.Fitting.OhmsWindow(); ok {
		b.Low, b.High, b.Basis = win.Low, win.High, win.Basis
	}
	return b
}

// StartFusion says that the current is on, ago seconds before now. One fusion
// at a time on one unit.
func StartFusion(h Head, weld string, ago int) Act {
	return onWeld(h, weld, func(r Reader, w Weld) ([]Body, error) {
		if err := mustWalk(w); err != nil {
			return nil, err
		}
		if other, busy := Busy(r, w.Site, w.Unit); busy {
			return nil, refuse("unit %s is still fusing %s at joint %s: say first how that ended", w.Unit, other.ID, other.Joint)
		}
		if w.Settings == nil {
			return nil, refuse("what the unit's display shows is not recorded yet")
		}
		return []Body{FusionStarted{AgoS: ago}}, nil
	})
}

// Busy finds the weld that a unit is fusing.
func Busy(r Reader, site, unit string) (Weld, bool) {
	for _, w := range r.Welds(site) {
		if w.Fusing() && w.Unit == unit {
			return w, true
		}
	}
	return Weld{}, false
}

// RefuseStart records that the unit refused: no heat went in, even where the
// start was keyed here already.
func RefuseStart(h Head, weld, said string) Act {
	return one(h, weld, AttemptRefused{said}, func(w Weld) error {
		if w.Fusing() {
			return nil
		}
		return mustWalk(w)
	})
}

// EndFusion records how a fusion ended; its hold begins.
func EndFusion(h Head, weld string, b FusionEnded) Act {
	return one(h, weld, b, func(w Weld) error {
		if !w.Fusing() {
			return refuse("%s is not fusing", w.ID)
		}
		return nil
	})
}

// ReadRun stores the seconds the unit says it ran; nil: not shown.
func ReadRun(h Head, weld string, seconds *int) Act {
	return one(h, weld, RunRead{seconds, Typed}, mustBeEnded)
}

// ReadLook stores a look at a weld.
func ReadLook(h Head, weld string, look Look) Act {
	return one(h, weld, IndicatorsRead{look}, mustBeEnded)
}

// Release ends a hold, with what was felt and seen.
func Release(h Head, weld string, look Look, beat fusion.Stamp) Act {
	return onWeld(h, weld, func(_ Reader, w Weld) ([]Body, error) {
		if !w.Holding() {
			return nil, refuse("%s is not in a hold", w.ID)
		}
		if w.Hold != nil && !w.Hold.Over(h.At, beat) {
			return nil, refuse("the hold of %s is not over: leave it. If it was moved or unclamped, say so: disturbed", w.ID)
		}
		return []Body{IndicatorsRead{look}, Released{}}, nil
	})
}

// Disturb records that a joint was moved or unclamped, afterMin whole minutes
// after its fusion ended.
func Disturb(h Head, weld string, afterMin int, what string) Act {
	return onWeld(h, weld, func(_ Reader, w Weld) ([]Body, error) {
		if err := mustBeEnded(w); err != nil {
			return nil, err
		}
		// A hold that still runs was cut short, whatever minute is stated.
		early := w.Hold == nil || float64(afterMin) < w.Hold.Want.Minutes() || !w.Hold.Over(h.At, fusion.Stamp{})
		return []Body{Disturbed{afterMin, early, what}}, nil
	})
}

// Cut takes a weld out of its joint.
func Cut(h Head, weld, why string) Act { return one(h, weld, CutOut{why}, mustStand) }

// LeaveWalk records that a walk is left before the current.
func LeaveWalk(h Head, weld string, step Step) Act {
	return one(h, weld, WalkLeft{step}, mustWalk)
}

// ResumeWalk takes a walk up again.
func ResumeWalk(h Head, weld string, step Step) Act {
	return one(h, weld, WalkResumed{Step: step}, mustWalk)
}

// AbandonWalk gives a weld up before any current was on. Its number is spent.
func AbandonWalk(h Head, weld, why string) Act {
	return one(h, weld, WalkAbandoned{why}, mustWalk)
}

// NoteOn adds a note to a weld.
func NoteOn(h Head, weld, text string) Act { return one(h, weld, Note{text}, anyTime) }

// AcceptGap lets a hold count what the wall clocks say, on the word of the
// head's person.
func AcceptGap(h Head, weld string, why string) Act {
	return onWeld(h, weld, func(_ Reader, w Weld) ([]Body, error) {
		switch {
		case !w.Holding() || w.Hold == nil || len(w.Doubts) == 0:
			return nil, refuse("%s has no doubted hold", w.ID)
		}
		if err := Named(h, "accepting a gap", why); err != nil {
			return nil, err
		}
		return []Body{GapAccepted{w.wallRan(h.At).Seconds(), why}}, nil
	})
}
