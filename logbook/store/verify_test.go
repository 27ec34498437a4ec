package store

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"math/rand/v2"
	"os"
	"runtime"
	"slices"
	"strings"
	"testing"

	"github.com/transparency-dev/merkle/compact"
	"github.com/transparency-dev/merkle/rfc6962"
	bolt "go.etcd.io/bbolt"
	"golang.org/x/mod/sumdb/tlog"

	"coolhold/fusion"
	"coolhold/logbook"
	"coolhold/logbook/plan"
	"coolhold/logbook/seal"
)

func laptop(t testing.TB) seal.Key {
	t.Helper()
	k, err := seal.NewKey(rand.NewChaCha8([32]byte{7}), "laptop")
	if err != nil {
		t.Fatal(err)
	}
	return k
}

// sealNow seals a log as it stands.
func sealNow(t testing.TB, l *Log, id string) { sealAt(t, l, id, stamp(0)) }

func sealAt(t testing.TB, l *Log, id string, at fusion.Stamp) {
	t.Helper()
	_, err := l.Append(bg, func(r logbook.Reader) ([]logbook.Draft, error) {
		n, root, ok := Tree(r)
		if !ok {
			return nil, errors.New("no tree")
		}
		data, err := seal.Sign(seal.Statement{Log: l.id, Tag: l.tag, Entries: n, Root: root, At: at.Local()}, laptop(t))
		d := draft(id, logbook.Sealed{Entries: n, Root: root.String(), Note: string(data)})
		d.At = at
		return []logbook.Draft{d}, err
	})
	if err != nil {
		t.Fatal(err)
	}
}

// sealedTwice adds two seals and an entry between them.
func sealedTwice(t testing.TB, l *Log) *Log {
	t.Helper()
	sealNow(t, l, "first seal")
	add(t, l, draft("after", logbook.Note{Text: "after the first seal"}))
	sealNow(t, l, "second seal")
	return l
}

// aSealedHour is a small log that has a value in every bucket.
func aSealedHour(t testing.TB) *Log {
	t.Helper()
	l := fresh(t)
	add(t, l, draft("open", logbook.SiteOpened{UID: uids["meadow"], Name: "Invented meadow"}))
	started := draft("shift", logbook.ShiftStarted{Day: "2026-03-09", Operators: []logbook.Operator{{Name: "Ada Invented"}}})
	started.Shift = "s1"
	add(t, l, started)
	for i, label := range []string{"C1A", "C2A"} {
		planned := draft("joint "+label, logbook.JointPlanned{Joint: plan.Joint{Label: label, Fitting: "invented coupler"}})
		planned.Joint = label
		add(t, l, planned)
		weldTo(t, l, label, i+1)
	}
	return sealedTwice(t, l)
}

// holds is a report without faults, the index compared.
func holds(t testing.TB, path string) Checkup {
	t.Helper()
	r, err := Verify(bg, path, true)
	if err != nil {
		t.Fatal(err)
	}
	if len(r.Faults) > 0 || !r.Deep {
		t.Fatalf("deep %v, faults %v, remarks %v", r.Deep, r.Faults, r.Remarks)
	}
	return r
}

// linesIn are the lines of a log, which holds.
func linesIn(t testing.TB, path string) (lines [][]byte) {
	t.Helper()
	r, err := VerifyLines(bg, path, true, func(line []byte, e logbook.Entry) {
		if e.Seq != uint64(len(lines)+1) {
			t.Errorf("entry %d is given as line %d", e.Seq, len(lines)+1)
		}
		lines = append(lines, line)
	})
	if err != nil || len(r.Faults) > 0 {
		t.Fatal(err, r.Faults)
	}
	return lines
}

