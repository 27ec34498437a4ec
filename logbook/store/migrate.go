package store

import (
	"errors"
	"fmt"
	"os"

	bolt "go.etcd.io/bbolt"
)

// A step takes a log from one format to the next, within one transaction. It
// reads and writes the buckets as they are; records need no step, since a
// raised version of the projections makes them anew.
type step func(*bolt.Tx) error

// steps lead from format 1 to the one this program writes: steps[0] from 1 to
// 2, and so on. Its length gives the current format.
var steps = []step{}

// format reads the number of the file's format.
func format(t *tx) int { return t.meta.number("format") }

// checkFormat refuses a file that is not of the format that is wanted.
func checkFormat(t *tx, want int) error {
	switch has := format(t); {
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

// migrate brings an older file to the current format in one transaction, after
// a copy of it is kept. The caller holds the exclusive lock.
func migrate(s *session, steps []step) error {
	has, want := 0, len(steps)+1
	err := s.transact(false, func(t *tx) error { has = format(t); return nil })
	switch {
	case err != nil || has == want:
		return err
	case has > want:
		return newer(s.path, has, want)
	}
	if err := keep(s, want); err != nil {
		return err
	}
	return s.transact(true, func(t *tx) error {
		for i, step := range steps[has-1:] {
			if err := step(t.raw); err != nil {
				return fmt.Errorf("%s: not brought to format %d, nothing was changed: %w", s.path, has+i+1, err)
			}
		}
		t.meta = t.bucket("meta") // a step may have made it anew
		t.meta.putNumber("format", want)
		return nil
	})
}

// keep puts the old file by. A copy of an earlier try is left as it is.
func keep(s *session, want int) error {
	for n := 1; ; n++ {
		name := fmt.Sprintf("%s.before-v%d", s.path, want)
		if n > 1 {
			name = fmt.Sprintf("%s-%d", name, n)
		}
		if _, err := os.Lstat(name); err == nil {
			continue
		}
		if err := s.copyTo(name); !errors.Is(err, ErrExists) {
			return err
		}
	}
}
