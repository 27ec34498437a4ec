package audit_test

import (
	"slices"
	"strings"
	"testing"
	"time"

	"coolhold/logbook"
	"coolhold/logbook/acts"
	"coolhold/logbook/audit"
)

// paper is a weld taken in from a sheet, changed as given, in a joint of its own.
func (c *team) paper(label, sheet string, change func(*acts.LateWeld)) {
	c.T.Helper()
	before := time.Duration(len(c.Book.Welds(c.H.Site))) * 3 * time.Minute // one after the other on its unit
	c.late(func(l *acts.LateWeld) {
		l.Joint = label
		l.Started = l.Started.Truncate(time.Minute).Add(-before)
		l.Ended, l.Released = l.Started.Add(time.Minute), l.Released.Add(-before)
		l.Look.Indicators = []string{logbook.Up}
		l.Why, l.Paper = "", &logbook.PaperRow{File: sheet, Line: 2, Key: sheet + label}
		change(l)
	})
}

// sheet is a sheet of welds that say all, but for what change leaves out of one.
func (c *team) sheet(n int, change func(*acts.LateWeld)) {
	c.T.Helper()
	for i := range n {
		label := c.added("X" + string(rune('A'+i)))
		c.paper(label, "van.csv", func(l *acts.LateWeld) {
			if i == 1 {
				change(l)
			}
		})
	}
}

func told(groups []audit.Group) (out []string) {
	for _, g := range groups {
		out = append(out, g.First().Word()+" "+g.Says())
	}
	return out
}

// What is never a formality stands beside the rest of its sheet, whatever it is that
// was left blank.
func TestWhatIsNoFormality(t *testing.T) {
	for name, leave := range map[string]func(*acts.LateWeld){
		"preparation": func(l *acts.LateWeld) {
			l.Answers = slices.DeleteFunc(l.Answers, func(a logbook.Answer) bool { return a.Item == "clamped" })
		},
		"seconds set":   func(l *acts.LateWeld) { l.SecondsShown = 0 },
		"volts":         func(l *acts.LateWeld) { l.VoltsShown = nil },
		"end of hold":   func(l *acts.LateWeld) { l.Released = time.Time{} },
		"end of fusion": func(l *acts.LateWeld) { l.Ended = time.Time{} },
		"indicators":    func(l *acts.LateWeld) { l.Look.Indicators = []string{logbook.Unseen} },
		"no look":       func(l *acts.LateWeld) { l.Look = logbook.Look{} },
		"outcome":       func(l *acts.LateWeld) { l.Outcome = logbook.NotSeen },
		"a remark":      func(l *acts.LateWeld) { l.Why = "the dog ran into it" },
	} {
		t.Run(name, func(t *testing.T) {
			c := onSite(t)
			c.sheet(3, leave)
			var same, other []string
			for _, f := range c.run().Findings {
				if f.Rule != "transcribed" {
					continue
				}
				if n := len(c.run().Alike(f)); n == 1 {
					other = append(other, f.Weld)
				} else {
					same = append(same, f.Weld)
				}
			}
			if got := strings.Join(same, " ") + "; " + strings.Join(other, " "); got != "KM-0001 KM-0003; KM-0002" {
				t.Errorf("of one cause, alone: %s", got)
			}
		})
	}
}

// One answer does for a formality on one sheet or shift, and for none of another.
func TestAFormalityIsAcceptedOnce(t *testing.T) {
	c := onSite(t)
	c.sheet(3, func(*acts.LateWeld) {})
	c.paper("1A", "other.csv", func(*acts.LateWeld) {})
	groups := audit.Groups(c.run().Open())
	formal := slices.DeleteFunc(slices.Clone(groups), func(g audit.Group) bool { return g.First().Rule != "transcribed" })
	if got := told(formal); len(got) != 2 || !strings.HasSuffix(got[0], "; and so 2 more: KM-0002, KM-0003") && !strings.HasSuffix(got[1], "; and so 2 more: KM-0002, KM-0003") {
		t.Fatalf("%q", got)
	}
	first, _ := c.run().Find("transcribed:KM-0001")
	n := len(c.Entries)
	c.Do(acts.AcceptAll(c.foreman(), none, audit.Group{Findings: c.run().Alike(first)}.Judged(), "compared with the paper"))
	res := c.run()
	for _, f := range res.Findings {
		if f.Rule == "transcribed" && (f.Accepted != nil) != (f.Weld != "KM-0004") {
			t.Errorf("%s: accepted: %v", f.Key, f.Accepted != nil)
		}
	}
	if entries := len(c.Entries) - n; entries != 3 {
		t.Errorf("%d entries for three welds", entries)
	}
	// A weld that comes to the sheet afterwards was seen by nobody.
	c.paper("1B", "van.csv", func(*acts.LateWeld) {})
	if f, _ := c.run().Find("transcribed:KM-0005"); !f.Open() {
		t.Error("a weld taken in afterwards is accepted with the others")
	}
}

