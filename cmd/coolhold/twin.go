package main

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"runtime"
	"sync"
	"syscall"
	"time"

	"github.com/spf13/cobra"

	"coolhold/logbook"
	"coolhold/logbook/store"
)

// How long a stick is waited for: before something is stored, to see that the log was
// not put back; and when a program ends, to bring the twin up.
const (
	twinLook = 500 * time.Millisecond
	twinEnd  = 2 * time.Second
)

// noTwin is the word for --twin that ends it.
const noTwin = "none"

const twinFlagHelp = "bring each entry to this `folder` on another disk too, from now on; " + noTwin + " ends that"

// twinFlags gives every verb that writes the flag of the twin, and sees to the twin
// before and after it.
func twinFlags(cmd *cobra.Command, e edges) {
	for _, sub := range cmd.Commands() {
		twinFlags(sub, e)
	}
	run := cmd.RunE
	if !writes(cmd) || run == nil {
		return
	}
	cmd.Flags().StringVar(e.twin, "twin", "", twinFlagHelp)
	cmd.RunE = func(cmd *cobra.Command, args []string) error {
		path := logPath(e, writtenLog(cmd))
		behind, err := twinBefore(e, path)
		if err != nil {
			return err
		}
		err = run(cmd, args)
		if err == nil {
			twinAfter(e, path, behind)
		}
		return err
	}
}

// writes tells whether a verb writes into a log: in somebody's name, or what comes
// out of a file alone.
func writes(cmd *cobra.Command) bool {
	switch cmd.CommandPath() {
	case "coolhold site new", "coolhold site table":
		return true
	case "coolhold twin":
		return false
	}
	if ofOffice(cmd) {
		return false // it writes into the office's database
	}
	return cmd.Flags().Lookup("by") != nil
}

// writtenLog is the log that a verb writes into, as it was named.
func writtenLog(cmd *cobra.Command) string {
	if into := cmd.Flags().Lookup("into"); into != nil && into.Value.String() != "" {
		return into.Value.String()
	}
	if logs, err := cmd.Flags().GetStringArray("log"); err == nil {
		return append(logs, "")[0]
	}
	return cmd.Flags().Lookup("log").Value.String()
}

// twinBefore refuses a folder that is not there, and to write into a log whose twin
// shows that it lost entries. behind is how many the twin lacks before anything more is
// stored.
func twinBefore(e edges, path string) (behind uint64, err error) {
	if dir := *e.twin; dir != "" && dir != noTwin {
		if err := folder(dir); err != nil {
			return 0, err
		}
	}
	if !hasTwin(e, path) {
		return 0, nil
	}
	l, err := store.Open(path)
	if err != nil {
		return 0, nil // the verb says it
	}
	f := followerOf(e, l)
	if f == nil {
		return 0, nil
	}
	s := f.within(twinLook, f.twin.Look)
	if errors.Is(s.Err, store.ErrTwinAhead) {
		_ = f.note(s) // said by every verb again
		return 0, exitWith(exitLog, s.Err)
	}
	return s.Behind(), nil
}

// hasTwin tells whether a log may have a twin, before it is opened for that.
func hasTwin(e edges, path string) bool {
	_, is := twinOf(path, "")
	return is || *e.twin != ""
}

// twinAfter brings the twin up, and says on stderr what a person must know: the
// verb's own work is done.
func twinAfter(e edges, path string, behind uint64) {
	if !hasTwin(e, path) {
		return
	}
	l, err := store.Open(path)
	if err != nil {
		return
	}
	note, err := chooseTwin(e, l, followerOf(e, l), *e.twin)
	if err == nil {
		if f := followerOf(e, l); f != nil {
			err = f.settle(behind)
		}
	}
	e.sayTwin(note, err)
}

// sayTwin says on stderr what a person must know of the twin.
func (e edges) sayTwin(note string, err error) {
	if note != "" {
		fmt.Fprintln(e.err, "coolhold:", logbook.Clean(note))
	}
	if err != nil {
		fmt.Fprintln(e.err, "coolhold:", logbook.Clean(err.Error()))
	}
}

// chooseTwin does what --twin says: begins a twin in a folder that was not the log's so
// far, and keeps it, or keeps none. note is what a person should know of that. A twin
// that holds what the log lost is not left by a flag, which names nobody.
func chooseTwin(e edges, l *store.Log, has *follower, dir string) (note string, err error) {
	switch {
	case dir == "", has != nil && has.kept.Dir == absolute(dir), dir == noTwin && has == nil:
		return "", nil // a twin that is gone from its folder is not begun again: its stick is not in
	}
	if has != nil {
		if s := has.within(twinLook, has.twin.Look); errors.Is(s.Err, store.ErrTwinAhead) {
			return "", has.undecided(s)
		}
	}
	if dir == noTwin {
		return "", keepTwin(keptTwin{File: l.Path()})
	}
	return beginTwin(e, l, dir)
}

