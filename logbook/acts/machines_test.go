package acts_test

import (
	"strings"
	"testing"
	"time"

	"coolhold/fusion"
	"coolhold/logbook"
	"coolhold/logbook/acts"
	"coolhold/logbook/crew"
)

// How wrong the wall clock is that reads a hold: behind by more than has passed, it
// stands before the start.
const (
	kept   = 0
	fast   = 10 * time.Minute
	slow   = -10 * time.Minute
	undone = -24 * time.Hour
)

// A reading is a hold of 6 min (common practice, no source) as some machine reads it.
type reading struct {
	name    string
	machine string
	boot    string        // "one" is that on which it began; "" is not told, "?" is not told and another one
	truth   time.Duration // since the hold began
	clock   time.Duration // the boot clock: on the same start since the hold began, else since that start
	wall    time.Duration // wrong by
	beat    time.Duration // of the last heartbeat since the hold began; 0: none
	left    time.Duration // by hand
	doubt   fusion.Doubt
}

const (
	m      = time.Minute
	laptop = "laptop"
	office = "office"
)

// readings are machine × start × wall clock × sleep. Each left is worked out by hand
// and is at least 6 min less the truth.
var readings = []reading{
	// One start of one machine: the boot clock, whatever the wall clock says.
	{"awake, right", laptop, "one", 2 * m, 2 * m, kept, 0, 4 * m, fusion.Sure},
	{"awake, ahead", laptop, "one", 2 * m, 2 * m, fast, 0, 4 * m, fusion.Sure},
	{"awake, behind", laptop, "one", 2 * m, 2 * m, slow, 0, 4 * m, fusion.Sure},
	{"awake, before the start", laptop, "one", 2 * m, 2 * m, undone, 0, 4 * m, fusion.Sure},
	{"awake, right, a heartbeat", laptop, "one", 2 * m, 2 * m, kept, m, 4 * m, fusion.Sure},
	{"awake, before the start, a heartbeat", laptop, "one", 2 * m, 2 * m, undone, m, 4 * m, fusion.Sure},
	// The lid was closed for 3 of 4 min and the boot clock counted them.
	{"slept, right", laptop, "one", 4 * m, 4 * m, kept, 0, 2 * m, fusion.Sure},
	{"slept, ahead", laptop, "one", 4 * m, 4 * m, fast, 0, 2 * m, fusion.Sure},
	{"slept, behind", laptop, "one", 4 * m, 4 * m, slow, 0, 2 * m, fusion.Sure},
	{"slept, before the start", laptop, "one", 4 * m, 4 * m, undone, 0, 2 * m, fusion.Sure},
	{"slept for a night", laptop, "one", 600 * m, 600 * m, kept, 0, -594 * m, fusion.Sure},
	{"slept for a night, before the start", laptop, "one", 600 * m, 600 * m, undone, 0, -594 * m, fusion.Sure},
	// A machine that was halted from outside for 3 of 4 min, so that no clock of it counted them.
	{"halted, right", laptop, "one", 4 * m, m, kept, 0, 5 * m, fusion.Sure},
	{"halted, ahead", laptop, "one", 4 * m, m, fast, 0, 5 * m, fusion.Sure},
	{"halted, behind", laptop, "one", 4 * m, m, slow, 0, 5 * m, fusion.Sure},
	{"halted, before the start", laptop, "one", 4 * m, m, undone, 0, 5 * m, fusion.Sure},

	// Switched off after 1:30 for 3 min, on for 1: that minute, and what the heartbeat proves.
	{"restarted, right", laptop, "two", 5*m + 30*time.Second, m, kept, 0, 5 * m, fusion.Restarted},
	{"restarted, ahead", laptop, "two", 5*m + 30*time.Second, m, fast, 0, 5 * m, fusion.Restarted},
	{"restarted, behind", laptop, "two", 5*m + 30*time.Second, m, slow, 0, 6 * m, fusion.Restarted},
	{"restarted, before the start", laptop, "two", 5*m + 30*time.Second, m, undone, 0, 6 * m, fusion.Restarted},
	{"restarted, at the start", laptop, "two", 5*m + 30*time.Second, m, -5*m - 30*time.Second, 0, 6 * m, fusion.Restarted},
	{"restarted, half a minute after the start", laptop, "two", 5*m + 30*time.Second, m, -5 * m, 0, 5*m + 30*time.Second, fusion.Restarted},
	{"restarted, right, a heartbeat", laptop, "two", 5*m + 30*time.Second, m, kept, m, 4 * m, fusion.Restarted},
	{"restarted, ahead, a heartbeat", laptop, "two", 5*m + 30*time.Second, m, fast, m, 4 * m, fusion.Restarted},
	{"restarted, behind, a heartbeat", laptop, "two", 5*m + 30*time.Second, m, slow, m, 5 * m, fusion.Restarted},
	{"restarted, before the start, a heartbeat", laptop, "two", 5*m + 30*time.Second, m, undone, m, 5 * m, fusion.Restarted},
	{"restarted, at the start, a heartbeat", laptop, "two", 5*m + 30*time.Second, m, -5*m - 30*time.Second, m, 5 * m, fusion.Restarted},
	{"restarted, half a minute after the start, a heartbeat", laptop, "two", 5*m + 30*time.Second, m, -5 * m, m, 5 * m, fusion.Restarted},
	// Then the lid was closed for one of the 2 min that it is on.
	{"restarted, slept since, right", laptop, "two", 6*m + 30*time.Second, 2 * m, kept, 0, 4 * m, fusion.Restarted},
	{"restarted, slept since, before the start, a heartbeat", laptop, "two", 6*m + 30*time.Second, 2 * m, undone, m, 5 * m, fusion.Restarted},
	// A sleep of 20 min before it was switched off is behind the last heartbeat.
	{"slept, then restarted, right, a heartbeat", laptop, "two", 22*m + 30*time.Second, m, kept, m, 4 * m, fusion.Restarted},
	{"slept, then restarted, behind, a heartbeat", laptop, "two", 22*m + 30*time.Second, m, slow, m, 4 * m, fusion.Restarted},
	// The same name on two machines, of a disk that was copied, and the other on for days:
	// the wall clock alone limits it, so of one that goes fast nothing can be promised.
	{"a copied disk, right", laptop, "far", 2 * m, 3000 * m, kept, 0, 4 * m, fusion.Restarted},
	{"a copied disk, before the start", laptop, "far", 2 * m, 3000 * m, undone, 0, 6 * m, fusion.Restarted},

	// Another machine: what the heartbeat of the first proves, nothing else.
	{"carried, just on, right", office, "far", 2 * m, 5 * m, kept, 0, 6 * m, fusion.Elsewhere},
	{"carried, just on, ahead", office, "far", 2 * m, 5 * m, fast, 0, 6 * m, fusion.Elsewhere},
	{"carried, just on, behind", office, "far", 2 * m, 5 * m, slow, 0, 6 * m, fusion.Elsewhere},
	{"carried, just on, before the start", office, "far", 2 * m, 5 * m, undone, 0, 6 * m, fusion.Elsewhere},
	{"carried, on for days, right", office, "far", 2 * m, 3000 * m, kept, 0, 6 * m, fusion.Elsewhere},
	{"carried, on for days, ahead", office, "far", 2 * m, 3000 * m, fast, 0, 6 * m, fusion.Elsewhere},
	{"carried, on for days, behind", office, "far", 2 * m, 3000 * m, slow, 0, 6 * m, fusion.Elsewhere},
	{"carried, on for days, before the start", office, "far", 2 * m, 3000 * m, undone, 0, 6 * m, fusion.Elsewhere},
	{"carried, right, a heartbeat", office, "far", 2 * m, 3000 * m, kept, m, 5 * m, fusion.Elsewhere},
	{"carried, ahead, a heartbeat", office, "far", 2 * m, 3000 * m, fast, m, 5 * m, fusion.Elsewhere},
	{"carried, behind, a heartbeat", office, "far", 2 * m, 3000 * m, slow, m, 5 * m, fusion.Elsewhere},
	{"carried, before the start, a heartbeat", office, "far", 2 * m, 3000 * m, undone, m, 5 * m, fusion.Elsewhere},
	{"carried, and asleep for a night", office, "far", 600 * m, 3600 * m, kept, 0, 6 * m, fusion.Elsewhere},
	{"carried, and asleep for a night, a heartbeat", office, "far", 600 * m, 3600 * m, undone, m, 5 * m, fusion.Elsewhere},
	{"carried to one with the same name of a start", office, "one", 2 * m, 3000 * m, kept, 0, 6 * m, fusion.Elsewhere},
	{"carried to one that tells no start, right", office, "", 2 * m, 3000 * m, kept, 0, 6 * m, fusion.Elsewhere},
	{"carried to one that tells no start, ahead, a heartbeat", office, "", 2 * m, 3000 * m, fast, m, 5 * m, fusion.Elsewhere},
	{"read on one that has no name", "", "far", 2 * m, 3000 * m, kept, 0, 6 * m, fusion.Elsewhere},

	// A system that does not tell its start: the smaller of two clocks, and no heartbeat
	// can be told to be of the same start.
	{"no start told, right", laptop, "", 2 * m, 2 * m, kept, 0, 4 * m, fusion.NoBoot},
	{"no start told, ahead", laptop, "", 2 * m, 2 * m, fast, 0, 4 * m, fusion.NoBoot},
	{"no start told, behind", laptop, "", 2 * m, 2 * m, slow, 0, 6 * m, fusion.NoBoot},
	{"no start told, before the start", laptop, "", 2 * m, 2 * m, undone, 0, 6 * m, fusion.NoBoot},
	{"no start told, a heartbeat", laptop, "", 2 * m, 2 * m, undone, m, 6 * m, fusion.NoBoot},
	{"no start told, slept, right", laptop, "", 4 * m, 4 * m, kept, 0, 2 * m, fusion.NoBoot},
	{"no start told, slept, ahead", laptop, "", 4 * m, 4 * m, fast, 0, 2 * m, fusion.NoBoot},
	{"no start told, halted, right", laptop, "", 4 * m, m, kept, 0, 5 * m, fusion.NoBoot},
	{"no start told, restarted, right", laptop, "?", 5*m + 30*time.Second, m, kept, 0, 5 * m, fusion.NoBoot},
	{"no start told, restarted, ahead", laptop, "?", 5*m + 30*time.Second, m, fast, 0, 5 * m, fusion.NoBoot},
	{"no start told, restarted, behind", laptop, "?", 5*m + 30*time.Second, m, slow, 0, 6 * m, fusion.NoBoot},
	{"no start told, restarted, before the start, a heartbeat", laptop, "?", 5*m + 30*time.Second, m, undone, m, 6 * m, fusion.NoBoot},
}