// A check of an archive must not need more memory than a cheap laptop has: of a line only
// its hashes stay, of the journal nothing.
func TestVerifyKeepsNoLine(t *testing.T) {
	l := fresh(t)
	long := strings.Repeat("invented ", 400)
	for n := range 2 {
		_, err := l.Append(bg, func(logbook.Reader) (drafts []logbook.Draft, err error) {
			for i := range 500 {
				drafts = append(drafts, logbook.Draft{ID: fmt.Sprint(n, "-", i), At: stamp(1), Site: "dale", Body: logbook.Happened{Text: long}})
			}
			return drafts, nil
		})
		if err != nil {
			t.Fatal(err)
		}
	}
	live := func() uint64 {
		var m runtime.MemStats
		runtime.GC()
		runtime.ReadMemStats(&m)
		return m.HeapAlloc
	}
	before, lines, most := live(), 0, uint64(0)
	r, err := VerifyLines(bg, l.path, true, func(line []byte, _ logbook.Entry) {
		if lines += len(line); lines%(len(line)*100) == 0 {
			most = max(most, live())
		}
	})
	if after := live(); err != nil || len(r.Faults) > 0 || r.Journal != 1000 {
		t.Fatal(err, r.Faults, r.Journal, after)
	} else if most = max(most, after); most > before+1<<20 || lines < 3<<20 {
		t.Errorf("%d bytes of %d lines stay in memory", most-before, lines)
	}
}

func TestVerify(t *testing.T) {
	l := sealedTwice(t, aDay(t))
	before := spoil(t, l.path)
	r := holds(t, l.path)
	if !bytes.Equal(before, spoil(t, l.path)) {
		t.Error("the log was changed")
	}
	if n := len(readAll(t, l.path).Entries); r.ID != l.id || r.Tag != l.tag || r.Entries != int64(n) || len(r.Remarks) != 0 {
		t.Errorf("of %d entries: %+v", n, r)
	}
	if len(r.Seals) != 2 {
		t.Fatalf("%d seals", len(r.Seals))
	}
	for _, s := range r.Seals {
		if s.Sealed.Entries != int64(s.Seq)-1 || s.Seal.Entries != s.Sealed.Entries || len(s.Seal.Signed) > 0 {
			t.Errorf("got %+v", s)
		}
	}
	var n int64
	var root tlog.Hash
	_, err := l.Append(bg, func(r logbook.Reader) ([]logbook.Draft, error) { n, root, _ = Tree(r); return nil, nil })
	if err != nil || root != r.Root || n != r.Entries {
		t.Errorf("root %v over %d, the decision has %v over %d (%v)", r.Root, r.Entries, root, n, err)
	}
	err = l.View(bg, func(r logbook.Reader) error {
		if _, _, ok := Tree(r); ok {
			t.Error("a view has a tree, which may be another by now")
		}
		return nil
	})
	if err != nil {
		t.Error(err)
	}
	if _, _, ok := Tree(logbook.NewBook("KM", 1)); ok {
		t.Error("a book has a tree")
	}
}

// An independent implementation of the tree, over the lines as bbolt gives
// them, finds the root at every size.
func TestTheTreeAgainstAnother(t *testing.T) {
	l := sealedTwice(t, aDay(t))
	r := holds(t, l.path)
	theirs := (&compact.RangeFactory{Hash: rfc6962.DefaultHasher.HashChildren}).NewEmptyRange(0)
	for i, line := range storedLines(t, l.path) {
		if err := theirs.Append(rfc6962.DefaultHasher.HashLeaf(line), nil); err != nil {
			t.Fatal(err)
		}
		want, err := theirs.GetRootHash(nil)
		if err != nil {
			t.Fatal(err)
		}
		if got, err := tlog.TreeHash(int64(i+1), r); err != nil || !bytes.Equal(got[:], want) {
			t.Errorf("root of %d entries %v, want %x (%v)", i+1, got, want, err)
		}
	}
	if int64(theirs.End()) != r.Entries {
		t.Errorf("%d lines, %d entries", theirs.End(), r.Entries)
	}
}

