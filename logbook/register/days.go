package register

import (
	"slices"

	"coolhold/logbook"
)

// SignedOn tells whether somebody signed a day.
func (rep Report) SignedOn(day string) bool {
	return slices.ContainsFunc(rep.Site.Signed, func(g logbook.SignedDay) bool { return g.Day == day })
}

// Unsigned are the days on which was welded and that nobody signed, the oldest first.
func (rep Report) Unsigned() (out []string) {
	for _, row := range rep.Rows {
		if day := row.Weld.Day(); row.Weld.Fused() && !rep.SignedOn(day) {
			out = append(out, day)
		}
	}
	slices.Sort(out)
	return slices.Compact(out)
}
