//go:build unix

package main

import (
	"errors"
	"fmt"
	"os"
	"os/exec"
	"regexp"
	"strings"
	"sync"
	"syscall"
	"testing"
	"time"

	"github.com/creack/pty"
	"github.com/hinshun/vt10x"
	"golang.org/x/sys/unix"
)

// patience is how long a test waits for a program before it gives up. It decides
// nothing else, so it is long enough for a machine that is busy.
const patience = time.Minute

// lapse is closed once this program has run for d. A machine that stood still and
// whose clock then leaps (one that was put aside and woken) has not waited: of a leap
// only one beat of sixty counts.
func lapse(d time.Duration) (over <-chan struct{}, stop func()) {
	const beats = 60
	passed, done := make(chan struct{}), make(chan struct{})
	beat := time.NewTicker(max(d/beats, 1))
	go func() {
		defer beat.Stop()
		for range beats {
			select {
			case <-beat.C: // a beat that nobody took is dropped, not made up for
			case <-done:
				return
			}
		}
		close(passed)
	}()
	return passed, func() { close(done) }
}

// terminal is a program in a pseudo-terminal, with a screen that is kept as a
// real one would keep it.  Nothing here waits for a fixed time to pass, except
// between the keys of a hand, which the program tells from a scanner by time.
type terminal struct {
	t        *testing.T
	cmd      *exec.Cmd
	pty, tty *os.File // our side and the program's
	vt       vt10x.Terminal
	gap      time.Duration // between two keys; 0 where the program's clock of keys is the test's
	free     time.Time     // when the next key may be struck
	paused   time.Duration // all the time that keys were held back for
	struck   int           // keys that a hand struck

	exited chan struct{} // closed once the program is reaped
	ended  chan struct{} // closed once all of its output is on the screen

	mu      sync.Mutex
	changed chan struct{} // closed and replaced with each piece of output
	bell    bellCounter
	said    []byte // all output
}

// startTerminal starts a program in a terminal of the given size, which
// answers the questions that a program may ask it.  The environment is the
// test's own, less what changes colours or sizes, and then env.  The program
// is killed and reaped when the test ends.
func startTerminal(t *testing.T, cols, rows int, env []string, name string, args ...string) *terminal {
	t.Helper()
	return newTerminal(t, cols, rows, false, env, name, args)
}

// startSilentTerminal is startTerminal with a terminal that never answers.
func startSilentTerminal(t *testing.T, cols, rows int, env []string, name string, args ...string) *terminal {
	t.Helper()
	return newTerminal(t, cols, rows, true, env, name, args)
}

func newTerminal(t *testing.T, cols, rows int, silent bool, env []string, name string, args []string) *terminal {
	t.Helper()
	ours, theirs, err := pty.Open()
	if err != nil {
		t.Fatalf("cannot open a pseudo-terminal: %v", err)
	}
	x := &terminal{
		t: t, cmd: exec.Command(name, args...), pty: ours, tty: theirs, gap: handGap,
		exited: make(chan struct{}), ended: make(chan struct{}), changed: make(chan struct{}),
	}
	opts := []vt10x.TerminalOption{vt10x.WithSize(cols, rows)}
	if !silent {
		opts = append(opts, vt10x.WithWriter(ours))
	}
	x.vt = vt10x.New(opts...)
	x.setSize(cols, rows)
	x.cmd.Env = append(os.Environ(), "TERM=xterm-256color", "CI=", "NO_COLOR=", "CLICOLOR=", "CLICOLOR_FORCE=", "COLORTERM=", "COLORFGBG=", "COLUMNS=", "LINES=", "LC_ALL=", "LC_CTYPE=", "LANG=")
	x.cmd.Env = append(x.cmd.Env, env...)
	x.cmd.Stdin, x.cmd.Stdout, x.cmd.Stderr = theirs, theirs, theirs
	x.cmd.SysProcAttr = &syscall.SysProcAttr{Setsid: true, Setctty: true}
	if err := x.cmd.Start(); err != nil {
		ours.Close()
		theirs.Close()
		t.Fatalf("cannot start %s: %v", name, err)
	}
	go x.reap()
	go x.show()
	t.Cleanup(x.close)
	return x
}

