package acts

import (
	"time"

	"coolhold/fusion"
	"coolhold/logbook"
)

// wallRan is what the wall clocks say has run of the hold. A stated end of
// fusion counts only where the hold was said to count from it.
func wallRan(w logbook.Weld, now fusion.Stamp) time.Duration {
	switch {
	case w.Ended == nil:
		return 0
	case w.HoldStated:
		return max(0, now.Wall.Sub(*w.EndedStated))
	}
	return max(0, now.Wall.Sub(w.Ended.Wall))
}

// FoundAtStart is what a fresh start of the program must record before
// anything else: fusions that nobody watched to their end, and holds that ran
// across a restart of the machine, with what they have surely run.
func FoundAtStart(h Head, beat fusion.Stamp) Act {
	return func(r logbook.Reader) ([]logbook.Draft, error) {
		var drafts []logbook.Draft
		for _, s := range r.Sites() {
			drift := driftSince(s.LastAt, h.At)
			running := r.MayRun(s.ID)
			if drift.Abs() <= DriftMost && len(running) == 0 {
				continue
			}
			s, _ = r.Site(s.ID)
			h := h.at(s)
			if drift.Abs() > DriftMost {
				drafts = append(drafts, h.draft(logbook.ClockDoubted{Why: logbook.WhyDrift, DriftS: drift.Seconds()}))
			}
			for _, id := range running {
				w, _ := r.Weld(s.ID, id)
				drafts = append(drafts, found(h, w, beat)...)
			}
		}
		return drafts, nil
	}
}

func found(h Head, w logbook.Weld, beat fusion.Stamp) (drafts []logbook.Draft) {
	span, known := w.FusionSpan()
	running := known && !span.Over(h.At, beat) && w.ZoneAt.SameBoot(h.At)
	if w.Fusing() && !w.Unwatched && !(w.Found && running) {
		drafts = append(drafts, h.weld(w, logbook.WalkResumed{Step: logbook.StepFusion, Found: true, Running: running}))
	}
	if b, doubt := doubted(w, h.At, beat); doubt {
		drafts = append(drafts, h.weld(w, b))
	}
	return drafts
}

// doubted is what must be recorded of a hold so that it runs on from now, and whether
// it must.
func doubted(w logbook.Weld, now, beat fusion.Stamp) (logbook.ClockDoubted, bool) {
	if !w.Holding() || w.Hold == nil {
		return logbook.ClockDoubted{}, false
	}
	ran, doubt := w.Hold.Ran(now, beat)
	began := w.Hold.Began
	anew := doubt == fusion.Restarted || doubt == fusion.Elsewhere || doubt == fusion.NoBoot && (now.Boot < began.Boot || now.Wall.Before(began.Wall)) // else it would stand until the wall clock has come so far again
	return logbook.ClockDoubted{Why: string(doubt), RanS: ran.Seconds(), ByWallS: wallRan(w, now).Seconds()}, anew
}

// DriftMost is how far wall clock and boot clock may drift apart before it is
// recorded: our choice.
const DriftMost = 2 * time.Second

// driftSince is how far the wall clock moved against the boot clock between two
// stamps of one start of the machine.
func driftSince(then, now fusion.Stamp) time.Duration {
	if !then.SameBoot(now) {
		return 0
	}
	return now.Wall.Sub(then.Wall) - (now.Boot - then.Boot)
}

// DoubtDrift records that wall clock and boot clock drifted apart by drift.
func DoubtDrift(h Head, drift time.Duration) Act {
	return func(logbook.Reader) ([]logbook.Draft, error) {
		return []logbook.Draft{h.draft(logbook.ClockDoubted{Why: logbook.WhyDrift, DriftS: drift.Seconds()})}, nil
	}
}
