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

	shape   faultList // of the values: what was found on the way
	sums    faultList
	garbled faultList
	meta    []value
	rows    []value // of the sites, in the index
	index   *logbook.Index
	vague   map[string]bool     // sites with an entry that is not understood
	newer   []logbook.Unread    // written by a newer program
	sealed  []logbook.Entry     // those that hold a seal
	seqs    map[string][]uint64 // of the entries of each site
	hashes  hashTree
	lost    bool   // an entry has no place in the tree: what follows cannot be checked
	unlike  int    // the line of the journal that is another than it should be; 0 for none
	should  string // what that line should be
}

// A faultList is some faults in the order in which they are said.
type faultList []Fault

func (f *faultList) damage(format string, args ...any) {
	*f = append(*f, Fault{fmt.Sprintf(format, args...), true})
}

// ReadHashes reads hashes of the tree, all computed from the entries' lines, for
// tlog and for seal.Statement.ExtendedBy.
func (r Checkup) ReadHashes(indexes []int64) ([]tlog.Hash, error) {
	return r.hashes.ReadHashes(indexes)
}

func (r *Checkup) fault(format string, args ...any) {
	r.Faults = append(r.Faults, Fault{What: fmt.Sprintf(format, args...)})
}

func (r *Checkup) damage(format string, args ...any) {
	(*faultList)(&r.Faults).damage(format, args...)
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
	return VerifyLines(ctx, path, deep, nil)
}

// An Each is given every line of a log, from the first, and the entry that it is; of one
// that cannot be read the entry has no Seq. Both may be kept.
type Each func(line []byte, e logbook.Entry)

// VerifyLines is Verify, and gives the lines on its way. Nothing of an entry but its hashes is kept, so that the memory hardly grows
// with the log (64 bytes an entry).
func VerifyLines(ctx context.Context, path string, deep bool, each Each) (r Checkup, err error) {
	tmp, err := newTemporary()
	if err != nil {
		return Checkup{}, fmt.Errorf("%s: no copy can be made to check: %w", path, err)
	}
	defer discard(tmp)
	journal, err := copyBoth(ctx, path, tmp)
	defer journal.close()
	if err == nil {
		err = checkAllPages(tmp, path)
	}
	if err != nil {
		return Checkup{}, err
	}
	s := &session{file: tmp.Name(), path: path, copy: tmp}
	return s.verify(checking{format: firstFormat + len(steps), deep: deep, each: each, journal: &journal})
}

// copyBoth copies the log and opens its journal under the same lock.
func copyBoth(ctx context.Context, path string, tmp *os.File) (journal frozen, err error) {
	s := &session{file: path, path: path}
	err = s.with(ctx, false, func() error {
		if err := s.writeTo(tmp); err != nil {
			return err
		}
		journal = freeze(journalOf(path))
		return nil
	})
	return journal, err
}

// A frozen is a journal as it was at one moment: its whole lines only ever get more, so
// that they can be read later too.
type frozen struct {
	f      *os.File
	size   int64 // up to its last whole line, where there is one
	cut    bool  // it went on within a line
	unread error
}

// freeze opens a journal; there is none if f and unread are nil. It is called under the
// lock: who has it exclusively cuts what follows the last whole line.
func freeze(name string) (j frozen) {
	f, err := whole.Open(name)
	if errors.Is(err, fs.ErrNotExist) {
		return frozen{}
	}
	if err != nil {
		return frozen{unread: err}
	}
	info, err := f.Stat()
	if err == nil {
		j.size, err = lastBreak(f, info.Size())
		j.cut = j.size < info.Size()
	}
	if err != nil && !errors.Is(err, errTooFar) { // no lines: said as such
		return frozen{unread: errors.Join(err, f.Close())}
	}
	j.f = f
	return j
}

func (j frozen) close() {
	if j.f != nil {
		_ = j.f.Close()
	}
}

// A checking is what is to be checked of a log.
type checking struct {
	format  int
	deep    bool
	each    Each
	journal *frozen // nil: it is not looked at
}

func verifyCopy(file, path string, c checking) (Checkup, error) {
	return (&session{file: file, path: path}).verify(c)
}

// verify checks the file of a session that nobody writes.
func (s *session) verify(c checking) (r Checkup, err error) {
	err = s.with(context.Background(), false, func() error {
		return s.transact(false, func(t *tx) error {
			if err := checkFormat(t, c.format); err != nil {
				return err
			}
			all := bucketsOf(t.raw)
			r = check(all, partsOf(t.raw), c.each)
			if c.deep && len(r.Faults) == 0 {
				r.checkIndex(all)
				r.checkBodies(all)
				r.Deep = true
			}
			if c.journal != nil {
				r.checkJournal(*c.journal, all)
			}
			return nil
		})
	})
	return r, err
}
