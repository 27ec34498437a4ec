package handover_test

import (
	"bytes"
	"encoding/json"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/santhosh-tekuri/jsonschema/v6"

	"coolhold/fusion"
	"coolhold/logbook"
	"coolhold/logbook/acts"
	"coolhold/logbook/audit"
	"coolhold/logbook/crew"
	"coolhold/logbook/handover"
)

var (
	all  = logbook.SectionID{}
	from = logbook.SectionID{Chamber: "A", Way: logbook.FG}
)

func of(c *crew.Crew) handover.Handover {
	return handover.Of(c.Book, c.H.Site, audit.Run(c.Book, c.H.Site, c.H.At, fusion.Stamp{}), handover.Query{Now: c.H.At})
}

// reads wants sentences on the leaf, and lacks others.
func reads(t *testing.T, c *crew.Crew, want []string, lacks ...string) {
	t.Helper()
	text := strings.Join(of(c).Leaf().Lines(), "\n")
	for _, w := range want {
		if !strings.Contains(text, w) {
			t.Errorf("%q is not on the leaf:\n%s", w, text)
		}
	}
	for _, l := range lacks {
		if strings.Contains(text, l) {
			t.Errorf("%q is on the leaf:\n%s", l, text)
		}
	}
}

func water() logbook.FluidFilled { return logbook.FluidFilled{Content: logbook.ContentWater} }

// fluid is an invented one.
func fluid() logbook.FluidFilled {
	return logbook.FluidFilled{Content: logbook.ContentReady, Name: "invented fluid", SharePct: new(30.0), FreezingC: new(fusion.Celsius(-14_00)), Instrument: "R-1", MeantFor: logbook.Yes}
}

// Where nothing is recorded each thing is said to be so, with what to do before what, and
// nothing is guessed.
func TestNothingRecorded(t *testing.T) {
	c := crew.OnSite(t)
	reads(t, c, []string{
		"WHAT IS IN THE PIPE IS NOT RECORDED: DO NOT RUN, it may be water and may freeze",
		"all pipes: NOT RECORDED", "frost: not known: take it for water that freezes at 0 °C",
		"end in the plant room: NOT RECORDED, look before you cut or connect", "mark on it there: NOT RECORDED, trace it before you connect",
		"pressure standing: NOT RECORDED: take it for pressurised", "valves: NOT RECORDED", "caps and plugs: NOT RECORDED", "fill port: NOT RECORDED", "purge ports: NOT RECORDED",
		"flow: as set: not recorded", "NOT RECORDED: ask invented firm before you begin",
		"pressure tests: none is recorded of any section", "welded and untested: none; a joint without a weld has nothing to be tested", "joints without a weld: 1A, 1B, 2A, 2B, FG, E1", "– no purge is recorded",
		"TG: TO GROUND", "NOT RECORDED: no header to ground is in the plan; ask which pipe it is before you connect",
	}, "NOTHING IS RECORDED AGAINST")
	h := of(c)
	if h.Call != nil || len(h.Pressure)+len(h.Valves) > 0 || h.In[0].Content != "" {
		t.Errorf("something is made up: %+v", h)
	}
}

// Where no joint is left on the list nothing is known of any pipe, and the leaf says so.
func TestNoJointLeft(t *testing.T) {
	c := crew.OnSite(t)
	for _, label := range []string{"1A", "1B", "2A", "2B", "FG", "E1"} {
		c.Do(acts.StrikeJoint(c.H, label, "left out by the client"))
	}
	reads(t, c, []string{
		"WHAT IS IN THE PIPE IS NOT RECORDED: DO NOT RUN", "all pipes: NOT RECORDED", "WHICH PIPE IS FROM GROUND IS NOT RECORDED", "No header is in the plan of this site: ask, and trace both pipes",
		"No circuit is in the plan of this site.", "litres in all: not known", "– no purge is recorded",
	}, "NOTHING IS RECORDED AGAINST")
}

