package store

import (
	"context"
	"fmt"

	"coolhold/logbook"
)

// A Log is a log on disk. It holds no lock and no file between two calls and
// can be used by any number of goroutines.
type Log struct {
	path  string
	id    string
	tag   string
	steps []step
	turn  chan struct{} // one call at a time within the program: no waiting for retries
}

// Path is the file, as it was named at the opening.
func (l *Log) Path() string { return l.path }

// ID is the log's own random id, 32 hex digits. A copy has the same.
func (l *Log) ID() string { return l.id }

// Tag is the two letters that stand in every weld number of the log.
func (l *Log) Tag() string { return l.tag }

// Append is the one way in which something is written. decide sees the records
// as they are now and says what is to be stored, all of it or nothing. Once
// Append returns entries, they are in the log and in the journal, and both are
// synced.
//
// An error of decide is returned as it is and nothing is written. After any
// other error the save may or may not have happened: it can be repeated with
// drafts of the same id. If the entry that the first draft would become (its id
// and ".0") stands among the last 256 entries, nothing is written and the
// stored entries of that save are returned. decide must not call the log.
//
// The lock is waited for until the deadline of ctx, 1 s if it has none, and
// tried for at least once; then the error is ErrLocked. Others are ErrNoLog, ErrDamaged, ErrNewer and
// ErrJournalAhead.
func (l *Log) Append(ctx context.Context, decide func(logbook.Reader) ([]logbook.Draft, error)) ([]logbook.Entry, error) {
	var entries []logbook.Entry
	err := l.session(ctx, true, func(s *session) error {
		j, err := l.journal(s)
		if err != nil {
			return err
		}
		defer j.close()
		var lines []byte
		err = s.transact(true, func(t *tx) error {
			entries, lines, err = l.save(t, decide)
			return err
		})
		if err == errNothing {
			return nil
		}
		if err != nil {
			return err
		}
		return j.append(lines)
	})
	if err != nil {
		return nil, err
	}
	return entries, nil
}

// errNothing ends a transaction that has nothing to commit.
var errNothing = fmt.Errorf("nothing to write")

func (l *Log) save(t *tx, decide func(logbook.Reader) ([]logbook.Draft, error)) (entries []logbook.Entry, lines []byte, err error) {
	if err := l.ready(t); err != nil {
		return nil, nil, err
	}
	var drafts []logbook.Draft
	err = t.s.theirs(func() (err error) { drafts, err = decide(t); return err })
	if err != nil {
		return nil, nil, err
	}
	if err := checkDrafts(drafts); err != nil {
		return nil, nil, fmt.Errorf("%s: %w", l.path, err)
	}
	if len(drafts) == 0 {
		return nil, nil, errNothing
	}
	if entries = t.saved(drafts[0].ID); entries != nil {
		return entries, nil, errNothing
	}
	entries, lines = t.add(drafts)
	return entries, lines, nil
}

// journal opens the journal in step with the log.
func (l *Log) journal(s *session) (j *journal, err error) {
	err = s.transact(false, func(t *tx) error {
		if err := l.ready(t); err != nil {
			return err
		}
		j, err = openJournal(t)
		return err
	})
	return j, err
}

// View lets f read the records as they are now, under the shared lock: it is to
// take milliseconds. The reader is good until f returns; f must not call the
// log. Waiting and errors are as for Append, except that the journal is not
// looked at.
func (l *Log) View(ctx context.Context, f func(logbook.Reader) error) error {
	return l.session(ctx, false, func(s *session) error {
		return s.transact(false, func(t *tx) error {
			if err := l.ready(t); err != nil {
				return err
			}
			return s.theirs(func() error { return f(t) })
		})
	})
}

// session waits for the log's turn within this program and then for its lock.
func (l *Log) session(ctx context.Context, write bool, f func(*session) error) error {
	ctx, cancel := patient(ctx)
	defer cancel()
	if err := l.takeTurn(ctx); err != nil {
		return err
	}
	defer func() { <-l.turn }()
	s := &session{file: l.path, path: l.path}
	return s.with(ctx, write, func() error { return f(s) })
}

// takeTurn waits until the context is done, and takes a turn that is free even
// if its deadline has passed.
func (l *Log) takeTurn(ctx context.Context) error {
	select {
	case l.turn <- struct{}{}:
		return nil
	default:
	}
	select {
	case l.turn <- struct{}{}:
		return nil
	case <-ctx.Done():
		return expired(ctx, l.path)
	}
}

// ready makes the transaction usable if the file still is the log that was
// opened: somebody may have put another in its place.
func (l *Log) ready(t *tx) error {
	if err := checkFormat(t, len(l.steps)+1); err != nil {
		return err
	}
	if id := t.word("id"); id != l.id {
		return refuse(l.path, ErrNoLog, "another log stands in its place", "start again to work with that one")
	}
	t.bind()
	return nil
}
