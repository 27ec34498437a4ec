package main

import (
	"errors"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	tea "github.com/charmbracelet/bubbletea"

	"coolhold/fusion"
	"coolhold/logbook/whole"
	"coolhold/tui"
	"coolhold/tui/shell"
)

// The test binary is the program when selfEnv is set (see TestMain): on the
// machine's own clock, or on one that stands still in the file named by
// clockEnv until the test moves it. Its keys are timed by the machine's clock, or
// by one that a file named by keysEnv holds.
const (
	selfEnv  = "COOLHOLD_TEST_SELF"
	clockEnv = "COOLHOLD_TEST_CLOCK"
	keysEnv  = "COOLHOLD_TEST_KEYS"
)

// raceEnv spares each program a second at its end where races are looked for.
const raceEnv = "GORACE=atexit_sleep_ms=0"

// testEdges are the real edges but for the clocks that are held, and for screens that
// are sooner drawn, and look sooner at their clocks and at the log, than eyes need it.
func testEdges() edges {
	e := realEdges()
	held := os.Getenv(keysEnv) != ""
	e.paced = func(o *tui.Program) {
		o.FPS = 120 // the library draws no more
		o.After = func(d time.Duration, msg tea.Msg) tea.Cmd {
			switch {
			case d >= time.Second: // a tick
				d /= 5
			case held: // it goes by on the clock of keys
				d /= 20
			}
			return shell.After(d, msg)
		}
	}
	if file := os.Getenv(clockEnv); file != "" {
		e.now = func() fusion.Stamp { return readClock(file) }
	}
	if file := os.Getenv(keysEnv); file != "" {
		e.keys = handOrScanner(file)
	}
	return e
}

// handOrScanner is a clock of keys that no machine is too slow for: at each look
// the pause of a hand has gone by, and while the file is there, as for a scan, no
// time at all after the pause before it.
func handOrScanner(file string) func() time.Duration {
	at, scan := time.Duration(0), time.Time{}
	return func() time.Duration {
		info, err := os.Stat(file)
		if err != nil || !info.ModTime().Equal(scan) {
			at += handGap
		}
		if err == nil {
			scan = info.ModTime()
		}
		return at
	}
}

// handGap is the least time between two keys of a hand.
const handGap = 60 * time.Millisecond

// readClock reads a held clock anew at each call. A clock that cannot be read
// must not pass for a time.
func readClock(file string) fusion.Stamp {
	data, err := os.ReadFile(file)
	var wall, boot int64
	id, machine := "", "laptop" // which need not be named
	if err == nil {
		if n, e := fmt.Sscan(string(data), &wall, &boot, &id, &machine); n < 3 {
			err = e
		}
	}
	if err != nil {
		panic(fmt.Sprintf("held clock %s: %v", file, err))
	}
	return fusion.Stamp{Wall: time.UnixMilli(wall).UTC(), Boot: time.Duration(boot) * time.Millisecond, BootID: id, Machine: machine}
}

// A heldClock stands still until it is moved; several programs may read it.
type heldClock struct {
	t    *testing.T
	file string
	at   fusion.Stamp
}

// holdClock begins at eight in the morning of an invented day.
func holdClock(t *testing.T) *heldClock {
	t.Helper()
	c := &heldClock{t: t, file: filepath.Join(t.TempDir(), "clock"), at: fusion.Stamp{
		Wall: time.Date(2026, 3, 9, 8, 0, 0, 0, time.UTC), Boot: time.Hour, BootID: "boot-1", Machine: "laptop",
	}}
	c.set(c.at)
	return c
}

// set replaces the file whole, so that no reader sees half a time.
func (c *heldClock) set(at fusion.Stamp) {
	c.t.Helper()
	c.at = at
	line := fmt.Sprintln(at.Wall.UnixMilli(), at.Boot.Milliseconds(), at.BootID, at.Machine)
	if err := whole.Replace(c.file, whole.Bytes([]byte(line), 0o600)); err != nil {
		c.t.Fatal(err)
	}
}

func (c *heldClock) pass(d time.Duration) { c.t.Helper(); c.set(c.at.Add(d)) }