// An empty log, and one brought along without its journal, hold.
func TestVerifyWithLittle(t *testing.T) {
	l := fresh(t)
	if r := holds(t, l.path); r.Entries != 0 || len(r.Seals) != 0 {
		t.Errorf("got %+v", r)
	}
	add(t, l, draft("one", logbook.Note{Text: "one"}))
	to := clone(t, l.path)
	os.Remove(to + ".journal")
	if r := holds(t, to); len(r.Remarks) != 1 || !strings.Contains(r.Remarks[0], "no journal") {
		t.Errorf("got %+v", r)
	}
	if _, err := os.Stat(to + ".journal"); err == nil {
		t.Error("a journal was made")
	}
}

func TestVerifyWhatCannotBeRead(t *testing.T) {
	l := aDay(t)
	if _, err := Verify(bg, l.path+"x", false); !errors.Is(err, ErrNoLog) {
		t.Errorf("missing: %v", err)
	}
	to := clone(t, l.path)
	rewrite(t, to, spoil(t, l.path)[:3*pageSize])
	if _, err := Verify(bg, to, false); !errors.Is(err, ErrDamaged) {
		t.Errorf("cut: %v", err)
	}
	rewrite(t, to, spoil(t, l.path))
	raw(t, to, func(b *bolt.Tx) error { return store(b, "meta", "format", []byte("99")) })
	if _, err := Verify(bg, to, false); !errors.Is(err, ErrNewer) {
		t.Errorf("newer: %v", err)
	}
	ctx, cancel := context.WithCancel(bg)
	cancel()
	if _, err := Verify(ctx, l.path, false); !errors.Is(err, context.Canceled) {
		t.Errorf("given up: %v", err)
	}
}

// store puts a value with its checksum behind the back of the package.
func store(b *bolt.Tx, bucket, key string, payload []byte) error {
	return b.Bucket([]byte(bucket)).Put([]byte(key), summed([]byte(key), payload))
}

// values are those of a log in memory, by bucket and in the order of the keys.
type values map[string][]value

func (all values) each(bucket string, f func(value)) {
	for _, v := range all[bucket] {
		f(v)
	}
}

func (all values) get(bucket string, key []byte) []byte {
	at, ok := slices.BinarySearchFunc(all[bucket], key, func(v value, key []byte) int { return bytes.Compare(v.key, key) })
	if !ok {
		return nil
	}
	return all[bucket][at].stored
}

// loaded are the values of a log.
func loaded(t testing.TB, path string) values {
	t.Helper()
	all := values{}
	raw(t, clone(t, path), func(b *bolt.Tx) error {
		for _, name := range bucketNames {
			bucketsOf(b).each(name, func(v value) {
				all[name] = append(all[name], value{bytes.Clone(v.key), bytes.Clone(v.stored)})
			})
		}
		return nil
	})
	return all
}

// everyByte turns one bit of every byte of every stored value, one byte at a
// time, and lets try say whether that is found.
func everyByte(t *testing.T, all values, payloads bool, try func(bucket string, v value, at int)) {
	t.Helper()
	tried := 0
	for _, name := range bucketNames {
		if len(all[name]) == 0 {
			t.Errorf("no value in %s", name)
		}
		for _, v := range all[name] {
			bytes := v.stored
			if payloads {
				bytes = v.payload()
			}
			for at := range bytes {
				if tried++; tried%stride != 0 {
					continue
				}
				bit := byte(1) << (tried / stride % 8)
				bytes[at] ^= bit
				try(name, v, at)
				bytes[at] ^= bit
			}
		}
	}
	t.Logf("%d bytes, every %dth turned", tried, stride)
}

// Every byte of every stored value: its checksum tells, and the report names it.
func TestEveryByteOfEveryValue(t *testing.T) {
	all := loaded(t, aSealedHour(t).path)
	everyByte(t, all, false, func(bucket string, v value, at int) {
		r := check(all, nil, nil)
		if len(r.Faults) == 0 || !r.Faults[0].Damage || r.Faults[0].What != named(bucket, v.key)+" does not match its checksum" {
			t.Fatalf("%s, byte %d: %v", named(bucket, v.key), at, r.Faults)
		}
	})
	if r := check(all, nil, nil); len(r.Faults) > 0 {
		t.Error(r.Faults)
	}
}

