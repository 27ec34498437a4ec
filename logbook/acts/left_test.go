package acts_test

import (
	"strings"
	"testing"
	"time"

	"coolhold/logbook"
	"coolhold/logbook/acts"
	"coolhold/logbook/crew"
)

func leftAs(change ...func(*logbook.LeftAs)) logbook.LeftAs {
	b := logbook.LeftAs{Pressure: logbook.PressureStands, Bar: new(2.0), Gauge: "G-1", Shut: []string{"fill"}, Open: []string{"1A"}}
	for _, f := range change {
		f(&b)
	}
	return b
}

// How it was left is refused only for what no person can have meant, and where nothing is
// said at all.
func TestHowItWasLeft(t *testing.T) {
	c := crew.OnSite(t)
	nobody := c.H
	nobody.By = ""
	soon := c.H.At.Wall.Add(time.Hour)
	for says, act := range map[string]acts.Act{
		"how it was left needs a name":               acts.LeaveAs(nobody, leftAs()),
		"no section of the site":                     acts.LeaveAs(c.H, leftAs(func(b *logbook.LeftAs) { b.Section.Chamber = "Z" })),
		"nothing is said of how all was left":        acts.LeaveAs(c.H, logbook.LeftAs{Caps: "  ", Open: []string{" ", ""}}),
		"whether a pressure was left must be said":   acts.LeaveAs(c.H, leftAs(func(b *logbook.LeftAs) { b.Pressure, b.Bar = "much", nil })),
		"and not that one was left standing":         acts.LeaveAs(c.H, leftAs(func(b *logbook.LeftAs) { b.Pressure = logbook.PressureNone })),
		"a gauge is named and no pressure":           acts.LeaveAs(c.H, leftAs(func(b *logbook.LeftAs) { b.Pressure, b.Bar = "", nil })),
		"pressure left 200 is no figure of 0.01…100": acts.LeaveAs(c.H, leftAs(func(b *logbook.LeftAs) { b.Bar = new(200.0) })),
		"none was left shut, and fill was":           acts.LeaveAs(c.H, leftAs(func(b *logbook.LeftAs) { b.NoneShut = true })),
		"valve Fill was left shut and open":          acts.LeaveAs(c.H, leftAs(func(b *logbook.LeftAs) { b.Shut, b.Open = []string{"Fill"}, []string{"fill"} })),
		"all is no circuit":                          acts.LeaveAs(c.H, leftAs(func(b *logbook.LeftAs) { b.LPM = new(18.0) })),
		"is no header":                               acts.LeaveAs(c.H, leftAs(func(b *logbook.LeftAs) { b.End = "flange" })),
		"who is to be called is said once":           acts.LeaveAs(c.H, leftAs(func(b *logbook.LeftAs) { b.Section, b.Call = header, &logbook.Call{Name: "Ona"} })),
		"who is to be called needs a name":           acts.LeaveAs(c.H, leftAs(func(b *logbook.LeftAs) { b.Call = &logbook.Call{Name: " ", Phone: "1"} })),
		"is still to come":                           acts.LeaveAs(c.H, leftAs(func(b *logbook.LeftAs) { b.Stated = &soon })),
		"flow -1 is no figure":                       acts.LeaveAs(c.H, leftAs(func(b *logbook.LeftAs) { b.Section, b.LPM = crew.Circuit1, new(-1.0) })),
		"nothing of that is recorded there":          acts.WithdrawLoop(c.H, "left as", logbook.SectionID{}, 1, "the wrong one"),
	} {
		if err := c.Try(act); err == nil || !strings.Contains(err.Error(), says) || strings.Contains(err.Error(), "\n") {
			t.Errorf("got %v, want one line with %q", err, says)
		}
	}
	c.Do(acts.LeaveAs(c.H, leftAs(func(b *logbook.LeftAs) { b.Shut, b.Caps = []string{" fill ", "Fill", "purge  2"}, " both ends " })))
	got := crew.Last[logbook.LeftAs](c)
	if strings.Join(got.Shut, "|") != "fill|purge 2" || got.Caps != "both ends" {
		t.Errorf("stored as %+v", got)
	}
	if line := got.Line(); line != "left as, all: 2 bar left standing, gauge G-1; valves: SHUT: fill, purge 2; open: 1A; caps both ends" {
		t.Errorf("told as %q", line)
	}
	c.Do(acts.LeaveAs(c.H, logbook.LeftAs{Section: header, End: "flange", Mark: "FG in paint"}), acts.LeaveAs(c.H, logbook.LeftAs{Section: crew.Circuit1, LPM: new(18.0)}),
		acts.LeaveAs(c.H, logbook.LeftAs{Call: &logbook.Call{Name: " Ona Invented ", Phone: "000"}}))
	if got := crew.Last[logbook.LeftAs](c).Call.Line(); got != "Ona Invented, 000" {
		t.Errorf("to call: %q", got)
	}
	c.WantRebuilt()
}

// One said by mistake is taken back by its number, and what stood before counts again.
func TestHowItWasLeftTakenBack(t *testing.T) {
	c := crew.OnSite(t)
	c.Do(acts.LeaveAs(c.H, leftAs()))
	first, _ := c.Site().Loop.LeftOf(logbook.SectionID{})
	c.Do(acts.LeaveAs(c.H, leftAs(func(b *logbook.LeftAs) { b.Bar = new(3.0) })))
	if err := c.Try(acts.WithdrawLoop(c.H, acts.LoopKinds["left"], logbook.SectionID{}, first.Seq, "the other site")); err == nil || !strings.Contains(err.Error(), "something newer") {
		t.Errorf("got %v", err)
	}
	seq, _ := acts.NewestLoop(c.Book, c.H.Site, acts.LoopKinds["left"], logbook.SectionID{})
	c.Do(acts.WithdrawLoop(c.H, acts.LoopKinds["left"], logbook.SectionID{}, seq, "the other site"))
	if l, found := c.Site().Loop.LeftOf(logbook.SectionID{}); !found || l.Seq != first.Seq {
		t.Errorf("the first does not count again: %+v", l)
	}
}