// at is the stamp of the machine that reads a hold, and the last heartbeat of the one
// on which it began.
func (r reading) at(began fusion.Stamp) (now, beat fusion.Stamp) {
	now = fusion.Stamp{Wall: began.Wall.Add(r.truth + r.wall), Offset: began.Offset, Boot: r.clock, BootID: strings.Trim(r.boot, "?"), Machine: r.machine}
	if r.machine == began.Machine && (r.boot == "one" || r.boot == "") {
		now.Boot = began.Boot + r.clock
	}
	if r.beat > 0 {
		beat = began.Add(r.beat)
	}
	return now, beat
}

// Wherever a hold is read, at whatever wall clock: what is left is what was worked
// out, never less than the truth; recorded, it runs on from there to its end, and is
// released then and not before.
func TestAHoldOnWhateverMachine(t *testing.T) {
	seen := map[string]bool{}
	for _, tt := range readings {
		if seen[tt.name] {
			t.Errorf("two rows are called %q", tt.name)
		}
		seen[tt.name] = true
		t.Run(tt.name, func(t *testing.T) {
			c := crew.OnSite(t)
			if c.H.At.BootID = "one"; tt.doubt == fusion.NoBoot {
				c.H.At.BootID = ""
			}
			id := c.Fused("1A")
			now, beat := tt.at(c.H.At)
			left, doubt := c.Weld(id).Hold.Left(now, beat)
			if left != tt.left || doubt != tt.doubt {
				t.Errorf("%v left, %q; want %v, %q", left, doubt, tt.left, tt.doubt)
			}
			if least := 6*m - tt.truth; left < least {
				t.Fatalf("%v left, in truth %v", left, least)
			}
			c.H.At = now
			c.Do(acts.FoundAtStart(c.H, beat))
			if after, _ := c.Weld(id).Hold.Left(now, beat); after != left {
				t.Errorf("%v left once it is recorded, before %v", after, left)
			}
			release := func() acts.Act { return acts.Release(c.H, id, crew.Look(logbook.LookRelease), beat) }
			runsOut(c, tt.machine, left, release)
			c.WantRebuilt()
		})
	}
	if len(readings) < 40 {
		t.Errorf("%d rows", len(readings))
	}
}

// runsOut wants a hold to be released after what is left, and not before. A machine
// without a name counts nothing: it never ends there.
func runsOut(c *crew.Crew, machine string, left time.Duration, release func() acts.Act) {
	c.T.Helper()
	if machine == "" {
		c.Wait(600 * m)
		c.Refused(release(), logbook.ErrRule, "not over")
		return
	}
	if left > 0 {
		c.Wait(left - time.Millisecond)
		c.Refused(release(), logbook.ErrRule, "not over")
		c.Wait(time.Millisecond)
	}
	c.Do(release())
}