// reboot is d on the wall, a new start of the machine up seconds ago.
func (c *heldClock) reboot(d, up time.Duration) {
	c.t.Helper()
	c.set(fusion.Stamp{Wall: c.at.Wall.Add(d), Boot: up, BootID: "boot-2", Machine: "laptop"})
}

// carried is another machine d later on the wall, which is on for days.
func (c *heldClock) carried(d time.Duration) {
	c.t.Helper()
	c.set(fusion.Stamp{Wall: c.at.Wall.Add(d), Boot: 50 * time.Hour, BootID: "boot-far", Machine: "office"})
}

func (c *heldClock) env() []string { return []string{selfEnv + "=1", raceEnv, clockEnv + "=" + c.file} }

// verb runs a verb of the program in a process of its own.
func verb(t *testing.T, env []string, args ...string) ran {
	t.Helper()
	self, err := os.Executable()
	if err != nil {
		t.Fatal(err)
	}
	var out, errs strings.Builder
	cmd := exec.Command(self, args...)
	cmd.Env = append(os.Environ(), env...)
	cmd.Stdout, cmd.Stderr = &out, &errs
	var ee *exec.ExitError
	if err := cmd.Run(); err != nil && !errors.As(err, &ee) {
		t.Fatalf("%s: %v", args, err)
	}
	return ran{cmd.ProcessState.ExitCode(), out.String(), errs.String()}
}

// verbInside is verb without the process, which costs ten times as much as most verbs:
// for what a verb says, where that it is another program is not the point. The folder
// and what libraries ask the system for are the test's own.
func verbInside(t *testing.T, env []string, args ...string) ran {
	t.Helper()
	getenv := func(name string) string {
		for _, set := range slices.Backward(env) {
			if value, is := strings.CutPrefix(set, name+"="); is {
				return value
			}
		}
		return os.Getenv(name)
	}
	if slices.ContainsFunc(askedOfTheSystem, func(name string) bool { return getenv(name) != os.Getenv(name) }) {
		return verb(t, env, args...)
	}
	var out, errs strings.Builder
	e := realEdges()
	e.in, e.out, e.err, e.getenv = strings.NewReader(""), &out, &errs, getenv
	if file := getenv(clockEnv); file != "" {
		e.now = func() fusion.Stamp { return readClock(file) }
	}
	return ran{run(args, e), out.String(), errs.String()}
}

func fileText(t *testing.T, file string) string {
	t.Helper()
	data, err := os.ReadFile(file)
	if err != nil || len(data) == 0 {
		t.Fatalf("%s: %d bytes, %v", file, len(data), err)
	}
	return string(data)
}

func TestHandOrScanner(t *testing.T) {
	file := filepath.Join(t.TempDir(), "scan")
	clock := handOrScanner(file)
	first, second := clock(), clock()
	if err := os.WriteFile(file, nil, 0o600); err != nil {
		t.Fatal(err)
	}
	third, fourth := clock(), clock()
	if err := os.Remove(file); err != nil {
		t.Fatal(err)
	}
	if fifth := clock(); second != first+handGap || third != second+handGap || fourth != third || fifth != fourth+handGap {
		t.Errorf("%v, %v, held %v, %v, then %v", first, second, third, fourth, fifth)
	}
}

// The real clock of keys is the machine's, and the screens get it.
func TestKeysAreTimedByTheMachine(t *testing.T) {
	before := bootClock()
	at := screens(realEdges(), filepath.Join(t.TempDir(), "none"), "", "plain").Mono()
	if after := bootClock(); at < before || at > after || after == 0 {
		t.Errorf("%v is not between %v and %v", at, before, after)
	}
}

func TestHeldClock(t *testing.T) {
	c := holdClock(t)
	first := readClock(c.file)
	c.pass(90 * time.Second)
	second := readClock(c.file)
	if second.Wall.Sub(first.Wall) != 90*time.Second || second.Boot-first.Boot != 90*time.Second || second.BootID != first.BootID {
		t.Errorf("from %+v to %+v", first, second)
	}
	c.reboot(time.Minute, 20*time.Second)
	if third := readClock(c.file); third.Boot != 20*time.Second || third.BootID == second.BootID || !third.Wall.After(second.Wall) {
		t.Errorf("after a restart: %+v", third)
	}
}
