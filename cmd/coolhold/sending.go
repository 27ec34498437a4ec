package main

import (
	"context"
	"errors"
	"fmt"
	"time"

	"golang.org/x/mod/sumdb/tlog"

	"coolhold/logbook/office"
	"coolhold/logbook/office/wire"
	"coolhold/logbook/seal"
	"coolhold/logbook/store"
)

// Bounds of ours on what is sent in one go, and on how often a link that breaks is tried.
const (
	mostBytes  = 4 << 20 // of the lines, before they are packed
	mostBroken = 14      // one after the other: halved eleven times 1,500 entries are one
	unreached  = 5       // so many tries a link costs that does not even begin, or stands still
	mostAsked  = 6       // how often an office may ask for other entries, one after the other
)

// A sending brings one log to an office.
type sending struct {
	path, trust string
	named       string // the board's: the office as it began, else ""
	key         seal.Key
	now         func() time.Time
	kept        keptOffice
	id, tag     string
	entries     int64 // that the log had when it was last read
	at          time.Time
}

// newSending is the sending of a log, with what is kept of its office.
func newSending(ctx context.Context, path string, key seal.Key, now func() time.Time) (*sending, error) {
	s := &sending{path: path, key: key, now: now}
	run, err := s.read(ctx, 1, 0)
	if err != nil {
		return nil, err
	}
	s.id, s.tag = run.ID, run.Tag
	s.kept, err = readOffice(path, s.id)
	return s, err
}

// read reads a run of entries, and when that was.
func (s *sending) read(ctx context.Context, first int64, most int) (store.Run, error) {
	s.at = s.now()
	run, err := store.ReadRun(ctx, s.path, first, most, mostBytes, office.EdgeIndexes(first-1))
	if err != nil {
		return run, exitWith(exitLog, err)
	}
	if s.entries = run.Entries; s.entries == 0 {
		return run, exitWith(exitFindings, fmt.Errorf("%s: nothing is recorded yet, there is nothing to send", s.path))
	}
	return run, nil
}

// pack makes a parcel of a run; without lines it says what the laptop holds.
func (s *sending) pack(run store.Run) ([]byte, error) {
	st := seal.Statement{Log: run.ID, Tag: run.Tag, Entries: run.Last, Root: run.Root, At: s.at}
	sealed, err := seal.Sign(st, s.key)
	if err != nil {
		return nil, err
	}
	data, err := office.Pack(office.Edge{N: run.First - 1, Hashes: run.Hashes}, run.Lines, sealed)
	if errors.Is(err, office.ErrParcel) {
		return nil, exitWith(exitLog, fmt.Errorf("%s: not sent: its entries %d to %d do not prove themselves (%w); coolhold verify says more", s.path, run.First, run.Last, err))
	}
	return data, err
}

// roots are those over the first n entries, the zero hash where there are not so many.
func (s *sending) roots(ctx context.Context, ns ...int64) ([]tlog.Hash, error) {
	roots, err := store.Roots(ctx, s.path, ns)
	return roots, exitWith(exitLog, err)
}

// after is the entry behind the last that the office is known to have: by its receipt, or
// among what waits there.
func (s *sending) after(ctx context.Context) (int64, error) {
	r := s.kept.receipt()
	n := max(r.Entries, s.kept.Waiting)
	if n == 0 || n > s.entries {
		return s.entries + 1, nil // it is asked what it has
	}
	if n == r.Entries {
		roots, err := s.roots(ctx, n)
		if err != nil || roots[0] != r.Root {
			return s.entries + 1, err
		}
	}
	return n + 1, nil
}

// bring sends until the office has all, or there is something for a person to decide.
func (s *sending) bring(ctx context.Context, post func(context.Context, []byte) (office.Answer, error)) error {
	from, err := s.after(ctx)
	if err != nil {
		return err
	}
	size, broken, asked := office.ParcelEntries, 0, 0
	for {
		run, err := s.read(ctx, from, size)
		if err != nil {
			return err
		}
		if run.ID != s.id {
			return exitWith(exitLog, fmt.Errorf("%s is another log than a moment ago; send again", s.path))
		}
		parcel, err := s.pack(run)
		if err != nil {
			return err
		}
		a, err := post(ctx, parcel)
		if err != nil {
			if broken += worth(err); broken > mostBroken || ctx.Err() != nil || worth(err) == 0 {
				return err
			}
			if len(run.Lines) > 0 { // one that only asks says nothing of what the link bears
				size = max(1, min(size, len(run.Lines))/2)
			}
			continue
		}
		size, broken = min(2*size, office.ParcelEntries), 0
		if a.Standing == office.Ahead && !a.Waiting {
			if asked++; asked > mostAsked {
				return exitWith(exitFindings, errors.New("the office asks again and again for what it was sent"))
			}
			if from, err = s.shared(ctx, a); err != nil {
				return err
			}
			continue
		}
		asked = 0
		if a.Waiting && len(run.Lines) == 0 && s.kept.Waiting < run.Last {
			from = s.kept.Waiting + 1 // it was only asked, and nothing waits there yet, whatever it had by a receipt of before
			if a.Withdrawn != nil && !a.Held {
				from, err = s.lacks(ctx, a, from)
			}
			if err != nil {
				return err
			}
			if !a.Held && from <= run.Last {
				continue
			}
		}
		done, err := s.answered(ctx, a, run)
		if err != nil || done {
			return err
		}
		from = s.next(run)
	}
}

