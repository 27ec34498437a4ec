package logbook

// A Section is what is covered with ground in one go: a chamber, or a run of pipe
// with the joints on it outside the chambers.
type Section struct {
	Name   string // "chamber A", "run A/FG"
	Joints []Joint
}

// Sections are the sections of a site in the plan's order, chambers first. Joints
// that were struck off or split are in none.
func Sections(r Reader, site string) []Section {
	var chambers, runs []Section
	for _, j := range r.Joints(site) {
		if !j.Counts() {
			continue
		}
		if j.Chamber != "" {
			chambers = intoSection(chambers, "chamber "+j.Chamber, j)
			continue
		}
		runs = intoSection(runs, "run "+runOf(j), j)
	}
	return append(chambers, runs...)
}

func runOf(j Joint) string {
	if j.Pipe != "" {
		return j.Pipe
	}
	return j.Label
}

func intoSection(parts []Section, name string, j Joint) []Section {
	for i := range parts {
		if parts[i].Name == name {
			parts[i].Joints = append(parts[i].Joints, j)
			return parts
		}
	}
	return append(parts, Section{name, []Joint{j}})
}

// SectionOf is the name of the section that a joint lies in.
func SectionOf(j Joint) string {
	if j.Chamber != "" {
		return "chamber " + j.Chamber
	}
	return "run " + runOf(j)
}

// CoverOf is the last entry that a part was covered.
func (s Site) CoverOf(part string) (Cover, bool) {
	for i := len(s.Covers) - 1; i >= 0; i-- {
		if s.Covers[i].Part == part {
			return s.Covers[i], true
		}
	}
	return Cover{}, false
}

// SignatureOf is the last signature under a day.
func (s Site) SignatureOf(day string) (SignedDay, bool) {
	for i := len(s.Signed) - 1; i >= 0; i-- {
		if s.Signed[i].Day == day {
			return s.Signed[i], true
		}
	}
	return SignedDay{}, false
}
