package pg

import (
	"context"
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
	Parcels int       // with lines: reports are none
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
		if w.last < w.first {
			continue // a report
		}
		out.Parcels, out.Entries = out.Parcels+1, out.Entries+n
		if out.Since.IsZero() || w.came.Before(out.Since) {
			out.Since = w.came
		}
	}
	return out, nil
}

// A Granted is a token, and what it reads.
type Granted struct {
	Token string
	ID    string // names it without giving it away
	Scope
}

// A Scope is what a token reads: of nobody's site it is all.
type Scope struct {
	Site  string   `json:"site,omitempty"`
	Logs  []string `json:"logs,omitempty"`  // by their letters, as far as they have it, and where others have these by their id too
	Every bool     `json:"every,omitempty"` // and each log that will have the site
}

// scope reads what a token reads.
func scope(ctx context.Context, tx pgx.Tx, sites []string) (s Scope, err error) {
	if len(sites) == 0 {
		return s, nil
	}
	s.Every = slices.ContainsFunc(sites, func(one string) bool { return !strings.Contains(one, "/") })
	var names []string
	_, err = all(ctx, tx, func(row pgx.CollectableRow) (c course, err error) {
		var name, uid string
		var alike bool
		if err = row.Scan(&c.log, &c.branch, &c.tag, &uid, &name, &alike); err != nil {
			return c, err
		}
		if !slices.Contains(names, name) {
			names = append(names, name)
		}
		if alike {
			c.tag += " (" + c.log + ")"
		}
		text := named(c)
		switch ofLog := uid + "/" + c.log; {
		case slices.Contains(sites, uid):
		case slices.Contains(sites, ofLog):
			text = c.tag + " with each branch of it"
		case c.branch == 0:
			text = c.tag + "/0"
		}
		if !slices.Contains(s.Logs, text) {
			s.Logs = append(s.Logs, text)
		}
		return c, nil
	}, `select log, branch, tag, uid, name, exists (select from log l where l.tag = s.tag and l.id <> s.log) from site s where reads($1, uid, log, branch) order by tag, log, branch`, sites)
	if s.Site = strings.Join(names, ", "); s.Site == "" {
		s.Site = strings.Join(sites, ", ")
	}
	return s, err
}

// Grant makes a token for somebody who reads: all, or as a client one site alone, until
// the end of a day. A site is read in every log that has it, by its own id; where logs
// are named only in these, which is how one is asked for that several laptops opened, each
// for itself. Only the token's hash is kept.
func (o *Office) Grant(ctx context.Context, random io.Reader, until, by string, asks ...office.SiteAsk) (g Granted, err error) {
	secret := make([]byte, 24)
	if _, err := io.ReadFull(random, secret); err != nil {
		return g, err
	}
	g.Token = base64.RawURLEncoding.EncodeToString(secret)
	who := office.Reader{Token: g.Token}
	g.ID = who.ID()
	err = o.as(ctx, "", "", func(tx pgx.Tx) error {
		role, scopes := reader, []string(nil)
		for _, ask := range asks {
			found, err := findSites(ctx, tx, ask)
			if err != nil {
				return err
			}
			if !oneSite(found) || ask.Log != "" && slices.ContainsFunc(found, func(f siteAt) bool { return f.log != found[0].log }) {
				return fmt.Errorf("%w; or several of them, with --log again for each", isSeveral(found, ask))
			}
			role = client
			scopes = append(scopes, scopesOf(found, ask)...)
		}
		slices.Sort(scopes)
		scopes = slices.Compact(scopes)
		if _, err := tx.Exec(ctx, `insert into token values ($1, $2, $3, nullif($4, '')::date, $5, $6)`, who.Hash(), role, scopes, until, o.now(), by); err != nil {
			return err
		}
		g.Scope, err = scope(ctx, tx, scopes)
		return err
	})
	return g, err
}

// oneSite tells whether all that were found are one site, which several laptops hold.
func oneSite(found []siteAt) bool {
	return !slices.ContainsFunc(found, func(f siteAt) bool { return f.uid != found[0].uid })
}