// What a plumber asks stands on the leaf in words that need no other page.
func TestWhatThePlumberAsks(t *testing.T) {
	c := crew.OnSite(t)
	c.Do(acts.FillFluid(c.H, fluid()),
		acts.LeaveAs(c.H, logbook.LeftAs{Pressure: logbook.PressureStands, Bar: new(2.0), Gauge: "G-1", Shut: []string{"fill", "3A"}, Open: []string{"1A"}, Caps: "both ends", Fill: "tee in the plant room", Purge: "valves on the headers", Call: &logbook.Call{Name: "Ona Invented", Phone: "01 23", Firm: "Invented Loops"}}),
		acts.LeaveAs(c.H, logbook.LeftAs{Section: from, End: "blind flange", Mark: "FG in white paint"}),
		acts.LeaveAs(c.H, logbook.LeftAs{Section: crew.Circuit1, LPM: new(18.5)}))
	day := c.H.At.Local().Format("2 Jan 2006")
	reads(t, c, []string{
		"FG: FROM GROUND", "goes into the heat pump's ground side", "63 mm SDR 11, 30 m", "end in the plant room: blind flange (" + crew.Ada + ", " + day + ")", "mark on it there: FG in white paint",
		"all pipes: ready-mixed fluid: invented fluid, 30 % by volume", "freezes at -14 °C, as read with R-1; meant for this fluid: yes",
		"pressure standing: 2 bar left standing, gauge G-1 (" + crew.Ada + ", " + day + ")", "valves: SHUT: fill, 3A; open: 1A", "caps and plugs: both ends", "fill port: tee in the plant room", "purge ports: valves on the headers",
		"Ona Invented, 01 23, Invented Loops", "flow: set to 18.5 L/min, " + day, "ports: FG port 1 (1A), TG port 2 (1B)", "pipe: 40 mm SDR 11, 200 m",
		"DO NOT RUN before what follows is settled", "see that each valve stands as it must; as left: SHUT: fill, 3A; open: 1A",
	}, "WATER ONLY", "NOTHING IS RECORDED AGAINST", "take it for pressurised")
}

// What is in the pipe decides what is said first: water, the unknown, then all else.
func TestWhatIsSaidOfRunning(t *testing.T) {
	c := crew.OnSite(t)
	c.Do(acts.FillFluid(c.H, water()))
	reads(t, c, []string{"WATER ONLY: DO NOT RUN, it may freeze", "Recorded against running it:", "– water only in all pipes: it may freeze, in the heat pump too", "Whether it may run is for the heat pump's maker, the designer and the licensed trade"})
	part := fluid()
	part.Section = crew.Circuit1
	c.Do(acts.FillFluid(c.H, part))
	reads(t, c, []string{"WATER ONLY in circuit 2, header from ground: DO NOT RUN", "  circuit 1: ready-mixed fluid"})
	unread := fluid()
	unread.FreezingC, unread.Instrument, unread.MeantFor = nil, "", ""
	c.Wait(time.Minute)
	c.Do(acts.FillFluid(c.H, unread))
	reads(t, c, []string{"the freezing point in all pipes was not read with an instrument meant for that fluid", "its freezing point was NOT READ"}, "WATER ONLY")
	other := fluid()
	other.MeantFor = logbook.No
	c.Wait(time.Minute)
	c.Do(acts.FillFluid(c.H, other))
	reads(t, c, []string{"the freezing point in all pipes was not read with an instrument meant for that fluid", "meant for this fluid: no"})
}

