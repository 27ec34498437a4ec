package store

import (
	"context"
	"fmt"
	"io"
	"slices"
	"strings"

	"coolhold/logbook"
)

// A doubt is a save that failed once it may have been written.
type doubt struct {
	ids       []string // of its drafts
	from      uint64   // the last entry before it
	committed bool     // the log's own two syncs went through
	cause     error
}

// doubtOf is the doubt about entries that were about to be stored.
func doubtOf(entries []logbook.Entry) *doubt {
	d := &doubt{from: entries[0].Seq - 1}
	for _, e := range entries {
		if id := e.ID[:strings.LastIndexByte(e.ID, '.')]; !slices.Contains(d.ids, id) {
			d.ids = append(d.ids, id)
		}
	}
	return d
}

// settle looks the save in doubt up by its id and says which: its entries if it is
// stored, an error that it is not, or logbook.ErrNotKnown; only then the doubt
// remains, and is looked up again before anything else is stored.
func (l *Log) settle(ctx context.Context) (entries []logbook.Entry, err error) {
	d, looked := l.doubt, false
	var behind error
	err = l.session(context.WithoutCancel(ctx), true, func(s *session) (err error) {
		if entries, err = l.lookUp(s, d); err != nil {
			return err
		}
		looked = true
		if len(entries) > 0 {
			l.redo = d.from + 1
			behind = l.keepJournal(s)
		}
		return nil
	})
	switch {
	case !looked:
		return nil, fmt.Errorf("%w: %w; it cannot be looked up (%w); it is looked up again before anything else is stored", logbook.ErrNotKnown, d.cause, err)
	case len(entries) == 0:
		l.doubt = nil
		return nil, fmt.Errorf("%w; it was looked up: nothing of it is stored; make room or mend the disk, then do it again", d.cause)
	}
	l.doubt, l.settled = nil, d
	if behind != nil {
		return entries, fmt.Errorf("%w, but not in its journal: %w; the next save brings the journal up", logbook.ErrStored, behind)
	}
	return entries, nil
}

// lookUp finds the entries of a save in doubt, and makes sure that they are on the
// disk and not in the memory of the system only.
func (l *Log) lookUp(s *session, d *doubt) (entries []logbook.Entry, err error) {
	err = s.transact(false, func(t *tx) error {
		if err := l.ready(t); err != nil {
			return err
		}
		entries = t.saved(d.ids, d.from)
		return nil
	})
	if err == nil && len(entries) > 0 && !d.committed {
		err = s.writeAgain()
	}
	return entries, err
}

// keepJournal brings the journal in step, as before a save.
func (l *Log) keepJournal(s *session) error {
	j, err := l.journal(s)
	if err == nil {
		j.close()
	}
	return err
}

// writeAgain writes the file as it reads over itself and syncs it. After a sync
// that failed the system may take what it has in memory for written: another sync
// alone would promise too much.
func (s *session) writeAgain() error {
	buf := make([]byte, 1<<20)
	for at := int64(0); ; {
		n, err := s.f.ReadAt(buf, at)
		if err != nil && err != io.EOF {
			return fmt.Errorf("%s: %w", s.path, err)
		}
		if _, e := s.f.WriteAt(buf[:n], at); e != nil {
			return fmt.Errorf("%s: %w", s.path, e)
		}
		if at += int64(n); err == io.EOF {
			break
		}
	}
	if err := s.f.Sync(); err != nil {
		return fmt.Errorf("%s: %w", s.path, err)
	}
	return nil
}

// again writes the journal's lines of the entries from seq on over themselves and
// syncs them, for the same reason.
func (j *journal) again(t *tx, seq uint64) error {
	var all []byte
	for last := t.lastSeq(); seq <= last; seq++ {
		all = append(all, journalLine(t.line(seq))...)
	}
	if err := j.put(all, j.end-int64(len(all))); err != nil {
		return j.failed(err)
	}
	return nil
}
