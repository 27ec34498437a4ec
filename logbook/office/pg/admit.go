package pg

import (
	"context"
	"crypto/sha256"
	"encoding/base64"
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"
	"time"

	"github.com/jackc/pgx/v5"
	"golang.org/x/mod/sumdb/note"

	"coolhold/logbook/office"
	"coolhold/logbook/seal"
)

// An Admitted is what waited of a key that was admitted, and is taken now.
type Admitted struct {
	Parcels int
	Entries int       // that are new with them
	Since   time.Time // when the first of them came; zero where none was taken
}

// Admit lets the parcels of a laptop's key be taken, and takes those that wait. A
// parcel that waits and cannot be taken stays, and is the error. A key that was withdrawn
// is admitted anew.
func (o *Office) Admit(ctx context.Context, key note.Verifier, public, crew, by string) (out Admitted, err error) {
	id := seal.KeyID(key)
	err = o.as(ctx, "", "", func(tx pgx.Tx) error {
		if _, err := tx.Exec(ctx, `insert into laptop values ($1, $2) on conflict do nothing`, public, id); err != nil {
			return err
		}
		var stands int
		err := tx.QueryRow(ctx, `select no from laptop join admission using (id) where key = $1 and not exists (select from withdrawal where admission = no) for update of laptop`, public).Scan(&stands)
		if err == nil {
			return fmt.Errorf("the key %s is admitted already; with coolhold office withdraw it can be admitted anew, for another crew", id)
		} else if !errors.Is(err, pgx.ErrNoRows) {
			return err
		}
		tag, err := tx.Exec(ctx, `insert into admission (id, crew, admitted, by) select id, $2, $3, $4 from laptop where key = $1`, public, crew, o.now(), by)
		if err == nil && tag.RowsAffected() == 0 {
			err = fmt.Errorf("another key is known as %s", id)
		}
		return err
	})
	if err != nil {
		return out, err
	}
	return o.takeWaiting(ctx, id)
}

// takeWaiting takes what a key sent before it was admitted, in turn.
func (o *Office) takeWaiting(ctx context.Context, key string) (out Admitted, err error) {
	type one struct {
		log         string
		first, last int64
		data        []byte
		came        time.Time
	}
	var waiting []one
	err = o.as(ctx, "", "", func(tx pgx.Tx) (err error) {
		waiting, err = all(ctx, tx, func(row pgx.CollectableRow) (w one, err error) {
			return w, row.Scan(&w.log, &w.first, &w.last, &w.data, &w.came)
		}, `select log, first, last, data, came from waiting where key = $1 order by log, first, last`, key)
		return err
	})
	if err != nil {
		return out, err
	}
	for _, w := range waiting {
		a, _, n, err := o.take(ctx, w.data)
		if err != nil {
			return out, err
		}
		if a.Standing == office.Ahead || a.Waiting {
			continue // what is between them is still to come
		}
		err = o.as(ctx, "", "", func(tx pgx.Tx) error {
			_, err := tx.Exec(ctx, `delete from waiting where log = $1 and key = $2 and first = $3 and last = $4`, w.log, key, w.first, w.last)
			return err
		})
		if err != nil {
			return out, err
		}
		out.Parcels, out.Entries = out.Parcels+1, out.Entries+n
		if out.Since.IsZero() || w.came.Before(out.Since) {
			out.Since = w.came
		}
	}
	return out, nil
}

// Grant makes a token for somebody who reads: all, or as a client one site alone, until
// the end of a day. A site that several laptops opened, each for itself, is asked for in
// each of their logs. Only the token's hash is kept, and id names it.
func (o *Office) Grant(ctx context.Context, random io.Reader, until, by string, asks ...office.SiteAsk) (token, id string, err error) {
	secret := make([]byte, 24)
	if _, err := io.ReadFull(random, secret); err != nil {
		return "", "", err
	}
	token = base64.RawURLEncoding.EncodeToString(secret)
	hash := sha256.Sum256([]byte(token))
	err = o.as(ctx, "", "", func(tx pgx.Tx) error {
		role, uids := reader, []string(nil)
		for _, ask := range asks {
			found, err := findSites(ctx, tx, ask)
			if err != nil {
				return err
			}
			for _, f := range found[1:] {
				if f.uid != found[0].uid { // one that two laptops hold is one site
					return isSeveral(found)
				}
			}
			if role = client; !slices.Contains(uids, found[0].uid) {
				uids = append(uids, found[0].uid)
			}
		}
		_, err := tx.Exec(ctx, `insert into token values ($1, $2, $3, nullif($4, '')::date, $5, $6)`, hash[:], role, uids, until, o.now(), by)
		return err
	})
	return token, tokenID(hash[:]), err
}

// tokenID names a token without giving it away.
func tokenID(hash []byte) string { return fmt.Sprintf("%x", hash[:4]) }

// A right is what a token lets somebody read: everything, or one site.
type right struct {
	role  string
	sites []string // the own ids
}

// of is what the role is bound to.
func (r right) of() string { return strings.Join(r.sites, " ") }

