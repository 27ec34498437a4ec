package store

import (
	"context"
	"fmt"
	"reflect"
	"slices"
	"testing"

	bolt "go.etcd.io/bbolt"

	"coolhold/logbook"
)

// another is one more program at the same log.
func another(t testing.TB, l *Log) *Log {
	t.Helper()
	o, err := Open(l.path)
	if err != nil {
		t.Fatal(err)
	}
	return o
}

// many writes so many notes in saves of up to 250, and gives the last.
func many(t testing.TB, l *Log, id string, n int) (last logbook.Entry) {
	t.Helper()
	for i := 0; n > 0; i, n = i+1, n-250 {
		d := draft(fmt.Sprint(id, " ", i), logbook.Note{Text: "n"})
		d.At = stamp(n)
		entries, err := l.Append(bg, these(slices.Repeat([]logbook.Draft{d}, min(n, 250))...))
		if err != nil {
			t.Fatal(err)
		}
		last = entries[len(entries)-1]
	}
	return last
}

// No lock is held while much is read: whoever decides does so on what came since,
// if that is little; what is more is read before, in pieces under the shared lock.
func TestLittleIsReadUnderALock(t *testing.T) {
	l := aDay(t)
	other := another(t, l)
	var decided logbook.Site
	note := func(r logbook.Reader) ([]logbook.Draft, error) {
		decided, _ = r.Site("meadow")
		return []logbook.Draft{draft("", logbook.Note{})}, errDraft // nothing is written
	}
	for _, c := range []struct {
		name  string
		write int
		most  counts
	}{
		{"nothing since", 0, counts{0, 0}},
		{"a little since", mostUnderLock, counts{mostUnderLock, 0}},
		{"one more", mostUnderLock + 1, counts{mostUnderLock, mostUnderLock + 1}}, // looked at, then read before
		{"many since", 3000, counts{mostUnderLock, atOnce}},
	} {
		if _, err := l.Book(bg, "meadow"); err != nil { // is in step
			t.Fatal(err)
		}
		last := many(t, other, c.name, c.write)
		l.most = counts{}
		if _, err := l.Append(bg, note); err != errDraft {
			t.Fatal(err)
		}
		if l.most != c.most {
			t.Errorf("%s: read at most %+v, want %+v", c.name, l.most, c.most)
		}
		if c.write > 0 && decided.LastAt != last.At {
			t.Errorf("%s: decided on what was at %+v, the last entry is of %+v", c.name, decided.LastAt, last.At)
		}
	}
	for name, read := range map[string]func(*Log) error{
		"a view": func(l *Log) error { return l.View(bg, func(r logbook.Reader) error { r.Site("meadow"); return nil }) },
		"a book": func(l *Log) error { _, err := l.Book(bg, "meadow"); return err },
		"a decision": func(l *Log) error {
			_, err := l.Append(bg, func(r logbook.Reader) ([]logbook.Draft, error) { r.Site("meadow"); return nil, nil })
			return err
		},
	} {
		fresh := another(t, l)
		if err := read(fresh); err != nil || fresh.most != (counts{0, atOnce}) {
			t.Errorf("%s of a log that was not read yet: read at most %+v (%v)", name, fresh.most, err)
		}
	}
}

// A log of very many sites is listed in pieces too; where somebody writes between
// two of them it is listed anew.
func TestManySitesAreListedInPieces(t *testing.T) {
	l := fresh(t)
	var drafts []logbook.Draft
	for i := range atOnce + 3 {
		drafts = append(drafts, logbook.Draft{ID: fmt.Sprint(i), At: stamp(i), Site: fmt.Sprint("site ", i), Body: logbook.SiteOpened{Name: fmt.Sprint("Meadow ", i)}})
	}
	add(t, l, drafts...)
	many(t, l, "meadow is no site here", 3)
	last := &drafts[len(drafts)-1]
	o, opened := another(t, l), 0
	pause = func(string) {
		if opened++; opened == 2 {
			last.At = stamp(9999)
			add(t, l, logbook.Draft{ID: "between", At: last.At, Site: last.Site, Body: logbook.Note{Text: "between two pieces"}})
		}
	}
	defer func() { pause = func(string) {} }()
	book, err := o.Book(bg, "")
	if err != nil {
		t.Fatal(err)
	}
	if n := o.known.index.At(last.Site).Entries; n != 2 {
		t.Errorf("%d entries of the site that was written to, want 2", n)
	}
	if o.most.shared != atOnce {
		t.Errorf("read at most %+v", o.most)
	}
	for i, s := range book.Sites() {
		if s.ID != drafts[i].Site || s.LastAt != drafts[i].At {
			t.Fatalf("site %d is %+v", i, s)
		}
	}
	if n := len(book.Sites()); n != len(drafts) {
		t.Errorf("%d sites", n)
	}
}

