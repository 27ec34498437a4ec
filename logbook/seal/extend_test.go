package seal

import (
	"errors"
	"fmt"
	"strings"
	"testing"

	"github.com/transparency-dev/merkle/compact"
	"github.com/transparency-dev/merkle/proof"
	"github.com/transparency-dev/merkle/rfc6962"
	"golang.org/x/mod/sumdb/tlog"
)

// tree is the tree of n lines, as tlog stores it.
type tree []tlog.Hash

func (h tree) ReadHashes(at []int64) ([]tlog.Hash, error) {
	out := make([]tlog.Hash, len(at))
	for i, n := range at {
		if n >= int64(len(h)) {
			return nil, fmt.Errorf("no hash %d", n)
		}
		out[i] = h[n]
	}
	return out, nil
}

func plant(t testing.TB, lines ...string) (h tree) {
	t.Helper()
	for n, line := range lines {
		more, err := tlog.StoredHashes(int64(n), []byte(line), h)
		if err != nil {
			t.Fatal(err)
		}
		h = append(h, more...)
	}
	return h
}

func lines(n int) (out []string) {
	for i := range n {
		out = append(out, fmt.Sprintf("entry %d, invented", i+1))
	}
	return out
}

// An independent implementation of the tree finds the same roots, and the same
// answer to whether one tree extends another.
func TestAgainstAnotherTree(t *testing.T) {
	const most = 70
	other := compact.RangeFactory{Hash: rfc6962.DefaultHasher.HashChildren}
	theirs := other.NewEmptyRange(0)
	all := lines(most)
	var roots [][]byte
	for n := range most {
		if err := theirs.Append(rfc6962.DefaultHasher.HashLeaf([]byte(all[n])), nil); err != nil {
			t.Fatal(err)
		}
		root, err := theirs.GetRootHash(nil)
		if err != nil {
			t.Fatal(err)
		}
		roots = append(roots, root)
	}
	ours := plant(t, all...)
	for n := 1; n <= most; n++ {
		s := statement()
		s.Entries, s.Root = int64(n), tlog.Hash(roots[n-1])
		if err := s.ExtendedBy(s.Log, s.Tag, most, ours); err != nil {
			t.Errorf("root of %d: %v", n, err)
		}
		p, err := tlog.ProveTree(most, int64(n), ours)
		if err != nil {
			t.Fatal(err)
		}
		var steps [][]byte
		for _, h := range p {
			steps = append(steps, h[:])
		}
		if err := proof.VerifyConsistency(rfc6962.DefaultHasher, uint64(n), most, steps, s.Root[:], roots[most-1]); err != nil {
			t.Errorf("%d to %d: %v", n, most, err)
		}
	}
}

func TestExtendedBy(t *testing.T) {
	const n = 13
	all := lines(n)
	s := statement()
	s.Entries = 9
	root, err := tlog.TreeHash(s.Entries, plant(t, all...))
	if err != nil {
		t.Fatal(err)
	}
	s.Root = root
	if err := s.ExtendedBy(s.Log, "KN", n, plant(t, all...)); !errors.Is(err, ErrOtherLog) {
		t.Errorf("another tag: %v", err)
	}
	if err := s.ExtendedBy(strings.Repeat("0", 32), s.Tag, n, plant(t, all...)); !errors.Is(err, ErrOtherLog) {
		t.Errorf("another log: %v", err)
	}
	if err := s.ExtendedBy(s.Log, s.Tag, 8, plant(t, all[:8]...)); !errors.Is(err, ErrNotExtended) {
		t.Errorf("cut off: %v", err)
	}
	if err := s.ExtendedBy(s.Log, s.Tag, 8, plant(t, all...)); !errors.Is(err, ErrNotExtended) {
		t.Errorf("more sealed than there were: %v", err)
	}
	for i := range n {
		changed := append([]string{}, all...)
		changed[i] += "!"
		removed := append(append([]string{}, all[:i]...), all[i+1:]...)
		inserted := append(append(append([]string{}, all[:i]...), "more"), all[i:]...)
		swapped := append([]string{}, all...)
		swapped[i], swapped[(i+1)%n] = swapped[(i+1)%n], swapped[i]
		for name, now := range map[string][]string{"changed": changed, "removed": removed, "inserted": inserted, "swapped": swapped} {
			err := s.ExtendedBy(s.Log, s.Tag, int64(len(now)), plant(t, now...))
			inside := i < int(s.Entries) || name == "swapped" && i == n-1
			if errors.Is(err, ErrNotExtended) != inside || !inside && err != nil {
				t.Errorf("%s at %d: %v", name, i, err)
			}
		}
	}
}