// All of it or none: what changed meanwhile is read again.
func TestAcceptAllIsAllOrNone(t *testing.T) {
	c := onSite(t)
	c.sheet(2, func(*acts.LateWeld) {})
	seen := audit.Group{Findings: c.run().Alike(c.of("transcribed"))}.Judged()
	seen[1].Digest = "0000000000000000"
	if _, err := acts.AcceptAll(c.foreman(), none, seen, "compared")(c.Book); err == nil || !strings.Contains(err.Error(), "transcribed:KM-0002: its facts have changed meanwhile") {
		t.Error(err)
	}
}

// Who accepts formalities of his own work is answered once too, of a fault of his
// own weld by weld.
func TestOwnFormalities(t *testing.T) {
	c := onSite(t)
	c.sheet(2, func(l *acts.LateWeld) { l.Look.Indicators = []string{logbook.Part} })
	own := c.H
	own.By = "Ada Invented"
	for _, f := range audit.Acceptable(c.run().Findings) {
		if f.Rule != audit.Transcribed { // that waits for another
			c.Do(acts.Accept(own, none, f.Judged(), "I was there"))
		}
	}
	for _, f := range c.run().Findings {
		if f.Rule == audit.SelfAccepted && (f.Cause != "") != (f.Weld == "KM-0001") {
			t.Errorf("%s: cause %q, of %s", f.Key, f.Cause, f.Says)
		}
	}
}

// Real faults come first, then work, then formalities, then what nobody said; a
// fail and the joint it stands in are one line; few alike stand each by itself.
func TestWhatIsReadFirst(t *testing.T) {
	c := onSite(t)
	for _, label := range []string{c.added("XA"), c.added("XB"), c.added("XC"), c.added("XD")} {
		c.paper(label, "van.csv", func(l *acts.LateWeld) {
			l.Answers = slices.DeleteFunc(l.Answers, func(a logbook.Answer) bool { return a.Item == "clamped" })
		})
	}
	c.paper(c.added("XE"), "van.csv", func(*acts.LateWeld) {})
	m := well()
	m.hot.Indicators = []string{logbook.Part}
	c.made("1A", m)
	m = well()
	m.hot.Wire = logbook.WireSeen
	c.made("1B", m)
	want := []string{
		"fail KM-0007: heating wire visible after fusion",
		"query KM-0006: indicator part after fusion",
		"query KM-0005 was transcribed from paper by Ada Invented (no reason given)",
		"query 4 welds with an item of preparation not answered: KM-0001 to KM-0004",
		"query 4 welds taken in from paper that leave something unsaid: KM-0001 to KM-0004",
	}
	open := c.run().Open()
	var got []string
	for _, line := range told(audit.Groups(open)) {
		if !strings.HasPrefix(line, "to do") {
			got = append(got, line)
		}
	}
	if !slices.Equal(got, want) {
		t.Errorf("%s", strings.Join(got, "\n"))
	}
	n := 0
	for _, g := range audit.Groups(open) {
		n += len(g.Findings)
	}
	if n != len(open) {
		t.Errorf("%d findings in groups, %d are open", n, len(open))
	}
}

func TestRuns(t *testing.T) {
	for names, want := range map[string]string{
		"KM-0001":                         "KM-0001",
		"KM-0001 KM-0002":                 "KM-0001, KM-0002",
		"KM-0001 KM-0002 KM-0003 KM-0005": "KM-0001 to KM-0003, KM-0005",
		"KM-0009 KM-0010 KM-0011 NB-0012": "KM-0009 to KM-0011, NB-0012",
		"1A 1B 2A":                        "1A, 1B, 2A",
		"1 2 3":                           "1, 2, 3",
		"1A 1B 2A 2B 3A 3B 4A 4B 5A 5B KM-1 KM-2": "1A, 1B, 2A, 2B, 3A, 3B, 4A, 4B and 4 more",
	} {
		if got := audit.Runs(strings.Fields(names)); got != want {
			t.Errorf("%s: %q, want %q", names, got, want)
		}
	}
}
