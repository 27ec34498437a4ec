// Package puts is the floor of a save: the database is opened, as many values of the
// same lengths are put in the same buckets of a log as large, it is committed and
// closed, and a line is written to a file beside it and synced. It checks nothing. The
// log is a copy: it is none any more afterwards.
package puts

import (
	"bytes"
	"encoding/binary"
	"os"

	bolt "go.etcd.io/bbolt"
	"golang.org/x/mod/sumdb/tlog"
)

// A Log is a copy that is written to.
type Log struct {
	path    string
	journal *os.File
	at      int64 // in the journal
	seq     uint64
	uid     []byte // of a site, and how many entries it has
	n       uint64
	key     []byte // of its row
	row     []byte
	line    []byte // the last
}

// Open reads what is needed for values of the right lengths.
func Open(path string) (*Log, error) {
	l := &Log{path: path}
	db, err := bolt.Open(path, 0o600, nil)
	if err != nil {
		return nil, err
	}
	err = db.View(func(tx *bolt.Tx) error {
		k, v := tx.Bucket([]byte("entry")).Cursor().Last()
		l.seq, l.line = binary.BigEndian.Uint64(k), bytes.Clone(v)
		k, _ = tx.Bucket([]byte("within")).Cursor().Last()
		l.uid, l.n = bytes.Clone(k[:8]), binary.BigEndian.Uint64(k[8:])
		k, v = tx.Bucket([]byte("site")).Cursor().Last()
		l.key, l.row = bytes.Clone(k), bytes.Clone(v)
		return nil
	})
	if err := db.Close(); err != nil {
		return nil, err
	}
	if err != nil {
		return nil, err
	}
	if l.journal, err = os.OpenFile(path+".journal", os.O_CREATE|os.O_RDWR, 0o600); err != nil {
		return nil, err
	}
	info, err := l.journal.Stat()
	if err == nil {
		l.at = info.Size()
	}
	return l, err
}

func key(n uint64) []byte { return binary.BigEndian.AppendUint64(nil, n) }

// Put stores so many entries as one save.
func (l *Log) Put(entries int) error {
	db, err := bolt.Open(l.path, 0o600, nil)
	if err != nil {
		return err
	}
	err = db.Update(func(tx *bolt.Tx) error {
		for range entries {
			if err := l.put(tx); err != nil {
				return err
			}
		}
		return tx.Bucket([]byte("site")).Put(l.key, l.row)
	})
	if err := db.Close(); err != nil {
		return err
	}
	if err != nil {
		return err
	}
	n, err := l.journal.WriteAt(bytes.Repeat(append(l.line, '\n'), entries), l.at)
	if err != nil {
		return err
	}
	l.at += int64(n)
	return l.journal.Sync()
}

func (l *Log) put(tx *bolt.Tx) error {
	bucket := func(name string) *bolt.Bucket {
		b := tx.Bucket([]byte(name))
		b.FillPercent = 1
		return b
	}
	l.seq++
	l.n++
	if err := bucket("entry").Put(key(l.seq), l.line); err != nil {
		return err
	}
	if err := bucket("within").Put(append(bytes.Clone(l.uid), key(l.n)...), append(key(l.seq), 0, 0, 0, 0)); err != nil {
		return err
	}
	at := uint64(tlog.StoredHashIndex(0, int64(l.seq)-1))
	for i := range tlog.StoredHashCount(int64(l.seq)) - tlog.StoredHashCount(int64(l.seq)-1) {
		if err := bucket("hash").Put(key(at+uint64(i)), make([]byte, tlog.HashSize+4)); err != nil {
			return err
		}
	}
	return nil
}
