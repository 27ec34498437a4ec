package pg

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/jackc/pgx/v5"

	"coolhold/fusion"
	"coolhold/logbook"
	"coolhold/logbook/acts"
	"coolhold/logbook/audit"
	"coolhold/logbook/crew"
	"coolhold/logbook/office"
	"coolhold/logbook/recall"
	"coolhold/logbook/register"
)

// ready is a crew of that log with an open shift and a table that was read back.
func ready(t testing.TB, tag string) *crew.Crew {
	t.Helper()
	return readyOn(t, tag, "act "+tag)
}

// readyOn is one on a site whose own id is drawn from an act's.
func readyOn(t testing.TB, tag, act string) *crew.Crew {
	t.Helper()
	c := crew.Tagged(t, tag)
	c.H.ID = act
	c.Opens(crew.PlanText, crew.TableText)
	c.Do(acts.ReadBack(c.H, logbook.Hash(crew.TableText)))
	c.StartShift("2026-03-09")
	return c
}

// welded is a site on which a batch was said in several ways; the second weld is cut out.
func welded(t testing.TB, tag string) *crew.Crew {
	t.Helper()
	c := ready(t, tag)
	c.Done("1A")
	cut := c.Done("1B")
	c.Do(acts.Cut(c.H, cut, "crooked"))
	mended := c.Done("2A")
	c.Do(acts.Correct(c.H, mended, logbook.ItemBatch, "V-77", "misread"))
	c.Do(acts.Correct(c.H, mended, logbook.FieldUnit, "CU-9", "misread"))
	return c
}

// of is the laptop of a crew.
func of(t testing.TB, seed int, c *crew.Crew) *laptop {
	l := newLaptop(t, seed)
	l.lines, l.tag = c.Lines(t), c.Book.Tag()
	return l
}

// heard is an office that took and worked up all that some laptops have, in parts.
func heard(t testing.TB, ls ...*laptop) *Office {
	t.Helper()
	o := newOffice(t)
	admitted(t, o, ls...)
	for _, l := range ls {
		sendAll(t, o, l)
	}
	workUp(t, o)
	return o
}

func sendAll(t testing.TB, o *Office, l *laptop) {
	t.Helper()
	for at := 1; at <= len(l.lines); at += 40 {
		if says := take(t, o, l.parcel(at, min(at+39, len(l.lines)))); !strings.HasPrefix(says, "level") {
			t.Fatal(says)
		}
	}
}

func workUp(t testing.TB, o *Office) {
	t.Helper()
	faults, err := o.WorkUp(context.Background())
	if err != nil || len(faults) > 0 {
		t.Fatalf("%v %v", faults, err)
	}
}

// granted is a token.
func granted(t testing.TB, o *Office, site string) office.Reader {
	t.Helper()
	var asks []office.SiteAsk
	if site != "" {
		asks = append(asks, office.SiteAsk{Site: site})
	}
	g, err := o.Grant(context.Background(), strings.NewReader(strings.Repeat(t.Name()+site, 9)), "", "Ada Invented", asks...)
	if err != nil {
		t.Fatal(err)
	}
	return office.Reader{Token: g.Token}
}

// csvOf is the register of a book's site.
func csvOf(t testing.TB, book *logbook.Book, site string, asOf fusion.Stamp) string {
	t.Helper()
	var out bytes.Buffer
	rep := register.New(book, site, audit.Run(book, site, asOf, fusion.Stamp{}), register.Query{AsOf: asOf.Wall})
	if err := register.CSV(&out, rep); err != nil {
		t.Fatal(err)
	}
	return out.String()
}

