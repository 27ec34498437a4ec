package main

import (
	"errors"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"coolhold/fusion"
)

// The test binary is the program when selfEnv is set (see TestMain): on the
// machine's own clock, or on one that stands still in the file named by
// clockEnv until the test moves it.
const (
	selfEnv  = "COOLHOLD_TEST_SELF"
	clockEnv = "COOLHOLD_TEST_CLOCK"
)

// raceEnv spares each program a second at its end where races are looked for.
const raceEnv = "GORACE=atexit_sleep_ms=0"

// testEdges are the real edges but for the clock, where one is held.
func testEdges() edges {
	e := realEdges()
	if file := os.Getenv(clockEnv); file != "" {
		e.now = func() fusion.Stamp { return readClock(file) }
	}
	return e
}

// readClock reads a held clock anew at each call. A clock that cannot be read
// must not pass for a time.
func readClock(file string) fusion.Stamp {
	data, err := os.ReadFile(file)
	var wall, boot int64
	var id string
	if err == nil {
		_, err = fmt.Sscan(string(data), &wall, &boot, &id)
	}
	if err != nil {
		panic(fmt.Sprintf("held clock %s: %v", file, err))
	}
	return fusion.Stamp{Wall: time.UnixMilli(wall).UTC(), Boot: time.Duration(boot) * time.Millisecond, BootID: id, Machine: "laptop"}
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
	line := fmt.Sprintln(at.Wall.UnixMilli(), at.Boot.Milliseconds(), at.BootID)
	if err := os.WriteFile(c.file+".new", []byte(line), 0o600); err != nil {
		c.t.Fatal(err)
	}
	if err := os.Rename(c.file+".new", c.file); err != nil {
		c.t.Fatal(err)
	}
}

func (c *heldClock) pass(d time.Duration) { c.t.Helper(); c.set(c.at.Add(d)) }

// reboot is d on the wall, a new start of the machine up seconds ago.
func (c *heldClock) reboot(d, up time.Duration) {
	c.t.Helper()
	c.set(fusion.Stamp{Wall: c.at.Wall.Add(d), Boot: up, BootID: "boot-2", Machine: "laptop"})
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
