package tui

import (
	"context"
	"errors"
	"testing"
	"time"

	"coolhold/logbook"
	"coolhold/tui/shell"
)

// How the twin stands is on the strip of every screen while it is not in step, and
// never in the way of the walk.
func TestTheTwinOnTheStrip(t *testing.T) {
	for _, size := range [][2]int{{60, 20}, {80, 24}} {
		log := exampleAt(t, monday)
		var state shell.TwinState
		asked := 0
		d := driveWith(t, log, monday, size[0], size[1], func(o *shell.Outside) {
			o.Twin = func(l shell.Log) shell.TwinState {
				if l != shell.Log(log) {
					t.Error("the twin of another log is asked for")
				}
				asked++
				return state
			}
		})
		d.pass(time.Second)
		d.lacks("twin")
		if asked != 1 {
			t.Errorf("asked %d times at the first tick", asked)
		}
		state = shell.TwinState{Trouble: "twin away", Since: monday.Wall.Add(-time.Minute), Behind: 3}
		for range 5 {
			d.pass(time.Second)
		}
		if asked != 2 {
			t.Errorf("asked %d times in 6 ticks", asked)
		}
		d.sees("twin away since 08:59, 3 entries behind", "2B hold")
		d.keys("8")
		d.sees("twin away since 08:59, 3 entries behind")
		d.keys("esc", "2", "2", "1") // the weather, as ever
		state.Behind = 4
		d.pass(time.Second)
		if asked != 3 {
			t.Errorf("asked %d times; once more after a save", asked)
		}
		d.sees("twin away since 08:59, 4 entries behind")
		d.lacks("NOT STORED")

		state = shell.TwinState{Trouble: "twin full", Since: monday.Wall.Add(-30 * time.Hour), Behind: 1}
		for range 5 {
			d.pass(time.Second)
		}
		d.sees("twin full since Sun 8 Mar 03:00, 1 entry behind")
		state = shell.TwinState{Brought: 4}
		for range 5 {
			d.pass(time.Second)
		}
		d.sees("the twin was 4 entries behind and is brought up")
		d.lacks("twin full")
		d.keys("left")
		d.lacks("twin")

		state = shell.TwinState{Trouble: "TWIN AHEAD: this log lost entries 60001 to 60002; nothing more is stored until a person decides: coolhold twin"}
		for range 5 {
			d.pass(time.Second)
		}
		d.sees("TWIN AHEAD: this log lost entries 60001 to 60002", "coolhold twin")
		d.lacks("since")
		d.keys("ctrl+c")
		if !d.quit {
			t.Error("the board cannot be left")
		}
	}
}

// lockedLog can be read and takes nothing.
type lockedLog struct {
	*memLog
	why error
}

func (l *lockedLog) Append(ctx context.Context, f func(logbook.Reader) ([]logbook.Draft, error)) ([]logbook.Entry, error) {
	if l.why != nil {
		return nil, l.why
	}
	return l.memLog.Append(ctx, f)
}

// A log that takes nothing at the start is shown all the same: its holds run. What was
// found goes before the first thing that is stored.
func TestALogThatTakesNothingIsShown(t *testing.T) {
	log := &lockedLog{exampleAt(t, monday), errors.New("the twin holds entries that the log does not")}
	n := len(log.Memory.Entries)
	d := drive(t, log, monday.Add(time.Minute), 80, 24)
	d.sees("NOT STORED: what was found at the opening: the twin holds entries", "2B hold", "joints open")
	d.keys("2", "2", "1")
	d.sees("NOT STORED: what was found at the opening")
	if len(log.Memory.Entries) != n {
		t.Error("something was stored")
	}
	d.keys("esc")
	d.lacks("NOT STORED")
	log.why = nil
	d.keys("2", "2", "1")
	d.lacks("NOT STORED")
	if got := log.Memory.Entries[len(log.Memory.Entries)-1].Kind; got != "weather changed" {
		t.Errorf("the last entry is %q", got)
	}
}

// What was found at the opening is stored by itself as soon as somebody decided on the
// twin, and that it was not is no longer said. What another cause refuses waits for the
// next act.
func TestWhatWasFoundIsStoredOnceItIsDecided(t *testing.T) {
	for name, halts := range map[string]bool{"a twin that is ahead": true, "another cause": false} {
		log := &lockedLog{exampleAt(t, monday), errors.New("the twin holds entries that the log does not")}
		n := len(log.Memory.Entries)
		state := shell.TwinState{Trouble: "TWIN AHEAD: this log lost entry 6", Halts: halts}
		now := monday.Add(time.Minute)
		now.BootID, now.Boot = "boot-of-another", 5*time.Second
		d := driveWith(t, log, now, 80, 24, func(o *shell.Outside) {
			o.Twin = func(shell.Log) shell.TwinState { return state }
		})
		d.pass(time.Second)
		d.sees("NOT STORED: what was found at the opening: the twin holds entries", "TWIN AHEAD")
		for range 5 {
			d.pass(time.Second)
		}
		d.sees("NOT STORED: what was found at the opening")
		if len(log.Memory.Entries) != n {
			t.Error("something was stored")
		}
		log.why, state = nil, shell.TwinState{}
		for range 5 {
			d.pass(time.Second)
		}
		d.lacks("TWIN AHEAD")
		if !halts {
			d.sees("NOT STORED: what was found at the opening")
			continue
		}
		d.lacks("NOT STORED")
		if len(log.Memory.Entries) == n {
			t.Error(name + ": what was found is not stored")
		}
		n, beats := len(log.Memory.Entries), len(log.Beats)
		for range 30 {
			d.pass(time.Second)
		}
		if len(log.Memory.Entries) != n || len(log.Beats) == beats {
			t.Errorf("%d entries more, %d heartbeats", len(log.Memory.Entries)-n, len(log.Beats)-beats)
		}
	}
}
