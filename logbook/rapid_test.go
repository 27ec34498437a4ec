package logbook

import (
	"errors"
	"fmt"
	"slices"
	"testing"
	"time"

	"pgregory.net/rapid"

	"coolhold/fusion"
	"coolhold/logbook/plan"
)

// attempts is what random acts are drawn from: each is tried on one weld and
// one joint, whether or not it makes sense there.
func attempts(t *rapid.T, c *crew, id, label string) map[string]Act {
	yes := rapid.Bool().Draw(t, "yes")
	n := rapid.IntRange(0, 50).Draw(t, "n")
	fit := rapid.SampledFrom([]string{"coupler 40", "coupler 63", "elbow 40", "cap 40"}).Draw(t, "fitting")
	mark := rapid.SampledFrom([]string{Done, Done, NotYet, CouldNot}).Draw(t, "mark")
	outcome := rapid.SampledFrom([]Outcome{Completed, Stopped, NotSeen}).Draw(t, "outcome")
	h := c.h
	return map[string]Act{
		"begin": BeginWeld(h, label, ada, unit), "abandon": AbandonWalk(h, id, "why"),
		"fit":     AnswerStep(h, id, StepFitting, fitting(fit, fmt.Sprint("W-", n%3))),
		"prepare": AnswerStep(h, id, StepPrep, card(Answer{Item: PrepItems[n%9].Item, V: mark})),
		"bag":     ReadBag(h, id, n > 2), "ambient": ReadAmbient(h, id, fusion.Celsius(n*100-1000), Typed, nil),
		"settings": KeySettings(h, id, ModeKeyed, 40, nil), "code": KeySettings(h, id, ModeCode, n+1, nil),
		"ohms": ReadOhms(h, id, ptr(float64(n)/10)), "start": StartFusion(h, id, n%5), "refuse": RefuseStart(h, id, "why"),
		"end": EndFusion(h, id, FusionEnded{Outcome: outcome}), "run": ReadRun(h, id, &n), "look": ReadLook(h, id, look(LookHot)),
		"release": Release(h, id, look(LookRelease), fusion.Stamp{}), "disturb": Disturb(h, id, n%10, "why"),
		"cut": Cut(h, id, "why"), "leave": LeaveWalk(h, id, StepPrep), "resume": ResumeWalk(h, id, StepPrep),
		"note": NoteOn(h, id, "note"), "gap": AcceptGap(h, id, "why"), "found": FoundAtStart(h, fusion.Stamp{}),
		"accept": Accept(h, id, Reviewed{Judged{Key: "key"}, yes, "why"}), "weather": ChangeWeather(h, Weather{"wind", "tent"}),
		"later": EnterLater(h, c.lateWeld(func(l *LateWeld) { l.Joint, l.HoldStated, l.Outcome = label, yes, outcome })),
		"add":   AddJoint(h, plan.Joint{Label: fmt.Sprint("X", n)}, "why"), "strike": StrikeJoint(h, label, "why"),
		"split": SplitJoint(h, label, "why"), "close": CloseShift(h),
		"correct": Correct(h, id, ItemBatch, fmt.Sprint("W-", n%3), "why"), "move": MoveWeld(h, id, label, "why", yes),
		"order": OrderCut(h, id, "why"), "recheck": AskRecheck(h, id, "why"), "cover": CoverPart(h, "chamber A", nil),
	}
}

// act tries one drawn act. Only the refusals of the acts may come of it.
func (c *crew) act(t *rapid.T) {
	var ids, labels []string
	for _, w := range c.book.Welds(c.h.Site) {
		ids = append(ids, w.ID)
	}
	for _, j := range c.book.Joints(c.h.Site) {
		labels = append(labels, j.Label)
	}
	if len(ids) > 2 {
		ids = ids[len(ids)-2:] // so that welds get somewhere
	}
	all := attempts(t, c, rapid.SampledFrom(append(ids, "KM-0000")).Draw(t, "weld"), rapid.SampledFrom(labels).Draw(t, "joint"))
	names := []string{
		"begin", "begin", "fit", "prepare", "bag", "ambient", "settings", "code", "ohms", "start", "start", "refuse", "end", "run",
		"look", "release", "disturb", "cut", "leave", "resume", "note", "gap", "found", "accept", "weather", "later", "add",
		"strike", "split", "close", "abandon", "correct", "move", "move", "order", "recheck", "cover",
	}
	err := c.try(all[rapid.SampledFrom(names).Draw(t, "act")])
	if err != nil && !errors.Is(err, ErrRule) && !errors.Is(err, ErrUnknown) && !errors.Is(err, ErrExists) && !errors.Is(err, fusion.ErrOutsideBands) {
		t.Fatalf("%T: %v", err, err)
	}
}

