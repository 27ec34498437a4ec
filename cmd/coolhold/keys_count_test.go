//go:build unix

package main

import (
	"fmt"
	"regexp"
	"strings"
	"testing"
	"time"

	"coolhold/logbook"
	"coolhold/logbook/acts"
)

// The most key presses of a weld whose batches are known and whose figures are all typed:
// ours to keep, no source.
const (
	mostRecorded = 23 // from the board to the board, once it is recorded
	mostLife     = 30 // with its release and the end-of-shift check
	mostFirst    = 45 // of the first weld of a shift, whose people and unit are known, and the shift begun
)

// A tally counts the keys of each step.
type tally struct {
	*crew
	what string
	at   int // keys struck before the step
	all  int
	rows []string
}

func (k *tally) begins(what string) {
	k.what, k.all, k.rows, k.at = what, 0, nil, k.struck
}

// step counts what was struck since the one before.
func (k *tally) step(name string) {
	n := k.struck - k.at
	k.at, k.all = k.struck, k.all+n
	k.rows = append(k.rows, fmt.Sprintf("  %-58s %3d", name, n))
}

// passes lets time pass, which is no work of a hand.
func (k *tally) passes(d time.Duration) {
	k.t.Helper()
	was := k.struck
	k.crew.passes(d)
	k.at += k.struck - was
}

// most says the table, and fails where it is more than it may be.
func (k *tally) most(most int) {
	k.t.Helper()
	k.t.Logf("%s: %d keys, at most %d\n%s", k.what, k.all, most, strings.Join(k.rows, "\n"))
	if k.all > most {
		k.t.Errorf("%s: %d keys, at most %d", k.what, k.all, most)
	}
}

// The keys of a usual weld of a leg, of its whole life, and of the first one of a shift,
// each counted where they are struck.
func TestKeysOfAWeld(t *testing.T) {
	t.Parallel()
	c := newCrew(t, holdClock(t))
	h := acts.Head{At: c.clock.at, By: "Ada", Site: "hillfoot-barn-invented"}
	for _, other := range []string{"FG", "TG", "E1"} { // the legs are what most welds are
		h.ID = "no " + other
		c.stores(acts.StrikeJoint(h, other, "for the count"))
	}
	c.opens()
	c.readsTableBack()
	c.startsShift()
	dayBefore(c)

	k := &tally{crew: c}
	k.begins("the first weld of a shift, and its shift")
	k.startsAgain()
	k.recorded(func() { k.types("ambient temperature in", "8.5") })
	k.most(mostFirst)

	k.passes(time.Minute)
	k.begins("a usual weld")
	k.recorded(func() { k.waitFor("still 8.5 °C"); k.press("space") })
	k.most(mostRecorded)
	k.passes(7 * time.Minute)
	k.what = "the whole life of a usual weld"
	k.released()
	first := &tally{crew: c}
	first.begins("the release of the first")
	first.released()
	k.press("3") // of the shift, and of no one weld
	k.at = k.struck
	k.checked(2)
	k.step("end-of-shift check: firm and cool, both up")
	k.most(mostLife)
	k.checked(1)
	k.press("9")
	k.answers("close the shift", "1")
	k.waitFor("Start a shift: key 3.")
	k.says()
}

// dayBefore is a weld with its batches typed, and the end of its shift.
func dayBefore(c *crew) {
	c.t.Helper()
	c.begins("1A")
	c.answers("fitting, as printed on the bag", "enter")
	c.answers("port this leg goes to", "1")
	c.types("batch of the fitting", "B1")
	c.answers("print on the pipe", "1")
	c.types("batch of the coil", "C1")
	c.types("batch of the chamber's stubs", "S1")
	c.waitFor("0  all done")
	c.press("0")
	c.answers("scraped with", "1")
	c.reads("8.5")
	c.keysIn()
	c.display("40", "39.5")
	c.resistance("2.6")
	c.current()
	c.passes(41 * time.Second)
	c.fuses("40")
	c.passes(7 * time.Minute)
	c.releases("1A", "HF-0001")
	coilsKnown(c, 1, "2B", "3B")
	c.goesRound(1)
	c.clock.pass(23 * time.Hour)
}