// rightOf looks up a token. The error is ErrRefused.
func (o *Office) rightOf(ctx context.Context, who office.Reader) (r right, err error) {
	hash := sha256.Sum256([]byte(who.Token))
	var until, withdrawn *time.Time
	err = o.as(ctx, "", "", func(tx pgx.Tx) error {
		return tx.QueryRow(ctx, `select role, sites, until, withdrawn from token where hash = $1`, hash[:]).Scan(&r.role, &r.sites, &until, &withdrawn)
	})
	switch {
	case err == pgx.ErrNoRows:
		return r, fmt.Errorf("%w: the token is not known", office.ErrRefused)
	case err != nil:
		return r, err
	case withdrawn != nil:
		return r, fmt.Errorf("%w: the token was withdrawn on %s", office.ErrRefused, withdrawn.Local().Format(time.DateOnly))
	case until != nil && o.now().Format(time.DateOnly) > until.Format(time.DateOnly):
		return r, fmt.Errorf("%w: the token ended with %s", office.ErrRefused, until.Format(time.DateOnly))
	}
	return r, nil
}

// A Known is a key or a token that the office knows.
type Known struct {
	What      string     `json:"what"` // laptop, waiting or token
	ID        string     `json:"id"`   // of a key NAME+NUMBER
	Of        string     `json:"of"`   // its crew; of what waits its logs; of a token its site, "" for all
	Since     time.Time  `json:"since"`
	By        string     `json:"by,omitempty"`
	Logs      string     `json:"logs,omitempty"`    // the letters of what the key sent last, or of the logs in which a token reads its site
	Parcels   int        `json:"parcels,omitempty"` // that wait
	Until     *time.Time `json:"until,omitempty"`
	Withdrawn *time.Time `json:"withdrawn,omitempty"`
	Withdrew  string     `json:"withdrew,omitempty"` // who said so
}

// Known are the keys of laptops, each admission with its withdrawal, those that wait to be
// admitted, and the tokens.
func (o *Office) Known(ctx context.Context) (out []Known, err error) {
	err = o.as(ctx, "", "", func(tx pgx.Tx) (err error) {
		out, err = all(ctx, tx, pgx.RowToStructByPos[Known], `
			select 'laptop', a.id, crew, admitted, by, case when exists (select from stands s where s.no = a.no) then coalesce((select string_agg(distinct tag, ', ') from log l where l.key = a.id), '') else '' end,
				0, null::timestamptz, withdrawn, coalesce(withdrew, '') from admission a left join withdrawal on admission = no
			union all
			select 'waiting', key, string_agg(distinct log, ', '), min(came), '', '', count(*)::int, null, s.withdrawn, coalesce(s.withdrew, '') from (select log, key, came from waiting) w left join (select id, withdrawn, withdrew from stands) s on s.id = w.key group by key, s.withdrawn, s.withdrew
			union all
			select 'token', substr(encode(hash, 'hex'), 1, 8), coalesce((select string_agg(distinct s.name, ', ') from site s where s.uid = any(t.sites)), array_to_string(t.sites, ', '), ''), granted, by,
				coalesce((select string_agg(distinct s.tag, ', ') from site s where s.uid = any(t.sites)), ''), 0, until::timestamptz, withdrawn, coalesce(withdrew, '') from token t
			order by 1, 4, 2`)
		return err
	})
	return out, err
}

// Withdraw ends what a laptop's key or a token may, by the id that Known names. What was
// taken stays.
func (o *Office) Withdraw(ctx context.Context, id, by string) error {
	return o.as(ctx, "", "", func(tx pgx.Tx) error {
		var n int64
		for _, sql := range []string{
			`insert into withdrawal select no, $2, $3 from stands where id = $1 and withdrawn is null`,
			`update token set withdrawn = $2, withdrew = $3 where substr(encode(hash, 'hex'), 1, 8) = $1 and withdrawn is null`,
		} {
			tag, err := tx.Exec(ctx, sql, id, o.now(), by)
			if err != nil {
				return err
			}
			n += tag.RowsAffected()
		}
		if n == 0 {
			return fmt.Errorf("%w: neither a key nor a token %q that could be withdrawn; coolhold office known names them", office.ErrNotHeld, id)
		}
		return nil
	})
}

// ErrOtherKey: the office signs with another key than this.
var ErrOtherKey = errors.New("this is not the key that the office signs with")

// Signs is the key that the office signs with, "" before its first receipt.
func (o *Office) Signs(ctx context.Context) (public string, err error) {
	err = o.as(ctx, "", "", func(tx pgx.Tx) error {
		err := tx.QueryRow(ctx, `select key from signs order by since desc limit 1`).Scan(&public)
		if errors.Is(err, pgx.ErrNoRows) {
			return nil
		}
		return err
	})
	return public, err
}

// SignWith says with which key the office signs. One that differs from the key before is
// ErrOtherKey, but where it is anew.
func (o *Office) SignWith(ctx context.Context, public string, anew bool) error {
	return o.as(ctx, "", "", func(tx pgx.Tx) error {
		if _, err := tx.Exec(ctx, `lock table signs in exclusive mode`); err != nil {
			return err
		}
		var was string
		err := tx.QueryRow(ctx, `select key from signs order by since desc limit 1`).Scan(&was)
		switch {
		case err != nil && !errors.Is(err, pgx.ErrNoRows):
			return err
		case was == public:
			return nil
		case was != "" && !anew:
			return ErrOtherKey
		}
		_, err = tx.Exec(ctx, `insert into signs values ($1, $2) on conflict (key) do update set since = excluded.since`, public, o.now())
		return err
	})
}