// What the office gives of a site makes the same register as the laptop's own log, as of
// any moment.
func TestSiteGivesTheSameRegister(t *testing.T) {
	c := welded(t, "KM")
	o := heard(t, of(t, 1, c))
	who := granted(t, o, "")
	for n := 10; n <= len(c.Entries); n += 7 {
		at := c.Entries[n-1].At
		upto := n
		for i, e := range c.Entries {
			if !e.At.Wall.After(at.Wall) {
				upto = i + 1
			}
		}
		lines, err := o.Site(context.Background(), who, office.SiteAsk{Site: c.H.Site, AsOf: at.Wall})
		if err != nil {
			t.Fatal(err)
		}
		book, err := lines.Book()
		if err != nil {
			t.Fatal(err)
		}
		if has, should := csvOf(t, book, c.H.Site, at), csvOf(t, logbook.Fold("KM", c.Entries[:upto]), c.H.Site, at); has != should {
			t.Errorf("as of entry %d:\n%s\nshould be\n%s", n, has, should)
		}
		if lines.Entries != int64(upto) || !lines.Last.Wall.Equal(c.Entries[upto-1].At.Wall) {
			t.Errorf("as of entry %d: %d entries, the last of %v", n, lines.Entries, lines.Last.Wall)
		}
	}
	now, err := o.Site(context.Background(), who, office.SiteAsk{})
	if err != nil || len(now.Lines) == 0 || now.Entries != int64(len(c.Entries)) || !now.Sites[0].Newest.Wall.Equal(c.Newest().At.Wall) {
		t.Errorf("as it is: %d lines, %d entries, %v", len(now.Lines), now.Entries, err)
	}
}

// What was taken and not gone through yet is in no answer on a site, and the answer says up
// to when it knows, in a course that parted too.
func TestSiteBeforeItIsWorkedUp(t *testing.T) {
	c := welded(t, "KM")
	l := of(t, 1, c)
	n := len(l.lines)
	o := newOffice(t)
	admitted(t, o, l)
	who := granted(t, o, "")
	// asked wants the answer to end with an entry of the laptop.
	asked := func(l *laptop, log string, ends int, now time.Time) {
		t.Helper()
		got, err := o.Site(context.Background(), who, office.SiteAsk{Log: log, Site: c.H.Site})
		if err != nil {
			t.Fatal(err)
		}
		last, err := logbook.ReadEntry([]byte(l.lines[ends-1]))
		if err != nil {
			t.Fatal(err)
		}
		if now.IsZero() {
			now = last.At.Wall
		}
		if got.Entries != int64(ends) || !got.Last.Wall.Equal(last.At.Wall) || !got.Upto.Equal(now) {
			t.Errorf("%d entries, the last of %v, known up to %v; want %d, %v, %v", got.Entries, got.Last.Wall, got.Upto, ends, last.At.Wall, now)
		}
		for _, line := range got.Lines {
			if e, err := logbook.ReadEntry([]byte(line)); err != nil || e.N > uint64(ends) {
				t.Fatalf("entry %d of %d (%v)", e.N, ends, err)
			}
		}
	}
	take(t, o, l.parcel(1, n-20))
	if _, err := o.Site(context.Background(), who, office.SiteAsk{Site: c.H.Site}); !errors.Is(err, office.ErrNotHeld) || !strings.Contains(err.Error(), "not worked up yet") {
		t.Errorf("before anything is gone through: %v", err)
	}
	workUp(t, o)
	if _, err := o.Site(context.Background(), who, office.SiteAsk{Site: "nowhere"}); !errors.Is(err, office.ErrNotHeld) || strings.Contains(err.Error(), "not worked up yet") {
		t.Errorf("a site that nobody has: %v", err)
	}
	asked(l, "KM", n-20, now)
	take(t, o, l.parcel(n-19, n))
	asked(l, "KM", n-20, time.Time{})
	anew := l.copy(n - 10)
	// goes has it do what the other did, a little otherwise.
	goes := func(upto int) {
		for _, line := range l.lines[len(anew.lines):upto] {
			anew.lines = append(anew.lines, bytes.Replace(line, []byte(`"id":"`), []byte(`"id":"other `), 1))
		}
	}
	goes(n - 4)
	take(t, o, anew.parcel(n-19, n-4))
	workUp(t, o)
	asked(l, "KM/0", n, now)
	asked(anew, "KM/1", n-4, now)
	goes(n)
	take(t, o, anew.parcel(n-3, n))
	asked(anew, "KM/1", n-4, time.Time{})
	asked(l, "KM/0", n, now)
}