// The same by somebody who makes the checksum anew. An entry is not the one that
// was hashed, a hash is not that of the entries, a row of the index is not what
// they make, id and tag are not those of the seals. The format is left to a test
// of its own: it is asked before all else.
func TestEveryByteWithItsChecksum(t *testing.T) {
	all := loaded(t, aSealedHour(t).path)
	everyByte(t, all, true, func(bucket string, v value, at int) {
		if bucket == "meta" && string(v.key) == "format" {
			return
		}
		was := bytes.Clone(v.stored)
		copy(v.stored, summed(v.key, v.payload()))
		r := check(all, nil, nil)
		sums := 0
		for _, f := range r.Faults {
			if strings.Contains(f.What, "checksum") {
				sums++
			}
		}
		r.checkIndex(all)
		copy(v.stored, was)
		if len(r.Faults) == 0 || sums > 0 {
			t.Fatalf("%s, byte %d: %v", named(bucket, v.key), at, r.Faults)
		}
	})
}

// What is no change of a byte: values too many, too few and at the wrong place.
func TestValuesOutOfPlace(t *testing.T) {
	path := aSealedHour(t).path
	n := uint64(holds(t, path).Entries)
	hashes := uint64(tlog.StoredHashCount(int64(n)))
	put := func(bucket, key string) func(*bolt.Tx) error {
		return func(b *bolt.Tx) error { return store(b, bucket, key, []byte("{}")) }
	}
	drop := func(bucket, key string) func(*bolt.Tx) error {
		return func(b *bolt.Tx) error { return b.Bucket([]byte(bucket)).Delete([]byte(key)) }
	}
	third := string(withinKey("00000000000000a1", 3))
	for _, c := range []struct {
		want  string
		spoil func(*bolt.Tx) error
	}{
		{"entry 1 is missing", drop("entry", string(key64(1)))},
		{"entry 4 is missing", drop("entry", string(key64(4)))},
		{fmt.Sprintf("entry %d is missing", n), drop("entry", string(key64(n)))},
		{"says that it is entry 0", put("entry", string(key64(n+1)))},
		{"hash 3 is missing", drop("hash", string(key64(3)))},
		{fmt.Sprintf("hash %d is missing", hashes-1), drop("hash", string(key64(hashes-1)))},
		{fmt.Sprintf("entry %d is missing", n+1), put("hash", string(key64(hashes)))},
		{`meta "more" is no word of the format`, put("meta", "more")},
		{"its tag is missing", drop("meta", "tag")},
		{"its next is missing", drop("meta", "next")},
		{`site "00000000000000a1" is missing`, drop("site", "00000000000000a1")},
		{`site "00000000000000a2" comes from no entry`, put("site", "00000000000000a2")},
		{`site "00000000000000a1" is not what the entries make it`, put("site", "00000000000000a1")},
		{`within "\x00\x00\x00\x00\x00\x00\x00\xa1\x00\x00\x00\x00\x00\x00\x00\x03" is missing`, drop("within", third)},
		{`within "x" comes from no entry`, put("within", "x")},
		{`within "\x00\x00\x00\x00\x00\x00\x00\xa1\x00\x00\x00\x00\x00\x00\x00\x03" is not what the entries make it`, put("within", third)},
		{`meta "next" is 9, the entries make it 3`, func(b *bolt.Tx) error { return store(b, "meta", "next", []byte("9")) }},
		{`meta "sealed" is 1, the entries make it 10`, func(b *bolt.Tx) error { return store(b, "meta", "sealed", []byte("1")) }},
		{`its part "within" is missing`, func(b *bolt.Tx) error { return b.DeleteBucket([]byte("within")) }},
		{`it has a part "more", which no log has`, func(b *bolt.Tx) error { _, err := b.CreateBucket([]byte("more")); return err }},
	} {
		to := clone(t, path)
		raw(t, to, c.spoil)
		r, err := Verify(bg, to, true)
		if err != nil || !strings.Contains(fmt.Sprint(r.Faults), c.want) {
			t.Errorf("want %q: %v, %v", c.want, r.Faults, err)
		}
	}
	to := clone(t, path)
	raw(t, to, func(b *bolt.Tx) error { _, err := b.Bucket([]byte("site")).CreateBucket([]byte("x")); return err })
	wants(t, to, `site "x" is no value`)
	if _, err := Verify(bg, to, true); !errors.Is(err, ErrDamaged) || !strings.Contains(err.Error(), "a part lies within a part") {
		t.Errorf("a bucket in a bucket: %v", err)
	}
}

