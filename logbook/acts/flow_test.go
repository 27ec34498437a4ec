package acts_test

import (
	"strings"
	"testing"
	"time"

	"coolhold/fusion"
	"coolhold/logbook"
	"coolhold/logbook/acts"
	"coolhold/logbook/ahead"
	"coolhold/logbook/crew"
)

var (
	circuit2 = logbook.SectionID{Chamber: "A", Circuit: 2}
	header   = logbook.SectionID{Chamber: "A", Way: logbook.FG}
)

func still(change ...func(*logbook.FlowChecked)) logbook.FlowChecked {
	b := logbook.FlowChecked{Section: crew.Circuit1, LPM: new(28.5), Shut: logbook.ShutBoth, Others: logbook.OthersStill, GaugeMaxLPM: new(40.0)}
	for _, f := range change {
		f(&b)
	}
	return b
}

func purged(change ...func(*logbook.Purged)) logbook.Purged {
	b := logbook.Purged{Section: crew.Circuit1, LPM: new(31.0), Minutes: new(40.0), AfterBubble: new(15.0), Bypassed: logbook.Yes, Strainer: logbook.Yes, Turned: logbook.Yes}
	for _, f := range change {
		f(&b)
	}
	return b
}

func filled(change ...func(*logbook.FluidFilled)) logbook.FluidFilled {
	b := logbook.FluidFilled{Section: logbook.SectionID{}, Content: logbook.ContentDosed, Name: "invented glycol", SharePct: new(25.0), FreezingC: new(fusion.Celsius(-12_00)), Instrument: "R-1", MeantFor: logbook.Yes}
	for _, f := range change {
		f(&b)
	}
	return b
}

// What is read of a loop is refused only for what no person can have meant, in a line that
// says what; else it is recorded, whatever it comes to.
func TestWhatIsReadOfALoop(t *testing.T) {
	c := crew.OnSite(t)
	soon := c.H.At.Wall.Add(time.Hour)
	nobody := c.H
	nobody.By = ""
	for says, act := range map[string]acts.Act{
		"a flow check needs a name": acts.CheckFlow(nobody, still()),
		"is no circuit":             acts.CheckFlow(c.H, still(func(b *logbook.FlowChecked) { b.Section = header })),
		"no section of the site":    acts.CheckFlow(c.H, still(func(b *logbook.FlowChecked) { b.Section.Circuit = 9 })),
		"how the other circuits were shut must be said: both legs of every other shut": acts.CheckFlow(c.H, still(func(b *logbook.FlowChecked) { b.Shut = "" })),
		"what the other gauges showed must be said":                                    acts.CheckFlow(c.H, still(func(b *logbook.FlowChecked) { b.Others = "" })),
		"with the circuits that showed it":                                             acts.CheckFlow(c.H, still(func(b *logbook.FlowChecked) { b.Others = logbook.OthersFlow })),
		"circuit 1 of chamber A showed flow besides": acts.CheckFlow(c.H, still(func(b *logbook.FlowChecked) {
			b.Others, b.Seen = logbook.OthersFlow, []logbook.FlowSeen{{Section: crew.Circuit1}}
		})),
		"circuit 2 of chamber A showed flow besides": acts.CheckFlow(c.H, still(func(b *logbook.FlowChecked) {
			b.Others, b.Seen = logbook.OthersFlow, []logbook.FlowSeen{{Section: circuit2}, {Section: circuit2}}
		})),
		"flow -1 is no figure of 0…10000 L/min":    acts.CheckFlow(c.H, still(func(b *logbook.FlowChecked) { b.LPM = new(-1.0) })),
		"largest flow of the gauge 0 is no figure": acts.CheckFlow(c.H, still(func(b *logbook.FlowChecked) { b.GaugeMaxLPM = new(0.0) })),
		"is still to come":                         acts.CheckFlow(c.H, still(func(b *logbook.FlowChecked) { b.Stated = &soon })),
		"strainer in must be said":                 acts.RecordPurge(c.H, purged(func(b *logbook.Purged) { b.Strainer = "" })),
		"water 90 is no figure":                    acts.RecordPurge(c.H, purged(func(b *logbook.Purged) { b.WaterC = new(fusion.Celsius(90_00)) })),
		"what is in the pipe must be said":         acts.FillFluid(c.H, filled(func(b *logbook.FluidFilled) { b.Content = "" })),
		"the fluid must be named":                  acts.FillFluid(c.H, filled(func(b *logbook.FluidFilled) { b.Name = " " })),
		"meant for that fluid must be said":        acts.FillFluid(c.H, filled(func(b *logbook.FluidFilled) { b.MeantFor = "" })),
		"give what it read":                        acts.FillFluid(c.H, filled(func(b *logbook.FluidFilled) { b.FreezingC = nil })),
		"share 101 is no figure":                   acts.FillFluid(c.H, filled(func(b *logbook.FluidFilled) { b.SharePct = new(101.0) })),
		"nothing of that is recorded there":        acts.WithdrawLoop(c.H, "purged", crew.Circuit1, 1, "the wrong one"),
	} {
		if err := c.Try(act); err == nil || !strings.Contains(err.Error(), says) || strings.Contains(err.Error(), "\n") {
			t.Errorf("got %v, want one line with %q", err, says)
		}
	}
	if err := c.Try(acts.RecordPurge(c.H, purged(func(b *logbook.Purged) { b.AfterBubble = new(50.0) }))); err == nil || !strings.Contains(err.Error(), "50 min after the last bubble are more than the 40 min in all") {
		t.Errorf("got %v", err)
	}
	c.Do(acts.CheckFlow(c.H, still(func(b *logbook.FlowChecked) { b.LPM, b.Shut, b.Others = nil, logbook.Unseen, logbook.Unseen })),
		acts.RecordPurge(c.H, logbook.Purged{Section: header, Bypassed: logbook.Unseen, Strainer: logbook.No, Turned: logbook.No}),
		acts.FillFluid(c.H, logbook.FluidFilled{Content: logbook.ContentWater}))
}

