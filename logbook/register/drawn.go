package register

import (
	"slices"

	"coolhold/logbook/audit"
	"coolhold/logbook/chart"
)

// Drawn are the joints as a drawing has them. One whose weld was there when pressure was lost
// says so in its box, where nothing worse stands in it.
func (rep Report) Drawn(under map[string]bool) []chart.Place {
	out := slices.Clone(rep.Joints)
	for i, p := range out {
		if under[p.Label] && !worse(p.State) {
			out[i].State = audit.PressureLost
		}
	}
	return out
}

// worse tells whether a box keeps its own word though pressure was lost.
func worse(s audit.State) bool {
	return !s.Is(audit.Clear) && !s.Is(audit.Accepted) && !s.Is(audit.OwnOnly) && !s.Is(audit.Queried) && s != audit.PressureLost
}

// LostBesides says of each joint of a chamber whose box has another word that pressure was
// lost there too.
func (rep Report) LostBesides(chamber string, under map[string]bool) (says []string) {
	for _, p := range rep.Joints {
		if p.Chamber != chamber || !under[p.Label] || !worse(p.State) {
			continue
		}
		besides := "it is " + string(p.State)
		if p.State.Is(audit.Failed) {
			besides = "it failed"
		}
		says = append(says, "Joint "+p.Label+": pressure lost, besides that "+besides+".")
	}
	return says
}
