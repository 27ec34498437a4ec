package register

import (
	"slices"
	"strings"

	"coolhold/logbook"
	"coolhold/logbook/ahead"
	"coolhold/logbook/audit"
	"coolhold/logbook/chart"
)

// A Standing is how a circuit or a header stands: what is made in its joints, what is open
// there, whether ground may lie on it, and from when it may be put under pressure.
type Standing struct {
	Section ahead.TestSection
	Joints  []chart.Place
	Open    []audit.Finding // at its joints, each finding once
	Parts   []PartStanding  // as it is covered
	Testing audit.Testing
	Tested  []string // what is recorded of pressure tests, in lines; those of all its joints
}

// A PartStanding is how a part in which joints of a circuit lie stands towards being covered.
type PartStanding struct {
	audit.Covering
	Own []audit.Lack // of what is missing, that of the circuit's own joints
}

// Made counts the joints in which a weld stands, and Bare those in which none does: be it
// that a walk is open there.
func (s Standing) Made() (made, bare int) { return Made(s.Joints) }

// Made counts the same of any joints: what does not count is in neither. Wherever a register
// says "without a weld" it is this count.
func Made(joints []chart.Place) (made, bare int) {
	for _, j := range joints {
		switch {
		case !j.Counts():
		case j.Stands != "":
			made++
		default:
			bare++
		}
	}
	return made, bare
}

// Standings are the circuits of the site, then its headers; they are made where a form shows
// them.
func (rep Report) Standings() []Standing {
	if rep.standing == nil {
		return nil // of no records
	}
	return rep.standing()
}

// standings is how each circuit and header of a site stands.
func standings(r logbook.Reader, rep Report, res audit.Result) (out []Standing) {
	places, open, at := map[string]chart.Place{}, map[string][]audit.Finding{}, map[string]ahead.Section{}
	for _, p := range rep.Joints {
		places[p.Label] = p
	}
	for _, f := range rep.Open {
		open[f.Joint] = append(open[f.Joint], f)
	}
	for _, part := range ahead.Sections(r, rep.Site.ID) {
		for _, j := range part.Joints {
			at[j.Label] = part
		}
	}
	covering := map[string]audit.Covering{}
	for _, t := range ahead.TestSections(r, rep.Site.ID) {
		if t.ID.Circuit == 0 && t.ID.Way == "" {
			continue
		}
		s := Standing{Section: t, Testing: res.Testing(t), Tested: res.TestedLines(t.Joints)}
		if len(rep.Site.Chambers) > 1 {
			s.Section.Name = t.ID.String()
		}
		for _, j := range t.Joints {
			s.Joints, s.Open = append(s.Joints, places[j.Label]), append(s.Open, open[j.Label]...)
			part, lies := at[j.Label]
			if !lies || slices.ContainsFunc(s.Parts, func(o PartStanding) bool { return o.Section == part.Name }) {
				continue
			}
			if _, known := covering[part.Name]; !known {
				covering[part.Name] = res.Covering(part)
			}
			s.Parts = append(s.Parts, PartStanding{covering[part.Name], ownLacks(covering[part.Name], t)})
		}
		out = append(out, s)
	}
	return out
}

// ownLacks is what keeps the ground away at joints of a section itself.
func ownLacks(c audit.Covering, t ahead.TestSection) []audit.Lack {
	return slices.DeleteFunc(slices.Clone(c.Missing), func(l audit.Lack) bool { return !t.Has(l.Joint) })
}

// Whose is who must act, with the name where the site has named one.
func (rep Report) Whose(who audit.Actor) string {
	if who != audit.Foreman {
		return string(who)
	}
	names := rep.foremen()
	switch {
	case len(rep.AloneLines()) > 0:
		return "a named person"
	case len(names) == 0:
		return string(who) + " (nobody is named)"
	}
	return string(who) + " (" + strings.Join(names, ", ") + ")"
}

// WhoseAll is who must act on some findings, each once.
func (rep Report) WhoseAll(found []audit.Finding) string {
	var who []string
	for _, f := range found {
		if says := rep.Whose(f.Actor()); says != "" && !slices.Contains(who, says) {
			who = append(who, says)
		}
	}
	return strings.Join(who, "; ")
}

func (rep Report) foremen() (names []string) {
	for _, n := range rep.Named {
		if n.Role == logbook.RoleForeman.String() {
			names = append(names, n.Name)
		}
	}
	return names
}

// ForemanNamed tells whether the site has named somebody as its foreman.
func (rep Report) ForemanNamed() bool { return len(rep.foremen()) > 0 }

// Opens are what is open, by the weld and by the joint that it is about.
type Opens struct{ weld, joint map[string][]audit.Finding }

// Opens are those of the site.
func (rep Report) Opens() Opens {
	o := Opens{map[string][]audit.Finding{}, map[string][]audit.Finding{}}
	for _, f := range rep.Open {
		switch {
		case f.Weld != "":
			o.weld[f.Weld] = append(o.weld[f.Weld], f)
		case f.Joint != "":
			o.joint[f.Joint] = append(o.joint[f.Joint], f)
		}
	}
	return o
}

// At are those of a row: on its weld, and while that stands, or where none does, on its joint.
func (o Opens) At(r Row) []audit.Finding {
	out := slices.Clone(o.weld[r.Weld.ID])
	if r.Weld.ID == "" || r.Weld.Stands() {
		out = append(out, o.joint[r.Joint.Label]...)
	}
	return out
}

// A ChamberWork is what is made and to be made in one chamber.
type ChamberWork struct {
	Where                      string // "chamber A", or outside the chambers
	Joints, Made, Failed, Bare int    // that count; with a weld, of those failed; without a weld
	Settled                    int    // with a weld that is clear or accepted
}

// And is both together.
func (w ChamberWork) And(o ChamberWork) ChamberWork {
	w.Joints, w.Made, w.Failed, w.Bare, w.Settled = w.Joints+o.Joints, w.Made+o.Made, w.Failed+o.Failed, w.Bare+o.Bare, w.Settled+o.Settled
	return w
}

// Outside is where joints lie that are in no chamber.
const Outside = "outside the chambers"

// Work is what is made and to be made, chamber by chamber, then what lies outside.
func (rep Report) Work() (out []ChamberWork) {
	add := func(where string, joints []chart.Place) {
		w := ChamberWork{Where: where}
		w.Made, w.Bare = Made(joints)
		for _, j := range joints {
			if !j.Counts() {
				continue
			}
			w.Joints++
			if j.State.Is(audit.Failed) {
				w.Failed++
			}
			if j.State.Is(audit.Clear) || j.State.Is(audit.Accepted) || j.State.Is(audit.OwnOnly) {
				w.Settled++
			}
		}
		if w.Joints > 0 {
			out = append(out, w)
		}
	}
	of := func(chamber string) []chart.Place {
		return slices.DeleteFunc(slices.Clone(rep.Joints), func(p chart.Place) bool { return p.Chamber != chamber })
	}
	for _, c := range rep.Site.Chambers {
		add("chamber "+c.Name, of(c.Name))
	}
	add(Outside, of(""))
	return out
}
