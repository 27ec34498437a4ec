package ahead_test

import (
	"strings"
	"testing"
	"time"

	"coolhold/logbook"
	"coolhold/logbook/acts"
	"coolhold/logbook/ahead"
	"coolhold/logbook/crew"
)

// near are what lies around a time, a line each.
func near(c *crew.Crew, at time.Time, within time.Duration) []string {
	var out []string
	for _, n := range ahead.Around(c.Book, c.Site(), at, within) {
		out = append(out, n.Line())
	}
	return out
}

// What lies around the time of a photo is named with how far it is, the nearest first: a
// weld from its begin to its release, a test, a cover, what was read of the loop; nothing
// that was taken back.
func TestAroundAPhoto(t *testing.T) {
	c := crew.OnSite(t)
	begun := c.H.At.Local()
	id := c.Done("1A")
	released := c.H.At.Local()
	c.Wait(30 * time.Minute)
	other := c.Done("1B")
	at := begun.Add(-10 * time.Minute)
	if got := near(c, at, 15*time.Minute); len(got) != 1 || got[0] != "weld "+id+" in 1A, "+begun.Format("15:04")+" to "+released.Format("15:04")+": 10 min before it" {
		t.Errorf("%q", got)
	}
	if got := near(c, released.Add(12*time.Minute), time.Hour); len(got) != 2 || !strings.HasPrefix(got[0], "weld "+id) || !strings.HasSuffix(got[0], ": 12 min after it") || !strings.HasPrefix(got[1], "weld "+other) {
		t.Errorf("%q", got)
	}
	if got := near(c, begun.Add(time.Minute), time.Minute); len(got) != 1 || !strings.HasSuffix(got[0], ": within it") {
		t.Errorf("%q", got)
	}
	if got := near(c, begun.Add(-30*time.Second), time.Minute); len(got) != 1 || !strings.HasSuffix(got[0], ": less than a minute from it") {
		t.Errorf("%q", got)
	}
	// The same moment, as a phone in another zone has it.
	if got := near(c, at.In(time.FixedZone("", -7*3600)), 15*time.Minute); len(got) != 1 || !strings.HasSuffix(got[0], ": 10 min before it") {
		t.Errorf("%q", got)
	}
	if got := near(c, begun.Add(-24*time.Hour), 26*time.Hour); len(got) != 2 || got[0] != "weld "+id+" in 1A, "+begun.Format("2 Jan 15:04")+" to "+released.Format("15:04")+": 24 h 0 min before it" {
		t.Errorf("of another day: %q", got)
	}
	c.Wait(3 * time.Hour)
	test := c.Presses(crew.Pressing(crew.Circuit1), 6.1, 6.05)
	c.Do(crew.CoverSection(c.H, "run A/1", nil), acts.CheckFlow(c.H, logbook.FlowChecked{Section: crew.Circuit1, LPM: new(20.0), Shut: logbook.ShutBoth, Others: logbook.OthersStill}))
	got := near(c, c.H.At.Local(), time.Minute)
	if len(got) != 3 || !strings.HasPrefix(got[0], "pressure test "+test+" of circuit 1 of chamber A, ") || !strings.HasPrefix(got[1], "run A/1, covered, ") || !strings.HasPrefix(got[2], "flow of circuit 1 of chamber A, ") {
		t.Errorf("%q", got)
	}
	cover, _ := c.Site().CoverOf("run A/1")
	c.Do(acts.WithdrawPressure(c.H, test, "the wrong circuit"), acts.UncoverSection(c.H, cover, "it was another"))
	if got := near(c, c.H.At.Local(), time.Minute); len(got) != 1 || !strings.HasPrefix(got[0], "flow of ") {
		t.Errorf("what was taken back is named: %q", got)
	}
}

// Of a weld that was entered later only what was stated is a time of its own.
func TestAWeldEnteredLaterLiesWhereItWasMade(t *testing.T) {
	c := crew.OnSite(t)
	var made time.Time
	id := c.Late(func(l *acts.LateWeld) { made = l.Started })
	if got := near(c, made, time.Second); len(got) != 1 || !strings.HasPrefix(got[0], "weld "+id) {
		t.Errorf("%q", got)
	}
	if got := near(c, c.H.At.Local(), time.Second); len(got) != 0 {
		t.Errorf("it lies where it was entered: %q", got)
	}
}

// A file of a part, a section or a test shows the joints in it and no others.
func TestWhatAFileShows(t *testing.T) {
	c := crew.OnSite(t)
	test := c.Begins(crew.Pressing(crew.Circuit1))
	for _, tt := range []struct {
		name string
		b    logbook.Enclosed
		want string
	}{
		{"chamber", logbook.Enclosed{Part: "chamber A"}, "1A 1B 2A 2B FG"}, {"run", logbook.Enclosed{Part: "run A/1"}, "E1"},
		{"circuit", logbook.Enclosed{Section: &crew.Circuit1}, "1A 1B E1"}, {"all", logbook.Enclosed{Section: &logbook.SectionID{}}, "1A 1B 2A 2B FG E1"},
		{"test", logbook.Enclosed{Test: test}, "1A 1B E1"}, {"another test", logbook.Enclosed{Test: "KM-P9"}, ""}, {"nothing", logbook.Enclosed{}, ""},
	} {
		var shows []string
		for _, j := range c.Book.Joints(c.H.Site) {
			if ahead.ShowsJoint(c.Book, c.Site(), logbook.Enclosure{Enclosed: tt.b}, j) {
				shows = append(shows, j.Label)
			}
		}
		if got := strings.Join(shows, " "); got != tt.want {
			t.Errorf("%s shows %q, want %q", tt.name, got, tt.want)
		}
	}
}
