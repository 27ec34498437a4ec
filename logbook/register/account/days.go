package account

import (
	"encoding/json"
	"fmt"
	"maps"
	"slices"
	"strings"

	"coolhold/logbook"
	"coolhold/logbook/audit"
)

// A workday is a day on which welds were made, with what a reader would look for and does not
// find.
type workday struct {
	day    string
	welds  []string
	other  map[string][]string // welds that carry the shift of another day, by that day
	signed bool
}

// workdays are the days of the welds that are listed, in order.
func (m maker) workdays() (out []workday) {
	at := map[string]int{}
	for _, row := range m.rep.Rows {
		if !row.Weld.Fused() {
			continue
		}
		day := row.Weld.Day()
		i, had := at[day]
		if !had {
			i, at[day] = len(out), len(out)
			out = append(out, workday{day: day, other: map[string][]string{}, signed: m.rep.SignedOn(day)})
		}
		out[i].welds = append(out[i].welds, row.Weld.ID)
		if of := row.Shift.Day; of != "" && of != day {
			out[i].other[of] = append(out[i].other[of], row.Weld.ID)
		}
	}
	slices.SortFunc(out, func(a, b workday) int { return strings.Compare(a.day, b.day) })
	return out
}

// lacks is what a day has not, in words; "" where it has a shift and a signature.
func (m maker) lacks(d workday) string {
	shift := slices.ContainsFunc(m.rep.Shifts, func(s logbook.Shift) bool { return s.Day == d.day })
	switch {
	case !shift && !d.signed:
		return "no shift and no signature"
	case !shift:
		return "no shift"
	case !d.signed:
		return "no signature"
	}
	return ""
}

// dayLines say of each day with welds what is missing of it.
func (m maker) dayLines() (out []string) {
	for _, d := range m.workdays() {
		if lacks := m.lacks(d); lacks != "" {
			out = append(out, fmt.Sprintf("%s: %s made, and %s of that day is in the log.", d.day, logbook.Count(len(d.welds), "weld"), lacks))
		}
		for _, of := range slices.Sorted(maps.Keys(d.other)) {
			out = append(out, fmt.Sprintf("Made on %s and recorded in the shift of %s: %s.", d.day, of, audit.AllRuns(d.other[of])))
		}
	}
	for _, g := range m.rep.Site.Signed {
		for _, s := range m.rep.Shifts {
			if s.Day == g.Day && s.Closed == nil {
				out = append(out, "Shift "+s.Day+" was not closed, although its day is signed.")
			}
		}
	}
	return out
}

// onceOf are the fails that somebody acknowledged, without those that only say of a weld that
// is named besides that it stands: it is the same fail.
func onceOf(acks []logbook.Judged) []logbook.Judged {
	return slices.DeleteFunc(slices.Clone(acks), func(a logbook.Judged) bool {
		if !strings.HasPrefix(a.Key, "fail-not-cut-out:") {
			return false
		}
		var weld string
		return json.Unmarshal(a.Facts, &weld) == nil && slices.ContainsFunc(acks, func(o logbook.Judged) bool {
			return o.Key != a.Key && strings.HasSuffix(o.Key, ":"+weld)
		})
	})
}
