package ahead

import (
	"cmp"
	"slices"
	"strings"
	"time"

	"coolhold/fusion"
	"coolhold/logbook"
)

// Of a batch: the fewest and the most joints that are prepared before they are fused one
// after the other, and how many are proposed where nobody said how many clamp sets there
// are. Our choice, adjustable, no source.
const (
	FewestInBatch = 2
	MostInBatch   = 8
	usualBatch    = 4
)

// AbsentFor is from when on it is taken that nobody was there, where nobody entered
// anything: our choice, adjustable, no source.
const AbsentFor = 30 * time.Minute

// ScrapedAgo is how long ago the joint of a walk was scraped, by the longer of what may
// be: it is not known of what was typed in later.
func ScrapedAgo(s logbook.Site, w logbook.Weld, now, beat fusion.Stamp) (ago time.Duration, known bool) {
	at := w.ScrapedAt()
	if at == nil || w.LateWhy != "" || w.Paper != nil {
		return 0, false
	}
	ago, _ = s.Course.Most(*at, now, beat)
	return ago, true
}

// ScrapedTooLong tells whether a joint was scraped longer ago than the plan of its site
// allows. Without a figure there none is too long.
func ScrapedTooLong(s logbook.Site, w logbook.Weld, now, beat fusion.Stamp) bool {
	ago, known := ScrapedAgo(s, w, now, beat)
	return known && s.ScrapedMin > 0 && ago > time.Duration(s.ScrapedMin)*time.Minute
}

// A Ready is a joint that was set down prepared.
type Ready struct {
	Weld    logbook.Weld
	Scraped time.Duration // how long ago
	Known   bool          // false where nobody scraped it
	Late    bool          // longer ago than the plan allows
	Since   []string      // what came between, codes of logbook.Betweens
}

// ReadyOn are the joints of a site that stand prepared, the one that was set down first
// before the others: it was scraped longest ago. began is when the program that is asked
// was started.
func ReadyOn(r logbook.Reader, site string, began, now, beat fusion.Stamp) []Ready {
	s, _ := r.Site(site)
	var out []Ready
	for _, w := range mayRun(r, site) {
		if !w.Walking() || w.Ready == nil {
			continue
		}
		ready := Ready{Weld: w, Late: ScrapedTooLong(s, w, now, beat), Since: SinceReady(r, w, began, now)}
		ready.Scraped, ready.Known = ScrapedAgo(s, w, now, beat)
		out = append(out, ready)
	}
	slices.SortStableFunc(out, func(a, b Ready) int { return cmp.Compare(b.Scraped, a.Scraped) })
	return out
}

// SinceReady is what came between since a joint was set down prepared that may have
// spoiled it, as codes: what touched others is not asked of it.
func SinceReady(r logbook.Reader, w logbook.Weld, began, now fusion.Stamp) []string {
	if w.Ready == nil {
		return nil
	}
	var codes []string
	add := func(when bool, code string) {
		if when {
			codes = append(codes, code)
		}
	}
	from := *w.Ready
	add(wetSince(r, w.Site, from), logbook.TurnedWet)
	add(pipeMoved(r, w, from), logbook.PipeMoved)
	switch {
	case !from.SameMachine(now):
		add(true, logbook.OtherLaptop)
	case !from.SameBoot(now):
		add(true, logbook.MachineOff)
	case after(began, from):
		add(true, logbook.NotRunning)
	}
	add(absent(r, w.Site, from, now), logbook.NobodyThere)
	return codes
}

// after tells whether a moment is after another, by the boot clock where they have one.
func after(a, b fusion.Stamp) bool {
	if a.SameBoot(b) {
		return a.Boot > b.Boot
	}
	return a.Wall.After(b.Wall)
}

// wetSince tells whether it rained or snowed without a shelter at a moment or after it, as
// far as the weather was entered.
func wetSince(r logbook.Reader, site string, from fusion.Stamp) bool {
	s, _ := r.Site(site)
	wet := func(at logbook.Weather) bool { return at.Sky == logbook.SkyWet && at.Shelter == logbook.ShelterNone }
	for _, id := range slices.Backward(s.Shifts) {
		sh, _ := r.Shift(site, id)
		if slices.ContainsFunc(sh.Changes, func(c logbook.Change) bool { return after(c.At, from) && wet(c.Weather) }) {
			return true
		}
		if !after(sh.Started, from) {
			return wet(sh.WeatherAt(from))
		}
		if sh.First != nil && wet(*sh.First) {
			return true
		}
	}
	return false
}

