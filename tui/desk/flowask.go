package desk

import (
	"fmt"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"coolhold/fusion"
	"coolhold/fusion/loop"
	"coolhold/logbook"
	"coolhold/logbook/acts"
	"coolhold/logbook/ahead"
	"coolhold/tui/form"
	"coolhold/tui/shell"
)

// notRead is what the space bar says of a figure that nobody read.
const notRead = "not read"

// figureField is a figure that somebody read, or did not: it has no default. One out of its
// bounds is refused where it is typed.
func figureField(item, label string, in fusion.Bounds) form.Field {
	return form.Field{Item: item, Label: label, Manner: form.Number, Keep: true, Check: form.Within(in)}.OrNone(notRead)
}

// askFlow asks what was seen while one circuit alone was open.
func askFlow(env shell.Env, section ahead.TestSection, by string) shell.Screen {
	seen := form.Field{
		Item: "seen", Label: "which showed flow (number, or number=L/min; several apart by a blank)", Manner: form.Text,
		Check: func(said string) (string, error) { _, err := seenFlows(env, section, said); return said, err },
		Skip:  func(a form.Answers) bool { return a.V("others") != logbook.OthersFlow },
	}
	return form.Ask{
		About: "loop",
		Title: "Flow of " + section.Name + ", opened alone",
		Text: func(shell.Env) []string {
			return []string{"Shut both legs of every other circuit, open this one, look at all gauges. With valves on one rail only water may come back by another leg: then nothing can be decided."}
		},
		Form: form.New([]form.Field{
			form.Choose("shut", "the other circuits", logbook.Shuttings),
			figureField("flow", "flow on its own gauge (L/min)", logbook.FlowBounds),
			form.Choose("others", "the other gauges", logbook.OtherFlows), seen,
			{Item: "max", Label: "the most that the gauge can show (L/min)", Manner: form.Number, Keep: true, Check: form.Within(logbook.GaugeBounds), Offer: lastGauge(env), Other: &form.Other{Says: logbook.UnknownWord}},
			whose(by),
		}),
		Done: func(env shell.Env, a form.Answers) {
			b := logbook.FlowChecked{Section: section.ID, LPM: a.Float("flow"), Shut: a.V("shut"), Others: a.V("others"), GaugeMaxLPM: a.Float("max")}
			b.Seen, _ = seenFlows(env, section, a.V("seen"))
			saveAs(env, a, "flow of "+section.Name, func(h acts.Head) acts.Act { return acts.CheckFlow(h, b) })
		},
	}
}

// lastGauge is how far the gauges of the site go, as said last: a thing of theirs, no
// observation.
func lastGauge(env shell.Env) string {
	for _, f := range slices.Backward(env.Site.Loop.Flows) {
		if f.GaugeMaxLPM != nil {
			return fusion.Figure(*f.GaugeMaxLPM)
		}
	}
	return ""
}

var seenPart = regexp.MustCompile(`^([0-9]+)(?:=([0-9]+(?:[.,][0-9]+)?))?$`)

// seenFlows reads circuits that showed flow: "3=14 4". They are of the chamber of the open
// one, unless the name is one that only another has.
func seenFlows(env shell.Env, section ahead.TestSection, said string) (seen []logbook.FlowSeen, err error) {
	for _, part := range strings.Fields(said) {
		m := seenPart.FindStringSubmatch(part)
		if m == nil {
			return nil, fmt.Errorf("%q is no circuit: write its number, or 3=14 for 14 L/min in circuit 3", part)
		}
		no, _ := strconv.Atoi(m[1])
		id, found := circuitOf(env, section.ID.Chamber, no)
		if !found {
			return nil, fmt.Errorf("there is no circuit %s on the site", m[1])
		}
		o := logbook.FlowSeen{Section: id}
		if m[2] != "" {
			lpm, _ := strconv.ParseFloat(strings.ReplaceAll(m[2], ",", "."), 64)
			if !logbook.FlowBounds.Holds(lpm) {
				return nil, fmt.Errorf("%q is outside %s", m[2], logbook.FlowBounds)
			}
			o.LPM = &lpm
		}
		seen = append(seen, o)
	}
	return seen, nil
}

func circuitOf(env shell.Env, chamber string, no int) (id logbook.SectionID, found bool) {
	for _, t := range ahead.TestSections(env.Book, env.Site.ID) {
		if t.ID.Circuit == no && (!found || t.ID.Chamber == chamber) {
			id, found = t.ID, true
		}
	}
	return id, found
}

