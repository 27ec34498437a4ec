package audit_test

import (
	"encoding/json"
	"strings"
	"testing"
	"time"

	"coolhold/fusion"
	"coolhold/logbook"
	"coolhold/logbook/acts"
	"coolhold/logbook/audit"
	"coolhold/logbook/crew"
)

// only is the finding of a rule, which must be there once.
func only(t testing.TB, res audit.Result, rule string) (found audit.Finding) {
	t.Helper()
	n := 0
	for _, f := range res.Findings {
		if f.Rule == rule {
			n, found = n+1, f
		}
	}
	if n != 1 {
		t.Fatalf("%s is found %d times among %q", rule, n, rulesOf(res))
	}
	return found
}

const hedda = "Hedda Invented, foreman"

// foreman is the head of what somebody says who made none of the welds.
func (c *team) foreman() acts.Head {
	h := c.H
	h.By = hedda
	return h
}

func (c *team) answer(f audit.Finding, accepted bool) {
	c.T.Helper()
	c.Do(crew.Raw(c.foreman(), "", f.Weld, logbook.Reviewed{Judged: f.Judged(), Accepted: accepted, Why: "seen on site"}))
}

func isOpen(res audit.Result, key string) bool {
	for _, f := range res.Open() {
		if f.Key == key {
			return true
		}
	}
	return false
}

func TestReviews(t *testing.T) {
	c := onSite(t)
	m := well()
	m.answers["clamped"] = logbook.CouldNot
	id := c.made("1A", m)
	want := func(v audit.Verdict, settled bool, when string) audit.Finding {
		t.Helper()
		res := c.run()
		f := only(t, res, "preparation-could-not")
		j, _ := c.Book.Joint(c.H.Site, "1A")
		if got := res.Verdict(id); got != v || f.Settled != settled || isOpen(res, f.Key) == settled || res.Settled(j) != settled {
			t.Errorf("%s: verdict %q, want %q; finding settled %v, want %v", when, got, v, f.Settled, settled)
		}
		return f
	}
	f := want(audit.Queried, false, "before any review")
	c.answer(f, false)
	want(audit.Queried, false, "not accepted")
	c.answer(f, true)
	if f = want(audit.Accepted, true, "accepted"); f.Accepted.By != hedda || f.Accepted.Why != "seen on site" {
		t.Errorf("accepted as %+v", f.Accepted)
	}
	c.answer(f, false)
	want(audit.Queried, false, "taken back")
	other := f.Judged()
	other.Digest = audit.Digest(f.Key, json.RawMessage(`"other facts"`))
	c.Do(crew.Raw(c.H, "", id, logbook.Reviewed{Judged: other, Accepted: true, Why: "seen"}))
	want(audit.Queried, false, "accepted for other facts")
	c.Do(crew.Raw(c.H, "", id, logbook.Reviewed{Judged: logbook.Judged{Key: "wet:" + id, Digest: f.Judged().Digest}, Accepted: true, Why: "seen"}))
	want(audit.Queried, false, "another finding accepted")
}

// When the facts change, what was accepted is open again.
func TestChangedFactsReopen(t *testing.T) {
	c := onSite(t)
	m := well()
	m.hot.Indicators = []string{logbook.Part, logbook.Up}
	m.hot.Marks = logbook.Unseen
	id := c.made("1A", m)
	c.answer(only(t, c.run(), "indicator-part"), true)
	c.answer(only(t, c.run(), "not-seen"), true)
	if got := c.run().Verdict(id); got != audit.Accepted {
		t.Fatalf("verdict %q", got)
	}
	c.Do(acts.ReadLook(c.H, id, logbook.Look{When: logbook.LookRound, Indicators: []string{logbook.Unseen}, How: logbook.Typed}))
	res := c.run()
	if f := only(t, res, "not-seen"); f.Settled || f.Accepted != nil || res.Verdict(id) != audit.Queried {
		t.Errorf("after another look: %+v, verdict %q", f, res.Verdict(id))
	}
	if f := only(t, res, "indicator-part"); !f.Settled {
		t.Error("what did not change is open again")
	}
}

