package acts

import (
	"cmp"
	"fmt"
	"slices"
	"time"

	"coolhold/fusion"
	"coolhold/logbook"
	"coolhold/logbook/ahead"
)

// BeginWeld gives a joint's next attempt its number. beside is what was said of
// welds that are held on the same pipe.
func BeginWeld(h Head, label, operator, unit string, beside ...logbook.Answer) Act {
	return onJoint(h, label, func(r logbook.Reader, j logbook.Joint) ([]logbook.Draft, error) {
		sh, ok := r.Shift(h.Site, h.Shift)
		u, known := sh.Unit(unit)
		switch {
		case !ok || sh.Closed != nil:
			return nil, logbook.Refuse("start a shift first")
		case j.Stands != "":
			return nil, logbook.Refuse("weld %s stands in joint %s", j.Stands, label)
		case j.Walk != "":
			return nil, logbook.Refuse("joint %s has a walk open: %s", label, j.Walk)
		case !known:
			return nil, fmt.Errorf("control unit %q: %w", unit, logbook.ErrUnknown)
		}
		w := logbook.Weld{ID: logbook.WeldNumber(r.Tag(), r.NextWeld()), Joint: label}
		drafts := []logbook.Draft{h.weld(w, logbook.WeldBegun{Operator: operator, Unit: unit, Corrects: u.Corrects, Card: logbook.ThisCard})}
		if len(beside) > 0 {
			drafts = append(drafts, h.weld(w, logbook.StepAnswered{Step: logbook.StepBeside, Answers: beside}))
		}
		return drafts, nil
	})
}

// AnswerStep stores answers that are no readings: people, fitting, card, break. Until
// the current is on each can be given anew; what it was before stands beside it.
func AnswerStep(h Head, weld string, step logbook.Step, answers []logbook.Answer) Act {
	return inWalk(h, weld, func(r logbook.Reader, w logbook.Weld) ([]logbook.Body, error) {
		answers := slices.Clone(answers)
		for _, a := range answers {
			switch a.Item {
			case logbook.ItemFitting:
				if err := fits(r, w, a.V); err != nil {
					return nil, err
				}
			case logbook.FieldUnit:
				sh, _ := r.Shift(w.Site, h.Shift)
				u, known := sh.Unit(a.V)
				if !known {
					return nil, fmt.Errorf("control unit %q: %w", a.V, logbook.ErrUnknown)
				}
				answers = append(answers, logbook.Answer{Item: logbook.FieldCorrects, V: string(u.Corrects), How: logbook.Offered})
			}
		}
		for i := range answers {
			answers[i].Was = was(w, answers[i])
		}
		return []logbook.Body{logbook.StepAnswered{Step: step, Answers: answers}}, nil
	})
}

// was is what was answered before, where that was something else.
func was(w logbook.Weld, a logbook.Answer) string {
	old := w.Answers[a.Item].V
	if v, ok := logbook.ValueOf(a.Item); ok {
		old = v.Get(w)
	}
	if old == a.V {
		return ""
	}
	return old
}

func fits(r logbook.Reader, w logbook.Weld, fitting string) error {
	site, _ := r.Site(w.Site)
	row, err := logbook.ShelfOf(site).Known(fitting)
	if err != nil {
		return err
	}
	j, _ := r.Joint(w.Site, w.Joint)
	if err := j.Fits(row.Fitting); err != nil {
		return logbook.Refuse("%v", err)
	}
	return nil
}

// ReadBag records whether the bag of a new batch prints the table's time. A bag that
// prints another stops the row for the whole site.
func ReadBag(h Head, weld string, matches bool) Act {
	return onBag(h, weld, func(b logbook.BagRead, stopped bool) (logbook.BagRead, error) {
		if b.Matches = matches; stopped {
			return b, logbook.Refuse("the bag of %s, batch %s, was read otherwise: type its figure again from that bag", b.Fitting, logbook.Words(logbook.ItemBatch, b.Batch))
		}
		return b, nil
	})
}

// TypeBag records the seconds that a bag prints, as they were typed from it. Of a row
// that is stopped it is the bag that stopped it; the table's own figure lifts that.
func TypeBag(h Head, weld string, printed int) Act {
	return onBag(h, weld, func(b logbook.BagRead, _ bool) (logbook.BagRead, error) {
		b.Printed, b.Matches = &printed, printed == b.Seconds
		return b, nil
	})
}

