package store

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"runtime"
	"runtime/debug"
	"time"

	bolt "go.etcd.io/bbolt"
	boltErrors "go.etcd.io/bbolt/errors"

	"coolhold/logbook/whole"
)

const (
	// Patience is how long a lock is waited for where the context does not say.
	Patience   = 10 * time.Second
	retry      = 5 * time.Millisecond // between two tries for the lock
	tellsAfter = time.Second          // after that wait it is said, see WhenWaiting
)

// A session is one opening of the file, from lock to unlock.
type session struct {
	file   string   // what is opened: the log or a copy of it
	path   string   // the log, as errors name it
	copy   *os.File // a copy that is opened in the log's stead
	had    bool     // the log was opened before
	db     *bolt.DB
	f      *os.File
	read   int      // entries that were read for the records
	said   []string // what a person must know of what was mended
	stop   error    // why a transaction was broken off from within
	caller bool     // a function of the caller is running: a panic now is not ours
	closed bool
	inside bool // the gate counts it
}

// with opens the file under the exclusive lock if write is set, else under the
// shared one, runs f and lets the lock go. Damage that shows as a panic or as a
// fault of the mapped memory comes back as ErrDamaged; a panic of the caller's
// own function passes through, and the lock is let go all the same.
func (s *session) with(ctx context.Context, write bool, f func() error) (err error) {
	defer debug.SetPanicOnFault(debug.SetPanicOnFault(true))
	defer func() {
		if s.inside {
			sessions.leave()
		}
	}()
	defer s.leave(&err)
	if err := s.enter(ctx, write); err != nil {
		s.closed = true
		return err
	}
	err = f()
	if s.closed {
		return err
	}
	closing := s.db.Close()
	s.closed = true
	if err == nil && closing != nil {
		err = fmt.Errorf("%s: the log could not be closed: %w", s.path, closing)
	}
	return err
}

// leave follows a panic. bbolt may have left locks of its own held, so that its
// Close could wait for ever: the file is unlocked and closed under its hands, at
// the price of a map that stays until the program ends.
func (s *session) leave(err *error) {
	if s.closed {
		return
	}
	if s.f != nil {
		unlock(s.f)
		_ = s.f.Close()
	}
	if s.caller {
		return
	}
	if r := recover(); r != nil {
		*err = damaged(s.path, fmt.Sprintf("its pages cannot be read (%v)", r))
	}
}

// enter opens the file, trying for the lock until the context is done, and once
// even if its deadline has passed. bbolt would try every 50 ms only.
func (s *session) enter(ctx context.Context, write bool) error {
	if errors.Is(ctx.Err(), context.Canceled) {
		return expired(ctx, s.path)
	}
	ctx, cancel := patient(ctx)
	defer cancel()
	options := &bolt.Options{ReadOnly: !write, Timeout: 1, NoStatistics: true, OpenFile: s.open}
	wait := waiting{time.After(tellsAfter)}
	for {
		if sessions.enter(ctx) != nil {
			return expired(ctx, s.path)
		}
		db, err := bolt.Open(s.file, 0, options)
		if err == nil && !s.same() { // another file took its name before we had the lock
			err = errors.Join(db.Close(), boltErrors.ErrTimeout)
		}
		if !errors.Is(err, boltErrors.ErrTimeout) {
			s.db, s.inside = db, true
			return s.explain(err)
		}
		sessions.leave()
		select {
		case <-ctx.Done():
			return s.shutOut(ctx)
		case <-time.After(retry):
			wait.goesOn(s)
		}
	}
}

// same tells whether the file that was opened still is the one of that name.
func (s *session) same() bool {
	if s.copy != nil {
		return true // nobody else knows it
	}
	has, err := s.f.Stat()
	if err != nil {
		return false
	}
	now, err := os.Stat(s.file)
	return err == nil && os.SameFile(has, now)
}

// patient gives a context without a deadline the usual one.
func patient(ctx context.Context) (context.Context, context.CancelFunc) {
	if _, ok := ctx.Deadline(); ok {
		return ctx, func() {}
	}
	return context.WithTimeout(ctx, Patience)
}

// expired is the error of a context that was done before the lock was had.
func expired(ctx context.Context, path string) error {
	if errors.Is(ctx.Err(), context.Canceled) {
		return fmt.Errorf("%s: not opened: %w", path, context.Canceled)
	}
	return refuse(path, ErrLocked, "", "close the other program or try again in a moment")
}

