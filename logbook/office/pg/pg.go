// Package pg keeps what an office holds in PostgreSQL. schema.sql, worked.sql and rights.sql
// say how, and are the documentation of the tables. It is the only package that knows the
// database.
package pg

import (
	"cmp"
	"context"
	_ "embed"
	"errors"
	"fmt"
	"time"

	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/pgconn"
	"github.com/jackc/pgx/v5/pgxpool"
)

// schema lays out what is the truth, workedSchema what is worked up from it, rights who may
// do what with both.
var (
	//go:embed schema.sql
	schema string
	//go:embed worked.sql
	workedSchema string
	//go:embed rights.sql
	rights string
)

// schemaVersion is that of all three.
const schemaVersion = 3

// The roles that a transaction can have.
const (
	taker  = "coolhold_taker"
	reader = "coolhold_reader"
	client = "coolhold_client"
	owner  = "coolhold_owner"
)

// ErrAddress: it is none that PostgreSQL knows.
var ErrAddress = errors.New("the address of the database cannot be read")

// ErrSchema: the database was laid out by another version of the program.
var ErrSchema = errors.New("the database is laid out for another coolhold")

// What to do about a database that does not do what it is told. Each comes wrapped.
var (
	// ErrAway: it cannot be reached.
	ErrAway = errors.New("does PostgreSQL run there (systemctl status postgresql), and is the address right (--db, COOLHOLD_OFFICE_DB)? its own log says why, on most machines in /var/log/postgresql")
	// ErrLogin: it does not let this login in.
	ErrLogin = errors.New("the login must be one of PostgreSQL's: without a user in the address it bears the name of the system user who runs this; run it as the user who runs serve")
	// ErrNone: there is no such database.
	ErrNone = errors.New("as PostgreSQL's superuser: createdb --owner=LOGIN NAME")
	// ErrCopy: it is a copy that follows another, in which nothing can be written.
	ErrCopy = errors.New("this database is a copy that follows another; name that one (--db, COOLHOLD_OFFICE_DB)")
	// ErrRights: the login, or a role of the office, may not.
	ErrRights = errors.New("run it as the user who runs serve, whose login owns the database; coolhold office rebuild gives the office's own roles their rights again; what the login itself lacks it gets from PostgreSQL's superuser, in that database: alter role LOGIN createrole; alter database NAME owner to LOGIN; grant coolhold_owner, coolhold_taker, coolhold_reader, coolhold_client to LOGIN with admin option")
)

// advised adds to an error of the database what to do about it.
func advised(err error) error {
	var pe *pgconn.PgError
	var ce *pgconn.ConnectError
	isPg, isConnect := errors.As(err, &pe), errors.As(err, &ce)
	with := error(nil)
	switch {
	case isPg && pe.Code == "42501":
		with = ErrRights
	case isPg && pe.Code == "25006":
		with = ErrCopy
	case isPg && isConnect && pe.Code == "3D000":
		with = ErrNone
	case isPg && isConnect && pe.Code[:2] == "28":
		with = ErrLogin
	case isConnect && !isPg:
		with = ErrAway
	}
	if with == nil || errors.Is(err, with) {
		return err
	}
	return fmt.Errorf("%w; %w", err, with)
}

// An Office is a firm's office. It may be used by several goroutines at once.
type Office struct {
	pool    *pgxpool.Pool
	now     func() time.Time
	program string
	room    int64 // bytes, for what waits
	conns   int   // that the pool may have
}

// Open connects to a database, in the words of PostgreSQL (a URL or key=value), and lays
// it out if it is empty: for that the login must be allowed to make roles. program is
// the version that works up, now the clock of the office. The error is ErrAddress,
// ErrSchema, ErrGone, ErrWorkedGone or one of those above.
func Open(ctx context.Context, at, program string, now func() time.Time) (*Office, error) {
	return connect(ctx, at, program, now, false)
}

// OpenToWorkUp is Open for who works up next: what is gone of that is laid anew, empty.
func OpenToWorkUp(ctx context.Context, at, program string, now func() time.Time) (*Office, error) {
	return connect(ctx, at, program, now, true)
}

func connect(ctx context.Context, at, program string, now func() time.Time, anew bool) (*Office, error) {
	c, err := pgxpool.ParseConfig(at)
	if err != nil {
		return nil, fmt.Errorf("%w: %w", ErrAddress, err)
	}
	c.ConnConfig.RuntimeParams["search_path"] = "coolhold"
	c.ConnConfig.RuntimeParams["application_name"] = "coolhold office"
	pool, err := pgxpool.NewWithConfig(ctx, c)
	if err != nil {
		return nil, err
	}
	o := &Office{pool, now, program, mostWaiting, int(c.MaxConns)}
	if err := o.layOut(ctx, anew); err != nil {
		pool.Close()
		return nil, err
	}
	return o, nil
}

// Close ends all connections.
func (o *Office) Close() { o.pool.Close() }

// as runs f in a transaction in a role; of is the log or the site that the role is
// bound to. Without a role it runs as the login itself.
func (o *Office) as(ctx context.Context, role, of string, f func(pgx.Tx) error) error {
	err := o.in(ctx, func(tx pgx.Tx) error {
		if role != "" {
			if err := be(ctx, tx, role, of); err != nil {
				return err
			}
		}
		return f(tx)
	})
	if isCode(err, "42P01") { // so it says of what is gone, and of what may not be seen
		err = cmp.Or(o.in(ctx, func(tx pgx.Tx) error { return lacks(ctx, tx) }), err)
	}
	return advised(err)
}

// in runs f in a transaction of the login itself. A connection that died while nobody
// used it, as all do when the database is started again, is tried no further: nothing was
// done on it yet.
func (o *Office) in(ctx context.Context, f func(pgx.Tx) error) (err error) {
	for range o.conns + 1 {
		begun := false
		err = pgx.BeginFunc(ctx, o.pool, func(tx pgx.Tx) error { begun = true; return f(tx) })
		var ce *pgconn.ConnectError
		if err == nil || begun || ctx.Err() != nil || errors.As(err, &ce) {
			break
		}
	}
	return err
}

func be(ctx context.Context, tx pgx.Tx, role, of string) error {
	bound := map[string]string{taker: "coolhold.log", client: "coolhold.site"}[role]
	if bound != "" {
		if _, err := tx.Exec(ctx, `select set_config($1, $2, true)`, bound, of); err != nil {
			return err
		}
	}
	_, err := tx.Exec(ctx, "set local role "+role) // one of ours
	return err
}

// isCode tells whether the database refused something for this reason.
func isCode(err error, code string) bool {
	var pe *pgconn.PgError
	return errors.As(err, &pe) && pe.Code == code
}

// all reads the rows of a query.
func all[T any](ctx context.Context, tx pgx.Tx, f func(pgx.CollectableRow) (T, error), sql string, args ...any) ([]T, error) {
	rows, err := tx.Query(ctx, sql, args...)
	if err != nil {
		return nil, err
	}
	return pgx.CollectRows(rows, f)
}