// done is a site on which everything was made, tested, purged, filled and said, and every
// query accepted by somebody else.
func done(t *testing.T) *crew.Crew {
	c := crew.OnSite(t)
	for _, label := range []string{"1A", "1B", "2A", "2B", "FG", "E1"} {
		id := c.Fused(label)
		hot := logbook.Look{When: logbook.LookHot, Indicators: []string{logbook.Up, logbook.Up}, Melt: "none", Wire: "none", Marks: "inplace", Straight: "yes", How: logbook.Typed}
		c.Do(acts.ReadRun(c.H, id, new(c.Table(id).Seconds)), acts.ReadLook(c.H, id, hot))
		c.Wait(time.Hour)
		c.Do(acts.Release(c.H, id, crew.Look(logbook.LookRelease), fusion.Stamp{}), acts.ReadLook(c.H, id, crew.Look(logbook.LookRound)))
	}
	c.Do(acts.CloseShift(c.H))
	c.Wait(24 * time.Hour)
	c.Presses(crew.Pressing(all), 6, 6, 5.95)
	c.Do(acts.RecordPurge(c.H, logbook.Purged{LPM: new(90.0), Minutes: new(60.0), AfterBubble: new(20.0), Bypassed: logbook.Yes, Strainer: logbook.Yes, Turned: logbook.Yes, Pump: []logbook.PumpPoint{{LPM: 50, HeadM: 30}, {LPM: 100, HeadM: 24}}}), acts.FillFluid(c.H, fluid()))
	c.Wait(time.Hour)
	c.Do(acts.LeaveAs(c.H, logbook.LeftAs{NoneShut: true, Pressure: logbook.PressureNone}))
	c.H.By = "Hedda Invented"
	for _, f := range audit.Acceptable(audit.Run(c.Book, c.H.Site, c.H.At, fusion.Stamp{}).Open()) {
		c.Do(acts.Accept(c.H, fusion.Stamp{}, f.Judged(), "seen on the site"))
	}
	return c
}

// Where nothing is recorded against it that is said, and never that it may run; one thing
// more, and it is not said.
func TestNothingAgainst(t *testing.T) {
	c := done(t)
	reads(t, c, []string{
		"NOTHING IS RECORDED AGAINST RUNNING IT, as far as this log goes", "Whether it may run is for the heat pump's maker",
		"welded and untested: none: a test holds each, as far as recorded", "open findings: none", "valves: none was left shut", "pressure standing: no pressure was left: it is let off",
		"all: KM-P1, before cover, 10 March 2026: within what the method allows, as far as recorded",
	}, "DO NOT RUN", "Recorded against running it")
	if h := of(c); len(h.Running.Against) > 0 {
		t.Errorf("recorded against it: %q", h.Running.Against)
	}
	for says, act := range map[string]acts.Act{
		"see that each valve stands as it must; as left in circuit 1: SHUT: 1A": acts.LeaveAs(c.H, logbook.LeftAs{Section: crew.Circuit1, Shut: []string{"1A"}}),
		"water only in all pipes: it may freeze":                                acts.FillFluid(c.H, water()),
		"welded and not pressure tested as they stand: E1":                      acts.Happen(c.H, "E1", logbook.Happened{What: logbook.PressureLost, On: c.H.At.Local().Format(time.DateOnly), Text: "found in the morning"}),
	} {
		c := done(t)
		c.Wait(time.Minute)
		c.Do(act)
		reads(t, c, []string{says}, "NOTHING IS RECORDED AGAINST")
	}
}

// Whoever connects the pipe learns of a leak that nobody mended, of one that one person alone
// says is mended, and of failed welds that cannot be seen any more.
func TestALeakStandsAgainstRunning(t *testing.T) {
	c := crew.OnSite(t)
	moved := c.Fused("1A")
	c.Do(acts.Disturb(c.H, moved, 2, "", "the trench wall slid"))
	c.Wait(time.Hour)
	c.Fused("2A")
	const under = "failed and under the ground"
	reads(t, c, nil, "pressure lost", "a loss of pressure", under)
	c.Do(crew.Raw(c.H, "", "", logbook.Covered{Section: "chamber A", Missing: []string{"1A"}}))
	c.Do(acts.Happen(c.H, "", crew.Lost("09", 2)))
	reads(t, c, []string{"– pressure lost on 2026-03-09, circuit 2", ", and not repaired", "– " + under + ": 1A"})
	c.Wait(time.Minute)
	c.Do(acts.Happen(c.H, "", crew.Repaired("09", 2)))
	reads(t, c, []string{"– a loss of pressure, repaired on 2026-03-09, circuit 2", "as " + crew.Ada + " says, and nobody else looked"}, "not repaired")
	c.Wait(time.Minute)
	c.Do(acts.Happen(c.H, "1A", logbook.Happened{What: logbook.DugUp, On: "2026-03-09", Text: "to cut it out"}))
	reads(t, c, nil, under)
}

