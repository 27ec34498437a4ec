package audit

import (
	"fmt"
	"slices"

	"coolhold/logbook"
	"coolhold/logbook/ahead"
)

// Rules on a joint or on the site whose queries are somebody's own matter.
const (
	coveredBefore = "covered-before-accepted"
	toldBefore    = "told-before-opening"
	lostBefore    = "pressure-lost-before-welding"
	clockSet      = "clock-jumped"
	logsUnlike    = "logs-differ"
)

// alonePasses are rules on no one weld, whose findings who works alone accepts himself.
var alonePasses = []string{RepairUnseen, CoverTakenBack, DugUpUnseen, LegStruck, coveredBefore, toldBefore, lostBefore, clockSet, logsUnlike,
	PressureEarly, PressureUnsettled, PressureAbove, PressureGauge, PressureOpenTo, PressureUnsaid, PressureFixed, PressureUndecided, PressureBack, PressureOverlap,
	FlowUndecided, FlowNone, FlowBack, PurgeLacking, FluidLacking, GroundLacking, GroundWelded, GroundBack}

// concerned is whose matter a query on a joint or on the site is to somebody: what he made
// or said himself stands in it.
func (c Case) concerned(f Finding, name string) (who, did string) {
	if facts, ok := f.facts.(handed); ok {
		return c.hand(facts, name)
	}
	if slices.Contains(ofTests, f.Rule) {
		return c.said(c.scene.moments[momentOf(f)].by(), name, "made the test")
	}
	if slices.Contains(ofLoop, f.Rule) {
		return c.said(c.scene.moments[momentOf(f)].loopBy(), name, "said it")
	}
	if slices.Contains(ofGround, f.Rule) {
		return c.concernedByGround(f, name)
	}
	switch f.Rule {
	case coveredBefore:
		return c.concernedByCover(f, name)
	case LegStruck:
		return c.said(lastStruck(c.scene.joints[f.Joint]), name, "said that it is not being built")
	case toldBefore, lostBefore:
		return c.said(c.scene.moments[momentOf(f)].by(), name, "said it")
	case logsUnlike:
		return c.said(c.scene.sameSaid, name, "said that it is one site")
	case clockSet:
		if j := c.scene.moments[momentOf(f)].jump; j != nil {
			return c.concernedByJump(*j, name)
		}
	}
	return "", ""
}

// said tells whether a name is that of one who said something.
func (c Case) said(by []string, name, what string) (who, did string) {
	for _, who := range by {
		if c.scene.people.same(who, name) {
			return who, what
		}
	}
	return "", ""
}

func (c Case) concernedByCover(f Finding, name string) (who, did string) {
	facts, _ := f.facts.(coverFact)
	var covered []string
	for _, m := range c.scene.moments {
		if k := m.cover; k != nil && k.Section == facts.Part && k.At.Local().Equal(facts.At) {
			covered = append(covered, k.By)
		}
	}
	if who, did = c.said(covered, name, "said that it is covered"); who != "" {
		return who, did
	}
	j := c.scene.joints[f.Joint]
	if m, made := c.by(j.Stands).maker(name); made && ahead.SectionOf(j) == facts.Part {
		return m, "welded there"
	}
	return "", ""
}

// concernedByJump finds a hold of somebody's that ran when the clock was set.
func (c Case) concernedByJump(j logbook.Jump, name string) (who, did string) {
	for _, w := range c.scene.welds {
		ended, _, ok := lastTrace(w, logbook.FusionEnded{}.Kind())
		over, _, released := lastTrace(w, logbook.Released{}.Kind())
		moved, _, disturbed := lastTrace(w, logbook.Disturbed{}.Kind())
		if !ok || ended.Seq >= j.Seq || released && over.Seq < j.Seq || disturbed && moved.Seq < j.Seq || w.LateWhy != "" {
			continue
		}
		if m, made := c.by(w.ID).maker(name); made {
			return m, "had " + w.ID + " in its hold then"
		}
	}
	return "", ""
}

// ownMatter says why a name cannot settle such a query, "" where it can. What stands on
// one person's word alone wants a look besides.
func (c Case) ownMatter(f Finding, name string) string {
	who, did := c.concerned(f, name)
	if who == "" || c.scene.people.worksAlone(name) {
		return ""
	}
	must := "accept this"
	if _, word := f.facts.(handed); word {
		must = "look and accept this"
	}
	return fmt.Sprintf("%s %s: somebody else must %s", who, did, must)
}

// lastStruck is who took a joint off the list, last.
func lastStruck(j logbook.Joint) []string {
	for _, e := range slices.Backward(j.Trail) {
		if _, struck := e.Open().(logbook.JointStruck); struck {
			return []string{e.By}
		}
	}
	return nil
}

// momentOf is the moment that a finding on an entry names.
func momentOf(f Finding) string { return f.Key[len(f.Rule)+1:] }

// by is who said it; of a jump that is nobody.
func (m moment) by() []string {
	switch {
	case m.event != nil:
		return []string{m.event.By}
	case m.cover != nil:
		return []string{m.cover.By}
	case m.test != nil:
		return testers(*m.test)
	}
	return nil
}
