package audit

import (
	"fmt"
	"slices"
	"strings"

	"coolhold/logbook"
	"coolhold/logbook/ahead"
)

// A Lack is a joint that keeps a section from being covered.
type Lack struct {
	Joint  string   `json:"joint"`
	State  string   `json:"state"`          // the worst in a word or two
	Says   []string `json:"says,omitempty"` // all of it
	Beside bool     `json:"beside,omitempty"`
}

// Missing are the joints that keep a section from being covered, in its order,
// then joints outside it that are not released on a pipe of it: ground would
// move them. What a joint still needs is a settled weld, nothing left to do at
// it while it can be reached, and no order of the foreman unanswered.
func Missing(r logbook.Reader, res Result, section ahead.Section) []Lack {
	var out []Lack
	pipes, in := map[string]bool{}, map[string]bool{}
	for _, j := range section.Joints {
		if now, ok := r.Joint(res.site, j.Label); ok {
			j = now
		}
		in[j.Label] = true
		for _, pipe := range j.Pipes() {
			pipes[pipe] = true
		}
		if l := res.lack(j); l.State != "" {
			out = append(out, l)
		}
	}
	for _, w := range res.welds {
		j, _ := r.Joint(res.site, w.Joint)
		if slices.ContainsFunc(j.Pipes(), func(p string) bool { return pipes[p] }) && !in[j.Label] && (w.Fusing() || w.Between() || w.Holding()) {
			out = append(out, Lack{j.Label, string(res.StateOf(j)), []string{"is not released, and lies on the same pipe"}, true})
		}
	}
	return out
}

// lack is what a joint still needs; without a state it is nothing. What does
// not count needs nothing.
func (res Result) lack(j logbook.Joint) Lack {
	l := Lack{Joint: j.Label}
	if !j.Counts() {
		return l
	}
	if !res.sound(j) {
		l.State = string(res.StateOf(j))
	}
	open := slices.DeleteFunc(res.OfJoint(j.Label), func(f Finding) bool { return !f.Open() || f.Weld != "" && f.Weld != j.Stands })
	for _, f := range open {
		l.Says = append(l.Says, f.Word()+": "+f.Says)
	}
	if worst, found := Worst(open); found && (l.State == "" || worst.Work && l.State == string(Queried)) {
		l.State = strings.ReplaceAll(worst.Rule, "-", " ")
	}
	return l
}

// A Covering is how a section stands towards being covered with ground.
type Covering struct {
	Section string         `json:"part"`
	May     bool           `json:"may_be_covered"` // as far as the record shows
	Covered *logbook.Cover `json:"covered,omitempty"`
	DugUp   *logbook.Told  `json:"dug_up,omitempty"` // since it was covered
	Missing []Lack         `json:"missing"`
	// Lost are open losses of pressure of which nobody said the circuit or the
	// joint: the leak may be in this section. One that was said stands at its
	// joints.
	Lost []string `json:"pressure_lost,omitempty"`
	lost []logbook.Event
	// Repaired are repairs of losses here at which nobody looked but who said so.
	Repaired []string `json:"repaired_unseen,omitempty"`
	// Fell are pressure tests here that fell too far or leaked, and were not repeated.
	Fell []string `json:"pressure_test_failed,omitempty"`
	// Wanted are joints that no pressure test holds though the plan wants one before cover.
	Wanted []string `json:"pressure_test_wanted,omitempty"`
	// Tested is what is recorded of pressure tests here.
	Tested []string `json:"pressure_tests,omitempty"`
	// Looked is what the plan wants looked at here before welding and cover, and what was.
	Looked []ahead.Looked `json:"looked_at,omitempty"`
	// NotLooked are lines of it that are open, codes; notLooked says so.
	NotLooked []string `json:"not_looked_at,omitempty"`
	notLooked []string
	// Own are joints whose weld its own welder accepted, nobody else having looked.
	Own []string `json:"own_welder_only,omitempty"`
}