// A weld that no test holds and a joint without a weld are two things: each is in one list, and
// in one line of what stands against running it. The JSON has what it had.
func TestUntestedIsNotWithoutAWeld(t *testing.T) {
	c := crew.OnSite(t)
	c.Done("1A")
	c.Done("1B")
	c.Done("FG")
	c.Wait(time.Hour)
	c.Presses(crew.Pressing(crew.Circuit1), 6.1, 6.05)
	reads(t, c, []string{
		"joints without a weld: 2A, 2B, E1\n", "welded and untested: FG\n", "– joints without a weld: 2A, 2B, E1\n", "– welded and not pressure tested as they stand: FG\n",
	}, "untested: 2A")
	if h := of(c); !slices.Equal(h.Untested, []string{"2A", "2B", "FG", "E1"}) || !slices.Equal(h.NoWeld, []string{"2A", "2B", "E1"}) {
		t.Errorf("the JSON has %q and %q", h.Untested, h.NoWeld)
	}
}

// A pressure that a test left stands on the leaf; what is said of it later takes its place,
// of a part and of all of it, and what was done since is named.
func TestThePressureThatStands(t *testing.T) {
	c := crew.OnSite(t)
	for _, label := range []string{"1A", "1B"} {
		c.Done(label)
	}
	c.Wait(24 * time.Hour)
	id := c.Presses(crew.Pressing(crew.Circuit1), 6, 6, 5.95)
	reads(t, c, []string{"pressure standing: circuit 1: 2 bar left standing after its pressure test (" + crew.Ada, "pressure test: " + id + ", before cover"})
	c.Wait(time.Hour)
	c.Do(acts.LeaveAs(c.H, logbook.LeftAs{Pressure: logbook.PressureNone}))
	reads(t, c, []string{"pressure standing: no pressure was left: it is let off"}, "2 bar left standing")
	c.Wait(time.Hour)
	c.Do(acts.LeaveAs(c.H, logbook.LeftAs{Section: crew.Circuit1, Pressure: logbook.PressureStands, Bar: new(3.0)}))
	reads(t, c, []string{"pressure standing: no pressure was left: it is let off", "circuit 1: 3 bar left standing"})
	c.Wait(time.Hour)
	c.Do(acts.RecordPurge(c.H, logbook.Purged{Section: crew.Circuit1, Bypassed: logbook.Unseen, Strainer: logbook.Unseen, Turned: logbook.Unseen}))
	reads(t, c, []string{"circuit 1: 3 bar left standing (" + crew.Ada + ", 10 Mar 2026); MAY BE OTHERWISE NOW, after it came: purge of circuit 1, 10 Mar 2026"})
	open := c.Begins(crew.Pressing(crew.Circuit1))
	reads(t, c, []string{"circuit 1: UNDER PRESSURE NOW: pressure test " + open + " goes on", "pressure test " + open + " of circuit 1 goes on"})
}

// A thing stands until it is said anew, whatever else is said meanwhile, and one that was
// taken back never stood.
func TestEachThingStandsByItself(t *testing.T) {
	c := crew.OnSite(t)
	c.Do(acts.LeaveAs(c.H, logbook.LeftAs{Shut: []string{"fill"}, Fill: "tee in the plant room"}))
	c.Wait(time.Minute)
	c.Do(acts.LeaveAs(c.H, logbook.LeftAs{Open: []string{"fill"}, Caps: "none"}))
	reads(t, c, []string{"valves: open: fill", "fill port: tee in the plant room", "caps and plugs: none"}, "SHUT")
	seq, _ := acts.NewestLoop(c.Book, c.H.Site, acts.LoopKinds["left"], all)
	c.Do(acts.WithdrawLoop(c.H, acts.LoopKinds["left"], all, seq, "the other site"))
	reads(t, c, []string{"valves: SHUT: fill", "caps and plugs: NOT RECORDED"})
}