// askPurge asks what was seen of a purge, and whether it was with the pump that was typed.
func askPurge(section ahead.TestSection, by string, pump loop.Pump) shell.Screen {
	water := figureField("water", "temperature of the water (°C)", logbook.WaterBounds)
	water.Check = degrees(logbook.WaterBounds)
	return form.Ask{
		About: "loop",
		Title: section.Name + " was purged",
		Text: func(shell.Env) []string {
			return []string{fmt.Sprintf("Every section wants 0.6 m/s or more, and goes on for %d minutes after the last bubble (UFGS 15741N).", loop.AfterBubbleMin)}
		},
		Form: form.New([]form.Field{
			figureField("flow", "flow while it ran (L/min)", logbook.FlowBounds), figureField("minutes", "how long in all (min)", logbook.PurgeBounds).OrNone(logbook.UnknownWord),
			figureField("bubble", "of them after the last bubble (min)", logbook.PurgeBounds).OrNone(logbook.UnknownWord),
			water,
			form.Choose("bypassed", "heat pump bypassed", logbook.PurgeFacts), form.Choose("strainer", "strainer in", logbook.PurgeFacts), form.Choose("turned", "direction turned once", logbook.PurgeFacts),
			form.Field{Item: "pump", Label: "purged with the pump " + logbook.PumpLine(ahead.PumpPoints(pump)), Manner: form.Choice, Options: []string{logbook.Yes, logbook.No}, Skip: func(form.Answers) bool { return pump == nil }},
			whose(by),
		}),
		Done: func(env shell.Env, a form.Answers) {
			b := logbook.Purged{
				Section: section.ID, LPM: a.Float("flow"), Minutes: a.Float("minutes"), AfterBubble: a.Float("bubble"), WaterC: celsius(a, "water"),
				Bypassed: a.V("bypassed"), Strainer: a.V("strainer"), Turned: a.V("turned"),
			}
			if a.V("pump") == logbook.Yes {
				b.Pump = ahead.PumpPoints(pump)
			}
			saveAs(env, a, "purge of "+section.Name, func(h acts.Head) acts.Act { return acts.RecordPurge(h, b) })
		},
	}
}

// celsius is a temperature that was read; nil where it was not.
func celsius(a form.Answers, item string) *fusion.Celsius {
	c, err := fusion.ParseCelsius(a.V(item))
	if err != nil {
		return nil
	}
	return &c
}

// degrees checks for a temperature in its bounds.
func degrees(in fusion.Bounds) func(string) (string, error) {
	return func(said string) (string, error) {
		if _, err := form.Within(in)(said); err != nil {
			return "", err
		}
		c, err := fusion.ParseCelsius(said)
		return c.String(), err
	}
}

// askFluid asks what was filled in.
func askFluid(section ahead.TestSection, by string) shell.Screen {
	water := func(a form.Answers) bool { return a.V("content") == logbook.ContentWater }
	unread := func(a form.Answers) bool { return water(a) || a.V("freezes") == "" }
	known := func(item, label string) form.Field {
		return form.Field{Item: item, Label: label, Manner: form.Text, Usual: []string{logbook.UnknownWord}, Skip: water}
	}
	freezes := figureField("freezes", "freezing point as read (°C)", logbook.FreezingBounds)
	freezes.Check = degrees(logbook.FreezingBounds)
	return form.Ask{
		About: "loop",
		Title: "What is in " + section.Name + " now",
		Text: func(shell.Env) []string {
			return []string{ahead.FluidNeedOf(section, nil).Line() + ". What a fluid freezes at is read, never computed: follow its maker."}
		},
		Form: form.New([]form.Field{
			form.Choose("content", "in the pipe", logbook.Contents),
			{Item: "name", Label: "fluid, as it stands on its can", Manner: form.Text, Skip: water},
			figureField("share", "its share (% by volume)", logbook.ShareBounds).OrNone(logbook.UnknownWord).Unless(water),
			figureField("litres", "filled in (L of it)", logbook.FillBounds).OrNone(logbook.UnknownWord).Unless(water),
			known("batch", "its batch"), known("inhibitor", "its inhibitor"),
			freezes.Unless(water),
			form.Field{Item: "instrument", Label: "read with", Manner: form.Text, Skip: unread},
			form.Choose("meant", "is that meant for this fluid", logbook.MeantFors).Unless(unread),
			whose(by),
		}),
		Done: func(env shell.Env, a form.Answers) {
			b := logbook.FluidFilled{
				Section: section.ID, Content: a.V("content"), Name: a.V("name"), SharePct: a.Float("share"), Litres: a.Float("litres"),
				Batch: a.V("batch"), Inhibitor: a.V("inhibitor"), FreezingC: celsius(a, "freezes"), Instrument: a.V("instrument"), MeantFor: a.V("meant"),
			}
			saveAs(env, a, "fluid in "+section.Name, func(h acts.Head) acts.Act { return acts.FillFluid(h, b) })
		},
	}
}