// The newest counts; one said by mistake is taken back by its number, and what stood
// before it counts again.
func TestWhatIsTakenBackOfALoop(t *testing.T) {
	c := crew.OnSite(t)
	c.Do(acts.CheckFlow(c.H, still()))
	first, _ := c.Site().Loop.FlowOf(crew.Circuit1)
	c.Wait(time.Minute)
	c.Do(acts.CheckFlow(c.H, still(func(b *logbook.FlowChecked) { b.LPM = new(0.0) })))
	if err := c.Try(acts.WithdrawLoop(c.H, acts.LoopKinds["flow"], crew.Circuit1, first.Seq, "the other circuit")); err == nil || !strings.Contains(err.Error(), "something newer was recorded meanwhile") {
		t.Errorf("got %v", err)
	}
	now, _ := acts.NewestLoop(c.Book, c.H.Site, acts.LoopKinds["flow"], crew.Circuit1)
	if err := c.Try(acts.WithdrawLoop(c.H, acts.LoopKinds["flow"], crew.Circuit1, now, "")); err == nil || !strings.Contains(err.Error(), "needs a reason") {
		t.Errorf("got %v", err)
	}
	c.Do(acts.WithdrawLoop(c.H, acts.LoopKinds["flow"], crew.Circuit1, now, "the other circuit"))
	if f, found := c.Site().Loop.FlowOf(crew.Circuit1); !found || f.Seq != first.Seq {
		t.Errorf("the first does not count again: %+v", f)
	}
	for kind, act := range map[string]acts.Act{"purge": acts.RecordPurge(c.H, purged()), "fluid": acts.FillFluid(c.H, filled(func(b *logbook.FluidFilled) { b.Section = crew.Circuit1 }))} {
		c.Do(act)
		seq, found := acts.NewestLoop(c.Book, c.H.Site, acts.LoopKinds[kind], crew.Circuit1)
		c.Do(acts.WithdrawLoop(c.H, acts.LoopKinds[kind], crew.Circuit1, seq, "the other circuit"))
		if _, still := acts.NewestLoop(c.Book, c.H.Site, acts.LoopKinds[kind], crew.Circuit1); !found || still {
			t.Errorf("%s: found %t, then %t", kind, found, still)
		}
	}
}

// Of a circuit or all of it: what was said last, of it or of what holds it, is in it now.
func TestWhatIsInThePipe(t *testing.T) {
	c := crew.OnSite(t)
	in := func(id logbook.SectionID) string {
		s, _ := ahead.TestSectionOf(c.Book, c.H.Site, id)
		f, _ := ahead.ContentOf(c.Site(), s)
		return f.Content
	}
	c.Do(acts.FillFluid(c.H, logbook.FluidFilled{Content: logbook.ContentWater}))
	c.Do(acts.FillFluid(c.H, filled(func(b *logbook.FluidFilled) { b.Section = crew.Circuit1 })))
	if in(crew.Circuit1) != logbook.ContentDosed || in(circuit2) != logbook.ContentWater {
		t.Errorf("%q and %q", in(crew.Circuit1), in(circuit2))
	}
	c.Do(acts.FillFluid(c.H, logbook.FluidFilled{Section: logbook.SectionID{Chamber: "A"}, Content: logbook.ContentReady, Name: "ready"}))
	if in(crew.Circuit1) != logbook.ContentReady || in(header) != logbook.ContentReady {
		t.Errorf("%q and %q", in(crew.Circuit1), in(header))
	}
}