// Whatever is done in whatever order: the book folded from the entries is the
// running one, welds keep their numbers, one joint holds one weld and one
// unit feeds one fitting.
func TestRandomActs(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		c := onSite(t)
		for range rapid.IntRange(1, 60).Draw(rt, "acts") {
			c.wait(time.Duration(rapid.IntRange(0, 300).Draw(rt, "seconds")) * time.Second)
			if rapid.IntRange(0, 30).Draw(rt, "restart") == 0 {
				c.boot(fmt.Sprint("boot ", c.n), time.Minute, time.Second)
			}
			before := c.book.Welds(c.h.Site)
			c.act(rt)
			wantSameNumbers(rt, before, c.book.Welds(c.h.Site))
			if c.site().Shift == "" {
				c.startShift("2026-03-09")
			}
			wantOnePlace(rt, c)
		}
		if got, want := dump(t, Fold("KM", c.entries)), dump(t, c.book); got != want {
			rt.Fatalf("rebuilt\n%s\nrunning\n%s", got, want)
		}
		wantIndexed(rt, c)
		if got, want := dump(t, c.book.Clone()), dump(t, c.book); got != want {
			rt.Fatal("a clone differs")
		}
		if got, want := dump(t, Load(c.book, c.h.Site)), dump(t, c.book); got != want {
			rt.Fatal("what is loaded differs")
		}
	})
}

// wantIndexed: the index numbers the entries of the site, gives the next weld
// its number and lists every weld that may run.
func wantIndexed(t *rapid.T, c *crew) {
	x := NewIndex("KM")
	for i, e := range c.entries {
		if p := x.Take(e); p == nil || p.Entries != uint64(i+1) || p.Newest != e.Seq {
			t.Fatalf("entry %d stands at %+v", i, p)
		}
	}
	if x.Next != c.book.NextWeld() {
		t.Fatalf("the next weld is %d by the index, %d by the book", x.Next, c.book.NextWeld())
	}
	for _, id := range c.book.MayRun(c.h.Site) {
		if !slices.Contains(x.At(c.h.Site).Run, id) {
			t.Fatalf("%s may run, the index has %v", id, x.At(c.h.Site).Run)
		}
	}
}

// wantSameNumbers: every weld is still there with its number, joint and begin.
func wantSameNumbers(t *rapid.T, before, after []Weld) {
	for i, was := range before {
		if is := after[i]; is.ID != was.ID || is.Joint != was.Joint && !movedSince(was, is) || is.Begun != was.Begun {
			t.Fatalf("%s in %s became %s in %s", was.ID, was.Joint, is.ID, is.Joint)
		}
	}
	for i, w := range after {
		if w.ID != WeldNumber("KM", i+1) {
			t.Fatalf("the weld at place %d is %s", i+1, w.ID)
		}
	}
}

// movedSince tells whether the joint of a weld was corrected meanwhile.
func movedSince(was, is Weld) bool {
	return slices.ContainsFunc(is.Corrections[len(was.Corrections):], func(c Corrected) bool { return c.Field == FieldJoint })
}

func wantOnePlace(t *rapid.T, c *crew) {
	stands, fusing := map[string]string{}, map[string]string{}
	for _, w := range c.book.Welds(c.h.Site) {
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
	for _, j := range c.book.Joints(c.h.Site) {
		if j.Stands != stands[j.Label] {
			t.Fatalf("in %s stands %q, its joint says %q", j.Label, stands[j.Label], j.Stands)
		}
		if w, ok := c.book.Weld(c.h.Site, j.Walk); ok != (j.Walk != "") || ok && !w.Walking() {
			t.Fatalf("joint %s says that the walk of %q is open", j.Label, j.Walk)
		}
	}
}

// The records handed out before an entry never change by it: the board's cache
// and its copies share them.
func TestRecordsAreReplacedNotChanged(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		c := onSite(t)
		for range 12 {
			c.act(rt)
		}
		held, want := c.book.Clone(), dump(t, c.book)
		for range 25 {
			c.wait(time.Minute)
			c.act(rt)
		}
		if dump(t, held) != want {
			rt.Fatal("a record of the copy was changed in place")
		}
	})
}
