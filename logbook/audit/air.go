package audit

import (
	"fmt"
	"slices"
	"time"

	"coolhold/fusion"
	"coolhold/logbook"
	"coolhold/logbook/ahead"
)

// A leap is a weld's own reading that lies far from an earlier one.
type leap struct {
	C      fusion.Celsius `json:"c"`
	Before fusion.Celsius `json:"before_c"`
	Weld   string         `json:"of"`       // whose the earlier one is
	Since  time.Duration  `json:"since_ns"` // the earlier one
}

// airRead is when the temperature that a weld was made by was read, and
// whether it was read for this weld. One stated later has no such time.
func airRead(w logbook.Weld) (at time.Time, own, ok bool) {
	switch {
	case w.Ambient == nil || w.Ambient.How == logbook.Later:
		return at, false, false
	case w.Ambient.Taken != nil:
		return w.Ambient.Taken.Wall, false, true
	}
	_, at, ok = lastTrace(w, logbook.AmbientRead{}.Kind())
	return at, true, ok
}

// leapsOf finds each reading far from one of the site shortly before. What was read
// on site is compared with what was read there; what was stated with a weld, on paper
// or later, with either, and is found on the stated weld alone.
func leapsOf(welds []logbook.Weld) map[string]leap {
	type reading struct {
		at     time.Time
		weld   string
		c      fusion.Celsius
		stated bool
	}
	var list []reading
	for _, w := range welds {
		if at, own, ok := airRead(w); ok && own {
			list = append(list, reading{at, w.ID, w.Ambient.C, false})
		} else if w.Ambient != nil && w.Ambient.How == logbook.Later && w.StartedStated != nil {
			list = append(list, reading{*w.StartedStated, w.ID, w.Ambient.C, true})
		}
	}
	slices.SortStableFunc(list, func(a, b reading) int { return a.at.Compare(b.at) })
	leaps := map[string]leap{}
	var newest, read *reading // of all, and of those read on site
	for i := range list {
		b, a := &list[i], read
		if b.stated {
			a = newest
		}
		if a != nil {
			apart, since := b.c-a.c, b.at.Sub(a.at)
			if max(apart, -apart) > ahead.LeapMost && since <= ahead.FreshFor {
				leaps[b.weld] = leap{b.c, a.c, a.weld, since}
			}
		}
		if newest = b; !b.stated {
			read = b
		}
	}
	return leaps
}

func ambientLeaping(c Case) (leap, bool) {
	l, ok := c.scene.leap[c.Weld.ID]
	return l, ok && c.Weld.Fused()
}

func leapSays(weld string, f leap) string {
	return fmt.Sprintf("%s: %s °C was read, %.0f min after %s °C for %s", weld, f.C, f.Since.Minutes(), f.Before, f.Weld)
}

func ambientStale(c Case) (age time.Duration, found bool) {
	at, _, ok := airRead(c.Weld)
	if !ok || c.Weld.Started == nil || c.Weld.StartedStated != nil {
		return 0, false
	}
	age = c.Weld.Started.Wall.Sub(at)
	return age, age > ahead.FreshFor
}

func staleSays(weld string, age time.Duration) string {
	return fmt.Sprintf("%s was fused by a temperature read %.0f min before", weld, age.Minutes())
}
