package handover

import (
	"fmt"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"coolhold/logbook"
	"coolhold/logbook/ahead"
	"coolhold/logbook/audit"
)

// decides says whose word it is whether anything may run.
const decides = "Whether it may run is for the heat pump's maker, the designer and the licensed trade that commissions it to say. This leaf only says what is recorded."

// running is what is recorded against running the heat pump on this loop. The heading is
// the gravest of it: what is in the pipe goes before all else, since frost breaks.
func (g gathering) running(h Handover) Running {
	r := Running{Heading: "NOTHING IS RECORDED AGAINST RUNNING IT, as far as this log goes", Against: []string{}, Decides: decides}
	against := func(is bool, format string, args ...any) {
		if is {
			r.Against = append(r.Against, fmt.Sprintf(format, args...))
		}
	}
	water, unknown, unread := whereIn(h.In, func(c Content) bool { return c.Content == logbook.ContentWater }),
		whereIn(h.In, func(c Content) bool { return c.Content == "" }),
		whereIn(h.In, func(c Content) bool {
			return c.Content != "" && c.Content != logbook.ContentWater && c.MeantFor != logbook.Yes
		})
	against(len(water) > 0, "water only in %s: it may freeze, in the heat pump too", listed(water))
	against(len(unknown) > 0, "what is in %s is not recorded: it may be water, and freeze", listed(unknown))
	against(len(unread) > 0, "the freezing point in %s was not read with an instrument meant for that fluid", listed(unread))
	for _, c := range h.In {
		against(len(c.doubts) > 0, "in %s: %s", listed(c.Where), strings.Join(c.doubts, "; "))
	}
	for _, t := range g.s.Tests {
		against(t.Open(), "pressure test %s of %s goes on", t.ID, g.name(t.Section))
	}
	for _, e := range g.res.OpenLosses() {
		against(true, "%s, and not repaired", e.Place())
	}
	for _, repaired := range g.res.RepairsUnseen(g.r.Joints(g.s.ID)) {
		against(true, "a loss of pressure, %s, and nobody else looked", repaired)
	}
	under := g.failedUnder()
	against(len(under) > 0, "failed and under the ground: %s", few(under))
	against(len(h.NoWeld) > 0, "joints without a weld: %s", few(h.NoWeld))
	for _, o := range h.Open {
		against(o.What == audit.Fail.String(), "open: %s, at %s", logbook.Count(o.Count, o.What), few(o.At))
		against(o.What == audit.Query.String(), "open: %s%s", logbook.Count(o.Count, o.What), about(h.of(o.What), few))
	}
	for _, fell := range g.res.Fell(g.r.Joints(g.s.ID)) {
		against(true, "%s", fell)
	}
	for _, t := range g.undecided() {
		against(true, "pressure test %s of %s: nothing was decided", t.ID, g.name(t.Section))
	}
	untested := h.MadeUntested()
	against(len(untested) > 0, "welded and not pressure tested as they stand: %s", few(untested))
	for _, v := range h.Valves {
		against(strings.Contains(v.Words, "SHUT:"), "see that each valve stands as it must; as left%s: %s", partly([]string{v.Section}), v.Words)
	}
	against(len(h.Valves) == 0, "how the valves stand is not recorded")
	bare := g.unpurged()
	against(len(bare) > 0, "no purge is recorded%s", partly(bare))
	switch {
	case len(water) > 0:
		r.Heading = "WATER ONLY" + partly(water) + ": DO NOT RUN, it may freeze"
	case len(unknown) > 0:
		r.Heading = "WHAT IS IN THE PIPE IS NOT RECORDED" + partly(unknown) + ": DO NOT RUN, it may be water and may freeze"
	case len(r.Against) > 0:
		r.Heading = "DO NOT RUN before what follows is settled"
	}
	return r
}

// failedUnder are the joints with a failed weld over which ground lies.
func (g gathering) failedUnder() (out []string) {
	for _, j := range g.r.Joints(g.s.ID) {
		if _, under := ahead.Under(g.s, j); under && g.res.StateOf(j).Is(audit.Failed) {
			out = append(out, j.Label)
		}
	}
	return out
}

// undecided are the newest tests of their sections that ran to their end and decided nothing.
func (g gathering) undecided() (out []audit.Tested) {
	for _, s := range g.sections {
		t, found := g.newestTest(func(t audit.Tested) bool { return t.Section == s.ID && t.Stage.Welds() })
		if found && t.Ended != nil && t.Ended.Ending == logbook.RanToEnd && t.Result.Outcome.Code() == "undecided" {
			out = append(out, t)
		}
	}
	return out
}

// mostNamed is how many joints the frame names; of more it gives the number, and all stand
// under open items. Our choice.
const mostNamed = 14

func few(labels []string) string {
	if len(labels) > mostNamed {
		return fmt.Sprintf("%d joints, named under %q", len(labels), testsTitle)
	}
	return strings.Join(labels, ", ")
}

// toDo is the word of the audit for work that is not done: of it the office is told.
const toDo = "to do"

func whereIn(in []Content, is func(Content) bool) (out []string) {
	for _, c := range in {
		if is(c) {
			out = append(out, c.Where...)
		}
	}
	return out
}

// partly names the pipes that are meant, where they are not all.
func partly(where []string) string {
	if slices.Contains(where, logbook.Whole) {
		return ""
	}
	return " in " + listed(where)
}

// circuitName is a circuit's name in parts: its number, and the chamber that is told of.
var circuitName = regexp.MustCompile(`^circuit ([0-9]+)( of chamber .*)?$`)

// listed are names of sections as a person says them: circuits that follow one another as
// a run.
func listed(names []string) string {
	var out []string
	for i := 0; i < len(names); {
		k := i + 1
		for k < len(names) && follows(names[k-1], names[k]) {
			k++
		}
		switch first, last := circuitName.FindStringSubmatch(names[i]), circuitName.FindStringSubmatch(names[k-1]); {
		case names[i] == logbook.Whole:
			out = append(out, "all pipes")
		case k-i > 2:
			out = append(out, "circuits "+first[1]+" to "+last[1]+first[2])
		default:
			out = append(out, names[i:k]...)
		}
		i = k
	}
	return strings.Join(out, ", ")
}

// follows tells whether one circuit is the next after another, of one chamber.
func follows(a, b string) bool {
	x, y := circuitName.FindStringSubmatch(a), circuitName.FindStringSubmatch(b)
	if x == nil || y == nil || x[2] != y[2] {
		return false
	}
	n, _ := strconv.Atoi(x[1])
	m, _ := strconv.Atoi(y[1])
	return m == n+1
}

func (g gathering) openJoints() []string {
	labels := []string{}
	for _, j := range g.r.Joints(g.s.ID) {
		if j.Open() {
			labels = append(labels, j.Label)
		}
	}
	return labels
}

// unpurged are the pipes of which no purge is recorded, of themselves or of what holds
// them; "all" where none has one.
func (g gathering) unpurged() (names []string) {
	pipes := g.pipes()
	for _, t := range pipes {
		if _, found := g.purgeOf(t); !found {
			names = append(names, t.Name)
		}
	}
	if len(names) == len(pipes) && len(names) > 0 {
		return []string{logbook.Whole}
	}
	return names
}

// purgeOf is the newest purge of a pipe or of what holds it.
func (g gathering) purgeOf(t ahead.TestSection) (last logbook.Purge, found bool) {
	for _, p := range g.s.Loop.Purges {
		if p.Withdrawn == nil && p.Section.Holds(t.ID) && (!found || !p.When().Before(last.When())) {
			last, found = p, true
		}
	}
	return last, found
}
