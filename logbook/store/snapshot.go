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

// Lines are the lines of a log at one moment, to be gone through as often as needed
// without a copy in memory.
type Lines struct {
	ID, Tag string
	Each    func(f func(line []byte)) error // a line dies when f returns
}

// ReadLines lets read go through the lines of a log as they were at one moment. Each is
// held against its checksum, and none is missing; they are not decoded.
func ReadLines(ctx context.Context, path string, read func(Lines) error) error {
	return onCopy(ctx, path, func(l *Log) error {
		return read(Lines{l.id, l.tag, func(f func(line []byte)) error {
			return l.glance(ctx, func(t *tx) error {
				t.lines(func(_ uint64, line []byte) { f(line) })
				return nil
			})
		}})
	})
}

// A SiteShot is what a log held of one site at one moment.
type SiteShot struct {
	ID, Tag string
	Book    *logbook.Book  // with all of the site, and of the others what Reader.Sites promises
	Entries int            // of the whole log
	Sealed  *logbook.Entry // the newest seal in the log, nil if there is none
	Beat    fusion.Stamp   // the last heartbeat, zero if there is none
}

// ReadSite reads a log as ReadAll does, but of its entries only those of one
// site: the one of that name or short name, or without a name the only one. Where
// that names none the book holds no site whole.
func ReadSite(ctx context.Context, path, name string) (shot SiteShot, err error) {
	err = onCopy(ctx, path, func(l *Log) error {
		if err := l.fetch(ctx, wanted{}); err != nil {
			return err
		}
		shot.ID, shot.Tag, shot.Entries = l.id, l.tag, int(l.known.upto)
		for _, s := range l.known.book.Sites() {
			if s.ID == name || s.Name == name || name == "" && len(l.known.index.Places) == 1 {
				if err := l.load(ctx, s.ID); err != nil {
					return err
				}
			}
		}
		shot.Book = l.known.book
		return l.glance(ctx, func(t *tx) error {
			if seq := l.known.index.Sealed; seq > 0 {
				e := t.decode(seq, t.line(seq))
				shot.Sealed = &e
			}
			return nil
		})
	})
	shot.Beat = lastBeat(path)
	return shot, err
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
	if err := l.identify(ctx, journalled); err != nil {
		return err
	}
	if unread != nil {
		return unread
	}
	return read(l)
}

// identify reads whose log it is, and sees that it did not lose entries that its
// journal has.
func (l *Log) identify(ctx context.Context, journalled uint64) error {
	return l.session(ctx, false, func(s *session) error {
		return s.transact(false, func(t *tx) error {
			if err := checkFormat(t, firstFormat+len(l.steps)); err != nil {
				return err
			}
			l.id, l.tag = t.word("id"), t.word("tag")
			t.bind()
			if n := t.lastSeq(); journalled > n {
				return ahead(l.path, n, journalled)
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
