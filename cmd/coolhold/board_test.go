//go:build unix

package main

import (
	"context"
	"os"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
	"time"

	"coolhold/logbook"
	"coolhold/logbook/acts"
	"coolhold/logbook/store"
)

// A terminal that answers no question must not hold up the start: the screen
// library would ask for its background colour and wait five seconds. So nothing is
// asked before the first frame.
func TestFirstFrameOnASilentTerminal(t *testing.T) {
	t.Parallel()
	dir := t.TempDir()
	self, err := os.Executable()
	if err != nil {
		t.Fatal(err)
	}
	x := startSilentTerminal(t, 80, 24, []string{selfEnv + "=1", raceEnv, "TMPDIR=" + dir}, self, "demo")
	x.waitFor("joints open.")
	if asked := x.questions(); len(asked) > 0 {
		t.Errorf("the terminal was asked %q", asked)
	}
	x.press("esc")
	x.waitFor("▸ leave")
	x.press("1")
	if code := x.exitCode(); code != exitDone {
		t.Errorf("exit code %d", code)
	}
	if left, err := os.ReadDir(dir); err != nil || len(left) > 0 {
		t.Errorf("the demonstration left %v, %v", left, err)
	}
}

// The board of a site that is not in the log is not shown: every joint would seem
// to have its weld.
func TestBoardOfASiteThatIsNotThere(t *testing.T) {
	t.Parallel()
	log := filepath.Join(t.TempDir(), "example.coolhold")
	env := []string{selfEnv + "=1", raceEnv, "TMPDIR=" + t.TempDir()}
	if got := verb(t, env, "demo", "--keep", log, "--no-screen"); got.code != exitDone {
		t.Fatal(got)
	}
	x := openBoard(t, env, "--log", log, "--site", "nosuch")
	x.waitFor(`no site "nosuch" in this log; it has larkrise-cottage-invented`)
	if code := x.exitCode(); code != exitFindings {
		t.Errorf("exit code %d", code)
	}
	x = openBoard(t, env, "--log", log, "--site", "Larkrise cottage (invented)")
	x.waitFor("joints open.")
	x.close()
}

func TestDemoShowsTheBoard(t *testing.T) {
	t.Parallel()
	x := openBoard(t, []string{selfEnv + "=1", raceEnv, "TMPDIR=" + t.TempDir()}, "demo", "--pace", "20")
	x.waitFor("2B hold ")
	x.waitFor("? keys") // the foot is drawn last: a first frame may come in pieces
	for _, want := range []string{"(invented)", "1A       coupler 40", "Outside the chambers"} {
		if !strings.Contains(x.screen(), want) {
			t.Errorf("no %q on the board:\n%s", want, x.screen())
		}
	}
	for i, line := range strings.Split(x.screen(), "\n") {
		if n := len([]rune(line)); n > 80 {
			t.Errorf("row %d is %d wide", i, n)
		}
	}
	if n := strings.Count(x.screen(), "\n") + 1; n != 24 {
		t.Errorf("%d rows", n)
	}
}

// readyToWeld is a crew whose table is read back and whose shift has begun, by
// the acts of the screens: TestWholeShift does it by hand.
func readyToWeld(t *testing.T, clock *heldClock) *crew {
	t.Helper()
	return beginsShift(newCrew(t, clock))
}

// beginsShift reads the table back, starts a shift and opens the board.
func beginsShift(c *crew) *crew {
	t, clock := c.t, c.clock
	t.Helper()
	at := now()
	if clock != nil {
		at = clock.at
	}
	h := acts.Head{ID: "read-back", At: at, By: "Ada", Site: "hillfoot-barn-invented"}
	c.stores(acts.ReadBack(h, logbook.Hash(fileText(t, valley))))
	h.ID = "shift"
	c.stores(acts.StartShift(h, logbook.ShiftStarted{
		Day:       at.Local().Format("2006-01-02"),
		Operators: []logbook.Operator{{Name: "Ada", Mark: "A"}},
		Units:     []logbook.Unit{{Serial: "U7", Corrects: logbook.No}},
		Weather:   logbook.Weather{Sky: "dry", Shelter: "none"},
	}))
	c.opens()
	c.waitFor("Next: 1A, reducer 40x32")
	return c
}

// stores puts an act into the log.
func (c *crew) stores(act acts.Act) {
	c.t.Helper()
	l, err := store.Open(c.log)
	if err == nil {
		_, err = l.Append(context.Background(), act)
	}
	if err != nil {
		c.t.Fatal(err)
	}
}