// A test that fell, and one in which nothing was read, stand in the frame.
func TestATestThatShowsNothingGood(t *testing.T) {
	c := done(t)
	c.Wait(time.Hour)
	c.Presses(crew.Pressing(all))
	reads(t, c, []string{"– pressure test KM-P2 of all: nothing was decided"}, "not within")
	c.Wait(time.Hour)
	c.Presses(crew.Pressing(all), 6, 6, 2)
	reads(t, c, []string{"– pressure test KM-P3 of all: not within what the method allows"}, "nothing was decided")
}

// A flow that was read with one circuit alone open is not the flow as set, and says so;
// crossed legs are named.
func TestTheFlowOfACircuit(t *testing.T) {
	c := crew.OnSite(t)
	check := logbook.FlowChecked{Section: crew.Circuit1, LPM: new(28.5), Shut: logbook.ShutBoth, Others: logbook.OthersStill, GaugeMaxLPM: new(40.0)}
	c.Do(acts.CheckFlow(c.H, check))
	reads(t, c, []string{"flow: not recorded as set; opened alone it showed 28.5 L/min, 9 Mar 2026"})
	check.LPM, check.Others, check.Seen = new(40.0), logbook.OthersFlow, []logbook.FlowSeen{{Section: logbook.SectionID{Chamber: "A", Circuit: 2}}}
	c.Wait(time.Minute)
	c.Do(acts.CheckFlow(c.H, check))
	reads(t, c, []string{"it showed 40 L/min or more; flow in circuit 2 while it is shut: legs are crossed"})
	c.Do(acts.LeaveAs(c.H, logbook.LeftAs{Section: crew.Circuit1, LPM: new(12.0)}))
	reads(t, c, []string{"flow: set to 12 L/min, 9 Mar 2026; opened alone it showed 40 L/min or more; flow in circuit 2 while it is shut: legs are crossed"})
	lid, _ := of(c).ChamberPage("A")
	if text := strings.Join(lid.Lines(), "\n"); !strings.Contains(text, "flow: 12 L/min, as set; 40 L/min or more, opened alone: legs are crossed") || !strings.Contains(text, "flow: not recorded: legs are crossed") {
		t.Errorf("the lid hides the crossing:\n%s", text)
	}
	check.LPM, check.Others, check.Seen = new(0.0), logbook.OthersStill, nil
	c.Wait(time.Minute)
	c.Do(acts.CheckFlow(c.H, check))
	reads(t, c, []string{"set to 12 L/min, 9 Mar 2026; opened alone it showed 0 L/min; no flow anywhere: air, a gauge that sticks, or crossed legs", "– open: 1 query: no flow in circuit 1", "query: no flow in circuit 1"}, "legs are crossed\n")
}

// Valves shut and valves open are two things: each list stands until it is said anew, and a
// valve leaves the list in which it stood when it is named in a newer one.
func TestValvesShutAndOpen(t *testing.T) {
	c := crew.OnSite(t)
	left := func(b logbook.LeftAs) {
		t.Helper()
		c.Wait(time.Minute)
		c.Do(acts.LeaveAs(c.H, b))
	}
	left(logbook.LeftAs{Shut: []string{"fill", "purge 1"}})
	left(logbook.LeftAs{Open: []string{"1", "2", "3"}})
	reads(t, c, []string{"valves: SHUT: fill, purge 1 (" + crew.Ada, "  open: 1, 2, 3 (", "see that each valve stands as it must; as left: SHUT: fill, purge 1"})
	left(logbook.LeftAs{Open: []string{"FILL", "1"}})
	reads(t, c, []string{"SHUT: purge 1", "open: FILL, 1"}, "SHUT: fill", "1, 2, 3")
	left(logbook.LeftAs{Section: crew.Circuit1, Shut: []string{"1"}})
	reads(t, c, []string{"SHUT: purge 1", "open: FILL (", "circuit 1: SHUT: 1 ("})
	left(logbook.LeftAs{NoneShut: true})
	reads(t, c, []string{"none was left shut", "open: FILL ("}, "SHUT")
	if got := of(c).Valves; len(got) != 2 {
		t.Errorf("got %+v", got)
	}
}