// The rows of a site are those of the rules.
func TestRowsAreThoseOfTheRules(t *testing.T) {
	c := welded(t, "KM")
	o := heard(t, of(t, 1, c))
	last := c.Newest().At
	res := audit.Run(c.Book, c.H.Site, last.Add(now.Sub(last.Wall)), fusion.Stamp{})
	for _, w := range c.Book.Welds(c.H.Site) {
		want(t, w.ID, one(t, o, `select concat_ws(' ', joint, verdict, batch, unit, operator, state) from weld where weld = $1`, w.ID),
			fmt.Sprintf("%s %s %s %s %s %s", w.Joint, res.Verdict(w.ID), w.Batch(), w.Unit, w.Operator, recall.StateOf(w)))
	}
	want(t, "findings", one(t, o, `select count(*)::text from finding`), fmt.Sprint(len(res.Open())))
	want(t, "joints", one(t, o, `select string_agg(joint || ' ' || state, ', ' order by joint) from joint`), func() string {
		var all []string
		for _, j := range c.Book.Joints(c.H.Site) {
			all = append(all, j.Joint.Label+" "+string(res.StateOf(j)))
		}
		slices.Sort(all)
		return strings.Join(all, ", ")
	}())
}

// A recall at the office finds just what it finds in the laptops' logs.
func TestRecallAsInTheLog(t *testing.T) {
	a, b := welded(t, "KM"), ready(t, "KN")
	o := heard(t, of(t, 1, a), of(t, 2, b))
	who := granted(t, o, "")
	for _, q := range []recall.Query{
		{Batch: a.Weld("KM-0001").Batch()}, {Batch: strings.ToLower(a.Weld("KM-0001").Batch())}, {Batch: "v 77"}, {Batch: "lot V-77"}, {Batch: "V-7"},
		{Unit: "cu9"}, {Unit: crew.Unit}, {Operator: "ADA invented"}, {Operator: "Ada"}, {Batch: a.Weld("KM-0001").Batch(), From: "2026-03-10"},
	} {
		got, err := o.Recall(context.Background(), who, office.RecallAsk{Query: q})
		if err != nil {
			t.Fatal(err)
		}
		s := recall.New(q)
		for _, line := range a.Lines(t) {
			s.Look(line)
		}
		for _, line := range a.Lines(t) {
			s.Keep(line)
		}
		has, _ := json.Marshal(got.Hits)
		should, _ := json.Marshal(s.Hits("KM"))
		want(t, q.String(), string(has), string(should))
	}
}

// However many sites there are, a recall reads those of the welds that it found: neither
// table is read from end to end.
func TestARecallReadsWhatItFinds(t *testing.T) {
	o := newOffice(t)
	ctx := context.Background()
	for _, sql := range []string{
		`insert into site overriding system value select g, 'l' || g / 50, 0, md5(g::text), 'KM', 's' || g, '', '', 1, repeat('x', 600), 1, 1, '{}', 1 from generate_series(1, 3000) g`,
		`insert into weld select g / 20 + 1, 'W' || g, '', '', '', '', '', '', '', '', '', '', '', 1, false, array['b w' || g / 25, 'u cu1'], '[]', now() from generate_series(1, 59000) g`,
		`analyze`,
	} {
		if _, err := o.pool.Exec(ctx, sql); err != nil {
			t.Fatal(err)
		}
	}
	looks := func(role, sql string) {
		t.Helper()
		var plan []string
		err := o.as(ctx, role, one(t, o, `select uid from site where no = 7`), func(tx pgx.Tx) (err error) {
			plan, err = all(ctx, tx, pgx.RowTo[string], "explain "+sql)
			return err
		})
		if text := strings.Join(plan, "\n"); err != nil || strings.Contains(text, "Seq Scan") || !strings.Contains(text, "Index") {
			t.Errorf("%s: %v\n%s", role, err, text)
		}
	}
	_, ofSites, _ := strings.Cut(lateSQL, "union all") // the logs are read besides, which are few
	looks(reader, ofSites)
	for _, role := range []string{reader, client} {
		looks(role, strings.ReplaceAll(recallFor(role), "$1", "array['b w777']"))
		for _, ask := range []office.SiteAsk{{Site: "s7"}, {Site: "s7", Log: "l3"}, {Site: "s7", Log: "KM"}, {Log: "l3"}, {Log: "l3/0"}} {
			ref, branch, err := logRef(ask.Log)
			if err != nil {
				t.Fatal(err)
			}
			sql, args := findSQL(ask.Site, ref, branch)
			for i, a := range args {
				sql = strings.ReplaceAll(sql, fmt.Sprintf("$%d", i+1), fmt.Sprintf("'%v'", a))
			}
			looks(role, sql)
		}
	}
}

