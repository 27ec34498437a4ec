package pg

import (
	"context"
	"fmt"
	"math"
	"slices"
	"time"

	"github.com/jackc/pgx/v5"

	"coolhold/logbook"
	"coolhold/logbook/office"
)

// A Quiet is a laptop of which the office does not know what it has.
type Quiet struct {
	What      string    `json:"what"` // silent: not heard of for a while; never: admitted and never heard of; waiting: to be admitted, or admitted anew
	Log       string    `json:"log,omitempty"`
	Tag       string    `json:"tag,omitempty"`
	Crew      string    `json:"crew,omitempty"` // of a key that waits its last one, if it had any
	Key       string    `json:"key,omitempty"`
	Entries   int64     `json:"entries"`
	Heard     time.Time `json:"heard"`             // last; or when it was admitted, or what waits came first
	Open      int       `json:"open"`              // findings that are open in its sites
	Parcels   int       `json:"parcels,omitempty"` // with lines, that wait
	Withdrawn bool      `json:"withdrawn,omitempty"`
}

// silentSQL are the logs that were not heard of since a time; a log that parted counts by
// whichever course was heard of last.
const silentSQL = `select 'silent', l.id, min(l.tag), string_agg(distinct p.crew, ', '), string_agg(distinct p.id, ', '), max(l.entries), max(l.heard),
		(select count(distinct (s.site, f.key))::int from finding f join site s on s.no = f.site where s.log = l.id), 0, bool_and(p.withdrawn is not null)
	from log l join stands p on p.id = l.key group by l.id having max(l.heard) < $1 order by 7, 2`

// neverSQL are the keys that are admitted and sent nothing yet.
const neverSQL = `select 'never', '', '', crew, id, 0::bigint, admitted, 0, 0, false from stands
	where withdrawn is null and not exists (select from log l where l.key = stands.id) and not exists (select from parcel p where p.key = stands.id) order by 7, 5`

// waitingSQL are the keys of which something waits.
const waitingSQL = `select 'waiting', string_agg(distinct w.log, ', '), string_agg(distinct w.tag, ', '), coalesce(s.crew, ''), w.key, 0::bigint, min(w.came), 0, count(*) filter (where w.last >= w.first)::int, s.id is not null
	from waiting w left join stands s on s.id = w.key group by w.key, s.crew, s.id order by 7, 5`

// Silent are the logs that were not heard of since, those silent longest first, then the
// laptops that never sent, and those that wait to be admitted. laptops is how many keys are
// admitted.
func (o *Office) Silent(ctx context.Context, since time.Time) (out []Quiet, laptops int, err error) {
	err = o.as(ctx, "", "", func(tx pgx.Tx) error {
		for _, q := range []struct {
			sql  string
			args []any
		}{{silentSQL, []any{since}}, {neverSQL, nil}, {waitingSQL, nil}} {
			some, err := all(ctx, tx, pgx.RowToStructByPos[Quiet], q.sql, q.args...)
			if err != nil {
				return err
			}
			out = append(out, some...)
		}
		return tx.QueryRow(ctx, `select count(*) from stands where withdrawn is null`).Scan(&laptops)
	})
	return out, laptops, err
}

// A Fork is a log that went on in two ways from one entry.
type Fork struct {
	Log     string    `json:"log"`
	Tag     string    `json:"tag"`
	Branch  int       `json:"branch"`
	Parent  int       `json:"parent"`
	Parted  int64     `json:"parted"` // the first entry that is not the same
	Crew    string    `json:"crew"`
	Entries int64     `json:"entries"`
	Since   time.Time `json:"since"` // when the course was heard of first
	Heard   time.Time `json:"heard"`
	Twice   []Twice   `json:"twice"`           // weld numbers that now mean two pipes, those that nobody settled first
	Other   string    `json:"other,omitempty"` // no course, but another log that has the same letters
	Settled []Settled `json:"settled,omitempty"`
	Open    bool      `json:"open"` // nobody settled it, or not all of it
}

