//go:build unix

package main

import (
	"context"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"coolhold/logbook"
	"coolhold/logbook/store"
	"coolhold/logbook/store/soaktest"
)

// A station is one answer of a batch: what stands on the screen before it, how much time
// has passed by then, and its keys.
type station struct {
	sight string
	after time.Duration
	keys  []string
}

// batchStations are all stations of a batch of four, from the board to the board.
func batchStations() []station {
	all := []station{{"Next: ", 0, []string{"6"}}, {"6  batch: prepare", 0, []string{"6"}}, {"0: begin with the 4 marked", 0, []string{"0"}}}
	for _, label := range lowRow {
		all = append(all, station{"of " + label + " alone", 3 * time.Minute, []string{label[:1]}})
	}
	for n := range lowRow {
		take := station{"Enter: fuse " + lowRow[0], time.Minute, []string{"enter"}}
		if n > 0 {
			take = station{"0  next of the batch: " + lowRow[n], 0, []string{"0"}}
		}
		all = append(
			all, take,
			station{"▸ seconds the unit's display shows", 0, []string{"4", "0", "enter"}}, station{"▸ volts it shows", 0, []string{"1"}},
			station{"▸ resistance the unit shows", 0, []string{"2", ".", "6", "enter"}}, station{"▸ start", 0, []string{"1"}},
			station{"▸ how the fusion ended", 41 * time.Second, []string{"1"}}, station{"▸ seconds the unit says it ran", 0, []string{"4", "0", "enter"}},
			station{"▸ melt, wire, marks, in line", 0, []string{"0"}}, station{"▸ both indicators", 0, []string{"1"}},
		)
	}
	return append(all, station{"Write on the pipe:", 0, []string{"enter"}})
}

// comesUp waits until it is asked and what was answered before is shown as recorded: the
// walk goes on at once, and says so long that it stores.
func (s station) comesUp(c *crew) {
	c.t.Helper()
	c.waitFor(s.sight)
	c.waitGone("storing")
}

func (s station) answer(c *crew) {
	c.t.Helper()
	s.comesUp(c)
	c.clock.pass(s.after)
	c.press(s.keys...)
}

// toldOf are the entries of a log as lines, without what another run has otherwise.
func toldOf(entries []logbook.Entry) (lines []string) {
	for _, e := range entries {
		lines = append(lines, fmt.Sprintf("%s %s %s: %s", e.Weld, e.Joint, e.Kind, e.Open().Line()))
	}
	return lines
}

func (c *crew) entries() []logbook.Entry {
	c.t.Helper()
	snap, err := store.ReadAll(context.Background(), c.log)
	if err != nil {
		c.t.Fatal(err)
	}
	return snap.Entries
}

// copied is the log of a crew that left, in a folder of its own, at the same moment.
func (c *crew) copied(t *testing.T) *crew {
	t.Helper()
	o := &crew{t: t, log: filepath.Join(t.TempDir(), filepath.Base(c.log)), clock: holdClock(t)}
	o.clock.set(c.clock.at)
	files, err := filepath.Glob(c.log + "*")
	if err != nil {
		t.Fatal(err)
	}
	for _, from := range files {
		data, err := os.ReadFile(from)
		if err == nil {
			err = os.WriteFile(o.log+strings.TrimPrefix(from, c.log), data, 0o600)
		}
		if err != nil {
			t.Fatal(err)
		}
	}
	o.env = append(o.clock.env(), "COOLHOLD_LOG="+o.log, "COOLHOLD_THEME=", keysEnv+"="+o.scanning())
	return o
}

// A batch that is killed at any of its stations: the log holds what was answered and
// nothing else, and the restart asks of each joint what is true of it.
func TestKilledAtEveryStepOfABatch(t *testing.T) {
	t.Parallel()
	base := legsOf(t, holdClock(t))
	base.leaves()
	whole := base.copied(t)
	whole.opens()
	all := batchStations()
	var stored []int // entries before each station
	for _, s := range all {
		s.comesUp(whole)
		stored = append(stored, len(whole.entries()))
		s.answer(whole)
	}
	whole.waitFor("joints open.")
	whole.leaves()
	want := toldOf(whole.entries())
	stored = append(stored, len(want))
	s := soaktest.New(t, "batch killed at its stations", "SIGKILL through a pseudo-terminal right after a key; the log against that of a run that was not killed")
	kills := soaktest.Rounds(t, 6, len(all), len(all))
	t.Cleanup(func() { s.Counts("%d of %d stations", kills, len(all)) })
	for i := range kills {
		at := i * (len(all) - 1) / (kills - 1)
		t.Run(fmt.Sprintf("%02d %s", at, strings.TrimSpace(all[at].sight)), func(t *testing.T) {
			t.Parallel()
			k := base.copied(t)
			k.opens()
			for _, before := range all[:at] {
				before.answer(k)
			}
			all[at].answer(k)
			k.kill()
			k.survivesBatch(s, want, stored[at], stored[at+1])
			s.Ran()
		})
	}
}

// survivesBatch opens a log whose board was killed while a station was stored, of which
// low entries were there before and high are after it.
func (c *crew) survivesBatch(s *soaktest.Soak, want []string, low, high int) {
	c.t.Helper()
	killed := c.entries()
	n := len(killed)
	switch {
	case n < low:
		s.Loses("%d entries, %d were shown as recorded", n, low)
	case n > high || !slices.Equal(toldOf(killed), want[:n]):
		s.Lies("the log holds %q", toldOf(killed)[min(low, n):])
	}
	c.runs(exitDone, "verify", "--deep")
	c.clock.pass(time.Minute)
	c.opens()
	welds := logbook.Fold("HF", killed).Welds("hillfoot-barn-invented")
	c.asksWhatIsTrue(welds)
	c.kill()
	for _, e := range c.entries()[n:] {
		switch e.Open().(type) {
		case logbook.WalkResumed, logbook.ClockDoubted:
		default:
			s.Lies("the restart stored %s: %s", e.Kind, e.Open().Line())
		}
	}
}

// asksWhatIsTrue goes to what the restart asks of the welds of a batch.
func (c *crew) asksWhatIsTrue(welds []logbook.Weld) {
	c.t.Helper()
	var ready []logbook.Weld
	hand, fusing := "", false
	for _, w := range welds {
		switch {
		case w.Ready != nil:
			ready = append(ready, w)
		case w.Walking():
			hand = w.ID
		case w.Fusing():
			fusing = true
		}
	}
	if fusing {
		c.press("right")
		c.waitFor("What runs and what waits")
		c.press("enter")
		c.waitFor("▸ how the fusion ended")
		return
	}
	if len(ready)+len(hand) == 0 {
		return
	}
	c.waitFor("key 1.")
	c.press("1")
	if len(ready) > 0 {
		c.waitFor("Batch: " + logbook.Count(len(ready), "joint") + " prepared")
		for _, w := range ready {
			c.waitFor(w.ID)
		}
		if asked := strings.Count(c.screen(), " to ask "); asked != len(ready) {
			c.t.Errorf("of %d joints that stand prepared %d are to be asked:\n%s", len(ready), asked, c.screen())
		}
		c.press("enter")
	}
	c.waitFor("▸ the joint after the break")
	if hand == "" {
		hand = ready[0].ID
		c.waitFor("coolhold was not running all the")
	}
	c.waitFor(hand)
}
