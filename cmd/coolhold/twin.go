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
	note, err := chooseTwin(e, l, *e.twin)
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
// far, and keeps it, or keeps none. note is what a person should know of that.
func chooseTwin(e edges, l *store.Log, dir string) (note string, err error) {
	kept, is := twinOf(l.Path(), l.ID())
	switch {
	case dir == "", is && kept.Dir == absolute(dir), dir == noTwin && !is:
		return "", nil // a twin that is gone from its folder is not begun again: its stick is not in
	case dir == noTwin:
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

	late    bool   // it was not in step when it was last looked at
	brought uint64 // entries that it took since
}

// followerOf is the twin that is kept for a log, or nil.
func followerOf(e edges, l *store.Log) *follower {
	kept, is := twinOf(l.Path(), l.ID())
	if !is {
		return nil
	}
	return &follower{e: e, log: l, twin: l.Twin(kept.Dir), kept: kept}
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

// note keeps how far the twin is, once it is in step.
func (f *follower) note(s store.TwinState) error {
	f.mu.Lock()
	defer f.mu.Unlock()
	if s.Err != nil {
		return nil
	}
	f.kept.Entries, f.kept.At = s.Twin, f.e.now().Wall
	return keepTwin(f.kept)
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
