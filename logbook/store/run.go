package store

import (
	"bytes"
	"context"

	"golang.org/x/mod/sumdb/tlog"
)

// A Run is entries of a log that follow each other, with what the log says of them.
type Run struct {
	ID, Tag string
	Entries int64       // of the whole log
	First   int64       // the entry that the first line is
	Lines   [][]byte    // none where there are no more
	Last    int64       // the entry that the last line is, or the one before First
	Root    tlog.Hash   // of the tree over the entries up to Last
	Hashes  []tlog.Hash // that were asked for
}

// ReadRun reads entries from first on, at most so many and, but for the first, no more
// bytes than given; and stored hashes by their indexes (tlog.StoredHashIndex), under one
// shared lock. Where first is more than one after the last entry the run is empty and
// ends there. Lines are held against their checksums; whether the hashes are theirs is
// for the caller to see, or for Verify. Errors are as for ReadAll.
func ReadRun(ctx context.Context, path string, first int64, most, size int, indexes []int64) (r Run, err error) {
	l, err := whereItLies(ctx, path)
	if err != nil {
		return r, err
	}
	err = l.glance(ctx, func(t *tx) error {
		r = Run{ID: l.id, Tag: l.tag, Entries: int64(t.lastSeq()), First: first}
		r.Last = min(first-1, r.Entries)
		t.counted()
		for all := t.inTurn(); r.Last < r.Entries && len(r.Lines) < most; r.Last++ {
			line := all.borrowed(uint64(r.Last + 1))
			if size -= len(line); size < 0 && len(r.Lines) > 0 {
				break
			}
			r.Lines = append(r.Lines, bytes.Clone(line))
		}
		if r.Root, err = tlog.TreeHash(r.Last, t); err == nil {
			r.Hashes, err = t.ReadHashes(indexes)
		}
		if err != nil {
			return damaged(path, err.Error())
		}
		return nil
	})
	return r, err
}

// Roots are those of the tree over the first n entries, for each n; of more than there
// are it is the zero hash.
func Roots(ctx context.Context, path string, ns []int64) (roots []tlog.Hash, err error) {
	l, err := whereItLies(ctx, path)
	if err != nil {
		return nil, err
	}
	err = l.glance(ctx, func(t *tx) error {
		roots = make([]tlog.Hash, len(ns))
		for i, n := range ns {
			if n < 0 || n > int64(t.lastSeq()) {
				continue
			}
			if roots[i], err = tlog.TreeHash(n, t); err != nil {
				return damaged(path, err.Error())
			}
		}
		return nil
	})
	return roots, err
}