// reap waits for the program.  Our copy of its side of the terminal is closed
// only then: its end is what ends show.
func (x *terminal) reap() {
	_ = x.cmd.Wait() // the exit code is read from ProcessState
	x.tty.Close()
	close(x.exited)
}

// show puts the program's output on the screen, piece by piece, until no
// program holds the terminal any more.
func (x *terminal) show() {
	defer close(x.ended)
	buf := make([]byte, 4096)
	kept := 0 // bytes of a rune whose rest is still to come
	for {
		n, err := x.pty.Read(buf[kept:])
		if n > 0 {
			have := buf[:kept+n]
			x.hear(buf[kept : kept+n])
			done, _ := x.vt.Write(have)
			kept = copy(buf, have[done:])
			x.tell()
		}
		if err != nil {
			return
		}
	}
}

func (x *terminal) hear(p []byte) {
	x.mu.Lock()
	defer x.mu.Unlock()
	x.bell.hear(p)
	x.said = append(x.said, p...)
}

// question is what a program may ask a terminal: for a colour, for the place of
// the cursor, for what kind of terminal it is.
var question = regexp.MustCompile(`\x1b\][0-9;]*\?|\x1b\[[?>]?[0-9]*[nc]`)

// questions are those that the program asked so far.
func (x *terminal) questions() []string {
	x.mu.Lock()
	defer x.mu.Unlock()
	return question.FindAllString(string(x.said), -1)
}

// tell wakes whoever waits for the screen to change.
func (x *terminal) tell() {
	x.mu.Lock()
	defer x.mu.Unlock()
	close(x.changed)
	x.changed = make(chan struct{})
}

func (x *terminal) next() <-chan struct{} {
	x.mu.Lock()
	defer x.mu.Unlock()
	return x.changed
}

// bytesOf holds the keys that have a name; any other key is its own rune.
var bytesOf = map[string]string{
	"enter": "\r", "space": " ", "esc": "\x1b", "tab": "\t", "backspace": "\x7f", "ctrl+c": "\x03",
	"up": "\x1b[A", "down": "\x1b[B", "right": "\x1b[C", "left": "\x1b[D",
	"pgdown": "\x1b[6~", "pgup": "\x1b[5~",
}

// press strikes keys as a hand does: each is read by the program before the
// next is struck, and the gap lies between them.
func (x *terminal) press(keys ...string) {
	x.t.Helper()
	for _, k := range keys {
		raw, named := bytesOf[k]
		if !named && len([]rune(k)) != 1 {
			x.t.Fatalf("no key is called %q", k)
		}
		if !named {
			raw = k
		}
		x.burst(raw)
		x.struck++
		x.untilRead()
		x.free = time.Now().Add(x.gap)
	}
}

// typeText strikes the runes of s one by one.
func (x *terminal) typeText(s string) {
	x.t.Helper()
	for _, r := range s {
		x.press(string(r))
	}
}

// burst types chunks of raw bytes without a pause, as a scanner does.  Only a
// key struck just before is left its time.
func (x *terminal) burst(chunks ...string) {
	x.t.Helper()
	if wait := time.Until(x.free); wait > 0 {
		x.paused += wait
		<-time.After(wait)
	}
	for _, c := range chunks {
		if _, err := x.pty.WriteString(c); err != nil {
			x.t.Fatalf("cannot type %q: %v; the screen:\n%s", c, err, x.screen())
		}
	}
	x.free = time.Now().Add(x.gap)
}

// untilRead waits until the program has read what was typed, so that a slow
// machine does not turn the keys of a hand into a burst.  The system tells
// this only when asked.  A program that reads whole lines does not hold up the
// test.
func (x *terminal) untilRead() {
	limit, stop := lapse(patience)
	defer stop()
	again := time.NewTicker(time.Millisecond)
	defer again.Stop()
	for x.unread() {
		select {
		case <-again.C:
		case <-x.exited:
			return
		case <-limit:
			return
		}
	}
}

// unread reports whether typed bytes wait in the terminal.
func (x *terminal) unread() bool {
	conn, err := x.tty.SyscallConn()
	if err != nil {
		return false
	}
	waiting := false
	err = conn.Control(func(fd uintptr) {
		ask := []unix.PollFd{{Fd: int32(fd), Events: unix.POLLIN}}
		n, err := unix.Poll(ask, 0)
		waiting = err == nil && n > 0 && ask[0].Revents == unix.POLLIN
	})
	return err == nil && waiting
}

