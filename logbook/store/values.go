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

// values are all that a log stores, by bucket and in the order of the keys.
type values map[string][]value

// readValues reads everything there is, wanted or not. What cannot be a value
// of a log is a fault.
func readValues(raw *bolt.Tx) (all values, faults []Fault) {
	all = values{}
	c := raw.Cursor()
	for name, v := c.First(); name != nil; name, v = c.Next() {
		b := raw.Bucket(name)
		if v != nil || b == nil || !slices.Contains(bucketNames, string(name)) {
			faults = append(faults, Fault{fmt.Sprintf("it has a part %q, which no log has", name), true})
			continue
		}
		found, bad := readBucket(string(name), b)
		all[string(name)] = found
		faults = append(faults, bad...)
	}
	for _, name := range bucketNames {
		if raw.Bucket([]byte(name)) == nil {
			faults = append(faults, Fault{fmt.Sprintf("its part %q is missing", name), true})
		}
	}
	return all, faults
}

// readBucket goes from value to value, and asks for each by its key too: a
// wrong key on the way down hides values from the second way only.
func readBucket(name string, b *bolt.Bucket) (found []value, faults []Fault) {
	c := b.Cursor()
	var last []byte
	for k, v := c.First(); k != nil; k, v = c.Next() {
		switch {
		case v == nil:
			faults = append(faults, Fault{named(name, k) + " is no value", true})
			continue
		case last != nil && bytes.Compare(last, k) >= 0:
			faults = append(faults, Fault{named(name, k) + " stands out of order", true})
		case !bytes.Equal(b.Get(k), v):
			faults = append(faults, Fault{named(name, k) + " is not found by its key", true})
		}
		last = k
		found = append(found, value{bytes.Clone(k), bytes.Clone(v)})
	}
	return found, faults
}

// named names a value for a person.
func named(name string, key []byte) string {
	if (name == "entry" || name == "hash") && len(key) == 8 {
		return fmt.Sprintf("%s %d", name, binary.BigEndian.Uint64(key))
	}
	return fmt.Sprintf("%s %q", name, key)
}
