//go:build linux && amd64

package store

import (
	"bytes"
	"fmt"
	"maps"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"syscall"
	"testing"

	"golang.org/x/sys/unix"

	"coolhold/logbook"
	"coolhold/logbook/store/soaktest"
)

// saveEnv makes the test binary a program that saves once on the log it names,
// says what became of it, and saves the same once more.
const saveEnv = "COOLHOLD_STORE_TEST_SAVE"

func init() { programs[saveEnv] = saveTwice }

// The marks of such a program are a system call that nothing else makes: from
// faulty on its calls may fail, from mended on no longer.
const (
	faulty = 0x5afe01
	mended = 0x5afe02
)

func mark(n int) { _, _ = syscall.Getpgid(n) }

// saveTwice is that program.
func saveTwice(path string) error {
	l, err := Open(path)
	if err != nil {
		return err
	}
	if _, err := l.Append(bg, saves("before", 1)); err != nil {
		return err
	}
	mark(faulty)
	_, err = l.Append(within(Patience), saves("tried", 2))
	mark(mended)
	says(err)
	_, err = l.Append(within(Patience), saves("tried", 2))
	says(err)
	return nil
}

// says prints what a save is said to have become.
func says(err error) { fmt.Printf("%s|%v\n", outcomeOf(err), err) }

// A fault is how system calls are made to fail.
type fault struct {
	name  string
	errno syscall.Errno
	done  bool // the call is made all the same: only its answer is an error
	half  bool // half of it is written, and the call after it fails
	gone  bool // all calls from there on fail
}

var befalls = []fault{
	{name: "EIO", errno: syscall.EIO},
	{name: "disk full", errno: syscall.ENOSPC},
	{name: "done, but EIO", errno: syscall.EIO, done: true},
	{name: "half, then disk full", errno: syscall.ENOSPC, half: true},
	{name: "disk gone", errno: syscall.EIO, gone: true},
}

// onFile tells whether a system call is one that a save makes on its files.
func onFile(r *syscall.PtraceRegs) bool {
	switch r.Orig_rax {
	case syscall.SYS_OPENAT, syscall.SYS_PREAD64, syscall.SYS_PWRITE64, syscall.SYS_CLOSE, syscall.SYS_FSTAT, syscall.SYS_NEWFSTATAT,
		syscall.SYS_FSYNC, syscall.SYS_FDATASYNC, syscall.SYS_FTRUNCATE, syscall.SYS_FLOCK, syscall.SYS_MUNMAP:
		return true
	case syscall.SYS_MMAP:
		return int32(r.R8) >= 0
	case syscall.SYS_MADVISE:
		return r.Rdx == syscall.MADV_RANDOM
	}
	return false
}

// always tells whether a call does what it does, whatever it answers: Linux
// closes and unmaps a file that it says it could not.
func always(r *syscall.PtraceRegs) bool {
	n := r.Orig_rax
	return n == syscall.SYS_CLOSE || n == syscall.SYS_MUNMAP || n == syscall.SYS_FLOCK && r.Rsi&syscall.LOCK_UN != 0
}

func writes(r *syscall.PtraceRegs) bool {
	n := r.Orig_rax
	return n == syscall.SYS_PWRITE64 || n == syscall.SYS_FSYNC || n == syscall.SYS_FDATASYNC || n == syscall.SYS_FTRUNCATE
}

// fits tells whether a fault can befall such a call.
func (f fault) fits(r *syscall.PtraceRegs) bool {
	switch {
	case f.half:
		return r.Orig_rax == syscall.SYS_PWRITE64
	case f.done:
		return writes(r) || always(r)
	}
	return true
}

// A traced is a run of saveTwice whose system calls are looked at one by one.
type traced struct {
	s      *soaktest.Soak
	t      *testing.T
	path   string
	at     int // the call that fails, counted from 1; 0: none
	fault  fault
	calls  int  // of the save so far
	active bool // between the marks
	hit    bool
	next   bool                       // the next call fails, after half a write
	inside map[int]bool               // by thread: in a call
	answer map[int]syscall.Errno      // by thread: what the call is to answer
	seen   []string                   // outcomes, and what was on the disk at the mark
	names  map[int]syscall.PtraceRegs // the calls as they came
	disk   string                     // copies of the files as they were at the mark

	dirty, lost map[block]bool // written and not synced; of a sync that failed, so that no later one writes them
	lostThen    int            // blocks lost at the mark
}

// A block is as much of a file as the system writes at once.
type block struct {
	file string
	n    uint64
}

