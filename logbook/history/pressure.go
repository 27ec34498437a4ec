package history

import (
	"slices"

	"coolhold/logbook"
	"coolhold/logbook/ahead"
)

// tellTests tells the pressure tests of the sections that the joints are in.
func (g *gathering) tellTests(r logbook.Reader, s logbook.Site) {
	if len(s.Tests) == 0 {
		return
	}
	sections := ahead.TestSections(r, s.ID)
	for _, t := range s.Tests {
		in, known := ahead.SectionIn(sections, t.Section)
		if known && slices.ContainsFunc(g.joints, func(j logbook.Joint) bool { return in.Has(j.Label) }) {
			g.tellTest(t)
		}
	}
}

func (g *gathering) tellTest(t logbook.PressureTest) {
	g.sign(t.Signature, "", "", t.PressureBegun)
	for _, p := range t.Phases {
		g.sign(p.Signature, "", "", p.PressurePhased)
	}
	for _, r := range t.Readings {
		said := append(slices.Clone(r.Was), r.PressureRead) // as first written down, then as put right
		g.sign(r.Signature, "", "", said[0])
		for i, fix := range r.Fixes {
			g.sign(fix.Signature, "", "", said[i+1])
		}
	}
	if e := t.Ended; e != nil {
		g.sign(e.Signature, "", "", e.PressureEnded)
	}
	if w := t.Withdrawn; w != nil {
		g.sign(w.Signature, "", "", logbook.PressureWithdrawn{Test: t.Test, Why: w.Why})
	}
}