// What is worked up can be dropped and made anew, and is what it was.
func TestRebuildEqualsWhatStood(t *testing.T) {
	a, b := welded(t, "KM"), welded(t, "KN")
	la := of(t, 1, a)
	o := heard(t, la, of(t, 2, b))
	anew := la.copy(len(la.lines)-5).writes(3, "b")
	take(t, o, anew.parcel(len(la.lines)-9, len(anew.lines)))
	workUp(t, o)
	before := dump(t, o)
	if strings.Count(before, "\n") < 50 {
		t.Fatalf("little is worked up: %s", before)
	}
	if faults, err := o.Rebuild(context.Background()); err != nil || len(faults) > 0 {
		t.Fatal(faults, err)
	}
	want(t, "rebuilt", dump(t, o), before)
}

// dump is all that is worked up, a row a line.
func dump(t testing.TB, o *Office) string {
	t.Helper()
	var out strings.Builder
	for _, table := range []string{"sifted", "site", "sealed", "holds", "worked", "weld", "joint", "finding"} {
		named := "(to_jsonb(x) - 'no')::text" // a site's number is another after a rebuild
		if slices.Contains([]string{"holds", "worked", "weld", "joint", "finding"}, table) {
			named = "(select s.log || s.branch || s.site from site s where s.no = x.site) || (to_jsonb(x) - 'site')::text"
		}
		fmt.Fprintln(&out, table, one(t, o, "select coalesce(string_agg("+named+", chr(10) order by "+named+"), '') from "+table+" x"))
	}
	return out.String()
}

// A site that cannot be folded keeps no other from being worked up, its entries are
// held, and answers name it.
func TestAFaultOfTheFold(t *testing.T) {
	c := welded(t, "KM")
	l := of(t, 1, c)
	line := func(site string, n int, body string) {
		l.lines = append(l.lines, fmt.Appendf(nil, `{"seq":%d,"n":%d,"id":"x.0","at":{"wall":"2026-03-09T08:00:00.000Z","offset_s":0,"boot_ms":1},"site":"%s","kind":"site opened","v":1,"body":%s}`, len(l.lines)+1, n, site, body))
	}
	line("broken", 1, `{}`)
	line("broken", 2, `{"x"}`) // its body is no JSON
	line("gap", 1, `{}`)
	line("gap", 3, `{}`)
	o := newOffice(t)
	admitted(t, o, l)
	sendAll(t, o, l)
	who := granted(t, o, "")
	if got, err := o.Recall(context.Background(), who, office.RecallAsk{Query: recall.Query{Batch: "V-77"}}); err != nil || len(got.Hits) != 0 || fmt.Sprint(got.Late) != "[log KM from entry 1]" {
		t.Errorf("before it is worked up: %d hits, late %q, %v", len(got.Hits), got.Late, err)
	}
	faults, err := o.WorkUp(context.Background())
	if err != nil || len(faults) != 2 || faults[0].Site != "broken" || faults[1].Site != "gap" {
		t.Errorf("%v %v", faults, err)
	}
	sameLines(t, o, l, 0)
	got, err := o.Recall(context.Background(), who, office.RecallAsk{Query: recall.Query{Batch: "V-77"}})
	if err != nil || len(got.Hits) != 1 || len(got.Late) != 2 || !strings.Contains(got.Late[0], "broken") {
		t.Errorf("%d hits, late %q, %v", len(got.Hits), got.Late, err)
	}
}

