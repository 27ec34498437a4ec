package register

import (
	"cmp"
	"slices"
	"strings"

	"coolhold/logbook"
	"coolhold/logbook/audit"
	"coolhold/logbook/chart"
)

// TheSite is where a finding lies that is of no joint and of no section.
const TheSite = "the whole site"

// InChamber is the chamber, and the circuit where it is on one, in which a finding lies: of its
// joint, of its part, of its section, of the section of its pressure test. What lies in no
// chamber is outside; what is of the site as a whole is TheSite.
func (rep Report) InChamber(f audit.Finding) (chamber string, circuit int) {
	at := f.At()
	if at.Section == (logbook.SectionID{}) {
		at.Section = rep.testedIn(f)
	}
	label, part := cmp.Or(f.Joint, at.Joint), cmp.Or(f.Part, at.Part)
	if i := slices.IndexFunc(rep.Joints, func(p chart.Place) bool { return p.Label == label }); i >= 0 {
		return cmp.Or(rep.Joints[i].Chamber, Outside), rep.Joints[i].Circuit
	}
	switch in, is := strings.CutPrefix(part, "chamber "); {
	case is:
		return in, 0
	case part != "":
		return Outside, 0
	case at.Section.Chamber != "":
		return at.Section.Chamber, at.Section.Circuit
	case at.Section.Circuit > 0 && len(rep.Site.Chambers) == 1: // nobody had to name it
		return rep.Site.Chambers[0].Name, at.Section.Circuit
	}
	return TheSite, at.Section.Circuit
}

// testedIn is the section of the pressure test that a finding is on; empty for others.
func (rep Report) testedIn(f audit.Finding) logbook.SectionID {
	_, id, _ := strings.Cut(f.Key, ":")
	for _, t := range rep.Tests {
		if t.ID == id {
			return t.Section
		}
	}
	return logbook.SectionID{}
}