// beginTwin begins a twin, or goes on with the one that is there, and keeps it.
func beginTwin(e edges, l *store.Log, dir string) (note string, err error) {
	if err := l.Twin(absolute(dir)).Make(); err != nil {
		return "", err
	}
	if sameDisk(dir, l.Path()) {
		note = fmt.Sprintf("the twin in %s is on the disk of the log: what takes one takes both; is the stick in?", dir)
	}
	return note, keepTwin(keptTwin{File: l.Path(), Log: l.ID(), Dir: dir, At: e.now().Wall})
}

// A follower is the twin of one log, with what is known of it here.
type follower struct {
	e    edges
	log  *store.Log
	twin *store.Twin
	mu   sync.Mutex
	kept keptTwin
	read keptTwin // as it was last read or written: what is otherwise now is another program's

	late    bool   // it was not in step when it was last looked at
	brought uint64 // entries that it took since
}

// followerOf is the twin that is kept for a log, or nil.
func followerOf(e edges, l *store.Log) *follower {
	kept, is := twinOf(l.Path(), l.ID())
	if !is {
		return nil
	}
	f := &follower{e: e, log: l, twin: l.Twin(kept.Dir), kept: kept, read: kept}
	f.twin.Held(kept.Entries)
	return f
}

// followerNow is the twin that is kept for a log now, where it was one before, nil for
// none. What was decided elsewhere is so here too: a twin that was left keeps nobody
// from the log.
func followerNow(e edges, l *store.Log, was *follower) *follower {
	kept, is := twinOf(l.Path(), l.ID())
	switch {
	case was == nil:
	case is && kept.Dir == was.kept.Dir:
		was.hear(kept)
		return was
	case !is && !twinsAreRead():
		return was // what cannot be read decides nothing
	default:
		was.twin.Leave()
	}
	return followerOf(e, l)
}

// hear takes what another program keeps of the twin.
func (f *follower) hear(kept keptTwin) {
	f.mu.Lock()
	defer f.mu.Unlock()
	if kept.Entries == f.read.Entries && kept.At.Equal(f.read.At) {
		return
	}
	f.kept, f.read = kept, kept
	f.twin.Held(kept.Entries)
}

// inTime waits so long for an answer and no longer.
func inTime[T any](most time.Duration, ask func() T) (answer T, ok bool) {
	done := make(chan T, 1)
	go func() { done <- ask() }()
	select {
	case answer = <-done:
		return answer, true
	case <-time.After(most):
		return answer, false
	}
}

// within waits so long for the twin and no longer.
func (f *follower) within(most time.Duration, ask func() store.TwinState) store.TwinState {
	s, ok := inTime(most, ask)
	if !ok {
		s.Err = fmt.Errorf("%s: %w; see to the stick, the log goes on without it", f.twin.Path(), store.ErrTwinBusy)
		if why := f.twin.Ahead(); why != nil {
			s.Err = fmt.Errorf("%w; now: %s: %w", why, f.twin.Path(), store.ErrTwinBusy)
		}
	}
	return s
}

// settle brings the twin up at the end of a program, and gives what is to be said.
func (f *follower) settle(behind uint64) error {
	s := f.within(twinEnd, f.twin.Follow)
	if err := f.note(s); err != nil {
		return err
	}
	if s.Err != nil {
		return fmt.Errorf("%s%w", f.lacks(s), s.Err)
	}
	if behind > 0 {
		fmt.Fprintf(f.e.err, "coolhold: %s was %s behind and is brought up\n", logbook.Clean(f.twin.Path()), entries(int64(behind)))
	}
	return nil
}

// lacks says how far a twin is behind and since when, as the beginning of a line.
func (f *follower) lacks(s store.TwinState) string {
	if noCopy(s.Err) {
		return ""
	}
	f.mu.Lock()
	defer f.mu.Unlock()
	return fmt.Sprintf("twin last in step %s, %s behind: ", f.kept.At.In(f.e.now().Local().Location()).Format("Mon 2 Jan 15:04"), entries(int64(f.behind(s))))
}

