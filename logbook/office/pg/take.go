package pg

import (
	"context"
	"errors"
	"fmt"

	"github.com/jackc/pgx/v5"
	"golang.org/x/mod/sumdb/note"

	"coolhold/logbook/office"
	"coolhold/logbook/seal"
)

// mostWaiting bounds what is kept of keys that are not admitted: our choice, a season
// of a few laptops.
const mostWaiting = 64 << 20

// Take takes a parcel: what is new in it is kept, in one transaction that is on disk when
// it returns. Signed says whose key it is. What an unknown key sends waits until it is
// admitted, and what a withdrawn one sends until it is so anew. The receipt is for the
// caller to sign.
func (o *Office) Take(ctx context.Context, data []byte) (a office.Answer, r office.Receipt, err error) {
	a, r, _, err = o.take(ctx, data)
	return a, r, err
}

// take is Take, and says how many entries are new.
func (o *Office) take(ctx context.Context, data []byte) (a office.Answer, r office.Receipt, n int, err error) {
	p, err := office.Read(data)
	if err != nil {
		return a, r, 0, err
	}
	for _, withdrawn := range []bool{false, true} {
		keys, err := o.signers(ctx, p, withdrawn)
		if err != nil {
			return a, r, 0, err
		}
		switch key, err := p.SignedBy(keys...); {
		case errors.Is(err, seal.ErrForged) || err != nil && !errors.Is(err, office.ErrUnknownKey):
			return a, r, 0, fmt.Errorf("%w: %w", office.ErrParcel, err)
		case err == nil && withdrawn:
			a, err = o.ofWithdrawn(ctx, p, data, key)
			return a, r, 0, err
		case err == nil:
			return o.taken(ctx, p, key)
		}
	}
	return office.Answer{Waiting: true}, r, 0, o.wait(ctx, p, data)
}

// ofWithdrawn keeps what is new in a parcel of a key that was withdrawn, until it is
// admitted anew. What was taken before does not wait.
func (o *Office) ofWithdrawn(ctx context.Context, p office.Parcel, data []byte, key string) (a office.Answer, err error) {
	a = office.Answer{Waiting: true, Withdrawn: &office.Withdrawal{}}
	err = o.as(ctx, taker, p.Log, func(tx pgx.Tx) error {
		err := tx.QueryRow(ctx, `select withdrawn, withdrew from stands where id = $1 and withdrawn is not null`, key).Scan(&a.Withdrawn.At, &a.Withdrawn.By)
		if errors.Is(err, pgx.ErrNoRows) { // it was admitted a moment ago
			a.Withdrawn, err = nil, nil
		}
		if err != nil {
			return err
		}
		j, err := office.Judge(p, shelf{ctx, tx, p.Log})
		a.Held = err == nil && j.Standing != office.Ahead && len(j.New) == 0
		a.From, a.Marks = j.From, j.Marks
		return err
	})
	if err != nil || a.Held || len(p.Lines) == 0 {
		return a, err
	}
	return a, o.wait(ctx, p, data)
}

// signers are the keys that are admitted, or that were and are withdrawn, among those
// whose signatures a parcel bears.
func (o *Office) signers(ctx context.Context, p office.Parcel, withdrawn bool) (keys []note.Verifier, err error) {
	s, err := seal.Parse(p.Note)
	if err != nil {
		return nil, err
	}
	err = o.as(ctx, reader, "", func(tx pgx.Tx) (err error) {
		keys, err = laptops(ctx, tx, `select key from stands where id = any($1) and (withdrawn is not null) = $2`, s.Unknown, withdrawn)
		return err
	})
	return keys, err
}

// laptops are keys that were admitted.
func laptops(ctx context.Context, tx pgx.Tx, sql string, args ...any) ([]note.Verifier, error) {
	return all(ctx, tx, func(row pgx.CollectableRow) (v note.Verifier, err error) {
		var text string
		if err = row.Scan(&text); err == nil {
			v, err = seal.ReadPublic(text)
		}
		return v, err
	}, sql, args...)
}

// wait keeps a parcel whose key is not admitted, as long as there is room.
func (o *Office) wait(ctx context.Context, p office.Parcel, data []byte) error {
	s, err := seal.Parse(p.Note)
	if err != nil {
		return err
	}
	return o.as(ctx, "", "", func(tx pgx.Tx) error {
		var size int64
		if err := tx.QueryRow(ctx, `select pg_advisory_xact_lock(20261128), coalesce(sum(length(data)), 0) from waiting`).Scan(nil, &size); err != nil {
			return err
		}
		if size+int64(len(data)) > o.room {
			return fmt.Errorf("%w: %d bytes of keys that are not admitted; admit them with coolhold office admit", office.ErrFull, size)
		}
		_, err := tx.Exec(ctx, `insert into waiting values ($1, $2, $3, $4, $5, $6, $7) on conflict do nothing`,
			p.Log, p.First(), p.Entries, s.Unknown[0], p.Tag, data, o.now())
		return err
	})
}

// taken keeps what is new in a parcel of a known key, n entries.
func (o *Office) taken(ctx context.Context, p office.Parcel, key string) (a office.Answer, r office.Receipt, n int, err error) {
	err = o.as(ctx, taker, p.Log, func(tx pgx.Tx) error {
		// One parcel of a log after the other.
		if _, err := tx.Exec(ctx, `select pg_advisory_xact_lock(hashtextextended($1, 0))`, p.Log); err != nil {
			return err
		}
		j, err := office.Judge(p, shelf{ctx, tx, p.Log})
		if err != nil {
			return err
		}
		r = office.Receipt{Log: p.Log, Tag: p.Tag, Branch: j.Branch.No, Entries: j.Branch.Entries(), Root: j.Branch.After.Root(), Taken: o.now()}
		if j.Standing == office.Ahead {
			a = office.Answer{Standing: j.Standing, From: j.From, Marks: j.Marks}
			return nil
		}
		n = len(j.New)
		a = office.Answer{Standing: j.Standing, Branch: j.Branch.No}
		if j.Standing == office.Parted {
			a.Parted = j.Branch.Parted
		}
		return o.keep(ctx, tx, p, j, key)
	})
	return a, r, n, err
}

