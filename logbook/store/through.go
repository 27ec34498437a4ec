package store

import (
	"context"
	"errors"
	"fmt"
	"os"

	bolt "go.etcd.io/bbolt"
)

// A Looked is what was found in a log that was looked through on a copy.
type Looked struct {
	What string `json:"what"` // one line; "" for nothing
	Stop bool   `json:"stop"` // a save could write over what is still there
}

// LookThrough copies a log to a file, which is to be there already and empty, and
// looks through all of the copy: each page, bbolt's own check, each value and entry,
// and the journal. bbolt's check cannot be broken off and may end the program on a
// page that nobody thought of, so it is to run in one of its own. An error means
// that it could not be done. The copy stays.
func LookThrough(ctx context.Context, path, copy string) (found Looked, err error) {
	f, err := os.OpenFile(copy, os.O_RDWR, 0)
	if err != nil {
		return Looked{}, err
	}
	if info, err := f.Stat(); err != nil || info.Size() > 0 {
		return Looked{}, errors.Join(refuse(copy, ErrExists, "", "give an empty one"), err, f.Close())
	}
	journal, err := copyBoth(ctx, path, f)
	defer journal.close()
	if err == nil {
		err = checkAllPages(f, path)
	}
	if err = errors.Join(err, f.Close()); err == nil {
		err = checkByBolt(copy, path)
	}
	if errors.Is(err, ErrDamaged) {
		return Looked{What: err.Error(), Stop: true}, nil
	}
	if err != nil {
		return Looked{}, err
	}
	r, err := verifyCopy(copy, path, checking{format: firstFormat + len(steps), journal: &journal})
	if err != nil {
		return Looked{}, err
	}
	if len(r.Faults) == 0 {
		return Looked{}, nil
	}
	first := r.Faults[0].What
	if n := len(r.Faults) - 1; n > 0 {
		first = fmt.Sprintf("%s (and %d more)", first, n)
	}
	return Looked{What: fmt.Sprintf("%s: %s; coolhold verify lists what does not hold", path, first)}, nil
}

// checkByBolt is bbolt's own check of a copy.
func checkByBolt(copy, path string) error {
	db, err := bolt.Open(copy, 0, &bolt.Options{ReadOnly: true, Timeout: Patience})
	if err != nil {
		return err
	}
	defer db.Close()
	return db.View(func(tx *bolt.Tx) (err error) {
		for e := range tx.Check() { // all are taken: it waits for that
			if err == nil {
				err = damaged(path, e.Error())
			}
		}
		return err
	})
}

// Stop lets nothing more be saved: each Append gives this error.
func (l *Log) Stop(why error) { l.halt.set(pagesDamaged, why) }
