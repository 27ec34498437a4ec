package office

import (
	"crypto/sha256"
	"fmt"
	"math/bits"
	"strings"

	"golang.org/x/mod/sumdb/tlog"
)

// An Edge is the right edge of a log's hash tree (RFC 6962) over its first N entries:
// the roots of the whole subtrees that N is made of, one for each bit that is set in it,
// the largest first. It is all that is needed to add entries and to know the root, at
// most 63 hashes. The zero Edge is that of no entry.
type Edge struct {
	N      int64
	Hashes []tlog.Hash
}

// EdgeIndexes are where tlog stores the hashes of the edge over n entries, in its order.
func EdgeIndexes(n int64) (at []int64) {
	for rest := n; rest > 0; {
		level := bits.Len64(uint64(rest)) - 1
		at = append(at, tlog.StoredHashIndex(level, (n-rest)>>level))
		rest -= 1 << level
	}
	return at
}

// Add is the edge with some lines more. The edge itself stays as it is.
func (e Edge) Add(lines ...[]byte) Edge {
	hashes := append([]tlog.Hash{}, e.Hashes...)
	n := e.N
	for _, line := range lines {
		h := tlog.RecordHash(line)
		for k := n; k&1 == 1; k >>= 1 {
			h = tlog.NodeHash(hashes[len(hashes)-1], h)
			hashes = hashes[:len(hashes)-1]
		}
		hashes = append(hashes, h)
		n++
	}
	return Edge{n, hashes}
}

// Root is the root of the tree over its entries.
func (e Edge) Root() tlog.Hash {
	if len(e.Hashes) == 0 {
		return sha256.Sum256(nil) // RFC 6962, 2.1: of an empty list
	}
	root := e.Hashes[len(e.Hashes)-1]
	for i := len(e.Hashes) - 2; i >= 0; i-- {
		root = tlog.NodeHash(e.Hashes[i], root)
	}
	return root
}

// String is the hashes as a parcel has them.
func (e Edge) String() string {
	parts := make([]string, len(e.Hashes))
	for i, h := range e.Hashes {
		parts[i] = h.String()
	}
	return strings.Join(parts, " ")
}

// ParseEdge reads the edge over n entries as String writes it.
func ParseEdge(n int64, text string) (Edge, error) {
	e := Edge{N: n}
	if text != "" {
		for part := range strings.SplitSeq(text, " ") {
			h, err := tlog.ParseHash(part)
			if err != nil {
				return Edge{}, fmt.Errorf("%q in the edge is no hash", part)
			}
			e.Hashes = append(e.Hashes, h)
		}
	}
	return e, e.fits()
}

// Bytes are the hashes one after the other.
func (e Edge) Bytes() []byte {
	out := make([]byte, 0, len(e.Hashes)*tlog.HashSize)
	for _, h := range e.Hashes {
		out = append(out, h[:]...)
	}
	return out
}

// EdgeFrom reads the edge over n entries as Bytes gives it.
func EdgeFrom(n int64, data []byte) (Edge, error) {
	e := Edge{N: n}
	for ; len(data) >= tlog.HashSize; data = data[tlog.HashSize:] {
		e.Hashes = append(e.Hashes, tlog.Hash(data[:tlog.HashSize]))
	}
	if len(data) > 0 {
		return Edge{}, fmt.Errorf("the edge ends within a hash")
	}
	return e, e.fits()
}

// fits refuses an edge that has more hashes than its number has bits, or fewer.
func (e Edge) fits() error {
	if want := bits.OnesCount64(uint64(e.N)); e.N < 0 || len(e.Hashes) != want {
		return fmt.Errorf("the edge over %d entries has %d hashes, should have %d", e.N, len(e.Hashes), want)
	}
	return nil
}
