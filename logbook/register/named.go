package register

import (
	"fmt"
	"strings"

	"coolhold/logbook"
	"coolhold/logbook/audit"
)

// A Named is a person on the list of the site.
type Named struct {
	Name    string   `json:"name"` // as it stands under what the person says
	Role    string   `json:"role,omitempty"`
	Firm    string   `json:"firm,omitempty"`
	Also    []string `json:"also_written,omitempty"`
	Apart   []string `json:"told_apart,omitempty"`  // near names of others, and by whom they were told apart
	Alone   string   `json:"works_alone,omitempty"` // the day it was stated
	AloneBy string   `json:"works_alone_stated_by,omitempty"`
}

// NamedOf are the people of a site.
func NamedOf(s logbook.Site) (out []Named) {
	for _, p := range s.People {
		n := Named{Name: p.Label(), Role: p.Role.String(), Firm: p.Firm, Also: p.Also}
		for _, t := range p.Others {
			n.Apart = append(n.Apart, fmt.Sprintf("%s (%s)", t.Name, t.By))
		}
		if p.Alone != nil {
			n.Alone, n.AloneBy = p.Alone.At.Local().Format("2006-01-02"), p.Alone.By
		}
		out = append(out, n)
	}
	return out
}

// Notes are what else is known of a person, in one cell.
func (n Named) Notes() string {
	var parts []string
	if n.Alone != "" {
		parts = append(parts, fmt.Sprintf("works alone, as stated on %s", n.Alone))
	}
	if len(n.Also) > 0 {
		parts = append(parts, "also written "+strings.Join(n.Also, ", "))
	}
	if len(n.Apart) > 0 {
		parts = append(parts, "not the same as "+strings.Join(n.Apart, ", "))
	}
	return strings.Join(parts, "; ")
}

// AloneLines say who states to work alone, and what that makes of his work: "" is
// nobody.
func (rep Report) AloneLines() (lines []string) {
	n := 0
	for _, c := range rep.Counts {
		if c.Verdict == audit.OwnOnly {
			n = c.Standing + c.CutOut
		}
	}
	for _, p := range rep.Named {
		if p.Alone != "" {
			lines = append(lines, fmt.Sprintf("%s WORKS ALONE on this site, as %s stated on %s.", p.Name, p.AloneBy, p.Alone))
		}
	}
	if len(lines) > 0 {
		lines = append(lines, fmt.Sprintf("Of his welds %d accepted by their own welder, nobody else looked (%q below).", n, audit.OwnOnly))
	}
	return lines
}
