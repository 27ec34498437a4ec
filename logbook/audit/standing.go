package audit

import (
	"slices"
	"strings"

	"coolhold/logbook"
	"coolhold/logbook/ahead"
)

// Testing is how a section stands towards its pressure test at the time of the result.
func (res Result) Testing(section ahead.TestSection) Testing {
	return TestingOf(res.read, res, section, res.asOf, res.beat)
}

// Covering is how a section stands towards being covered.
func (res Result) Covering(section ahead.Section) Covering {
	return CoveringOf(res.read, res, section)
}

// RepairsUnseen are the repairs at some joints at which nobody else looked, each in words.
func (res Result) RepairsUnseen(joints []logbook.Joint) []string { return res.unseenRepairs(joints) }

// Wait is from when the tables let a section be put under pressure.
func (t Testing) Wait() ahead.SectionWait { return t.wait }

// An Actor is who must act on a finding, as a person is told it.
type Actor string

// cutAsOrdered begins what to do of a weld that was ordered to be cut out.
const cutAsOrdered = "cut it out, as "

// Who must act.
const (
	Crew    Actor = "the crew"
	Foreman Actor = "the foreman"
	Another Actor = "somebody else than who did it"
	Office  Actor = "the office, with a newer coolhold"
	Nobody  Actor = ""
)

// Actor is who must act on a finding: Nobody where nothing is left to do.
func (f Finding) Actor() Actor {
	i := slices.IndexFunc(Rules, func(r Rule) bool { return r.Slug == f.Rule })
	if i < 0 || !f.Open() {
		return Nobody
	}
	doors := Rules[i].Doors()
	switch {
	case strings.HasPrefix(f.Do, cutAsOrdered): // that is decided: whatever is found of it, it is to be cut out
		return Crew
	case len(doors) == 0:
		return Office
	case f.waitsForAnother():
		return Another
	case doors[0].Act == accepting.Act:
		return Foreman
	}
	return Crew
}

// waitsFor are the rules, beside secondPerson, whose findings who did it cannot end. That a
// sheet was typed rightly and what it remarks is for the foreman to say.
var waitsFor = []string{"indicator-flat-then-up", "recheck-asked", ClosingUnseen, PressureBack, FlowBack, GroundBack}

// waitsForAnother tells whether whoever did what a finding is about cannot end it.
func (f Finding) waitsForAnother() bool {
	if f.Rule == Transcribed || f.Rule == RemarkToRead {
		return false
	}
	return slices.Contains(secondPerson, f.Rule) || slices.Contains(waitsFor, f.Rule)
}
