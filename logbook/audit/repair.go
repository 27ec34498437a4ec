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

// Closed tells whether a finding is of a repair that closed a loss of pressure on one person's
// word.
func (f Finding) Closed(loss logbook.Event) bool {
	r, is := f.facts.(repairFact)
	return is && slices.Contains(r.Closed, spotOf(loss))
}

// touches tells whether the leak may have been at a joint.
func (f repairFact) touches(j logbook.Joint) bool {
	return slices.ContainsFunc(f.Closed, func(l spot) bool { return l.event(logbook.PressureLost).Touches(j) })
}

func (f repairFact) saidBy() (who, what string) { return f.By, "said that it is repaired" }

// Handed are facts on which one person's word stands, and joints that it is about.
type handed interface {
	saidBy() (who, what string)
	touches(logbook.Joint) bool
}

// hand is whose own work such a word is to somebody: who said it, or who welded there.
func (c Case) hand(f handed, name string) (who, did string) {
	if who, did = f.saidBy(); c.scene.people.same(who, name) {
		return who, did
	}
	return c.weldedThere(f, name)
}

// weldedThere is the welder of a weld that such a word is about, where a name is near his.
func (c Case) weldedThere(f handed, name string) (who, did string) {
	for _, w := range c.scene.welds {
		if !w.Fused() || !f.touches(c.scene.joints[w.Joint]) {
			continue
		}
		if m, is := c.by(w.ID).maker(name); is {
			return m, "welded there"
		}
	}
	return "", ""
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
