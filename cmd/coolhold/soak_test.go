//go:build unix

package main

import (
	"bytes"
	"encoding/binary"
	"errors"
	"fmt"
	"hash/crc32"
	"os"
	"strings"
	"time"

	"github.com/transparency-dev/merkle/compact"
	"github.com/transparency-dev/merkle/rfc6962"
	bolt "go.etcd.io/bbolt"
	"golang.org/x/mod/sumdb/tlog"
)

// A plainLog is what a reader of another make finds in a log: it knows bbolt and
// what the package comment of store says of the file, and uses no code of ours.
type plainLog struct {
	lines [][]byte
	root  [32]byte // by the stored tree, and the same over the lines by another library
}

var castagnoli = crc32.MakeTable(crc32.Castagnoli)

// payload is a stored value without the checksum that ends it.
func payload(key, value []byte) ([]byte, error) {
	n := len(value) - 4
	if n < 0 {
		return nil, fmt.Errorf("%x: %d bytes", key, len(value))
	}
	sum := crc32.Update(crc32.Checksum(key, castagnoli), castagnoli, value[:n])
	if sum != binary.BigEndian.Uint32(value[n:]) {
		return nil, fmt.Errorf("%x: its checksum does not hold", key)
	}
	return bytes.Clone(value[:n]), nil
}

// readPlain reads the file of a log.
func readPlain(path string) (p plainLog, err error) {
	db, err := bolt.Open(path, 0, &bolt.Options{ReadOnly: true, Timeout: 30 * time.Second})
	if err != nil {
		return p, fmt.Errorf("%s: %w", path, err)
	}
	defer db.Close()
	err = db.View(func(tx *bolt.Tx) error {
		for err := range tx.Check() {
			return err
		}
		b := tx.Bucket([]byte("entry"))
		if b == nil {
			return errors.New("no bucket entry")
		}
		err := b.ForEach(func(k, v []byte) error {
			line, err := payload(k, v)
			p.lines = append(p.lines, line)
			if n := len(p.lines); err == nil && binary.BigEndian.Uint64(k) != uint64(n) {
				err = fmt.Errorf("entry %x stands as number %d", k, n)
			}
			return err
		})
		if err != nil {
			return err
		}
		return p.rooted(tx.Bucket([]byte("hash")))
	})
	return p, err
}

// rooted computes the root twice and holds one against the other.
func (p *plainLog) rooted(hashes *bolt.Bucket) error {
	stored := tlog.HashReaderFunc(func(at []int64) (all []tlog.Hash, err error) {
		for _, i := range at {
			key := binary.BigEndian.AppendUint64(nil, uint64(i))
			v, err := payload(key, hashes.Get(key))
			if err != nil || len(v) != tlog.HashSize {
				return nil, fmt.Errorf("hash %d: %d bytes, %v", i, len(v), err)
			}
			all = append(all, tlog.Hash(v))
		}
		return all, nil
	})
	root, err := tlog.TreeHash(int64(len(p.lines)), stored)
	if err != nil {
		return err
	}
	r := (&compact.RangeFactory{Hash: rfc6962.DefaultHasher.HashChildren}).NewEmptyRange(0)
	for _, line := range p.lines {
		if err := r.Append(rfc6962.DefaultHasher.HashLeaf(line), nil); err != nil {
			return err
		}
	}
	if other, err := r.GetRootHash(nil); err != nil || len(p.lines) > 0 && !bytes.Equal(other, root[:]) {
		return fmt.Errorf("the root of %d lines is %x, stored is %x (%v)", len(p.lines), other, root, err)
	}
	p.root = root
	return nil
}

// plainJournal reads the whole lines of a journal; what follows the last line
// feed was never acknowledged.
func plainJournal(path string) (lines [][]byte, err error) {
	data, err := os.ReadFile(path)
	if err != nil {
		return nil, err
	}
	for n := 0; ; n++ {
		line, rest, whole := bytes.Cut(data, []byte("\n"))
		if !whole {
			return lines, nil
		}
		text, sum, _ := bytes.Cut(line, []byte("\t"))
		if want := fmt.Sprintf("%08x", crc32.Checksum(text, castagnoli)); want != string(sum) {
			return lines, fmt.Errorf("line %d of %s: its checksum is %s, not %s", n+1, path, sum, want)
		}
		if n > 0 { // the first names the log
			lines = append(lines, text)
		}
		data = rest
	}
}

// extends tells whether lines begin with all of the others.
func extends(lines, others [][]byte) error {
	if len(lines) < len(others) {
		return fmt.Errorf("%d entries, %d were there", len(lines), len(others))
	}
	for i, o := range others {
		if !bytes.Equal(lines[i], o) {
			return fmt.Errorf("entry %d was %s and is %s", i+1, o, lines[i])
		}
	}
	return nil
}

// saidStored tells whether a verb said that what it was given is stored: by its code,
// or that it is though not all that belongs to it was done.
func saidStored(got ran) bool {
	return got.code == exitDone || strings.Contains(got.err, "it is stored, but")
}