// A laptop that went on from an older copy may give a weld number twice: both are named,
// and neither is lost.
func TestForksNameWeldsThatAreTwoPipes(t *testing.T) {
	c := crew.OnSite(t)
	c.Done("1A")
	anew := &crew.Crew{T: t, Memory: c.Clone(), H: c.H}
	c.Done("1B")
	c.Done("2A")
	anew.Wait(time.Hour)
	anew.H.ID = "another"
	anew.Done("2B")
	first, second := of(t, 1, c), of(t, 1, anew)
	o := heard(t, first)
	want(t, "the other course", take(t, o, second.parcel(1, len(second.lines)))[:6], "parted")
	workUp(t, o)
	was := now
	defer func() { now = was }()
	now = now.Add(time.Hour)
	take(t, o, second.parcel(len(second.lines)+1, len(second.lines)))
	forks, err := o.Forks(context.Background())
	if err != nil || len(forks) != 1 || len(forks[0].Twice) != 1 || !forks[0].Since.Equal(was) || !forks[0].Heard.Equal(now) {
		t.Fatalf("%+v %v", forks, err)
	}
	f := forks[0]
	want(t, "twice", fmt.Sprint(f.Twice), fmt.Sprintf("[{KM-0002 1 %s 2B 0 %s 1B false}]", c.H.Site, c.H.Site))
	who := granted(t, o, "")
	got, err := o.Recall(context.Background(), who, office.RecallAsk{Query: recall.Query{Unit: crew.Unit}})
	var hits []string
	for _, h := range got.Hits {
		hits = append(hits, h.Weld+" "+h.Joint)
	}
	if want(t, "what is found once", fmt.Sprint(hits), "[KM-0001 1A KM-0002 1B KM-0003 2A KM-0002 2B]"); err != nil {
		t.Error(err)
	}
	for log, should := range map[string]string{"KM/0": "[KM-0001 1A KM-0002 1B KM-0003 2A]", "km/1": "[KM-0001 1A KM-0002 2B]"} {
		got, err := o.Recall(context.Background(), who, office.RecallAsk{Query: recall.Query{Unit: crew.Unit}, Logs: []string{log}})
		hits = nil
		for _, h := range got.Hits {
			hits = append(hits, h.Weld+" "+h.Joint)
		}
		if want(t, "what is found in "+log, fmt.Sprint(hits), should); err != nil {
			t.Error(err)
		}
	}
	if _, err := o.Site(context.Background(), who, office.SiteAsk{Site: c.H.Site}); !errors.Is(err, office.ErrNotHeld) || !strings.Contains(err.Error(), "--log KM/1 --site") {
		t.Errorf("which course is meant is not asked: %v", err)
	}
	settled := func(ref, says string) {
		t.Helper()
		f, err := o.Settle(context.Background(), ref, "Ida Invented", "written on both pipes")
		has := fmt.Sprint(err)
		if err == nil {
			has = f.name()
		}
		want(t, "settled "+ref, has, says)
	}
	isSettled := func(should, numbers string) {
		t.Helper()
		forks, err := o.Forks(context.Background())
		if err != nil {
			t.Fatal(err)
		}
		has, twice := []string{}, []string{}
		for _, f := range forks {
			word := fmt.Sprintf("%d open %t", f.Branch, f.Open)
			for _, s := range f.Settled {
				word += fmt.Sprintf(" %s %s %v", s.By, s.Why, s.Numbers)
			}
			has = append(has, word)
			for _, t := range f.Twice {
				twice = append(twice, fmt.Sprintf("%s %d %d %t", t.Weld, t.Branch, t.There, t.Settled))
			}
		}
		want(t, "settled", strings.Join(has, "; "), should)
		want(t, "twice", strings.Join(twice, "; "), numbers)
	}
	settled("KM", `"KM": it is none of what parted; write one of KM/1`)
	isSettled("1 open true", "KM-0002 1 0 false")
	settled("km/1", "KM/1")
	isSettled("1 open false Ida Invented written on both pipes [KM-0002]", "KM-0002 1 0 true")
	anew.Done("2A") // another number that means two pipes
	more := of(t, 1, anew)
	take(t, o, more.parcel(len(second.lines)+1, len(more.lines)))
	isSettled("1 open true Ida Invented written on both pipes [KM-0002]", "KM-0003 1 0 false; KM-0002 1 0 true")
	settled(first.id+"/1", "KM/1")
	isSettled("1 open false Ida Invented written on both pipes [KM-0002] Ida Invented written on both pipes [KM-0003]", "KM-0002 1 0 true; KM-0003 1 0 true")
	workUp(t, o)
	for branch, of := range map[int]*crew.Crew{0: c, 1: anew} {
		lines, err := o.Site(context.Background(), who, office.SiteAsk{Log: fmt.Sprintf("KM/%d", branch), Site: c.H.Site})
		if err != nil {
			t.Fatal(err)
		}
		if c := lines.Course; c == nil || *c != (office.Course{Branch: branch, Parted: f.Parted}) {
			t.Errorf("branch %d: the course is %+v", branch, c)
		}
		book, err := lines.Book()
		if err != nil {
			t.Fatal(err)
		}
		want(t, "its register", csvOf(t, book, c.H.Site, of.H.At), csvOf(t, of.Book, c.H.Site, of.H.At))
	}
	// A branch that left the other branch, and a number that all three have.
	third := &crew.Crew{T: t, Memory: anew.Clone(), H: anew.H}
	c.Done("2B")
	anew.Done("1B")
	third.Wait(time.Hour)
	third.H.ID = "a third"
	third.Done("1B")
	for _, l := range []*laptop{of(t, 1, c), of(t, 1, anew), of(t, 1, third)} {
		take(t, o, l.parcel(1, len(l.lines)))
	}
	was2 := "1 open true Ida Invented written on both pipes [KM-0002] Ida Invented written on both pipes [KM-0003]"
	isSettled(was2+"; 2 open true", "KM-0004 1 0 false; KM-0002 1 0 true; KM-0003 1 0 true; KM-0004 2 1 false; KM-0004 2 0 false")
}