func TestAFailIsNeverReviewedAway(t *testing.T) {
	c := onSite(t)
	m := well()
	m.hot.Wire = "seen"
	id := c.made("1A", m)
	c.answer(only(t, c.run(), "wire-seen"), true)
	res := c.run()
	if f := only(t, res, "wire-seen"); f.Settled || f.Accepted != nil || res.Verdict(id) != audit.Failed {
		t.Errorf("a fail was accepted: %+v, verdict %q", f, res.Verdict(id))
	}
	if j, _ := c.Book.Joint(c.H.Site, "1A"); res.StateOf(j) != "fail" || res.Settled(j) {
		t.Errorf("its joint is %q", res.StateOf(j))
	}
	c.Do(acts.Cut(c.H, id, "wire seen"))
	res = c.run()
	if f := only(t, res, "wire-seen"); !f.Settled || isOpen(res, f.Key) || res.Verdict(id) != audit.Failed {
		t.Errorf("cut out: %+v, verdict %q", f, res.Verdict(id))
	}
	if j, _ := c.Book.Joint(c.H.Site, "1A"); res.StateOf(j) != "open again" || res.Settled(j) || !isOpen(res, "cut-not-replaced:1A") {
		t.Errorf("its joint is %q", res.StateOf(j))
	}
}

func TestVerdicts(t *testing.T) {
	query := well()
	query.ran = 39
	flat := well()
	flat.hot.Indicators = []string{logbook.Flat}
	noBatch := well()
	noBatch.answers[logbook.ItemBatch] = logbook.NotKnown
	stopped := well()
	stopped.ended = logbook.FusionEnded{Outcome: logbook.Stopped}
	tests := []struct {
		name  string
		seed  func(*team)
		want  audit.Verdict
		state audit.State
	}{
		{"walk open", func(c *team) { c.begun("1A", well()) }, audit.Unfinished, "in the walk"},
		{"given up", func(c *team) { c.Do(acts.AbandonWalk(c.H, c.begun("1A", well()), "rain")) }, audit.NoHeat, "open"},
		{"fusing", func(c *team) { c.Do(acts.StartFusion(c.H, c.begun("1A", well()), 0)) }, audit.Unfinished, "fusing"},
		{"hold", func(c *team) { c.fused("1A", well()) }, audit.Unfinished, "hold"},
		{"hold over, not released", func(c *team) { c.fused("1A", well()); c.Wait(time.Hour) }, audit.Unfinished, "hold"},
		{"released", func(c *team) { c.made("1A", well()) }, audit.Clear, "clear"},
		{"a note only", func(c *team) { c.made("1A", noBatch) }, audit.Clear, "clear"},
		{"a query", func(c *team) { c.made("1A", query) }, audit.Queried, "query"},
		{"a query in the hold", func(c *team) { c.fused("1A", query) }, audit.Unfinished, "hold"},
		{"a fail in the hold", func(c *team) { c.fused("1A", flat) }, audit.Failed, "fail"},
		{"stopped", func(c *team) { c.fused("1A", stopped) }, audit.Failed, "fail"},
		{"disturbed early", func(c *team) { c.Do(acts.Disturb(c.H, c.fused("1A", well()), 0, "", "why")) }, audit.Failed, "fail"},
		{"disturbed after its time", func(c *team) {
			id := c.fused("1A", well())
			c.Wait(6 * time.Minute)
			c.Do(acts.Disturb(c.H, id, 6, "", "why"))
		}, audit.Clear, "clear"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			c := onSite(t)
			tt.seed(c)
			res := c.run()
			j, _ := c.Book.Joint(c.H.Site, "1A")
			if got, state := res.Verdict("KM-0001"), res.StateOf(j); got != tt.want || state != tt.state {
				t.Errorf("verdict %q, want %q; joint %q, want %q", got, tt.want, state, tt.state)
			}
		})
	}
	c := onSite(t)
	if got := c.run().Verdict("KM-0099"); got != "" {
		t.Errorf("a weld that is not there is %q", got)
	}
	c.Do(acts.StrikeJoint(c.H, "1A", "why"))
	c.Do(acts.SplitJoint(c.H, "1B", "why", acts.Piece{}))
	for label, want := range map[string]audit.State{"1A": "not being built", "1B": "make-up piece", "1B.1": "open"} {
		if j, _ := c.Book.Joint(c.H.Site, label); c.run().StateOf(j) != want || c.run().Settled(j) != (want != "open") {
			t.Errorf("%s is %q, want %q", label, c.run().StateOf(j), want)
		}
	}
}

