package store

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"os"

	"coolhold/logbook"
)

// A Log is a log on disk. It holds no lock and no file between two calls and
// can be used by any number of goroutines.
type Log struct {
	path   string
	file   string
	copy   *os.File // is opened in the log's stead where it is there
	id     string
	tag    string
	steps  []step
	turn   chan struct{} // one call at a time within the program: no waiting for retries
	known  known         // what was read so far; guarded by turn
	walked walked        // how the file was left; guarded by turn
	notes  notes         // see Tell

	doubt   *doubt // the save of which it is not known whether it is stored; guarded by turn, as what follows
	settled *doubt // the last one that was found stored: it may be tried once more
	redo    uint64 // the journal's lines from this entry on are to be written again; 0: none

	halt    halt   // why nothing may be written
	most    counts // for a test
	filled  int    // for a test: the most lines that one transaction stored when the log was made anew
	checked int    // for a test: entries that were checked since a seal
}

// counts are the most entries that were read for the records under one lock
// since the opening.
type counts struct{ exclusive, shared int }

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
// An error of decide is returned as it is and nothing is written. A save that
// fails once it may have been written is looked up by its id before Append returns:
// if it is stored its entries are returned, with logbook.ErrStored where its journal
// could not be brought up; if it cannot be looked up the error is
// logbook.ErrNotKnown, and it is looked up again before anything else is stored.
// After any other error nothing is stored.
//
// A save can be repeated with drafts of the same id. If the entry that the first
// draft would become (its id and ".0") stands among the last 256 entries, nothing
// is written and the stored entries of that save are returned; with logbook.Tried
// before decide is asked. decide must not call
// the log, and may be called more than once: where it asks for a site that is not
// in memory, or others have written much meanwhile, the lock is let go, what is
// wanted is read, and it decides anew.
//
// The lock is waited for until the deadline of ctx, 10 s if it has none, and
// tried for at least once; then the error is ErrLocked. Others are ErrNoLog, ErrDamaged, ErrNewer and
// ErrJournalAhead.
func (l *Log) Append(ctx context.Context, decide func(logbook.Reader) ([]logbook.Draft, error)) ([]logbook.Entry, error) {
	release, err := l.takeTurn(ctx)
	if err != nil {
		return nil, err
	}
	defer release()
	if err := l.halt.err(); err != nil {
		return nil, err
	}
	if l.doubt != nil {
		if _, err := l.settle(ctx); errors.Is(err, logbook.ErrNotKnown) {
			return nil, err
		}
	}
	for {
		entries, err := l.tryAppend(ctx, decide)
		var want wanted
		if !errors.As(err, &want) {
			return entries, err
		}
		if err := l.fetch(ctx, want); err != nil {
			return nil, err
		}
	}
}

// mostUnderLock is how many entries of others an append folds under the
// exclusive lock. Where there are more it lets the lock go and reads them first.
const mostUnderLock = 256

func (l *Log) tryAppend(ctx context.Context, decide func(logbook.Reader) ([]logbook.Draft, error)) (entries []logbook.Entry, err error) {
	var now known
	var lines [][]byte
	var tried *doubt
	err = l.session(ctx, true, func(s *session) error {
		j, err := l.journal(s)
		if err != nil {
			return err
		}
		defer j.close()
		err = s.transact(true, func(t *tx) error {
			now, entries, lines, err = l.save(ctx, t, decide)
			if err == nil {
				tried = doubtOf(entries)
			}
			return err
		})
		if err == errNothing {
			return nil
		}
		if err != nil {
			return err
		}
		if tried != nil {
			tried.committed = true
		}
		return j.append(lines)
	})
	if err != nil && tried != nil {
		tried.cause, l.doubt = err, tried
		return l.settle(ctx)
	}
	if err != nil {
		return nil, err
	}
	l.settled = nil
	if len(lines) > 0 {
		now = now.with(entries, lines[len(lines)-1]) // folded after the commit
	}
	l.known = now
	return entries, nil
}

// AppendAhead is Append for a decision that takes long: it is made before the log is
// locked, and once more under the lock only where somebody wrote meanwhile. Nobody else
// waits for it.
func (l *Log) AppendAhead(ctx context.Context, decide func(logbook.Reader) ([]logbook.Draft, error)) ([]logbook.Entry, error) {
	var drafts []logbook.Draft
	var upto uint64
	err := l.View(ctx, func(r logbook.Reader) (err error) {
		upto = r.(*reader).known.upto
		drafts, err = decide(r)
		return err
	})
	if err != nil {
		return nil, err
	}
	return l.Append(ctx, func(r logbook.Reader) ([]logbook.Draft, error) {
		if r.(*reader).known.upto != upto {
			return decide(r)
		}
		return drafts, nil
	})
}

// errNothing ends a transaction that has nothing to commit.
var errNothing = fmt.Errorf("nothing to write")

