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
	err = onCopy(ctx, path, func(l *Log) error {
		return l.glance(ctx, func(t *tx) error {
			snap.ID, snap.Tag = l.id, l.tag
			t.entries(func(e logbook.Entry) { snap.Entries = append(snap.Entries, e) })
			return nil
		})
	})
	snap.Beat = lastBeat(path)
	return snap, err
}

// onCopy lets read work on a copy of a log, which is made under the shared lock,
// walked through and removed again.
func onCopy(ctx context.Context, path string, read func(*Log) error) error {
	tmp, err := newTemporary()
	if err != nil {
		return fmt.Errorf("%s: no copy can be made to read: %w", path, err)
	}
	defer discard(tmp)
	journalled, unread, err := copyOut(ctx, path, tmp)
	if err == nil {
		err = checkPages(tmp, path)
	}
	if err != nil {
		return err
	}
	l := newLog(path, steps)
	l.copy = tmp
	if err := l.identify(ctx, func() uint64 { return journalled }); err != nil {
		return err
	}
	if unread != nil {
		return unread
	}
	return read(l)
}

// identify reads whose log it is, and sees that it did not lose entries that its
// journal has, as far as that goes.
func (l *Log) identify(ctx context.Context, journalled func() uint64) error {
	return l.session(ctx, false, func(s *session) error {
		return s.transact(false, func(t *tx) error {
			if err := checkFormat(t, firstFormat+len(l.steps)); err != nil {
				return err
			}
			l.id, l.tag = t.word("id"), t.word("tag")
			t.bind()
			if n, j := t.lastSeq(), journalled(); j > n {
				return ahead(l.path, n, j)
			}
			return nil
		})
	})
}

// copyOut copies the log and sees, under the same lock, how far its journal is.
// Why that cannot be read is said apart: a log of another format has another
// journal, and its format is not known yet.
func copyOut(ctx context.Context, path string, tmp *os.File) (journalled uint64, unread, err error) {
	s := &session{file: path, path: path}
	err = s.with(ctx, false, func() error {
		if journalled, unread = journalSeq(path); !errors.Is(unread, ErrDamaged) {
			unread = nil // Beside says that it cannot be read
		}
		return s.writeTo(tmp)
	})
	return journalled, unread, err
}
