package store

import (
	"context"
	"errors"
	"sync/atomic"
	"time"
)

// An lockedBy is ErrLocked with who has the log.
type lockedBy struct {
	path   string
	holder string // "" where the system does not tell
}

func (e *lockedBy) Error() string {
	if e.holder == "" {
		return refuse(e.path, ErrLocked, "", "close the other program or try again in a moment").Error()
	}
	return refuse(e.path, ErrLocked, e.holder, "close that one or try again in a moment").Error()
}

func (e *lockedBy) Unwrap() error { return ErrLocked }

// Holder is the program that has the log, "" where the system does not tell.
func (e *lockedBy) Holder() string { return e.holder }

// shutOut is the error of a session that never had the lock.
func (s *session) shutOut(ctx context.Context) error {
	if errors.Is(ctx.Err(), context.Canceled) {
		return expired(ctx, s.path)
	}
	return &lockedBy{s.path, holderOf(s.file)}
}

// told is what WhenWaiting set.
var told atomic.Pointer[func(path, holder string)]

// WhenWaiting sets what is called, once for each wait, when a lock was not had for
// a second and is waited for still; nil for nothing. holder is the program that has
// the log, "" where the system does not tell.
func WhenWaiting(f func(path, holder string)) {
	if f == nil {
		told.Store(nil)
		return
	}
	told.Store(&f)
}

// doing is what WhenBusy set.
var doing atomic.Pointer[func(stage string, done, of int)]

// WhenBusy sets what is called as a whole log is copied, read, checked or made anew: the
// stage in words, and how many entries of it are done, 0 of 0 where that is not counted;
// nil for nothing. It is for a program that has one such thing to do.
func WhenBusy(f func(stage string, done, of int)) {
	if f == nil {
		doing.Store(nil)
		return
	}
	doing.Store(&f)
}

// busyEvery is after how many entries it is said how many are done.
const busyEvery = 256

// busy says how far a stage is.
func busy(stage string, done, of int) {
	if f := doing.Load(); f != nil && done%busyEvery == 0 {
		(*f)(stage, done, of)
	}
}

// A waiting is one wait for the lock.
type waiting struct {
	long <-chan time.Time // has a value once it is
}

// goesOn says it where the wait is long.
func (w *waiting) goesOn(s *session) {
	select {
	case <-w.long:
	default:
		return
	}
	if f := told.Load(); f != nil {
		(*f)(s.path, holderOf(s.file))
	}
}