// coilsKnown reads the coil of each circuit at its other leg, in a walk that is given up:
// after so many welds. A coil is known on its own pipe alone.
func coilsKnown(c *crew, welds int, legs ...string) {
	c.t.Helper()
	h := acts.Head{At: c.clock.at, By: "Ada", Site: "hillfoot-barn-invented", Shift: c.clock.at.Local().Format(time.DateOnly)}
	for i, leg := range legs {
		id := fmt.Sprintf("HF-%04d", welds+i+1)
		for n, act := range []func(acts.Head) acts.Act{
			func(h acts.Head) acts.Act { return acts.BeginWeld(h, leg, "Ada", "U7") },
			func(h acts.Head) acts.Act {
				return acts.AnswerStep(h, id, logbook.StepFitting, []logbook.Answer{{Item: logbook.ItemPipeBatch, V: "C1", How: logbook.Typed}})
			},
			func(h acts.Head) acts.Act { return acts.AbandonWalk(h, id, "for the count") },
		} {
			h.ID = fmt.Sprintf("%s known %d", leg, n)
			c.stores(act(h))
		}
	}
	c.press("9") // the screens have it too
	c.waitFor(fmt.Sprintf("HF-%04d", welds+len(legs)))
	c.press("esc")
	c.waitFor("joints open.")
}

// startsAgain starts a shift with the people and the unit of the one before.
func (k *tally) startsAgain() {
	k.t.Helper()
	k.press("3")
	for _, known := range []string{
		"operator 1: name", "qualification number", "valid to", "another operator", "control unit 1: serial", "last calibrated",
		"does it correct", "another control unit", "generator", "thermometer",
	} {
		k.answers(known, "enter")
	}
	k.answers("weather", "2")
	k.answers("shelter", "1")
	k.waitFor("Next: ")
	k.step("shift: as the last one, weather, shelter")
}

var plannedPort = regexp.MustCompile(`(\d)  port \d: .* planned`)

// recorded makes the next weld, from the board to the board.
func (k *tally) recorded(ambient func()) {
	k.t.Helper()
	k.waitFor("Next: ")
	k.press("1")
	k.waitFor("batches as last time")
	k.press("enter")
	k.step("next · fitting, batch, coil and stub as last time")
	k.asked("port this leg goes to")
	k.press(plannedPort.FindStringSubmatch(k.screen())[1])
	k.step("port")
	k.answers("print on the pipe", "1")
	k.step("print on the pipe")
	k.waitFor("rotary scraper, as last time")
	k.press("0")
	k.step("preparation, scraped as last time")
	ambient()
	k.step("ambient")
	k.waitFor("keyed by hand, as last time on this unit")
	k.press("enter")
	k.step("figures in the unit, keyed by hand as last time")
	k.types("seconds the unit's display shows", "40")
	k.step("seconds shown (typed)")
	k.answers("volts it shows", "1")
	k.step("volts shown")
	k.types("resistance the unit shows", "2.6")
	k.step("resistance (typed)")
	k.answers("start", "1")
	k.waitFor("Fusing:")
	k.passes(41 * time.Second)
	k.answers("how the fusion ended", "1")
	k.types("seconds the unit says it ran", "40")
	k.step("current on · completed · seconds run (typed)")
	k.answers("melt, wire, marks, in line", "0")
	k.answers("both indicators", "1")
	k.step("look: the rest as it should be, both indicators up")
	k.waitFor("Write on the pipe:")
	k.press("enter")
	k.waitFor("joints open.")
	k.step("back")
}

// released ends the first hold that is over, from the board to the board.
func (k *tally) released() {
	k.t.Helper()
	k.waitFor("hold over: release")
	k.press("right")
	k.waitFor("What runs and what waits")
	k.press("1")
	k.answers("the hold", "0")
	k.answers("both indicators", "1")
	k.waitFor("What runs and what waits")
	k.press("esc")
	k.waitFor("joints open.")
	k.step("release: held to the end, firm and cool, both up, back")
}

// checked feels and looks at a weld of the end-of-shift check, with so many to go.
func (k *tally) checked(left int) {
	k.t.Helper()
	k.waitFor(fmt.Sprintf(": %d to feel", left))
	k.answers("felt by hand", "0")
	k.answers("both indicators", "1")
}

// says looks at what was stored of a weld that took so few keys: that each observation
// was given, and what was carried over.
func (k *tally) says() {
	k.t.Helper()
	k.leaves()
	rows := k.register()
	for _, id := range []string{"HF-0004", "HF-0005"} {
		rows[id].shows(k.t, row{
			"fitting_batch": "B1", "coil_batch": "C1", "stub_batch": "S1", "pipe_print": "as planned", "preparation": "all done",
			"scraping_method": "rotary scraper", "seconds_set": "40", "volts_set": "39.5", "ohms": "2.6",
			"seconds_run": "40", "verdict": "clear",
		})
		came := rows[id]["came_by"]
		for _, want := range []string{
			"typed: pipe print", "default taken: fitting",
			"carried over: fitting batch, batch of the coil or pipe, stub batch, scraping method, time from",
		} {
			if !strings.Contains(came, want) {
				k.t.Errorf("%s came by %q, want %q", id, came, want)
			}
		}
	}
	if found := k.runs(exitDone, "recall", "--batch", "B1"); strings.Count(found, `"B1" (carried over, step answered)`) != 2 {
		k.t.Errorf("recall says:\n%s", found)
	}
}
