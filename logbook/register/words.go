package register

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"coolhold/logbook"
	"coolhold/logbook/audit"
)

// What the documents say of a report in words stands here once, so that none of them says
// otherwise.

// minute is how a document writes a time.
const minute = "2006-01-02 15:04 -07:00"

// Means says what a verdict is, for somebody who never saw one.
var Means = map[audit.Verdict]string{
	audit.Failed:     "a fault is recorded that cannot be accepted: it must be cut out",
	audit.Queried:    "something is recorded that a named person must decide on",
	audit.Unfinished: "the record is not complete yet: being made, fusing, cooling, or not looked at",
	audit.NoHeat:     "it was given up before any current; nothing is to be cut out",
	audit.Accepted:   "a query that a named person accepted, with a reason",
	audit.OwnOnly:    "a query accepted by the weld's own welder, who works alone; nobody else looked",
	audit.Clear:      "no fault is recorded",
}

// Cautions are general safety matters, each with where it comes from.
var Cautions = []string{
	"The instructions of the fitting's maker, the site's own safe system of work, local codes and licensed trades go before anything in this document.",
	"A raised indicator shows melt pressure. It says nothing of dirt or water in the joint (WIS 4-32-08 and BPF guide, from memory).",
	"A pressure test starts only after the longest pressure wait printed on any fitting of the section has passed. Test with water, people out of the trench, no air (HSE GS4; ASTM F2164).",
	"Never test above the rated pressure of the weakest part: pipe, valve, meter or manifold. Heat pump and vessel are shut off before.",
	"Before anybody digs: find the services. No ground stands unsupported; inspect after rain (HSE practice, as restated).",
	"A joint named fail in this document and not cut out must not be covered, and where it is covered it must be found again by its position.",
	"Headers are named from ground (FG) and to ground (TG), because the shorter trade words are used both ways.",
}

// ChambersLine are the chambers with how many joints each has, and where its lid is.
func (rep Report) ChambersLine() string {
	var parts []string
	for _, c := range rep.Site.Chambers {
		n := 0
		for _, j := range rep.Joints {
			if j.Chamber == c.Name && j.Counts() {
				n++
			}
		}
		part := c.Name + " with " + logbook.Count(n, "joint")
		if c.Lid != "" {
			part += ", lid: " + c.Lid
		}
		parts = append(parts, part)
	}
	return strings.Join(parts, "; ")
}

// JointLine says of how many joints how many have which weld.
func (rep Report) JointLine() string {
	made, settled, own, open := 0, 0, 0, 0
	for _, j := range rep.Joints {
		if !j.Counts() {
			continue
		}
		made++
		switch {
		case j.State.Is(audit.Clear) || j.State.Is(audit.Accepted):
			settled++
		case j.State.Is(audit.OwnOnly):
			own++
		case j.Stands == "":
			open++
		}
	}
	alone := ""
	if own > 0 {
		alone = fmt.Sprintf(" with one that its own welder accepted, nobody else looked, %d,", own)
	}
	return fmt.Sprintf("Of %s: with a weld that is clear or accepted %d,%s with one that is not %d, without a weld %d.",
		logbook.Count(made, "joint"), settled, alone, made-settled-own-open, open)
}

// WeldLine says what became of all welds that were begun: those in place are those that
// JointLine has, but where two stand in one joint.
func (rep Report) WeldLine() string {
	var sum Count
	for _, k := range rep.Counts {
		sum.Standing, sum.GivenUp, sum.BeingMade, sum.CutOut = sum.Standing+k.Standing, sum.GivenUp+k.GivenUp, sum.BeingMade+k.BeingMade, sum.CutOut+k.CutOut
	}
	return fmt.Sprintf("Of %s begun: in place %d, being made %d, given up %d, cut out %d.",
		logbook.Count(sum.Standing+sum.CutOut, "weld"), sum.InPlace(), sum.BeingMade, sum.GivenUp, sum.CutOut)
}

// AcceptedAs says who accepted a finding, or why nobody did.
func AcceptedAs(f audit.Finding) string {
	switch {
	case f.Accepted != nil:
		return fmt.Sprintf("by %s, %s: %s", f.Accepted.Who(), f.Accepted.At.Local().Format(minute), f.Accepted.Why)
	case f.Settled:
		return "settled: cut out or given up"
	case f.Severity == audit.Note:
		return "nothing to accept"
	case f.Severity == audit.Fail:
		return "cannot be: cut out"
	case f.Work:
		return "cannot be: work to do"
	}
	return "not yet"
}

