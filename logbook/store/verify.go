package store

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"

	"golang.org/x/mod/sumdb/tlog"

	"coolhold/logbook"
	"coolhold/logbook/seal"
	"coolhold/logbook/whole"
)

// A Fault is something in a log that does not hold.
type Fault struct {
	What   string `json:"what"`   // one line: where, and what is wrong
	Damage bool   `json:"damage"` // bytes are not what a program wrote; else they are, and do not fit the rest
}

// A SealedAt is a seal that stands in the log.
type SealedAt struct {
	Seq    uint64 // of the entry
	Sealed logbook.Sealed
	Seal   seal.Seal // what its note says; no signature is checked yet
}

// A Checkup is what a check of a whole log found.
type Checkup struct {
	ID, Tag string
	Entries int64
	Root    tlog.Hash // of the tree over all entries, computed from their lines
	Values  int       // how many stored values were held against their checksums
	Journal int       // lines of the journal that are the entries of their places
	Deep    bool      // the index was held against the entries, and every body and site was read
	Faults  []Fault   // none: everything holds
	Remarks []string  // what is no fault, but should be known: one line each
	Seals   []SealedAt

	lines   [][]byte
	entries []logbook.Entry
	index   *logbook.Index
	vague   map[string]bool     // sites with an entry that is not understood
	newer   []logbook.Unread    // written by a newer program
	within  []value             // as the entries make it, without checksums
	seqs    map[string][]uint64 // of the entries of each site
	hashes  hashTree
	unlike  int    // the line of the journal that is another than it should be; 0 for none
	should  string // what that line should be
}

// Lines are the entries as stored, from the first.
func (r Checkup) Lines() [][]byte { return r.lines }

// ReadHashes reads hashes of the tree, all computed from the entries' lines, for
// tlog and for seal.Statement.ExtendedBy.
func (r Checkup) ReadHashes(indexes []int64) ([]tlog.Hash, error) {
	return r.hashes.ReadHashes(indexes)
}

func (r *Checkup) fault(format string, args ...any) {
	r.Faults = append(r.Faults, Fault{What: fmt.Sprintf(format, args...)})
}

func (r *Checkup) damage(format string, args ...any) {
	r.Faults = append(r.Faults, Fault{fmt.Sprintf(format, args...), true})
}

func (r *Checkup) remark(format string, args ...any) {
	r.Remarks = append(r.Remarks, fmt.Sprintf(format, args...))
}

// Verify checks a whole log, on a copy of it that is made under the shared lock
// and removed again: every stored value against its checksum, every entry
// against its hash, every hash against the entries, every seal against the
// tree, the entries of each site against their numbers, and the journal, if there
// is one, against the entries. If deep is set it also holds the index against
// what the entries make, reads every body and makes the records of every site.
// What does not hold comes as Faults of the report. An error means that the
// check could not be made: ErrLocked, ErrNoLog, ErrNewer, and ErrDamaged where
// the file cannot be read through.
func Verify(ctx context.Context, path string, deep bool) (r Checkup, err error) {
	tmp, err := newTemporary()
	if err != nil {
		return Checkup{}, fmt.Errorf("%s: no copy can be made to check: %w", path, err)
	}
	defer discard(tmp)
	journal, unread, err := copyBoth(ctx, path, tmp)
	if err == nil {
		err = checkAllPages(tmp, path)
	}
	if err != nil {
		return Checkup{}, err
	}
	if r, err = (&session{file: tmp.Name(), path: path, copy: tmp}).verify(firstFormat+len(steps), deep); err != nil {
		return Checkup{}, err
	}
	if unread != nil {
		r.remark("the journal cannot be read and was not checked: %v", unread)
		return r, nil
	}
	r.checkJournal(journal)
	return r, nil
}

// copyBoth copies the log and reads its journal under the same lock. The
// journal is nil if there is none, or it cannot be read: unread says why.
func copyBoth(ctx context.Context, path string, tmp *os.File) (journal []byte, unread, err error) {
	s := &session{file: path, path: path}
	err = s.with(ctx, false, func() error {
		if err := s.writeTo(tmp); err != nil {
			return err
		}
		if journal, unread = whole.Read(journalOf(path)); errors.Is(unread, fs.ErrNotExist) {
			unread = nil
		}
		return nil
	})
	return journal, unread, err
}

func verifyCopy(file, path string, format int, deep bool) (Checkup, error) {
	return (&session{file: file, path: path}).verify(format, deep)
}

// verify checks the file of a session that nobody writes.
func (s *session) verify(format int, deep bool) (r Checkup, err error) {
	err = s.with(context.Background(), false, func() error {
		return s.transact(false, func(t *tx) error {
			if err := checkFormat(t, format); err != nil {
				return err
			}
			all, faults := readValues(t.raw)
			r = all.check(faults)
			if deep && len(r.Faults) == 0 {
				r.checkIndex(all)
				r.checkBodies()
				r.Deep = true
			}
			return nil
		})
	})
	return r, err
}
