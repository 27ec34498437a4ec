package logbook_test

import (
	"fmt"
	"slices"
	"testing"
	"time"

	"pgregory.net/rapid"

	"coolhold/logbook"
	"coolhold/logbook/crew"
)

// Whatever is done in whatever order: the book folded from the entries is the
// running one, welds keep their numbers, one joint holds one weld and one
// unit feeds one fitting.
func TestRandomActs(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		c := crew.OnSite(t)
		for range rapid.IntRange(1, 60).Draw(rt, "acts") {
			c.Wait(time.Duration(rapid.IntRange(0, 300).Draw(rt, "seconds")) * time.Second)
			if rapid.IntRange(0, 30).Draw(rt, "restart") == 0 {
				c.Boot(fmt.Sprint("boot ", c.N), time.Minute, time.Second)
			}
			before := c.Book.Welds(c.H.Site)
			c.Act(rt)
			wantSameNumbers(rt, before, c.Book.Welds(c.H.Site))
			if c.Site().Shift == "" {
				c.StartShift("2026-03-09")
			}
			wantOnePlace(rt, c)
			wantRunning(rt, c)
		}
		if got, want := crew.Dump(t, logbook.Fold("KM", c.Entries)), crew.Dump(t, c.Book); got != want {
			rt.Fatalf("rebuilt\n%s\nrunning\n%s", got, want)
		}
		wantIndexed(rt, c)
		if got, want := crew.Dump(t, c.Book.Clone()), crew.Dump(t, c.Book); got != want {
			rt.Fatal("a clone differs")
		}
		if got, want := crew.Dump(t, logbook.Load(c.Book, c.H.Site)), crew.Dump(t, c.Book); got != want {
			rt.Fatal("what is loaded differs")
		}
	})
}

// wantIndexed: the index numbers the entries of the site, gives the next weld
// its number and lists every weld that may run.
func wantIndexed(t *rapid.T, c *crew.Crew) {
	x := logbook.NewIndex("KM")
	for i, e := range c.Entries {
		if p := x.Take(e); p == nil || p.Entries != uint64(i+1) || p.Newest != e.At {
			t.Fatalf("entry %d stands at %+v", i, p)
		}
	}
	if x.Next != c.Book.NextWeld() {
		t.Fatalf("the next weld is %d by the index, %d by the book", x.Next, c.Book.NextWeld())
	}
	for _, id := range c.Book.MayRun(c.H.Site) {
		if !slices.Contains(x.At(c.H.Site).Run, id) {
			t.Fatalf("%s may run, the index has %v", id, x.At(c.H.Site).Run)
		}
	}
}

// wantRunning: the book and a clone that goes on list the welds that walk, fuse
// or are held, and no others.
func wantRunning(t *rapid.T, c *crew.Crew) {
	var want []string
	for _, w := range c.Book.Welds(c.H.Site) {
		if w.Walking() || w.Fusing() || w.Holding() {
			want = append(want, w.ID)
		}
	}
	clone, cut := c.Book.Clone(), c.H.At
	for _, id := range want {
		clone.PutWeld(logbook.Weld{ID: id, Site: c.H.Site, CutOut: &cut})
	}
	clone.PutWeld(logbook.Weld{ID: "KM-9999", Site: c.H.Site})
	if got := c.Book.MayRun(c.H.Site); !slices.Equal(got, want) {
		t.Fatalf("%q may run, listed are %q", want, got)
	}
	if got := clone.MayRun(c.H.Site); !slices.Equal(got, []string{"KM-9999"}) {
		t.Fatalf("only a new one may run in the clone, listed are %q", got)
	}
}

// wantSameNumbers: every weld is still there with its number, joint and begin.
func wantSameNumbers(t *rapid.T, before, after []logbook.Weld) {
	for i, was := range before {
		if is := after[i]; is.ID != was.ID || is.Joint != was.Joint && !movedSince(was, is) || is.Begun != was.Begun {
			t.Fatalf("%s in %s became %s in %s", was.ID, was.Joint, is.ID, is.Joint)
		}
	}
	for i, w := range after {
		if w.ID != logbook.WeldNumber("KM", i+1) {
			t.Fatalf("the weld at place %d is %s", i+1, w.ID)
		}
	}
}

// movedSince tells whether the joint of a weld was corrected meanwhile.
func movedSince(was, is logbook.Weld) bool {
	return slices.ContainsFunc(is.Corrections[len(was.Corrections):], func(c logbook.Corrected) bool { return c.Field == logbook.FieldJoint })
}

func wantOnePlace(t *rapid.T, c *crew.Crew) {
	stands, fusing := map[string]string{}, map[string]string{}
	for _, w := range c.Book.Welds(c.H.Site) {
		if other := stands[w.Joint]; w.Stands() && other != "" {
			t.Fatalf("%s and %s stand in %s", other, w.ID, w.Joint)
		} else if w.Stands() {
			stands[w.Joint] = w.ID
		}
		if other := fusing[w.Unit]; w.Fusing() && other != "" {
			t.Fatalf("%s feeds %s and %s", w.Unit, other, w.ID)
		} else if w.Fusing() {
			fusing[w.Unit] = w.ID
		}
	}
	for _, j := range c.Book.Joints(c.H.Site) {
		if j.Stands != stands[j.Label] {
			t.Fatalf("in %s stands %q, its joint says %q", j.Label, stands[j.Label], j.Stands)
		}
		if w, ok := c.Book.Weld(c.H.Site, j.Walk); ok != (j.Walk != "") || ok && !w.Walking() {
			t.Fatalf("joint %s says that the walk of %q is open", j.Label, j.Walk)
		}
	}
}

// The records handed out before an entry never change by it: the board's cache
// and its copies share them.
func TestRecordsAreReplacedNotChanged(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		c := crew.OnSite(t)
		for range 12 {
			c.Act(rt)
		}
		held, want := c.Book.Clone(), crew.Dump(t, c.Book)
		for range 25 {
			c.Wait(time.Minute)
			c.Act(rt)
		}
		if crew.Dump(t, held) != want {
			rt.Fatal("a record of the copy was changed in place")
		}
	})
}
