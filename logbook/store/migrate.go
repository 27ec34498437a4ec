package store

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"

	bolt "go.etcd.io/bbolt"

	"coolhold/logbook/whole"
)

// A step takes a log from one format to the next, within one transaction on a
// copy of it. It reads and writes the buckets as they are.
type step func(*bolt.Tx) error

// firstFormat is the oldest format that is read. The one before it was written
// before any release.
const firstFormat = 2

// steps lead from firstFormat to the one this program writes: steps[0] from 2 to
// 3, and so on. Their number gives the current format.
var steps = []step{}

// format reads the number of the file's format.
func format(t *tx) int { return int(t.meta.number("format")) }

// checkFormat refuses a file that is not of the format that is wanted.
func checkFormat(t *tx, want int) error {
	switch has := format(t); {
	case has < firstFormat:
		return old(t.s.path, has)
	case has > want:
		return newer(t.s.path, has, want)
	case has < want:
		return fmt.Errorf("%s: the log has format %d, this coolhold works with %d; open it once to bring it up", t.s.path, has, want)
	}
	return nil
}

func newer(path string, has, want int) error {
	return refuse(path, ErrNewer, fmt.Sprintf("format %d, this one reads up to %d", has, want), "use a coolhold at least as new")
}

func old(path string, has int) error {
	return refuse(path, ErrOld, fmt.Sprintf("format %d", has), "make a new log; this one is not touched")
}

// migrate brings an older file to the current format. Under the exclusive lock a
// copy is made, changed, checked, and only then takes the old one's name; the old
// one keeps another. At whatever point it is broken off, a whole log has the
// name, and unfinished copies have names of their own.
func migrate(path string, steps []step) error {
	if due, err := outdated(path, steps, nil); err != nil || !due {
		return err
	}
	done, err := alone(path)
	if err != nil {
		return err
	}
	defer done()
	_, err = outdated(path, steps, (*session).change)
	return err
}

// outdated tells whether a file is of an older format, and lets change work on such a
// one, still under the lock.
func outdated(path string, steps []step, change func(*session, []step, int) error) (due bool, err error) {
	s := &session{file: path, path: path}
	err = s.with(context.Background(), true, func() error {
		has, want := 0, firstFormat+len(steps)
		err := s.transact(false, func(t *tx) error { has = format(t); return nil })
		switch {
		case err != nil || has == want:
			return err
		case has < firstFormat:
			return old(path, has)
		case has > want:
			return newer(path, has, want)
		}
		due = true
		if change == nil {
			return nil
		}
		return change(s, steps[has-firstFormat:], want)
	})
	return due, err
}

// change makes the new file beside the old one and lets it take its name. Other
// programs that wait for the lock have the old file in their hands; they see by
// its name that it is no longer the log (session.same).
func (s *session) change(steps []step, want int) error {
	err := whole.Replace(s.path, func(part string) error {
		for _, do := range []func() error{
			func() error { return s.copyPart(part) },
			func() error { return raise(part, s.path, steps, want) },
			func() error { return unharmed(part, s.path, want) },
			func() error { return keep(s.path, want) },
			func() error { return whole.SyncFolder(s.path) }, // the old one's new name lasts before its own goes
			s.letGo,
		} {
			pause("changing")
			if err := do(); err != nil {
				return err
			}
		}
		pause("changing")
		return nil
	})
	pause("changed")
	switch {
	case err == nil, errors.Is(err, ErrDamaged), errors.Is(err, whole.ErrUnsynced):
		return err
	}
	return fmt.Errorf("%s: not brought to format %d, nothing was changed: %w", s.path, want, err)
}

// pause is called where another program, or the end of this one, may come
// between. In a test they do.
var pause = func(at string) {}

// raise takes the steps on a copy.
func raise(part, path string, steps []step, want int) error {
	s := &session{file: part, path: path}
	return s.with(context.Background(), true, func() error {
		return s.transact(true, func(t *tx) error {
			for i, step := range steps {
				if err := step(t.raw); err != nil {
					return fmt.Errorf("the step to format %d: %w", want-len(steps)+i+1, err)
				}
			}
			t.meta = t.bucket("meta") // a step may have made it anew
			t.meta.putNumber("format", uint64(want))
			return nil
		})
	})
}

// unharmed refuses a changed copy that does not hold.
func unharmed(part, path string, want int) error {
	r, err := verifyCopy(part, path, checking{format: want, deep: true})
	if err == nil && len(r.Faults) > 0 {
		err = errors.New(r.Faults[0].What)
	}
	return err
}

// keep gives the old file another name too. One of an earlier try is left as it
// is.
func keep(path string, want int) error {
	for n := 1; ; n++ {
		name := fmt.Sprintf("%s.before-v%d", path, want)
		if n > 1 {
			name = fmt.Sprintf("%s-%d", name, n)
		}
		err := os.Link(path, name)
		if errors.Is(err, fs.ErrExist) {
			continue
		}
		if err != nil { // no links on this file system
			err = copyFile(path, name)
		}
		if err != nil && !errors.Is(err, fs.ErrExist) {
			return fmt.Errorf("the log as it was cannot be kept: %w", err)
		} else if err == nil {
			return nil
		}
	}
}
