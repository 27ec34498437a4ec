package audit

import (
	"fmt"
	"slices"
	"strings"

	"coolhold/logbook"
	"coolhold/logbook/ahead"
)

// The rules on flow, purge and fluid. Each speaks of the newest that counts of its section.
const (
	FlowCrossed   = "flow-crossed"
	FlowUndecided = "flow-undecided"
	FlowNone      = "flow-none"
	FlowAtEnd     = "flow-gauge-at-end"
	FlowBack      = "flow-crossing-taken-back"
	PurgeLacking  = "purge-lacking"
	FluidLacking  = "fluid-lacking"
)

// ofLoop are those whose queries are the matter of who made the check, purged or filled.
var ofLoop = []string{FlowUndecided, FlowNone, FlowBack, PurgeLacking, FluidLacking}

// loopMoments are the flow checks, purges and fillings of a site, each named by its time
// and by what it is: two of unlike kind may be of one time.
func loopMoments(l logbook.LoopLog) (out []moment) {
	for _, f := range l.Flows {
		out = append(out, moment{id: "flow " + logbook.NameOfTime(f.At), flow: &f})
	}
	for _, p := range l.Purges {
		out = append(out, moment{id: "purge " + logbook.NameOfTime(p.At), purge: &p})
	}
	for _, f := range l.Fillings {
		out = append(out, moment{id: "fluid " + logbook.NameOfTime(f.At), fluid: &f})
	}
	return out
}

// loopBy is who said it, or took it back.
func (m moment) loopBy() (names []string) {
	var back *logbook.Withdrawal
	switch {
	case m.flow != nil:
		names, back = []string{m.flow.By}, m.flow.Withdrawn
	case m.purge != nil:
		names, back = []string{m.purge.By}, m.purge.Withdrawn
	case m.fluid != nil:
		names, back = []string{m.fluid.By}, m.fluid.Withdrawn
	}
	if back != nil {
		names = append(names, back.By)
	}
	return names
}

// A flowFact is a flow check, as far as it is judged.
type flowFact struct {
	Circuit logbook.SectionID   `json:"circuit"`
	LPM     *float64            `json:"lpm,omitempty"`
	Shut    string              `json:"shut"`
	Others  string              `json:"others"`
	Seen    []logbook.SectionID `json:"seen,omitempty"`
	Wants   []string            `json:"wants,omitempty"`
	MaxLPM  *float64            `json:"gauge_max_lpm,omitempty"`
	Dead    []logbook.SectionID `json:"dead,omitempty"` // circuits that show none either
	Why     string              `json:"why,omitempty"`  // it was taken back
}

func flowFactOf(f logbook.FlowChecked, r ahead.FlowResult) flowFact {
	fact := flowFact{Circuit: f.Section, LPM: f.LPM, Shut: f.Shut, Others: f.Others, Wants: r.Wants}
	for _, s := range f.Seen {
		fact.Seen = append(fact.Seen, s.Section)
	}
	return fact
}

// seenNames are the circuits that showed flow while they were shut.
func (f flowFact) seenNames() string {
	var names []string
	for _, id := range f.Seen {
		names = append(names, id.Name())
	}
	return strings.Join(names, " and ")
}

// newestFlow is the check of a moment where it is the newest of its circuit.
func (c Case) newestFlow() (logbook.FlowCheck, ahead.FlowResult, bool) {
	f := c.moment.flow
	if f == nil {
		return logbook.FlowCheck{}, ahead.FlowResult{}, false
	}
	newest, found := c.Site.Loop.FlowOf(f.Section)
	return newest, ahead.FlowResultOf(newest.FlowChecked), found && newest.Seq == f.Seq
}

func flowIs(outcome ahead.FlowOutcome) func(Case) (flowFact, bool) {
	return func(c Case) (flowFact, bool) {
		f, r, newest := c.newestFlow()
		if !newest || r.Outcome != outcome {
			return flowFact{}, false
		}
		fact := flowFactOf(f.FlowChecked, r)
		if outcome == ahead.NoFlow {
			fact.Dead = ahead.DeadBeside(c.Site.Loop, f.Section)
		}
		return fact, true
	}
}

func undecidedFlowSays(_ string, f flowFact) string {
	r := ahead.FlowResultOf(logbook.FlowChecked{Section: f.Circuit, LPM: f.LPM, Shut: f.Shut, Others: f.Others})
	return fmt.Sprintf("flow of %s, %s: %s", f.Circuit, logbook.Shuttings.Word(f.Shut), r.Says)
}

func noFlowSays(_ string, f flowFact) string {
	return fmt.Sprintf("flow of %s: none, in no gauge: air, a gauge that sticks, or crossed legs", f.Circuit) + ahead.DeadTogether(f.Dead)
}

