package store

import (
	"context"
	"errors"
	"time"

	"coolhold/fusion"
	"coolhold/logbook"
)

// A SiteShot is what a log held of one site at one moment.
type SiteShot struct {
	ID, Tag string
	Book    *logbook.Book  // with all of the site, and of the others what Reader.Sites promises
	Entries int            // of the whole log
	Last    fusion.Stamp   // of the last of them, zero if there is none
	Sealed  *logbook.Entry // the newest seal among them, nil if there is none
	Beat    fusion.Stamp   // the last heartbeat, zero if there is none
}

// ReadSite reads of a log what concerns one site: the one of that name or short name,
// or without a name the only one. Where that names none the book holds no site whole.
//
// With a time it is the log as it was then: up to the last entry that was made at that
// time or before. Sequence orders the log, so what stands before that entry belongs to
// it whatever its clock said. When another site had its newest entry is not said then.
//
// The log is read where it lies, in pieces, each under the shared lock, as of the
// first of them. What is read is held against its checksum and no entry of the site is
// missing; the rest of the log is not looked at. Errors are as for ReadAll.
func ReadSite(ctx context.Context, path, name string, asOf time.Time) (shot SiteShot, err error) {
	l, err := whereItLies(ctx, path)
	if err != nil {
		return shot, err
	}
	if err := l.fetch(ctx, wanted{}); err != nil {
		return shot, err
	}
	upto := l.known.upto
	if !asOf.IsZero() {
		if upto, err = l.madeBy(ctx, asOf); err != nil {
			return shot, err
		}
	}
	shot = SiteShot{ID: l.id, Tag: l.tag, Entries: int(upto), Beat: lastBeat(path)}
	if shot.Book, err = l.siteUpto(ctx, name, upto); err != nil {
		return shot, err
	}
	shot.Last, shot.Sealed, err = l.endUpto(ctx, upto)
	return shot, err
}

// whereItLies is a log that is only read, in its place.
func whereItLies(ctx context.Context, path string) (*Log, error) {
	l := newLog(path, steps)
	var unread error
	err := l.identify(ctx, func() (n uint64) {
		n, unread = journalSeq(path)
		return n
	})
	if err == nil && errors.Is(unread, ErrDamaged) { // else Beside says that it cannot be read
		err = unread
	}
	return l, err
}

// siteUpto is the book of what ReadSite promises, up to an entry.
func (l *Log) siteUpto(ctx context.Context, name string, upto uint64) (*logbook.Book, error) {
	book := logbook.NewBook(l.tag, l.known.index.Next)
	var open []logbook.Site
	for _, s := range l.known.book.Sites() {
		if l.known.index.At(s.ID).Opened.Seq > upto {
			continue
		}
		if upto < l.known.upto {
			s.LastAt = fusion.Stamp{}
		}
		book.PutSite(s)
		open = append(open, s)
	}
	for _, s := range open {
		if s.ID != name && s.Name != name && (name != "" || len(open) > 1) {
			continue
		}
		folded, err := l.fold(ctx, l.known.index.At(s.ID), upto)
		if err != nil {
			return nil, err
		}
		book.Adopt(folded, s.ID)
	}
	return book, nil
}

// endUpto is when an entry was made, and the newest seal up to it.
func (l *Log) endUpto(ctx context.Context, upto uint64) (last fusion.Stamp, sealed *logbook.Entry, err error) {
	if upto == 0 {
		return last, nil, nil
	}
	at := l.known.index.Sealed
	if at > upto {
		if at, err = l.newest(ctx, upto, func(e logbook.Entry) bool { return e.Kind == (logbook.Sealed{}).Kind() }); err != nil {
			return last, nil, err
		}
	}
	err = l.glance(ctx, func(t *tx) error {
		last = t.decode(upto, t.line(upto)).At
		if at > 0 {
			e := t.decode(at, t.line(at))
			sealed = &e
		}
		return nil
	})
	return last, sealed, err
}

// madeBy is the last entry that was made at a time or before, 0 for none.
func (l *Log) madeBy(ctx context.Context, t time.Time) (uint64, error) {
	return l.newest(ctx, l.known.upto, func(e logbook.Entry) bool { return !e.At.Wall.After(t) })
}

// newest is the last entry up to one of which is says yes, 0 for none; it goes by all but
// the body. Mostly it is among the last, so the pieces that are looked at grow.
func (l *Log) newest(ctx context.Context, upto uint64, is func(logbook.Entry) bool) (found uint64, err error) {
	for piece := uint64(16); upto > 0 && found == 0 && err == nil; piece = min(4*piece, atOnce) {
		first := upto - min(upto, piece) + 1
		err = l.pieces(ctx, first, upto, func(_ *tx, seq uint64, line []byte) error {
			e, err := logbook.ReadHead(line)
			if err != nil {
				return damaged(l.path, named("entry", key64(seq))+" cannot be read")
			}
			if is(e) {
				found = seq
			}
			return nil
		})
		upto = first - 1
	}
	return found, err
}
