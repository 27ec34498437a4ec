package pg

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"strings"
	"testing"

	"coolhold/logbook/office"
)

// However a log comes in parts, twice, overlapping or in another order, the office holds
// it once.
func TestTakeInAnyParts(t *testing.T) {
	o := newOffice(t)
	l := newLaptop(t, 1).writes(40, "a")
	admitted(t, o, l)
	for _, step := range []struct {
		first, last int
		says        string
	}{
		{1, 10, "level, 10 held"},
		{1, 10, "level, 10 held"},   // twice
		{5, 14, "level, 14 held"},   // overlapping
		{3, 8, "behind, 14 held"},   // of before
		{16, 20, "send from 15"},    // a gap
		{41, 40, "send from 15"},    // what the laptop has, without a line
		{15, 15, "level, 15 held"},  // one line
		{1, 40, "level, 40 held"},   // all of it once more
		{41, 40, "level, 40 held"},  // nothing new
		{31, 30, "behind, 40 held"}, // a laptop set up anew, with nothing new
		{21, 40, "level, 40 held"},
	} {
		want(t, fmt.Sprintf("entries %d to %d", step.first, step.last), take(t, o, l.parcel(step.first, step.last)), step.says)
	}
	sameLines(t, o, l, 0)
	sound(t, o)
	want(t, "root", one(t, o, `select encode(root, 'base64') from log`), l.root())
}

// A parcel with a bit turned, or cut off, is refused whole; but where the lines are the
// same all the same, since a zstd frame has bits that mean nothing.
func TestTakeNothingThatIsTurned(t *testing.T) {
	o := newOffice(t)
	l := newLaptop(t, 1).writes(5, "a")
	admitted(t, o, l)
	data := l.parcel(1, 5)
	for at := range data {
		for bit := range 8 {
			bad := bytes.Clone(data)
			bad[at] ^= 1 << bit
			p, err := office.Read(bad)
			if err == nil && bytes.Equal(bytes.Join(p.Lines, nil), bytes.Join(l.lines, nil)) && bytes.Equal(p.Note, l.note(5)) {
				continue
			}
			if a, _, err := o.Take(context.Background(), bad); !errors.Is(err, office.ErrParcel) && !a.Waiting {
				t.Errorf("byte %d, bit %d turned: %+v, %v", at, bit, a, err)
			}
		}
	}
	for end := range data {
		if _, _, err := o.Take(context.Background(), data[:end]); !errors.Is(err, office.ErrParcel) {
			t.Fatalf("cut off after %d bytes: %v", end, err)
		}
	}
	want(t, "logs that are held", one(t, o, `select count(*)::text from log`), "0")
	want(t, "the whole one", take(t, o, data), "level, 5 held")
}

// A laptop that was set up anew from an older copy and went on by itself is kept as a
// branch of its own; nothing of either course is lost.
func TestTakeTwoCourses(t *testing.T) {
	o := newOffice(t)
	l := newLaptop(t, 1).writes(30, "a")
	admitted(t, o, l)
	want(t, "the log", take(t, o, l.parcel(1, 20)), "level, 20 held")
	want(t, "the log", take(t, o, l.parcel(21, 30)), "level, 30 held")
	anew := l.copy(24).writes(6, "b")
	want(t, "parted within what it sends", take(t, o, anew.parcel(23, 30)), "parted, 30 held, branch 1 from entry 25")
	sameLines(t, o, l, 0)
	sameLines(t, o, anew, 1)
	want(t, "again", take(t, o, anew.parcel(23, 30)), "parted, 30 held, branch 1 from entry 25")
	anew.writes(5, "b")
	l.writes(7, "a")
	want(t, "the branch goes on", take(t, o, anew.parcel(31, 35)), "parted, 35 held, branch 1 from entry 25")
	want(t, "and the first", take(t, o, l.parcel(31, 37)), "level, 37 held")
	third := anew.copy(33).writes(4, "c")
	want(t, "of the branch another", take(t, o, third.parcel(34, 37)), "parted, 37 held, branch 2 from entry 34")
	early := l.copy(10).writes(3, "d")
	want(t, "parted before what it sends", take(t, o, early.parcel(13, 13)), "send from 1")
	want(t, "and from there", take(t, o, early.parcel(1, 13)), "parted, 13 held, branch 3 from entry 11")
	for branch, l := range []*laptop{l, anew, third, early} {
		sameLines(t, o, l, branch)
	}
	sound(t, o)
}