// pipeMoved tells whether a weld on a pipe of this one was moved or cut out since.
func pipeMoved(r logbook.Reader, w logbook.Weld, from fusion.Stamp) bool {
	j, _ := r.Joint(w.Site, w.Joint)
	return slices.ContainsFunc(r.Welds(w.Site), func(o logbook.Weld) bool {
		other, _ := r.Joint(o.Site, o.Joint)
		if o.ID == w.ID || !j.Shares(other.Joint) {
			return false
		}
		return slices.ContainsFunc(saidAfter(o, from), func(e *logbook.Entry) bool {
			switch e.Open().(type) {
			case logbook.Disturbed, logbook.CutOut:
				return true
			}
			return false
		})
	})
}

// saidAfter is what was said of a weld after a moment.
func saidAfter(w logbook.Weld, from fusion.Stamp) []*logbook.Entry {
	at := len(w.Trail)
	for at > 0 && after(w.Trail[at-1].At, from) {
		at--
	}
	return w.Trail[at:]
}

// absent tells whether for longer than AbsentFor nothing was said of any weld.
func absent(r logbook.Reader, site string, from, now fusion.Stamp) bool {
	stamps := []fusion.Stamp{from, now}
	for _, w := range r.Welds(site) {
		for _, e := range saidAfter(w, from) {
			stamps = append(stamps, e.At)
		}
	}
	slices.SortStableFunc(stamps, func(a, b fusion.Stamp) int {
		switch {
		case after(b, a):
			return -1
		case after(a, b):
			return 1
		}
		return 0
	})
	for i := 1; i < len(stamps); i++ {
		if gap, _ := (fusion.Course{}).Most(stamps[i-1], stamps[i], fusion.Stamp{}); gap > AbsentFor {
			return true
		}
	}
	return false
}

// ProposeBatch is which joints to prepare together: from the first of an order on that
// has others beside it those that the same leads reach, a chamber's row, else its other row
// too, as many as there are clamps left. No two are on one pipe: they would move each
// other. It is empty where no two can be.
func ProposeBatch(r logbook.Reader, site string, o Order, now, beat fusion.Stamp) []logbook.Joint {
	most := clampsLeft(r, site)
	var free []logbook.Joint
	for _, p := range o.Rows {
		_, held := PipeHeld(r, p.Joint, now, beat)
		if p.Weld == "" && !p.Covered && p.Why != noUnitWhy && !held {
			free = append(free, p.Joint)
		}
	}
	for i := range free {
		for _, sameRow := range []bool{true, false} {
			if batch := withinReach(free[i:], most, sameRow); len(batch) >= FewestInBatch {
				return batch
			}
		}
	}
	return nil
}

// NoBatch says why no batch is proposed.
func NoBatch(r logbook.Reader, site string, o Order) string {
	if most := clampsLeft(r, site); most < FewestInBatch {
		return "None is marked: " + logbook.Count(most, "clamp set") + " of the kit left free."
	}
	if len(o.NoUnit) > 0 {
		var says []string
		for _, n := range o.NoUnit {
			says = append(says, n.String())
		}
		return "None is marked. " + strings.Join(says, "; ") + ", by the kit and the shift."
	}
	return "None is marked: no two that are free lie within the reach of the same leads."
}

// withinReach are the first of some joints and those beside it.
func withinReach(free []logbook.Joint, most int, sameRow bool) (batch []logbook.Joint) {
	for _, j := range free {
		alike := placeOf(j) == placeOf(free[0]) && (!sameRow || j.Row == free[0].Row)
		shares := slices.ContainsFunc(batch, func(o logbook.Joint) bool { return o.Shares(j.Joint) })
		if alike && !shares && len(batch) < most {
			batch = append(batch, j)
		}
	}
	return batch
}

// clampsLeft is how many joints can be clamped now: of the sets that the kit declares
// those are taken that a walk, a fusion or a hold has.
func clampsLeft(r logbook.Reader, site string) int {
	s, _ := r.Site(site)
	k, _ := logbook.KitOf(s)
	sets, declared := k.ClampSets()
	if !declared {
		return usualBatch
	}
	for _, w := range mayRun(r, site) {
		if w.Walking() || w.Stands() && (w.Ended == nil || w.Holding()) {
			sets--
		}
	}
	return min(max(sets, 0), MostInBatch)
}
