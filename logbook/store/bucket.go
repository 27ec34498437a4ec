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

// from goes through the values from a key on, while f wants more.
func (b bucket) from(key []byte, f func(key, payload []byte) bool) {
	c := b.b.Cursor()
	for k, v := c.Seek(key); k != nil && f(k, b.unsum(k, v)); k, v = c.Next() {
	}
}

// num64 is the number of such a key.
func num64(key []byte) uint64 { return binary.BigEndian.Uint64(key) }

// key64 is a key of the buckets entry and hash.
func key64(n uint64) []byte { return binary.BigEndian.AppendUint64(nil, n) }