// A decision that asks for a site which is not in memory is broken off; the site
// is read without the exclusive lock, and what it then decides is stored once.
func TestDecisionAsksForAnotherSite(t *testing.T) {
	l := aDay(t)
	moved := logbook.Draft{ID: "hill weld", At: stamp(1), Site: "hill", Weld: "KM-0077", Body: logbook.WeldBegun{Operator: "Ada Invented"}}
	add(t, l, moved)
	for name, c := range map[string]struct {
		ask   func(logbook.Reader) []string
		want  []string
		begun int // how often it is begun
	}{
		"none":         {func(logbook.Reader) []string { return nil }, nil, 1},
		"one":          {func(r logbook.Reader) []string { return weldsOf(r, "hill") }, []string{"KM-0077"}, 2},
		"both":         {func(r logbook.Reader) []string { return append(weldsOf(r, "hill"), weldsOf(r, "meadow")...) }, []string{"KM-0077", "KM-0001", "KM-0002", "KM-0003", "KM-0004", "KM-0005"}, 3},
		"one, twice":   {func(r logbook.Reader) []string { return append(weldsOf(r, "hill"), weldsOf(r, "hill")...) }, []string{"KM-0077", "KM-0077"}, 2},
		"none that is": {func(r logbook.Reader) []string { return weldsOf(r, "dale") }, nil, 1},
		"what may run": {func(r logbook.Reader) []string { return r.MayRun("hill") }, []string{"KM-0077"}, 1},
	} {
		o := another(t, l)
		before := len(readAll(t, l.path).Entries)
		begun, ended := 0, 0
		var got []string
		entries, err := o.Append(bg, func(r logbook.Reader) ([]logbook.Draft, error) {
			begun++
			got = c.ask(r)
			ended++
			return []logbook.Draft{draft("asked for "+name, logbook.Note{})}, nil
		})
		if err != nil || !reflect.DeepEqual(got, c.want) {
			t.Errorf("%s: decided on %q, want %q (%v)", name, got, c.want, err)
		}
		if begun != c.begun || ended != 1 || len(entries) != 1 {
			t.Errorf("%s: begun %d times, want %d; ended %d times, %d entries", name, begun, c.begun, ended, len(entries))
		}
		if n := len(readAll(t, l.path).Entries); n != before+1 {
			t.Errorf("%s: %d entries more", name, n-before)
		}
		if o.most.exclusive != 0 {
			t.Errorf("%s: %d entries read under the exclusive lock", name, o.most.exclusive)
		}
	}
}

func weldsOf(r logbook.Reader, site string) (ids []string) {
	for _, w := range r.Welds(site) {
		ids = append(ids, w.ID)
	}
	return ids
}

// A site that cannot be read ends the decision that asked for it, and no other.
func TestDecisionAsksForADamagedSite(t *testing.T) {
	l := aDay(t)
	path := clone(t, l.path)
	raw(t, path, func(b *bolt.Tx) error {
		return b.Bucket([]byte("within")).Delete(withinKey("0000000000000002", 1))
	})
	o := l.at(path)
	if _, err := o.Append(bg, these(draft("other", logbook.Note{}))); err != nil {
		t.Fatal(err)
	}
	_, err := o.Append(bg, func(r logbook.Reader) ([]logbook.Draft, error) {
		r.Welds("hill")
		t.Error("decided")
		return nil, nil
	})
	wantLine(t, err, ErrDamaged, "entry 1 of site hill is missing in its index")
	err = o.View(bg, func(r logbook.Reader) error { r.Welds("hill"); t.Error("viewed"); return nil })
	wantLine(t, err, ErrDamaged, "entry 1 of site hill is missing in its index")
}

