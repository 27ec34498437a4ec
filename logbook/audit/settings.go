package audit

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"coolhold/fusion"
	"coolhold/logbook"
)

// A code or a unit that corrects for temperature itself gives another time than the
// band of the table: how much other is a figure of theirs that nobody here knows. So
// what is far is measured by the table: outside the times of the band and of those next
// to it, and a tenth more. Our choice, adjustable, no source.
const farTenth = 10

// voltsFar is how far volts shown may lie from the table's where they were not keyed
// by it: a display may round to whole volts. Our choice, adjustable.
const voltsFar = 0.5

// A span is the least and the most seconds that are not far from a table.
type span struct {
	Least int `json:"least_s"`
	Most  int `json:"most_s"`
}

func (s span) far(seconds int) bool { return seconds < s.Least || seconds > s.Most }

// span is that of a weld's fitting. Where no band is known the whole row counts.
func (c Case) span() (span, bool) {
	f, ok := tableFitting(c)
	if !ok || len(f.Seconds) == 0 {
		return span{}, false
	}
	near := f.Seconds
	if i := c.bandAt(); i >= 0 && i < len(near) {
		near = near[max(0, i-1):min(len(near), i+2)]
	}
	least, most := slices.Min(near), slices.Max(near)
	return span{least - least/farTenth, most + most/farTenth}, true
}

// bandAt is which band of its table a weld was made by; -1 is none.
func (c Case) bandAt() int {
	s := c.keyed()
	t, ok := tableOf(c)
	if !ok || s.Band == nil {
		return -1
	}
	return slices.Index(t.Bands, *s.Band)
}

// explained tells whether a code or the unit itself is said to have given the time, and
// nothing says otherwise.
func (c Case) explained() bool {
	s := c.keyed()
	_, not := contradicted(c)
	return s.Mode == logbook.ModeCode || s.Mode == logbook.ModeSelf && !not
}

// seconds are those that a unit was set to, else those it ran to the end; without of
// nobody wrote either down.
func (c Case) seconds() (n int, of string) {
	w := c.Weld
	switch {
	case !w.Settings.SecondsUnsaid:
		return w.Settings.SecondsShown, secondsSet
	case w.Run != nil && w.Outcome != logbook.Stopped:
		return *w.Run, secondsRan
	}
	return 0, ""
}

// farUnexplained are figures far from the table where nothing explains them: those that
// Unlike does not compare.
func farUnexplained(c Case) (figures, bool) {
	s := c.keyed()
	n, of := c.seconds()
	near, known := c.span()
	if s.Band == nil || of == "" || !known || !near.far(n) || c.explained() {
		return figures{}, false
	}
	f := figures{Band: *s.Band, SecondsTable: s.SecondsTable, SecondsShown: s.SecondsShown, Unsaid: s.SecondsUnsaid, VoltsTable: s.VoltsTable, VoltsShown: s.VoltsShown}
	if of == secondsRan {
		f.RunS = &n
	}
	return f, true
}

// A farFact is what a unit was set to, or ran, and what its table gives.
type farFact struct {
	Mode         logbook.Mode `json:"mode,omitempty"`
	Band         *fusion.Band `json:"band,omitempty"`
	Seconds      int          `json:"seconds,omitempty"`
	Of           string       `json:"of,omitempty"` // "": the seconds are not told of
	SecondsTable int          `json:"seconds_table,omitempty"`
	Near         span         `json:"near"`
	VoltsShown   *float64     `json:"volts_shown,omitempty"` // nil: the volts are not told of
	VoltsTable   float64      `json:"volts_table,omitempty"`
}

// farFromTable speaks where the fail on unlike settings is silent, on paper and in the
// walk alike: a code or a correction is claimed, no temperature is known, or nobody
// wrote down the seconds set.
func farFromTable(c Case) (f farFact, found bool) {
	w := c.Weld
	near, known := c.span()
	if !w.Fused() || !known {
		return f, false
	}
	if _, fails := keyedUnlike(c); fails {
		return f, false
	}
	s := c.keyed()
	f = farFact{Mode: s.Mode, Band: s.Band, Near: near}
	keyedByBand := s.Compared() && s.Band != nil
	if n, of := c.seconds(); of != "" && (near.far(n) || keyedByBand && n != s.SecondsTable) {
		f.Seconds, f.Of, f.SecondsTable = n, of, s.SecondsTable
	}
	if v := s.VoltsShown; v != nil && s.VoltsTable > 0 && math.Abs(*v-s.VoltsTable) > voltsFar {
		f.VoltsShown, f.VoltsTable = v, s.VoltsTable
	}
	return f, f.Of != "" || f.VoltsShown != nil
}

func farSays(weld string, f farFact) string {
	var parts []string
	if f.Of != "" {
		unit := map[string]string{secondsRan: "its unit ran", secondsSet: "its unit was set to"}[f.Of]
		table := fmt.Sprintf("its table gives %d s to %d s at any temperature, a tenth more or less", f.Near.Least, f.Near.Most)
		if f.Band != nil {
			table = fmt.Sprintf("its table says %d s for %s", f.SecondsTable, *f.Band)
		}
		parts = append(parts, fmt.Sprintf("%s %d s, %s", unit, f.Seconds, table))
	}
	if f.VoltsShown != nil {
		parts = append(parts, fmt.Sprintf("its unit showed %g V, its table says %g V", *f.VoltsShown, f.VoltsTable))
	}
	line := weld + ": " + strings.Join(parts, "; ")
	if f.Mode == logbook.ModeCode || f.Mode == logbook.ModeSelf {
		line += " (" + f.Mode.String() + ")"
	}
	return line
}

// A claim is a unit that is said to have corrected the time, and by what is said that it
// does not: the weld itself, or a shift.
type claim struct {
	Unit string `json:"unit"`
	By   string `json:"by"`
}

// What says that a unit does not correct, as stored.
const (
	saidByWeld  = "weld"
	saidByShift = "shift"
)

func contradicted(c Case) (claim, bool) {
	w := c.Weld
	if !w.Fused() || w.Settings == nil || w.Settings.Mode != logbook.ModeSelf {
		return claim{}, false
	}
	if w.Corrects == logbook.No {
		return claim{w.Unit, saidByWeld}, true
	}
	return claim{w.Unit, saidByShift}, c.unitCorrects() == logbook.No
}

// unitCorrects is what the shift of a weld says of its unit; where that does not know it,
// the last shift that does.
func (c Case) unitCorrects() logbook.YesNo {
	if u, known := c.Shift.Unit(c.Weld.Unit); known && saysSo(u) {
		return u.Corrects
	}
	said := logbook.YesNo("")
	for _, id := range c.Site.Shifts {
		for _, u := range c.scene.shifts[id].Units {
			if plainName(u.Serial) == plainName(c.Weld.Unit) && saysSo(u) {
				said = u.Corrects
			}
		}
	}
	return said
}

func saysSo(u logbook.Unit) bool { return u.Corrects == logbook.Yes || u.Corrects == logbook.No }

func contradictedSays(weld string, f claim) string {
	by := "the weld's own entry"
	if f.By == saidByShift {
		by = "the shift"
	}
	return fmt.Sprintf("%s: its time is said to be one that unit %s corrected for temperature, and %s says that this unit does not correct", weld, orNothing(f.Unit), by)
}
