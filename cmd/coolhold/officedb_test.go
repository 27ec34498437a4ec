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

// A postgres is a server for some tests, which starts when the first of them needs it.
type postgres struct {
	t     *testing.T
	start sync.Once
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
	p.start.Do(func() { err = p.begin() })
	if err != nil {
		return "", err
	}
	if p.c == nil {
		return "", cluster.ErrNone
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
func (p *postgres) setDatabase(ts *testscript.TestScript, _ bool, _ []string) {
	at, err := p.database("")
	if errors.Is(err, cluster.ErrNone) {
		p.t.Skip(err)
	}
	ts.Check(err)
	ts.Setenv("COOLHOLD_OFFICE_DB", at)
}

func (p *postgres) begin() error {
	bin, err := cluster.Find(os.Getenv("COOLHOLD_PG_BIN"))
	if errors.Is(err, cluster.ErrNone) {
		return nil
	} else if err != nil {
		return err
	}
	dir, err := cluster.Folder()
	if err != nil {
		return err
	}
	p.t.Cleanup(func() { os.RemoveAll(dir) })
	if p.c, err = cluster.New(context.Background(), bin, dir); err == nil {
		err = p.c.Start(context.Background(), "fsync=off")
	}
	p.t.Cleanup(func() { p.c.Kill() })
	return err
}