// takeLoopBack asks what of a section is taken back, by whom, and why.
func takeLoopBack(env shell.Env, section ahead.TestSection, kinds []string, by string) shell.Screen {
	newest := map[string]uint64{} // as they stand now: what comes meanwhile is not taken back
	for _, what := range kinds {
		newest[what], _ = acts.NewestLoop(env.Book, env.Site.ID, acts.LoopKinds[what], section.ID)
	}
	return form.Ask{
		About: "loop",
		Title: section.Name + ": the newest was said by mistake",
		Text: func(shell.Env) []string {
			return []string{"Both stay in the log, and what stood before it counts again."}
		},
		Form: form.New([]form.Field{
			{Item: "what", Label: "which", Manner: form.Choice, Options: kinds},
			form.Reason("why", "why it is taken back", logbook.WhyTakenBack), whose(by),
		}),
		Done: func(env shell.Env, a form.Answers) {
			what := a.V("what")
			saveAs(env, a, what+" taken back", func(h acts.Head) acts.Act {
				return acts.WithdrawLoop(h, acts.LoopKinds[what], section.ID, newest[what], a.V("why"))
			})
		},
	}
}

// askPump asks with what water and which pump it is reckoned. A pump is stored with a purge
// that it was used for.
func askPump(s loops) shell.Screen {
	number := func(item, label, offer string, check func(float64) error) form.Field {
		return form.Field{Item: item, Label: label, Manner: form.Number, Keep: true, Offer: offer, Check: func(said string) (string, error) {
			x, err := strconv.ParseFloat(said, 64)
			if err != nil {
				return "", fmt.Errorf("%q is no figure", said)
			}
			return said, check(x)
		}}
	}
	curve := form.Field{
		Item: "pump", Label: "curve of the pump (Enter: none)", Manner: form.Text, Blank: true, Offer: logbook.PumpLine(ahead.PumpPoints(s.ask.Pump)),
		Check: func(said string) (string, error) { _, err := curveOf(said); return said, err },
	}
	if curve.Offer != "" {
		curve.Label = "curve of the pump"
	}
	return form.Ask{
		About: "loop",
		Title: "Water and pump",
		Text: func(shell.Env) []string {
			return []string{"The pump's curve as points from its plate or sheet, L/min and m: 50:30 100:24 150:12. It is kept with a purge that it was used for."}
		},
		Form: form.New([]form.Field{
			number("water", "water (°C)", fusion.Figure(s.ask.WaterC), func(x float64) error { _, err := loop.Viscosity(x); return err }),
			number("changes", "changes of the water", fusion.Figure(s.ask.Changes), func(x float64) error { _, err := loop.ChangeMinutes(1, 1, x); return err }),
			curve,
		}),
		Done: func(env shell.Env, a form.Answers) {
			s.ask = ahead.PurgeAsk{WaterC: *a.Float("water"), Changes: *a.Float("changes")}
			s.ask.Pump, _ = curveOf(a.V("pump"))
			env.Do.Replace(s)
		},
	}
}

// curveOf reads points "50:30 100:24".
func curveOf(said string) (p loop.Pump, err error) {
	for _, point := range strings.Fields(said) {
		flow, head, _ := strings.Cut(strings.ReplaceAll(point, ",", "."), ":")
		lpm, err1 := strconv.ParseFloat(flow, 64)
		m, err2 := strconv.ParseFloat(head, 64)
		if err1 != nil || err2 != nil {
			return nil, fmt.Errorf("%q is no point of a curve: write 50:30 100:24, L/min and m", point)
		}
		p = append(p, loop.Duty{LPM: lpm, HeadM: m})
	}
	if p == nil {
		return nil, nil
	}
	return p, p.Check()
}
