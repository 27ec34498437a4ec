package main

import (
	"errors"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"syscall"
	"testing"
	"time"

	bolt "go.etcd.io/bbolt"
)

// exampleIn writes the example's log into a folder of its own.
func exampleIn(t *testing.T, env []string) (dir, log string) {
	t.Helper()
	dir = t.TempDir()
	log = filepath.Join(dir, "example.coolhold")
	if got := verb(t, env, "demo", "--keep", log, "--no-screen"); got.code != exitDone {
		t.Fatal(got)
	}
	return dir, log
}

// A stick with its lock on, or any folder that may not be written, is shown, read and
// copied; what would be stored is refused with the reason.
func TestReadOnlyStick(t *testing.T) {
	t.Parallel()
	env := []string{selfEnv + "=1", raceEnv, "TMPDIR=" + t.TempDir()}
	dir, log := exampleIn(t, env)
	self, err := os.Executable()
	if err != nil {
		t.Fatal(err)
	}
	locked := func(args ...string) []string {
		return append([]string{"-Urm", "sh", "-c", `mount --bind "$0" "$0" && mount -o remount,ro,bind "$0" && exec "$@"`, dir, self}, args...)
	}
	if out, err := exec.Command("unshare", "-Urm", "sh", "-c", `mount --bind "$0" "$0"`, dir).CombinedOutput(); err != nil {
		t.Skipf("SKIPPED: no stick can be mounted here: %v %s", err, out)
	}
	run := func(args ...string) (string, int) {
		t.Helper()
		cmd := exec.Command("unshare", locked(args...)...)
		cmd.Env = append(os.Environ(), env...)
		out, err := cmd.CombinedOutput()
		var ee *exec.ExitError
		if err != nil && !errors.As(err, &ee) {
			t.Fatal(err)
		}
		return string(out), cmd.ProcessState.ExitCode()
	}
	if out, code := run("history", "--weld", "XM-0003", "--log", log); code != exitDone || !strings.Contains(out, "XM-0003") {
		t.Errorf("history: %d, %s", code, out)
	}
	copied := filepath.Join(t.TempDir(), "copy.coolhold")
	if out, code := run("copy", copied, "--log", log); code != exitDone {
		t.Errorf("copy: %d, %s", code, out)
	} else if got := verb(t, env, "note", "XM-0003", "a note", "--by", "Bo Invented", "--log", copied); got.code != exitDone {
		t.Errorf("the copy cannot be written: %+v", got)
	}
	out, code := run("note", "XM-0003", "a note", "--by", "Bo Invented", "--log", log)
	if code != exitLog || !strings.Contains(out, "the log cannot be written: read-only file system; coolhold copy makes a copy elsewhere that can be") {
		t.Errorf("note: %d, %s", code, out)
	}
	x := startTerminal(t, 100, 30, env, "unshare", locked("--log", log)...)
	x.waitFor("SHOWN ONLY")
	x.waitFor("read-only file system")
	x.waitFor("joints open.")
	x.press("ctrl+c")
	if code := x.exitCode(); code != exitDone {
		t.Errorf("the board ended with %d", code)
	}
}

// A stick that is pulled is asked for; nobody is told to make a new log.
func TestPulledStick(t *testing.T) {
	t.Parallel()
	env := []string{selfEnv + "=1", raceEnv, "TMPDIR=" + t.TempDir()}
	dir, log := exampleIn(t, env)
	x := openBoard(t, env, "--log", log)
	x.waitFor("joints open.")
	if err := os.Rename(dir, dir+".pulled"); err != nil {
		t.Fatal(err)
	}
	defer os.RemoveAll(dir + ".pulled")
	x.waitFor("put the stick back")
	if strings.Contains(x.screen(), "or make a new log") {
		t.Errorf("the screen:\n%s", x.screen())
	}
}

// However a verb ends while it has its copy of the log, the copy is gone.
func TestNoCopyIsLeft(t *testing.T) {
	t.Parallel()
	env := []string{selfEnv + "=1", raceEnv, "TMPDIR=" + t.TempDir()}
	_, log := exampleIn(t, env)
	self, err := os.Executable()
	if err != nil {
		t.Fatal(err)
	}
	other, err := bolt.Open(log, 0, nil) // it waits for this one's lock
	if err != nil {
		t.Fatal(err)
	}
	defer other.Close()
	for _, sig := range []syscall.Signal{syscall.SIGINT, syscall.SIGTERM, syscall.SIGHUP, syscall.SIGKILL, syscall.SIGQUIT} {
		tmp := t.TempDir()
		cmd := exec.Command(self, "verify", log)
		cmd.Env = append(os.Environ(), append(env, "TMPDIR="+tmp)...)
		if err := cmd.Start(); err != nil {
			t.Fatal(err)
		}
		ended := make(chan struct{})
		go func() { _ = cmd.Wait(); close(ended) }()
		has := false
		for !has {
			select {
			case <-ended:
				t.Fatalf("%v: it ended and had no copy that no folder names", sig)
			case <-time.After(time.Millisecond):
				has = hasNameless(cmd.Process.Pid)
			}
		}
		if err := cmd.Process.Signal(sig); err != nil {
			t.Fatal(err)
		}
		<-ended
		if left, err := os.ReadDir(tmp); err != nil || len(left) > 0 {
			t.Errorf("%v left %v, %v", sig, left, err)
		}
	}
}

// hasNameless tells whether a program has a copy of a log open that no folder names.
func hasNameless(pid int) bool {
	dir := filepath.Join("/proc", strconv.Itoa(pid), "fd")
	open, _ := os.ReadDir(dir)
	for _, f := range open {
		to, _ := os.Readlink(filepath.Join(dir, f.Name()))
		if strings.Contains(to, "coolhold-reading-") && strings.HasSuffix(to, " (deleted)") {
			return true
		}
	}
	return false
}