// open stands in for bbolt's own opening, which would make a missing file.
func (s *session) open(name string, flag int, perm os.FileMode) (*os.File, error) {
	f, err := s.openFile(name, flag&^os.O_CREATE)
	if shut(err) {
		err = boltErrors.ErrTimeout // it is waited for as the lock is
	}
	if err != nil {
		return nil, err
	}
	err = checkHead(f, s.path)
	if err == nil && flag&os.O_RDWR != 0 {
		err = checkFree(f, s.path)
	}
	if err != nil {
		f.Close()
		return nil, err
	}
	s.f = f
	pause("opened")
	return f, nil
}

func (s *session) openFile(name string, flag int) (*os.File, error) {
	if s.copy != nil {
		return reopen(s.copy)
	}
	if err := whole.Plain(name); err != nil {
		return nil, err
	}
	return os.OpenFile(name, flag, 0)
}

func (s *session) explain(err error) error {
	switch {
	case err == nil, errors.Is(err, ErrDamaged), errors.Is(err, ErrOld):
		return err
	case errors.Is(err, whole.ErrNotPlain):
		return refuse(s.path, whole.ErrNotPlain, "", "check the name")
	case errors.Is(err, fs.ErrNotExist):
		return s.missing()
	case errors.Is(err, boltErrors.ErrInvalid), errors.Is(err, boltErrors.ErrChecksum):
		return damaged(s.path, err.Error())
	}
	return fmt.Errorf("%s: the log could not be opened: %w", s.path, err)
}

func (s *session) missing() error {
	if _, err := os.Stat(journalOf(s.path)); err == nil {
		return refuse(s.path, ErrNoLog, "but its journal is there", restoreAdvice)
	}
	switch {
	case s.had:
		return refuse(s.path, ErrNoLog, "it was there and is gone", "put the stick back if it is on one; nothing is stored until it is there")
	case FolderGone(s.path):
		return refuse(s.path, ErrNoLog, "", "nor is its folder: put the stick in if it is on one, else check the name or make a new log")
	}
	return refuse(s.path, ErrNoLog, "", "check the name or make a new log")
}

// FolderGone tells whether not even the folder is there in which a log should be:
// its stick is not in, maybe.
func FolderGone(path string) bool {
	_, err := os.Stat(filepath.Dir(path))
	return errors.Is(err, fs.ErrNotExist)
}

// letGo lets the file go a moment early where the system does not rename over one
// that is open.
func (s *session) letGo() error {
	if runtime.GOOS != "windows" {
		return nil
	}
	s.closed = true
	return s.db.Close()
}

// transact runs f in one transaction, which is committed if write is set and f
// gives no error.
func (s *session) transact(write bool, f func(*tx) error) error {
	raw, err := s.db.Begin(write)
	if err != nil {
		return fmt.Errorf("%s: no transaction: %w", s.path, err)
	}
	err = s.unbroken(func() error {
		return f(newTx(s, raw))
	})
	if err != nil || !write {
		_ = raw.Rollback() // nothing was written
		return err
	}
	if err := raw.Commit(); err != nil {
		_ = raw.Rollback() // says that it is over already, mostly
		return fmt.Errorf("%s: the entry could not be written: %w", s.path, err)
	}
	return nil
}

// unbroken runs f, which may be broken off by fail.
func (s *session) unbroken(f func() error) (err error) {
	defer func() {
		if s.stop != nil {
			_ = recover()
			err, s.stop, s.caller = s.stop, nil, false
		}
	}()
	return f()
}

// fail breaks the transaction off: no decision is taken and nothing is written
// on records that cannot be trusted, and Records has no errors to give.
func (s *session) fail(err error) {
	s.stop = err
	panic(err)
}

// must breaks the transaction off where there is an error.
func (s *session) must(err error) {
	if err != nil {
		s.fail(err)
	}
}

// ours runs f as part of this package, though the caller's function called it.
func (s *session) ours(f func()) {
	was := s.caller
	s.caller = false
	f()
	s.caller = was // not reached after a panic, which then counts as damage
}

// theirs runs f as the caller's.
func (s *session) theirs(f func() error) error {
	s.caller = true
	err := f()
	s.caller = false
	return err
}
