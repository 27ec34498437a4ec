package register

import (
	"time"

	"coolhold/logbook"
	"coolhold/logbook/ahead"
)

// A GroundLook is a look at a section before it was welded or covered, as it stands in the
// register.
type GroundLook struct {
	logbook.GroundChecked
	Said string              `json:"said"`
	By   string              `json:"by"`
	At   string              `json:"at"` // local time, RFC 3339; as stated where it was entered later
	Back *logbook.Withdrawal `json:"taken_back,omitempty"`
}

// A GroundPart is a section with what its plan wants looked at, and what is recorded.
type GroundPart struct {
	Part  string         `json:"part"`
	Lines []ahead.Looked `json:"lines"`
}

// When is its time to the minute.
func (g GroundLook) When() string {
	at, err := time.Parse(time.RFC3339, g.At)
	if err != nil {
		return g.At
	}
	return at.Format("2006-01-02 15:04")
}

// groundLooks are the looks of a site, in the order of the log.
func groundLooks(s logbook.Site) (all []GroundLook) {
	for _, g := range s.Ground {
		all = append(all, GroundLook{g.GroundChecked, g.Line(), g.By, g.When().Local().Format(time.RFC3339), g.Withdrawn})
	}
	return all
}

// groundParts are the sections in which something is wanted or was looked at.
func groundParts(r logbook.Reader, s logbook.Site) (all []GroundPart) {
	for _, p := range ahead.Sections(r, s.ID) {
		if g := ahead.GroundOf(r, s, p); len(g.Lines) > 0 {
			all = append(all, GroundPart{p.Name, g.Lines})
		}
	}
	return all
}
