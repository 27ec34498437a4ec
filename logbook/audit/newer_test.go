package audit_test

import (
	"errors"
	"slices"
	"strings"
	"testing"

	"coolhold/fusion"
	"coolhold/logbook"
	"coolhold/logbook/acts"
	"coolhold/logbook/audit"
)

// futureBody is what a newer program may write.
type futureBody struct {
	Why string `json:"why"`
}

func (futureBody) Kind() logbook.Kind { return "cut ordered anew" }
func (b futureBody) Line() string     { return b.Why }

// future is an entry of a newer program on a weld, a joint or the site.
func future(weld, joint string) func(*team) {
	return func(c *team) {
		c.made("1B", well())
		c.Do(func(logbook.Reader) ([]logbook.Draft, error) {
			return []logbook.Draft{{ID: "future", At: c.H.At, By: "Ada", Site: c.H.Site, Weld: weld, Joint: joint, Body: futureBody{"it leaks"}}}, nil
		})
	}
}

func unread(rule string) bool { return rule == "newer-entry" || rule == "newer-entry-site" }

// What this program cannot read leaves the weld that it may be about a query: one of
// the weld, of its joint, or of the site. No name settles it, and no cut-out.
func TestWhatIsNotRead(t *testing.T) {
	for name, tt := range map[string]struct {
		weld, joint string
		queried     []string
	}{
		"weld": {"KM-0002", "1B", []string{"KM-0002"}}, "joint": {"", "1B", []string{"KM-0002"}}, "site": {"", "", []string{"KM-0001", "KM-0002"}},
	} {
		t.Run(name, func(t *testing.T) {
			c := onSite(t)
			c.made("1A", well())
			future(tt.weld, tt.joint)(c)
			c.round()
			res := c.run()
			for _, id := range []string{"KM-0001", "KM-0002"} {
				want := audit.Clear
				if slices.Contains(tt.queried, id) {
					want = audit.Queried
				}
				if got := res.Verdict(id); got != want {
					t.Errorf("%s is %q, want %q", id, got, want)
				}
			}
			for _, key := range []string{"newer-entry:KM-0002", "newer-entry-site:" + c.H.Site} {
				f, found := res.Find(key)
				if !found || !f.Open() || !strings.Contains(f.Says, "newer coolhold") || f.Unanswerable() == "" {
					t.Fatalf("%s: %v, %+v", key, found, f)
				}
				_, err := acts.Accept(c.H, fusion.Stamp{}, f.Judged(), "it will be well")(c.Book)
				if !errors.Is(err, logbook.ErrRule) {
					t.Errorf("%s was accepted: %v", key, err)
				}
			}
			c.Do(acts.Cut(c.H, "KM-0002", "to be safe"))
			if f, _ := c.run().Find("newer-entry:KM-0002"); !f.Open() {
				t.Error("settled by the cut-out, which the entry may have taken back")
			}
		})
	}
}
