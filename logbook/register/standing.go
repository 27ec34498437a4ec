package register

import (
	"cmp"
	"fmt"
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

	// Whole is what a section hangs together with: whoever puts it under pressure reaches that
	// too. WholeName is how it is called; "": nothing.
	Whole     audit.Testing
	WholeName string
	Loose     bool // joints of no circuit and of no header: no section is tested by itself there
}

// A PartStanding is how a part in which joints of a circuit lie stands towards being covered.
type PartStanding struct {
	audit.Covering
	Own      []audit.Lack // of what is missing, that of the circuit's own joints
	Dug      []string     // of the circuit's own joints, those that were dug up since it was covered
	DugOn    string       // when, the last time
	Repaired []string     // repairs at the circuit's own joints that nobody else saw
}

// DugWhole tells whether all of the circuit's own joints in the part were dug up.
func (p PartStanding) DugWhole(s Standing) bool {
	n := 0
	for _, j := range s.Joints {
		if ahead.SectionOf(j.Joint) == p.Section {
			n++
		}
	}
	return n > 0 && n == len(p.Dug)
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

// Others are the joints of what a section hangs together with that are neither clear nor
// accepted, its own left out.
func (s Standing) Others() []string {
	return slices.DeleteFunc(slices.Clone(s.Whole.NotAccepted), s.Section.Has)
}

// Wait is the wait that decides: a section's own where something else keeps the pressure away,
// else the longest of all that it hangs together with.
func (s Standing) Wait(barred bool) ahead.SectionWait {
	own, all := s.Testing.Wait(), s.Whole.Wait()
	if !barred && s.WholeName != "" && all.Over.After(own.Over) {
		return all
	}
	return own
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
	for _, c := range rep.Coverings() {
		covering[c.Section] = c
	}
	sections := ahead.TestSections(r, rep.Site.ID)
	wholes := map[logbook.SectionID]audit.Testing{}
	for _, t := range append(sections, loose(r, rep.Site.ID, sections)...) {
		alone := t.ID == (logbook.SectionID{}) && t.Name != logbook.Whole
		if t.ID.Circuit == 0 && t.ID.Way == "" && !alone {
			continue
		}
		s := Standing{Section: t, Testing: res.Testing(t), Tested: res.TestedLines(t.Joints), Loose: alone}
		if len(rep.Site.Chambers) > 1 && !alone {
			s.Section.Name = t.ID.String()
		}
		if whole, is := ahead.SectionIn(sections, logbook.SectionID{Chamber: t.ID.Chamber}); is && (t.ID.Chamber != "" || alone) {
			if _, known := wholes[whole.ID]; !known {
				wholes[whole.ID] = res.Testing(whole)
			}
			s.Whole, s.WholeName = wholes[whole.ID], whole.Name
		}
		for _, j := range t.Joints {
			s.Joints, s.Open = append(s.Joints, places[j.Label]), append(s.Open, open[j.Label]...)
			part, lies := at[j.Label]
			if !lies || slices.ContainsFunc(s.Parts, func(o PartStanding) bool { return o.Section == part.Name }) {
				continue
			}
			s.Parts = append(s.Parts, partStanding(rep.Site, res, covering[part.Name], t))
		}
		out = append(out, s)
	}
	return out
}

// partStanding is a part with what of it is a section's own.
func partStanding(s logbook.Site, res audit.Result, c audit.Covering, t ahead.TestSection) PartStanding {
	p := PartStanding{Covering: c, Own: ownLacks(c, t)}
	var own []logbook.Joint
	for _, j := range t.Joints {
		if ahead.SectionOf(j) != c.Section {
			continue
		}
		own = append(own, j)
		if c.Covered == nil {
			continue
		}
		if e := s.DugSince(*c.Covered, j); e != nil {
			p.Dug, p.DugOn = append(p.Dug, j.Label), max(p.DugOn, e.On)
		}
	}
	p.Repaired = res.RepairsUnseen(own)
	return p
}

// DugSince are the joints of a part that were dug up since it was covered, each with its day.
func (rep Report) DugSince(c logbook.Cover) (dug []string) {
	for _, p := range rep.Joints {
		if c.Withdrawn != nil || ahead.SectionOf(p.Joint) != c.Section {
			continue
		}
		if e := rep.Site.DugSince(c, p.Joint); e != nil {
			dug = append(dug, p.Label+" ("+e.On+")")
		}
	}
	return dug
}

// loose are the joints that are in no circuit and on no header, by the part in which they
// lie: each joint of a site is in one that stands in the document.
func loose(r logbook.Reader, site string, sections []ahead.TestSection) (out []ahead.TestSection) {
	for _, part := range ahead.Sections(r, site) {
		rest := slices.DeleteFunc(slices.Clone(part.Joints), func(j logbook.Joint) bool {
			return slices.ContainsFunc(sections, func(t ahead.TestSection) bool { return (t.ID.Circuit > 0 || t.ID.Way != "") && t.Has(j.Label) })
		})
		if len(rest) > 0 {
			out = append(out, ahead.TestSection{Name: looseName(part.Name, rest), Joints: rest})
		}
	}
	return out
}

// looseName is what joints of no circuit and no header are called together.
func looseName(part string, joints []logbook.Joint) string {
	labels := make([]string, len(joints))
	for i, j := range joints {
		labels[i] = j.Label
	}
	return "in no circuit and on no header: " + strings.Join(labels, ", ") + " (" + part + ")"
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
	names := rep.Foremen()
	switch {
	case len(rep.AloneLines()) > 0:
		return "a named person"
	case len(names) == 0:
		return string(who) + " (nobody is named)"
	}
	return string(who) + " (" + strings.Join(names, ", ") + ")"
}

// actors are all who may have to act, in the order in which they are told.
var actors = []audit.Actor{audit.Crew, audit.Foreman, audit.Another, audit.Office}

// WhoseAll is who must act on some findings, each once and always in the same order.
func (rep Report) WhoseAll(o Opens, found []audit.Finding) string {
	var who []string
	for _, a := range actors {
		if slices.ContainsFunc(found, func(f audit.Finding) bool { return o.MustActOn(f) == a }) {
			who = append(who, rep.Whose(a))
		}
	}
	return strings.Join(who, "; ")
}

// Foremen are those whom the site has named as its foremen.
func (rep Report) Foremen() (names []string) {
	for _, n := range rep.Named {
		if n.Role == logbook.RoleForeman.String() {
			names = append(names, n.Name)
		}
	}
	return names
}

// ForemanNamed tells whether the site has named somebody as its foreman.
func (rep Report) ForemanNamed() bool { return len(rep.Foremen()) > 0 }

// Opens are what is open, by the weld and by the joint that it is about.
type Opens struct {
	weld, joint map[string][]audit.Finding
	failing     map[string]bool   // welds on which a fault is open: they are cut out, whatever else is answered
	stands      map[string]string // by joint
}

// CutFirst tells whether a finding only asks something of a weld that is to be cut out for its
// faults: it goes with that weld.
func (o Opens) CutFirst(f audit.Finding) bool {
	return f.Severity == audit.Query && !f.Work && f.Open() && o.failing[cmp.Or(f.Weld, o.stands[f.Joint])]
}

// MustActOn is who must act on a finding. All that a document says of that, of one weld or in
// a count, goes by it.
func (o Opens) MustActOn(f audit.Finding) audit.Actor {
	if o.CutFirst(f) {
		return audit.Crew
	}
	return f.Actor()
}

// Opens are those of the site.
func (rep Report) Opens() Opens {
	o := Opens{map[string][]audit.Finding{}, map[string][]audit.Finding{}, map[string]bool{}, map[string]string{}}
	for _, p := range rep.Joints {
		o.stands[p.Label] = p.Stands
	}
	for _, f := range rep.Open {
		if f.Severity == audit.Fail && f.Weld != "" {
			o.failing[f.Weld] = true
		}
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

// AtJoint are those that are of the joint of a row itself and not of its weld, as a person
// counts them: that a failed weld stands is said at its fail.
func (o Opens) AtJoint(r Row) (out []audit.Finding) {
	for _, g := range audit.Groups(o.At(r)) {
		for _, f := range g.Counted() {
			if f.Weld == "" {
				out = append(out, f)
			}
		}
	}
	return out
}

// AtPlace are those of a joint as it stands: on its weld and on itself.
func (o Opens) AtPlace(p chart.Place) []audit.Finding {
	out := slices.Clone(o.joint[p.Label])
	if p.Weld != "" {
		out = append(slices.Clone(o.weld[p.Weld]), out...)
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

// JointsLine says how the joints of the plan became those that count now.
func (rep Report) JointsLine() string {
	added, gone := 0, 0
	for _, j := range rep.Joints {
		if j.Added != "" {
			added++
		}
		if !j.Counts() {
			gone++
		}
	}
	all := len(rep.Joints)
	return fmt.Sprintf("in the plan %d, added to it %d, no longer built %d: now %d", all-added, added, gone, all-gone)
}

// OpenFor is how many findings are open for one who must act.
type OpenFor struct {
	Who              audit.Actor
	OnJoints, OnSite int // on a joint or its weld; on the site or a section of it
}

// OpenByActor are those on all of the site, in the order of WhoseAll.
func (rep Report) OpenByActor() (out []OpenFor) {
	opens := rep.Opens()
	for _, a := range actors {
		o := OpenFor{Who: a}
		for _, f := range rep.Open {
			switch {
			case opens.MustActOn(f) != a:
			case f.Joint != "" || f.Weld != "":
				o.OnJoints++
			default:
				o.OnSite++
			}
		}
		if o.OnJoints+o.OnSite > 0 {
			out = append(out, o)
		}
	}
	return out
}
