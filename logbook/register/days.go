package register

import (
	"slices"
	"time"
)

// Unsigned are the days on which was welded and that nobody signed, the oldest first.
func (rep Report) Unsigned() (out []string) {
	var days []string
	for _, g := range rep.Site.Signed {
		days = append(days, g.Day)
	}
	for _, row := range rep.Rows {
		if day := row.When().Format(time.DateOnly); row.Weld.Fused() && !slices.Contains(days, day) {
			days, out = append(days, day), append(out, day)
		}
	}
	slices.Sort(out)
	return out
}
