package logbook

import (
	"slices"
	"time"

	"coolhold/fusion"
)

// JumpMost is how far a wall clock may run off its boot clock, or back along the
// log, before that is a jump: our choice, adjustable.
const JumpMost = 2 * time.Minute

// slewed is one part in so many by which a wall clock that is being set slowly may
// run off its boot clock: 500 parts in a million, from memory.
const slewed = 2000

// A Jump is a leap of the wall clock between two entries.
type Jump struct {
	ID     string        // the time that the entry after it bears: it stays when logs are merged
	Seq    uint64        // of the entry after it
	By     time.Duration // less than nothing: back. Where nobody can tell how far it was, at least so far
	Before fusion.Stamp  // of the entry before it
	After  fusion.Stamp
}

// Back tells whether entries after it bear times of entries before it.
func (j Jump) Back() bool { return j.After.Wall.Before(j.Before.Wall) }

// Touches tells whether an entry stands after the jump and bears a time before it.
func (j Jump) Touches(seq uint64, at fusion.Stamp) bool {
	return seq >= j.Seq && at.Wall.Before(j.Before.Wall)
}

// NameOfTime names what was entered at a moment, as keys of findings have it.
func NameOfTime(at fusion.Stamp) string { return at.Wall.UTC().Format("20060102T150405.000Z") }

// Clocks are those that a list of entries was stamped by, as far as they tell. In
// logs that were merged a time before the one above it can only come from one log:
// between two the clock decides.
type Clocks struct {
	newest fusion.Stamp
	here   machine
	others []machine
}

// A machine is the newest stamp of one, and the one since which its wall clock has
// kept to its boot clock.
type machine struct{ kept, newest fusion.Stamp }

// After are the clocks after one more entry, and how far one jumped before it.
func (c Clocks) After(seq uint64, at fusion.Stamp) (Clocks, *Jump) {
	c.others = c.take(at)
	off, before := c.off(at), c.here.newest
	if back := at.Wall.Sub(c.newest.Wall); !c.newest.IsZero() && -back > JumpMost && back < off {
		off, before = back, c.newest
	}
	if c.newest = at; off == 0 {
		if c.here.newest = at; !c.here.kept.SameBoot(at) {
			c.here.kept = at
		}
		return c, nil
	}
	c.here = machine{at, at}
	return c, &Jump{NameOfTime(at), seq, off, before, at}
}

// take puts the machine of a stamp in the place of the one before.
func (c *Clocks) take(at fusion.Stamp) []machine {
	if c.here.newest.IsZero() || c.here.newest.SameMachine(at) {
		return c.others
	}
	others := slices.Clone(c.others)
	is := slices.IndexFunc(others, func(m machine) bool { return m.newest.SameMachine(at) })
	was := c.here
	if c.here = (machine{}); is >= 0 {
		c.here, others = others[is], slices.Delete(others, is, is+1)
	}
	if was.newest.Machine != "" {
		others = append(others, was)
	}
	return others
}

// off is how far the clock of a machine jumped before a stamp of it; nothing where
// it kept to its boot clock. Another start of the machine is no earlier than the
// newest entry of the one before.
func (c Clocks) off(at fusion.Stamp) time.Duration {
	then := c.here.newest
	switch {
	case then.IsZero() || !then.SameMachine(at):
		return 0
	case then.SameBoot(at):
		ran := at.Boot - c.here.kept.Boot
		if off := at.Wall.Sub(c.here.kept.Wall) - ran; off.Abs() > JumpMost+ran.Abs()/slewed {
			return off
		}
	case then.BootID != "" && at.BootID != "":
		if off := at.Wall.Add(-at.Boot).Sub(then.Wall); off < -JumpMost {
			return off
		}
	}
	return 0
}
