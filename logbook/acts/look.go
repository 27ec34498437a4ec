package acts

import (
	"cmp"
	"slices"
	"time"

	"coolhold/fusion"
	"coolhold/logbook"
)

// LookAgain stores another look at a weld that stands, by any named person, on a shift
// or not. It adds an observation and takes none away. Everything that is asked must be
// said, be it that nobody could look; what paper leaves blank stays unsaid, and the audit
// asks for it. Where it is told afterwards b says when it was
// made, where another tells it who looked. A look before the hold was over is one at a
// hot joint, and stored as that.
func LookAgain(h Head, weld string, b logbook.IndicatorsRead) Act {
	return onWeld(h, weld, func(r logbook.Reader, w logbook.Weld) ([]logbook.Body, error) {
		looker := h
		looker.By = cmp.Or(b.Looker, h.By)
		for _, who := range []Head{h, looker} {
			if err := named(who, "a look"); err != nil {
				return nil, err
			}
		}
		if err := mustBeEnded(w); err != nil {
			return nil, err
		}
		if err := inLookTime(h, w, b); err != nil {
			return nil, err
		}
		b.When = logbook.LookAgain
		if HotAt(w, h.At, b.Stated, b.DayOnly) {
			b.When = logbook.LookHot
		}
		if err := whole(r, w, b); err != nil {
			return nil, err
		}
		return []logbook.Body{b}, nil
	})
}

// whole refuses a look of which something that was asked is not said. A hot joint is
// not touched, so how it feels is not asked then.
func whole(r logbook.Reader, w logbook.Weld, b logbook.IndicatorsRead) error {
	look := b.Look
	if b.Paper != nil {
		if !look.Saw() {
			return logbook.Refuse("nothing that was seen or felt is said of %s", w.ID)
		}
		return nil
	}
	for _, v := range logbook.LookValues {
		if v.Get(look) == "" && (v.Key != "felt" || look.When != logbook.LookHot) {
			return logbook.Refuse("%s is not said of %s: %s", v.Name, w.ID, v.Options.Either())
		}
	}
	if row, _ := logbook.RowOf(r, w); row.Fitting.Indicators != nil && !slices.Contains(look.Indicators, logbook.None) {
		if want, got := *row.Fitting.Indicators, len(look.Indicators); got < want {
			return logbook.Refuse("%s has %s by its table, and %d was said: one a side", w.Fitting(), logbook.Count(want, "indicator"), got)
		}
	}
	return nil
}

// inLookTime refuses a look at a time that cannot be: to come, or before there was a
// fusion to look at.
func inLookTime(h Head, w logbook.Weld, b logbook.IndicatorsRead) error {
	if b.Stated == nil {
		return nil
	}
	fused, _ := w.FusedAt()
	first, last, layout := fused, h.At.Wall, "2006-01-02 15:04"
	at := *b.Stated
	if b.DayOnly {
		first, last, layout = noon(first.In(at.Location())), noon(last.In(at.Location())), time.DateOnly
		at = noon(at)
	}
	switch {
	case at.After(last):
		return logbook.Refuse("%s is still to come: it is %s", at.Format(layout), last.In(at.Location()).Format(layout))
	case at.Before(first.Truncate(time.Minute)): // whole minutes are stated
		return logbook.Refuse("%s is before %s was fused, %s", at.Format(layout), w.ID, first.In(at.Location()).Format(layout))
	}
	return nil
}

func noon(t time.Time) time.Time {
	return time.Date(t.Year(), t.Month(), t.Day(), 12, 0, 0, 0, t.Location())
}

// HotAt tells whether the hold of a weld was not over when it was looked at: now, or at
// a time that was stated. Of a day the end is meant, since the hold is over by then.
func HotAt(w logbook.Weld, now fusion.Stamp, stated *time.Time, dayOnly bool) bool {
	if stated == nil {
		return w.Holding() && w.Hold != nil && !w.Hold.Over(now, fusion.Stamp{})
	}
	until, known := coldFrom(w)
	if dayOnly {
		return known && noon(until.In(stated.Location())).After(noon(*stated))
	}
	return known && stated.Before(until)
}

// coldFrom is when the hold of a weld was over: where its release is stated, that says it.
// One that was entered later without an end counts from its start.
func coldFrom(w logbook.Weld) (time.Time, bool) {
	if w.ReleasedStated != nil {
		return *w.ReleasedStated, true
	}
	if w.LateWhy == "" || w.EndedStated != nil || w.StartedStated == nil || w.Settings == nil {
		return w.HoldUntil()
	}
	ran := time.Duration(w.Settings.SecondsShown) * time.Second
	return w.StartedStated.Add(ran + time.Duration(w.Settings.CoolingMin)*time.Minute), true
}
