package history

import (
	"slices"

	"coolhold/logbook"
	"coolhold/logbook/ahead"
)

// tellLoop tells flow checks, purges, fillings and how it was left of the sections that the joints are in,
// each with what took it back.
func (g *gathering) tellLoop(r logbook.Reader, s logbook.Site) {
	if len(s.Loop.Flows)+len(s.Loop.Purges)+len(s.Loop.Fillings)+len(s.Loop.Lefts) == 0 {
		return
	}
	sections := ahead.TestSections(r, s.ID)
	tell := func(id logbook.SectionID, b logbook.Body, by logbook.Signature, back *logbook.Withdrawal) {
		in, known := ahead.SectionIn(sections, id)
		if !known || !slices.ContainsFunc(g.joints, func(j logbook.Joint) bool { return in.Has(j.Label) }) {
			return
		}
		g.sign(by, "", "", b)
		if back != nil {
			g.sign(back.Signature, "", "", logbook.LoopWithdrawn{What: b.Kind(), Section: id, Why: back.Why})
		}
	}
	for _, f := range s.Loop.Flows {
		tell(f.Section, f.FlowChecked, f.Signature, f.Withdrawn)
	}
	for _, p := range s.Loop.Purges {
		tell(p.Section, p.Purged, p.Signature, p.Withdrawn)
	}
	for _, f := range s.Loop.Fillings {
		tell(f.Section, f.FluidFilled, f.Signature, f.Withdrawn)
	}
	for _, f := range s.Loop.Lefts {
		tell(f.Section, f.LeftAs, f.Signature, f.Withdrawn)
	}
}
