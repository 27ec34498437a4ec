package audit_test

import (
	"strings"
	"testing"
	"time"

	"coolhold/fusion"
	"coolhold/logbook"
	"coolhold/logbook/acts"
	"coolhold/logbook/audit"
	"coolhold/logbook/crew"
)

var circuit2 = logbook.SectionID{Chamber: "A", Circuit: 2}

// opened is circuit 1 opened once both its joints are welded; the others shut and still,
// but for what is changed.
func opened(change func(*logbook.FlowChecked)) func(*team) {
	return func(c *team) {
		c.made("1B", well())
		c.opens(change)
	}
}

// opens stores it as it is: the site of these tests has one circuit, and another showed
// flow.
func (c *team) opens(change func(*logbook.FlowChecked)) {
	c.T.Helper()
	b := logbook.FlowChecked{Section: crew.Circuit1, LPM: new(28.5), Shut: logbook.ShutBoth, Others: logbook.OthersStill}
	change(&b)
	c.Do(crew.Raw(c.H, "", "", b))
}

func crossing(b *logbook.FlowChecked) {
	b.Others, b.Seen = logbook.OthersFlow, []logbook.FlowSeen{{Section: circuit2, LPM: new(14.0)}}
}

func (c *team) takesFlowBack(why string) {
	c.T.Helper()
	seq, _ := acts.NewestLoop(c.Book, c.H.Site, acts.LoopKinds["flow"], crew.Circuit1)
	c.Do(acts.WithdrawLoop(c.H, acts.LoopKinds["flow"], crew.Circuit1, seq, why))
}

func crossedAndBack(why string) func(*team) {
	return func(c *team) { opened(crossing)(c); c.takesFlowBack(why) }
}

func purges(change func(*logbook.Purged)) func(*team) {
	return func(c *team) {
		c.made("1B", well())
		b := logbook.Purged{Section: crew.Circuit1, LPM: new(30.0), Minutes: new(40.0), AfterBubble: new(15.0), Bypassed: logbook.NotFitted, Strainer: logbook.Yes, Turned: logbook.Yes}
		change(&b)
		c.Do(acts.RecordPurge(c.H, b))
	}
}

func fills(change func(*logbook.FluidFilled)) func(*team) {
	return func(c *team) {
		c.made("1B", well())
		b := logbook.FluidFilled{Content: logbook.ContentReady, Name: "invented fluid", FreezingC: new(fusion.Celsius(-14_00)), Instrument: "R-1", MeantFor: logbook.Yes}
		change(&b)
		c.Do(acts.FillFluid(c.H, b))
	}
}

type seededFault = struct {
	rule string
	with []string
	seed func(*team)
}

func init() {
	faults = append(faults,
		seededFault{audit.FlowCrossed, []string{audit.FlowCrossed}, opened(crossing)}, // at both joints of the circuit,
		seededFault{audit.FlowUndecided, nil, opened(func(b *logbook.FlowChecked) { b.Shut = logbook.ShutOneRail })},
		seededFault{audit.FlowNone, nil, opened(func(b *logbook.FlowChecked) { b.LPM = new(0.0) })},
		seededFault{audit.FlowBack, nil, crossedAndBack("it was circuit 2")},
		seededFault{audit.FlowAtEnd, nil, opened(func(b *logbook.FlowChecked) { b.LPM, b.GaugeMaxLPM = new(40.0), new(40.0) })},
		seededFault{audit.PurgeLacking, nil, purges(func(b *logbook.Purged) { b.LPM = new(20.0) })},
		seededFault{audit.FluidLacking, nil, fills(func(b *logbook.FluidFilled) { b.MeantFor = logbook.No })},
	)
	for rule, other := range map[string]func(*team){
		audit.FlowCrossed:   opened(func(b *logbook.FlowChecked) { crossing(b); b.LPM = nil }),
		audit.FlowUndecided: opened(func(b *logbook.FlowChecked) { b.Shut = logbook.ShutNone }),
		audit.FlowNone:      opened(func(b *logbook.FlowChecked) { b.LPM = new(0.0); b.Section = circuit2 }),
		audit.FlowBack:      crossedAndBack("it was circuit 3"),
		audit.FlowAtEnd:     opened(func(b *logbook.FlowChecked) { b.LPM, b.GaugeMaxLPM = new(41.0), new(40.0) }),
		audit.PurgeLacking:  purges(func(b *logbook.Purged) { b.LPM = new(21.0) }),
		audit.FluidLacking:  fills(func(b *logbook.FluidFilled) { b.MeantFor = logbook.NotKnown }),
	} {
		others[rule] = other
	}
	goesThrough["CheckFlow"] = func(c *team, _ audit.Finding) {
		c.Wait(time.Hour)
		c.opens(func(*logbook.FlowChecked) {})
	}
	goesThrough["WithdrawLoop"] = func(c *team, _ audit.Finding) { c.takesFlowBack("it was circuit 2") }
	leads["WithdrawLoop"] = []string{audit.FlowBack}
}

// rulesOf are the rules on flow, purge and fluid that speak on a site.
func (c *team) loopRules() (list []string) {
	for _, f := range c.run().Findings {
		for _, prefix := range []string{"flow-", "purge-", "fluid-"} {
			if strings.HasPrefix(f.Rule, prefix) {
				list = append(list, f.Rule)
			}
		}
	}
	return list
}

