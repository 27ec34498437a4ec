package office

import (
	"bytes"
	"errors"
	"fmt"
	"math"
	"strings"
	"testing"
	"time"

	"github.com/transparency-dev/merkle/compact"
	"github.com/transparency-dev/merkle/rfc6962"
	"golang.org/x/mod/sumdb/note"
	"golang.org/x/mod/sumdb/tlog"

	"coolhold/logbook/seal"
)

func key(t testing.TB, seed byte) seal.Key {
	t.Helper()
	k, err := seal.NewKey(bytes.NewReader(bytes.Repeat([]byte{seed}, 64)), "k-invented")
	if err != nil {
		t.Fatal(err)
	}
	return k
}

func public(t testing.TB, k seal.Key) note.Verifier {
	t.Helper()
	v, err := seal.ReadPublic(k.Public())
	if err != nil {
		t.Fatal(err)
	}
	return v
}

func linesOf(n int) (out [][]byte) {
	for i := range n {
		out = append(out, fmt.Appendf(nil, `{"seq":%d,"note":"invented"}`, i+1))
	}
	return out
}

func noteOver(t testing.TB, k seal.Key, lines [][]byte) []byte {
	t.Helper()
	s, err := seal.Sign(seal.Statement{Log: strings.Repeat("ab", 16), Tag: "KM", Entries: int64(len(lines)), Root: Edge{}.Add(lines...).Root(),
		At: time.Date(2026, 3, 9, 17, 40, 0, 0, time.UTC)}, k)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

type stored []tlog.Hash

func (s stored) ReadHashes(at []int64) (out []tlog.Hash, err error) {
	for _, n := range at {
		out = append(out, s[n])
	}
	return out, nil
}

// The edge is that of two independent implementations: tlog's stored hashes, and another
// library's compact range.
func TestEdgeAgainstOthers(t *testing.T) {
	const most = 300
	lines := linesOf(most)
	other := (&compact.RangeFactory{Hash: rfc6962.DefaultHasher.HashChildren}).NewEmptyRange(0)
	var hashes stored
	e := Edge{}
	for n := range int64(most) {
		if err := other.Append(rfc6962.DefaultHasher.HashLeaf(lines[n]), nil); err != nil {
			t.Fatal(err)
		}
		more, err := tlog.StoredHashes(n, lines[n], hashes)
		if err != nil {
			t.Fatal(err)
		}
		hashes = append(hashes, more...)
		was := e.String()
		grown := e.Add(lines[n])
		if e.String() != was {
			t.Fatal("an edge changed when a line was added to it")
		}
		e = grown
		root, err := other.GetRootHash(nil)
		if err != nil {
			t.Fatal(err)
		}
		if got := e.Root(); !bytes.Equal(got[:], root) {
			t.Fatalf("root of %d entries: %v", n+1, got)
		}
		if want, err := tlog.TreeHash(n+1, hashes); err != nil || e.Root() != want {
			t.Fatalf("root of %d entries: %v, tlog has %v, %v", n+1, e.Root(), want, err)
		}
		theirs := other.Hashes()
		read, err := hashes.ReadHashes(EdgeIndexes(n + 1))
		if err != nil || len(read) != len(theirs) {
			t.Fatalf("%d entries: %d hashes, another has %d", n+1, len(read), len(theirs))
		}
		for i, h := range read {
			if !bytes.Equal(h[:], theirs[i]) || h != e.Hashes[i] {
				t.Fatalf("%d entries: hash %d of the edge is another", n+1, i)
			}
		}
		for name, back := range map[string]func() (Edge, error){
			"text": func() (Edge, error) { return ParseEdge(e.N, e.String()) }, "bytes": func() (Edge, error) { return EdgeFrom(e.N, e.Bytes()) },
		} {
			if again, err := back(); err != nil || again.Root() != e.Root() {
				t.Fatalf("%d entries, read back as %s: %v", n+1, name, err)
			}
		}
	}
	if got, want := (Edge{}).Root(), rfc6962.DefaultHasher.EmptyRoot(); !bytes.Equal(got[:], want) {
		t.Errorf("root of no entry: %v", got)
	}
}

// A parcel is read as it was packed, from any entry on, and its key is asked for.
func TestParcel(t *testing.T) {
	k, lines := key(t, 1), linesOf(40)
	for first := 1; first <= 41; first += 8 {
		data, err := Pack(Edge{}.Add(lines[:first-1]...), lines[first-1:], noteOver(t, k, lines))
		if err != nil {
			t.Fatal(err)
		}
		p, err := Read(data)
		if err != nil || p.First() != int64(first) || p.Entries != 40 || len(p.Lines) != 41-first || p.After.Root() != p.Root {
			t.Errorf("from %d: %d to %d, %d lines, %v", first, p.First(), p.Entries, len(p.Lines), err)
		}
		if by, err := p.SignedBy(public(t, key(t, 2)), public(t, k)); err != nil || by != seal.KeyID(public(t, k)) {
			t.Errorf("signed by %q, %v", by, err)
		}
		if _, err := p.SignedBy(public(t, key(t, 2))); !errors.Is(err, ErrUnknownKey) {
			t.Errorf("of a key that is not known: %v", err)
		}
	}
}

// What does not prove itself is no parcel: lines that were changed, left out, added, put
// in another order, an edge that is another's, a heading that could be read two ways.
func TestNoParcel(t *testing.T) {
	k, lines := key(t, 1), linesOf(8)
	before := Edge{}.Add(lines[:3]...)
	sealed := noteOver(t, k, lines)
	turned := bytes.Clone(lines[5])
	turned[9] ^= 1
	for name, some := range map[string][][]byte{
		"changed": {lines[3], lines[4], turned, lines[6], lines[7]}, "left out": {lines[3], lines[4], lines[6], lines[7]},
		"added": append(append([][]byte{}, lines[3:]...), lines[0]), "another order": {lines[3], lines[5], lines[4], lines[6], lines[7]},
		"none": nil, "two in one": {lines[3], lines[4], append(append(bytes.Clone(lines[5]), '\n'), lines[6]...)},
	} {
		if _, err := Pack(before, some, sealed); !errors.Is(err, ErrParcel) {
			t.Errorf("%s: %v", name, err)
		}
	}
	if _, err := Pack(Edge{}.Add(lines[1:4]...), lines[3:], sealed); !errors.Is(err, ErrParcel) {
		t.Errorf("another's edge: %v", err)
	}
	data, err := Pack(before, lines[3:], sealed)
	if err != nil {
		t.Fatal(err)
	}
	for name, bad := range map[string][]byte{
		"first 04": bytes.Replace(data, []byte("first 4"), []byte("first 04"), 1), "first +4": bytes.Replace(data, []byte("first 4"), []byte("first +4"), 1),
		"first 0": bytes.Replace(data, []byte("first 4"), []byte("first 0"), 1), "another heading": bytes.Replace(data, []byte("parcel 1"), []byte("parcel 2"), 1),
		"two blanks": bytes.Replace(data, []byte("edge "), []byte("edge  "), 1), "more behind": append(bytes.Clone(data), 0), "nothing": nil,
		"too long": append(bytes.Clone(data), make([]byte, MostParcel)...),
	} {
		if _, err := Read(bad); !errors.Is(err, ErrParcel) {
			t.Errorf("%s: %v", name, err)
		}
	}
	bomb := Compress([][]byte{make([]byte, MostLines+1)})
	if _, err := Expand(bomb); err == nil || len(bomb) > 1<<20 {
		t.Errorf("%d bytes are unpacked to more than %d: %v", len(bomb), MostLines, err)
	}
}

func FuzzRead(f *testing.F) {
	k, lines := key(f, 1), linesOf(5)
	data, err := Pack(Edge{}.Add(lines[:2]...), lines[2:], noteOver(f, k, lines))
	if err != nil {
		f.Fatal(err)
	}
	f.Add(data)
	f.Fuzz(func(t *testing.T, data []byte) {
		p, err := Read(data)
		if err != nil {
			if !errors.Is(err, ErrParcel) {
				t.Errorf("%v", err)
			}
			return
		}
		again, err := Pack(p.Before, p.Lines, p.Note)
		if err != nil {
			t.Fatalf("it is read and cannot be packed: %v", err)
		}
		if q, err := Read(again); err != nil || q.Root != p.Root || q.First() != p.First() {
			t.Errorf("packed again it is another: %v", err)
		}
	})
}

func TestReceipt(t *testing.T) {
	k := key(t, 1)
	r := Receipt{Log: strings.Repeat("ab", 16), Tag: "KM", Branch: 1, Entries: 8, Root: Edge{}.Add(linesOf(8)...).Root(),
		Taken: time.Date(2026, 3, 9, 17, 40, 0, 0, time.FixedZone("", 3600))}
	data, err := r.Sign(k)
	if err != nil {
		t.Fatal(err)
	}
	if back, err := ReadReceipt(data, public(t, k)); err != nil || back.text() != r.text() || !back.Taken.Equal(r.Taken) {
		t.Errorf("%+v %v", back, err)
	}
	if _, err := ReadReceipt(data, public(t, key(t, 2))); !errors.Is(err, ErrReceipt) {
		t.Errorf("of another key: %v", err)
	}
	for _, change := range [][2]string{{"entries 8", "entries 9"}, {"entries 8", "entries 08"}, {"branch 1", "branch 0"}, {"KM", "KN"}} {
		bad := r.text()
		if _, err := ReadReceipt(bytes.Replace(data, []byte(change[0]), []byte(change[1]), 1), public(t, k)); !errors.Is(err, ErrReceipt) {
			t.Errorf("%v: %v", change, err)
		}
		if _, err := parseReceipt(strings.Replace(bad, "entries 8", "entries  8", 1)); err == nil {
			t.Error("a receipt can be written in two ways")
		}
	}
}

// The bound is where the score test turns: there the fails that were seen lie just z95
// standard errors above what the share would give. That is its definition, computed
// another way.
func TestLowestIsWhereTheTestTurns(t *testing.T) {
	for _, c := range [][2]int{{20, 1}, {20, 20}, {100, 30}, {1000, 3}, {57, 11}} {
		n, fails := float64(c[0]), float64(c[1])
		p := lowest(c[0], c[1])
		if z := (fails/n - p) / math.Sqrt(p*(1-p)/n); math.Abs(z-z95) > 1e-9 {
			t.Errorf("%v of %v: %v lies %v standard errors below", fails, n, p, z)
		}
	}
	if p := lowest(100, 0); p != 0 {
		t.Errorf("no fail: %v", p)
	}
	// z95 leaves 2.5 % above, by another library function than the constant.
	if tail := math.Erfc(z95/math.Sqrt2) / 2; math.Abs(tail-0.025) > 1e-12 {
		t.Errorf("z95 leaves %v", tail)
	}
}

// One fail among few is not worse than many among many, and too few say nothing.
func TestRanked(t *testing.T) {
	var order []string
	for _, r := range Ranked([]Rate{NewRate("one of twenty", 20, 1), NewRate("all of nineteen", 19, 19), NewRate("forty of four hundred", 400, 40), NewRate("none", 900, 0)}) {
		order = append(order, r.Of)
	}
	if got, want := strings.Join(order, ", "), "forty of four hundred, one of twenty, none"; got != want {
		t.Errorf("%s; should be %s", got, want)
	}
}
