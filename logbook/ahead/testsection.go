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
	d := divide(r, site)
	var out []TestSection
	for _, id := range d.ids {
		out = append(out, d.section(id))
	}
	return out
}

// A divided site is its joints as the sections are made of them: a section looks at
// those of its chamber and at what hangs on pipes alone, not at all of the site.
type divided struct {
	site   logbook.Site
	joints []logbook.Joint // that count, in the plan's order
	all    []int
	within map[string][]int // by chamber
	loose  []int            // of no chamber, circuit or header
	ids    []logbook.SectionID
	named  map[string]int // how many sections have that name
}

func divide(r logbook.Reader, site string) divided {
	d := divided{within: map[string][]int{}, named: map[string]int{}}
	var circuits, headers, chambers []logbook.SectionID
	seen := map[logbook.SectionID]bool{}
	once := func(ids []logbook.SectionID, id logbook.SectionID) []logbook.SectionID {
		if seen[id] {
			return ids
		}
		seen[id] = true
		return append(ids, id)
	}
	for _, j := range r.Joints(site) {
		if !j.Counts() {
			continue
		}
		at := len(d.joints)
		d.joints, d.all = append(d.joints, j), append(d.all, at)
		switch {
		case j.Circuit > 0:
			circuits = once(circuits, logbook.SectionID{Chamber: j.Chamber, Circuit: j.Circuit})
		case j.Way != "":
			headers = once(headers, logbook.SectionID{Chamber: j.Chamber, Way: j.Way})
		case j.Chamber == "":
			d.loose = append(d.loose, at)
		}
		if j.Chamber != "" {
			chambers = once(chambers, logbook.SectionID{Chamber: j.Chamber})
			d.within[j.Chamber] = append(d.within[j.Chamber], at)
		}
	}
	if len(d.joints) == 0 {
		return d
	}
	d.site, _ = r.Site(site)
	d.ids = slices.Concat(circuits, headers, chambers, []logbook.SectionID{{}})
	for _, id := range d.ids {
		d.named[id.Name()]++
	}
	return d
}

// name is what a section is called among those of its site: the chamber is said where
// two of them have the same name without it.
func (d divided) name(id logbook.SectionID) string {
	if name := id.Name(); d.named[name] < 2 {
		return name
	}
	return id.String()
}

func (d divided) section(id logbook.SectionID) TestSection {
	out := TestSection{ID: id, Name: d.name(id)}
	at, pipes := d.members(id)
	known := map[string]int{}
	for _, i := range at {
		out.Joints = append(out.Joints, d.joints[i])
		out.Pipes = withPipes(out.Pipes, known, d.joints[i].Joint)
	}
	for _, f := range d.site.NotOurs() {
		if id == (logbook.SectionID{}) || slices.ContainsFunc(f.Pipes(), func(p string) bool { return pipes[p] }) || id.Chamber != "" && id.Chamber == f.Chamber && id.Circuit == 0 && id.Way == "" {
			out.Factory = append(out.Factory, f)
		}
	}
	return out
}

// members are the places of a section's joints, in the plan's order, and their pipes.
// What is of another circuit or header hangs on it only where the whole chamber is
// meant; a tee brings pipes with it, and these other joints.
func (d divided) members(id logbook.SectionID) (at []int, pipes map[string]bool) {
	has := map[int]bool{}
	pipes = map[string]bool{}
	take := func(i int) {
		at, has[i] = append(at, i), true
		for _, p := range d.joints[i].Pipes() {
			pipes[p] = true
		}
	}
	own := d.all
	if id.Chamber != "" {
		own = d.within[id.Chamber]
	}
	for _, i := range own {
		if id.Own(d.joints[i]) {
			take(i)
		}
	}
	for grown := true; grown; {
		grown = false
		for _, i := range d.loose {
			if !has[i] && slices.ContainsFunc(d.joints[i].Pipes(), func(p string) bool { return pipes[p] }) {
				take(i)
				grown = true
			}
		}
	}
	slices.Sort(at)
	return at, pipes
}

// withPipes adds the pipes of a joint. The length that a joint has is that of its
// first pipe; an end states size and class. known says where a pipe stands.
func withPipes(pipes []TestPipe, known map[string]int, j plan.Joint) []TestPipe {
	for _, e := range j.Meet() {
		if e.Stub || e.Pipe == "" {
			continue
		}
		p := TestPipe{Name: e.Pipe, OdMM: e.OdMM, SDR: e.SDR}
		if e.Pipe == j.Pipe {
			p.LengthM = j.LengthM
		}
		i, is := known[p.Name]
		if !is {
			known[p.Name] = len(pipes)
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
	d := divide(r, site)
	if !slices.Contains(d.ids, id) {
		return TestSection{}, false
	}
	return d.section(id), true
}

// SectionIn finds a section among those of a site: where several are looked for they are
// divided once.
func SectionIn(sections []TestSection, id logbook.SectionID) (t TestSection, known bool) {
	if i := slices.IndexFunc(sections, func(o TestSection) bool { return o.ID == id }); i >= 0 {
		return sections[i], true
	}
	return t, false
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
