package pg

import (
	"context"
	"errors"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/jackc/pgx/v5/pgxpool"

	"coolhold/logbook/crew"
	"coolhold/logbook/office"
	"coolhold/logbook/recall"
)

// A table of what was worked up can be dropped: who asks, and who opens the office, is told
// what to do, and it is made anew by a rebuild and with what is worked up next.
func TestWorkedUpIsMadeAnew(t *testing.T) {
	o := heard(t, of(t, 1, welded(t, "KM")), of(t, 2, welded(t, "KN")))
	ctx, who := context.Background(), granted(t, o, "")
	before := dump(t, o)
	tables := gone(workedSchema, nil)
	if !slices.Contains(tables, "worked") || !slices.Contains(tables, "weld") || len(tables) < 8 {
		t.Fatalf("worked up are %v", tables)
	}
	for i, table := range tables {
		if _, err := o.pool.Exec(ctx, "drop table "+table+" cascade"); err != nil {
			t.Fatal(err)
		}
		if _, err := o.Recall(ctx, who, office.RecallAsk{Query: recall.Query{Unit: crew.Unit}}); errors.Is(err, ErrWorkedGone) {
			want(t, "said", err.Error(), table+": "+ErrWorkedGone.Error())
		} else if slices.Contains([]string{"weld", "site", "sifted"}, table) {
			t.Errorf("%s is gone: %v", table, err)
		}
		switch i % 3 {
		case 0:
			if faults, err := o.Rebuild(ctx); err != nil || len(faults) > 0 {
				t.Errorf("%s is gone: %v %v", table, faults, err)
			}
		case 1:
			workUp(t, o)
		case 2:
			if _, err := Open(ctx, o.pool.Config().ConnString(), "test", time.Now); !errors.Is(err, ErrWorkedGone) {
				t.Errorf("%s is gone: opened: %v", table, err)
			}
			again, err := OpenToWorkUp(ctx, o.pool.Config().ConnString(), "test", func() time.Time { return now })
			if err != nil {
				t.Fatal(err)
			}
			late, err := again.Late(ctx)
			if want := []string{"log KM from entry 1", "log KN from entry 1"}; err != nil || !slices.Equal(late, want) {
				t.Errorf("%s is gone: behind are %q (%v), want %q", table, late, err, want)
			}
			workUp(t, again)
			again.Close()
		}
		if dump(t, o) != before {
			t.Errorf("%s was dropped: what is worked up is not what it was", table)
		}
		if got, err := o.Recall(ctx, who, office.RecallAsk{Query: recall.Query{Unit: crew.Unit}}); err != nil || len(got.Hits) == 0 || len(got.Late) > 0 {
			t.Errorf("%s was dropped: %d hits, %q, %v", table, len(got.Hits), got.Late, err)
		}
	}
}

// A table that nothing can be made anew from, and a right that was taken, are said by
// their names, with what to do, at once and by a running office.
func TestWhatIsGoneIsNamed(t *testing.T) {
	o := heard(t, of(t, 1, welded(t, "KM")))
	ctx, who := context.Background(), granted(t, o, "")
	type taken struct {
		sql, back, says string
		is              error
	}
	cases := []taken{{"revoke usage on schema coolhold from coolhold_reader", "grant usage on schema coolhold to coolhold_reader", "coolhold_reader may not see what the office keeps", ErrRights}}
	tables := gone(schema, nil)
	if !slices.Contains(tables, "version") || !slices.Contains(tables, "stands") {
		t.Fatalf("laid out are %v", tables)
	}
	for _, table := range tables {
		cases = append(cases, taken{"alter table " + table + " rename to away", "alter table away rename to " + table, table, ErrGone})
	}
	for _, c := range cases {
		if _, err := o.pool.Exec(ctx, c.sql); err != nil {
			t.Fatal(err)
		}
		_, err := o.Recall(ctx, who, office.RecallAsk{Query: recall.Query{Unit: crew.Unit}})
		if strings.Contains(c.sql, "token") && !errors.Is(err, c.is) || c.is == ErrRights && !errors.Is(err, c.is) || errors.Is(err, c.is) && !strings.Contains(err.Error(), c.says) {
			t.Errorf("%s: %v", c.sql, err)
		}
		if _, err := o.WorkUp(ctx); !errors.Is(err, c.is) || !strings.Contains(err.Error(), c.says) {
			t.Errorf("%s: worked up: %v", c.sql, err)
		}
		if _, err := Open(ctx, o.pool.Config().ConnString(), "test", func() time.Time { return now }); c.is == ErrGone && (!errors.Is(err, ErrGone) || !strings.Contains(err.Error(), c.says)) {
			t.Errorf("%s: opened: %v", c.sql, err)
		}
		if _, err := o.pool.Exec(ctx, c.back); err != nil {
			t.Fatal(err)
		}
	}
}

