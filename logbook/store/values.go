package store

import (
	"bytes"
	"encoding/binary"
	"fmt"
	"slices"

	bolt "go.etcd.io/bbolt"
)

// A value is a stored value as it stands in the file.
type value struct{ key, stored []byte }

func (v value) payload() []byte { return v.stored[:max(0, len(v.stored)-4)] }

// wordOf is the payload of a word of meta.
func wordOf(meta []value, key string) string {
	for _, v := range meta {
		if string(v.key) == key {
			return string(v.payload())
		}
	}
	return ""
}

// stored are the values that a log stores, in buckets. What they give dies with the
// transaction.
type stored interface {
	each(bucket string, f func(value)) // in the order in which they stand
	get(bucket string, key []byte) []byte
}

// inFile are they in a file; a part that is missing is said by partsOf.
type inFile map[string]*bolt.Bucket

func bucketsOf(raw *bolt.Tx) inFile {
	f := inFile{}
	for _, name := range bucketNames {
		f[name] = raw.Bucket([]byte(name))
	}
	return f
}

func (f inFile) each(bucket string, use func(value)) {
	b := f[bucket]
	if b == nil {
		return
	}
	c := b.Cursor()
	for k, v := c.First(); k != nil; k, v = c.Next() {
		use(value{k, v})
	}
}

func (f inFile) get(bucket string, key []byte) []byte {
	if b := f[bucket]; b != nil {
		return b.Get(key)
	}
	return nil
}

// partsOf says which parts of a file no log has, and which are missing.
func partsOf(raw *bolt.Tx) (faults []Fault) {
	c := raw.Cursor()
	for name, v := c.First(); name != nil; name, v = c.Next() {
		if v != nil || raw.Bucket(name) == nil || !slices.Contains(bucketNames, string(name)) {
			faults = append(faults, Fault{fmt.Sprintf("it has a part %q, which no log has", name), true})
		}
	}
	for _, name := range bucketNames {
		if raw.Bucket([]byte(name)) == nil {
			faults = append(faults, Fault{fmt.Sprintf("its part %q is missing", name), true})
		}
	}
	return faults
}

// pass goes through a bucket and lets every value be used that is one. Each is asked for
// by its key too: a wrong key on the way down hides values from the second way only.
func (r *Checkup) pass(all stored, name string, use func(value)) {
	var last []byte
	all.each(name, func(v value) {
		switch {
		case v.stored == nil:
			r.shape.damage("%s is no value", named(name, v.key))
			return
		case last != nil && bytes.Compare(last, v.key) >= 0:
			r.shape.damage("%s stands out of order", named(name, v.key))
		case !bytes.Equal(all.get(name, v.key), v.stored):
			r.shape.damage("%s is not found by its key", named(name, v.key))
		}
		last = v.key
		r.Values++
		if _, ok := unsum(v.key, v.stored); !ok {
			r.sums.damage("%s does not match its checksum", named(name, v.key))
		}
		use(v)
	})
}

// named names a value for a person.
func named(name string, key []byte) string {
	if (name == "entry" || name == "hash") && len(key) == 8 {
		return fmt.Sprintf("%s %d", name, binary.BigEndian.Uint64(key))
	}
	return fmt.Sprintf("%s %q", name, key)
}
