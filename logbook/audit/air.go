package audit

import (
	"fmt"
	"slices"
	"time"

	"coolhold/fusion"
	"coolhold/logbook"
	"coolhold/logbook/ahead"
)

// A leap is a weld's own reading that lies far from another: an earlier one, or of
// what was stated a later one.
type leap struct {
	C      fusion.Celsius `json:"c"`
	Before fusion.Celsius `json:"before_c"` // the other one
	Weld   string         `json:"of"`       // whose the other one is
	Since  time.Duration  `json:"since_ns"` // the other one; less than nothing: that was later
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

// A reading is one temperature of the site. What was stated, on paper, later or as a
// correction, is held against others; what was read stands where it was read.
type reading struct {
	at     time.Time
	weld   string
	c      fusion.Celsius
	stated bool
	other  bool // it is there for others alone: the weld goes by its correction
}

// readingsOf are the temperatures of a site in the order of their times.
func readingsOf(welds []logbook.Weld) (list []reading) {
	for _, w := range welds {
		at, own, ok := airRead(w)
		was := w.Ambient
		if len(w.Corrections) > 0 {
			states := w.AsRecorded()
			was = states[len(states)-1].Ambient
		}
		switch changed := ok && was != nil && was.C != w.Ambient.C; {
		case changed:
			if list = append(list, reading{at: at, weld: w.ID, c: w.Ambient.C, stated: true}); own {
				list = append(list, reading{at: at, weld: w.ID, c: was.C, other: true})
			}
		case ok && own:
			list = append(list, reading{at: at, weld: w.ID, c: w.Ambient.C})
		case w.Ambient != nil && w.Ambient.How == logbook.Later && w.StartedStated != nil:
			list = append(list, reading{at: *w.StartedStated, weld: w.ID, c: w.Ambient.C, stated: true})
		}
	}
	slices.SortStableFunc(list, func(a, b reading) int { return a.at.Compare(b.at) })
	return list
}

// from is how one reading leaps from another, if it does.
func (b reading) from(a *reading) (leap, bool) {
	if a == nil || a.weld == b.weld {
		return leap{}, false
	}
	apart, since := b.c-a.c, b.at.Sub(a.at)
	return leap{b.c, a.c, a.weld, since}, max(apart, -apart) > ahead.LeapMost && since.Abs() <= ahead.FreshFor
}

// leapsOf finds each reading far from one of the site shortly before. What was read
// on site is compared with what was read there; what was stated with either, and with
// what was read shortly after it too: it is found on the stated weld alone.
func leapsOf(welds []logbook.Weld) map[string]leap {
	list := readingsOf(welds)
	leaps := map[string]leap{}
	var newest, read *reading // of all, and of those read on site
	for i := range list {
		b, a := &list[i], read
		if b.stated {
			a = newest
		}
		l, far := b.from(a)
		if !far && b.stated {
			l, far = b.from(nextRead(list[i+1:], b.weld))
		}
		if far && !b.other {
			leaps[b.weld] = l
		}
		if newest = b; !b.stated {
			read = b
		}
	}
	return leaps
}

// nextRead is the first of some readings that was read on site, for another weld.
func nextRead(list []reading, weld string) *reading {
	for i := range list {
		if r := &list[i]; !r.stated && r.weld != weld {
			return r
		}
	}
	return nil
}

func ambientLeaping(c Case) (leap, bool) {
	l, ok := c.scene.leap[c.Weld.ID]
	return l, ok && c.Weld.Fused()
}

func leapSays(weld string, f leap) string {
	if f.Since < 0 {
		return fmt.Sprintf("%s: %s °C was said for it, %.0f min before %s °C was read for %s", weld, f.C, -f.Since.Minutes(), f.Before, f.Weld)
	}
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