// CoveringOf is how a section stands.
func CoveringOf(r logbook.Reader, res Result, section ahead.Section) Covering {
	c := Covering{Section: section.Name, Missing: append([]Lack{}, Missing(r, res, section)...)}
	s, _ := r.Site(res.site)
	if k, ok := s.CoverOf(section.Name); ok {
		c.Covered = &k
		if e := s.DugSince(k, section.Joints...); e != nil {
			told := e.Told()
			c.DugUp = &told
		}
	}
	for _, j := range section.Joints {
		if now, ok := r.Joint(res.site, j.Label); ok && now.Counts() && res.Verdict(now.Stands) == OwnOnly {
			c.Own = append(c.Own, j.Label)
		}
	}
	for _, e := range ahead.OpenLosses(r, s) {
		if e.Joint == "" && e.Circuit == 0 && slices.ContainsFunc(section.Joints, e.Touches) {
			c.lost, c.Lost = append(c.lost, e), append(c.Lost, e.Place())
		}
	}
	c.Repaired = res.unseenRepairs(section.Joints)
	if s.PressureTest != "" {
		c.Wanted = slices.DeleteFunc(labelsOf(section.Joints), res.scene.held)
	}
	if c.Fell = res.Fell(section.Joints); len(res.Tests()) > 0 {
		c.Tested = res.TestedLines(section.Joints)
	}
	c.Looked = ahead.GroundOf(r, s, section).Lines
	c.NotLooked, c.notLooked = res.groundOpen(section.Name)
	c.May = !c.Lacking() && (c.Covered == nil || c.DugUp != nil)
	return c
}

// Lines say it for a person: covered, and by whom; may be covered; or what is
// missing.
func (c Covering) Lines() []string {
	var says []string
	if k := c.Covered; k != nil {
		says = append(says, fmt.Sprintf("covered on %s by %s", k.When("2 Jan 2006"), k.By))
		if len(k.Missing) > 0 {
			says = append(says, "while not settled: "+strings.Join(k.Missing, ", "))
		}
		if len(k.NotLooked) > 0 {
			says = append(says, "not looked at then, or not as it should be: "+strings.Join(logbook.GroundLines.Words(k.NotLooked...), ", "))
		}
	}
	if c.DugUp != nil {
		says = append(says, "dug up since, on "+c.DugUp.On)
	}
	if len(c.Own) > 0 {
		says = append(says, "accepted by their own welder, nobody else looked: "+strings.Join(c.Own, ", "))
	}
	switch {
	case c.Lacking():
		says = append(says, c.Lacks())
	case c.May:
		says = append(says, "may be covered")
		if len(c.Tested) == 0 {
			says = append(says, NoTest)
		}
	}
	return append(says, c.Tested...)
}

// Untested says that no pressure test is recorded in a section whose plan wants it looked
// at, where nothing else says so; else it is "".
func (c Covering) Untested() string {
	if len(c.Looked) == 0 || len(c.Tested) > 0 || c.May {
		return ""
	}
	return NoTest
}

// Lacking tells whether anything keeps the ground away.
func (c Covering) Lacking() bool {
	return len(c.Missing)+len(c.Lost)+len(c.Repaired)+len(c.Fell)+len(c.Wanted)+len(c.notLooked) > 0
}

// Lacks names the joints that are missing, each with its state, and what was
// lost that may be in this section.
func (c Covering) Lacks() string {
	return c.LacksSaid(func(l Lack) string { return l.State })
}

// LacksSaid is the same, each joint told as a document has it.
func (c Covering) LacksSaid(state func(Lack) string) string {
	var names, says []string
	for _, l := range c.Missing {
		names = append(names, l.Joint+" "+state(l))
	}
	if len(names) > 0 {
		says = append(says, logbook.Count(len(names), "joint")+" missing: "+strings.Join(names, ", "))
	}
	for _, l := range c.Lost {
		says = append(says, l+", and not repaired")
	}
	for _, l := range c.Repaired {
		says = append(says, l+", and nobody else looked")
	}
	if says = append(says, c.Fell...); len(c.Wanted) > 0 {
		says = append(says, "the plan wants a pressure test, and none holds "+strings.Join(c.Wanted, ", "))
	}
	return strings.Join(append(says, c.notLooked...), "; ")
}

// Labels are the joints that are missing, as a cover names them.
func (c Covering) Labels() []string {
	var labels []string
	for _, l := range c.Missing {
		labels = append(labels, l.Joint)
	}
	return labels
}

// LacksAs tells whether the same joints, losses and repairs keep the ground away.
func (c Covering) LacksAs(o Covering) bool {
	return slices.Equal(c.Labels(), o.Labels()) && slices.Equal(c.Repaired, o.Repaired) && slices.Equal(c.Fell, o.Fell) && slices.Equal(c.Wanted, o.Wanted) && slices.Equal(c.NotLooked, o.NotLooked) && slices.EqualFunc(c.lost, o.lost, func(a, b logbook.Event) bool { return a.Happened == b.Happened && a.Joint == b.Joint })
}
