//go:build linux

package main

import (
	"fmt"
	"os"
	"os/exec"
	"strconv"
	"strings"
	"sync"
	"syscall"
	"time"

	"github.com/creack/pty"
	"github.com/hinshun/vt10x"
)

// A terminal is a program in a pseudo-terminal with a screen kept as a real one keeps
// it.
type terminal struct {
	cmd     *exec.Cmd
	pty     *os.File
	vt      vt10x.Terminal
	began   time.Time
	ended   chan struct{}
	mu      sync.Mutex
	changed chan struct{}
}

const patience = 90 * time.Second

func inTerminal(cols, rows int, env []string, name string, args ...string) (*terminal, error) {
	ours, theirs, err := pty.Open()
	if err != nil {
		return nil, err
	}
	defer theirs.Close()
	if err := pty.Setsize(ours, &pty.Winsize{Cols: uint16(cols), Rows: uint16(rows)}); err != nil {
		return nil, err
	}
	x := &terminal{cmd: exec.Command(name, args...), pty: ours, ended: make(chan struct{}), changed: make(chan struct{})}
	x.vt = vt10x.New(vt10x.WithSize(cols, rows), vt10x.WithWriter(ours))
	x.cmd.Env = append(os.Environ(), "TERM=xterm-256color", "NO_COLOR=", "LC_ALL=C.UTF-8")
	x.cmd.Env = append(x.cmd.Env, env...)
	x.cmd.Stdin, x.cmd.Stdout, x.cmd.Stderr = theirs, theirs, theirs
	x.cmd.SysProcAttr = &syscall.SysProcAttr{Setsid: true, Setctty: true}
	x.began = time.Now()
	if err := x.cmd.Start(); err != nil {
		return nil, err
	}
	go x.show()
	return x, nil
}

func (x *terminal) show() {
	defer close(x.ended)
	buf := make([]byte, 1<<16)
	kept := 0 // bytes of a rune whose rest is still to come
	for {
		n, err := x.pty.Read(buf[kept:])
		if n > 0 {
			have := buf[:kept+n]
			done, _ := x.vt.Write(have)
			kept = copy(buf, have[done:])
			x.mu.Lock()
			close(x.changed)
			x.changed = make(chan struct{})
			x.mu.Unlock()
		}
		if err != nil {
			return
		}
	}
}

func (x *terminal) screen() string { return x.vt.String() }

// until waits for a screen that is as wanted and says when it was.
func (x *terminal) until(what string, wanted func(screen string) bool) (time.Time, error) {
	limit := time.After(patience)
	for {
		x.mu.Lock()
		changed := x.changed
		x.mu.Unlock()
		if wanted(x.screen()) {
			return time.Now(), nil
		}
		select {
		case <-changed:
		case <-x.ended:
			return time.Time{}, fmt.Errorf("the program ended before %s; the screen:\n%s", what, x.screen())
		case <-limit:
			return time.Time{}, fmt.Errorf("%s did not come; the screen:\n%s", what, x.screen())
		}
	}
}

func (x *terminal) has(texts ...string) (time.Time, error) {
	return x.until(strings.Join(texts, ", "), func(s string) bool {
		for _, t := range texts {
			if !strings.Contains(s, t) {
				return false
			}
		}
		return true
	})
}

var keyBytes = map[string]string{"up": "\x1b[A", "down": "\x1b[B", "right": "\x1b[C", "enter": "\r", "esc": "\x1b", "ctrl+c": "\x03"}

// press strikes a key and gives the moment.
func (x *terminal) press(key string) (time.Time, error) {
	raw, named := keyBytes[key]
	if !named {
		raw = key
	}
	at := time.Now()
	_, err := x.pty.WriteString(raw)
	return at, err
}

// takes is how long it takes from a key to a screen that is as wanted, in ms.
func (x *terminal) takes(key string, wanted func(string) bool) (float64, error) {
	at, err := x.press(key)
	if err != nil {
		return 0, err
	}
	seen, err := x.until("what follows "+key, wanted)
	return ms(seen.Sub(at)), err
}

func ms(d time.Duration) float64 { return float64(d.Nanoseconds()) / 1e6 }

func (x *terminal) end() {
	_ = x.cmd.Process.Kill() // it may have ended
	_ = x.cmd.Wait()
	x.pty.Close()
	<-x.ended
}

// used is what a running program has used of the processor, in ms, and how often it
// was woken.
func (x *terminal) used() (cpu float64, wakes int64, err error) {
	tasks, err := os.ReadDir(fmt.Sprintf("/proc/%d/task", x.cmd.Process.Pid))
	for _, t := range tasks {
		dir := fmt.Sprintf("/proc/%d/task/%s/", x.cmd.Process.Pid, t.Name())
		ran, err := os.ReadFile(dir + "schedstat")
		if err != nil {
			continue // a thread that ended
		}
		ns, _ := strconv.ParseFloat(strings.Fields(string(ran))[0], 64)
		cpu += ns / 1e6
		status, _ := os.ReadFile(dir + "status")
		for line := range strings.Lines(string(status)) {
			if rest, is := strings.CutPrefix(line, "voluntary_ctxt_switches:"); is {
				n, _ := strconv.ParseInt(strings.TrimSpace(rest), 10, 64)
				wakes += n
			}
		}
	}
	return cpu, wakes, err
}
