package handover

import (
	"cmp"
	"fmt"
	"strings"

	"coolhold/logbook"
	"coolhold/logbook/ahead"
	"coolhold/logbook/labels"
)

// file is what goes into the warranty file besides the leaf, each in a line.
func (g gathering) file() (f File) {
	for _, t := range g.res.Tests() {
		f.Tests = append(f.Tests, g.name(t.Section)+": "+t.Line())
	}
	var flows, purges told
	for _, t := range g.sections {
		if t.ID.Circuit > 0 {
			_, says, _ := g.flow(t)
			flows.add(t.Name, says)
		}
	}
	for _, t := range g.pipes() {
		purges.add(t.Name, g.purged(t))
	}
	f.Flows, f.Purges = flows.lines(), purges.lines()
	for _, l := range g.labels {
		if l.Purpose != labels.Joint {
			f.Labels = append(f.Labels, string(l.Purpose)+" "+l.Joint+": "+l.Text)
		}
	}
	for _, e := range g.s.Enclosed {
		f.Enclosed = append(f.Enclosed, fmt.Sprintf("%s: %s, of %s, SHA-256 %s", e.File, cmp.Or(e.What, "what it is was not said"), e.Of(), e.Hash))
	}
	for _, o := range g.open() {
		f.Open = append(f.Open, o.Line())
	}
	return f
}

// purged is the newest purge of a pipe, with what it lacks.
func (g gathering) purged(t ahead.TestSection) string {
	p, found := g.purgeOf(t)
	if !found {
		return "no purge is recorded"
	}
	says := p.When().Local().Format(dayOf) + ", by " + p.By
	if len(p.Pump) > 0 {
		says += ", pump " + logbook.PumpLine(p.Pump) + " (L/min:m)"
	}
	if p.Section != t.ID {
		says = "with " + g.name(p.Section) + ", " + says
	}
	if lacks := ahead.PurgeLacks(p.Purged, t.WantLPM()).Says(); len(lacks) > 0 {
		return says + "; " + strings.Join(lacks, "; ")
	}
	return says + "; nothing is missing in what was said"
}
