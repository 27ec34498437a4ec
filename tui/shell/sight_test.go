package shell

import (
	"context"
	"slices"
	"testing"
	"time"

	"coolhold/fusion"
	"coolhold/logbook"
	"coolhold/logbook/acts"
	"coolhold/logbook/audit"
	"coolhold/logbook/crew"
)

// What is ahead is as of one moment for less than five seconds, by both clocks and in
// one offset; then, and whenever the heartbeat is another, it is made anew.
func TestWhatIsAheadStaysForLessThanFiveSeconds(t *testing.T) {
	c := crew.OnSite(t)
	c.Fused("2A") // its unit is free again, and the ambient is known
	after := func(wall, boot time.Duration) func(*Env) {
		return func(e *Env) { e.Now.Wall, e.Now.Boot = e.Now.Wall.Add(wall), e.Now.Boot+boot }
	}
	for name, tt := range map[string]struct {
		change func(*Env)
		stays  bool
	}{
		"at once":                  {after(0, 0), true},
		"just before that":         {after(4999*time.Millisecond, 4999*time.Millisecond), true},
		"the clocks cut apart":     {after(500*time.Millisecond, 501*time.Millisecond), true},
		"five seconds":             {after(5*time.Second, 5*time.Second), false},
		"that by the wall":         {after(5*time.Second, 4999*time.Millisecond), false},
		"that by the boot":         {after(4999*time.Millisecond, 5*time.Second), false},
		"the wall clock set back":  {after(-time.Millisecond, time.Millisecond), false},
		"the boot clock went back": {after(time.Millisecond, -time.Millisecond), false},
		"another offset":           {func(e *Env) { after(5, 5)(e); e.Now.Offset += 3600 }, false},
		"another heartbeat":        {func(e *Env) { after(5, 5)(e); e.Beat = c.H.At }, false},
	} {
		site := c.Site()
		found := audit.Run(c.Book, site.ID, c.H.At, fusion.Stamp{})
		env := Env{Now: c.H.At, Book: c.Book, Site: site, Shelf: logbook.ShelfOf(site), Audit: found, Sight: SightOf(c.Book, site, found)}
		first := env.Outlook()
		if want := env.Now.Local(); !first.Order.Rows[0].Start.Equal(want) || first.Forecast.Open != 5 {
			t.Fatalf("%s: the first joint at %s, want %s; %d are open", name, first.Order.Rows[0].Start, want, first.Forecast.Open)
		}
		was := env.Now
		tt.change(&env)
		want := env.Now
		if tt.stays {
			want = was
		}
		if got := env.Outlook(); got.now != want {
			t.Errorf("%s: what is ahead is as of %v, want %v", name, got.now, want)
		}
	}
}

// What was made of a book where it was read is not made again between two keys; of
// another book, or of another site than is shown, it is.
func TestWhatWasDerivedIsNotDerivedAgain(t *testing.T) {
	c := crew.OnSite(t)
	r := New(Program{Clock: func() fusion.Stamp { return c.H.At }, NewID: func() string { return "id" }})
	made := derive(c.Book, "", c.H.At, fusion.Stamp{})
	if r = r.rebook(c.Book, made); r.view.sight != made.sight || r.site != c.H.Site {
		t.Errorf("derived again, of %q", r.site)
	}
	if other := c.Book.Clone(); r.show(other, made).view.book != other {
		t.Error("another book is shown by what was made of the one before")
	}
	r.site = "elsewhere"
	if r.show(c.Book, made).view.sight != made.sight {
		t.Error("the only site there is was derived again")
	}
	made.asked = "elsewhere"
	r.site = c.H.Site
	if got := r.show(c.Book, made); got.view.sight == made.sight || got.view.asked != c.H.Site {
		t.Error("a site is shown by what was made of another")
	}
}

