package store

import (
	"bytes"
	"encoding/hex"
	"encoding/json"
	"maps"
	"slices"
	"strconv"

	bolt "go.etcd.io/bbolt"

	"coolhold/logbook"
)

// A tx is one transaction: the entries of a log, their hashes and the index.
type tx struct {
	s   *session
	raw *bolt.Tx

	ways                            *ways
	top                             *way // to the buckets
	meta, entry, hash, site, within bucket

	changed map[string]*logbook.Place // rows of the index that noted will write
}

// newTx binds the parts that every format has. bind follows once the format is
// known to be ours.
func newTx(s *session, raw *bolt.Tx) *tx {
	t := &tx{s: s, raw: raw, ways: waysOf(s, raw)}
	t.top = t.ways.to(raw.Cursor().Bucket(), true)
	t.meta = t.bucket("meta")
	return t
}

// bind makes the entries and the index readable.
func (t *tx) bind() {
	t.entry, t.hash, t.site, t.within = t.bucket("entry"), t.bucket("hash"), t.bucket("site"), t.bucket("within")
}

// word is a text of the bucket meta.
func (t *tx) word(key string) string {
	payload, _ := t.meta.get([]byte(key))
	if len(payload) == 0 {
		t.s.fail(damaged(t.s.path, "its "+key+" is missing"))
	}
	return string(payload)
}

// indexRows are the index as it is stored: a row a site, and the newest numbers.
type indexRows struct {
	next, sealed uint64
	rows         []indexRow
}

type indexRow struct {
	uid  string
	text []byte
}

// take copies up to most rows behind those it has, to be read after the lock, and
// says whether there are more.
func (r *indexRows) take(t *tx, most int) (more bool) {
	r.next, r.sealed = t.meta.number("next"), t.meta.number("sealed")
	var from []byte
	if n := len(r.rows); n > 0 {
		from = []byte(r.rows[n-1].uid + "\x00")
	}
	t.site.from(from, func(key, payload []byte) bool {
		if more = most == 0; more {
			return false
		}
		r.rows = append(r.rows, indexRow{string(key), bytes.Clone(payload)})
		t.s.read++
		most--
		return true
	})
	return more
}

// read makes the index of its rows.
func (r indexRows) read(l *Log) (*logbook.Index, error) {
	x := logbook.NewIndex(l.tag)
	x.Next, x.Sealed = int(r.next), r.sealed
	for _, row := range r.rows {
		var p logbook.Place
		if err := json.Unmarshal(row.text, &p); err != nil || p.UID != row.uid {
			return nil, damaged(l.path, named("site", []byte(row.uid))+" cannot be read")
		}
		p.Opened = p.Opened.Opened()
		x.Put(p)
	}
	x.Sort()
	return x, nil
}

// noted writes what the entries taken changed in the index, once for each site: its row
// names all welds that may run.
func (t *tx) noted(x *logbook.Index) {
	t.meta.putNumber("next", uint64(x.Next))
	t.meta.putNumber("sealed", x.Sealed)
	for _, uid := range slices.Sorted(maps.Keys(t.changed)) {
		row, err := json.Marshal(t.changed[uid])
		if err != nil {
			t.s.fail(err)
		}
		t.site.put([]byte(uid), row)
	}
	t.changed = nil

}

// withinKey is where the seq of a site's n-th entry stands.
func withinKey(uid string, n uint64) []byte {
	id, _ := hex.DecodeString(uid) // Index sees to its form
	return append(id, key64(n)...)
}

// number reads a payload of decimal digits.
func (b bucket) number(key string) uint64 {
	payload, _ := b.get([]byte(key))
	n, err := strconv.ParseUint(string(payload), 10, 63)
	if err != nil {
		b.s.fail(damaged(b.s.path, b.place([]byte(key))+" is "+strconv.Quote(string(payload))+", not a number"))
	}
	return n
}

// putNumber writes a number where it is another than the one that stands there:
// a page that is not touched need not be written.
func (b bucket) putNumber(key string, n uint64) {
	payload := strconv.AppendUint(nil, n, 10)
	if had, ok := b.get([]byte(key)); !ok || string(had) != string(payload) {
		b.put([]byte(key), payload)
	}
}
