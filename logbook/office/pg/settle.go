package pg

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"strings"
	"time"

	"github.com/jackc/pgx/v5"
)

// ErrNotParted: there is nothing of that name that went on in two ways or has the letters
// of another.
var ErrNotParted = errors.New("it is none of what parted")

// A Settled is who saw to it that weld numbers which mean two pipes are told apart, and
// what was done.
type Settled struct {
	At      time.Time `json:"at"`
	By      string    `json:"by"`
	Why     string    `json:"why"`
	Numbers []string  `json:"numbers"` // that meant two pipes then
}

// Settle says of a log that parted, as KM/1, or of two logs with the same letters, that it
// was seen to, or one thing more of what was done. It stands until there is another number
// that means two pipes. The error is ErrNotParted.
func (o *Office) Settle(ctx context.Context, ref, by, why string) (f Fork, err error) {
	err = o.as(ctx, "", "", func(tx pgx.Tx) error {
		forks, err := o.forks(ctx, tx)
		if err != nil {
			return err
		}
		var names []string
		var meant []Fork
		for _, f := range forks {
			names = append(names, f.name())
			if f.isCalled(ref) {
				meant = append(meant, f)
			}
		}
		switch {
		case len(names) == 0:
			return fmt.Errorf("%w: no log parted, and no two have the same letters", ErrNotParted)
		case len(meant) != 1:
			return fmt.Errorf("%q: %w; write one of %s", ref, ErrNotParted, strings.Join(names, ", "))
		}
		f = meant[0]
		keys, numbers := []string{}, []string{}
		for _, t := range f.Twice {
			keys = append(keys, t.key())
			if !slices.Contains(numbers, t.Weld) {
				numbers = append(numbers, t.Weld)
			}
		}
		f.Open = false
		f.Settled = append(f.Settled, Settled{o.now(), by, why, numbers})
		_, err = tx.Exec(ctx, `insert into settled values ($1, $2, $3, $4, $5, $6, $7)`, f.Log, f.Branch, f.Other, keys, o.now(), by, why)
		return err
	})
	return f, err
}

// name is how it is named to be settled.
func (f Fork) name() string {
	if f.Other != "" {
		return f.Log
	}
	return fmt.Sprintf("%s/%d", f.Tag, f.Branch)
}

// isCalled tells whether it is what is meant, with the log's id or its letters.
func (f Fork) isCalled(ref string) bool {
	return strings.EqualFold(ref, f.name()) || ref == strings.Replace(f.name(), f.Tag+"/", f.Log+"/", 1) || f.Other != "" && strings.EqualFold(ref, f.Tag)
}

// settle adds what was said of each, and tells which numbers it was said of: those that
// nobody settled come first.
func settle(ctx context.Context, tx pgx.Tx, forks []Fork) error {
	type said struct {
		log, other string
		branch     int
		keys       []string
		Settled
	}
	words, err := all(ctx, tx, func(row pgx.CollectableRow) (s said, err error) {
		return s, row.Scan(&s.log, &s.branch, &s.other, &s.keys, &s.At, &s.By, &s.Why)
	}, `select log, branch, other, numbers, settled, by, why from settled order by settled`)
	for i := range forks {
		f := &forks[i]
		var keys []string
		for _, s := range words {
			if s.log != f.Log || s.branch != f.Branch || s.other != f.Other {
				continue
			}
			for _, key := range s.keys {
				if number, _, _ := strings.Cut(key, "/"); !slices.Contains(keys, key) && !slices.Contains(s.Numbers, number) {
					s.Numbers = append(s.Numbers, number)
				}
			}
			f.Settled, keys = append(f.Settled, s.Settled), append(keys, s.keys...)
		}
		f.Open = len(f.Settled) == 0
		for j, t := range f.Twice {
			f.Twice[j].Settled = slices.Contains(keys, t.key())
			f.Open = f.Open || !f.Twice[j].Settled
		}
		slices.SortStableFunc(f.Twice, func(a, b Twice) int {
			switch {
			case a.Settled == b.Settled:
				return 0
			case b.Settled:
				return -1
			}
			return 1
		})
	}
	return err
}
