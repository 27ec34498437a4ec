//go:build unix

package main

import (
	"path/filepath"
	"strings"
	"testing"
	"time"

	"coolhold/logbook"
	"coolhold/logbook/acts"
	"coolhold/logbook/store"
)

// exampleOn is the worked example, invented, written at a held clock.
func exampleOn(t *testing.T) (clock *heldClock, env []string, log string) {
	t.Helper()
	clock = holdClock(t)
	log = filepath.Join(t.TempDir(), "example.coolhold")
	env = append(clock.env(), "TMPDIR="+t.TempDir())
	if got := verb(t, env, "demo", "--keep", log, "--no-screen"); got.code != exitDone {
		t.Fatal(got)
	}
	return clock, env, log
}

// shows is the line of the screen that holds a text.
func (x *terminal) shows(text string) string {
	x.t.Helper()
	x.waitFor(text)
	for l := range strings.Lines(x.screen()) {
		if strings.Contains(l, text) {
			return strings.TrimSpace(l)
		}
	}
	x.t.Fatalf("%q is gone:\n%s", text, x.screen())
	return ""
}

// A wall clock that is set a day on while the board is open, or before it is opened,
// takes "not before" away from no board.
func TestAClockSetOnBesideTheProgram(t *testing.T) {
	t.Parallel()
	clock, env, log := exampleOn(t)
	cutsOut(t, log, "FG", clock) // its weld failed: before that no test is forecast
	x := openBoard(t, env, "--log", log)
	told := x.shows("Pressure test:")
	if !strings.Contains(told, "not before 0") || !strings.Contains(told, " and not before ") {
		t.Fatalf("told %q", told)
	}
	set := clock.at
	set.Wall = set.Wall.Add(24 * time.Hour)
	clock.set(set)
	x.waitFor("the wall clock moved by 24h0m0s")
	x.press("esc")
	if got := x.shows("Pressure test:"); got != told {
		t.Errorf("the board says %q, before %q", got, told)
	}
	x.kill()
	x = openBoard(t, env, "--log", log)
	if got := x.shows("Pressure test:"); got != told {
		t.Errorf("opened anew it says %q, before %q", got, told)
	}
	x.kill()
}

// cutsOut cuts the weld of a joint out, as the board does.
func cutsOut(t *testing.T, file, joint string, clock *heldClock) {
	t.Helper()
	l, err := store.Open(file)
	if err != nil {
		t.Fatal(err)
	}
	_, err = l.Append(t.Context(), func(r logbook.Reader) ([]logbook.Draft, error) {
		site := r.Sites()[0].ID
		j, _ := r.Joint(site, joint)
		return acts.Cut(acts.Head{ID: "cut", At: clock.at, By: "Ona Brill", Site: site}, j.Stands, "indicator flat")(r)
	})
	if err != nil {
		t.Fatal(err)
	}
}

// A log that is carried to another laptop shows its hold at full length there, from when
// the board was opened, whatever that laptop's clock says and however long it is on.
func TestABoardOnAnotherLaptop(t *testing.T) {
	t.Parallel()
	clock, env, log := exampleOn(t)
	clock.carried(11 * time.Minute)
	x := openBoard(t, env, "--log", log)
	x.waitFor("2B hold 6:00")
	clock.pass(2 * time.Minute)
	x.waitFor("2B hold 4:00")
	x.kill()
	x = openBoard(t, env, "--log", log)
	x.waitFor("2B hold 4:00")
	clock.pass(4 * time.Minute)
	x.waitFor("2B hold over")
	x.kill()
}
