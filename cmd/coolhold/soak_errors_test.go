//go:build linux

package main

import (
	"bytes"
	"errors"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"sync/atomic"
	"testing"

	"coolhold/logbook/store/soaktest"
)

// errnos are what a system call of a save may come back with.
var errnos = strings.Fields("EIO ENOSPC EROFS EDQUOT EACCES EPERM EBADF EINVAL EFAULT ENOMEM EFBIG ENODEV ENXIO ETIMEDOUT EOVERFLOW ENOLCK EBUSY ESTALE EAGAIN EINTR")

// A failing is a verb that stores one text, of which the system refuses one call.
type failing struct {
	t    *testing.T
	s    *soaktest.Soak
	log  string
	env  []string
	self string
	n    int
}

// note stores a text, under strace if it is told what for. It gives back the text.
func (f *failing) note(strace ...string) (text string, got ran) {
	f.t.Helper()
	f.n++
	text = fmt.Sprintf("text %06d", f.n)
	args := []string{f.self, "note", "XM-0001", text, "--by", "Ada Invented", "--log", f.log}
	if strace != nil {
		seen := []string{"strace", "-f", "-qq", "-e", "signal=none", "-P", f.log, "-P", f.log + ".journal"}
		args = append(append(seen, strace...), args...)
	}
	cmd := exec.Command(args[0], args[1:]...)
	cmd.Env = append(os.Environ(), f.env...)
	var out, said bytes.Buffer
	cmd.Stdout, cmd.Stderr = &out, &said
	var ended *exec.ExitError
	if err := cmd.Run(); err != nil && !errors.As(err, &ended) {
		f.t.Fatal(err)
	}
	return text, ran{cmd.ProcessState.ExitCode(), out.String(), said.String()}
}

// holds tells whether the log has a text, and how often.
func (f *failing) holds(text string) (times int) {
	f.t.Helper()
	log, err := readPlain(f.log)
	if err != nil {
		f.s.Loses("%v", err)
		return 0
	}
	for _, line := range log.lines {
		times += bytes.Count(line, []byte(text))
	}
	return times
}

// calls are the system calls that one save makes on the log's files, each as often
// as it is made.
func (f *failing) calls() map[string]int {
	f.t.Helper()
	trace := filepath.Join(f.t.TempDir(), "trace")
	if _, got := f.note("-o", trace); got.code != exitDone {
		f.t.Fatal(got)
	}
	data, err := os.ReadFile(trace)
	if err != nil {
		f.t.Fatal(err)
	}
	all := map[string]int{}
	for _, m := range regexp.MustCompile(`(?m)^\d+ +(\w+)\(`).FindAllStringSubmatch(string(data), -1) {
		all[m[1]]++
	}
	return all
}

// oneOf is which of the refusals of a call are tried: in a soak each of those that
// write, open, lock, map and sync, and of the many that read each fifth.
func oneOf(t *testing.T, call string) int {
	t.Helper()
	switch call {
	case "pread64", "fcntl", "fstat", "newfstatat", "epoll_ctl":
		return soaktest.Rounds(t, 499, 5, 1)
	}
	return soaktest.Rounds(t, 499, 1, 1)
}

// Each system call of a save is refused in each way: whether the text is stored is
// said as it is, by what another reader finds, and the next save works.
func TestSoakErrors(t *testing.T) {
	t.Parallel()
	s := soaktest.New(t, "error at a system call of a save", "strace refuses the n-th call on log or journal, each call, each error")
	if _, err := exec.LookPath("strace"); err != nil {
		t.Skip("SKIPPED: strace is not installed")
	}
	self, err := os.Executable()
	if err != nil {
		t.Fatal(err)
	}
	seed := filepath.Join(t.TempDir(), "seed.coolhold")
	e, _, _ := sealEdges(t)
	if _, _, err := writeExample(e, seed, ""); err != nil {
		t.Fatal(err)
	}
	env := holdClock(t).env()
	fresh := func(t *testing.T) *failing {
		f := &failing{t: t, s: s, log: filepath.Join(t.TempDir(), "failing.coolhold"), env: env, self: self}
		f.anew(seed)
		return f
	}
	calls := fresh(t).calls()
	var refused, there atomic.Int64
	t.Run("calls", func(t *testing.T) {
		for call, times := range calls {
			t.Run(call, func(t *testing.T) {
				t.Parallel()
				f, every := fresh(t), oneOf(t, call)
				for n := range times {
					f.anew(seed) // else each save reads all that was stored by those before it
					for i, errno := range errnos {
						if (n*len(errnos)+i)%every == 0 {
							failed, stored := f.refuses(call, errno, n+1, times)
							refused.Add(int64(failed))
							there.Add(int64(stored))
						}
					}
				}
			})
		}
	})
	s.Counts("%d kinds of calls, %d refused, %d stored", len(calls), refused.Load(), there.Load())
	if refused.Load() == 0 {
		t.Error("no save failed: nothing was refused")
	}
}

// anew puts the log back as it was written first.
func (f *failing) anew(seed string) {
	f.t.Helper()
	for _, kind := range []string{"", ".journal"} {
		data, err := os.ReadFile(seed + kind)
		if err == nil {
			err = os.WriteFile(f.log+kind, data, 0o600)
		}
		if err != nil {
			f.t.Fatal(err)
		}
	}
}

// refuses makes the n-th of a call come back with an error in a save, and looks at what
// was said and what is there, then saves once more.
func (f *failing) refuses(call, errno string, n, times int) (failed, stored int) {
	f.t.Helper()
	f.s.Ran()
	text, got := f.note("-o", os.DevNull, "--seccomp-bpf", "-e", "trace="+call, "-e", fmt.Sprintf("inject=%s:error=%s:when=%d", call, errno, n))
	stored = f.holds(text)
	what := fmt.Sprintf("%s %d of %d, %s: %q", call, n, times, errno, got.err)
	switch {
	case stored > 1:
		f.s.Lies("%s, stored %d times", what, stored)
	case got.code == exitDone && stored == 0:
		f.s.Loses("%s", what)
	case got.code != exitDone && stored == 1 && !saidStored(got) && !strings.Contains(got.err, "not known whether"):
		f.s.Lies("%s, but it is stored", what)
	case got.code != exitDone && stored == 0 && saidStored(got):
		f.s.Lies("%s, but it is not stored", what)
	}
	if got.code != exitDone {
		failed = 1
	}
	if text, got := f.note(); got.code != exitDone || f.holds(text) != 1 {
		f.s.Loses("the save after %s: %v", what, got)
	}
	return failed, stored
}