func TestVerifyTheJournal(t *testing.T) {
	path := aSealedHour(t).path
	journal := journalText(t, path)
	lines := bytes.SplitAfter(journal, []byte("\n"))
	lines = lines[:len(lines)-1]
	last := len(lines) - 2 // entries before the last
	join := func(parts ...[][]byte) []byte { return bytes.Join(slices.Concat(parts...), nil) }
	more := []byte(lineInJournal("{}"))
	for _, c := range []struct {
		name, fault, remark string
		held                int // lines of it that are entries of their places
		data                []byte
	}{
		{"as it is", "", "", last + 1, journal},
		{"behind", "", fmt.Sprintf("ends at entry %d;", last), last, join(lines[:last+1])},
		{"of no entry", "", "ends at entry 0;", 0, lines[0]},
		{"empty", "", "ends at entry 0;", 0, []byte{}},
		{"torn", "", "ends within a line", last + 1, append(bytes.Clone(journal), `{"seq":`...)},
		{"torn at once", "", "ends within a line", 0, lines[0][:9]},
		{"ahead", fmt.Sprintf("an entry %d, which the log does not", last+2), "", last + 1, join([][]byte{journal, more})},
		{"one left out", "line 4 of the journal is not entry 3", "", 2, join(lines[:3], lines[4:])},
		{"without its first line", "line 1 of the journal is not the one that a journal of this log begins with", "", 0, join(lines[1:])},
		{"of another log", "line 1 of the journal is not the one", "", 0,
			join([][]byte{[]byte(lineInJournal(`{"journal":1,"log":"00000000000000000000000000000000","tag":"KM"}`))}, lines[1:])},
		{"a checksum that is wrong", "line 3 of the journal is not entry 2", "", 1,
			join(lines[:2], [][]byte{spoilBytes(lines[2], len(lines[2])-2)}, lines[3:])},
		{"without a checksum", "line 3 of the journal is not entry 2", "", 1,
			join(lines[:2], [][]byte{append(bytes.Clone(lines[2][:len(lines[2])-10]), '\n')}, lines[3:])},
	} {
		to := clone(t, path)
		rewrite(t, to+".journal", c.data)
		r, err := Verify(bg, to, true)
		if err != nil {
			t.Fatal(err)
		}
		if got := fmt.Sprint(r.Faults); (c.fault == "") != (len(r.Faults) == 0) || !strings.Contains(got, c.fault) {
			t.Errorf("%s: faults %s", c.name, got)
		}
		if r.Journal != c.held {
			t.Errorf("%s: %d lines of the journal held, want %d", c.name, r.Journal, c.held)
		}
		if got := fmt.Sprint(r.Remarks); (c.remark == "") != (len(r.Remarks) == 0) || !strings.Contains(got, c.remark) {
			t.Errorf("%s: remarks %s", c.name, got)
		}
	}
	whole, all := holds(t, path), loaded(t, path)
	for at := range journal {
		r := whole
		bad := bytes.Clone(journal)
		bad[at] ^= 1 << (at % 8)
		end := bytes.LastIndexByte(bad, '\n') + 1
		if r.checkLines(bytes.NewReader(bad[:end]), end < len(bad), all); len(r.Faults) == 0 && at < len(journal)-1 {
			t.Errorf("byte %d of the journal", at)
		}
	}
}
