package main

import (
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"
	"time"
)

// These tests run the program as it is built, on the clocks of the system, in
// namespaces in which those clocks stand elsewhere: a closed lid, a restart, another
// laptop. Where the kernel or the user's rights forbid that they are skipped, and say
// so.

// A builtProgram is the program and an example log whose hold began on the system's
// own clocks, some two minutes before it was written.
type builtProgram struct {
	t         *testing.T
	file, log string
	env       []string
}

func buildProgram(t *testing.T) builtProgram {
	t.Helper()
	dir := t.TempDir()
	b := builtProgram{t, filepath.Join(dir, "coolhold"), filepath.Join(dir, "example.coolhold"), []string{"XDG_DATA_HOME=" + filepath.Join(dir, "data"), "TMPDIR=" + dir}}
	if out, err := exec.Command("go", "build", "-o", b.file, ".").CombinedOutput(); err != nil {
		t.Fatalf("%v\n%s", err, out)
	}
	b.out(b.file, "demo", "--keep", b.log, "--no-screen")
	return b
}

func (b builtProgram) out(name string, args ...string) string {
	b.t.Helper()
	cmd := exec.Command(name, args...)
	cmd.Env = append(os.Environ(), b.env...)
	out, err := cmd.CombinedOutput()
	if err != nil {
		b.t.Fatalf("%s %s: %v\n%s", name, args, err, out)
	}
	return string(out)
}

// A place is where the clocks and the names of the machine are others than here.
type place struct {
	boottime, monotonic time.Duration // added to the clock
	bootID, machineID   string        // "": as here
}

// args are what comes before a program so that it runs there.
func (p place) args(t *testing.T) []string {
	t.Helper()
	args := []string{"unshare", "--time", "--mount", "--boottime", seconds(p.boottime), "--monotonic", seconds(p.monotonic), "sh", "-c"}
	script := ""
	for file, says := range map[string]string{"/proc/sys/kernel/random/boot_id": p.bootID, "/etc/machine-id": p.machineID} {
		if says == "" {
			continue
		}
		ours := filepath.Join(t.TempDir(), "says")
		if err := os.WriteFile(ours, []byte(says+"\n"), 0o600); err != nil {
			t.Fatal(err)
		}
		script += fmt.Sprintf("mount --bind '%s' %s && ", ours, file)
	}
	return append(args, script+`exec "$@"`, "sh")
}

func seconds(d time.Duration) string { return strconv.Itoa(int(d / time.Second)) }

// namespaces skips a test where there can be none of them.
func namespaces(t *testing.T) {
	t.Helper()
	p := place{boottime: time.Hour, bootID: "tried", machineID: "tried"}.args(t)
	out, err := exec.Command(p[0], append(p[1:], "cat", "/proc/sys/kernel/random/boot_id")...).CombinedOutput()
	if err != nil || strings.TrimSpace(string(out)) != "tried" {
		t.Skipf("SKIPPED: no time and mount namespaces here, so no sleep of the machine is tried on the built program: %v: %s", err, strings.TrimSpace(string(out)))
	}
}

var leftOf = regexp.MustCompile(`^2B  XM-0010  (\d+):(\d\d) left, cool until \d\d:\d\d(?: \((.*)\))?\n$`)

// left is what the program says in a place is left of the hold, and what it doubts.
func (b builtProgram) left(p place) (left time.Duration, doubt string) {
	b.t.Helper()
	args := append(p.args(b.t), b.file, "hold", "--log", b.log)
	said := b.out(args[0], args[1:]...)
	m := leftOf.FindStringSubmatch(said)
	if m == nil {
		b.t.Fatalf("said %q", said)
	}
	left, err := time.ParseDuration(m[1] + "m" + m[2] + "s")
	if err != nil {
		b.t.Fatal(err)
	}
	return left, m[3]
}

// A hold of 6 min goes on through a closed lid, and by nothing but the clock that
// counts it; a restart and another laptop make it longer. The times are those of the
// system, so each is known to what the test itself takes.
func TestAHoldWhileTheMachineSleeps(t *testing.T) {
	t.Parallel()
	namespaces(t)
	b := buildProgram(t)
	up := bootClock()
	for _, tt := range []struct {
		name  string
		at    place
		fixed time.Duration // what must be left, to a second; 0: as here, and so much less
		less  time.Duration
		doubt string
	}{
		{"here", place{}, 0, 0, ""},
		{"the lid was closed for a minute", place{boottime: time.Minute}, 0, time.Minute, ""},
		{"the lid was closed for two minutes", place{boottime: 2 * time.Minute}, 0, 2 * time.Minute, ""},
		{"the clock that stands in a sleep", place{monotonic: 2 * time.Minute}, 0, 0, ""},
		{"halted from outside for a minute", place{boottime: -time.Minute, monotonic: -time.Minute}, 0, -time.Minute, ""},
		{"restarted, and on for half a minute", place{boottime: 30*time.Second - up, bootID: "11111111-2222-3333-4444-555555555555"}, 5*time.Minute + 30*time.Second, 0, "the machine was restarted while it ran"},
		{"another laptop", place{machineID: "0123456789abcdef0123456789abcdef"}, 6 * time.Minute, 0, "the log is on another machine"},
		{"another laptop that is on for days", place{boottime: 100 * time.Hour, machineID: "0123456789abcdef0123456789abcdef", bootID: "far"}, 6 * time.Minute, 0, "the log is on another machine"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			b.t = t
			began := bootClock()
			first, _ := b.left(place{})
			got, doubt := b.left(tt.at)
			took := bootClock() - began + 2*time.Second // both are rounded up to the second
			want, late := first-tt.less, took
			if tt.fixed != 0 {
				want, late = tt.fixed, bootClock()-up+2*time.Second // of a restart this runs since the offset was made
			}
			if got > want+time.Second || got < want-late || doubt != tt.doubt {
				t.Errorf("%v left (%s), want %v within %v (%s)", got, doubt, want, late, tt.doubt)
			}
		})
	}
	said := b.out("unshare", "--time", "--boottime", "600", b.file, "hold", "--log", b.log)
	if said != "2B  XM-0010  the hold is over: feel it, look at it, release it on the board\n" {
		t.Errorf("after a sleep of ten minutes: %q", said)
	}
	t.Run("the board", func(t *testing.T) { b.t = t; b.boardAfterASleep() })
}

var onStrip = regexp.MustCompile(`2B hold (\d+):(\d\d)`)

// boardAfterASleep wants the board to show the same when the lid is opened.
func (b builtProgram) boardAfterASleep() {
	b.t.Helper()
	first, _ := b.left(place{})
	began := bootClock()
	args := append(place{boottime: 2 * time.Minute}.args(b.t), b.file, "--log", b.log)
	x := startTerminal(b.t, 80, 24, b.env, args[0], args[1:]...)
	x.waitFor("2B hold ")
	m := onStrip.FindStringSubmatch(x.screen())
	if m == nil {
		b.t.Fatalf("no time left:\n%s", x.screen())
	}
	left, err := time.ParseDuration(m[1] + "m" + m[2] + "s")
	took := bootClock() - began + 2*time.Second
	if want := first - 2*time.Minute; err != nil || left > want+time.Second || left < want-took {
		b.t.Errorf("%v left, want %v within %v", left, want, took)
	}
	x.press("esc")
	x.waitFor("▸ leave")
	x.press("1")
	if code := x.exitCode(); code != exitDone {
		b.t.Errorf("exit code %d", code)
	}
}
