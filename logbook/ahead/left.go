package ahead

import (
	"slices"
	"strings"

	"coolhold/logbook"
)

// A leftPart is a thing that is said of how a section was left, and whether what was said
// later of another section is of the same thing.
type leftPart struct {
	name string
	said func(logbook.LeftAs) bool
	anew func(newer, older logbook.SectionID) bool
}

// Of what was said of a section that holds another the newest counts for that one too; what
// a header or circuit alone has is of that one; who is to be called is of the whole site.
var (
	holding = func(newer, older logbook.SectionID) bool { return newer.Holds(older) }
	itself  = func(newer, older logbook.SectionID) bool { return newer == older }
	anyOf   = func(logbook.SectionID, logbook.SectionID) bool { return true }
)

var (
	pressurePart = leftPart{"pressure", func(l logbook.LeftAs) bool { return l.Pressure != "" }, holding}
	shutPart     = leftPart{"valves shut", func(l logbook.LeftAs) bool { return l.NoneShut || len(l.Shut) > 0 }, holding}
	openPart     = leftPart{"valves open", func(l logbook.LeftAs) bool { return len(l.Open) > 0 }, holding}
)

var leftParts = []leftPart{
	pressurePart, shutPart, openPart,
	{"caps", func(l logbook.LeftAs) bool { return l.Caps != "" }, holding},
	{"fill port", func(l logbook.LeftAs) bool { return l.Fill != "" }, holding},
	{"purge ports", func(l logbook.LeftAs) bool { return l.Purge != "" }, holding},
	{"flow", func(l logbook.LeftAs) bool { return l.LPM != nil }, itself},
	{"end in the plant room", func(l logbook.LeftAs) bool { return l.End != "" }, itself},
	{"mark", func(l logbook.LeftAs) bool { return l.Mark != "" }, itself},
	{"whom to call", func(l logbook.LeftAs) bool { return l.Call != nil }, anyOf},
	{"remark", func(l logbook.LeftAs) bool { return l.Text != "" }, holding},
}

// saidAnew tells whether a thing that was said of a section was said again later.
func (p leftPart) saidAnew(s logbook.Site, l logbook.Left) bool {
	return slices.ContainsFunc(s.Loop.Lefts, func(o logbook.Left) bool {
		return o.Withdrawn == nil && p.said(o.LeftAs) && p.anew(o.Section, l.Section) && l.When().Before(o.When())
	})
}

// ValvesLeft are the valves of what was said of a section, as far as they still stand so.
// Those shut and those open are two things, and each stands until it is said anew; but a
// valve that is named later, in either, leaves what was said before.
func ValvesLeft(s logbook.Site, l logbook.Left) logbook.LeftAs {
	v := logbook.LeftAs{Section: l.Section, NoneShut: l.NoneShut, Shut: l.Shut, Open: l.Open}
	if shutPart.saidAnew(s, l) {
		v.Shut, v.NoneShut = nil, false
	}
	if openPart.saidAnew(s, l) {
		v.Open = nil
	}
	named := func(valve string) bool {
		return slices.ContainsFunc(s.Loop.Lefts, func(o logbook.Left) bool {
			same := func(other string) bool { return strings.EqualFold(valve, other) }
			return o.Withdrawn == nil && (o.Section.Holds(l.Section) || l.Section.Holds(o.Section)) && l.When().Before(o.When()) && slices.ContainsFunc(slices.Concat(o.Shut, o.Open), same)
		})
	}
	v.Shut, v.Open = slices.DeleteFunc(slices.Clone(v.Shut), named), slices.DeleteFunc(slices.Clone(v.Open), named)
	return v
}

// LeftAnew names what was said of how a section was left that stands no more, since it was
// said anew; all tells whether nothing of it stands.
func LeftAnew(s logbook.Site, l logbook.Left) (anew []string, all bool) {
	v := ValvesLeft(s, l)
	gone := func(p leftPart) bool {
		switch p.name {
		case shutPart.name, openPart.name:
			return !p.said(v)
		case pressurePart.name:
			return p.saidAnew(s, l) || testedSince(s, l)
		}
		return p.saidAnew(s, l)
	}
	all = true
	for _, p := range leftParts {
		switch {
		case !p.said(l.LeftAs):
		case gone(p):
			anew = append(anew, p.name)
		default:
			all = false
		}
	}
	for _, list := range [][2][]string{{l.Shut, v.Shut}, {l.Open, v.Open}} {
		for _, valve := range list[0] {
			if len(list[1]) > 0 && !slices.Contains(list[1], valve) {
				anew = append(anew, "valve "+valve)
			}
		}
	}
	return anew, all
}

// testedSince tells whether a pressure test of a section, or of what holds it, ended later
// with what it left.
func testedSince(s logbook.Site, l logbook.Left) bool {
	return slices.ContainsFunc(s.Tests, func(t logbook.PressureTest) bool {
		return t.Counts() && t.Ended != nil && t.Ended.LeftBar != nil && t.Section.Holds(l.Section) && l.When().Before(t.Ended.When())
	})
}