// A look at the log every few seconds, by which nothing came, makes nothing anew; what
// the clock alone changes is seen within a minute.
func TestALookAtTheLogDerivesNothingAnew(t *testing.T) {
	c := crew.OnSite(t)
	r := New(Program{Clock: func() fusion.Stamp { return c.H.At }, NewID: func() string { return "id" }})
	r.now = c.H.At
	log := aBook{book: c.Book}
	look := func() *Sight {
		t.Helper()
		msg := r.load(log, false)().(loadedMsg)
		if r = r.loaded(msg); r.view.book != log.book || msg.err != nil {
			t.Fatal("another book is shown", msg.err)
		}
		return r.view.sight
	}
	r.stack = []Screen{still{}}
	first := look()
	r.now = r.now.Add(59 * time.Second)
	if look() != first {
		t.Error("derived anew within a minute, though nothing came")
	}
	r.now = r.now.Add(time.Second)
	later := look()
	if later == first {
		t.Error("not derived anew after a minute")
	}
	log.beat = c.H.At
	if log.beat.BootID = "another"; look() == later {
		t.Error("not derived anew after a heartbeat of another start")
	}
	later = r.view.sight
	if log.book = c.Book.Clone(); look() == later {
		t.Error("what came is shown by what was made before it")
	}
}

// aBook is a log with a book and a heartbeat.
type aBook struct {
	slowLog
	book *logbook.Book
	beat fusion.Stamp
}

func (l aBook) Book(context.Context, string) (*logbook.Book, error) { return l.book, nil }
func (l aBook) LastBeat() (fusion.Stamp, error)                     { return l.beat, nil }

// The plumber's leaf is gathered once a second, however many keys and frames look at it.
func TestTheLeafIsGatheredOnceASecond(t *testing.T) {
	c := crew.OnSite(t)
	site := c.Site()
	found := audit.Run(c.Book, site.ID, c.H.At, fusion.Stamp{})
	env := Env{Now: c.H.At, Book: c.Book, Site: site, Audit: found, Sight: SightOf(c.Book, site, found)}
	first := env.Leaf()
	env.Now = env.Now.Add(999 * time.Millisecond)
	if again := env.Leaf(); &again[0] != &first[0] {
		t.Error("it was gathered anew within a second")
	}
	env.Now = env.Now.Add(time.Minute)
	if later := env.Leaf(); &later[0] == &first[0] || slices.Equal(later, first) {
		t.Error("it says the same as a minute ago, with its time")
	}
}

// Who answers a finding from a desk is not taken for who is at the laptop.
func TestAnAnswerIsGivenFromAnyDesk(t *testing.T) {
	const other = "Bo Invented"
	c := crew.OnSite(t)
	c.Do(acts.CloseShift(c.H))
	c.Wait(24 * time.Hour)
	c.Do(acts.StartShift(c.H, logbook.ShiftStarted{
		Day: "2026-03-10", Operators: []logbook.Operator{{Name: other, Mark: "BI"}, {Name: crew.Ada, Mark: "AI"}},
		Units: []logbook.Unit{{Serial: crew.Unit, Corrects: logbook.No}}, Weather: logbook.Weather{Sky: "dry", Shelter: "none"},
	}))
	c.H.Shift = "2026-03-10"
	id := c.Late(func(*acts.LateWeld) {})
	at := func() string {
		shift, _ := c.Book.Shift(c.H.Site, c.Site().Shift)
		return lastHand(c.Book, c.Site(), shift)
	}
	if at() != crew.Ada {
		t.Fatalf("%s is at the laptop", at())
	}
	found := audit.Run(c.Book, c.H.Site, c.H.At, fusion.Stamp{})
	answer := slices.IndexFunc(found.Findings, func(f audit.Finding) bool { return f.Weld == id && f.Unanswerable() == "" })
	h := c.H
	h.By, h.ID = other, "answer"
	c.Do(acts.Accept(h, fusion.Stamp{}, found.Findings[answer].Judged(), "seen by the client"))
	if n := len(c.Weld(id).Reviews); n != 1 || at() != crew.Ada {
		t.Errorf("after %d answer by %s the laptop is said to be %s's", n, other, at())
	}
}