// EndedAs says how a finding of that weld came to be open no longer: in few words, for a list
// in which it can be picked. "" of one that is open.
func EndedAs(f audit.Finding, w logbook.Weld) string {
	switch {
	case f.Open():
		return ""
	case f.Accepted != nil:
		return "accepted"
	case f.Severity == audit.Note:
		return "only noted"
	case w.Abandoned != "":
		return "weld given up"
	case w.CutOut != nil:
		return "weld cut out"
	}
	return "settled"
}

// CorrectedLines say of a corrected value what it was, who corrected it and why.
func (r Row) CorrectedLines(column string) (out []string) {
	for _, c := range r.Corrected(column) {
		out = append(out, fmt.Sprintf("corrected: %s was %s (%s; %s, %s)", c.Name(), before(c), c.Why, c.By, c.At.Local().Format(minute)))
	}
	return out
}

// OpenAtCover is what was not settled when a part was covered, and that the cover was
// taken back, in lines.
func OpenAtCover(c logbook.Cover) []string {
	said := []string{cmp.Or(strings.Join(c.Missing, ", "), "nothing")}
	if len(c.NotLooked) > 0 {
		said = append(said, "not looked at then, or not as it should be: "+strings.Join(logbook.GroundLines.Words(c.NotLooked...), ", "))
	}
	if w := c.Withdrawn; w != nil {
		said = append(said, fmt.Sprintf("taken back by %s, %s: %s", w.By, w.At.Local().Format(minute), w.Why))
	}
	return said
}

// ComesTo is what a reading of the loop comes to, in one line.
func (l LoopReading) ComesTo() string {
	switch {
	case l.Back != nil:
		return fmt.Sprintf("taken back by %s: %s", l.Back.By, l.Back.Why)
	case l.Left != nil:
		return l.leftAs()
	case !l.Newest:
		return "a newer one counts; this was: " + cmp.Or(strings.Join(l.Comes, "; "), "none recorded")
	case len(l.Comes) == 0:
		return "nothing is missing in what was said"
	}
	return strings.Join(l.Comes, "; ")
}

// leftAs says what of how a section was left still stands.
func (l LoopReading) leftAs() string {
	switch anew := strings.Join(l.Anew, ", "); {
	case !l.Stands():
		return "a newer one counts: all of it was said anew"
	case anew != "":
		return "a newer one counts of: " + anew + "; the rest stands until it is said anew"
	}
	return "stands until it is said anew"
}

// Fell tells whether a pressure test was not within and was not repeated.
func (rep Report) Fell(t audit.Tested) bool {
	return slices.ContainsFunc(rep.Open, func(f audit.Finding) bool { return f.Key == audit.PressureFailed+":"+t.ID })
}

// TestsBySection are the pressure tests of each section, oldest first, in the order of its
// first one.
func (rep Report) TestsBySection() (out [][]audit.Tested) {
	for _, t := range rep.Tests {
		at := slices.IndexFunc(out, func(o []audit.Tested) bool { return o[0].Section == t.Section })
		if at < 0 {
			at, out = len(out), append(out, nil)
		}
		out[at] = append(out[at], t)
	}
	return out
}

// StandingIn are the joints of a test's section, each with its weld, its fitting and how it
// stands.
func (rep Report) StandingIn(t audit.Tested) (out []string) {
	for _, p := range rep.Joints {
		if t.Of.Has(p.Label) {
			out = append(out, logbook.Joined(", ", p.Label, p.Weld, p.Fitting, string(p.State)))
		}
	}
	return out
}

// Given is what was given before a test, each with its name.
func Given(t audit.Tested) []string {
	out := []string{"by " + t.By}
	if len(t.Missing) > 0 {
		out = append(out, "not accepted then: "+strings.Join(t.Missing, ", "))
	}
	if t.Stated != nil {
		out = append(out, "entered later: "+t.Why)
	}
	for _, v := range logbook.PressureValues {
		if v.Asked(t.Method) {
			out = append(out, v.Name+" "+v.Shown(t.PressureBegun))
		}
	}
	return out
}

// A Reach is what the chart of a test reaches: pressures in bar, with room above and below
// what was read, and minutes from 0.
type Reach struct{ Low, High, Most float64 }

// ReachOf is that of a test with these points.
func ReachOf(t audit.Tested, points []audit.Plotted) Reach {
	r := Reach{math.Inf(1), math.Inf(-1), max(1, float64(t.Minutes))}
	for _, k := range points {
		r.Low, r.High, r.Most = min(r.Low, k.Bar), max(r.High, k.Bar), max(r.Most, k.Minute)
	}
	for _, l := range t.Levels() {
		r.Low, r.High = min(r.Low, l.Bar), max(r.High, l.Bar)
	}
	room := max((r.High-r.Low)/8, 0.02)
	return Reach{r.Low - room, r.High + room, r.Most}
}