// A view shows one moment: what others write meanwhile is not in it.
func TestViewIsOfOneMoment(t *testing.T) {
	l := aDay(t)
	other := another(t, l)
	err := l.View(bg, func(r logbook.Reader) error {
		sites := r.Sites()
		add(t, other, logbook.Draft{ID: "later", At: stamp(5000), Site: "hill", Weld: "KM-0099", Body: logbook.WeldBegun{}})
		if got := weldsOf(r, "hill"); got != nil || r.NextWeld() != 6 {
			t.Errorf("sees %q, next %d", got, r.NextWeld())
		}
		if hill, _ := r.Site("hill"); hill.LastAt != sites[1].LastAt || hill.LastAt == stamp(5000) {
			t.Errorf("the site is of %+v, it was listed as of %+v", hill.LastAt, sites[1].LastAt)
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	book, err := l.Book(bg, "hill")
	if err != nil || len(book.Welds("hill")) != 1 || book.NextWeld() != 100 {
		t.Errorf("afterwards: %+v, next %d (%v)", book.Welds("hill"), book.NextWeld(), err)
	}
}

// A book that was given out stays as it was.
func TestBookStays(t *testing.T) {
	l := aDay(t)
	book, err := l.Book(bg, "meadow")
	if err != nil {
		t.Fatal(err)
	}
	was := dump(t, book)
	d := draft("note", logbook.FusionStarted{})
	d.Joint, d.Weld, d.Shift = "C2A", "KM-0001", "s1"
	add(t, l, d)
	if _, err := l.Book(context.Background(), "hill"); err != nil {
		t.Fatal(err)
	}
	if now := dump(t, book); now != was {
		t.Errorf("was\n%s\nis\n%s", was, now)
	}
	again, err := l.Book(bg, "meadow")
	if w, _ := again.Weld("meadow", "KM-0001"); err != nil || !w.Fused() {
		t.Errorf("a new one has %+v (%v)", w, err)
	}
}

// A save over several sites has an id a site: entries are numbered under each, and
// a repetition is found by the first, also by another program.
func TestSaveOverSeveralSites(t *testing.T) {
	l := aDay(t)
	other := another(t, l)
	on := func(site, id string) logbook.Draft {
		return logbook.Draft{ID: id, At: stamp(9), Site: site, Body: logbook.Note{Text: "of " + site}}
	}
	drafts := []logbook.Draft{on("meadow", "a1"), on("hill", "b2"), on("meadow", "a1"), on("meadow", "a1"), on("hill", "b2")}
	got := add(t, l, drafts...)
	for i, want := range []string{"a1.0 24", "b2.0 2", "a1.1 25", "a1.2 26", "b2.1 3"} {
		if e := got[i]; fmt.Sprintf("%s %d", e.ID, e.N) != want {
			t.Errorf("entry %d is %s, %d of its site, want %s", e.Seq, e.ID, e.N, want)
		}
	}
	repeat := func(drafts []logbook.Draft, want []logbook.Entry) {
		t.Helper()
		for _, hand := range []*Log{l, other, another(t, l)} {
			if again := add(t, hand, drafts...); !reflect.DeepEqual(again, want) {
				t.Errorf("repeated as %+v, want %+v", again, want)
			}
		}
	}
	repeat(drafts, got)
	next := []logbook.Draft{on("hill", "b3"), on("meadow", "a3")}
	more := add(t, l, next...)
	repeat(drafts, got)
	repeat(next, more)
	if n := uint64(len(readAll(t, l.path).Entries)); n != more[1].Seq {
		t.Errorf("%d entries, the last save ended with %d", n, more[1].Seq)
	}
}

// The list of sites has the time of each one's newest entry, of those too whose
// records nobody asked for.
func TestTheListFollowsASiteThatIsNotRead(t *testing.T) {
	wrote := aDay(t)
	l := another(t, wrote)
	if _, err := l.Book(bg, "meadow"); err != nil {
		t.Fatal(err)
	}
	at := stamp(4711)
	add(t, wrote, logbook.Draft{ID: "elsewhere", At: at, Site: "hill", Body: logbook.Note{Text: "snow"}})
	book, err := l.Book(bg, "meadow")
	if err != nil {
		t.Fatal(err)
	}
	hill, _ := book.Site("hill")
	if hill.LastAt != at || hill.Name != "Invented hill" || l.known.whole["hill"] {
		t.Errorf("hill is listed as %+v", hill)
	}
}