// A Twice is a weld number that two courses gave.
type Twice struct {
	Weld    string `json:"weld"`
	Branch  int    `json:"branch"` // of the log
	Here    string `json:"here"`   // site and joint in it
	There   int    `json:"there_branch"`
	Else    string `json:"there"` // in that branch of the log, or of the other
	Settled bool   `json:"settled,omitempty"`
}

// key tells it from what the number means elsewhere.
func (t Twice) key() string { return fmt.Sprintf("%s/%d/%d", t.Weld, t.Branch, t.There) }

// Forks are all logs that parted, then those that have the letters of another: both give
// numbers to welds that mean two pipes.
func (o *Office) Forks(ctx context.Context) (out []Fork, err error) {
	err = o.as(ctx, reader, "", func(tx pgx.Tx) (err error) {
		out, err = o.forks(ctx, tx)
		return err
	})
	return out, err
}

func (o *Office) forks(ctx context.Context, tx pgx.Tx) (out []Fork, err error) {
	out, err = all(ctx, tx, func(row pgx.CollectableRow) (f Fork, err error) {
		return f, row.Scan(&f.Log, &f.Tag, &f.Branch, &f.Parent, &f.Parted, &f.Crew, &f.Entries, &f.Heard, &f.Since)
	}, `select l.id, l.tag, l.branch, l.parent, l.parted, p.crew, l.entries, l.heard, (select min(taken) from parcel q where q.log = l.id and q.branch = l.branch) from log l join stands p on p.id = l.key where l.branch > 0 order by l.tag, l.id, l.branch`)
	for i := range out {
		if err == nil {
			out[i].Twice, err = twice(ctx, tx, out[i])
		}
	}
	if err != nil {
		return nil, err
	}
	same, err := alike(ctx, tx)
	if err != nil {
		return nil, err
	}
	out = append(out, same...)
	return out, settle(ctx, tx, out)
}

// ownSQL are the welds of a log, each in the branch that began it.
const ownSQL = `select weld, s.branch, s.site || ' ' || joint as at from weld w join site s on s.no = w.site join log l on l.id = s.log and l.branch = s.branch
	where s.log = $%d and (l.branch = 0 or w.begun >= l.parted)`

// alike are pairs of logs with the same letters, and the numbers that both gave as far as
// they are worked up.
func alike(ctx context.Context, tx pgx.Tx) (out []Fork, err error) {
	out, err = all(ctx, tx, func(row pgx.CollectableRow) (f Fork, err error) {
		return f, row.Scan(&f.Log, &f.Tag, &f.Crew, &f.Entries, &f.Heard, &f.Since, &f.Other)
	}, `select l.id, l.tag, p.crew, l.entries, l.heard, greatest((select min(taken) from parcel where log = l.id), (select min(taken) from parcel where log = o.id)), o.id from log l join log o on o.tag = l.tag and o.id > l.id join stands p on p.id = l.key
		where l.branch = 0 and o.branch = 0 order by l.tag, l.id, o.id`)
	for i := range out {
		if err != nil {
			break
		}
		out[i].Twice, err = all(ctx, tx, func(row pgx.CollectableRow) (t Twice, err error) {
			return t, row.Scan(&t.Weld, &t.Branch, &t.Here, &t.There, &t.Else)
		}, fmt.Sprintf(`select weld, a.branch, a.at, b.branch, b.at from (%s) a join (%s) b using (weld) order by weld, a.branch, b.branch`, fmt.Sprintf(ownSQL, 1), fmt.Sprintf(ownSQL, 2)), out[i].Log, out[i].Other)
	}
	return out, err
}

// Late are the sites and logs that are not worked up to their end: what is answered is
// without them.
func (o *Office) Late(ctx context.Context) (out []string, err error) {
	err = o.as(ctx, reader, "", func(tx pgx.Tx) error {
		behind, err := late(ctx, tx, right{role: reader})
		out = told(behind)
		return err
	})
	return out, err
}