// worth is how much a failed post counts towards giving up; 0: trying again is no use.
func worth(err error) int {
	switch {
	case errors.Is(err, wire.ErrAway), errors.Is(err, wire.ErrStalled): // each of them is waited for long
		return unreached
	case errors.Is(err, wire.ErrLink), errors.Is(err, office.ErrParcel): // broken off, or a bit was turned on the way
		return 1
	}
	return 0
}

// shared is the entry from which to send, by what the office has and this log shares.
func (s *sending) shared(ctx context.Context, a office.Answer) (int64, error) {
	if len(a.Marks) == 0 {
		return min(max(a.From, 1), s.entries+1), nil
	}
	var ns []int64
	for _, m := range a.Marks {
		ns = append(ns, m.Entries)
	}
	roots, err := s.roots(ctx, ns...)
	if err != nil {
		return 0, err
	}
	own := map[int64]tlog.Hash{}
	for i, n := range ns {
		own[n] = roots[i]
	}
	return office.From(a.Marks, func(m office.Mark) bool { return own[m.Entries] == m.Root }), nil
}

// lacks is the entry from which an office that withdrew this laptop's key lacks what was
// recorded.
func (s *sending) lacks(ctx context.Context, a office.Answer, from int64) (int64, error) {
	if a.Standing != office.Ahead && a.From == 0 {
		return from, nil
	}
	shared, err := s.shared(ctx, a)
	return max(from, shared), err
}

// answered keeps what the office says it has; done: there is no more to send.
func (s *sending) answered(ctx context.Context, a office.Answer, run store.Run) (done bool, err error) {
	all := run.Last == run.Entries
	if a.Waiting {
		s.kept.Waiting, s.kept.Standing, s.kept.Withdrawn = run.Last, "", a.Withdrawn
		return all, s.keep()
	}
	r, err := s.receipt(a)
	if err != nil {
		return false, err
	}
	roots, err := s.roots(ctx, r.Entries)
	if err != nil {
		return false, err
	}
	same := roots[0] == r.Root
	if !same && a.Standing != office.Behind {
		return false, exitWith(exitFindings, fmt.Errorf("the office's receipt over %s is not of what was sent; nothing of it is believed", entries(r.Entries)))
	}
	if same {
		s.kept.Receipt, s.kept.Waiting = a.Receipt, 0
	}
	s.kept.Key, s.kept.Withdrawn = a.Key, nil
	// A parcel that ends before what the office has is behind; the log is so only where the
	// office has what the log lacks.
	done = all || same && r.Entries == run.Entries
	switch {
	case !done:
	case a.Standing == office.Behind && !same:
		s.kept.Standing, s.kept.Holds = office.Behind, r.Entries
	case a.Standing == office.Parted:
		s.kept.Standing, s.kept.Parted, s.kept.Upto = office.Parted, a.Parted, s.at
	default:
		s.kept.Standing, s.kept.Parted, s.kept.Upto = office.Level, 0, s.at
	}
	return done, s.keep()
}

// errUnnamed: somebody named another office, or none, while the board sent.
var errUnnamed = errors.New("another office was named meanwhile")

// keep keeps what is known of the office; where somebody named another one meanwhile,
// that stands.
func (s *sending) keep() error {
	if s.named != "" {
		if now, err := readOffice(s.path, s.id); err != nil || now.Office != s.named {
			return errors.Join(errUnnamed, err)
		}
	}
	return s.kept.write(s.path)
}

// receipt is that of an answer, signed by the office that was met before.
func (s *sending) receipt(a office.Answer) (office.Receipt, error) {
	v, err := s.kept.met(a.Key, s.trust)
	if err != nil {
		return office.Receipt{}, err
	}
	r, err := office.ReadReceipt([]byte(a.Receipt), v)
	if err == nil && r.Log != s.id {
		err = fmt.Errorf("it is of the log %s", r.Log)
	}
	if err != nil {
		return r, exitWith(exitFindings, fmt.Errorf("the office gave no receipt for this log: %w", err))
	}
	return r, nil
}

// next is the entry after a run that was taken, or after all that the office has of it.
func (s *sending) next(run store.Run) int64 {
	if n := s.kept.receipt().Entries; n > run.Last && n <= run.Entries {
		return n + 1
	}
	return run.Last + 1
}