// screen is what stands on the screen: its rows, without blanks at their ends.
func (x *terminal) screen() string {
	rows := strings.Split(strings.TrimSuffix(x.vt.String(), "\n"), "\n")
	for i, r := range rows {
		rows[i] = strings.TrimRight(r, " \x00")
	}
	return strings.Join(rows, "\n")
}

// waitFor waits until text stands on the screen.
func (x *terminal) waitFor(text string) {
	x.t.Helper()
	seen := func() bool { return strings.Contains(x.screen(), text) }
	if err := x.await(seen, patience); err != nil {
		x.t.Fatalf("%q did not come up: %v", text, err)
	}
}

// waitGone waits until text no longer stands on the screen.
func (x *terminal) waitGone(text string) {
	x.t.Helper()
	gone := func() bool { return !strings.Contains(x.screen(), text) }
	if err := x.await(gone, patience); err != nil {
		x.t.Fatalf("%q did not go away: %v", text, err)
	}
}

// await looks at the screen after each piece of output until it is as wanted,
// the output has ended or the limit has passed.
func (x *terminal) await(wanted func() bool, limit time.Duration) error {
	timeout, stop := lapse(limit)
	defer stop()
	began := time.Now()
	for {
		changed := x.next() // asked for before the look, so that no change is missed
		if wanted() {
			return nil
		}
		select {
		case <-changed:
		case <-x.ended:
			if wanted() {
				return nil
			}
			return fmt.Errorf("the program has ended; the screen:\n%s", x.screen())
		case <-timeout:
			return fmt.Errorf("waited for %v (%v by the clock); the screen:\n%s", limit, time.Since(began).Round(time.Millisecond), x.screen())
		}
	}
}

// exitCode waits until the program has ended by itself; -1: by a signal.
func (x *terminal) exitCode() int {
	x.t.Helper()
	limit, stop := lapse(patience)
	defer stop()
	select {
	case <-x.exited:
		return x.cmd.ProcessState.ExitCode()
	case <-limit:
		x.t.Fatalf("still running after %v; the screen:\n%s", patience, x.screen())
		return 0
	}
}

// kill ends the program at once (SIGKILL) and reaps it.
func (x *terminal) kill() {
	x.t.Helper()
	if err := x.cmd.Process.Kill(); err != nil && !errors.Is(err, os.ErrProcessDone) {
		x.t.Errorf("cannot kill the program: %v", err)
	}
	<-x.exited
}

func (x *terminal) close() {
	x.kill()
	limit, stop := lapse(patience)
	defer stop()
	select {
	case <-x.ended:
	case <-limit:
		x.t.Errorf("something still holds the terminal %v after its program was killed", patience)
	}
	x.pty.Close()
}

// resize gives the terminal another size and tells the program.
func (x *terminal) resize(cols, rows int) {
	x.t.Helper()
	x.vt.Resize(cols, rows)
	x.setSize(cols, rows)
}

func (x *terminal) setSize(cols, rows int) {
	x.t.Helper()
	size := &pty.Winsize{Cols: uint16(cols), Rows: uint16(rows)}
	if err := pty.Setsize(x.pty, size); err != nil {
		x.t.Fatalf("cannot set the size of the terminal: %v", err)
	}
}

// bells is how often the bell was rung.
func (x *terminal) bells() int {
	x.mu.Lock()
	defer x.mu.Unlock()
	return x.bell.rung
}

// bellCounter counts BEL bytes, but not those that end a string sent to the
// terminal (a title, a question about colours).
type bellCounter struct {
	rung     int
	escape   bool // the last byte was ESC
	inString bool
}

func (b *bellCounter) hear(p []byte) {
	for _, c := range p {
		switch {
		case b.escape:
			b.escape = false
			b.inString = strings.IndexByte("]P_^X", c) >= 0
		case c == 0x1b:
			b.escape = true
		case c == 0x07 && b.inString:
			b.inString = false
		case c == 0x07:
			b.rung++
		}
	}
}
