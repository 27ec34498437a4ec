package audit

import (
	"fmt"
	"slices"
	"strings"

	"coolhold/logbook"
)

// A spot is where and on which day something happened.
type spot struct {
	On      string `json:"on"`
	Joint   string `json:"joint,omitempty"`
	Chamber string `json:"chamber,omitempty"`
	Circuit int    `json:"circuit,omitempty"`
}

func spotOf(e logbook.Event) spot { return spot{e.On, e.Joint, e.Chamber, e.Circuit} }

func (s spot) event(what logbook.Happening) logbook.Event {
	return logbook.Event{Joint: s.Joint, Happened: logbook.Happened{What: what, On: s.On, Chamber: s.Chamber, Circuit: s.Circuit}}
}

// A repairFact is a repair that closed losses of pressure on one person's word.
type repairFact struct {
	spot
	By     string `json:"by"`
	Text   string `json:"text"`
	Closed []spot `json:"closed"`
}

// repairUnseen speaks on a repair by which a loss of pressure went: that somebody
// says so is no look.
func repairUnseen(c Case) (repairFact, bool) {
	e := c.moment.event
	if e == nil {
		return repairFact{}, false
	}
	for _, p := range c.scene.repairs {
		if p.Seq != e.Seq {
			continue
		}
		f := repairFact{spot: spotOf(p.Event), By: e.By, Text: e.Text}
		for _, l := range p.Closed {
			f.Closed = append(f.Closed, spotOf(l))
		}
		return f, true
	}
	return repairFact{}, false
}

func repairSays(_ string, f repairFact) string {
	closed := make([]string, len(f.Closed))
	for i, l := range f.Closed {
		closed[i] = l.event(logbook.PressureLost).Place()
	}
	return fmt.Sprintf("%s, as %s says (%s); it closed %s; nobody else looked", f.event(logbook.Repaired).Place(), f.By, f.Text, strings.Join(closed, "; "))
}

// touches tells whether the leak may have been at a joint.
func (f repairFact) touches(j logbook.Joint) bool {
	return slices.ContainsFunc(f.Closed, func(l spot) bool { return l.event(logbook.PressureLost).Touches(j) })
}

// hand is whose own work a repair is to somebody: who said it, or who welded where
// the leak may have been.
func (c Case) hand(f repairFact, name string) (who string, made bool) {
	if c.scene.people.same(f.By, name) {
		return f.By, false
	}
	for _, w := range c.scene.welds {
		if !w.Fused() || !f.touches(c.scene.joints[w.Joint]) {
			continue
		}
		c.Weld = w
		if m, is := c.maker(name); is {
			return m, true
		}
	}
	return "", false
}

// repairOf says why a name cannot settle a repair, "" where it can.
func (c Case) repairOf(f repairFact, name string) string {
	who, made := c.hand(f, name)
	switch {
	case who == "" || c.scene.people.worksAlone(name):
		return ""
	case made:
		return fmt.Sprintf("%s welded there: somebody else must look and accept this", who)
	}
	return fmt.Sprintf("%s said that it is repaired: somebody else must look and accept this", who)
}

// unseenRepairs are the repairs at some of these joints at which nobody else looked.
func (res Result) unseenRepairs(joints []logbook.Joint) (says []string) {
	for _, f := range res.Findings {
		if r, is := f.facts.(repairFact); is && f.Open() && slices.ContainsFunc(joints, r.touches) {
			says = append(says, r.event(logbook.Repaired).Place()+", as "+r.By+" says")
		}
	}
	return says
}
