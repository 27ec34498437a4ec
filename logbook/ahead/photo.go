package ahead

import (
	"cmp"
	"fmt"
	"slices"
	"time"

	"coolhold/fusion"
	"coolhold/logbook"
)

// ShowsJoint tells whether a file that shows a part, a section or a test shows a joint
// with it.
func ShowsJoint(r logbook.Reader, s logbook.Site, e logbook.Enclosure, j logbook.Joint) bool {
	id := e.Section
	switch {
	case e.Part != "":
		return SectionOf(j) == e.Part
	case e.Test != "":
		at := slices.IndexFunc(s.Tests, func(t logbook.PressureTest) bool { return t.ID == e.Test })
		if at < 0 {
			return false
		}
		id = &s.Tests[at].Section
	}
	if id == nil {
		return false
	}
	t, ok := TestSectionOf(r, s.ID, *id)
	return ok && t.Has(j.Label)
}

// A Near is something of the record whose time lies near that of a photo.
type Near struct {
	What string    `json:"what"` // "weld KM-0012 in 3B"
	From time.Time `json:"from"`
	To   time.Time `json:"to"`
	// Apart is how far the photo's time lies from it, in whole minutes: below zero before
	// it, above zero after it, 0 within.
	Apart int `json:"apart_min"`
	apart time.Duration
	at    time.Time // of the photo
}

// Line says what it is and how far from it the photo was taken by its own clock.
func (n Near) Line() string {
	clock := func(t time.Time) string {
		if t.Format(time.DateOnly) != n.at.In(t.Location()).Format(time.DateOnly) {
			return t.Format("2 Jan 15:04")
		}
		return t.Format("15:04")
	}
	when := clock(n.From)
	if to := n.To.Format("15:04"); to != n.From.Format("15:04") {
		when += " to " + to
	}
	how := "within it"
	switch {
	case n.Apart < 0:
		how = minutes(-n.Apart) + " before it"
	case n.Apart > 0:
		how = minutes(n.Apart) + " after it"
	case n.apart != 0:
		how = "less than a minute from it"
	}
	return n.What + ", " + when + ": " + how
}

func minutes(n int) string {
	if n < 120 {
		return fmt.Sprintf("%d min", n)
	}
	return fmt.Sprintf("%d h %d min", n/60, n%60)
}

// Around is what of a site lies around a time, the nearest first: welds from their begin
// to their release, tests, covers, and what was read of the loop. It proposes and says
// no more: the clock of a photo is not ours.
func Around(r logbook.Reader, s logbook.Site, at time.Time, within time.Duration) []Near {
	var out []Near
	add := func(what string, from, to time.Time) {
		if to.Before(from) {
			to = from
		}
		var apart time.Duration
		if at.Before(from) {
			apart = at.Sub(from)
		} else if at.After(to) {
			apart = at.Sub(to)
		}
		if apart.Abs() <= within {
			out = append(out, Near{what, from, to, int(apart / time.Minute), apart, at})
		}
	}
	for _, w := range r.Welds(s.ID) {
		if from, to, known := weldTimes(w); known {
			add("weld "+w.ID+" in "+w.Joint, from, to)
		}
	}
	for _, t := range s.Tests {
		if t.Counts() {
			from, to := testTimes(t)
			add("pressure test "+t.ID+" of "+t.Section.String(), from, to)
		}
	}
	for _, c := range s.Covers {
		if c.Withdrawn == nil && c.On == "" {
			add(c.Section+", covered", c.At.Local(), c.At.Local())
		}
	}
	for _, l := range loopTimes(s.Loop) {
		add(l.what, l.at, l.at)
	}
	slices.SortStableFunc(out, func(a, b Near) int { return cmp.Compare(a.apart.Abs(), b.apart.Abs()) })
	return out
}

// weldTimes are from when to when a weld was worked on. Of one that was entered later only
// what was stated counts.
func weldTimes(w logbook.Weld) (from, to time.Time, known bool) {
	var times []time.Time
	for _, t := range []struct {
		at     *fusion.Stamp
		stated *time.Time
	}{{&w.Begun, nil}, {w.Started, w.StartedStated}, {w.Ended, w.EndedStated}, {w.Released, w.ReleasedStated}} {
		switch {
		case t.stated != nil:
			times = append(times, *t.stated)
		case t.at != nil && w.LateWhy == "":
			times = append(times, t.at.Local())
		}
	}
	if len(times) == 0 {
		return from, to, false
	}
	return slices.MinFunc(times, time.Time.Compare), slices.MaxFunc(times, time.Time.Compare), true
}

func testTimes(t logbook.PressureTest) (from, to time.Time) {
	from = t.When().Local()
	to = from
	for _, r := range t.Readings {
		if at := r.When().Local(); at.After(to) {
			to = at
		}
	}
	if t.Ended != nil {
		if at := t.Ended.When().Local(); at.After(to) {
			to = at
		}
	}
	return from, to
}

// A doneAt is something that was done at one time.
type doneAt struct {
	what string
	at   time.Time
}

func loopTimes(l logbook.LoopLog) (out []doneAt) {
	for _, f := range l.Flows {
		if f.Withdrawn == nil {
			out = append(out, doneAt{"flow of " + f.Section.String(), f.When().Local()})
		}
	}
	for _, p := range l.Purges {
		if p.Withdrawn == nil {
			out = append(out, doneAt{"purge of " + p.Section.String(), p.When().Local()})
		}
	}
	for _, f := range l.Fillings {
		if f.Withdrawn == nil {
			out = append(out, doneAt{"filling of " + f.Section.String(), f.When().Local()})
		}
	}
	return out
}