// What is open is told by what it is about, a failed joint of the plumber's own first, one
// crossing once, and in no more lines than a leaf has room for.
func TestWhatIsOpen(t *testing.T) {
	c := crew.OnSite(t)
	for _, label := range []string{"1A", "FG"} {
		seen := logbook.Look{When: logbook.LookHot, Indicators: []string{logbook.Flat, logbook.Flat}, Melt: "none", Wire: "seen", Marks: "inplace", Straight: "yes", How: logbook.Typed}
		c.Do(acts.ReadLook(c.H, c.Fused(label), seen))
	}
	two := logbook.SectionID{Chamber: "A", Circuit: 2}
	c.Do(acts.CheckFlow(c.H, logbook.FlowChecked{Section: crew.Circuit1, LPM: new(12.0), Shut: logbook.ShutBoth, Others: logbook.OthersFlow, Seen: []logbook.FlowSeen{{Section: two}}}),
		acts.CheckFlow(c.H, logbook.FlowChecked{Section: two, LPM: new(0.0), Shut: logbook.ShutBoth, Others: logbook.OthersStill}),
		acts.RecordPurge(c.H, logbook.Purged{Section: two, LPM: new(9.0), Minutes: new(20.0), AfterBubble: new(20.0), Bypassed: logbook.Yes, Strainer: logbook.Yes, Turned: logbook.Yes}))
	i := slices.IndexFunc(of(c).Leaf().Parts, func(p handover.Part) bool { return p.Name == "tests" })
	var got []string
	for _, r := range of(c).Leaf().Parts[i].Rows {
		if r.Name == "open findings" {
			got = r.Says
		}
	}
	for i, want := range []string{"fail at FG: ", "fail: legs are crossed, at 1A, 1B, 2A, 2B", "fail at 1A: "} {
		if len(got) <= i || !strings.HasPrefix(got[i], want) {
			t.Errorf("line %d is not %q: %q", i, want, got)
		}
	}
	if len(got) > 6 || !strings.HasSuffix(got[len(got)-1], "1A, 1B, 2A, 2B, E1, FG") {
		t.Errorf("%d lines: %q", len(got), got)
	}
	reads(t, c, []string{"no flow in circuit 2", "purge too slow in circuit 2"}, "the site\n", "query at the site")
}

// The page for a lid tells of its own chamber alone, and draws every port of it.
func TestThePageForALid(t *testing.T) {
	c := crew.OnSite(t)
	c.Do(acts.FillFluid(c.H, water()), acts.LeaveAs(c.H, logbook.LeftAs{Call: &logbook.Call{Name: "Ona Invented", Phone: "01 23"}}), acts.LeaveAs(c.H, logbook.LeftAs{Section: crew.Circuit1, LPM: new(18.5)}),
		acts.CheckFlow(c.H, logbook.FlowChecked{Section: logbook.SectionID{Chamber: "A", Circuit: 2}, LPM: new(20.0), Shut: logbook.ShutBoth, Others: logbook.OthersStill}))
	c.Done("1A")
	h := of(c)
	leaf, found := h.ChamberPage("A")
	text := strings.Join(leaf.Lines(), "\n")
	for _, want := range []string{
		"CHAMBER A", "Invented Meadow", "welded in 2026", "rail from ground (FG): port 1: 1A, port 3: 2A", "rail to ground (TG): port 2: 1B, port 4: 2B",
		"circuit 1", "ports: FG 1, TG 2", "40 mm SDR 11, 200 m", "flow: 18.5 L/min, as set", "flow: 20 L/min, opened alone", "header from ground", "in all pipes: WATER ONLY", "pressure tests: none is recorded", "Ona Invented, 01 23", "open then: no weld: 1B, 2A, 2B, FG",
	} {
		if !found || !strings.Contains(text, want) {
			t.Errorf("%q is not on it (%t):\n%s", want, found, text)
		}
	}
	if _, found := h.ChamberPage("Z"); found {
		t.Error("there is a page for a chamber that is not there")
	}
	if h.Says == "" || !strings.Contains(text, handover.Caveat) {
		t.Error("it does not say what it is not")
	}
}

