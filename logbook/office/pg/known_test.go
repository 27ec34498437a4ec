package pg

import (
	"context"
	"errors"
	"fmt"
	"strings"
	"testing"
	"time"

	"github.com/jackc/pgx/v5"

	"coolhold/logbook/office"
	"coolhold/logbook/seal"
)

// A login that owns its database and may make roles is enough, in a server in which the
// roles are not there yet and in one in which they are.
func TestALoginThatIsNoSuperuser(t *testing.T) {
	ownServerTest(t)
	c := ownServer(t)
	ctx := context.Background()
	admin, err := pgx.Connect(ctx, c.Address("postgres"))
	if err != nil {
		t.Fatal(err)
	}
	defer admin.Close(ctx)
	for _, sql := range []string{"create role firm login createrole", "create database one owner firm", "create database two owner firm"} {
		if _, err := admin.Exec(ctx, sql); err != nil {
			t.Fatal(err)
		}
	}
	l := of(t, 1, welded(t, "KM"))
	for _, name := range []string{"one", "two"} {
		o := open(t, c.Address(name)+" user=firm")
		admitted(t, o, l)
		sendAll(t, o, l)
		workUp(t, o)
		if faults, err := o.Rebuild(ctx); err != nil || len(faults) > 0 {
			t.Fatal(faults, err)
		}
		sound(t, o)
		sameLines(t, o, l, 0)
		if got, err := o.Site(ctx, granted(t, o, ""), office.SiteAsk{}); err != nil || len(got.Lines) == 0 {
			t.Errorf("%s: %d lines, %v", name, len(got.Lines), err)
		}
		o.Close()
	}
}

// What a withdrawn key signs waits from then on and what was taken stays; a withdrawn
// token reads nothing; both can be seen, and a key can be admitted anew.
func TestWithdrawn(t *testing.T) {
	l := of(t, 1, welded(t, "KM"))
	n := len(l.lines)
	o := newOffice(t)
	ctx := context.Background()
	known := func(want ...string) {
		t.Helper()
		all, err := o.Known(ctx)
		if err != nil {
			t.Fatal(err)
		}
		var got []string
		for _, k := range all {
			got = append(got, strings.TrimSpace(fmt.Sprintf("%s %s %s %s %d %v %s", k.What, strings.Split(k.ID, "+")[0], k.Of, k.Logs, k.Parcels, k.Withdrawn != nil, k.Withdrew)))
		}
		if strings.Join(got, "\n") != strings.Join(want, "\n") {
			t.Fatalf("known are\n%s, want\n%s", strings.Join(got, "\n"), strings.Join(want, "\n"))
		}
	}
	want(t, "before it is admitted", take(t, o, l.parcel(1, 10)), "waiting")
	name := strings.Split(seal.KeyID(l.public()), "+")[0]
	known("waiting " + name + " " + l.id + "  1 false")
	admitted(t, o, l)
	want(t, "admitted", take(t, o, l.parcel(1, n-10)), fmt.Sprintf("level, %d held", n-10))
	who := granted(t, o, "")
	all, err := o.Known(ctx)
	if err != nil || len(all) != 2 {
		t.Fatal(all, err)
	}
	token := all[1].ID
	for _, id := range []string{seal.KeyID(l.public()), token} {
		if err := o.Withdraw(ctx, id, "Ida Invented"); err != nil {
			t.Fatal(err)
		}
		if err := o.Withdraw(ctx, id, "Ida Invented"); !errors.Is(err, office.ErrNotHeld) {
			t.Errorf("withdrawn twice: %v", err)
		}
	}
	known("laptop "+name+" crew 1, invented KM 0 true Ida Invented", "token "+token+"   0 true Ida Invented")
	want(t, "withdrawn", take(t, o, l.parcel(n-9, n)), "waiting")
	if _, err := o.Site(ctx, who, office.SiteAsk{}); !errors.Is(err, office.ErrRefused) || !strings.Contains(err.Error(), "withdrawn on") {
		t.Errorf("a withdrawn token: %v", err)
	}
	sound(t, o)
	admitted(t, o, l)
	known("laptop "+name+" crew 1, invented KM 0 false", "token "+token+"   0 true Ida Invented")
	want(t, "admitted anew", take(t, o, l.parcel(n+1, n)), fmt.Sprintf("level, %d held", n))
}

