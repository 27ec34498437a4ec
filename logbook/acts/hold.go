package acts

import (
	"time"

	"coolhold/fusion"
	"coolhold/logbook"
)

// InDoubt tells whether a hold runs of which no clock tells all: then a person may
// state how much of it has run.
func InDoubt(w logbook.Weld, now, beat fusion.Stamp) bool {
	if !w.Holding() || w.Hold == nil {
		return false
	}
	_, doubt := w.Hold.Ran(now, beat)
	return len(w.Doubts) > 0 || doubt != fusion.Sure
}

// GapTold tells whether the wall clock may be asked how long a hold has run: of
// another machine it says nothing of a fusion that ended here.
func GapTold(w logbook.Weld, now fusion.Stamp) bool {
	return w.Holding() && w.Hold != nil && len(w.Doubts) > 0 && w.Ended.SameMachine(now)
}

// SayHold lets a hold count what a watch or the ink on the pipe says, on the word of
// the head's person. The doubt is recorded before it where it was not yet.
func SayHold(h Head, weld string, said logbook.HoldSaid, beat fusion.Stamp) Act {
	return onWeld(h, weld, func(_ logbook.Reader, w logbook.Weld) ([]logbook.Body, error) {
		switch {
		case !w.Holding():
			return nil, notHeld(w)
		case w.Hold == nil:
			return nil, logbook.Refuse("no cooling time is known of %s, so none runs out", w.ID)
		case !InDoubt(w, h.At, beat):
			return nil, logbook.Refuse("one clock has counted the hold of %s since it began: there is nothing to state", w.ID)
		}
		if err := named(h, "stating a hold", said.Why); err != nil {
			return nil, err
		}
		sure := w.SureRun(h.At, beat)
		ran, err := statedRun(w.Hold.Want, sure, said)
		if err != nil {
			return nil, err
		}
		said.RanS, said.SureS = max(sure, ran).Seconds(), sure.Seconds()
		if b, doubt := doubted(w, h.At, beat); doubt {
			return []logbook.Body{b, said}, nil
		}
		return []logbook.Body{said}, nil
	})
}

// statedRun is how much of a hold has run as a person read it, where so much of it is
// sure. What was read to the minute is taken so that the hold is longer.
func statedRun(want, sure time.Duration, said logbook.HoldSaid) (time.Duration, error) {
	watch, _, err := onWatch(said.Watch, "what the watch shows now")
	if err != nil {
		return 0, err
	}
	switch {
	case (said.Began == "") == (said.Ink == ""):
		return 0, logbook.Refuse("state when the hold began by the watch, or what stands on the pipe in ink: one of the two")
	case said.Began != "":
		began, exact, err := onWatch(said.Began, "when the hold began")
		ran := onDial(watch - began)
		if !exact {
			ran -= time.Minute
		}
		if err == nil && onDial(watch-began) < 0 {
			err = logbook.Refuse("%s is still to come by a watch that shows %s: read both again", said.Began, said.Watch)
		}
		return ran, err
	}
	ink, _, err := onWatch(said.Ink, "what stands on the pipe")
	left := onDial(ink - watch)
	if most := max(want, want-sure); err == nil && left > most+time.Minute { // ink is rounded up to the minute
		err = logbook.Refuse("%s on the pipe is %.0f min after %s, the hold is %.0f min: read both again", said.Ink, left.Minutes(), said.Watch, most.Minutes())
	}
	return want - left, err
}

// WatchTime takes a time of day as a watch shows it.
func WatchTime(s string) (string, error) {
	_, _, err := onWatch(s, "the watch")
	return s, err
}

// onWatch is a time of day as a watch shows it, and whether to the second.
func onWatch(s, what string) (d time.Duration, exact bool, err error) {
	for _, layout := range []string{"15:04", "15:04:05"} {
		if t, err := time.Parse(layout, s); err == nil {
			midnight := time.Date(t.Year(), t.Month(), t.Day(), 0, 0, 0, 0, time.UTC)
			return t.Sub(midnight), layout != "15:04", nil
		}
	}
	return 0, false, logbook.Refuse("%s: %q is no time; write 14:49, or 14:49:30", what, s)
}

// onDial is the time between two readings of a watch, across midnight too: at most
// half a day, to come if less than nothing.
func onDial(d time.Duration) time.Duration {
	const day = 24 * time.Hour
	if d = (d%day + day) % day; d > day/2 {
		d -= day
	}
	return d
}

// FoundElsewhere records, of the holds of a site that run by the clock of another
// machine, what they have surely run: from then on they are counted here too.
func FoundElsewhere(h Head, beat fusion.Stamp) Act {
	return func(r logbook.Reader) (drafts []logbook.Draft, err error) {
		for _, id := range r.MayRun(h.Site) {
			w, _ := r.Weld(h.Site, id)
			if b, _ := doubted(w, h.At, beat); b.Why == string(fusion.Elsewhere) {
				drafts = append(drafts, h.weld(w, b))
			}
		}
		return drafts, nil
	}
}