// keep writes what is new, and that the log was heard of.
func (o *Office) keep(ctx context.Context, tx pgx.Tx, p office.Parcel, j office.Judgement, key string) error {
	b, root := j.Branch, j.Branch.After.Root()
	sql, args := `update log set entries = $3, root = $4, edge = $5, key = $6, heard = $7 where id = $1 and branch = $2`, []any(nil)
	if j.IsNew {
		sql, args = `insert into log values ($1, $2, $8, $9, $10, $3, $4, $5, $6, $7)`, []any{p.Tag, b.Parent, b.Parted}
	}
	args = append([]any{p.Log, b.No, b.Entries(), root[:], b.After.Bytes(), key, o.now()}, args...)
	if _, err := tx.Exec(ctx, sql, args...); err != nil {
		return err
	}
	if len(j.New) == 0 {
		return nil
	}
	before, packed := p.Before, p.Packed
	if j.First > p.First() { // the first of them were there
		before = before.Add(p.Lines[:j.First-p.First()]...)
		packed = office.Compress(j.New)
	}
	_, err := tx.Exec(ctx, `insert into parcel values ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10)`,
		p.Log, b.No, j.First, p.Entries, before.Bytes(), root[:], string(p.Note), key, o.now(), packed)
	return err
}

// A shelf is what is held of one log, in a transaction.
type shelf struct {
	ctx context.Context
	tx  pgx.Tx
	log string
}

func (s shelf) Branches() ([]office.Branch, error) {
	return all(s.ctx, s.tx, func(row pgx.CollectableRow) (b office.Branch, err error) {
		var n int64
		var edge []byte
		if err = row.Scan(&b.No, &b.Parent, &b.Parted, &n, &edge); err == nil {
			b.After, err = office.EdgeFrom(n, edge)
		}
		return b, err
	}, `select branch, parent, parted, entries, edge from log where id = $1 order by branch`, s.log)
}

// course is the one that holds an entry of a branch, the branch itself or one of those that
// it left, and the entry at which that was left; 0: it was not.
func (s shelf) course(branch int, n int64) (own int, left int64, err error) {
	for {
		var parent int
		var parted int64
		err := s.tx.QueryRow(s.ctx, `select parent, parted from log where id = $1 and branch = $2`, s.log, branch).Scan(&parent, &parted)
		if err != nil || n >= parted {
			return branch, left, err
		}
		branch, left = parent, parted
	}
}

// held is the parcel with an entry of a branch, as far as it is the branch's: one of a
// parent may go on behind the parting.
func (s shelf) held(branch int, n int64) (first int64, edge office.Edge, lines [][]byte, err error) {
	own, left, err := s.course(branch, n)
	if err != nil {
		return 0, edge, nil, err
	}
	var bytes, packed []byte
	err = s.tx.QueryRow(s.ctx, `select first, edge, lines from parcel where log = $1 and branch = $2 and first <= $3 order by first desc limit 1`, s.log, own, n).Scan(&first, &bytes, &packed)
	if err == nil {
		edge, err = office.EdgeFrom(first-1, bytes)
	}
	if err == nil {
		lines, err = s.expand(own, first, packed)
	}
	if err == nil && n >= first+int64(len(lines)) {
		err = fmt.Errorf("%w: entry %d of log %s, branch %d is missing", office.ErrUnproven, n, s.log, own)
	}
	if err == nil && left > 0 {
		lines = lines[:min(int64(len(lines)), left-first)]
	}
	return first, edge, lines, err
}

// expand unpacks the lines of a parcel; its error names the parcel.
func (s shelf) expand(branch int, first int64, packed []byte) ([][]byte, error) {
	lines, err := office.Expand(packed)
	if err != nil {
		err = fmt.Errorf("log %s, branch %d, the parcel from entry %d: %w; coolhold office check says more", s.log, branch, first, err)
	}
	return lines, err
}

func (s shelf) EdgeAt(branch int, n int64) (office.Edge, error) {
	if n == 0 {
		return office.Edge{}, nil
	}
	first, edge, lines, err := s.held(branch, n)
	if err != nil {
		return edge, err
	}
	return edge.Add(lines[:n-first+1]...), nil
}

func (s shelf) Lines(branch int, first, last int64) (out [][]byte, err error) {
	for first <= last {
		at, _, lines, err := s.held(branch, first)
		if err != nil {
			return nil, err
		}
		lines = lines[first-at : min(int64(len(lines)), last-at+1)]
		out, first = append(out, lines...), first+int64(len(lines))
	}
	return out, nil
}

func (s shelf) Marks() ([]office.Mark, error) {
	ends, err := all(s.ctx, s.tx, func(row pgx.CollectableRow) (m office.Mark, err error) {
		var root []byte
		if err = row.Scan(&m.Branch, &m.Entries, &root); err == nil {
			copy(m.Root[:], root)
		}
		return m, err
	}, `select branch, last, root from parcel where log = $1 order by branch, first`, s.log)
	if err != nil {
		return nil, err
	}
	var marks []office.Mark
	for len(ends) > 0 {
		n := 1
		for n < len(ends) && ends[n].Branch == ends[0].Branch {
			n++
		}
		marks, ends = append(marks, office.Thin(ends[:n])...), ends[n:]
	}
	return marks, nil
}