// The weather that counts is that at the start of the fusion.
func TestWetCountsAtTheStart(t *testing.T) {
	rain := logbook.Weather{Sky: logbook.SkyWet, Shelter: "none"}
	tests := []struct {
		name          string
		before, after logbook.Weather
		want          bool
	}{
		{"rain under a tent", logbook.Weather{Sky: logbook.SkyWet, Shelter: "tent"}, rain, false},
		{"rain that stopped", rain, logbook.Weather{Sky: "dry", Shelter: "none"}, true},
		{"sun, then rain", logbook.Weather{Sky: "sun", Shelter: "none"}, rain, false},
	}
	for _, tt := range tests {
		c := onSite(t)
		c.Do(acts.ChangeWeather(c.H, tt.before))
		c.Wait(time.Second)
		id := c.made("1A", well())
		c.Do(acts.ChangeWeather(c.H, tt.after))
		if got := isOpen(c.run(), "wet:"+id); got != tt.want {
			t.Errorf("%s: found %v, want %v", tt.name, got, tt.want)
		}
	}
}

// The same records and the same time give the same bytes; only the time that
// is asked for moves what depends on it.
func TestAsOf(t *testing.T) {
	c := onSite(t)
	id := c.fused("1A", well())
	c.begun("1B", well())
	running, over := c.H.At, c.H.At.Add(6*time.Minute)
	text := func(asOf fusion.Stamp) string {
		data, err := json.Marshal(audit.Run(c.Book, c.H.Site, asOf, fusion.Stamp{}).Findings)
		if err != nil {
			t.Fatal(err)
		}
		return string(data)
	}
	first := text(running)
	c.H.At = over.Add(time.Hour) // the crew's clock does not matter
	for range 20 {
		if again := text(running); again != first {
			t.Fatalf("first\n%s\nthen\n%s", first, again)
		}
	}
	says := map[string]fusion.Stamp{id + ": its hold is running": running, id + ": its hold was not ended by a release": over}
	for want, asOf := range says {
		if f := only(t, audit.Run(c.Book, c.H.Site, asOf, fusion.Stamp{}), "unreleased"); f.Says != want {
			t.Errorf("says %q, want %q", f.Says, want)
		}
	}
	for _, tt := range []struct {
		after time.Duration
		open  bool
	}{{15 * time.Hour, false}, {16 * time.Hour, true}} { // midnight by local time
		if got := isOpen(audit.Run(c.Book, c.H.Site, running.Add(tt.after), fusion.Stamp{}), "shift-open:meadow"); got != tt.open {
			t.Errorf("%v on: shift left open %v", tt.after, got)
		}
	}
}

// A hold whose time has passed by the clock on the wall is not said to run, though no
// clock that counts it proves that; before that it runs.
func TestAHoldThatNoClockProves(t *testing.T) {
	const undone = ": its hold was not ended by a release; by "
	c := onSite(t)
	id, typed := c.fused("1A", well()), "KM-0002"
	c.late(func(l *acts.LateWeld) { l.HoldStated, l.Released = false, time.Time{} })
	elsewhere, restarted := c.H.At.Add(time.Hour), c.H.At.Add(time.Hour)
	elsewhere.Machine, restarted.BootID, restarted.Boot = "office", "boot-9", time.Minute
	soon := c.H.At.Add(time.Minute)
	soon.Machine = "office"
	for says, asOf := range map[string]fusion.Stamp{
		id + undone + "the wall clock it is over, and no clock proves it: the log is on another machine":          elsewhere,
		id + undone + "the wall clock it is over, and no clock proves it: the machine was restarted while it ran": restarted,
		id + ": its hold is running": soon,
		typed + undone + "the time stated it is over, and it counts from when it was entered": c.H.At,
		typed + ": its hold was not ended by a release":                                       c.H.At.Add(time.Hour),
	} {
		res := audit.Run(c.Book, c.H.Site, asOf, fusion.Stamp{})
		weld, _, _ := strings.Cut(says, ":")
		if f, found := res.Find("unreleased:" + weld); !found || f.Says != says {
			t.Errorf("says %q, want %q", f.Says, says)
		}
	}
}

func TestOrderOfFindings(t *testing.T) {
	c := onSite(t)
	m := well()
	m.hot.Wire, m.ran = "seen", 39
	m.answers[logbook.ItemBatch] = logbook.NotKnown
	c.made("1B", m)
	c.made("1A", m)
	res := c.run()
	for i := 1; i < len(res.Findings); i++ {
		a, b := res.Findings[i-1], res.Findings[i]
		if a.Severity > b.Severity || a.Severity == b.Severity && a.Joint > b.Joint {
			t.Errorf("%s comes before %s", a.Key, b.Key)
		}
	}
	if n := len(res.OfWeld("KM-0001")); n != 3 {
		t.Errorf("%d findings on the weld, want wire, run and batch", n)
	}
	for _, f := range res.Open() {
		if f.Severity == audit.Note {
			t.Errorf("%s is only a note", f.Key)
		}
	}
}