func onBag(h Head, weld string, read func(b logbook.BagRead, stopped bool) (logbook.BagRead, error)) Act {
	return inWalk(h, weld, func(r logbook.Reader, w logbook.Weld) ([]logbook.Body, error) {
		site, _ := r.Site(w.Site)
		row, err := logbook.ShelfOf(site).Known(w.Fitting())
		if err != nil {
			return nil, err
		}
		band := row.BagBand(w)
		b := logbook.BagRead{Fitting: w.Fitting(), Batch: w.Batch(), Table: row.Ref.Hash, Band: row.Table.Bands[band], Seconds: row.Fitting.Seconds[band]}
		by, stopped := row.StoppedBy()
		if stopped {
			b.Batch = by.Batch
		}
		if b, err = read(b, stopped); err != nil {
			return nil, err
		}
		return []logbook.Body{b}, nil
	})
}

// ReadAmbient stores an ambient temperature. taken is set where an earlier
// reading is confirmed. Outside the table's bands there is no time: the step
// is stopped, and that it was tried is stored.
func ReadAmbient(h Head, weld string, c fusion.Celsius, how logbook.How, taken *fusion.Stamp) Act {
	return inWalk(h, weld, func(r logbook.Reader, w logbook.Weld) ([]logbook.Body, error) {
		site, _ := r.Site(w.Site)
		row, err := logbook.ShelfOf(site).Known(w.Fitting())
		if err != nil {
			return nil, err
		}
		if _, err := row.Table.Settings(w.Fitting(), c); err != nil {
			return []logbook.Body{logbook.StepStopped{Step: logbook.StepAmbient, Why: err.Error(), Tried: c.String() + " °C"}}, nil
		}
		b := logbook.AmbientRead{C: c, How: how, Taken: taken}
		if w.Ambient != nil && w.Ambient.C != c {
			b.Was = w.Ambient.C.String()
		}
		if taken == nil {
			b.Doubted, _ = ahead.DoubtAmbient(site, c, h.At)
		}
		return []logbook.Body{b}, nil
	})
}

func keyed(s fusion.Settings, row logbook.TableRow, mode logbook.Mode, seconds int, volts *float64, how logbook.How) logbook.SettingsKeyed {
	zones := row.Fitting.Zones
	if zones == 1 {
		zones = 0 // as it was stored before there were several
	}
	return logbook.SettingsKeyed{
		Zones: zones,
		Table: row.Ref.Hash, Title: row.Ref.Title, Band: new(s.Band), Degree: s.Degree,
		VoltsTable: s.Volts, SecondsTable: s.Seconds, CoolingMin: s.CoolingMin, CoolingHow: logbook.Computed,
		PressureWaitMin: s.PressureWaitMin, PressureWaitFrom: s.PressureWaitFrom,
		Mode: mode, VoltsShown: volts, SecondsShown: seconds, How: how,
	}
}

// KeySettings stores what the unit's display shows. Unlike the table, the step
// is stopped, and that it was tried is stored. how is how the mode came, where that is
// otherwise than the figures.
func KeySettings(h Head, weld string, mode logbook.Mode, seconds int, volts *float64, how ...logbook.How) Act {
	return inWalk(h, weld, func(r logbook.Reader, w logbook.Weld) ([]logbook.Body, error) {
		s, row, err := ahead.SettingsFor(r, w)
		if err := cmp.Or(err, mustBeFree(r, w)); err != nil {
			return nil, err
		}
		b := keyed(s, row, mode, seconds, volts, logbook.Typed)
		b.ModeHow = append(how, "")[0]
		if why := b.Unlike(); why != "" {
			return []logbook.Body{logbook.StepStopped{Step: logbook.StepSettings, Why: why, Tried: fmt.Sprintf("%d s", seconds)}}, nil
		}
		if old := w.Settings; old != nil && (old.SecondsShown != b.SecondsShown || old.Mode != b.Mode) {
			b.Was = old.SetBefore()
		}
		return []logbook.Body{b}, nil
	})
}

// ReadOhms stores the resistance as the unit showed it; nil: not shown. A
// reading outside its window is stored all the same: the unit stops by itself.
func ReadOhms(h Head, weld string, ohms *float64) Act {
	return beforeCurrent(h, weld, func(r logbook.Reader, w logbook.Weld) ([]logbook.Body, error) {
		if err := mustBeFree(r, w); err != nil {
			return nil, err
		}
		b := OhmsOf(r, w, ohms, logbook.Typed)
		if ohms != nil {
			b.Doubted, _ = ahead.DoubtOhms(r, w, *ohms)
		}
		if old := w.Ohms; old != nil && old.Shown() != b.Shown() {
			b.Was = old.Shown()
		}
		return []logbook.Body{b}, nil
	})
}

// OhmsOf is a reading beside the window of the fitting that the weld has.
func OhmsOf(r logbook.Reader, w logbook.Weld, ohms *float64, how logbook.How) logbook.ResistanceRead {
	row, _ := logbook.RowOf(r, w)
	return ohmsBy(row, ohms, how)
}

