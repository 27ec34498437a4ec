//go:build unix

package main

import (
	"errors"
	"os"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
	"time"

	"golang.org/x/sys/unix"
)

// inShell starts a shell that can stop and call up programs, and the board in it on a
// worked example of its own.
func inShell(t *testing.T, clock *heldClock) (x *terminal, log string) {
	t.Helper()
	log = filepath.Join(t.TempDir(), "example.coolhold")
	env := append(clock.env(), "PS1=ready> ", "ENV=", "COOLHOLD_THEME=", "COOLHOLD_LOG="+log, "XDG_CONFIG_HOME="+t.TempDir(), keysEnv+"="+log+".scanning")
	if got := verb(t, env, "demo", "--keep", log, "--no-screen"); got.code != exitDone {
		t.Fatal(got)
	}
	self, err := os.Executable()
	if err != nil {
		t.Fatal(err)
	}
	x = startTerminal(t, 80, 24, env, "sh", "-i")
	x.gap = 0
	x.waitFor("ready>")
	x.burst(self + "\r")
	x.waitFor("joints open.")
	return x, log
}

// foreground is the group of processes that the terminal listens to.
func (x *terminal) foreground() int {
	x.t.Helper()
	group, err := unix.IoctlGetInt(int(x.pty.Fd()), unix.TIOCGPGRP)
	if err != nil {
		x.t.Fatal(err)
	}
	return group
}

// Ctrl-Z gives the shell a terminal in order and stops coolhold: what was said last is
// stored, nobody is kept from the log, holds go on. fg brings it back, and keys are
// heard singly again.
func TestCtrlZAndBack(t *testing.T) {
	t.Parallel()
	clock := holdClock(t)
	x, log := inShell(t, clock)
	x.waitFor("2B hold 3:5")
	before := fileText(t, log+".journal")
	x.press("2")
	x.waitFor("▸ ")
	x.press("2")
	x.burst("1\x1a") // stopped right after the last answer
	x.waitFor("coolhold is put aside; fg brings it back.\nWhat runs goes on, and no bell rings: 2B hold 3:5")
	x.waitFor("Stopped")
	if after := fileText(t, log+".journal"); !strings.HasPrefix(after, before) || !strings.Contains(after[len(before):], "weather") {
		t.Errorf("what was said last is not stored: %q", strings.TrimPrefix(after, before))
	}
	x.burst("echo in ord''er\r")
	x.waitFor("in order")
	if got := verb(t, clock.env(), "note", "--log", log, "XM-0006", "while it is put aside", "--by", "Ona Brill"); got.code != exitDone {
		t.Errorf("nobody else gets at the log: %+v", got)
	}
	clock.pass(5 * time.Minute)
	x.burst("fg\r")
	x.waitFor("2B hold over: release")
	x.waitFor("joints open.")
	x.waitGone("ready>")
	x.press("8")
	x.waitFor("2  theme")
	x.press("esc", "esc")
	x.waitFor("▸ leave")
	x.press("1")
	x.waitFor("ready>")
}

// Stopped from outside it leaves its keys to the shell as they are; called up again it
// takes the terminal and draws all of its window.
func TestStoppedFromOutsideAndBack(t *testing.T) {
	t.Parallel()
	x, _ := inShell(t, holdClock(t))
	for range 2 {
		if err := syscall.Kill(-x.foreground(), syscall.SIGSTOP); err != nil {
			t.Fatal(err)
		}
		x.waitFor("Stopped")
		x.burst("stty sane; fg\n") // as most shells leave it
		x.waitFor("joints open.")
		x.waitGone("Stopped")
		x.press("8")
		x.waitFor("2  theme")
		x.press("esc")
		x.waitFor("joints open.")
	}
}

// What is put aside can be ended by its shell.
func TestEndedWhilePutAside(t *testing.T) {
	t.Parallel()
	x, _ := inShell(t, holdClock(t))
	job := x.foreground()
	x.burst("\x1a")
	x.waitFor("Stopped")
	x.burst("kill %1; fg; echo go''ne\r")
	x.waitFor("gone")
	if err := syscall.Kill(job, 0); !errors.Is(err, syscall.ESRCH) {
		t.Errorf("it is still there: %v", err)
	}
}

// Where no shell could call it up again it is not stopped: it says so and goes on.
func TestCtrlZWithoutAShell(t *testing.T) {
	t.Parallel()
	x := openBoard(t, []string{selfEnv + "=1", raceEnv, "TMPDIR=" + t.TempDir()}, "demo")
	x.waitFor("joints open.")
	x.burst("\x1a")
	x.waitFor("this terminal cannot put a program aside")
	x.press("8")
	x.waitFor("2  theme")
}
