package logbook_test

import (
	"encoding/json"
	"errors"
	"slices"
	"strings"
	"testing"
	"time"

	"coolhold/logbook"
	"coolhold/logbook/acts"
	"coolhold/logbook/crew"
)

func TestMerge(t *testing.T) {
	one, two := crew.OnSite(t), crew.Tagged(t, "QT")
	two.Wait(time.Minute)
	two.Opens(crew.PlanText, crew.TableText)
	two.Do(acts.ReadBack(two.H, logbook.Hash(crew.TableText)))
	two.StartShift("2026-03-09")
	a := one.Done("1A")
	two.Wait(5 * time.Minute)
	b := two.Done("1B")
	logs := []logbook.LogCopy{{"one", "id1", "KM", one.Entries}, {"old copy", "id1", "KM", one.Entries[:12]}, {"two", "id2", "QT", two.Entries}}
	all, err := logbook.Merge(logs)
	if err != nil || len(all) != len(one.Entries)+len(two.Entries) {
		t.Fatalf("%d entries of %d and %d: %v", len(all), len(one.Entries), len(two.Entries), err)
	}
	logs[0], logs[1] = logs[1], logs[0] // whichever is named first, the longer copy counts
	if again, err := logbook.Merge(logs); err != nil || len(again) != len(all) {
		t.Errorf("with the older copy first %d entries, want %d: %v", len(again), len(all), err)
	}
	book := logbook.Fold("KM", all)
	site := one.H.Site
	if ja, _ := book.Joint(site, "1A"); ja.Stands != a {
		t.Errorf("1A has %q", ja.Stands)
	}
	if jb, _ := book.Joint(site, "1B"); jb.Stands != b || b != "QT-0001" {
		t.Errorf("1B has %q", jb.Stands)
	}
	w, _ := book.Weld(site, b)
	sh, ok := book.Shift(site, w.Shift)
	if !ok || sh.ID != "2026-03-09 QT" || len(book.Joints(site)) != 6 {
		t.Errorf("shift %q of %+v", w.Shift, sh)
	}
	s, _ := book.Site(site)
	if row, err := logbook.ShelfOf(s).Row("coupler 40"); err != nil || row.Fitting.Seconds[1] != 40 {
		t.Errorf("its tables: %v", err)
	}
	for i := 1; i < len(all); i++ {
		if all[i].Seq != all[i-1].Seq+1 || all[i].At.Wall.Before(all[i-1].At.Wall) {
			t.Fatalf("entry %d is out of order", i)
		}
	}
}

func TestMergeRefuses(t *testing.T) {
	c := crew.OnSite(t)
	forked := slices.Clone(c.Entries)
	forked[3].Body = json.RawMessage(`{"why":"another"}`)
	if _, err := logbook.Merge([]logbook.LogCopy{{"a", "id", "KM", c.Entries}, {"b", "id", "KM", forked}}); !errors.Is(err, logbook.ErrForked) || !strings.Contains(err.Error(), "entry 4") {
		t.Errorf("forked: %v", err)
	}
	if got, err := logbook.Merge([]logbook.LogCopy{{"a", "id", "KM", c.Entries}}); err != nil || len(got) != len(c.Entries) {
		t.Errorf("one log: %v", err)
	}
	if got, err := logbook.Merge(nil); err != nil || got != nil {
		t.Errorf("none: %v %v", got, err)
	}
}

// Two laptops drew the same two letters: both are filed, their welds told apart.
func TestTwoLaptopsOfOneTag(t *testing.T) {
	one, two := crew.OnSite(t), crew.OnSite(t)
	a, b := one.Done("1A"), two.Done("1B")
	if a != "KM-0001" || b != "KM-0001" {
		t.Fatalf("welds %s and %s", a, b)
	}
	book := folded(t, logbook.LogCopy{"one", "a1b2c3", "KM", one.Entries}, logbook.LogCopy{"two", "a1b9ff", "KM", two.Entries}, logbook.LogCopy{"three", "a1b9e0", "KM", two.Entries[:5]})
	var got []string
	for _, w := range book.Welds(one.H.Site) {
		got = append(got, w.ID+" in "+w.Joint+" of "+w.From.ID+" on "+w.Shift)
	}
	want := []string{"KM-0001 (a1b2) in 1A of a1b2c3 on 2026-03-09 KM (a1b2)", "KM-0001 (a1b9f) in 1B of a1b9ff on 2026-03-09 KM (a1b9f)"}
	if !slices.Equal(got, want) {
		t.Errorf("welds\n%q, want\n%q", got, want)
	}
}