func (l *Log) save(ctx context.Context, t *tx, decide func(logbook.Reader) ([]logbook.Draft, error)) (now known, entries []logbook.Entry, lines [][]byte, err error) {
	if err := l.ready(t); err != nil {
		return now, nil, nil, err
	}
	if now, err = l.caughtUp(t); err != nil {
		return now, nil, nil, err
	}
	tried := logbook.TriedID(ctx)
	if tried != "" {
		if entries = l.savedBefore(t, []string{tried}); entries != nil {
			return now, entries, nil, errNothing
		}
	}
	var drafts []logbook.Draft
	err = t.s.theirs(func() (err error) { drafts, err = decide(&reader{known: &now, tx: t}); return err })
	if err != nil {
		return now, nil, nil, err
	}
	if err := checkDrafts(drafts); err != nil {
		return now, nil, nil, fmt.Errorf("%s: %w", l.path, err)
	}
	if len(drafts) == 0 {
		return now, nil, nil, errNothing
	}
	drafts = asRead(drafts)
	if ids := idsOf(drafts); ids[0] != tried { // else it was looked for already
		if entries = l.savedBefore(t, ids); entries != nil {
			return now, entries, nil, errNothing
		}
	}
	entries, lines = t.add(now.index.Clone(), drafts)
	return now, entries, lines, nil
}

// savedBefore are the entries of an earlier try of the same save.
func (l *Log) savedBefore(t *tx, ids []string) []logbook.Entry {
	from := t.lastSeq() - min(recent, t.lastSeq())
	if d := l.settled; d != nil && d.ids[0] == ids[0] {
		ids, from = d.ids, min(from, d.from)
	}
	return t.saved(ids, from)
}

// journal opens the journal in step with the log.
func (l *Log) journal(s *session) (j *journal, err error) {
	err = s.transact(false, func(t *tx) error {
		if err := l.ready(t); err != nil {
			return err
		}
		if j, err = openJournal(t, l.id, l.tag); err != nil || l.redo == 0 {
			return err
		}
		if err = j.again(t, l.redo); err != nil {
			j.close()
			return err
		}
		l.redo = 0
		return nil
	})
	return j, err
}

// Book is the records as they are now: of the site named, and of the others what
// Reader.Sites promises. Without a name it is the site opened last. The book is
// the caller's to read and to clone, not to change. Waiting and errors are as
// for Append, except that the journal is not looked at.
func (l *Log) Book(ctx context.Context, site string) (book *logbook.Book, err error) {
	release, err := l.takeTurn(ctx)
	if err != nil {
		return nil, err
	}
	defer release()
	if err := l.fetch(ctx, wanted{}); err != nil {
		return nil, err
	}
	if places := l.known.index.Places; site == "" && len(places) > 0 {
		site = places[len(places)-1].Site
	}
	if err := l.load(ctx, site); err != nil {
		return nil, err
	}
	return l.known.book, nil
}

// View lets f read the records as they were at one moment. No lock is held while
// it reads; what it asks for is read from the log as needed. f must not call the
// log. Waiting and errors are as for Book.
func (l *Log) View(ctx context.Context, f func(logbook.Reader) error) error {
	release, err := l.takeTurn(ctx)
	if err != nil {
		return err
	}
	defer release()
	if err := l.fetch(ctx, wanted{}); err != nil {
		return err
	}
	return reading(func() error {
		return f(&reader{known: &l.known, fetch: func(site string) error { return l.load(ctx, site) }})
	})
}

// session waits for the log's lock and runs f under it.
func (l *Log) session(ctx context.Context, write bool, f func(*session) error) error {
	ctx, cancel := patient(ctx)
	defer cancel()
	s := &session{file: l.file, path: l.path, copy: l.copy, had: l.id != ""}
	most := &l.most.shared
	if write {
		most = &l.most.exclusive
	}
	defer func() { *most = max(*most, s.read) }()
	if !write {
		return s.with(ctx, false, func() error { return f(s) })
	}
	return s.with(ctx, true, func() error { return l.writing(s, f) })
}

// takeTurn waits for the log's turn within this program until the context is
// done, and takes a turn that is free even if its deadline has passed.
func (l *Log) takeTurn(ctx context.Context) (release func(), err error) {
	ctx, cancel := patient(ctx)
	defer cancel()
	release = func() { <-l.turn }
	select {
	case l.turn <- struct{}{}:
		return release, nil
	default:
	}
	select {
	case l.turn <- struct{}{}:
		return release, nil
	case <-ctx.Done():
		return nil, expired(ctx, l.path)
	}
}

// ready makes the transaction usable if the file still is the log that was
// opened: somebody may have put another in its place, or an older copy.
func (l *Log) ready(t *tx) error {
	if err := checkFormat(t, firstFormat+len(l.steps)); err != nil {
		return err
	}
	if id := t.word("id"); id != l.id {
		return refuse(l.path, ErrNoLog, "another log stands in its place", "start again to work with that one")
	}
	t.bind()
	return l.goesOn(t)
}

// goesOn makes sure that the log still is what was read of it, and more.
func (l *Log) goesOn(t *tx) error {
	last, upto, what := t.lastSeq(), l.known.upto, ""
	switch {
	case last < upto:
		what = fmt.Sprintf("it ends at entry %d, %d were there", last, upto)
	case upto > 0 && !bytes.Equal(t.line(upto), l.known.line):
		what = fmt.Sprintf("its entry %d is another", upto)
	default:
		return nil
	}
	return refuse(l.path, ErrNoLog, "an older copy stands in its place: "+what, "put the newer one back, or start again to work with that one")
}
