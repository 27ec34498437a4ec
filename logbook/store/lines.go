package store

import (
	"context"
	"fmt"

	"golang.org/x/mod/sumdb/tlog"
)

// Lines are the lines of a log at one moment, to be gone through as often as needed
// without a copy in memory. A line dies when f returns.
type Lines struct {
	ID, Tag string
	Each    func(f func(line []byte)) error
	// OfSite goes through those of one site, and says whether that was ever opened: only
	// then does the log know which they are.
	OfSite func(site string, f func(line []byte)) (bool, error)
}

// ReadLines lets read go through the lines of a log as they were at one moment. Each is
// held against its checksum, and none is missing; they are not decoded. The log is read
// where it lies, in pieces, each under the shared lock: read must be quick with a line,
// and must not call the log. Errors are as for ReadAll.
func ReadLines(ctx context.Context, path string, read func(Lines) error) error {
	l, err := whereItLies(ctx, path)
	if err != nil {
		return err
	}
	if err := l.fetch(ctx, wanted{}); err != nil {
		return err
	}
	if err := l.glance(ctx, func(t *tx) error { t.counted(); return nil }); err != nil {
		return err
	}
	return read(Lines{ID: l.id, Tag: l.tag,
		Each:   func(f func([]byte)) error { return l.eachLine(ctx, f) },
		OfSite: func(site string, f func([]byte)) (bool, error) { return l.eachOfSite(ctx, site, f) },
	})
}

// eachLine goes through the lines up to what is known.
func (l *Log) eachLine(ctx context.Context, f func(line []byte)) error {
	return l.pieces(ctx, 1, l.known.upto, func(t *tx, seq uint64, line []byte) error {
		busy("reading the log", int(seq)-1, int(l.known.upto))
		return t.s.theirs(func() error { f(line); return nil })
	})
}

// pieces goes through the lines from one entry to another, atOnce under one lock. A line
// dies with that.
func (l *Log) pieces(ctx context.Context, seq, last uint64, f func(t *tx, seq uint64, line []byte) error) error {
	for seq <= last {
		err := l.glance(ctx, func(t *tx) error {
			all := t.inTurn()
			for upto := min(last, seq+atOnce-1); seq <= upto; seq++ {
				if err := f(t, seq, all.borrowed(seq)); err != nil {
					return err
				}
			}
			return nil
		})
		if err != nil {
			return err
		}
	}
	return nil
}

// eachOfSite goes through those of a site.
func (l *Log) eachOfSite(ctx context.Context, site string, f func(line []byte)) (bool, error) {
	p := l.known.index.At(site)
	if p == nil {
		return false, nil
	}
	return true, l.piecesOf(ctx, p, l.known.upto, func(lines []numbered) error {
		for _, at := range lines {
			f(at.line)
		}
		return nil
	})
}

// counted makes sure that no entry is missing at the end: the tree of hashes knows how
// many there are.
func (t *tx) counted() {
	n := t.lastSeq()
	last, some := t.hash.lastKey()
	if some {
		last++
	}
	if want := uint64(tlog.StoredHashCount(int64(n))); last != want {
		t.s.fail(damaged(t.s.path, fmt.Sprintf("entry %d is missing: %d entries have %d hashes, should have %d", n+1, n, last, want)))
	}
}
