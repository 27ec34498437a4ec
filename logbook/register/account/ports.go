package account

import (
	"cmp"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"coolhold/logbook"
	"coolhold/logbook/ahead"
	"coolhold/logbook/chart"
	"coolhold/logbook/handover"
	"coolhold/logbook/plan"
	"coolhold/logbook/register"
)

// A claim is the port at which a joint is said to be.
type claim struct {
	label, chamber, of, leg, how string
	port                         int
}

// claimOf is the port of a joint: as it was welded; where nothing is welded in it, as another
// piece of its leg was, which lies at one port; else as planned. False where it has none.
func claimOf(p chart.Place, places []chart.Place) (claim, bool) {
	c := claim{label: p.Label, chamber: p.Chamber, of: cmp.Or(prefixed("header ", p.HeaderWay()), fmt.Sprintf("circuit %d", p.Circuit)), leg: p.Leg, how: "as planned", port: p.Joint.Port}
	if n, err := strconv.Atoi(p.Port); err == nil && p.Stands != "" {
		c.port, c.how = n, "as welded"
	}
	if p.Stands == "" {
		for _, o := range places {
			if n, err := strconv.Atoi(o.Port); err == nil && o.Stands != "" && o.Counts() && ahead.OneLeg(o.Joint, p.Joint) {
				c.port, c.how = n, "as "+o.Label+" was welded"
			}
		}
	}
	return c, p.Counts() && p.Chamber != "" && c.port > 0
}

func (c claim) said() string { return c.label + " (" + c.of + ", " + c.how + ")" }

// conflictsOf says by the label of a joint what is said of its port that cannot be: one port
// with legs of two circuits on it, or one leg at two ports.
func conflictsOf(places []chart.Place) map[string][]string {
	type key struct {
		chamber, of, leg string
		port             int
	}
	at := map[key][]claim{}
	var order []key
	add := func(k key, c claim) {
		if at[k] == nil {
			order = append(order, k)
		}
		at[k] = append(at[k], c)
	}
	for _, p := range places {
		c, has := claimOf(p, places)
		if !has {
			continue
		}
		add(key{chamber: c.chamber, port: c.port}, c)
		if c.leg != "" {
			add(key{chamber: c.chamber, of: c.of, leg: c.leg}, c)
		}
	}
	out := map[string][]string{}
	for _, k := range order {
		all := at[k]
		unlike := func(c claim) bool { return c.of != all[0].of || k.port == 0 && c.port != all[0].port }
		if !slices.ContainsFunc(all, unlike) {
			continue
		}
		says := "CONFLICT: "
		var names []string
		if k.port > 0 {
			for _, c := range all {
				names = append(names, c.said())
			}
			says += fmt.Sprintf("port %d of chamber %s is said of %s. A port takes one leg: look which is right.", k.port, k.chamber, strings.Join(names, " and of "))
		} else {
			for _, c := range all {
				names = append(names, fmt.Sprintf("%s at port %d, %s", c.label, c.port, c.how))
			}
			says += fmt.Sprintf("leg %s of %s in chamber %s is said to be at several ports: %s. A leg lies at one: look which is right.", k.leg, k.of, k.chamber, strings.Join(names, "; "))
		}
		for _, c := range all {
			out[c.label] = append(out[c.label], says)
		}
	}
	return out
}

// conflictsAt is what is said of the port of a row that cannot be, where it stands in its
// joint or the joint waits for a weld.
func (m maker) conflictsAt(row register.Row) []string {
	if row.Factory != nil || row.Weld.ID != "" && !row.Weld.Stands() {
		return nil
	}
	return m.conflicts[row.Joint.Label]
}

// withConflicts puts what is said of ports and cannot be behind the circuits of the leaf: whoever
// connects by their ports must not take one for the other.
func (m maker) withConflicts(parts []handover.Part) []handover.Part {
	var says []string
	for _, p := range m.rep.Joints {
		for _, c := range m.conflicts[p.Label] {
			if !slices.Contains(says, c) {
				says = append(says, c)
			}
		}
	}
	if len(says) == 0 {
		return parts
	}
	return append(slices.Clone(parts), handover.Part{Name: "conflicts", Title: "Ports that cannot be as they are said to be", Lines: says})
}

// Moved says of each leg of a chamber that was welded to another port than the plan's where it
// lies and where it is drawn.
func (a Account) Moved(chamber string) (out []string) {
	at := func(p plan.Port) string { return logbook.Joined(", rail ", fmt.Sprintf("port %d", p.No), p.Bar) }
	for _, p := range a.maker.rep.Joints {
		switch {
		case p.Chamber != chamber || p.Moved == nil || p.Port == "":
		case p.OneRail:
			out = append(out, fmt.Sprintf("Leg %s was welded to %s, where the other leg of its circuit is; it is drawn where the plan has it, at %s.", p.Label, at(*p.Moved), at(p.Planned)))
		default:
			out = append(out, fmt.Sprintf("Leg %s was welded to %s, and is drawn there; the plan has it at %s.", p.Label, at(*p.Moved), at(p.Planned)))
		}
	}
	return out
}
