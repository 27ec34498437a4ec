package store

import (
	"bytes"
	"encoding/binary"
	"fmt"
	"hash/crc32"
	"slices"

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

// bucketNames are all there are.
var bucketNames = []string{"meta", "entry", "hash", "site", "within"}

// A bucket reads and writes values with their checksums. Its methods break the
// transaction off where something is damaged; payloads die with the
// transaction.
type bucket struct {
	s    *session
	name string
	b    *bolt.Bucket
	way  *way
}

func (t *tx) bucket(name string) bucket {
	t.s.must(t.top.touch([]byte(name)))
	b := t.raw.Bucket([]byte(name))
	if b == nil {
		t.s.fail(damaged(t.s.path, fmt.Sprintf("its part %q is missing", name)))
	}
	// Both only ever grow at their end, so their pages can be filled up; the
	// setting belongs to the handle and is needed in every transaction.
	if name == "entry" || name == "hash" {
		b.FillPercent = 1
	}
	return bucket{t.s, name, b, t.ways.to(b, false)}
}

func (b bucket) get(key []byte) (payload []byte, ok bool) {
	b.s.must(b.way.touch(key))
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
	b.s.must(b.way.touch(key))
	if err := b.b.Put(key, summed(key, payload)); err != nil {
		b.s.fail(fmt.Errorf("%s: %s not stored: %w", b.s.path, b.place(key), err))
	}
}

// each goes through the values whose keys begin with prefix, in the order of
// the keys.
func (b bucket) each(prefix []byte, f func(key, payload []byte)) {
	b.from(prefix, func(key, payload []byte) bool {
		if !bytes.HasPrefix(key, prefix) {
			return false
		}
		f(key, payload)
		return true
	})
}

// lastKey is the greatest eight-byte key; ok is false in an empty bucket.
func (b bucket) lastKey() (n uint64, ok bool) {
	b.s.must(b.way.toEnd())
	k, _ := b.b.Cursor().Last()
	if k == nil {
		return 0, false
	}
	if len(k) != 8 {
		b.s.fail(damaged(b.s.path, b.place(k)+" has a key of the wrong length"))
	}
	return binary.BigEndian.Uint64(k), true
}

// from goes through the values from a key on, while f wants more.
func (b bucket) from(key []byte, f func(key, payload []byte) bool) {
	c := b.cursor()
	for k, v := c.seek(key); k != nil && f(k, b.unsum(k, v)); k, v = c.next() {
	}
}

// A cursor goes from value to value, and lets no page be read that was not checked.
type cursor struct {
	b bucket
	c *bolt.Cursor
	k []byte
}

func (b bucket) cursor() *cursor { return &cursor{b: b, c: b.b.Cursor()} }

func (c *cursor) seek(key []byte) (k, v []byte) {
	c.b.s.must(c.b.way.touch(key))
	c.k, v = c.c.Seek(key)
	return c.k, v
}

func (c *cursor) next() (k, v []byte) {
	c.b.s.must(c.b.way.pass(c.k))
	c.k, v = c.c.Next()
	return c.k, v
}

// num64 is the number of such a key.
func num64(key []byte) uint64 { return binary.BigEndian.Uint64(key) }

// key64 is a key of the buckets entry and hash.
func key64(n uint64) []byte { return binary.BigEndian.AppendUint64(nil, n) }
