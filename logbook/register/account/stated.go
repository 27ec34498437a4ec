package account

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"coolhold/logbook"
	"coolhold/logbook/audit"
	"coolhold/logbook/register"
)

// What a shift states of an operator or a control unit is stated for its day and for no
// other. Who they were and what is not recorded say it alike.

// cardSays is what was stated of an operator, and for which days it was; then on which days
// nothing was.
func (m maker) cardSays(p register.Involved) (out []string) {
	var not []string
	for _, k := range p.Cards {
		stated, unstated := k.Stated()
		if not = append(not, unstated...); len(stated) > 0 {
			out = append(out, "Operator's number "+register.OrLeft(k.Number)+", valid until "+register.OrLeft(k.Expiry)+", as stated for "+m.statedFor(stated)+".")
		}
	}
	return append(out, m.nothingOn(not)...)
}

// statedFor are days for which something is stated. A shift that goes on past midnight states it
// for its own day: the other is no day of a shift.
func (m maker) statedFor(days []string) string {
	var own, after []string
	says := map[string][]string{}
	for _, d := range days {
		of := m.wentOn(d)
		switch {
		case of == "":
			own = append(own, d)
		case !slices.Contains(after, of):
			after = append(after, of)
			fallthrough
		default:
			says[of] = append(says[of], d)
		}
	}
	for _, of := range after {
		if !slices.Contains(own, of) {
			own = append(own, of)
		}
	}
	slices.Sort(own)
	for i, d := range own {
		if len(says[d]) > 0 {
			own[i] += " (its shift went on on " + strings.Join(says[d], ", ") + ")"
		}
	}
	return strings.Join(own, ", ")
}

// wentOn is the day of the shift that went on on a day on which none of its own was begun; ""
// where one was, or none went on.
func (m maker) wentOn(day string) string {
	if slices.ContainsFunc(m.rep.Shifts, func(s logbook.Shift) bool { return s.Day == day }) {
		return ""
	}
	for _, row := range m.rep.Rows {
		if row.Weld.ID != "" && row.Shift.Day != "" && onDay(row) == day {
			return row.Shift.Day
		}
	}
	return ""
}

// nothingOn says of days that nothing was stated on them, and why.
func (m maker) nothingOn(days []string) (out []string) {
	for _, u := range m.rep.Unstated(days) {
		out = append(out, "On "+strings.Join(u.Days, ", ")+" ("+u.Why+") nothing was stated.")
	}
	return out
}

// onDay is the day of a weld.
func onDay(row register.Row) string { return row.When().Format(time.DateOnly) }

// unitSays is when a unit was calibrated, for which days that was stated, and on which days a
// weld names it.
func (m maker) unitSays(u register.Device, first bool) Item {
	var welded []string
	for _, row := range m.rep.Rows {
		if row.Weld.Unit == u.Serial {
			welded = append(welded, onDay(row))
		}
	}
	slices.Sort(welded)
	stated, not := u.Stated()
	it := Item{Head: u.Serial, More: m.nothingOn(not)}
	if len(stated) > 0 {
		it.Says = "Calibrated " + register.OrLeft(u.Calibrated) + "; corrects for temperature by itself: " + register.OrLeft(u.Corrects) + "; as stated for " + m.statedFor(stated) + "."
	}
	if first {
		it.More = append(it.More, stop("Welds name it on: "+strings.Join(orNone(slices.Compact(welded)), ", ")))
	}
	if it.Says == "" && len(it.More) > 0 {
		it.Says, it.More = it.More[0], it.More[1:]
	}
	return it
}

// A lack is what nobody stated of somebody or something.
type lack struct {
	who, what string
	welds     map[string][]string // by why
	days      map[string][]string
	on        map[string][]string // on other days: the value, with its days
	order     []string            // of the values
}

// undated are the operators and units of fused welds of which a number or a date was not
// stated for the day of a weld, each with those welds and with what was stated on other days.
func (m maker) undated() (out []Item) {
	var all []*lack
	at := map[string]*lack{}
	for _, row := range m.rep.Rows {
		if !row.Weld.Fused() {
			continue
		}
		_, named := row.Shift.Operator(row.Weld.Operator)
		_, held := row.Shift.Unit(row.Weld.Unit)
		for _, k := range []struct {
			who, column, what string
			on                bool
		}{
			{prefixed("Operator ", row.Weld.Operator), "operator_number", "number of the qualification", named},
			{prefixed("Operator ", row.Weld.Operator), "operator_expiry", "end of the qualification", named},
			{prefixed("Control unit ", row.Weld.Unit), "unit_calibrated", "date of the last calibration", held},
		} {
			if k.who == "" {
				continue
			}
			l := at[k.who+"\x00"+k.what]
			if l == nil {
				l = &lack{k.who, k.what, map[string][]string{}, map[string][]string{}, map[string][]string{}, nil}
				at[k.who+"\x00"+k.what], all = l, append(all, l)
			}
			l.add(row, timed(row.Cell(k.column)), m.whyNot(k.on, onDay(row)))
		}
	}
	for _, l := range all {
		if says := l.says(m.statedFor); says != "" {
			out = append(out, Item{Head: l.who, Says: says})
		}
	}
	return out
}

// leftBlank is why something is not stated of who or what is on a shift.
const leftBlank = "left blank on the shift"

func (m maker) whyNot(on bool, day string) string {
	if on {
		return leftBlank
	}
	return m.rep.WhyUnstated(day)
}

func (l *lack) add(row register.Row, value, why string) {
	day := onDay(row)
	if value == "" {
		l.welds[why] = append(l.welds[why], row.Weld.ID)
		if !slices.Contains(l.days[why], day) {
			l.days[why] = append(l.days[why], day)
		}
		return
	}
	if l.on[value] == nil {
		l.order = append(l.order, value)
	}
	if !slices.Contains(l.on[value], day) {
		l.on[value] = append(l.on[value], day)
	}
}

// says is a lack in words, "" where nothing lacks.
func (l *lack) says(statedFor func([]string) string) string {
	var parts []string
	for _, k := range []struct{ why, says string }{
		{register.NoShift, "not stated for %s, when there was no shift, of %s: %s"}, {register.NotOnIt, "not stated for %s, whose shift does not name it, of %s: %s"}, {leftBlank, "left blank on the shift of %s, of %s: %s"},
	} {
		if ids := l.welds[k.why]; len(ids) > 0 {
			slices.Sort(l.days[k.why])
			days := strings.Join(l.days[k.why], ", ")
			if k.why == leftBlank {
				days = statedFor(l.days[k.why])
			}
			parts = append(parts, fmt.Sprintf(k.says, days, logbook.Count(len(ids), "weld"), audit.AllRuns(ids)))
		}
	}
	if len(parts) == 0 {
		return ""
	}
	var on []string
	for _, v := range l.order {
		slices.Sort(l.on[v])
		on = append(on, v+" for "+statedFor(l.on[v]))
	}
	if len(on) == 0 {
		on = []string{"not stated either"}
	}
	return l.what + " " + strings.Join(parts, "; ") + "; on other days: " + strings.Join(on, "; ") + "."
}
