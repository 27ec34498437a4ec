package acts

import (
	"slices"

	"coolhold/fusion"
	"coolhold/logbook"
	"coolhold/logbook/ahead"
)

// SetDown records that a joint stands prepared and clamped while others of its batch are
// made: nothing of its preparation is asked again unless something comes between.
func SetDown(h Head, weld string, beat fusion.Stamp) Act {
	return inWalk(h, weld, func(r logbook.Reader, w logbook.Weld) ([]logbook.Body, error) {
		j, _ := r.Joint(w.Site, w.Joint)
		s, _ := r.Site(w.Site)
		step := w.Next(j, ahead.DueOf(r, logbook.ShelfOf(s), w, h.At, beat))
		switch {
		case w.Ready != nil:
			return nil, logbook.Refuse("joint %s is set down prepared already", w.Joint)
		case !pastPreparation(step):
			return nil, logbook.Refuse("joint %s is not prepared yet: %s", w.Joint, step)
		}
		return []logbook.Body{logbook.WalkLeft{Step: step, Ready: true}}, nil
	})
}

// pastPreparation tells whether a step comes once a joint is prepared and clamped.
func pastPreparation(step logbook.Step) bool {
	return slices.Contains([]logbook.Step{logbook.StepAmbient, logbook.StepBag, logbook.StepSettings, logbook.StepResistance, logbook.StepStart}, step)
}

// TakeNext takes a joint up that was set down prepared. What came between is stored with
// it and asked of this joint alone; also are codes of Betweens that somebody says came
// between besides. began is when the program that is asked was started.
func TakeNext(h Head, weld string, began, beat fusion.Stamp, also ...string) Act {
	return inWalk(h, weld, func(r logbook.Reader, w logbook.Weld) ([]logbook.Body, error) {
		if w.Ready == nil {
			return nil, logbook.Refuse("joint %s was not set down prepared, or is taken up already", w.Joint)
		}
		j, _ := r.Joint(w.Site, w.Joint)
		s, _ := r.Site(w.Site)
		b := logbook.WalkResumed{Ready: true, Since: append(ahead.SinceReady(r, w, began, h.At), also...)}
		if b.Step = w.Next(j, ahead.DueOf(r, logbook.ShelfOf(s), w, h.At, beat)); len(b.Since) > 0 {
			b.Step = logbook.StepBreak
		}
		return []logbook.Body{b}, nil
	})
}

// A Preparation is what one key says of one joint of a batch: what went into it, to which
// port it goes, and its card.
type Preparation struct {
	Operator, Unit string
	Fitting        []logbook.Answer
	Port           *logbook.Answer // nil where it goes to none
	Card           []logbook.Answer
}

// PrepareInBatch records with one key that a joint is prepared and clamped and waits for
// others: its weld is begun, answered for and set down, all of it or nothing. What is
// not so, or not known, is asked in a walk.
func PrepareInBatch(h Head, label string, p Preparation, beat fusion.Stamp) Act {
	return func(r logbook.Reader) ([]logbook.Draft, error) {
		drafts, err := BeginWeld(h, label, p.Operator, p.Unit)(r)
		if err != nil {
			return nil, err
		}
		j, _ := r.Joint(h.Site, label)
		site, _ := r.Site(h.Site)
		w := folded(drafts)
		if err := fitsAt(r, site, w, j, p); err != nil {
			return nil, err
		}
		fitting := p.Fitting
		if p.Port != nil {
			fitting = append(slices.Clip(fitting), *p.Port)
		}
		drafts = append(drafts, h.weld(w, logbook.StepAnswered{Step: logbook.StepFitting, Answers: fitting}),
			h.weld(w, logbook.StepAnswered{Step: logbook.StepPrep, Answers: p.Card}))
		w = folded(drafts)
		step := w.Next(j, ahead.DueOf(r, logbook.ShelfOf(site), w, h.At, beat))
		if !pastPreparation(step) {
			return nil, logbook.Refuse("joint %s is not prepared with this alone: %s", label, step)
		}
		return append(drafts, h.weld(w, logbook.WalkLeft{Step: step, Ready: true})), nil
	}
}

// fitsAt tells whether what is said of a fitting and a port can be so.
func fitsAt(r logbook.Reader, site logbook.Site, w logbook.Weld, j logbook.Joint, p Preparation) error {
	for _, a := range p.Fitting {
		if a.Item == logbook.ItemFitting {
			if err := fits(r, w, a.V); err != nil {
				return err
			}
		}
	}
	if p.Port == nil {
		return nil
	}
	at, err := findPort(ahead.PortsOf(r, site, j.Chamber), j.Chamber, p.Port.V)
	if err != nil {
		return err
	}
	for _, why := range []string{ahead.PortTaken(r, j, at), ahead.OneBar(r, j, at)} {
		if why != "" {
			return logbook.Refuse("port %d: %s", at.No, why)
		}
	}
	return nil
}

// folded is the weld that some drafts make, before they have their place in the log.
func folded(drafts []logbook.Draft) (w logbook.Weld) {
	for i, d := range drafts {
		if e, err := d.Entry(uint64(i)+1, i); err == nil { // a body that cannot be written is refused where it is stored
			w = w.After(&e)
		}
	}
	return w
}
