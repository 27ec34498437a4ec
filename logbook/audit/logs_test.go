package audit_test

import (
	"slices"
	"testing"
	"time"

	"coolhold/logbook"
	"coolhold/logbook/acts"
	"coolhold/logbook/audit"
)

// Each weld is judged by the plan of its own log: what is as planned there is no fault,
// whatever the other log's plan says, and the other way round.
func TestEachWeldIsJudgedByItsOwnPlan(t *testing.T) {
	for said, want := range map[string]string{
		"4": "",                                                                           // as its own plan has it
		"2": "KN-0001: leg 1B is on port 2 (to ground), the plan says port 4 (to ground)", // as the other's
	} {
		c := onSite(t)
		c.mergedUnlike("ports = [1, 2]", "ports = [3, 4]", func(o *team) {
			m := well()
			m.answers[logbook.ItemPort] = said
			o.made("1B", m)
		})
		c.says("leg-on-wrong-port", want)
		c.says("logs-differ", "joint 1A port 1 / 3 (KM / KN); joint 1B port 2 / 4 (KM / KN)")
	}
}

// What only the merged view shows is answered into one log. Read together again it is
// settled, also between two laptops of one tag; when a third weld comes it is open.
func TestAnAnswerIntoOneLogSettlesTheMergedView(t *testing.T) {
	one, two := onSite(t), onSite(t)
	one.made("1B", well())
	two.Wait(time.Hour)
	two.made("1B", well())
	book, at := mergedBook(t, one, two), two.H.At
	key := "two-in-joint:KM-0001 (a1b2)"
	f, ok := audit.Run(book, one.H.Site, at, none).Find(key)
	if !ok || !f.Open() {
		t.Fatalf("%s: %+v", key, f)
	}
	site, _ := book.Site(one.H.Site)
	for _, into := range []*team{one, two} {
		log := site.Logs[slices.Index([]*team{one, two}, into)]
		h := into.foreman()
		h.At = at
		act := acts.Accept(h, none, f.Judged(), "KM-0001 of the other is the make-up piece")
		into.Do(func(logbook.Reader) ([]logbook.Draft, error) {
			drafts, err := act(book)
			for i := range drafts {
				b := drafts[i].Body.(logbook.Reviewed)
				b.Judged = audit.In(log, b.Judged)
				drafts[i].Weld, drafts[i].Body = log.Own(drafts[i].Weld), b
			}
			return drafts, err
		})
		again, _ := audit.Run(mergedBook(t, one, two), one.H.Site, at, none).Find(key)
		if again.Accepted == nil || again.Open() {
			t.Errorf("answered into log %s it is %+v", log.Name(), again)
		}
		into.Entries = into.Entries[:len(into.Entries)-1]
	}
}

// mergedBook is two logs of one tag read together.
func mergedBook(t *testing.T, one, two *team) *logbook.Book {
	t.Helper()
	all, err := logbook.Merge([]logbook.LogCopy{
		{Name: "one", ID: "a1b2c3", Tag: "KM", Entries: one.Entries}, {Name: "two", ID: "e5f607", Tag: "KM", Entries: two.Entries},
	})
	if err != nil {
		t.Fatal(err)
	}
	return logbook.Fold("KM", all)
}