// Who is silent is told with what is open there.
func TestSilent(t *testing.T) {
	o := heard(t, of(t, 1, welded(t, "KM")), of(t, 2, welded(t, "KN")))
	was := now
	defer func() { now = was }()
	now = now.Add(48 * time.Hour)
	l := of(t, 2, welded(t, "KN"))
	take(t, o, l.parcel(len(l.lines)+1, len(l.lines))) // it says what it holds
	silent, laptops, err := o.Silent(context.Background(), now.Add(-24*time.Hour))
	if err != nil || laptops != 2 || len(silent) != 1 || silent[0].What != "silent" || silent[0].Tag != "KM" || silent[0].Crew != "crew 1, invented" || silent[0].Open == 0 || !silent[0].Heard.Equal(was) {
		t.Errorf("%+v %v", silent, err)
	}
}

// A client's token reads of one site and no other, until its day; what the token is, is
// kept nowhere.
func TestAClientSeesOneSite(t *testing.T) {
	a, b := welded(t, "KM"), ready(t, "KN")
	b.Done("1A")
	o := heard(t, of(t, 1, a), of(t, 2, b))
	uid := one(t, o, `select uid from site where tag = 'KN'`)
	who := granted(t, o, uid)
	lines, err := o.Site(context.Background(), who, office.SiteAsk{})
	if err != nil || lines.Tag != "KN" || len(lines.Sites) != 1 {
		t.Errorf("%s, %d sites, %v", lines.Tag, len(lines.Sites), err)
	}
	if _, err := o.Site(context.Background(), who, office.SiteAsk{Log: of(t, 1, a).id}); !errors.Is(err, office.ErrNotHeld) {
		t.Errorf("another site: %v", err)
	}
	got, err := o.Recall(context.Background(), who, office.RecallAsk{Query: recall.Query{Unit: crew.Unit}})
	if err != nil || len(got.Hits) != 1 || got.Hits[0].Weld != "KN-0001" {
		t.Errorf("%+v %v", got.Hits, err)
	}
	for _, bad := range []string{"", "x", who.Token + "x"} {
		if _, err := o.Recall(context.Background(), office.Reader{Token: bad}, office.RecallAsk{Query: recall.Query{Unit: crew.Unit}}); !errors.Is(err, office.ErrRefused) {
			t.Errorf("token %q: %v", bad, err)
		}
	}
	g, err := o.Grant(context.Background(), strings.NewReader(strings.Repeat("until", 9)), now.Format(time.DateOnly), "Ada Invented", office.SiteAsk{Site: uid})
	if err != nil {
		t.Fatal(err)
	}
	was := now
	defer func() { now = was }()
	for _, day := range []struct {
		after time.Duration
		ends  bool
	}{{0, false}, {24 * time.Hour, true}} {
		now = was.Add(day.after)
		if _, err := o.Site(context.Background(), office.Reader{Token: g.Token}, office.SiteAsk{}); errors.Is(err, office.ErrRefused) != day.ends {
			t.Errorf("after %v: %v", day.after, err)
		}
	}
}

// Findings that change with time alone are worked up again on another day; others are
// not.
func TestNightly(t *testing.T) {
	c := crew.OnSite(t)
	c.Done("1A")
	fused := ready(t, "KN")
	fused.Fused("1A") // its hold ends by time
	was := now
	defer func() { now = was }()
	now = crew.Morning.Wall.Add(time.Hour)
	o := heard(t, of(t, 1, c), of(t, 2, fused))
	timed := one(t, o, `select coalesce(string_agg(log, ' ' order by log), '') from worked w join site s on s.no = w.site where timed`)
	if !strings.Contains(timed, of(t, 2, fused).id) {
		t.Fatalf("timed: %s", timed)
	}
	now = now.Add(24 * time.Hour)
	workUp(t, o)
	if one(t, o, `select as_of::date::text from worked w join site s on s.no = w.site where log = $1`, of(t, 2, fused).id) != now.Format(time.DateOnly) {
		t.Error("a site with a hold was not worked up on the next day")
	}
}