// What was done as it should be opens nothing: flow in the open circuit alone, 0.6 m/s and
// 15 minutes (UFGS 15741N, as printed), a freezing point read, and water.
func TestTheLoopDoneWellIsQuiet(t *testing.T) {
	for what, does := range map[string]func(*team){
		"flow": opened(func(*logbook.FlowChecked) {}), "purge": purges(func(*logbook.Purged) {}), "fluid": fills(func(*logbook.FluidFilled) {}),
		"water": fills(func(b *logbook.FluidFilled) { *b = logbook.FluidFilled{Content: logbook.ContentWater} }),
		"crossed, then put right": func(c *team) {
			opened(crossing)(c)
			c.Wait(time.Hour)
			c.opens(func(*logbook.FlowChecked) {})
		},
	} {
		c := onSite(t)
		c.made("1A", well())
		does(c)
		if got := c.loopRules(); len(got) > 0 {
			t.Errorf("%s: %q speak", what, got)
		}
	}
}

// Each lack of a purge is named, and a purge of which nothing is known lacks all.
func TestWhatAPurgeLacks(t *testing.T) {
	for says, change := range map[string]func(*logbook.Purged){
		"20 L/min is less than the 30 that 0.6 m/s wants": func(b *logbook.Purged) { b.LPM = new(20.0) },
		"its flow was not read":                           func(b *logbook.Purged) { b.LPM = nil },
		"it went on for 14.5 of 15 min":                   func(b *logbook.Purged) { b.AfterBubble = new(14.5) },
		"after the last bubble is not known":              func(b *logbook.Purged) { b.AfterBubble = nil },
		"heat pump bypassed: could not look":              func(b *logbook.Purged) { b.Bypassed = logbook.Unseen },
		"strainer in: none there":                         func(b *logbook.Purged) { b.Strainer = logbook.NotFitted },
		"direction turned: no":                            func(b *logbook.Purged) { b.Turned = logbook.No },
	} {
		c := onSite(t)
		c.made("1A", well())
		purges(change)(c)
		if f := c.of(audit.PurgeLacking); !strings.Contains(f.Says, says) || strings.Contains(f.Says, ";") {
			t.Errorf("got %q, want %q alone", f.Says, says)
		}
	}
}

// With valves on one rail only nothing is decided, whatever flows where, and it says what
// would decide.
func TestOneRailDecidesNothing(t *testing.T) {
	for _, change := range []func(*logbook.FlowChecked){func(*logbook.FlowChecked) {}, crossing, func(b *logbook.FlowChecked) { b.LPM = new(0.0) }} {
		c := onSite(t)
		c.made("1A", well())
		opened(func(b *logbook.FlowChecked) { change(b); b.Shut = logbook.ShutOneRail })(c)
		if got := c.loopRules(); len(got) != 1 || got[0] != audit.FlowUndecided {
			t.Errorf("%q speak", got)
		}
		if f := c.of(audit.FlowUndecided); !strings.Contains(f.Says, "shut or part both legs of every other circuit") {
			t.Errorf("got %q", f.Says)
		}
	}
}

// Crossed legs are a fail at each joint where they meet the chamber, so that nothing there
// is covered before it is put right.
func TestCrossedLegsStandAtTheirJoints(t *testing.T) {
	c := onSite(t)
	c.made("1A", well())
	opened(crossing)(c)
	var at []string
	for _, f := range c.run().Findings {
		if f.Rule == audit.FlowCrossed {
			at = append(at, f.Joint)
			if f.Severity != audit.Fail || !f.Open() || !strings.Contains(f.Says, "with circuit 1 open alone flow was seen in circuit 2") {
				t.Errorf("%s, open %t: %s", f.Severity, f.Open(), f.Says)
			}
		}
	}
	if strings.Join(at, " ") != "1A 1B" {
		t.Errorf("at %q", at)
	}
	j, _ := c.Book.Joint(c.H.Site, "1A")
	if got := c.run().StateOf(j); got != audit.Crossed {
		t.Errorf("the board calls it %q", got)
	}
	if got := c.run().Unsettled(); len(got) != 2 {
		t.Errorf("not settled: %+v", got)
	}
}

// The newest of its kind in a section alone speaks, once; with one taken back that before
// it does.
func TestTheNewestOfTheLoopSpeaks(t *testing.T) {
	c := onSite(t)
	c.made("1A", well())
	oneRail := func(b *logbook.FlowChecked) { b.Shut = logbook.ShutOneRail }
	short := func(b *logbook.Purged) { b.AfterBubble = new(5.0) }
	opened(oneRail)(c)
	want := func(rules ...string) {
		t.Helper()
		if got := c.loopRules(); strings.Join(got, " ") != strings.Join(rules, " ") {
			t.Errorf("%q speak, want %q", got, rules)
		}
	}
	again := func(does func()) { c.Wait(time.Minute); does() }
	purge := func(change func(*logbook.Purged)) {
		b := logbook.Purged{Section: crew.Circuit1, LPM: new(30.0), Minutes: new(40.0), AfterBubble: new(15.0), Bypassed: logbook.Yes, Strainer: logbook.Yes, Turned: logbook.Yes}
		change(&b)
		c.Do(acts.RecordPurge(c.H, b))
	}
	again(func() { c.opens(oneRail) })
	want(audit.FlowUndecided)
	again(func() { purge(short) })
	again(func() { purge(short) })
	want(audit.FlowUndecided, audit.PurgeLacking)
	again(func() { c.opens(func(*logbook.FlowChecked) {}) })
	again(func() { purge(func(*logbook.Purged) {}) })
	want()
	again(func() { c.takesFlowBack("it was circuit 2") })
	want(audit.FlowUndecided)
}