// An office goes on signing with one key: another is taken only where that is said.
func TestTheKeyOfAnOffice(t *testing.T) {
	o := newOffice(t)
	ctx := context.Background()
	signs := func(public string, anew bool, want error, stands string) {
		t.Helper()
		if err := o.SignWith(ctx, public, anew); !errors.Is(err, want) {
			t.Errorf("%s: %v, want %v", public, err, want)
		}
		if got, err := o.Signs(ctx); got != stands || err != nil {
			t.Errorf("it signs with %q (%v), want %q", got, err, stands)
		}
	}
	if got, err := o.Signs(ctx); got != "" || err != nil {
		t.Errorf("%q, %v", got, err)
	}
	signs("a", false, nil, "a")
	signs("a", false, nil, "a")
	signs("b", false, ErrOtherKey, "a")
	was := now
	defer func() { now = was }()
	now = now.Add(time.Hour)
	signs("b", true, nil, "b")
	now = now.Add(time.Hour)
	signs("a", false, ErrOtherKey, "b")
	signs("a", true, nil, "a")
}

// One log that cannot be gone through keeps no other from being worked up, and is named.
func TestADamagedParcelIsOfItsLogAlone(t *testing.T) {
	a, b := of(t, 1, welded(t, "KM")), of(t, 2, welded(t, "KN"))
	o := heard(t, a, b)
	ctx := context.Background()
	for _, sql := range []string{"alter table parcel disable trigger all", "update parcel set lines = '\\x00' where log = '" + a.id + "' and first = 1", "alter table parcel enable trigger all"} {
		if _, err := o.pool.Exec(ctx, sql); err != nil {
			t.Fatal(err)
		}
	}
	faults, err := o.Rebuild(ctx)
	if err != nil || len(faults) != 1 || faults[0].Log != a.id || faults[0].Site != "" || !strings.Contains(faults[0].Why, "log "+a.id+", branch 0, the parcel from entry 1") {
		t.Fatalf("%v, %v", faults, err)
	}
	if n := one(t, o, `select string_agg(distinct tag, ' ') from weld w join site s on s.no = w.site`); n != "KN" {
		t.Errorf("there are the welds of %q", n)
	}
	late, err := o.Late(ctx)
	if err != nil || len(late) != 1 || !strings.HasPrefix(late[0], a.id+"/0 from entry 1") {
		t.Errorf("late are %q, %v", late, err)
	}
	if _, _, _, err := o.HandBack(ctx, "KM"); err == nil || !strings.Contains(err.Error(), "the parcel from entry 1") {
		t.Errorf("handed back: %v", err)
	}
}

// Two logs with the same letters are named, with the numbers that both gave; a token can
// be of a site that two laptops hold under one own id.
func TestTwoLogsWithTheSameLetters(t *testing.T) {
	o := heard(t, of(t, 1, welded(t, "KM")), of(t, 2, welded(t, "KM")), of(t, 3, welded(t, "KN")))
	ctx := context.Background()
	forks, err := o.Forks(ctx)
	if err != nil || len(forks) != 1 || forks[0].Tag != "KM" || forks[0].Other == "" || forks[0].Other == forks[0].Log || len(forks[0].Twice) == 0 {
		t.Fatalf("%+v, %v", forks, err)
	}
	who := granted(t, o, "")
	_, err = o.Site(ctx, who, office.SiteAsk{Log: "km"})
	if !errors.Is(err, office.ErrNotHeld) || !strings.Contains(err.Error(), "--log "+forks[0].Log+" --site") {
		t.Errorf("by the letters: %v", err)
	}
	if got, err := o.Site(ctx, who, office.SiteAsk{Log: "kn"}); err != nil || got.Tag != "KN" {
		t.Errorf("by small letters: %v, %v", got.Tag, err)
	}
	_, err = o.Site(ctx, who, office.SiteAsk{Log: "ZZ"})
	if fmt.Sprint(err) != office.ErrNotHeld.Error()+`: no log "ZZ"` {
		t.Errorf("of a log that is none: %v", err)
	}
}
