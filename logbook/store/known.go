package store

import (
	"bytes"
	"context"
	"fmt"
	"maps"
	"slices"

	"coolhold/logbook"
)

// known is what was read of a log: its index and the records of the sites that
// somebody asked for, as of one entry. It is a value that is replaced, never
// changed, so that a book that was given out stays as it was.
type known struct {
	upto  uint64
	line  []byte // of that entry: an older copy that went on has another there
	index *logbook.Index
	book  *logbook.Book
	whole map[string]bool // sites whose records are all in the book
}

// with is what is known after some more entries; line is that of the last.
func (k known) with(entries []logbook.Entry, line []byte) known {
	if len(entries) == 0 {
		return k
	}
	k.line = line
	k.index, k.book, k.whole = k.index.Clone(), k.book.Clone(), maps.Clone(k.whole)
	for _, e := range entries {
		if k.index.At(e.Site) == nil && k.index.Number(e.Site, e.Kind) == 1 {
			k.whole[e.Site] = true // all of it is seen from its first entry on
		}
		p := k.index.Take(e)
		switch {
		case p == nil:
		case k.whole[e.Site]:
			k.book.Add(e)
		default:
			k.book.PutSite(p.Listed())
		}
		k.upto = e.Seq
	}
	k.book.StartAt(k.index.Next)
	return k
}

// A wanted is a site whose records are asked for, or without a name the entries
// that came meanwhile. It ends a transaction that cannot go on without.
type wanted struct{ site string }

func (w wanted) Error() string {
	return fmt.Sprintf("the records of site %q are not in memory", w.site)
}

// fetch reads what is wanted, under the shared lock in pieces.
func (l *Log) fetch(ctx context.Context, want wanted) error {
	if l.known.index == nil {
		if err := l.begin(ctx); err != nil {
			return err
		}
	}
	if err := l.catchUp(ctx); err != nil || want.site == "" {
		return err
	}
	return l.load(ctx, want.site)
}

// begin reads the index, which tells what a list of all sites shows: what it
// costs grows with the sites, not with the entries.
func (l *Log) begin(ctx context.Context) error {
	now := known{whole: map[string]bool{}}
	var rows indexRows
	for more := true; more; {
		err := l.glance(ctx, func(t *tx) error {
			if last := t.lastSeq(); last != now.upto { // the first piece, or somebody wrote since the last
				rows, now.upto, now.line = indexRows{}, last, t.numbered(last).line
			}
			more = rows.take(t, atOnce-t.s.read)
			return nil
		})
		if err != nil {
			return err
		}
	}
	index, err := rows.read(l)
	if err != nil {
		return err
	}
	now.index = index
	now.book = logbook.NewBook(l.tag, now.index.Next)
	for _, p := range now.index.Places {
		now.book.PutSite(p.Listed())
	}
	l.known = now
	return nil
}

// atOnce is how many entries are read under one shared lock: a writer waits for
// no more.
const atOnce = 2000

// A numbered is the line of an entry with its number in the log.
type numbered struct {
	seq  uint64
	line []byte
}

// numbered copies a line, which dies with the transaction.
func (t *tx) numbered(seq uint64) numbered { return t.inTurn().numbered(seq) }

// inTurn reads lines in the order of their numbers.
type inTurn struct {
	t    *tx
	c    *cursor
	last uint64
}

func (t *tx) inTurn() *inTurn { return &inTurn{t: t, c: t.entry.cursor()} }

// numbered copies a line.
func (r *inTurn) numbered(seq uint64) numbered { return numbered{seq, bytes.Clone(r.borrowed(seq))} }

// borrowed is a line that dies with the transaction. One that follows on the last
// costs no search.
func (r *inTurn) borrowed(seq uint64) []byte {
	var key, stored []byte
	if r.last > 0 && seq == r.last+1 {
		key, stored = r.c.next()
	} else {
		key, stored = r.c.seek(key64(seq))
	}
	r.last = seq
	if len(key) != 8 || num64(key) != seq {
		r.t.missing(seq)
	}
	r.t.s.read++
	return r.t.entry.unsum(key, stored)
}

// catchUp reads the entries that came since.
func (l *Log) catchUp(ctx context.Context) error {
	for more := true; more; {
		var lines []numbered
		err := l.glance(ctx, func(t *tx) error {
			lines, more = t.after(l.known.upto, atOnce)
			return nil
		})
		if err != nil {
			return err
		}
		if l.known, err = l.knownAfter(lines); err != nil {
			return err
		}
	}
	return nil
}