// A right that was taken is there again after a rebuild, and the error says so.
func TestRightsAreGivenAgain(t *testing.T) {
	l := of(t, 1, welded(t, "KM"))
	o := heard(t, l)
	ctx, who := context.Background(), granted(t, o, "")
	if err := o.Rights(ctx); err != nil {
		t.Error(err)
	}
	for taken, lost := range map[string]string{
		"revoke select on weld from coolhold_reader, coolhold_client":                                       "coolhold_client may not select weld, coolhold_reader may not select weld: ",
		"revoke insert on parcel from coolhold_taker":                                                       "coolhold_taker may not insert parcel: ",
		"revoke usage on schema coolhold from coolhold_taker":                                               "coolhold_taker may not see the schema: ",
		"revoke all on all tables in schema coolhold from coolhold_taker, coolhold_reader, coolhold_client": "coolhold_client may not select finding, coolhold_client may not select joint, ",
	} {
		if _, err := o.pool.Exec(ctx, taken); err != nil {
			t.Fatal(err)
		}
		if err := o.Rights(ctx); !errors.Is(err, ErrRights) || !strings.HasPrefix(err.Error(), lost) {
			t.Errorf("%s: %v", taken, err)
		}
		works := func() error {
			_, err := o.Recall(ctx, who, office.RecallAsk{Query: recall.Query{Unit: crew.Unit}})
			if err == nil {
				l.writes(1, "a")
				_, _, err = o.Take(ctx, l.parcel(len(l.lines), len(l.lines)))
			}
			return err
		}
		if err := works(); !errors.Is(err, ErrRights) || !strings.Contains(err.Error(), "coolhold office rebuild gives") {
			t.Errorf("%s: %v", taken, err)
		}
		again, err := OpenToWorkUp(ctx, o.pool.Config().ConnString(), "test", func() time.Time { return now })
		if err != nil {
			t.Fatalf("%s: %v", taken, err)
		}
		if faults, err := again.Rebuild(ctx); err != nil || len(faults) > 0 {
			t.Errorf("%s: %v %v", taken, faults, err)
		}
		again.Close()
		if err := works(); err != nil {
			t.Errorf("%s, and given again: %v", taken, err)
		}
		if err := o.Rights(ctx); err != nil {
			t.Errorf("%s, and given again: %v", taken, err)
		}
	}
}

// When the database was started again nobody who asks meets a connection that died.
func TestConnectionsThatDied(t *testing.T) {
	o := heard(t, of(t, 1, welded(t, "KM")))
	ctx, who := context.Background(), granted(t, o, "")
	together := func() (errs []error) {
		var asked sync.WaitGroup
		var mu sync.Mutex
		for range 4 {
			asked.Go(func() {
				if _, err := o.Recall(ctx, who, office.RecallAsk{Query: recall.Query{Unit: crew.Unit}}); err != nil {
					mu.Lock()
					errs = append(errs, err)
					mu.Unlock()
				}
			})
		}
		asked.Wait()
		return errs
	}
	if errs := together(); len(errs) > 0 {
		t.Fatal(errs)
	}
	var idle []*pgxpool.Conn
	for range 4 {
		c, err := o.pool.Acquire(ctx)
		if err != nil {
			t.Fatal(err)
		}
		idle = append(idle, c)
	}
	for _, c := range idle {
		c.Release()
	}
	want(t, "ended", one(t, o, `select count(pg_terminate_backend(pid))::text from pg_stat_activity where datname = current_database() and pid <> pg_backend_pid()`), "3")
	if errs := together(); len(errs) > 0 {
		t.Errorf("%d of 4 failed: %v", len(errs), errs)
	}
}