// scopesOf are the sites that were found, as a token is bound to them: as widely as they
// were asked for.
func scopesOf(found []siteAt, ask office.SiteAsk) (scopes []string) {
	ofBranch := strings.Contains(ask.Log, "/")
	for _, f := range found {
		scope := f.uid
		if ask.Log != "" {
			scope += "/" + f.log
		}
		if ofBranch {
			scope += fmt.Sprintf("/%d", f.branch)
		}
		scopes = append(scopes, scope)
	}
	return scopes
}

// A right is what a token lets somebody read: everything, or one site.
type right struct {
	role  string
	sites []string // as schema.sql has them
}

// names tells whether a log is named in it.
func (r right) names(log string) bool {
	return slices.ContainsFunc(r.sites, func(scope string) bool {
		_, of, _ := strings.Cut(scope, "/")
		of, _, _ = strings.Cut(of, "/")
		return of == log
	})
}

// in are the own ids of the sites that it has in a course, nil for all.
func (r right) in(c course) (uids []string) {
	for _, scope := range r.sites {
		uid, of, only := strings.Cut(scope, "/")
		if !only || of == c.log || of == fmt.Sprintf("%s/%d", c.log, c.branch) {
			uids = append(uids, uid)
		}
	}
	return uids
}

// of is what the role is bound to.
func (r right) of() string { return strings.Join(r.sites, " ") }

// rightOf looks up a token. The error is ErrRefused.
func (o *Office) rightOf(ctx context.Context, who office.Reader) (r right, err error) {
	var until, withdrawn *time.Time
	err = o.as(ctx, "", "", func(tx pgx.Tx) error {
		return tx.QueryRow(ctx, `select role, sites, until, withdrawn from token where hash = $1`, who.Hash()).Scan(&r.role, &r.sites, &until, &withdrawn)
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
	Of        string     `json:"of"`   // its crew; of what waits the letters that its logs claim
	Since     time.Time  `json:"since"`
	By        string     `json:"by,omitempty"`
	Logs      string     `json:"logs,omitempty"`    // the letters of what the key sent last
	Parcels   int        `json:"parcels,omitempty"` // with lines, that wait
	Until     *time.Time `json:"until,omitempty"`
	Withdrawn *time.Time `json:"withdrawn,omitempty"`
	Withdrew  string     `json:"withdrew,omitempty"` // who said so
	Reads     *Scope     `json:"reads,omitempty"`    // of a token
}

// Known are the keys of laptops, each admission with its withdrawal, those that wait to be
// admitted, and the tokens.
func (o *Office) Known(ctx context.Context) (out []Known, err error) {
	err = o.as(ctx, "", "", func(tx pgx.Tx) (err error) {
		var sites [][]string
		out, err = all(ctx, tx, func(row pgx.CollectableRow) (k Known, err error) {
			var of []string
			err = row.Scan(&k.What, &k.ID, &k.Of, &k.Since, &k.By, &k.Logs, &k.Parcels, &k.Until, &k.Withdrawn, &k.Withdrew, &of)
			sites = append(sites, of)
			return k, err
		}, `
			select 'laptop', a.id, crew, admitted, by, case when exists (select from stands s where s.no = a.no) then coalesce((select string_agg(distinct tag, ', ') from log l where l.key = a.id), '') else '' end,
				0, null::timestamptz, withdrawn, coalesce(withdrew, ''), null::text[] from admission a left join withdrawal on admission = no
			union all
			select 'waiting', key, string_agg(distinct tag, ', '), min(came), '', '', count(*) filter (where last >= first)::int, null, s.withdrawn, coalesce(s.withdrew, ''), null from waiting w left join (select id, withdrawn, withdrew from stands) s on s.id = w.key group by key, s.withdrawn, s.withdrew
			union all
			select 'token', substr(encode(hash, 'hex'), 1, 8), '', granted, by, '', 0, until::timestamptz, withdrawn, coalesce(withdrew, ''), sites from token
			order by 1, 4, 2`)
		for i := range out {
			if err == nil && out[i].What == "token" {
				var s Scope
				s, err = scope(ctx, tx, sites[i])
				out[i].Reads = &s
			}
		}
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