// remember keeps what a write or a sync makes of the disk, as a system does that
// forgets after a failed sync what it could not write.
func (x *traced) remember(tid int, r *syscall.PtraceRegs, n uint64, failed bool) {
	file, err := os.Readlink(fmt.Sprintf("/proc/%d/fd/%d", tid, r.Rdi))
	if err != nil || !strings.HasPrefix(file, x.path) {
		return
	}
	switch n {
	case syscall.SYS_PWRITE64:
		for b := r.R10 / 4096; b*4096 < r.R10+r.Rdx; b++ {
			x.dirty[block{file, b}] = true
			delete(x.lost, block{file, b})
		}
	case syscall.SYS_FSYNC, syscall.SYS_FDATASYNC:
		for b := range x.dirty {
			if b.file == file {
				delete(x.dirty, b)
				x.lost[b] = x.lost[b] || failed
			}
		}
		maps.DeleteFunc(x.lost, func(_ block, lost bool) bool { return !lost })
	}
}

// run starts the program and sees it to its end.
func (x *traced) run() {
	runtime.LockOSThread()
	defer runtime.UnlockOSThread()
	out := filepath.Join(x.t.TempDir(), "out")
	f, err := os.Create(out)
	if err != nil {
		x.t.Fatal(err)
	}
	defer f.Close()
	p, err := os.StartProcess(os.Args[0], []string{os.Args[0]}, &os.ProcAttr{
		Env:   append(os.Environ(), saveEnv+"="+x.path, "GOMAXPROCS=1", "GOGC=off", "GODEBUG=asyncpreemptoff=1"),
		Files: []*os.File{nil, f, f}, Sys: &syscall.SysProcAttr{Ptrace: true},
	})
	if err != nil {
		x.t.Skipf("SKIPPED: no program can be traced here: %v", err)
	}
	x.inside, x.answer = map[int]bool{}, map[int]syscall.Errno{}
	x.dirty, x.lost = map[block]bool{}, map[block]bool{}
	x.follow(p.Pid)
	text, err := os.ReadFile(out)
	if err != nil {
		x.t.Fatal(err)
	}
	x.seen = strings.Split(strings.TrimSpace(string(text)), "\n")
}

const noOthers = 0x20000000 // __WNOTHREAD: no children of other tests

func (x *traced) follow(pid int) {
	for first := true; ; {
		var status syscall.WaitStatus
		tid, err := syscall.Wait4(-1, &status, syscall.WALL|noOthers, nil)
		if err != nil {
			x.t.Fatal(err)
		}
		if status.Exited() || status.Signaled() {
			if tid == pid {
				return
			}
			continue
		}
		signal := 0
		switch s := status.StopSignal(); {
		case first:
			first = false
			const options = syscall.PTRACE_O_TRACESYSGOOD | syscall.PTRACE_O_TRACECLONE | unix.PTRACE_O_EXITKILL
			if err := syscall.PtraceSetOptions(tid, options); err != nil {
				x.t.Fatal(err)
			}
		case s == syscall.SIGTRAP|0x80:
			x.stopped(tid)
		case s != syscall.SIGTRAP && s != syscall.SIGSTOP:
			signal = int(s)
		}
		if err := syscall.PtraceSyscall(tid, signal); err != nil && err != syscall.ESRCH {
			x.t.Fatal(err)
		}
	}
}

// stopped is a thread at the beginning or at the end of a system call.
func (x *traced) stopped(tid int) {
	var r syscall.PtraceRegs
	if err := syscall.PtraceGetRegs(tid, &r); err != nil {
		return // it ended
	}
	if x.inside[tid] {
		x.inside[tid] = false
		if errno, ok := x.answer[tid]; ok {
			delete(x.answer, tid)
			r.Rax = uint64(-int64(errno))
			x.set(tid, &r)
		}
		return
	}
	x.inside[tid] = true
	if r.Orig_rax == syscall.SYS_GETPGID {
		x.marked(int(r.Rdi))
	}
	if n := r.Orig_rax; onFile(&r) {
		if x.active {
			x.calls++
			if x.names != nil {
				x.names[x.calls] = r
			}
			x.befall(tid, &r)
		}
		_, failed := x.answer[tid]
		if refused := r.Orig_rax != n; !refused || n != syscall.SYS_PWRITE64 {
			x.remember(tid, &r, n, failed)
		}
	}
}

func (x *traced) marked(n int) {
	switch n {
	case faulty:
		x.active = true
	case mended:
		x.active = false
		x.disk = clone(x.t, x.path)
		x.lostThen = len(x.lost)
	}
}

