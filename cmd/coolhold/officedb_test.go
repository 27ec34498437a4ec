package main

import (
	"context"
	"errors"
	"fmt"
	"os"
	"sync"
	"testing"

	"github.com/jackc/pgx/v5"
	"github.com/rogpeppe/go-internal/testscript"

	"coolhold/logbook/office/pg/cluster"
)

// server is one PostgreSQL for all tests of the package.
var server postgres

// A postgres starts when the first test needs it, and is ended with the last.
type postgres struct {
	start sync.Once
	none  error // why it did not start
	c     *cluster.Cluster
	mu    sync.Mutex
	n     int
}

// database is the address of a new one, with nothing in it or a copy of another. The
// error is cluster.ErrNone where there is no PostgreSQL: .ci/run sees to it that there is.
func (p *postgres) database(of string) (string, error) {
	other, err := pgx.ParseConfig(of)
	if err != nil {
		return "", err
	}
	p.start.Do(func() { p.none = p.begin() })
	if p.none != nil {
		return "", p.none
	}
	p.mu.Lock()
	defer p.mu.Unlock()
	ctx := context.Background()
	admin, err := pgx.Connect(ctx, p.c.Address("postgres"))
	if err != nil {
		return "", err
	}
	defer admin.Close(ctx)
	p.n++
	name := fmt.Sprintf("office%d", p.n)
	sql := "create database " + name
	if of != "" {
		sql += " template " + other.Database
	}
	_, err = admin.Exec(ctx, sql)
	return p.c.Address(name), err
}

// setDatabase names a new database to the verbs of a script; without a server the script
// is skipped.
func setDatabase(t *testing.T) func(*testscript.TestScript, bool, []string) {
	return func(ts *testscript.TestScript, _ bool, _ []string) {
		at, err := server.database("")
		if errors.Is(err, cluster.ErrNone) {
			t.Skip(err)
		}
		ts.Check(err)
		ts.Setenv("COOLHOLD_OFFICE_DB", at)
	}
}

func (p *postgres) begin() error {
	bin, err := cluster.Find(os.Getenv("COOLHOLD_PG_BIN"))
	if err != nil {
		return err
	}
	dir, err := cluster.Folder()
	if err != nil {
		return err
	}
	if p.c, err = cluster.New(context.Background(), bin, dir); err == nil {
		err = p.c.Start(context.Background(), "fsync=off")
	}
	return err
}

// end ends it, and leaves nothing of it.
func (p *postgres) end() {
	if p.c != nil {
		_ = p.c.Stop() // killed it would leave its shared memory; else nothing of it is wanted
		os.RemoveAll(p.c.Dir())
	}
}