// twice are the welds that a branch and one before it began after they went apart, under
// one number. Those of before stand in both with their joint, and are one pipe.
func twice(ctx context.Context, tx pgx.Tx, f Fork) ([]Twice, error) {
	h := shelf{ctx, tx, f.Log}
	out := []Twice{}
	here, err := h.begun(f.Branch, f.Parted) // no branch before it shares any of these
	if err != nil {
		return nil, err
	}
	for branch := f.Branch - 1; branch >= 0; branch-- {
		from, err := h.apart(f.Branch, branch)
		if err != nil {
			return nil, err
		}
		there, err := h.begun(branch, from)
		if err != nil {
			return nil, err
		}
		for _, w := range here.order {
			if other, is := there.at[w]; is {
				out = append(out, Twice{Weld: w, Branch: f.Branch, Here: here.at[w], There: branch, Else: other})
			}
		}
	}
	return out, nil
}

// apart is the first entry that two branches do not share.
func (s shelf) apart(a, b int) (int64, error) {
	ones, ends, err := s.courses(a, math.MaxInt64)
	if err != nil {
		return 0, err
	}
	others, befores, err := s.courses(b, math.MaxInt64)
	if err != nil {
		return 0, err
	}
	from := int64(1)
	for i, one := range ones {
		if j := slices.Index(others, one); j >= 0 {
			from = max(from, min(ends[i], befores[j]))
		}
	}
	return from, nil
}

// crewSQL is the crew of a weld: that which the key that sent it had when the weld was
// begun by the laptop's clock, or taken, whichever was earlier. What was made before the
// key was ever admitted is of its first crew.
const crewSQL = `(select a.crew from parcel p join admission a on a.id = p.key left join withdrawal d on d.admission = a.no
	where p.log = s.log and p.branch = s.branch and p.first <= w.begun and p.last >= w.begun
	order by coalesce(d.withdrawn, 'infinity') < least(p.taken, w.made), a.no limit 1)`

// Rates are those of each batch, unit, operator or crew: see package office. A weld of
// before a log parted counts once. few is how many have too few welds to be among them.
func (o *Office) Rates(ctx context.Context, by string) (out []office.Rate, few int, err error) {
	of, known := map[string]string{
		"batch": "unnest(array(select distinct v from unnest(array[w.batch, w.coil, w.stub]) v where v <> ''))",
		"unit":  "nullif(w.unit, '')", "operator": "nullif(w.operator, '')",
		"crew": crewSQL,
	}[by]
	if !known {
		return nil, 0, office.ErrNotHeld
	}
	err = o.as(ctx, reader, "", func(tx pgx.Tx) (err error) {
		out, err = all(ctx, tx, func(row pgx.CollectableRow) (r office.Rate, err error) {
			var what string
			var n, fails int
			err = row.Scan(&what, &n, &fails)
			return office.NewRate(what, n, fails), err
		}, `select what, count(*)::int, count(*) filter (where failed)::int from (
				select `+of+` as what, failed from weld w join site s on s.no = w.site join log l on l.id = s.log and l.branch = s.branch where l.branch = 0 or w.begun >= l.parted) as them
			where what is not null group by what`)
		return err
	})
	ranked := office.Ranked(out)
	return ranked, len(out) - len(ranked), err
}

// begun are the welds that a branch itself began from an entry on: what for, by their
// numbers. Those of its parents are told of them.
type begun struct {
	order []string
	at    map[string]string
}

func (s shelf) begun(branch int, from int64) (b begun, err error) {
	b.at = map[string]string{}
	var last, parted int64
	if err := s.tx.QueryRow(s.ctx, `select entries, parted from log where id = $1 and branch = $2`, s.log, branch).Scan(&last, &parted); err != nil {
		return b, err
	}
	lines, err := s.Lines(branch, max(from, parted), last)
	if err != nil {
		return b, err
	}
	for _, line := range lines {
		e, err := logbook.ReadHead(line)
		if err != nil || e.Kind != (logbook.WeldBegun{}).Kind() {
			continue
		}
		if b.at[e.Weld] == "" {
			b.order = append(b.order, e.Weld)
		}
		b.at[e.Weld] = e.Site + " " + e.Joint
	}
	return b, nil
}
