package store

import (
	"bytes"
	"encoding/binary"
	"encoding/json"
	"fmt"
	"hash/crc32"
	"maps"
	"slices"
	"strconv"

	bolt "go.etcd.io/bbolt"
)

var castagnoli = crc32.MakeTable(crc32.Castagnoli)

func checksum(key, payload []byte) uint32 {
	return crc32.Update(crc32.Checksum(key, castagnoli), castagnoli, payload)
}

// summed is the stored form of a payload.
func summed(key, payload []byte) []byte {
	return binary.BigEndian.AppendUint32(slices.Clone(payload), checksum(key, payload))
}

// unsum is the one way in which a stored value is read.
func unsum(key, value []byte) (payload []byte, ok bool) {
	if len(value) < crc32.Size {
		return nil, false
	}
	payload = value[:len(value)-crc32.Size]
	return payload, binary.BigEndian.Uint32(value[len(payload):]) == checksum(key, payload)
}

// bucketNames are all there are; projected is the part that is made anew when
// the version of the projections differs.
var (
	bucketNames = []string{"meta", "entry", "hash", "site", "joint", "weld", "shift", "day", "open"}
	projected   = bucketNames[3:]
)

// A bucket reads and writes values with their checksums. Its methods break the
// transaction off where something is damaged; payloads die with the
// transaction.
type bucket struct {
	s    *session
	name string
	b    *bolt.Bucket
}

func (t *tx) bucket(name string) bucket {
	b := t.raw.Bucket([]byte(name))
	if b == nil {
		t.s.fail(damaged(t.s.path, fmt.Sprintf("its part %q is missing", name)))
	}
	// Both only ever grow at their end, so their pages can be filled up; the
	// setting belongs to the handle and is needed in every transaction.
	if name == "entry" || name == "hash" {
		b.FillPercent = 1
	}
	return bucket{t.s, name, b}
}

func (b bucket) get(key []byte) (payload []byte, ok bool) {
	value := b.b.Get(key)
	if value == nil {
		return nil, false
	}
	return b.unsum(key, value), true
}

func (b bucket) unsum(key, value []byte) []byte {
	payload, ok := unsum(key, value)
	if !ok {
		b.s.fail(damaged(b.s.path, b.place(key)+" does not match its checksum"))
	}
	return payload
}

func (b bucket) place(key []byte) string { return named(b.name, key) }

func (b bucket) put(key, payload []byte) {
	if err := b.b.Put(key, summed(key, payload)); err != nil {
		b.s.fail(fmt.Errorf("%s: %s not stored: %w", b.s.path, b.place(key), err))
	}
}

func (b bucket) delete(key []byte) {
	if err := b.b.Delete(key); err != nil {
		b.s.fail(fmt.Errorf("%s: %s not removed: %w", b.s.path, b.place(key), err))
	}
}

// each goes through the values whose keys begin with prefix, in the order of
// the keys.
func (b bucket) each(prefix []byte, f func(key, payload []byte)) {
	c := b.b.Cursor()
	for k, v := c.Seek(prefix); k != nil && bytes.HasPrefix(k, prefix); k, v = c.Next() {
		f(k, b.unsum(k, v))
	}
}

// lastKey is the greatest eight-byte key; ok is false in an empty bucket.
func (b bucket) lastKey() (n uint64, ok bool) {
	k, _ := b.b.Cursor().Last()
	if k == nil {
		return 0, false
	}
	if len(k) != 8 {
		b.s.fail(damaged(b.s.path, b.place(k)+" has a key of the wrong length"))
	}
	return binary.BigEndian.Uint64(k), true
}

// number reads a payload of decimal digits.
func (b bucket) number(key string) int {
	payload, _ := b.get([]byte(key))
	n, err := strconv.Atoi(string(payload))
	if err != nil || n < 1 {
		b.s.fail(damaged(b.s.path, fmt.Sprintf("%s is %q, not a number", b.place([]byte(key)), payload)))
	}
	return n
}

func (b bucket) putNumber(key string, n int) {
	b.put([]byte(key), strconv.AppendInt(nil, int64(n), 10))
}

// key64 is a key of the buckets entry and hash.
func key64(n uint64) []byte { return binary.BigEndian.AppendUint64(nil, n) }

// A table is a bucket of records of one type, with those that were read or put
// in this transaction. They reach the bucket with flush.
type table[T any] struct {
	bucket
	had   map[string]T
	dirty map[string]bool
}

func newTable[T any](b bucket) *table[T] {
	return &table[T]{b, map[string]T{}, map[string]bool{}}
}

func (t *table[T]) get(key string) (v T, ok bool) {
	if v, ok = t.had[key]; ok {
		return v, true
	}
	t.s.ours(func() {
		var payload []byte
		if payload, ok = t.bucket.get([]byte(key)); ok {
			v = t.decode([]byte(key), payload)
			t.had[key] = v
		}
	})
	return v, ok
}

func (t *table[T]) decode(key, payload []byte) (v T) {
	if err := json.Unmarshal(payload, &v); err != nil {
		t.s.fail(damaged(t.s.path, t.place(key)+" cannot be read: "+err.Error()))
	}
	return v
}

func (t *table[T]) put(key string, v T) { t.had[key], t.dirty[key] = v, true }

func (t *table[T]) flush() {
	for _, key := range slices.Sorted(maps.Keys(t.dirty)) {
		payload, err := json.Marshal(t.had[key])
		if err != nil {
			t.s.fail(fmt.Errorf("%s: %s cannot be written down: %w", t.s.path, t.place([]byte(key)), err))
		}
		t.bucket.put([]byte(key), payload)
	}
	clear(t.dirty)
}

// all are the records whose keys begin with prefix, in the order of the keys.
func (t *table[T]) all(prefix string) (out []T) {
	t.s.ours(func() {
		t.flush()
		t.each([]byte(prefix), func(key, payload []byte) {
			out = append(out, t.decode(key, payload))
		})
	})
	return out
}
