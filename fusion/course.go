package fusion

import (
	"slices"
	"time"
)

// A Course is what the stamps of a log, in the order of its entries, prove of the
// time that passed: a heartbeat is kept only of the last start, entries of all. It
// is a list of stretches on one start of one machine each; a machine that comes
// back begins another.
type Course struct {
	before []stretch
	here   stretch
}

// A stretch is the first and the last stamp on one start of a machine.
type stretch struct {
	first, last Stamp
	upTo        time.Duration // what is proved from the course's first stamp to this first one
}

// end is what is proved up to the last stamp.
func (s stretch) end() time.Duration { return s.upTo + s.last.Boot - s.first.Boot }

// After is the course after one more stamp. One that names no start proves nothing.
func (c Course) After(at Stamp) Course {
	switch {
	case !at.SameBoot(at):
	case c.here.last.SameBoot(at):
		if at.Boot > c.here.last.Boot { // an act is stamped when it is asked for and may be stored behind a later one
			c.here.last = at
		}
	default:
		next := stretch{first: at, last: at}
		if !c.here.last.IsZero() {
			gap, _ := between(c.here.last, at, Stamp{})
			next.upTo = c.here.end() + gap
			c.before = append(slices.Clip(c.before), c.here)
		}
		c.here = next
	}
	return c
}

// Since is how long it surely is from a stamp of the course to now: on each start
// from its first entry to its last, and what lies between two of them as a span
// counts it.
func (c Course) Since(began, now, beat Stamp) (time.Duration, Doubt) {
	run, doubt := between(began, now, beat)
	if doubt == Sure {
		return run, doubt
	}
	on, held := c.on(began)
	if !held {
		return run, doubt
	}
	rest, _ := between(c.here.last, now, beat)
	return max(run, on.last.Boot-began.Boot+c.here.end()-on.end()+rest), doubt
}

// on is the last stretch that a stamp may lie on.
func (c Course) on(began Stamp) (stretch, bool) {
	holds := func(s stretch) bool { return s.first.SameBoot(began) && s.first.Boot <= began.Boot }
	if holds(c.here) {
		return c.here, true
	}
	for _, s := range slices.Backward(c.before) {
		if holds(s) {
			return s, true
		}
	}
	return stretch{}, false
}

// Most is how long it may be from a stamp of the course to now: on one start of a
// machine what its boot clock says, else the longer of what the clocks prove and what
// the wall clocks say. Where a span errs so that a hold is longer, this errs so that
// what is fresh is older.
func (c Course) Most(began, now, beat Stamp) (time.Duration, Doubt) {
	run, doubt := c.Since(began, now, beat)
	if doubt == NoBoot {
		run = max(run, now.Boot-began.Boot)
	}
	if doubt != Sure {
		run = max(run, now.Wall.Sub(began.Wall))
	}
	return max(0, run), doubt
}

// LeftAlong is what remains of a span that began on a course.
func (s Span) LeftAlong(c Course, now, beat Stamp) (time.Duration, Doubt) {
	run, doubt := s.ran(func(began Stamp) (time.Duration, Doubt) { return c.Since(began, now, beat) })
	return s.Want - run, doubt
}
