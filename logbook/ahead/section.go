package ahead

import (
	"slices"

	"coolhold/logbook"
)

// A Section is what is covered with ground in one go: a chamber, or a run of pipe
// with the joints on it outside the chambers.
type Section struct {
	Name   string // "chamber A", "run A/FG"
	Joints []logbook.Joint
	Loops  bool // pipe of a circuit lies in it
}

// Sections are the sections of a site in the plan's order, chambers first. Joints
// that were struck off or split are in none.
func Sections(r logbook.Reader, site string) []Section {
	var chambers, runs []Section
	loops := map[string]bool{}
	for _, j := range r.Joints(site) {
		if j.Circuit > 0 && j.Pipe != "" {
			loops[j.Pipe] = true
		}
		if !j.Counts() {
			continue
		}
		if j.Chamber != "" {
			chambers = intoSection(chambers, "chamber "+j.Chamber, j)
			continue
		}
		runs = intoSection(runs, "run "+runOf(j), j)
	}
	all := append(chambers, runs...)
	for i, s := range all {
		all[i].Loops = slices.ContainsFunc(s.Joints, func(j logbook.Joint) bool {
			return j.Circuit > 0 || slices.ContainsFunc(j.Pipes(), func(p string) bool { return loops[p] })
		})
	}
	return all
}

func runOf(j logbook.Joint) string {
	if j.Pipe != "" {
		return j.Pipe
	}
	return j.Label
}

func intoSection(parts []Section, name string, j logbook.Joint) []Section {
	for i := range parts {
		if parts[i].Name == name {
			parts[i].Joints = append(parts[i].Joints, j)
			return parts
		}
	}
	return append(parts, Section{Name: name, Joints: []logbook.Joint{j}})
}

// SectionOf is the name of the section that a joint lies in.
func SectionOf(j logbook.Joint) string {
	if j.Chamber != "" {
		return "chamber " + j.Chamber
	}
	return "run " + runOf(j)
}

// Under is the cover that lies over a joint: its part was covered with ground,
// and the joint was not dug up since.
func Under(s logbook.Site, j logbook.Joint) (logbook.Cover, bool) {
	c, ok := s.CoverOf(SectionOf(j))
	if !ok || !j.Counts() || s.DugSince(c, j) != nil {
		return logbook.Cover{}, false
	}
	return c, true
}
