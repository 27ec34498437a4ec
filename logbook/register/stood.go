package register

import (
	"time"

	"coolhold/fusion"
	"coolhold/logbook"
	"coolhold/logbook/ahead"
)

// An Unended is a fusion or a cooling time that nobody ended in the log, and whose time was over
// when the register was made: a reader must not take it for one that goes on.
type Unended struct {
	Fusing bool      // else it cools
	Over   time.Time // when its time was over, if nothing stopped it
}

// Unended tells of a weld whether its fusion or its cooling time is over and not ended.
func (rep Report) Unended(weld string) (u Unended, is bool) {
	u, is = rep.unended[weld]
	return u, is
}

func unendedOf(welds []logbook.Weld, asOf time.Time) map[string]Unended {
	out := map[string]Unended{}
	for _, w := range welds {
		u := Unended{Fusing: w.Fusing()}
		span, known := w.FusionSpan()
		began, fused := w.FusedAt()
		until, held := w.HoldUntil()
		switch {
		case u.Fusing && known && fused:
			if u.Over = began.Add(span.Want); w.StartedStated == nil {
				u.Over = span.Began.Local().Add(span.Want - span.Done)
			}
		case w.Holding() && held:
			u.Over = until
		default:
			continue
		}
		if u.Over.Before(asOf) {
			out[w.ID] = u
		}
	}
	return out
}

// setDownAt is when a joint was first set down prepared, to be fused after others.
func setDownAt(r Row) Value {
	if len(r.Weld.Stood) == 0 {
		return nil
	}
	return r.Weld.Stood[0].From.Local()
}

// stoodMin is how many whole minutes it stood so, all times together, by the longer of
// what may be.
func stoodMin(r Row) Value {
	var sum time.Duration
	for _, stood := range r.Weld.Stood {
		if stood.Until == nil {
			return nil // it stands so still
		}
		lasted, _ := r.Site.Course.Most(*stood.From, *stood.Until, fusion.Stamp{})
		sum += lasted
	}
	if len(r.Weld.Stood) == 0 {
		return nil
	}
	return int(sum.Minutes())
}

// scrapedMin is how many whole minutes before its current a joint was scraped, of a weld
// whose current was watched.
func scrapedMin(r Row) Value {
	w := r.Weld
	if w.Started == nil || w.StartedStated != nil {
		return nil
	}
	ago, known := ahead.ScrapedAgo(r.Site, w, *w.Started, fusion.Stamp{})
	if !known {
		return nil
	}
	return int(ago.Minutes())
}
