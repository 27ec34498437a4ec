package store

import (
	"context"
	"errors"
	"fmt"
	"os"

	"coolhold/fusion"
	"coolhold/logbook"
)

// A Snapshot is all that a log held at one moment.
type Snapshot struct {
	ID, Tag string
	Entries []logbook.Entry // in the order of seq, from 1 and without gap
	Beat    fusion.Stamp    // the last heartbeat, zero if there is none
}

// ReadAll reads a whole log: it copies the file under the shared lock, lets the
// lock go and reads the copy, which is removed again. Every entry is held
// against its checksum. ErrDamaged names the first entry that is not what was
// written; ErrJournalAhead names entries that the log lost. Waiting and other
// errors are as for Append.
func ReadAll(ctx context.Context, path string) (snap Snapshot, err error) {
	tmp, err := os.CreateTemp("", "coolhold-*.copy")
	if err != nil {
		return Snapshot{}, fmt.Errorf("%s: no copy can be made to read: %w", path, err)
	}
	defer os.Remove(tmp.Name())
	journalled, unread, err := copyOut(ctx, path, tmp)
	if err == nil {
		err = checkPages(tmp, path)
	}
	if err = errors.Join(err, tmp.Close()); err != nil {
		return Snapshot{}, err
	}
	if snap, err = readCopy(tmp.Name(), path); err != nil {
		return Snapshot{}, err
	}
	if unread != nil {
		return Snapshot{}, unread
	}
	if n := uint64(len(snap.Entries)); journalled > n {
		return Snapshot{}, ahead(path, n, journalled)
	}
	snap.Beat, err = readBeat(path)
	return snap, err
}

// copyOut copies the log and sees, under the same lock, how far its journal is.
// Why that cannot be read is said apart: a log of another format has another
// journal, and its format is not known yet.
func copyOut(ctx context.Context, path string, tmp *os.File) (journalled uint64, unread, err error) {
	s := &session{file: path, path: path}
	err = s.with(ctx, false, func() error {
		journalled, unread = journalSeq(path)
		return s.writeTo(tmp)
	})
	return journalled, unread, err
}

func readCopy(file, path string) (snap Snapshot, err error) {
	s := &session{file: file, path: path}
	err = s.with(context.Background(), false, func() error {
		return s.transact(false, func(t *tx) error {
			if err := checkFormat(t, firstFormat+len(steps)); err != nil {
				return err
			}
			snap.ID, snap.Tag = t.word("id"), t.word("tag")
			t.bind()
			t.entries(func(e logbook.Entry) { snap.Entries = append(snap.Entries, e) })
			return nil
		})
	})
	return snap, err
}