// noCopy tells whether a twin is none of the log as it is: a person decides.
func noCopy(err error) bool {
	return errors.Is(err, store.ErrTwinAhead) || errors.Is(err, store.ErrTwinUnlike) || errors.Is(err, store.ErrTwinDamaged)
}

// behind is how many entries the twin lacks; of one that was not seen since the start,
// by what is kept of it.
func (f *follower) behind(s store.TwinState) uint64 {
	has := s.Twin
	if has == 0 {
		has = f.kept.Entries
	}
	return max(s.Log, has) - has
}

// note keeps how far the twin is, once it is in step, and what it holds that the log
// does not: that is to be known too where the stick is out.
func (f *follower) note(s store.TwinState) error {
	f.mu.Lock()
	defer f.mu.Unlock()
	if s.Err == nil {
		f.kept.Entries, f.kept.At = s.Twin, f.e.now().Wall
		return f.keep()
	}
	return f.noteNoCopy(s)
}

// noteNoCopy keeps of a twin that is no copy what holds without it.
func (f *follower) noteNoCopy(s store.TwinState) error {
	switch {
	case errors.Is(s.Err, store.ErrTwinAhead) && s.Twin > f.kept.Entries:
		f.kept.Entries = s.Twin
	case errors.Is(s.Err, store.ErrTwinUnlike) && f.kept.Entries > 0:
		f.kept.Entries = 0 // the log went on as another: what it should have says nothing any more
	default:
		return nil
	}
	return f.keep()
}

// decided keeps that what the twin held keeps nobody from the log any more.
func (f *follower) decided() error {
	f.mu.Lock()
	defer f.mu.Unlock()
	f.kept.Entries = 0
	return f.keep()
}

// keep writes down what is known of the twin, unless the log has another by now: that
// was decided elsewhere.
func (f *follower) keep() error {
	if k, is := twinOf(f.kept.File, f.kept.Log); !is || k.Dir != f.kept.Dir {
		return nil
	}
	f.read = f.kept
	return keepTwin(f.kept)
}

// undecided refuses to leave a twin that holds what the log lost.
func (f *follower) undecided(s store.TwinState) error {
	lost := ""
	if s.From > 0 {
		lost = ", " + spanOf(s)
	}
	return fmt.Errorf("%s: %w%s; coolhold restore makes a log of the longer one. Who goes on without them gives a name and a reason: coolhold twin DIR --by NAME --why TEXT, or coolhold twin --none --by NAME --why TEXT", f.twin.Path(), store.ErrTwinAhead, lost)
}

// trouble is what is wrong with a twin in a few words; "" for nothing.
func trouble(s store.TwinState) string {
	switch err := s.Err; {
	case err == nil:
		return ""
	case errors.Is(err, store.ErrTwinAhead):
		return "TWIN AHEAD: this log lost " + spanOf(s) + "; nothing more is stored until a person decides: coolhold twin"
	case errors.Is(err, store.ErrTwinUnlike) && s.From > 0:
		return "TWIN UNLIKE this log from " + fmt.Sprintf("entry %d", s.From) + " on: coolhold twin"
	case errors.Is(err, store.ErrTwinUnlike):
		return "twin of another log: coolhold twin"
	case errors.Is(err, store.ErrTwinDamaged):
		return "twin damaged: coolhold twin"
	case isFull(err):
		return "twin full"
	case errors.Is(err, syscall.EROFS), errors.Is(err, os.ErrPermission):
		return "twin read-only"
	case errors.Is(err, store.ErrTwinAway):
		return "twin away"
	case errors.Is(err, store.ErrTwinBusy):
		return "twin does not answer"
	case errors.Is(err, store.ErrTwinStuck):
		return "twin not written"
	}
	return "twin waits: coolhold verify"
}

// spanOf names the entries that only the twin has.
func spanOf(s store.TwinState) string {
	if s.Twin > s.From {
		return fmt.Sprintf("entries %d to %d", s.From, s.Twin)
	}
	return fmt.Sprintf("entry %d", s.From)
}

// isFull tells whether a disk has no more room; of Windows it is the system's own
// number, which errors.Is does not know.
func isFull(err error) bool {
	var no syscall.Errno
	return errors.Is(err, syscall.ENOSPC) || errors.As(err, &no) && runtime.GOOS == "windows" && (no == 112 || no == 39)
}

// sameDisk tells whether a folder is on the disk of a file, as far as the system says.
func sameDisk(dir, file string) bool {
	a, errA := os.Stat(dir)
	b, errB := os.Stat(filepath.Dir(absolute(file)))
	return errA == nil && errB == nil && diskOf(absolute(dir), a) == diskOf(absolute(file), b)
}
