package audit_test

import (
	"slices"
	"strings"
	"testing"
	"time"

	"coolhold/logbook"
	"coolhold/logbook/acts"
	"coolhold/logbook/ahead"
	"coolhold/logbook/audit"
)

func keysOf(findings []audit.Finding) string {
	var keys []string
	for _, f := range findings {
		keys = append(keys, f.Key)
	}
	slices.Sort(keys)
	return strings.Join(keys, " ")
}

func TestFindingsOfAJoint(t *testing.T) {
	c := onSite(t)
	wire := well()
	wire.hot.Wire = "seen"
	c.Do(acts.Cut(c.H, c.made("1A", wire), "wire"))
	c.begun("1B", well())
	res := c.run()
	for label, want := range map[string]string{
		"1A": "cut-not-replaced:1A wire-seen:KM-0001", "1B": "walk-open:KM-0002", "": "", "9Z": "",
	} {
		if got := keysOf(res.OfJoint(label)); got != want {
			t.Errorf("%q: %s, want %s", label, got, want)
		}
	}
}

// A day is the local day of the fusion, as stated where it was stated; of a
// walk that is open, the day it was begun. What is of no weld is of no day.
func TestFindingsOfADay(t *testing.T) {
	c := onSite(t)
	wire := well()
	wire.hot.Wire = "seen"
	c.made("1A", wire)
	c.Wait(16 * time.Hour) // past midnight by local time
	c.late(func(l *acts.LateWeld) {
		l.Started = l.Started.Add(-24 * time.Hour)
		l.Ended, l.Released = l.Started.Add(40*time.Second), l.Started.Add(10*time.Minute)
	})
	c.begun(c.added("X1"), well())
	res := c.run()
	nine, ten := "entered-later:KM-0002 fail-not-cut-out:1A made-before-opening:KM-0002 wire-seen:KM-0001", "walk-open:KM-0003"
	if got := keysOf(res.OnDays("2026-03-09", "2026-03-09")); got != "fail-not-cut-out:1A wire-seen:KM-0001" {
		t.Errorf("9 March: %s", got)
	}
	if got := keysOf(res.OnDays("2026-03-08", "2026-03-09")); got != nine {
		t.Errorf("to 9 March: %s", got)
	}
	if got := keysOf(res.OnDays("2026-03-10", "2026-03-10")); got != ten {
		t.Errorf("10 March: %s", got)
	}
	if got := keysOf(res.OnDays("2026-03-11", "2026-03-11")); got != "" {
		t.Errorf("11 March: %s", got)
	}
	if n := len(res.WeldsOn("2026-03-08", "2026-03-10")); n != 3 {
		t.Errorf("%d welds on three days", n)
	}
}

func TestWorst(t *testing.T) {
	c := onSite(t)
	m := well()
	m.ran, m.answers[logbook.ItemPipeBatch] = 39, logbook.NotKnown
	id := c.made("1A", m)
	if f, ok := c.run().Worst(id); !ok || f.Rule != "run-unlike-set" {
		t.Errorf("the worst is %+v, %v", f, ok)
	}
	c.answer(only(t, c.run(), "run-unlike-set"), true)
	if f, ok := c.run().Worst(id); ok {
		t.Errorf("after it was accepted a note is left, the worst is %+v", f)
	}
	m.hot.Wire = "seen"
	bad := c.made("1B", m)
	if f, _ := c.run().Worst(bad); f.Rule != "wire-seen" {
		t.Errorf("a query goes before a fail: %+v", f)
	}
}

// The graver one is told; of one severity a fault before unfinished work, else
// the one that comes first.
func TestTheGravestOfSome(t *testing.T) {
	fault, work := audit.Finding{Rule: "fault", Severity: audit.Query}, audit.Finding{Rule: "work", Severity: audit.Query, Work: true}
	fail, failWork := audit.Finding{Rule: "fail", Severity: audit.Fail}, audit.Finding{Rule: "fail by work", Severity: audit.Fail, Work: true}
	for _, tt := range []struct {
		of   []audit.Finding
		want string
	}{
		{[]audit.Finding{fault, {Rule: "second", Severity: audit.Query}}, "fault"}, {[]audit.Finding{work, {Rule: "second", Severity: audit.Query, Work: true}}, "work"},
		{[]audit.Finding{work, fault}, "fault"}, {[]audit.Finding{fault, work}, "fault"}, {[]audit.Finding{fault, fail}, "fail"}, {[]audit.Finding{fail, fault}, "fail"},
		{[]audit.Finding{failWork, fault}, "fail by work"}, {[]audit.Finding{work, failWork}, "fail by work"}, {[]audit.Finding{fault, failWork}, "fail by work"},
		{[]audit.Finding{{Rule: "note", Severity: audit.Note}, {Rule: "settled", Severity: audit.Fail, Settled: true}}, ""},
	} {
		if f, found := audit.Worst(tt.of); f.Rule != tt.want || found != (tt.want != "") {
			t.Errorf("of %+v %q is told, want %q", tt.of, f.Rule, tt.want)
		}
	}
}

// missingIn are the joints that a section lacks, each with its state.
func missingIn(c *team, s ahead.Section) string {
	var out []string
	for _, l := range audit.Missing(c.Book, c.run(), s) {
		out = append(out, l.Joint+" "+l.State)
	}
	return strings.Join(out, ", ")
}

func TestMissingInASection(t *testing.T) {
	c := onSite(t)
	m := well()
	m.ran = 39
	c.made("1A", m)
	c.added("X1")
	c.made("1B", well())
	sections := ahead.Sections(c.Book, c.H.Site)
	want := map[string]string{"chamber A": "1A query", "run X1": "X1 open"}
	for _, s := range sections {
		if got := missingIn(c, s); got != want[s.Name] {
			t.Errorf("%s: missing %q, want %q", s.Name, got, want[s.Name])
		}
	}
	c.answer(only(t, c.run(), "run-unlike-set"), true)
	c.Do(acts.StrikeJoint(c.H, "X1", "not needed"))
	for _, s := range sections { // as they were, the joints as they are
		if got := missingIn(c, s); got != "" {
			t.Errorf("%s: still missing %q", s.Name, got)
		}
	}
	if len(sections) != 2 {
		t.Errorf("%d sections", len(sections))
	}
}
