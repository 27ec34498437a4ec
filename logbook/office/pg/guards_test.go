package pg

import (
	"context"
	"fmt"
	"slices"
	"strings"
	"testing"

	"github.com/jackc/pgx/v5"
)

// Nobody changes a parcel, the owner and the superuser included; a taker writes and sees
// its own log; a client sees what was worked up of its own site; nobody but the office
// itself sees the tokens. Each guard of the database is taken away once, and is missed.
func TestGuards(t *testing.T) {
	needServer(t)
	a, b := of(t, 1, welded(t, "KM")), of(t, 2, welded(t, "KN"))
	o := heard(t, a, b)
	whole := one(t, o, "select current_database()")
	if _, err := o.pool.Exec(context.Background(), "insert into withdrawal select min(no), now(), 'Ida Invented' from admission; insert into settled values ('', 1, '', '{}', now(), 'Ida Invented', '')"); err != nil {
		t.Fatal(err)
	}
	o.Close()
	guarded := func() *Office { return open(t, copyOf(t, server, whole)) }
	o = guarded()
	if found := passed(t, o, a, b); len(found) > 0 {
		t.Errorf("what the guards let pass: %q", found)
	}
	sameLines(t, o, a, 0)
	guards := []string{
		"drop trigger untouched on parcel", "drop trigger untouched_all on parcel",
		"drop trigger untouched on admission", "drop trigger untouched on withdrawal", "drop trigger untouched_all on withdrawal",
		"drop trigger untouched on settled", "drop trigger untouched_all on settled",
		"grant select on token to coolhold_reader", "grant select on waiting to coolhold_client",
		"grant select on parcel to coolhold_client; create policy x on parcel for select to coolhold_client using (true)",
		"grant update on parcel to coolhold_taker; drop trigger untouched on parcel",
	}
	for _, table := range []string{"log", "parcel", "sifted", "site", "sealed", "holds", "worked", "weld", "joint", "finding"} {
		guards = append(guards, "alter table "+table+" disable row level security")
	}
	for _, guard := range guards {
		o := guarded()
		if _, err := o.pool.Exec(context.Background(), guard); err != nil {
			t.Fatalf("%s: %v", guard, err)
		}
		if found := passed(t, o, a, b); len(found) == 0 {
			t.Errorf("%s: nothing tells that the guard is missing", guard)
		}
		o.Close()
	}
}

// passed is what could be done that the guards are there against; nothing of it stays.
func passed(t *testing.T, o *Office, a, b *laptop) (found []string) {
	t.Helper()
	// tried tells whether something can be done in a role, and undoes it.
	tried := func(role, of, sql string, args ...any) (n int64, done bool) {
		err := o.as(context.Background(), role, of, func(tx pgx.Tx) error {
			tag, err := tx.Exec(context.Background(), sql, args...)
			if err == nil {
				n, done = tag.RowsAffected(), true
			}
			return fmt.Errorf("undone: %w", err)
		})
		if err == nil {
			t.Fatal("what was tried was not undone")
		}
		return n, done
	}
	may := func(role, of, sql string, args ...any) {
		if n, done := tried(role, of, sql, args...); done && (n > 0 || strings.HasPrefix(sql, "truncate")) {
			found = append(found, role+": "+sql)
		}
	}
	for _, role := range []string{"", "coolhold_owner", taker, reader, client} {
		for _, sql := range []string{
			"update parcel set lines = ''", "delete from parcel", "truncate parcel",
			"update admission set crew = ''", "delete from admission", "truncate admission cascade", "update withdrawal set withdrew = ''", "delete from withdrawal", "truncate withdrawal",
			"update settled set why = ''", "delete from settled", "truncate settled",
		} {
			may(role, a.id, sql)
		}
	}
	uid := one(t, o, `select uid from site where log = $1`, a.id)
	for _, role := range []string{taker, reader, client} {
		may(role, a.id, "select count(*) from token")
		may(role, a.id, "select count(*) from waiting")
	}
	for table, column := range map[string]string{"log": "id", "parcel": "log", "sifted": "log", "site": "log", "sealed": "log"} {
		may(taker, a.id, "select from "+table+" where "+column+" = $1", b.id)
		may(client, uid, "select from "+table+" where "+column+" = $1", b.id)
	}
	other := one(t, o, `select no::text from site where log = $1`, b.id)
	for _, table := range []string{"holds", "worked", "weld", "joint", "finding"} {
		may(taker, a.id, "select from "+table+" where site = $1::int", other)
		may(taker, a.id, "delete from "+table+" where site = $1::int", other)
		may(client, uid, "select from "+table+" where site = $1::int", other)
	}
	may(taker, a.id, "insert into parcel select $1, branch, last + 1, last + 1, edge, root, note, key, taken, lines from parcel where log = $2 limit 1", b.id, a.id)
	may(taker, a.id, "insert into sealed values ($1, 0, 1, '')", b.id)
	may(client, uid, "select from parcel")

	// What they are there for they can do.
	for _, sql := range []string{"select from log", "select from parcel", "select from site", "select from weld", "update log set heard = heard"} {
		if n, done := tried(taker, a.id, sql); !done || n == 0 {
			t.Errorf("a taker cannot do: %s", sql)
		}
	}
	for _, table := range []string{"site", "worked", "weld", "joint", "finding"} {
		if n, done := tried(client, uid, "select from "+table); !done || n == 0 {
			t.Errorf("a client sees nothing of %s", table)
		}
	}
	if n, done := tried(reader, "", "select from log"); !done || n != 2 {
		t.Errorf("a reader sees %d logs", n)
	}
	slices.Sort(found)
	return found
}
