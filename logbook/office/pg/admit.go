package pg

import (
	"context"
	"crypto/sha256"
	"encoding/base64"
	"fmt"
	"io"
	"time"

	"github.com/jackc/pgx/v5"
	"golang.org/x/mod/sumdb/note"

	"coolhold/logbook/office"
	"coolhold/logbook/seal"
)

// Admit lets the parcels of a laptop's key be taken, and takes those that wait. A
// parcel that waits and cannot be taken stays, and is the error.
func (o *Office) Admit(ctx context.Context, key note.Verifier, public, crew, by string) (taken int, err error) {
	id := seal.KeyID(key)
	err = o.as(ctx, "", "", func(tx pgx.Tx) error {
		_, err := tx.Exec(ctx, `insert into laptop values ($1, $2, $3, $4, $5)`, public, id, crew, o.now(), by)
		if isCode(err, "23505") {
			return fmt.Errorf("the key %s is admitted already", id)
		}
		return err
	})
	if err != nil {
		return 0, err
	}
	return o.takeWaiting(ctx, id)
}

// takeWaiting takes what a key sent before it was admitted, in turn.
func (o *Office) takeWaiting(ctx context.Context, key string) (taken int, err error) {
	type one struct {
		log         string
		first, last int64
		data        []byte
	}
	var waiting []one
	err = o.as(ctx, "", "", func(tx pgx.Tx) (err error) {
		waiting, err = all(ctx, tx, func(row pgx.CollectableRow) (w one, err error) {
			return w, row.Scan(&w.log, &w.first, &w.last, &w.data)
		}, `select log, first, last, data from waiting where key = $1 order by log, first, last`, key)
		return err
	})
	if err != nil {
		return 0, err
	}
	for _, w := range waiting {
		a, _, err := o.Take(ctx, w.data)
		if err != nil {
			return taken, err
		}
		if a.Standing == office.Ahead || a.Waiting {
			continue // what is between them is still to come
		}
		err = o.as(ctx, "", "", func(tx pgx.Tx) error {
			_, err := tx.Exec(ctx, `delete from waiting where log = $1 and key = $2 and first = $3 and last = $4`, w.log, key, w.first, w.last)
			return err
		})
		if err != nil {
			return taken, err
		}
		taken++
	}
	return taken, nil
}

// Grant makes a token for somebody who reads: all, or as a client one site alone, until
// the end of a day. Only its hash is kept.
func (o *Office) Grant(ctx context.Context, random io.Reader, site, until, by string) (token string, err error) {
	secret := make([]byte, 24)
	if _, err := io.ReadFull(random, secret); err != nil {
		return "", err
	}
	token = base64.RawURLEncoding.EncodeToString(secret)
	hash := sha256.Sum256([]byte(token))
	err = o.as(ctx, "", "", func(tx pgx.Tx) error {
		role, uid := reader, (*string)(nil)
		if site != "" {
			found, err := findSite(ctx, tx, office.SiteAsk{Site: site})
			if err != nil {
				return err
			}
			role, uid = client, &found.uid
		}
		_, err := tx.Exec(ctx, `insert into token values ($1, $2, $3, nullif($4, '')::date, $5, $6)`, hash[:], role, uid, until, o.now(), by)
		return err
	})
	return token, err
}

// A right is what a token lets somebody read: everything, or one site.
type right struct {
	role string
	site string // the own id
}

// rightOf looks up a token. The error is ErrRefused.
func (o *Office) rightOf(ctx context.Context, who office.Reader) (r right, err error) {
	hash := sha256.Sum256([]byte(who.Token))
	var until *time.Time
	err = o.as(ctx, "", "", func(tx pgx.Tx) error {
		return tx.QueryRow(ctx, `select role, coalesce(site, ''), until from token where hash = $1`, hash[:]).Scan(&r.role, &r.site, &until)
	})
	switch {
	case err == pgx.ErrNoRows:
		return r, fmt.Errorf("%w: the token is not known", office.ErrRefused)
	case err != nil:
		return r, err
	case until != nil && o.now().Format(time.DateOnly) > until.Format(time.DateOnly):
		return r, fmt.Errorf("%w: the token ended with %s", office.ErrRefused, until.Format(time.DateOnly))
	}
	return r, nil
}