// ohmsBy is a reading beside the window of a row; without a row it has none.
func ohmsBy(row logbook.TableRow, ohms *float64, how logbook.How) logbook.ResistanceRead {
	b := logbook.ResistanceRead{Ohms: ohms, How: how}
	if row.Fitting.Name == "" {
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
	return beforeCurrent(h, weld, func(r logbook.Reader, w logbook.Weld) ([]logbook.Body, error) {
		if err := mustBeFree(r, w); err != nil {
			return nil, err
		}
		if w.Settings == nil {
			return nil, logbook.Refuse("what the unit's display shows is not recorded yet")
		}
		if w.BreakDue {
			return nil, logbook.Refuse("say first what is true of joint %s after the break", w.Joint)
		}
		if last := w.Trail[len(w.Trail)-1].At; ago > 0 {
			if most := int(passed(last, h.At).Seconds()); ago > most {
				return nil, logbook.Refuse("%d s ago lies before the last answer of this walk: at most %d s", ago, most)
			}
		}
		return []logbook.Body{logbook.FusionStarted{AgoS: ago}}, nil
	})
}

// mustBeFree refuses what cannot have been read off a unit while it fuses another joint.
func mustBeFree(r logbook.Reader, w logbook.Weld) error {
	if other, busy := ahead.Busy(r, w.Site, w.Unit); busy {
		return logbook.Refuse("unit %s is still fusing %s at joint %s: say first how that ended", w.Unit, other.ID, other.Joint)
	}
	return nil
}

// RefuseStart records that the unit refused. run is the seconds that it shows as run
// where the current was said to be on already; nil: it shows none. A unit that ran
// did not refuse: its fusion stopped. when is the moment at which that was said, where
// more was asked since.
func RefuseStart(h Head, weld, said string, run *int, when ...fusion.Stamp) Act {
	return onWeld(h, weld, func(_ logbook.Reader, w logbook.Weld) ([]logbook.Body, error) {
		switch {
		case !w.Fusing():
			return []logbook.Body{logbook.AttemptRefused{Said: said}}, mustWait(w)
		case run != nil && *run > 0:
			return []logbook.Body{stopped(w, logbook.FusionEnded{Outcome: logbook.Stopped, AtS: run, Said: said})}, nil
		}
		var after *int
		if w.ZoneAt != nil {
			after = new(int(passed(*w.ZoneAt, append(when, h.At)[0]).Seconds()))
		}
		return []logbook.Body{logbook.AttemptRefused{Said: said, AfterS: after, RunS: run}}, nil
	})
}

// passed is the time between two stamps: by the boot clock where both are of one
// start of the machine, else by the wall clock.
func passed(from, to fusion.Stamp) time.Duration {
	if from.SameBoot(to) {
		return to.Boot - from.Boot
	}
	return max(0, to.Wall.Sub(from.Wall))
}

// EndFusion records how a fusion ended; its hold begins.
func EndFusion(h Head, weld string, b logbook.FusionEnded) Act {
	return onWeld(h, weld, func(_ logbook.Reader, w logbook.Weld) ([]logbook.Body, error) {
		return []logbook.Body{stopped(w, b)}, mustFuse(w)
	})
}

// EndAt records that a unit ended its fusion, with the seconds that it shows as run:
// where that is said before the time set is over, they are the evidence.
func EndAt(h Head, weld string, ran int) Act {
	return onWeld(h, weld, func(_ logbook.Reader, w logbook.Weld) ([]logbook.Body, error) {
		return []logbook.Body{logbook.FusionEnded{Outcome: logbook.Completed}, runOf(w, &ran)}, mustFuse(w)
	})
}

func mustFuse(w logbook.Weld) error {
	if !w.Fusing() && !w.Between() {
		return logbook.Refuse("%s is not fusing", w.ID)
	}
	return nil
}

func stopped(w logbook.Weld, b logbook.FusionEnded) logbook.FusionEnded {
	if b.AtS != nil {
		b.Doubted, _ = ahead.DoubtStop(w, *b.AtS)
	}
	return b
}

// ReadRun stores the seconds the unit says it ran; nil: not shown.
func ReadRun(h Head, weld string, seconds *int) Act {
	return onWeld(h, weld, func(_ logbook.Reader, w logbook.Weld) ([]logbook.Body, error) {
		if w.Between() {
			return []logbook.Body{runOf(w, seconds)}, nil
		}
		return []logbook.Body{runOf(w, seconds)}, mustBeEnded(w)
	})
}

func runOf(w logbook.Weld, seconds *int) logbook.RunRead {
	b := logbook.RunRead{Seconds: seconds, How: logbook.Typed}
	if seconds != nil {
		b.Doubted, _ = ahead.DoubtRun(w, *seconds)
	}
	return b
}

// ReadLook stores a look at a weld.
func ReadLook(h Head, weld string, look logbook.Look) Act {
	return one(h, weld, logbook.IndicatorsRead{Look: look}, mustBeEnded)
}

// Release ends a hold, with what was felt and seen.
func Release(h Head, weld string, look logbook.Look, beat fusion.Stamp) Act {
	return onWeld(h, weld, func(_ logbook.Reader, w logbook.Weld) ([]logbook.Body, error) {
		if !w.Holding() {
			return nil, notHeld(w)
		}
		if w.Hold != nil && !w.Hold.Over(h.At, beat) {
			return nil, logbook.Refuse("the hold of %s is not over: leave it. If it was moved or unclamped, say so: disturbed", w.ID)
		}
		return []logbook.Body{logbook.IndicatorsRead{Look: look}, logbook.Released{}}, nil
	})
}

// notHeld says why a weld is in no hold, and who ended it.
func notHeld(w logbook.Weld) error {
	for _, e := range slices.Backward(w.Trail) {
		switch e.Open().(type) {
		case logbook.Released, logbook.Disturbed, logbook.CutOut:
			return logbook.Refuse("%s is not in a hold any more: %s, by %s at %s", w.ID, e.Open().Line(), e.By, e.At.Local().Format("15:04"))
		}
	}
	return logbook.Refuse("%s is not in a hold", w.ID)
}

// Disturb records that a joint was moved or unclamped, afterMin whole minutes after
// its fusion ended. moved is a code of Befores: the minute alone does not tell, since
// 5:40 is said as 6. Who is not sure of more than the last minute moved it before.
func Disturb(h Head, weld string, afterMin int, moved, what string) Act {
	return onWeld(h, weld, func(_ logbook.Reader, w logbook.Weld) ([]logbook.Body, error) {
		if err := mustBeEnded(w); err != nil {
			return nil, err
		}
		b := logbook.Disturbed{AfterMin: afterMin, Moved: moved, What: what}
		switch {
		case w.Hold == nil || !w.Hold.Over(h.At, fusion.Stamp{}):
			b.Early, b.Moved = true, "" // it was cut short, whatever is stated
		case moved == logbook.AfterTime:
		case moved == logbook.Unsure:
			b.Early = float64(afterMin) < w.Hold.Want.Minutes()-1
		default:
			b.Early = moved == logbook.BeforeTime || float64(afterMin) < w.Hold.Want.Minutes()
		}
		return []logbook.Body{b}, nil
	})
}

// Cut takes a weld out of its joint.
func Cut(h Head, weld, why string) Act {
	return one(h, weld, logbook.CutOut{Why: why}, func(w logbook.Weld) error {
		if err := named(h, "a cut-out"); err != nil {
			return err
		}
		return mustStand(w)
	})
}

// LeaveWalk records that a walk is left before the current.
func LeaveWalk(h Head, weld string, step logbook.Step) Act {
	return one(h, weld, logbook.WalkLeft{Step: step}, mustWalk)
}

// ResumeWalk takes a walk up again.
func ResumeWalk(h Head, weld string, step logbook.Step) Act {
	return one(h, weld, logbook.WalkResumed{Step: step}, mustWalk)
}

// AbandonWalk gives a weld up before any current was on. Its number is spent.
func AbandonWalk(h Head, weld, why string) Act {
	return onWeld(h, weld, func(_ logbook.Reader, w logbook.Weld) ([]logbook.Body, error) {
		return []logbook.Body{logbook.WalkAbandoned{Why: why, Heat: w.HeatPossible()}}, mustWalk(w)
	})
}

// NoteOn adds a note to a weld.
func NoteOn(h Head, weld, text string) Act { return one(h, weld, logbook.Note{Text: text}, anyTime) }

// AcceptGap lets a hold count what the wall clocks say, on the word of the
// head's person.
func AcceptGap(h Head, weld string, why string) Act {
	return onWeld(h, weld, func(_ logbook.Reader, w logbook.Weld) ([]logbook.Body, error) {
		switch {
		case !w.Holding() || w.Hold == nil || len(w.Doubts) == 0:
			return nil, logbook.Refuse("%s has no doubted hold", w.ID)
		case !GapTold(w, h.At):
			return nil, logbook.Refuse("the fusion of %s ended on another machine, and the wall clock of this one says nothing of it: state what a watch or the ink on the pipe says", w.ID)
		}
		if err := named(h, "accepting a gap", why); err != nil {
			return nil, err
		}
		return []logbook.Body{logbook.GapAccepted{RanS: wallRan(w, h.At).Seconds(), Why: why}}, nil
	})
}