// knownAfter is what is known after some more lines.
func (l *Log) knownAfter(lines []numbered) (known, error) {
	entries, err := l.decode(lines)
	if err != nil || len(lines) == 0 {
		return l.known, err
	}
	return l.known.with(entries, lines[len(lines)-1].line), nil
}

// after are up to most lines behind an entry, and whether there are more.
func (t *tx) after(seq uint64, most int) (lines []numbered, more bool) {
	last, all := t.lastSeq(), t.inTurn()
	for seq++; seq <= last && len(lines) < most; seq++ {
		lines = append(lines, all.numbered(seq))
	}
	return lines, seq <= last
}

// caughtUp is what is known as of a transaction that holds the exclusive lock.
func (l *Log) caughtUp(t *tx) (known, error) {
	if l.known.index == nil {
		return l.known, wanted{}
	}
	lines, more := t.after(l.known.upto, mostUnderLock)
	if more {
		return l.known, wanted{}
	}
	return l.knownAfter(lines)
}

// load reads the records of a site, where it is one, as of what is known.
func (l *Log) load(ctx context.Context, site string) error {
	p := l.known.index.At(site)
	if p == nil || l.known.whole[site] {
		return nil
	}
	folded, err := l.fold(ctx, p, l.known.upto)
	if err != nil {
		return err
	}
	book, whole := l.known.book.Clone(), maps.Clone(l.known.whole)
	book.Adopt(folded, site)
	whole[site] = true
	l.known.book, l.known.whole = book, whole
	return nil
}

// fold reads the records of a site up to an entry, into a book of its own.
func (l *Log) fold(ctx context.Context, p *logbook.Place, upto uint64) (*logbook.Book, error) {
	folded := logbook.NewBook(l.tag, 1)
	err := l.piecesOf(ctx, p, upto, func(lines []numbered) error {
		entries, err := l.decode(lines)
		if err != nil {
			return err
		}
		for _, e := range entries {
			folded.Add(e)
		}
		return nil
	})
	return folded, err
}

// piecesOf goes through the lines of a site up to an entry, atOnce read under one lock.
func (l *Log) piecesOf(ctx context.Context, p *logbook.Place, upto uint64, f func([]numbered) error) error {
	for n := uint64(1); n <= p.Entries; {
		var lines []numbered
		err := l.glance(ctx, func(t *tx) error { lines = t.of(p, n, atOnce); return nil })
		if err != nil {
			return err
		}
		n += uint64(len(lines))
		if behind := slices.IndexFunc(lines, func(at numbered) bool { return at.seq > upto }); behind >= 0 {
			lines, n = lines[:behind], p.Entries+1
		}
		if err := f(lines); err != nil {
			return err
		}
	}
	return nil
}

// of are up to most lines of a site, from its n-th on. One that is missing breaks
// the transaction off.
func (t *tx) of(p *logbook.Place, n uint64, most int) (lines []numbered) {
	all, first := t.inTurn(), withinKey(p.UID, n)
	uid := first[:len(first)-8]
	t.within.from(first, func(key, payload []byte) bool {
		if n > p.Entries || len(lines) == most {
			return false
		}
		if place, ok := bytes.CutPrefix(key, uid); !ok || len(place) != 8 || num64(place) != n || len(payload) != 8 {
			return false
		}
		lines = append(lines, all.numbered(num64(payload)))
		n++
		return true
	})
	if n <= p.Entries && len(lines) < most {
		t.s.fail(damaged(t.s.path, fmt.Sprintf("entry %d of site %s is missing in its index", n, p.Site)))
	}
	return lines
}

// glance runs f on the log under the shared lock.
func (l *Log) glance(ctx context.Context, f func(*tx) error) error {
	return l.session(ctx, false, func(s *session) error {
		return s.transact(false, func(t *tx) error {
			if err := l.ready(t); err != nil {
				return err
			}
			return f(t)
		})
	})
}

// decode reads lines, on all processors.
func (l *Log) decode(lines []numbered) ([]logbook.Entry, error) {
	entries := make([]logbook.Entry, len(lines))
	err := logbook.Each(len(lines), func(i int) (err error) {
		entries[i], err = read(l.path, lines[i].seq, lines[i].line)
		return err
	})
	return entries, err
}
