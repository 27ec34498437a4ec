//go:build unix

package main

import (
	"fmt"
	"testing"
	"time"

	"coolhold/logbook/acts"
)

// mostInBatch is the most key presses of a weld in a batch of four: ours to keep, no
// source.
const mostInBatch = 18

// legsOf is the site of Hillfoot with its legs alone, a shift before, in which 1B was made
// with batches that can be read, and a shift that was started.
func legsOf(t *testing.T, clock *heldClock) *tally {
	t.Helper()
	c := newCrew(t, clock)
	h := acts.Head{At: c.clock.at, By: "Ada", Site: "hillfoot-barn-invented"}
	for _, other := range []string{"FG", "TG", "E1"} {
		h.ID = "no " + other
		c.stores(acts.StrikeJoint(h, other, "for the count"))
	}
	c.opens()
	c.readsTableBack()
	c.startsShift()
	c.begins("1B")
	c.answers("fitting, as printed on the bag", "enter")
	c.answers("port this leg goes to", "5")
	c.types("batch of the fitting", "B1")
	c.answers("print on the pipe", "1")
	c.types("batch of the coil", "C1")
	c.types("batch of the chamber's stubs", "S1")
	c.prepares()
	c.reads("8.5")
	c.keysIn()
	c.display("40", "39.5")
	c.resistance("2.6")
	c.current()
	c.passes(41 * time.Second)
	c.fuses("40")
	c.passes(7 * time.Minute)
	c.releases("1B", "HF-0001")
	coilsKnown(c, 1, "2B", "3B", "4B")
	return &tally{crew: c}
}

// lowRow are the joints that a batch of Hillfoot is proposed of once 1B is made, in their
// order; each goes to the port of its number.
var lowRow = []string{"2A", "3A", "4A", "1A"}

// chooses begins the batch that is proposed.
func (k *tally) chooses() {
	k.t.Helper()
	k.waitFor("Next: ")
	k.press("6")
	k.waitFor("6  batch: prepare several joints")
	k.press("6")
	k.waitFor("0: begin with the 4 marked")
	k.press("0")
	k.waitFor("of " + lowRow[0] + " alone")
}

// prepared says of the n-th joint of the batch that it is prepared.
func (k *tally) preparedInBatch(n int) {
	k.t.Helper()
	k.waitFor("of " + lowRow[n] + " alone")
	k.press(lowRow[n][:1])
	if n+1 < len(lowRow) {
		k.waitFor("of " + lowRow[n+1] + " alone")
		return
	}
	k.waitFor("Batch: 4 joints prepared")
}

// fusedInBatch fuses the joint that was taken up, up to its ink.
func (k *tally) fusedInBatch() {
	k.t.Helper()
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
}

// The keys of a batch of four, from the board to the board, counted where they are struck:
// with a reading of the temperature that is fresh all the time, and with one that is read
// anew once the joints are prepared, as with a slow preparation.
func TestKeysOfABatch(t *testing.T) {
	t.Parallel()
	for _, tt := range []struct {
		name  string
		each  time.Duration // of preparation
		fresh bool
		most  int
	}{
		{"the reading is fresh", 3 * time.Minute, true, 4 * mostInBatch},
		{"the reading is typed once", 8 * time.Minute, false, 4*mostInBatch + 5}, // a figure of two digits, and the figures that go away by themselves
	} {
		t.Run(tt.name, func(t *testing.T) {
			t.Parallel()
			k := legsOf(t, holdClock(t))
			k.begins("a batch of four, " + tt.name)
			k.chooses()
			k.step("choose the batch that is proposed")
			for n := range lowRow {
				k.preparedInBatch(n)
				k.clock.pass(tt.each) // without a key: ← goes back here
			}
			k.step("prepare four joints: the port says that all on the card is so")
			k.fusesBatch(tt.fresh)
			k.t.Logf("a weld in a batch of four: %.2f keys", float64(k.all)/4)
			k.most(tt.most)
			k.leaves()
			k.saysBatch()
		})
	}
}

// fusesBatch fuses the four that stand prepared, one after the other, and goes back.
func (k *tally) fusesBatch(fresh bool) {
	k.t.Helper()
	k.waitFor("Enter: fuse " + lowRow[0])
	if fresh {
		k.waitFor("Set the unit first: 40 s")
	}
	k.press("enter")
	k.step("take the first")
	if !fresh {
		k.types("ambient temperature in", "8.5")
		k.step("ambient, read anew")
		k.waitFor("Enter: it is in the unit")
		k.press("enter")
		k.step("figures in the unit")
	}
	for n := range lowRow {
		k.fusedInBatch()
		if n+1 < len(lowRow) {
			k.waitFor("0  next of the batch: " + lowRow[n+1])
			k.waitFor("Set the unit first: 40 s")
			k.press("0")
			k.step("the next: still 8.5 °C, figures in the unit")
		}
	}
	k.press("enter")
	k.waitFor("joints open.")
	k.step("back")
}

// saysBatch looks at what was stored of welds that took so few keys.
func (k *tally) saysBatch() {
	k.t.Helper()
	rows := k.register()
	for i, label := range lowRow {
		r := rows[fmt.Sprintf("HF-%04d", i+5)]
		r.shows(k.t, row{
			"joint": label, "verdict": "unfinished", "preparation": "all done", "fitting_batch": "B1", "port_welded": label[:1], "pipe_print": "as planned",
			"seconds_set": "40", "volts_set": "39.5", "ohms": "2.6", "seconds_run": "40", "ambient_c": "8.5",
		})
		for _, column := range []string{"set_down_at", "stood_min", "scraped_min"} {
			if r[column] == "" {
				k.t.Errorf("the register has no %s of %s", column, label)
			}
		}
	}
}
