package register

import (
	"time"

	"coolhold/fusion"
	"coolhold/logbook/ahead"
)

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