// upToStart goes through the walk of 1A up to its start.
func (c *crew) upToStart(batch string) {
	c.t.Helper()
	c.begins("1A")
	c.fits("1", batch)
	c.prepares()
	c.reads("8.5")
	c.keysIn()
	c.display("40", "39.5")
	c.resistance("2.6")
	c.asked("start")
}

// The same core once on the machine's own clock: a hold outlives the program.
// The end is said at once, so its hold runs from the end that was due.
func TestHoldOutlivesTheProgram(t *testing.T) {
	t.Parallel()
	c := readyToWeld(t, nil)
	c.upToStart("B1")
	began := time.Now()
	c.current()
	c.answers("how the fusion ended", "1")
	c.types("seconds the unit says it ran", "40") // said well before its time: the evidence is asked at once
	c.looks()
	left := c.holdLeft("1A")
	c.waitGone("storing")
	c.kill()
	c.opens()
	again := c.holdLeft("1A")
	if longest := 40*time.Second + 6*time.Minute; left > longest || again > left {
		t.Errorf("%v left, then %v", left, again)
	}
	if ran := left - again; ran > time.Since(began)+time.Second {
		t.Errorf("the hold ran %v within %v", ran, time.Since(began))
	}
	c.leaves()
	c.register()["HF-0001"].shows(t, row{"state": "stands", "outcome": "completed", "seconds_run": "40", "verdict": "unfinished"})
}

// After a restart of the machine the longer hold counts: without a heartbeat
// after its end nothing but the time since the start is certain.
func TestHoldAcrossARestart(t *testing.T) {
	t.Parallel()
	c := readyToWeld(t, holdClock(t))
	c.upToStart("B1")
	c.current()
	c.passes(41 * time.Second)
	c.fuses("40")
	c.stored("1A hold 6:00")
	c.kill()
	if err := os.Remove(c.log + ".beat"); err != nil && !os.IsNotExist(err) {
		t.Fatal(err)
	}
	c.clock.reboot(20*time.Minute, 30*time.Second)
	c.opens()
	c.waitFor("1A hold 5:30")
	c.leaves()
	c.register()["HF-0001"].shows(t, row{"verdict": "unfinished"})
}

// Verbs read the log while the board is open, and the board goes on.
func TestVerbsBesideTheBoard(t *testing.T) {
	t.Parallel()
	c := readyToWeld(t, holdClock(t))
	c.begins("1A")
	c.answers("fitting, as printed on the bag", "enter")
	c.answers("port this leg goes to", "1")
	c.asked("batch of the fitting")
	audit := c.runs(exitFindings, "audit")
	if !strings.Contains(audit, "HF-0001") {
		t.Errorf("the audit says nothing of the open walk:\n%s", audit)
	}
	c.register()["HF-0001"].shows(t, row{"joint": "1A", "state": "in the walk", "fitting": "reducer 40x32", "fitting_batch": ""})
	stick := filepath.Join(t.TempDir(), "stick.coolhold")
	c.runs(exitDone, "copy", stick)
	if a, b := c.runs(exitDone, "register"), c.runs(exitDone, "register", "--log", stick); a != b {
		t.Errorf("the copy gives another register:\n%s\n%s", a, b)
	}
	c.types("batch of the fitting", "B1")
	c.asked("print on the pipe")
	c.register()["HF-0001"].shows(t, row{"fitting_batch": "B1"})
	c.register("--log", stick)["HF-0001"].shows(t, row{"fitting_batch": ""})
}

// A terminal that goes away ends the board in order: stored, screen given back.
func TestHangup(t *testing.T) {
	t.Parallel()
	c := readyToWeld(t, holdClock(t))
	c.begins("1A")
	c.answers("fitting, as printed on the bag", "enter")
	c.answers("port this leg goes to", "1")
	c.asked("batch of the fitting")
	if err := c.cmd.Process.Signal(syscall.SIGHUP); err != nil {
		t.Fatal(err)
	}
	if code := c.exitCode(); code != exitDone {
		t.Errorf("exit code %d", code)
	}
	c.waitGone("joints open.")
	c.waitGone("batch of the fitting")
	c.register()["HF-0001"].shows(t, row{"fitting": "reducer 40x32"})
	c.opens()
	c.waitFor("1A: go on with HF-0001: key 1.")
}