// From the marks of a gap a laptop finds from where to send, whichever course it is on.
func TestMarksTellWhatIsShared(t *testing.T) {
	o := newOffice(t)
	l := newLaptop(t, 1)
	admitted(t, o, l)
	for i := range 20 {
		l.writes(10, "a")
		want(t, "parcel", take(t, o, l.parcel(10*i+1, 10*i+10)), fmt.Sprintf("level, %d held", 10*i+10))
	}
	for _, parted := range []int{0, 1, 9, 10, 11, 95, 150, 199} {
		anew := l.copy(parted).writes(300, fmt.Sprint("p", parted))
		a, _, err := o.Take(context.Background(), anew.parcel(301, 300))
		if err != nil || a.Standing != office.Ahead {
			t.Fatalf("parted after %d: %v %v", parted, a.Standing, err)
		}
		from := office.From(a.Marks, func(m office.Mark) bool {
			return m.Root == office.Edge{}.Add(anew.lines[:m.Entries]...).Root()
		})
		if int(from) > parted+1 || int(from) < parted-2*(200-parted)-20 {
			t.Errorf("parted after %d: send from %d", parted, from)
		}
		if says := take(t, o, anew.parcel(int(from), 300)); !strings.HasSuffix(says, fmt.Sprintf("from entry %d", parted+1)) {
			t.Errorf("parted after %d: %s", parted, says)
		}
	}
	sound(t, o)
}

// What a key sends that is not admitted waits, within bounds, and is taken once it is.
func TestTakeOfAnUnknownKey(t *testing.T) {
	o := newOffice(t)
	l := newLaptop(t, 1).writes(30, "a")
	for _, at := range []int{11, 1, 21} { // in any order
		want(t, "not admitted", take(t, o, l.parcel(at, at+9)), "waiting")
	}
	want(t, "a report", take(t, o, l.parcel(31, 30)), "waiting")
	if k, err := o.Known(context.Background()); err != nil || len(k) != 1 || k[0].Of != "KM" || k[0].Parcels != 3 {
		t.Errorf("what waits: %+v, %v", k, err)
	}
	want(t, "held", one(t, o, `select count(*)::text from parcel`), "0")
	who, waits := granted(t, o, ""), "; what 1 laptop sent waits to be admitted, coolhold office known names the key"
	if _, err := o.Site(context.Background(), who, office.SiteAsk{Log: "KM"}); !errors.Is(err, office.ErrNotHeld) || !strings.HasSuffix(err.Error(), `no log "KM"`+waits) {
		t.Errorf("a site is asked for: %v", err)
	}
	if _, err := o.Recall(context.Background(), who, office.RecallAsk{Logs: []string{"KM"}}); !errors.Is(err, office.ErrNotHeld) || !strings.HasSuffix(err.Error(), waits) {
		t.Errorf("welds are asked for: %v", err)
	}
	n, err := o.Admit(context.Background(), l.public(), l.key.Public(), "crew 1, invented", "Ada Invented")
	if n.Parcels != 3 || n.Entries != 30 || !n.Since.Equal(now) || err != nil {
		t.Errorf("%+v was taken: %v", n, err)
	}
	sameLines(t, o, l, 0)
	want(t, "waiting", one(t, o, `select count(*)::text from waiting`), "0")
	if _, err := o.Admit(context.Background(), l.public(), l.key.Public(), "crew 1", "Ada Invented"); err == nil {
		t.Error("a key was admitted twice")
	}

	o.room = 500
	if _, _, err := o.Take(context.Background(), newLaptop(t, 2).writes(3, "b").parcel(1, 3)); err != nil {
		t.Error(err)
	}
	if _, _, err := o.Take(context.Background(), newLaptop(t, 3).writes(3, "c").parcel(1, 3)); !errors.Is(err, office.ErrFull) {
		t.Errorf("more waits than there is room for: %v; %s bytes", err, one(t, o, `select sum(length(data))::text from waiting`))
	}
	want(t, "of a key that is admitted", take(t, o, l.copy(30).writes(1, "a").parcel(31, 31)), "level, 31 held")
}

// Many laptops send at once, each its parcels several times: each log is held once.
func TestTakeTogether(t *testing.T) {
	o := newOffice(t)
	var laptops []*laptop
	for i := range 4 {
		laptops = append(laptops, newLaptop(t, i+1).writes(200, "a"))
	}
	admitted(t, o, laptops...)
	done := make(chan error)
	for i, l := range laptops {
		for range 2 {
			parcels := [][]byte{}
			for at := 1; at <= 200; at += 20 {
				parcels = append(parcels, l.parcel(at, at+19))
			}
			go func() {
				var err error
				for _, p := range parcels {
					for range 100 {
						var a office.Answer
						if a, _, err = o.Take(context.Background(), p); err != nil || a.Standing != office.Ahead {
							break
						}
					}
				}
				done <- err
			}()
		}
		_ = i
	}
	for range 2 * len(laptops) {
		if err := <-done; err != nil {
			t.Error(err)
		}
	}
	for _, l := range laptops {
		sameLines(t, o, l, 0)
	}
	want(t, "parcels", one(t, o, `select count(*)::text from parcel`), "40")
}
