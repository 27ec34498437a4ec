package store

import (
	"fmt"

	"golang.org/x/mod/sumdb/tlog"

	"coolhold/logbook"
)

// Tree gives, within a decision of Append, how many entries the
// log holds at this moment and the root of the tree over them. ok is false for
// records that are not those of a log on disk.
func Tree(r logbook.Reader) (n int64, root tlog.Hash, ok bool) {
	at, ok := r.(*reader)
	if !ok || at.tx == nil {
		return 0, root, false
	}
	t := at.tx
	t.s.ours(func() {
		n = int64(t.lastSeq())
		var err error
		if root, err = tlog.TreeHash(n, t); err != nil {
			t.s.fail(damaged(t.s.path, err.Error()))
		}
	})
	return n, root, true
}

// A hashTree is the stored hashes in memory, at their indexes.
type hashTree []tlog.Hash

// ReadHashes reads hashes for tlog.
func (h hashTree) ReadHashes(indexes []int64) ([]tlog.Hash, error) {
	out := make([]tlog.Hash, len(indexes))
	for i, at := range indexes {
		if at < 0 || at >= int64(len(h)) {
			return nil, fmt.Errorf("hash %d is missing", at)
		}
		out[i] = h[at]
	}
	return out, nil
}

// grow adds the hashes that a line brings as the next entry.
func (h hashTree) grow(seq uint64, line []byte) (hashTree, error) {
	more, err := tlog.StoredHashes(int64(seq)-1, line, h)
	return append(h, more...), err
}
