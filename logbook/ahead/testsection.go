package ahead

import (
	"slices"
	"strings"

	"coolhold/fusion"
	"coolhold/logbook"
	"coolhold/logbook/plan"
)

// A TestSection is what is put under pressure, flow-tested or purged as one thing,
// with the joints and the pipes in it. It is another part of the site than what is
// covered in one go (Section): a circuit runs from its chamber through the ground and
// back.
type TestSection struct {
	ID      logbook.SectionID `json:"id"`
	Name    string            `json:"section"` // with its chamber where the site has several that it may be of
	Joints  []logbook.Joint   `json:"-"`       // that count, in the plan's order
	Pipes   []TestPipe        `json:"pipes"`
	Factory []plan.NotOurs    `json:"-"` // joints from a works on its pipes
}

// A TestPipe is one pipe of a section. What the plan does not state is 0.
type TestPipe struct {
	Name    string     `json:"pipe"`
	OdMM    int        `json:"od_mm,omitempty"`
	SDR     fusion.SDR `json:"sdr,omitempty"`
	LengthM float64    `json:"length_m,omitempty"`
}

// TestSections are the sections of a site in the order to test them: circuits,
// headers, chambers, all of it. What was struck off or split is in none.
func TestSections(r logbook.Reader, site string) []TestSection {
	var circuits, headers, chambers []logbook.SectionID
	var in []logbook.Joint
	for _, j := range r.Joints(site) {
		if !j.Counts() {
			continue
		}
		in = append(in, j)
		switch {
		case j.Circuit > 0:
			circuits = once(circuits, logbook.SectionID{Chamber: j.Chamber, Circuit: j.Circuit})
		case j.Way != "":
			headers = once(headers, logbook.SectionID{Chamber: j.Chamber, Way: j.Way})
		}
		if j.Chamber != "" {
			chambers = once(chambers, logbook.SectionID{Chamber: j.Chamber})
		}
	}
	if len(in) == 0 {
		return nil
	}
	s, _ := r.Site(site)
	var out []TestSection
	ids := slices.Concat(circuits, headers, chambers, []logbook.SectionID{{}})
	for _, id := range ids {
		out = append(out, sectionOf(s, id, in, namedIn(id, ids)))
	}
	return out
}

func once(ids []logbook.SectionID, id logbook.SectionID) []logbook.SectionID {
	if slices.Contains(ids, id) {
		return ids
	}
	return append(ids, id)
}

// namedIn is what a section is called among those of its site: the chamber is said
// where two of them have the same name without it.
func namedIn(id logbook.SectionID, ids []logbook.SectionID) string {
	for _, o := range ids {
		if o != id && o.Name() == id.Name() {
			return id.String()
		}
	}
	return id.Name()
}

func sectionOf(s logbook.Site, id logbook.SectionID, joints []logbook.Joint, name string) TestSection {
	out := TestSection{ID: id, Name: name}
	pipes := map[string]bool{}
	for grown := true; grown; { // a tee brings pipes with it, and these other joints
		grown = false
		for _, j := range joints {
			if !out.Has(j.Label) && inSection(id, j, pipes) {
				out.Joints, grown = append(out.Joints, j), true
				for _, p := range j.Pipes() {
					pipes[p] = true
				}
			}
		}
	}
	slices.SortStableFunc(out.Joints, func(a, b logbook.Joint) int {
		return slices.IndexFunc(joints, labelled(a)) - slices.IndexFunc(joints, labelled(b))
	})
	for _, j := range out.Joints {
		out.Pipes = withPipes(out.Pipes, j.Joint)
	}
	for _, f := range s.NotOurs() {
		if id == (logbook.SectionID{}) || slices.ContainsFunc(f.Pipes(), func(p string) bool { return pipes[p] }) || id.Chamber != "" && id.Chamber == f.Chamber && id.Circuit == 0 && id.Way == "" {
			out.Factory = append(out.Factory, f)
		}
	}
	return out
}

func labelled(j logbook.Joint) func(logbook.Joint) bool {
	return func(o logbook.Joint) bool { return o.Label == j.Label }
}

// inSection tells whether a joint is in a section that has these pipes so far. What
// is of another circuit or header hangs on it only where the whole chamber is meant.
func inSection(id logbook.SectionID, j logbook.Joint, pipes map[string]bool) bool {
	if id.Own(j) {
		return true
	}
	if j.Circuit > 0 || j.Way != "" || j.Chamber != "" {
		return false
	}
	return slices.ContainsFunc(j.Pipes(), func(p string) bool { return pipes[p] })
}

// withPipes adds the pipes of a joint. The length that a joint has is that of its
// first pipe; an end states size and class.
func withPipes(pipes []TestPipe, j plan.Joint) []TestPipe {
	for _, e := range j.Meet() {
		if e.Stub || e.Pipe == "" {
			continue
		}
		p := TestPipe{Name: e.Pipe, OdMM: e.OdMM, SDR: e.SDR}
		if e.Pipe == j.Pipe {
			p.LengthM = j.LengthM
		}
		i := slices.IndexFunc(pipes, func(o TestPipe) bool { return o.Name == p.Name })
		if i < 0 {
			pipes = append(pipes, p)
			continue
		}
		pipes[i] = pipes[i].and(p)
	}
	return pipes
}

// and is a pipe with what another joint on it states.
func (p TestPipe) and(o TestPipe) TestPipe {
	if p.OdMM == 0 {
		p.OdMM = o.OdMM
	}
	if p.SDR == 0 {
		p.SDR = o.SDR
	}
	if p.LengthM == 0 {
		p.LengthM = o.LengthM
	}
	return p
}

// Has tells whether a joint is in the section.
func (t TestSection) Has(label string) bool {
	return slices.ContainsFunc(t.Joints, func(j logbook.Joint) bool { return j.Label == label })
}

// Unstated are the pipes of which size, class or length is not stated, so that no
// volume can be computed.
func (t TestSection) Unstated() []string {
	var out []string
	for _, p := range t.Pipes {
		if p.OdMM == 0 || p.SDR == 0 || p.LengthM == 0 {
			out = append(out, p.Name)
		}
	}
	return out
}

// TestSectionOf finds a section by what is stored of it.
func TestSectionOf(r logbook.Reader, site string, id logbook.SectionID) (TestSection, bool) {
	for _, t := range TestSections(r, site) {
		if t.ID == id {
			return t, true
		}
	}
	return TestSection{}, false
}

// TestSectionNamed finds a section as a person calls it: by its name, with or
// without the chamber, a header by FG or TG too. Where several are meant it gives
// them all.
func TestSectionNamed(r logbook.Reader, site, said string) []TestSection {
	said = strings.TrimSpace(said)
	var out []TestSection
	for _, t := range TestSections(r, site) {
		if slices.ContainsFunc(t.calls(), func(name string) bool { return strings.EqualFold(name, said) }) {
			out = append(out, t)
		}
	}
	return out
}

// calls are the names that a person may give a section.
func (t TestSection) calls() []string {
	names := []string{t.Name, t.ID.Name(), t.ID.String()}
	if t.ID.Way != "" {
		names = append(names, t.ID.Way, "header "+t.ID.Way, "header "+t.ID.Way+" of chamber "+t.ID.Chamber, strings.TrimPrefix(t.ID.Chamber+"/"+t.ID.Way, "/"))
	}
	return names
}

// TestSectionsOf are the sections that a joint is in.
func TestSectionsOf(r logbook.Reader, site, label string) []TestSection {
	return slices.DeleteFunc(TestSections(r, site), func(t TestSection) bool { return !t.Has(label) })
}
