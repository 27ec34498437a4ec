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
