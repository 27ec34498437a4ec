package store

import (
	"context"
	"crypto/rand"
	"encoding/hex"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"runtime"
	"strings"
	"syscall"

	bolt "go.etcd.io/bbolt"

	"coolhold/logbook"
)

// NewLog are what a new log is made with.
type NewLog struct {
	Tag  string    // two capitals, A to Z without I and O, which read as digits; "": drawn from Rand
	Rand io.Reader // nil: the system's
}

const letters = "ABCDEFGHJKLMNPQRSTUVWXYZ"

// ErrTag: the tag that was asked for cannot be one.
var ErrTag = errors.New("a tag is two capitals, A to Z without I and O")

func (o NewLog) tag(random io.Reader) (string, error) {
	if o.Tag == "" {
		return drawTag(random)
	}
	if len(o.Tag) != 2 || strings.Trim(o.Tag, letters) != "" {
		return "", fmt.Errorf("%w: write another than %q, or leave it out", ErrTag, o.Tag)
	}
	return o.Tag, nil
}

// drawTag draws two letters, each as likely as any other: bytes past the last
// whole alphabet are thrown away.
func drawTag(random io.Reader) (string, error) {
	var tag, b []byte = nil, make([]byte, 1)
	for len(tag) < 2 {
		if _, err := io.ReadFull(random, b); err != nil {
			return "", fmt.Errorf("no tag could be drawn: %w", err)
		}
		if int(b[0]) < 256/len(letters)*len(letters) {
			tag = append(tag, letters[int(b[0])%len(letters)])
		}
	}
	return string(tag), nil
}

// Create makes a new, empty log. It is written under another name in the same
// folder, synced and then named, so that it is there whole or not at all; a
// file that is there already is never replaced (ErrExists), nor is a journal
// that would seem to be the new log's.
func Create(path string, o NewLog) (*Log, error) {
	random := o.Rand
	if random == nil {
		random = rand.Reader
	}
	tag, err := o.tag(random)
	if err != nil {
		return nil, fmt.Errorf("%s: %w", path, err)
	}
	id := make([]byte, 16)
	if _, err := io.ReadFull(random, id); err != nil {
		return nil, fmt.Errorf("%s: no id could be drawn: %w", path, err)
	}
	l := newLog(path, steps)
	l.id, l.tag = hex.EncodeToString(id), tag
	return l, publish(path, func(part string) error { return l.make(part) })
}

func newLog(path string, steps []step) *Log {
	return &Log{path: path, file: path, steps: steps, turn: make(chan struct{}, 1)}
}

// make writes the empty log to a file that is not there yet.
func (l *Log) make(part string) error {
	db, err := bolt.Open(part, own, &bolt.Options{PageSize: pageSize, Timeout: Patience, OpenFile: createOnly})
	if err != nil {
		return err
	}
	err = db.Update(func(raw *bolt.Tx) error {
		for _, name := range bucketNames {
			if _, err := raw.CreateBucket([]byte(name)); err != nil {
				return err
			}
		}
		s := &session{path: l.path}
		return s.unbroken(func() error { return l.found(newTx(s, raw)) })
	})
	return errors.Join(err, db.Close())
}

// own are the rights of what is made here: names, places and who said what are for the
// crew's own account. Files that are there keep theirs, and what comes to stand beside
// a log takes that log's: who opened it to others did so on purpose.
const own fs.FileMode = 0o600

func createOnly(name string, flag int, perm os.FileMode) (*os.File, error) {
	return os.OpenFile(name, flag|os.O_CREATE|os.O_EXCL, perm)
}

// found writes what a log holds before its first entry.
func (l *Log) found(t *tx) error {
	t.meta.putNumber("format", uint64(firstFormat+len(l.steps)))
	t.meta.put([]byte("id"), []byte(l.id))
	t.meta.put([]byte("tag"), []byte(l.tag))
	t.meta.putNumber("next", 1)
	t.meta.putNumber("sealed", 0)
	return nil
}

// Open opens a log that is there. It refuses a file that is no log or is cut
// short (ErrDamaged), newer than this program (ErrNewer) or made before any
// release (ErrOld), migrates an older one and keeps it, and brings a journal
// that is behind up. If the journal holds entries that the log does not, it
// names them, changes nothing and gives ErrJournalAhead. No lock is held
// afterwards.
//
// A log that may not be written, on a stick with a lock say, is opened all the same:
// it can be shown and copied, and Append gives logbook.ErrReadOnly.
func Open(path string) (*Log, error) {
	l, err := open(path, steps)
	if !unwritable(err) {
		return l, err
	}
	l, e := whereItLies(context.Background(), path)
	if e != nil {
		return nil, e
	}
	l.halt.set(unwritableDisk, refuse(path, logbook.ErrReadOnly, reason(err), "coolhold copy makes a copy elsewhere that can be"))
	return l, nil
}

// ReadOnly says why nothing can be stored in the log; nil: it can.
func (l *Log) ReadOnly() error { return l.halt.by(unwritableDisk) }

// unwritable tells whether an error only means that nothing may be written there.
func unwritable(err error) bool {
	return errors.Is(err, fs.ErrPermission) || errors.Is(err, syscall.EROFS) || runtime.GOOS == "windows" && errors.Is(err, writeProtected)
}

// writeProtected is what Windows says of a stick with a lock.
const writeProtected = syscall.Errno(19)

// reason is the system's own word for an error.
func reason(err error) string {
	var no syscall.Errno
	if errors.As(err, &no) {
		return no.Error()
	}
	return err.Error()
}

func open(path string, steps []step) (*Log, error) {
	l := newLog(path, steps)
	if err := migrate(path, steps); err != nil {
		return nil, err
	}
	s := &session{file: path, path: path}
	err := s.with(context.Background(), true, func() error {
		if err := s.walk(walked{}); err != nil {
			return err
		}
		err := s.transact(false, func(t *tx) error {
			if err := checkFormat(t, firstFormat+len(steps)); err != nil {
				return err
			}
			l.id, l.tag = t.word("id"), t.word("tag")
			return nil
		})
		if err != nil {
			return err
		}
		j, err := l.journal(s)
		if err != nil {
			return err
		}
		j.close()
		l.walked = s.asLeft()
		return nil
	})
	l.say(s.said...)
	if err != nil {
		return nil, err
	}
	return l, nil
}