// Which batch, unit, operator or crew fails more than its sisters.
func TestRates(t *testing.T) {
	o := newOffice(t)
	l := newLaptop(t, 1).writes(1, "a")
	admitted(t, o, l)
	take(t, o, l.parcel(1, 1))
	put := func(batch string, n, fails int) {
		t.Helper()
		_, err := o.pool.Exec(context.Background(), `with s as (insert into site values (default, $1, 0, '', '', $2, '', '', 1, '', 1, 1, '{}') returning no)
			insert into weld select no, $2 || i, '', '', '', '', '', '', $2, '', '', 'Ada Invented', 'CU-' || $2, 1, i <= $4, '{}', '', $5 from s, generate_series(1, $3) i`, l.id, batch, n, fails, now)
		if err != nil {
			t.Fatal(err)
		}
	}
	put("one of few", 19, 19) // too few to say anything
	put("good", 100, 2)
	put("bad", 100, 30)
	put("some", 20, 5)
	for by, should := range map[string]string{
		"batch": "[bad 30/100 some 5/20 good 2/100]", "unit": "[CU-bad 30/100 CU-some 5/20 CU-good 2/100]",
		"operator": "[Ada Invented 56/239]", "crew": "[crew 1, invented 56/239]",
	} {
		rates, few, err := o.Rates(context.Background(), by)
		if err != nil || few != map[string]int{"batch": 1, "unit": 1}[by] {
			t.Fatalf("%d %s have too few: %v", few, by, err)
		}
		var has []string
		for _, r := range rates {
			has = append(has, fmt.Sprintf("%s %d/%d", r.Of, r.Fails, r.Welds))
		}
		want(t, by, fmt.Sprint(has), should)
	}
}

// The question that an office asks itself reads of every table that a reader's does.
func TestWarmReadsWhatARecallReads(t *testing.T) {
	needServer(t)
	ctx := context.Background()
	reads := func(ask func(o *Office) error) []string {
		t.Helper()
		at := newDatabase(t, server)
		o := open(t, at)
		if err := ask(o); err != nil {
			t.Fatal(err)
		}
		o.Close()
		c, err := pgx.Connect(ctx, server.Address("postgres"))
		if err != nil {
			t.Fatal(err)
		}
		defer c.Close(ctx)
		name := o.pool.Config().ConnConfig.Database
		for left := 1; left > 0; { // what a connection counted is known once it has ended
			if err := c.QueryRow(ctx, `select count(*) from pg_stat_activity where datname = $1`, name).Scan(&left); err != nil {
				t.Fatal(err)
			}
		}
		counts := open(t, at)
		defer counts.Close()
		rows, err := counts.pool.Query(ctx, `select relname from pg_stat_user_tables where seq_scan + coalesce(idx_scan, 0) > 0 order by 1`)
		if err != nil {
			t.Fatal(err)
		}
		names, err := pgx.CollectRows(rows, pgx.RowTo[string])
		if err != nil {
			t.Fatal(err)
		}
		return names
	}
	granted := func(o *Office) (token string, err error) {
		g, err := o.Grant(ctx, strings.NewReader(strings.Repeat("invented", 4)), "", "Ada Invented")
		return g.Token, err
	}
	laid := reads(func(o *Office) error { _, err := granted(o); return err })
	recalled := reads(func(o *Office) error {
		token, err := granted(o)
		if err != nil {
			return err
		}
		_, err = o.Recall(ctx, office.Reader{Token: token}, office.RecallAsk{Query: recall.Query{Batch: "W-1"}})
		return err
	})
	warmed := reads(func(o *Office) error { return o.Warm(ctx) })
	for _, name := range recalled {
		if !slices.Contains(warmed, name) && !slices.Contains(laid, name) {
			t.Errorf("a recall reads of %s, the office's own question does not", name)
		}
	}
	if !slices.Contains(warmed, "weld") || !slices.Contains(warmed, "token") || slices.Contains(laid, "weld") {
		t.Errorf("read were %v, and to grant a token %v", warmed, laid)
	}
}