func folded(t *testing.T, copies ...logbook.LogCopy) *logbook.Book {
	t.Helper()
	all, err := logbook.Merge(copies)
	if err != nil {
		t.Fatal(err)
	}
	return logbook.Fold(copies[0].Tag, all)
}

// otherPlan is the plan of the crew's site with another client, and ports changed over.
var otherPlan = strings.NewReplacer(`"invented client"`, `"another client"`, "ports = [1, 2]", "ports = [3, 2]", "ports = [3, 4]", "ports = [1, 4]").Replace(crew.PlanText)

// Two jobs of one name are two sites, until a named person says that they are one; then
// each weld keeps the place that its own log's plan has.
func TestTwoJobsOfOneName(t *testing.T) {
	one, two := crew.OnSite(t), crew.Tagged(t, "QT")
	two.Wait(time.Minute)
	two.Opens(otherPlan, crew.TableText)
	two.Do(acts.ReadBack(two.H, logbook.Hash(crew.TableText)))
	two.StartShift("2026-03-09")
	one.Done("1A")
	two.Done("1A")
	copies := func() []logbook.LogCopy {
		return []logbook.LogCopy{{"one", "id1", "KM", one.Entries}, {"two", "id2", "QT", two.Entries}}
	}
	if got := names(folded(t, copies()...)); !slices.Equal(got, []string{"invented-meadow (KM)", "invented-meadow (QT)"}) {
		t.Errorf("sites %q", got)
	}
	of := []logbook.SiteIn{{"id1", logbook.Hash(crew.PlanText)}, {"id2", logbook.Hash(otherPlan)}}
	two.Do(acts.SameSite(two.H, of, "the client was renamed", false))
	book := folded(t, copies()...)
	if got := names(book); !slices.Equal(got, []string{"invented-meadow"}) {
		t.Errorf("once it was said: sites %q", got)
	}
	j, _ := book.Joint("invented-meadow", "1A")
	for id, want := range map[string]int{"KM-0001": 1, "QT-0001": 3} {
		w, _ := book.Weld("invented-meadow", id)
		if got := j.In(w).Port; got != want {
			t.Errorf("%s is at port %d, want %d as in its own plan", id, got, want)
		}
	}
	if s, _ := book.Site("invented-meadow"); s.Client != "invented client" || len(s.Plans) != 2 || s.Plan != s.Plans[0].Plan {
		t.Errorf("the site is %q, of %d plans", s.Client, len(s.Plans))
	}
	two.Do(acts.SameSite(two.H, of, "it was another job", true))
	if got := names(folded(t, copies()...)); len(got) != 2 {
		t.Errorf("once it was taken back: sites %q", got)
	}
}

// A plan that says the same in other lines, or of another version, is no other site.
func TestPlansAlikeAreOneSite(t *testing.T) {
	one, two := crew.OnSite(t), crew.Tagged(t, "QT")
	two.Opens("# retyped\n"+strings.Replace(crew.PlanText, "site =", "version = \"2\"\nsite =", 1), crew.TableText)
	book := folded(t, logbook.LogCopy{"one", "id1", "KM", one.Entries}, logbook.LogCopy{"two", "id2", "QT", two.Entries})
	if got := names(book); !slices.Equal(got, []string{"invented-meadow"}) {
		t.Errorf("sites %q", got)
	}
}

func names(book *logbook.Book) (out []string) {
	for _, s := range book.Sites() {
		out = append(out, s.ID)
	}
	return out
}

// A photo of a test of two logs with one tag stays with the test of its own log.
func TestAPhotoOfATestAmongSeveralLogs(t *testing.T) {
	one, two := crew.OnSite(t), crew.OnSite(t)
	for i, c := range []*crew.Crew{one, two} {
		c.Wait(time.Duration(i) * time.Minute)
		test := c.Begins(crew.Pressing(crew.Circuit1))
		c.Do(acts.Enclose(c.H, "", "", logbook.Enclosed{File: "p.jpg", Hash: []string{"aa", "bb"}[i], What: "the gauge", Test: test}))
	}
	all, err := logbook.Merge([]logbook.LogCopy{{"one", "id1", "KM", one.Entries}, {"two", "other", "KM", two.Entries}})
	if err != nil {
		t.Fatal(err)
	}
	s := logbook.Fold("KM", all).Sites()[0]
	if len(s.Enclosed) != 2 || len(s.Tests) != 2 || s.Tests[0].ID == s.Tests[1].ID {
		t.Fatalf("%+v of %+v", s.Enclosed, s.Tests)
	}
	for i, e := range s.Enclosed {
		if e.Test != s.Tests[i].ID {
			t.Errorf("photo %s is of %s, not of %s", e.Hash, e.Test, s.Tests[i].ID)
		}
	}
}
