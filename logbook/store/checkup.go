package store

import (
	"context"
	"errors"
	"os"
	"time"
)

// Try asks a log for the lock that a read needs, once, without waiting for it: nil
// where it can be had at this moment, ErrLocked with who has it, or what else is wrong
// with the file.
func Try(path string) error {
	ctx, cancel := context.WithDeadline(context.Background(), time.Time{})
	defer cancel()
	s := &session{file: path, path: path}
	return s.with(ctx, false, func() error { return nil })
}

// TrialBytes is how much each write of TrySync puts on the disk: a page of a log.
const TrialBytes = pageSize

// TrySync writes n times to a file of its own in a folder, each time synced as a save
// is, and says how long each took by a clock. The file is gone afterwards.
func TrySync(folder string, n int, clock func() time.Duration) (took []time.Duration, err error) {
	f, err := os.CreateTemp(folder, temporaryBegins+"*"+temporaryEnds)
	if err != nil {
		return nil, err
	}
	defer func() { err = errors.Join(err, f.Close(), os.Remove(f.Name())) }()
	page := make([]byte, TrialBytes)
	for range n {
		began := clock()
		if _, err := f.Write(page); err != nil {
			return took, err
		}
		if err := f.Sync(); err != nil {
			return took, err
		}
		took = append(took, clock()-began)
	}
	return took, nil
}