// befall lets the call fail that is to.
func (x *traced) befall(tid int, r *syscall.PtraceRegs) {
	f := x.fault
	fails := x.at > 0 && (x.calls == x.at || f.gone && x.calls > x.at)
	switch {
	case x.next:
		x.next = false
		x.answer[tid] = f.errno
		r.Orig_rax = ^uint64(0) // no such call: it is not made
	case !fails:
		return
	case f.half:
		x.next, r.Rdx = true, r.Rdx/2
	default:
		x.answer[tid] = f.errno
		if !f.done && !always(r) {
			r.Orig_rax = ^uint64(0)
		}
	}
	x.hit = true
	x.set(tid, r)
}

func (x *traced) set(tid int, r *syscall.PtraceRegs) {
	if err := syscall.PtraceSetRegs(tid, r); err != nil {
		x.t.Fatal(err)
	}
}

// Whatever system call of a save fails, and however, the program says what is so,
// by an independent reader of the files as they lay when it spoke; and the same
// save tried once more is there once.
func TestSoakSystemCalls(t *testing.T) {
	s := soaktest.New(t, "a system call of a save that fails, is cut short or never ends", "each call by ptrace, each way it can go wrong; the files as they lay when it spoke")
	base := fresh(t)
	add(t, base, draft("first", logbook.Note{Text: "first"}))
	count := &traced{t: t, path: clone(t, base.path), names: map[int]syscall.PtraceRegs{}}
	count.run()
	if count.calls < 20 || len(count.seen) != 2 || !strings.HasPrefix(count.seen[0], "STORED|") {
		t.Fatalf("%d calls without a fault: %q", count.calls, count.seen)
	}
	turn, runs, said := 0, 0, map[string]int{}
	every := soaktest.Rounds(t, 4, 1, 1) // in every test each 4th of them
	for _, f := range befalls {
		for at := 1; at <= count.calls; at++ {
			r := count.names[at]
			if !f.fits(&r) {
				continue
			}
			if turn++; turn%every != 0 {
				continue
			}
			runs++
			s.Ran()
			x := &traced{t: t, s: s, path: clone(t, base.path), at: at, fault: f}
			x.run()
			said[x.checks(fmt.Sprintf("%s at call %d of %d (system call %d)", f.name, at, count.calls, r.Orig_rax))]++
		}
	}
	s.Counts("%d system calls, said: %v", count.calls, said)
	if runs < 100/every || said["STORED"] == 0 || said["NOT STORED"] == 0 || said["NOT KNOWN"] == 0 {
		t.Errorf("%d runs, said %v: not all of it was seen", runs, said)
	}
}

// checks holds what was said against the disk.
func (x *traced) checks(what string) (said string) {
	t := x.t
	t.Helper()
	if len(x.seen) != 2 || !x.hit {
		t.Errorf("%s: hit %v, it said %q", what, x.hit, x.seen)
		return ""
	}
	said, _, _ = strings.Cut(x.seen[0], "|")
	has, inJournal := entriesOf(t, x.disk, "tried."), journalHas(t, x.disk, "tried.")
	switch {
	case strings.HasPrefix(said, "STORED") && has != 2,
		said == "STORED" && x.lostThen > 0,
		said == "STORED" && inJournal != 2,
		said == "NOT STORED" && has != 0,
		said == "NOT KNOWN" && !x.fault.gone:
		x.s.Lies("%s: %d entries in the log and %d in the journal, %d blocks in no later sync, and it said %q", what, has, inJournal, x.lostThen, x.seen[0])
	}
	if again, _, _ := strings.Cut(x.seen[1], "|"); again != "STORED" {
		x.s.Loses("%s: then mended, and it said %q", what, x.seen[1])
	}
	if has, all := entriesOf(t, x.path, "tried."), len(storedLines(t, x.path)); has != 2 || all != 4 {
		x.s.Loses("%s: in the end %d entries of the save, %d in all", what, has, all)
	}
	if said == "NOT KNOWN" && has == 2 && len(x.lost) > 0 {
		x.s.Loses("%s: then mended, and %d blocks are in no sync, and it said %q", what, len(x.lost), x.seen[1])
	}
	sound(t, x.path)
	return said
}

// entriesOf counts the entries of a save, by bbolt alone.
func entriesOf(t *testing.T, path, id string) (n int) {
	for _, line := range storedLines(t, path) {
		n += bytes.Count(line, []byte(`"`+id))
	}
	return n
}

func journalHas(t *testing.T, path, id string) int {
	data, err := os.ReadFile(path + ".journal")
	if err != nil {
		t.Fatal(err)
	}
	return bytes.Count(data, []byte(`"`+id))
}
