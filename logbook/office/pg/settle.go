package pg

import (
	"context"
	"fmt"
	"slices"
	"strings"
	"time"

	"github.com/jackc/pgx/v5"

	"coolhold/logbook/office"
)

// A Settled is who saw to it that weld numbers which mean two pipes are told apart, and
// what was done.
type Settled struct {
	At  time.Time `json:"at"`
	By  string    `json:"by"`
	Why string    `json:"why"`
}

// Settle says of a log that parted, as KM/1, or of two logs with the same letters, that it
// was seen to. It stays said until there is another number that means two pipes.
func (o *Office) Settle(ctx context.Context, ref, by, why string) (f Fork, err error) {
	err = o.as(ctx, "", "", func(tx pgx.Tx) error {
		forks, err := o.forks(ctx, tx)
		if err != nil {
			return err
		}
		var names []string
		var meant []Fork
		for _, f := range forks {
			if f.Settled == nil {
				names = append(names, f.ref())
				if f.isCalled(ref) {
					meant = append(meant, f)
				}
			}
		}
		switch {
		case len(names) == 0:
			return fmt.Errorf("%w: no log parted and no two have the same letters that is not settled", office.ErrNotHeld)
		case len(meant) != 1:
			return fmt.Errorf("%w: %q is not one of what is to be settled; write one of: %s", office.ErrNotHeld, ref, strings.Join(names, ", "))
		}
		f = meant[0]
		f.Settled = &Settled{o.now(), by, why}
		_, err = tx.Exec(ctx, `insert into settled values ($1, $2, $3, $4, $5, $6, $7)`, f.Log, f.Branch, f.Other, f.numbers(), f.Settled.At, by, why)
		return err
	})
	return f, err
}

// ref is how it is named to be settled.
func (f Fork) ref() string {
	if f.Other != "" {
		return f.Log
	}
	return fmt.Sprintf("%s/%d", f.Log, f.Branch)
}

// isCalled tells whether it is what is meant by its name or, with the letters in the place
// of the id, by a short one.
func (f Fork) isCalled(ref string) bool {
	return ref == f.ref() || strings.EqualFold(ref, strings.Replace(f.ref(), f.Log, f.Tag, 1))
}

func (f Fork) numbers() []string {
	out := []string{}
	for _, t := range f.Twice {
		out = append(out, t.Weld)
	}
	return out
}

// settle marks those that somebody saw to, with the last word on each. A number that was
// not there then opens one again.
func settle(ctx context.Context, tx pgx.Tx, forks []Fork) error {
	type said struct {
		Log, Other string
		Branch     int
		Numbers    []string
		Settled
	}
	words, err := all(ctx, tx, func(row pgx.CollectableRow) (s said, err error) {
		return s, row.Scan(&s.Log, &s.Branch, &s.Other, &s.Numbers, &s.At, &s.By, &s.Why)
	}, `select log, branch, other, numbers, settled, by, why from settled order by settled desc`)
	for i := range forks {
		f := &forks[i]
		for _, s := range words {
			anew := func(number string) bool { return !slices.Contains(s.Numbers, number) }
			if s.Log == f.Log && s.Branch == f.Branch && s.Other == f.Other && !slices.ContainsFunc(f.numbers(), anew) {
				f.Settled = &s.Settled
				break
			}
		}
	}
	return err
}