// flowCrossed speaks at the joints where the legs of crossed circuits meet the chamber.
func flowCrossed(c Case) (list []flowFact, found bool) {
	if c.Joint.Circuit == 0 || c.Joint.Leg == "" || !c.Joint.Counts() {
		return nil, false
	}
	var done []logbook.SectionID
	for _, f := range c.Site.Loop.Flows {
		newest, is := c.Site.Loop.FlowOf(f.Section)
		if !is || slices.Contains(done, f.Section) {
			continue
		}
		done = append(done, f.Section)
		r := ahead.FlowResultOf(newest.FlowChecked)
		fact := flowFactOf(newest.FlowChecked, r)
		if r.Outcome == ahead.Crossed && slices.ContainsFunc(append(fact.Seen, fact.Circuit), func(id logbook.SectionID) bool { return id.Own(c.Joint) }) {
			list = append(list, fact)
		}
	}
	return list, len(list) > 0
}

func crossedSays(joint string, list []flowFact) string {
	var says []string
	for _, f := range list {
		says = append(says, fmt.Sprintf("with %s open alone flow was seen in %s", f.Circuit.Name(), f.seenNames()))
	}
	return "joint " + joint + ": " + strings.Join(says, "; ")
}

// flowAtEnd is a gauge that showed the most it can.
func flowAtEnd(c Case) (flowFact, bool) {
	f, r, newest := c.newestFlow()
	if !newest || !r.AtEnd {
		return flowFact{}, false
	}
	return flowFact{Circuit: f.Section, LPM: f.LPM, MaxLPM: f.GaugeMaxLPM}, true
}

func atEndSays(_ string, f flowFact) string {
	return fmt.Sprintf("flow of %s: %g L/min on a gauge that ends at %g: it is that or more", f.Circuit, *f.LPM, *f.MaxLPM)
}

// flowBack is a crossing that was seen, and taken back by a word.
func flowBack(c Case) (flowFact, bool) {
	f := c.moment.flow
	if f == nil || f.Withdrawn == nil {
		return flowFact{}, false
	}
	r := ahead.FlowResultOf(f.FlowChecked)
	fact := flowFactOf(f.FlowChecked, r)
	fact.Why = f.Withdrawn.Why
	return fact, r.Outcome == ahead.Crossed
}

func flowBackSays(_ string, f flowFact) string {
	return fmt.Sprintf("flow of %s: flow was seen in %s, and that was taken back: %s", f.Circuit, f.seenNames(), f.Why)
}

// A purgeFact is what a purge lacks.
type purgeFact struct {
	Section logbook.SectionID `json:"section"`
	ahead.PurgeLack
}

func purgeLacking(c Case) (purgeFact, bool) {
	p := c.moment.purge
	if p == nil {
		return purgeFact{}, false
	}
	if newest, found := c.Site.Loop.PurgeOf(p.Section); !found || newest.Seq != p.Seq {
		return purgeFact{}, false
	}
	var want *float64
	if t, known := c.scene.section(p.Section); known {
		want = t.WantLPM()
	}
	lack := ahead.PurgeLacks(p.Purged, want)
	return purgeFact{p.Section, lack}, lack.Any()
}

func purgeLackSays(_ string, f purgeFact) string {
	return fmt.Sprintf("purge of %s: %s", f.Section, strings.Join(f.Says(), "; "))
}

// A fluidFact is what is not known of a fluid.
type fluidFact struct {
	Section logbook.SectionID `json:"section"`
	ahead.FluidLack
}

func fluidLacking(c Case) (fluidFact, bool) {
	f := c.moment.fluid
	if f == nil {
		return fluidFact{}, false
	}
	if !ahead.FillingStands(c.scene.sections(), c.Site, *f) {
		return fluidFact{}, false // what was in it is history
	}
	t, _ := c.scene.section(f.Section)
	lack := ahead.FluidLacks(c.Site, t, *f)
	return fluidFact{f.Section, lack}, lack.Any()
}

func fluidLackSays(_ string, f fluidFact) string {
	return fmt.Sprintf("fluid in %s: %s", f.Section, strings.Join(f.Says(), "; "))
}

// OfLoop tells whether a rule is on flow, purge or fluid.
func OfLoop(rule string) bool {
	return rule == FlowCrossed || rule == FlowAtEnd || slices.Contains(ofLoop, rule)
}

// Brief is a finding on flow, purge or fluid in a few words, and the section that it is of;
// false: it is on something else.
func (f Finding) Brief() (what string, in logbook.SectionID, is bool) {
	switch fact := f.facts.(type) {
	case flowFact:
		what = map[string]string{FlowNone: "no flow", FlowUndecided: "flow not decided", FlowBack: "crossed legs, taken back by a word"}[f.Rule]
		return what, fact.Circuit, what != ""
	case purgeFact:
		return fact.brief(), fact.Section, true
	case fluidFact:
		return "fluid in doubt", fact.Section, true
	}
	return "", in, false
}

// brief says what a purge lacks, the gravest of it.
func (f purgeFact) brief() string {
	switch {
	case f.LPM != nil:
		return "purge too slow"
	case f.AfterBubble != nil:
		return "purge too short"
	case f.FlowUnread || f.Unknown:
		return "purge not all read"
	}
	return "purge not as it is asked"
}
