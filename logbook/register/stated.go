package register

import (
	"cmp"
	"maps"
	"slices"
	"strings"

	"coolhold/logbook"
)

// What a shift states of an operator or a control unit is stated for its days and for no
// other.

// The words for what is not there.
const (
	LeftBlank = "left blank" // its line on the shift
	NotStated = "not stated" // no shift names who or what it is
)

// Why nothing is stated for a day.
const (
	NoShift = "no shift"
	NotOnIt = "not named on the shift"
)

// Stated are the days for which a shift states the number and the end of the qualification,
// and the other days of the person.
func (p Person) Stated() (stated, not []string) { return byShift(p.Days, p.loose, p.OffShift) }

// Stated are the days for which a shift states the calibration, and the other days on which a
// weld names the unit.
func (d Device) Stated() (on, not []string) { return byShift(d.Days, d.loose, d.OffShift) }

// OrLeft is a value of a shift, or that its line was left blank.
func OrLeft(v string) string { return cmp.Or(v, LeftBlank) }

// DaysSay are days, each on which no shift of its own began with the shift that it was still of.
func (p Person) DaysSay(days []string) string { return p.still.say(days) }

// DaysSay is the same of a control unit.
func (d Device) DaysSay(days []string) string { return d.still.say(days) }

// A still is of which shift welds of a day are, where that began on another.
type still map[string]string

func (s still) with(day, shift string) still {
	out := maps.Clone(s)
	if out == nil {
		out = still{}
	}
	out[day] = shift
	return out
}

func (s still) say(days []string) string {
	out := slices.Clone(days)
	for i, day := range out {
		if of := s[day]; of != "" {
			out[i] += " (still the shift of " + of + ")"
		}
	}
	return strings.Join(out, ", ")
}

func byShift(days, loose []string, offShift bool) (on, not []string) {
	for _, d := range days {
		if offShift || slices.Contains(loose, d) {
			not = append(not, d)
		} else {
			on = append(on, d)
		}
	}
	return on, not
}

// An Unstated are days for which nothing is stated of somebody or something, and why.
type Unstated struct {
	Why  string
	Days []string
}

// Unstated says of days for which nothing is stated why that is.
func (rep Report) Unstated(days []string) (out []Unstated) {
	at := map[string][]string{}
	days = slices.Sorted(slices.Values(days))
	for _, d := range slices.Compact(days) {
		at[rep.WhyUnstated(d)] = append(at[rep.WhyUnstated(d)], d)
	}
	for _, why := range []string{NoShift, NotOnIt} {
		if len(at[why]) > 0 {
			out = append(out, Unstated{why, at[why]})
		}
	}
	return out
}

// WhyUnstated is why nothing is stated for a day.
func (rep Report) WhyUnstated(day string) string {
	if slices.ContainsFunc(rep.Shifts, func(s logbook.Shift) bool { return s.Day == day }) {
		return NotOnIt
	}
	return NoShift
}
