package pg

import (
	"bytes"
	"context"
	"encoding/base64"
	"errors"
	"fmt"
	"reflect"
	"regexp"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/jackc/pgx/v5"

	"coolhold/logbook/acts"
	"coolhold/logbook/crew"
	"coolhold/logbook/office"
	"coolhold/logbook/office/pg/cluster"
	"coolhold/logbook/recall"
	"coolhold/logbook/seal"
)

// withRoles is a server of its own in which these were executed.
func withRoles(t *testing.T, statements ...string) *cluster.Cluster {
	t.Helper()
	ownServerTest(t)
	c, ctx := ownServer(t), context.Background()
	admin, err := pgx.Connect(ctx, c.Address("postgres"))
	if err != nil {
		t.Fatal(err)
	}
	defer admin.Close(ctx)
	for _, sql := range statements {
		if _, err := admin.Exec(ctx, sql); err != nil {
			t.Fatal(err)
		}
	}
	return c
}

// A login that owns its database and may make roles is enough, in a server in which the
// roles are not there yet and in one in which they are.
func TestALoginThatIsNoSuperuser(t *testing.T) {
	c, ctx := withRoles(t, "create role firm login createrole", "create database one owner firm", "create database two owner firm"), context.Background()
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

// A database that is away, not there, or does not let a login do what it must, says what
// to do.
func TestWhatToDoAboutADatabase(t *testing.T) {
	c, ctx := withRoles(t, "create role firm login createrole", "create role other login", "create database one owner firm", "create database two owner other"), context.Background()
	o := open(t, c.Address("one")+" user=firm")
	defer o.Close()
	for _, q := range []struct {
		at    string
		is    error
		words string
	}{
		{c.Address("two") + " user=other", ErrRights, "alter role LOGIN createrole"},
		{c.Address("one") + " user=other", ErrRights, "run it as the user who runs serve"},
		{c.Address("three") + " user=firm", ErrNone, "createdb"},
		{c.Address("one") + " user=nobody", ErrLogin, "the name of the system user"},
		{"host=/nowhere dbname=one", ErrAway, "systemctl status postgresql"},
	} {
		_, err := Open(ctx, q.at, "test", func() time.Time { return now })
		if !errors.Is(err, q.is) || strings.Count(err.Error(), q.words) != 1 {
			t.Errorf("%s: %v", q.at, err)
		}
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
	known("waiting " + name + " KM  1 false")
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
	ended := "waiting, withdrawn 2026-05-04 07:00:00 by Ida Invented, held "
	want(t, "withdrawn", take(t, o, l.parcel(n-9, n)), ended+"false")
	if n, err := o.waiting(ctx, l.id); err != nil || n != 1 {
		t.Errorf("of the log %d parcels wait, %v", n, err)
	}
	want(t, "taken before", take(t, o, l.parcel(1, 10)), ended+"true")
	want(t, "that it is there", take(t, o, l.parcel(n-9, n-10)), ended+"true")
	want(t, "that there is more", take(t, o, l.parcel(n+1, n)), ended+"false")
	known("laptop "+name+" crew 1, invented KM 0 true Ida Invented", "token "+token+"   0 true Ida Invented", "waiting "+name+" KM  1 true Ida Invented")
	forged := bytes.Replace(l.parcel(n-9, n), l.note(n), newNote(t, l, n), 1)
	want(t, "signed by who has not the key", take(t, o, forged)[:30], "refused: "+office.ErrParcel.Error()[:21])
	if _, err := o.Site(ctx, who, office.SiteAsk{}); !errors.Is(err, office.ErrRefused) || !strings.Contains(err.Error(), "withdrawn on") {
		t.Errorf("a withdrawn token: %v", err)
	}
	sound(t, o)
	waited := now
	now = now.Add(time.Hour)
	defer func() { now = waited }()
	if got, err := o.Admit(ctx, l.public(), l.key.Public(), "crew 2, invented", "Ada Invented"); err != nil || got.Parcels != 1 || got.Entries != 10 || !got.Since.Equal(waited) {
		t.Errorf("admitted anew: %+v, %v", got, err)
	}
	if _, err := o.Admit(ctx, l.public(), l.key.Public(), "crew 3", "Ada Invented"); err == nil || !strings.Contains(err.Error(), "admitted already") {
		t.Errorf("admitted once more: %v", err)
	}
	known("laptop "+name+" crew 1, invented  0 true Ida Invented", "laptop "+name+" crew 2, invented KM 0 false", "token "+token+"   0 true Ida Invented")
	want(t, "admitted anew", take(t, o, l.parcel(n+1, n)), fmt.Sprintf("level, %d held", n))
}

// newNote is the note of a laptop's seal with a signature that is none.
func newNote(t *testing.T, l *laptop, n int) []byte {
	t.Helper()
	text := l.note(n)
	end := bytes.LastIndexByte(bytes.TrimSpace(text), ' ') + 1
	data, err := base64.StdEncoding.DecodeString(string(bytes.TrimSpace(text[end:])))
	if err != nil {
		t.Fatal(err)
	}
	data[len(data)-1] ^= 1
	return append(bytes.Clone(text[:end]), base64.StdEncoding.EncodeToString(data)+"\n"...)
}

// A weld is of the crew that its key had when it was made, also once the key has gone to
// another crew, the log to another laptop, and all is worked up anew. What an old crew made
// and did not send before is its own.
func TestAKeyThatGoesToAnotherCrew(t *testing.T) {
	was := now
	defer func() { now = was }()
	o := newOffice(t)
	ctx := context.Background()
	c := ready(t, "KM")
	admit := func(l *laptop, crew string) {
		t.Helper()
		now = c.H.At.Wall
		if _, err := o.Admit(ctx, l.public(), l.key.Public(), crew, "Ada Invented"); err != nil {
			t.Fatal(err)
		}
	}
	sends := func(l *laptop) {
		t.Helper()
		now = c.H.At.Wall
		want(t, "sent", take(t, o, l.parcel(1, len(l.lines)))[:5], "level")
		workUp(t, o)
	}
	crews := func(should string) {
		t.Helper()
		want(t, "crews", one(t, o, `select string_agg(joint || ' ' || crew, ', ' order by joint) from (select w.joint, `+crewSQL+` as crew from weld w join site s on s.no = w.site) as them`), should)
	}
	c.Done("1A")
	admit(of(t, 1, c), "north") // its first weld is older
	sends(of(t, 1, c))
	crews("1A north")
	c.Done("1B")
	c.Wait(time.Minute)
	now = c.H.At.Wall
	if err := o.Withdraw(ctx, seal.KeyID(of(t, 1, c).public()), "Ida Invented"); err != nil {
		t.Fatal(err)
	}
	c.Wait(time.Minute)
	admit(of(t, 1, c), "south")
	crews("1A north")
	c.Done("2A")
	sends(of(t, 1, c))
	crews("1A north, 1B north, 2A south")
	c.Done("2B")
	admit(of(t, 2, c), "west") // the log is on another laptop, with a key of its own
	other := of(t, 2, c)
	other.id = of(t, 1, c).id
	sends(other)
	crews("1A north, 1B north, 2A south, 2B west")
	if _, err := o.Rebuild(ctx); err != nil {
		t.Fatal(err)
	}
	crews("1A north, 1B north, 2A south, 2B west")
	rates, few, err := o.Rates(ctx, "crew")
	if err != nil || few != 3 || len(rates) != 0 {
		t.Errorf("%+v, %d crews with few welds, %v", rates, few, err)
	}
}

// Who was never heard of and who waits is no laptop that was heard of.
func TestSilentOfThoseThatNeverSent(t *testing.T) {
	o := newOffice(t)
	ctx := context.Background()
	silent := func(laptops int, should ...string) {
		t.Helper()
		all, n, err := o.Silent(ctx, now.Add(-time.Hour))
		if err != nil || n != laptops {
			t.Errorf("%d laptops, %v; want %d", n, err, laptops)
		}
		has := []string{}
		for _, q := range all {
			has = append(has, fmt.Sprintf("%s %s %s %d %t", q.What, q.Tag, q.Crew, q.Parcels, q.Withdrawn))
		}
		want(t, "silent", strings.Join(has, "\n"), strings.Join(should, "\n"))
	}
	silent(0)
	l, m := newLaptop(t, 1).writes(9, "a"), newLaptop(t, 2).writes(9, "b")
	admitted(t, o, l)
	want(t, "of another", take(t, o, m.parcel(1, 9)), "waiting")
	silent(1, "never  crew 1, invented 0 false", "waiting KM  1 false")
	want(t, "its own", take(t, o, l.parcel(1, 9)), "level, 9 held")
	silent(1, "waiting KM  1 false")
	if err := o.Withdraw(ctx, seal.KeyID(l.public()), "Ida Invented"); err != nil {
		t.Fatal(err)
	}
	was := now
	defer func() { now = was }()
	now = now.Add(2 * time.Hour)
	silent(0, "silent KM crew 1, invented 0 true", "waiting KM  1 false")
	want(t, "withdrawn", take(t, o, l.writes(1, "a").parcel(10, 10)), "waiting, withdrawn 2026-05-04 07:00:00 by Ida Invented, held false")
	silent(0, "silent KM crew 1, invented 0 true", "waiting KM  1 false", "waiting KM crew 1, invented 1 true")
}

// A recall names logs as the other questions do, refuses one that there is not, and tells
// of what it cannot know.
func TestARecallNamesLogs(t *testing.T) {
	a, b := of(t, 1, welded(t, "KM")), of(t, 2, welded(t, "KN"))
	o := heard(t, a, b)
	ctx := context.Background()
	part := a.copy(len(a.lines)-1).writes(1, "another")
	want(t, "another course", take(t, o, part.parcel(1, len(part.lines)))[:6], "parted")
	workUp(t, o)
	whole, client := granted(t, o, ""), granted(t, o, one(t, o, `select uid from site where tag = 'KN'`))
	found := func(who office.Reader, should string, logs ...string) {
		t.Helper()
		got, err := o.Recall(ctx, who, office.RecallAsk{Query: recall.Query{Unit: crew.Unit}, Logs: logs})
		has := fmt.Sprint(err)
		if err == nil {
			has = ""
			for _, l := range got.Logs {
				has += fmt.Sprintf("%s/%d ", l.Tag, l.Branch)
			}
		}
		if want(t, fmt.Sprint(logs), strings.TrimSpace(has), should); err != nil && !errors.Is(err, office.ErrNotHeld) {
			t.Errorf("%v: %v", logs, err)
		}
	}
	none := office.ErrNotHeld.Error() + ": no log "
	found(whole, "KM/0 KN/0")
	found(whole, "KM/0", "KM")
	found(whole, "KM/0", "km")
	found(whole, "KM/0", a.id)
	found(whole, "KM/0", "km/0")
	found(whole, "KM/0 KN/0", "km/0", "KN", "km")
	found(whole, none+`"XX"`, "XX")
	found(whole, none+`"KM/7"`, "KM", "KM/7")
	found(whole, none+`"LM"`, "LM")
	found(client, "KN/0")
	found(client, "KN/0", "kn")
	found(client, none+`"KM", or this token does not read it`, "KM")
	got, err := o.Recall(ctx, whole, office.RecallAsk{Query: recall.Query{Unit: crew.Unit}, Logs: []string{"KM/1"}})
	if err != nil || len(got.Logs) != 1 || len(got.Hits) != 3 { // they were begun before it parted, and are its own too
		t.Errorf("of the other course: %+v, %v", got, err)
	}

	was := now
	defer func() { now = was }()
	now = now.Add(8 * 24 * time.Hour)
	take(t, o, b.parcel(len(b.lines)+1, len(b.lines)))
	waits := newLaptop(t, 3).writes(3, "c")
	want(t, "not admitted", take(t, o, waits.parcel(1, 3)), "waiting")
	never := newLaptop(t, 4)
	now = was
	admitted(t, o, never)
	now = now.Add(8 * 24 * time.Hour)
	gaps := func(who office.Reader, should string, logs ...string) {
		t.Helper()
		got, err := o.Recall(ctx, who, office.RecallAsk{Query: recall.Query{Unit: crew.Unit}, Logs: logs})
		if err != nil {
			t.Fatal(err)
		}
		has := ""
		for _, s := range got.Silent {
			has += fmt.Sprintf("%q %s, ", s.Tag, s.Heard.UTC().Format(time.DateOnly))
		}
		want(t, fmt.Sprintf("unknown of %v", logs), fmt.Sprintf("%s%d wait", has, got.Waiting), should)
	}
	gaps(whole, `"" 2026-05-04, "KM" 2026-05-04, 1 wait`)
	gaps(whole, `"KM" 2026-05-04, 0 wait`, "km")
	gaps(whole, `0 wait`, "KN")
	gaps(client, `1 wait`)
	gaps(client, `0 wait`, "KN")
}

// One token can be of a site that two laptops opened each for itself, and it is told of
// which logs it is.
func TestATokenForSeveralLogs(t *testing.T) {
	o := heard(t, of(t, 1, welded(t, "KM")), of(t, 2, welded(t, "KN")), of(t, 3, welded(t, "KP")))
	ctx := context.Background()
	name := one(t, o, `select min(name) from site`)
	grant := func(asks ...office.SiteAsk) (office.Reader, string, error) {
		g, err := o.Grant(ctx, strings.NewReader(strings.Repeat("several", 9)), "", "Ada Invented", asks...)
		return office.Reader{Token: g.Token}, g.ID, err
	}
	if _, _, err := grant(office.SiteAsk{Site: name}); !errors.Is(err, office.ErrNotHeld) || !strings.Contains(err.Error(), "as one site") || !strings.Contains(err.Error(), "; or several of them, with --log again for each") {
		t.Errorf("it is not asked which: %v", err)
	}
	who, id, err := grant(office.SiteAsk{Site: name, Log: "KM"}, office.SiteAsk{Site: name, Log: "kp"})
	if err != nil {
		t.Fatal(err)
	}
	for log, sees := range map[string]bool{"KM": true, "KN": false, "KP": true} {
		if got, err := o.Site(ctx, who, office.SiteAsk{Log: log}); sees != (err == nil) || !sees && !errors.Is(err, office.ErrNotHeld) || sees && len(got.Sites) != 1 {
			t.Errorf("%s: %d sites, %v", log, len(got.Sites), err)
		}
	}
	got, err := o.Recall(ctx, who, office.RecallAsk{Query: recall.Query{Batch: "V-77"}})
	if err != nil || len(got.Logs) != 2 || got.Logs[0].Tag != "KM" || got.Logs[1].Tag != "KP" {
		t.Errorf("%+v, %v", got.Logs, err)
	}
	all, err := o.Known(ctx)
	if k := all[len(all)-1]; err != nil || k.ID != id || fmt.Sprint(*k.Reads) != fmt.Sprintf("{%s [KM with each branch of it KP with each branch of it] false}", name) {
		t.Errorf("known as %+v, %v", k, err)
	}
}

// Of a site that several laptops hold under one id of its own, a token reads what it was
// granted of: every log, the logs that are named, or one course of a log; and that is said.
func TestATokenReadsTheLogsThatAreNamed(t *testing.T) {
	first := readyOn(t, "KM", "act")
	first.Done("1A")
	other := readyOn(t, "KN", "act")
	other.Done("1B")
	third := readyOn(t, "KP", "act")
	third.Done("2A")
	km := of(t, 1, first)
	o := heard(t, km, of(t, 2, other))
	last := len(km.lines)
	anew := km.copy(last - 1) // and went on in another way
	anew.lines = append(anew.lines, bytes.Replace(km.lines[last-1], []byte(`"id":"`), []byte(`"id":"b`), 1))
	want(t, "the same log on another laptop", take(t, o, anew.parcel(last, last)), fmt.Sprintf("parted, %d held, branch 1 from entry %d", last, last))
	workUp(t, o)
	ctx := context.Background()
	site := one(t, o, `select min(name) from site`)
	for i, q := range []struct {
		logs         []string
		reads, known string
	}{
		{nil, "[KM KM/1 KN KP]", "[KM KM/1 KN] every true"},
		{[]string{"KM"}, "[KM KM/1]", "[KM with each branch of it] every false"},
		{[]string{"KM/0", "kn"}, "[KM KN]", "[KM/0 KN with each branch of it] every false"},
		{[]string{"KM/1"}, "[KM/1]", "[KM/1] every false"},
	} {
		var asks []office.SiteAsk
		for _, log := range q.logs {
			asks = append(asks, office.SiteAsk{Site: site, Log: log})
		}
		if q.logs == nil {
			asks = []office.SiteAsk{{Site: site}}
		}
		g, err := o.Grant(ctx, strings.NewReader(strings.Repeat(fmt.Sprint("named", i), 9)), "", "Ada Invented", asks...)
		if err != nil {
			t.Fatal(err)
		}
		want(t, fmt.Sprint("said of ", q.logs), fmt.Sprintf("%v every %t", g.Logs, g.Every), q.known)
		if i == 0 { // and what comes later
			p := of(t, 3, third)
			admitted(t, o, p)
			sendAll(t, o, p)
			workUp(t, o)
			g.Logs = append(g.Logs, "KP")
		}
		who := office.Reader{Token: g.Token}
		sees := []string{}
		for _, log := range []string{"KM/0", "KM/1", "KN", "KP"} {
			if _, err := o.Site(ctx, who, office.SiteAsk{Log: log}); err == nil {
				sees = append(sees, strings.TrimSuffix(log, "/0"))
			} else if !errors.Is(err, office.ErrNotHeld) {
				t.Errorf("%v: %s: %v", q.logs, log, err)
			}
		}
		want(t, fmt.Sprint("seen of ", q.logs), fmt.Sprint(sees), q.reads)
		got, err := o.Recall(ctx, who, office.RecallAsk{Query: recall.Query{Unit: crew.Unit}})
		found := []string{}
		for _, l := range got.Logs {
			name := l.Tag
			if l.Branch > 0 {
				name += fmt.Sprint("/", l.Branch)
			}
			found = append(found, name)
		}
		if text := fmt.Sprint(found); err != nil || text != q.reads && text != strings.Replace(q.reads, " KM/1", "", 1) { // what both courses tell alike is told once
			t.Errorf("%v: found in %v, %v", q.logs, found, err)
		}
		all, err := o.Known(ctx)
		if err != nil || !slices.ContainsFunc(all, func(k Known) bool { return k.ID == g.ID && reflect.DeepEqual(*k.Reads, g.Scope) }) {
			t.Errorf("%v: known are %+v, %v", q.logs, all, err)
		}
	}
	if _, err := o.Site(ctx, granted(t, o, site), office.SiteAsk{}); err == nil || strings.Contains(err.Error(), "or all of it") {
		t.Errorf("two courses of a log are offered as one: %v", err)
	}
	g, err := o.Grant(ctx, strings.NewReader(strings.Repeat("two", 9)), "", "Ada Invented", office.SiteAsk{Site: site, Log: "KN"}, office.SiteAsk{Site: site, Log: "KP"})
	if err != nil {
		t.Fatal(err)
	}
	at := one(t, o, `select min(site) from site`)
	_, err = o.Site(ctx, office.Reader{Token: g.Token}, office.SiteAsk{})
	want(t, "of two logs", fmt.Sprint(err), strings.ReplaceAll("the office does not hold it as one site; name one: --log KN --site AT, or --log KP --site AT; or all of it, since it is one site by its own id: --log KN --log KP --site AT", "AT", at))
}

// While rows are made anew, and before they are, nobody is told that there is none without
// being told that not all was looked through: a client neither, who learns of no other log.
func TestAClientIsToldWhatIsNotWorkedUp(t *testing.T) {
	first, other := readyOn(t, "KM", "act"), welded(t, "KN")
	first.Done("1A")
	o := heard(t, of(t, 1, first), of(t, 2, other))
	ctx := context.Background()
	name := one(t, o, `select uid from site where tag = 'KM'`)
	every := granted(t, o, name)
	g, err := o.Grant(ctx, strings.NewReader(strings.Repeat("named", 9)), "", "Ada Invented", office.SiteAsk{Site: name, Log: "KM"})
	if err != nil {
		t.Fatal(err)
	}
	one := office.Reader{Token: g.Token}
	var logs []string // that are named
	told := func(what string, who office.Reader, hits int, late ...string) {
		t.Helper()
		got, err := o.Recall(ctx, who, office.RecallAsk{Query: recall.Query{Unit: crew.Unit}, Logs: logs})
		if err != nil || len(got.Hits) != hits || fmt.Sprint(got.Late) != fmt.Sprint(late) {
			t.Errorf("%s: %d hits, late %q, %v; want %d, %q", what, len(got.Hits), got.Late, err, hits, late)
		}
	}
	told("all is worked up", every, 1)
	told("all is worked up", one, 1)
	if _, err := o.pool.Exec(ctx, `drop table weld cascade`); err != nil {
		t.Fatal(err)
	}
	again, err := OpenToWorkUp(ctx, o.pool.Config().ConnString(), "test", func() time.Time { return now }) // and is not yet
	if err != nil {
		t.Fatal(err)
	}
	defer again.Close()
	goesThrough := func(l *laptop) {
		t.Helper()
		for more := true; more; {
			var err error
			if more, err = o.sift(ctx, course{log: l.id, tag: l.tag}); err != nil {
				t.Fatal(err)
			}
		}
	}
	told("nothing is", every, 0, "all of a log that may have your site, of which nothing is gone through yet")
	told("nothing is", one, 0, "log KM from entry 1")
	_, err = o.Site(ctx, one, office.SiteAsk{})
	want(t, "a site that is not", fmt.Sprint(err), "the office does not hold it: no site yet; what was sent last is not worked up yet, try again in a minute, or this token does not read it")
	goesThrough(of(t, 2, other))
	told("another log was gone through", one, 0, "log KM from entry 1")
	goesThrough(of(t, 1, first))
	told("sites are known", every, 0, "log KM site invented-meadow")
	told("sites are known", one, 0, "log KM site invented-meadow")
	workUp(t, o)
	told("all is worked up again", every, 1)
	l := of(t, 2, other).writes(1, "a")
	take(t, o, l.parcel(len(l.lines), len(l.lines)))
	told("another log has more", every, 1, "what was sent last")
	told("another log has more", one, 1)
	logs = []string{"KM"}
	told("another log has more than the one that is named", every, 1)
	l = of(t, 1, first).writes(1, "a")
	take(t, o, l.parcel(len(l.lines), len(l.lines)))
	told("the one that is named has more", every, 1, "what was sent last")
	logs = nil
	workUp(t, o)

	// However often it is made anew while somebody asks.
	stop := make(chan struct{})
	var rebuilds sync.WaitGroup
	rebuilds.Go(func() {
		for {
			select {
			case <-stop:
				return
			default:
				if _, err := again.Rebuild(ctx); err != nil {
					t.Error(err)
				}
			}
		}
	})
	for range 50 {
		got, err := o.Recall(ctx, one, office.RecallAsk{Query: recall.Query{Unit: crew.Unit}})
		if err != nil || len(got.Hits) == 0 && len(got.Late) == 0 {
			t.Fatalf("nothing is found, and nothing said: %v", err)
		}
	}
	close(stop)
	rebuilds.Wait()
}

// Sites of old logs have no id of their own: a token of one reads no other log's.
func TestATokenForASiteWithoutItsOwnId(t *testing.T) {
	var ls []*laptop
	for i, tag := range []string{"KM", "KN"} {
		l := of(t, i+1, welded(t, tag))
		for n, line := range l.lines {
			l.lines[n] = regexp.MustCompile(`"uid":"[0-9a-f]{16}",?`).ReplaceAll(line, nil)
		}
		ls = append(ls, l)
	}
	o := heard(t, ls...)
	want(t, "own ids", one(t, o, `select count(*)::text from site where uid ~ '^[0-9a-f]{16}$'`), "0")
	who := granted(t, o, one(t, o, `select uid from site where tag = 'KM'`))
	for log, sees := range map[string]bool{"KM": true, "KN": false} {
		if _, err := o.Site(context.Background(), who, office.SiteAsk{Log: log}); sees != (err == nil) {
			t.Errorf("%s: %v", log, err)
		}
	}
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
	if err != nil || len(late) != 1 || late[0] != "log KM from entry 1" {
		t.Errorf("late are %q, %v", late, err)
	}
	if _, _, _, err := o.HandBack(ctx, "KM"); err == nil || !strings.Contains(err.Error(), "the parcel from entry 1") {
		t.Errorf("handed back: %v", err)
	}
}

// Two logs with the same letters are named, with the numbers that both gave; a token can
// be of a site that two laptops hold under one own id.
func TestTwoLogsWithTheSameLetters(t *testing.T) {
	first, second := welded(t, "KM"), welded(t, "KM")
	anew := &crew.Crew{T: t, Memory: first.Clone(), H: first.H}
	o := heard(t, of(t, 1, first), of(t, 2, second), of(t, 3, welded(t, "KN")))
	ctx := context.Background()
	forks, err := o.Forks(ctx)
	if err != nil || len(forks) != 1 || forks[0].Tag != "KM" || forks[0].Other == "" || forks[0].Other == forks[0].Log || len(forks[0].Twice) != 3 || !forks[0].Open {
		t.Fatalf("%+v, %v", forks, err)
	}
	if f, err := o.Settle(ctx, "km", "Ida Invented", "the second begins again with other letters"); err != nil || f.Other == "" || f.Open {
		t.Errorf("settled is %+v, %v", f, err)
	}
	if again, err := o.Forks(ctx); err != nil || len(again) != 1 || again[0].Open || again[0].Settled[0].Why != "the second begins again with other letters" {
		t.Errorf("after it was settled: %+v, %v", again, err)
	}

	name := one(t, o, `select min(name) from site where tag = 'KM'`)
	if _, err := o.Grant(ctx, strings.NewReader(strings.Repeat("letters", 9)), "", "Ada Invented", office.SiteAsk{Site: name, Log: "KM"}); !errors.Is(err, office.ErrNotHeld) || !strings.Contains(err.Error(), forks[0].Other) {
		t.Errorf("a token for letters that two logs have: %v", err)
	}
	g, err := o.Grant(ctx, strings.NewReader(strings.Repeat("letters", 9)), "", "Ada Invented", office.SiteAsk{Site: name, Log: forks[0].Other})
	if want := "KM (" + forks[0].Other + ") with each branch of it"; err != nil || len(g.Logs) != 1 || g.Logs[0] != want {
		t.Errorf("a token for one of them reads %q, %v", g.Logs, err)
	}

	// A branch of the first gives a number that the second has: it stands before the others.
	second.Done("2B")
	first.Do(acts.NoteOn(first.H, "KM-0001", "on the other")) // else it is no branch
	anew.Wait(time.Hour)
	anew.H.ID = "another"
	anew.Done("1B")
	for _, l := range []*laptop{of(t, 2, second), of(t, 1, first), of(t, 1, anew)} {
		take(t, o, l.parcel(1, len(l.lines)))
	}
	workUp(t, o)
	if forks, err = o.Forks(ctx); err != nil || len(forks) != 2 {
		t.Fatalf("with a branch: %+v, %v", forks, err)
	}
	forks = forks[1:]
	if tw := forks[0].Twice; !forks[0].Open || len(tw) != 4 || tw[0].Weld != "KM-0004" || tw[0].Branch+tw[0].There != 1 || tw[0].Settled || !tw[1].Settled {
		t.Errorf("with a branch: %+v", tw)
	}
	who := granted(t, o, "")
	_, err = o.Site(ctx, who, office.SiteAsk{Log: "km"})
	if !errors.Is(err, office.ErrNotHeld) || !strings.Contains(err.Error(), "--log "+forks[0].Log+"/1 --site") || !strings.Contains(err.Error(), "--log "+forks[0].Other+" --site") {
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