// A leg that was welded to another port stands there, not where the plan has it.
func TestAPortAsWelded(t *testing.T) {
	c := crew.OnSite(t)
	id := c.Numbered("1A")
	c.Do(acts.ChoosePort(c.H, id, crew.Say(logbook.ItemPort, "3")))
	h := of(c)
	if got := h.Circuits[0].Ports[0]; got != (handover.Leg{Joint: "1A", Port: 3, Rail: logbook.FromGround}) {
		t.Errorf("1A is at %+v", got)
	}
	if i := slices.IndexFunc(h.Chambers[0].Ports, func(p handover.Port) bool { return p.No == 1 }); h.Chambers[0].Ports[i].Joint != "" {
		t.Errorf("port 1 has %q", h.Chambers[0].Ports[i].Joint)
	}
}

// No form of it says the word for a rate of a header, and none that something is good.
func TestWordsThatStandNowhere(t *testing.T) {
	for _, c := range []*crew.Crew{crew.OnSite(t), done(t)} {
		h := of(c)
		lid, _ := h.ChamberPage("A")
		for _, leaf := range []handover.Leaf{h.Leaf(), lid} {
			for _, says := range leaf.Says() {
				low := strings.ToLower(says)
				for _, p := range []string{"flow header", "flow pipe", "flow and return", "return header", "ready to run", "safe to run", "you may run"} {
					if strings.Contains(low, p) {
						t.Errorf("%q says %q", says, p)
					}
				}
			}
		}
	}
}

// The same facts go to other programs, each key in the schema and no other: with nothing
// recorded, all of it, and much that is odd.
func TestAsJSON(t *testing.T) {
	text, err := jsonschema.UnmarshalJSON(bytes.NewReader(handover.Schema))
	if err != nil {
		t.Fatal(err)
	}
	compiler := jsonschema.NewCompiler()
	if err := compiler.AddResource("handover.schema.json", text); err != nil {
		t.Fatal(err)
	}
	schema, err := compiler.Compile("handover.schema.json")
	if err != nil {
		t.Fatal(err)
	}
	odd := done(t)
	odd.Do(acts.LeaveAs(odd.H, logbook.LeftAs{Pressure: logbook.Unseen, Caps: "c", Fill: "f", Purge: "p", Text: "t", Call: &logbook.Call{Name: "Ona", Phone: "1", Firm: "f"}}),
		acts.LeaveAs(odd.H, logbook.LeftAs{Section: from, End: "e", Mark: "m"}), acts.LeaveAs(odd.H, logbook.LeftAs{Section: crew.Circuit1, LPM: new(1.0), Shut: []string{"v"}}))
	odd.Begins(crew.Pressing(crew.Circuit1))
	for name, c := range map[string]*crew.Crew{"bare": crew.OnSite(t), "done": done(t), "odd": odd} {
		data, err := json.Marshal(of(c))
		if err != nil {
			t.Fatal(err)
		}
		doc, err := jsonschema.UnmarshalJSON(bytes.NewReader(data))
		if err != nil {
			t.Fatal(err)
		}
		if err := schema.Validate(doc); err != nil {
			t.Errorf("%s: %v\n%s", name, err, data)
		}
	}
}

// For the file each test, flow, purge, label and file stands with its hash.
func TestForTheFile(t *testing.T) {
	c := done(t)
	c.Do(acts.Enclose(c.H, "", "", logbook.Enclosed{File: "cert.pdf", Hash: strings.Repeat("ab", 32), Bytes: 9, What: "certificate of the pipe"}))
	f := of(c).File()
	for want, lines := range map[string][]string{
		"all: KM-P1, before cover": f.Tests, "circuit 1, circuit 2: as set: not recorded": f.Flows, "circuit 1, circuit 2, header from ground: with all, 10 Mar 2026": f.Purges, ", pump 50:30 100:24 (L/min:m); nothing is missing": f.Purges,
		"header FG: FROM GROUND (FG)": f.Labels, "cert.pdf: certificate of the pipe, of the site, SHA-256 abab": f.Enclosed,
	} {
		if !strings.Contains(strings.Join(lines, "\n"), want) {
			t.Errorf("%q is not in %q", want, lines)
		}
	}
}
