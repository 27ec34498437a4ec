package logbook

import "fmt"

// A SectionID says which section was tested, flow-tested or purged as one thing:
// a circuit or a header of a chamber, a chamber with all that hangs on it, or with
// nothing said the whole site. It is stored, and how a section is called follows
// from it.
type SectionID struct {
	Chamber string `json:"chamber,omitempty"`
	Circuit int    `json:"circuit,omitempty"`
	Way     string `json:"way,omitempty"` // "FG" or "TG" of a header
}

// Whole is what the whole site is called as a section.
const Whole = "all"

// Name is what a section is called where no chamber need be told apart: "circuit 3",
// "header from ground", "chamber A", "all".
func (s SectionID) Name() string {
	switch {
	case s.Circuit > 0:
		return fmt.Sprintf("circuit %d", s.Circuit)
	case s.Way == FG:
		return "header " + FromGround
	case s.Way == TG:
		return "header " + ToGround
	case s.Chamber != "":
		return "chamber " + s.Chamber
	}
	return Whole
}

// String is its name with the chamber that it is of.
func (s SectionID) String() string {
	if s.Chamber == "" || s.Circuit == 0 && s.Way == "" {
		return s.Name()
	}
	return s.Name() + " of chamber " + s.Chamber
}

// Own tells whether a joint is one that the plan itself has in the section; what
// else hangs on its pipes is for the plan's pipes to say.
func (s SectionID) Own(j Joint) bool {
	return (s.Chamber == "" || s.Chamber == j.Chamber) && (s.Circuit == 0 || s.Circuit == j.Circuit) && (s.Way == "" || s.Way == j.Way)
}

// Holds tells whether all of another section is in it.
func (s SectionID) Holds(o SectionID) bool {
	return s == o || s == SectionID{} || s.Circuit == 0 && s.Way == "" && s.Chamber == o.Chamber
}
