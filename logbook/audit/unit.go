package audit

import (
	"cmp"
	"fmt"
	"slices"
	"time"

	"coolhold/logbook"
)

// LeadsLeast is the shortest time in which the leads of a unit can be moved to
// the next fitting and the unit made ready: our choice, adjustable, no source.
const LeadsLeast = 20 * time.Second

// A beside is another fusion on the same unit, and by how much the two overlap
// or lie apart.
type beside struct {
	weld string
	by   time.Duration
}

// A current is the time a unit fed one fitting.
type current struct {
	weld   string
	start  time.Time
	took   time.Duration
	boot   time.Duration // of the start, where bootID names the machine's start
	bootID string
	stated bool // by a person, to the minute
}

func (a current) end() time.Time { return a.start.Add(a.took) }

// currentOf is when a weld had its current. An end that was keyed later than
// the time set makes it no longer: the unit stopped by itself.
func currentOf(w logbook.Weld) (current, bool) {
	start, ok := w.FusedAt()
	if !ok {
		return current{}, false
	}
	a := current{weld: w.ID, start: start, stated: w.StartedStated != nil || w.EndedStated != nil}
	if !a.stated {
		a.boot, a.bootID = w.Started.Boot, w.Started.BootID
	}
	end, ended := w.EndedAt()
	if ended {
		a.took = max(0, end.Sub(start))
		if a.bootID != "" && w.Ended.BootID == a.bootID {
			a.took = max(0, w.Ended.Boot-a.boot)
		}
	}
	if w.EndedStated != nil {
		return a, true
	}
	set := time.Duration(0)
	if w.Settings != nil {
		set = time.Duration(w.Settings.SecondsShown) * time.Second
	}
	if !ended || a.took > set {
		a.took = set
	}
	return a, true
}

// sure is the part of a stated fusion that it surely ran: a time stated as
// 14:02 may be any second of that minute, so its first minute is in doubt.
func (a current) sure() current {
	if a.stated {
		lost := min(a.took, time.Minute)
		a.start, a.took = a.start.Add(lost), a.took-lost
	}
	return a
}

// shared is how long two fusions ran at the same time; less than nothing is
// the time between them. On one start of the machine its boot clock counts,
// since the wall clock may have been set in between.
func shared(a, b current) time.Duration {
	if a.bootID != "" && a.bootID == b.bootID {
		return min(a.boot+a.took, b.boot+b.took) - max(a.boot, b.boot)
	}
	start, end := a.start, a.end()
	if b.start.After(start) {
		start = b.start
	}
	if b.end().Before(end) {
		end = b.end()
	}
	return end.Sub(start)
}

// unitsOf lays the fusions of each unit beside each other.
func unitsOf(welds []logbook.Weld) (overlap, quick map[string]beside) {
	units := map[string][]current{}
	for _, w := range welds {
		if a, ok := currentOf(w); ok {
			units[w.Unit] = append(units[w.Unit], a)
		}
	}
	overlap, quick = map[string]beside{}, map[string]beside{}
	for _, list := range units {
		slices.SortStableFunc(list, func(a, b current) int { return cmp.Or(a.start.Compare(b.start), cmp.Compare(a.weld, b.weld)) })
		last := 0 // the one that ended last of those before
		for i := 1; i < len(list); i++ {
			compare(list[last], list[i], overlap, quick)
			if list[i].end().After(list[last].end()) {
				last = i
			}
		}
	}
	return overlap, quick
}

// compare puts a finding on the later of two fusions, or on the one whose time
// was only stated.
func compare(before, a current, overlap, quick map[string]beside) {
	if both := shared(before.sure(), a.sure()); both > 0 {
		if before.stated && !a.stated {
			before, a = a, before
		}
		overlap[a.weld] = beside{before.weld, both}
	} else if !before.stated && !a.stated && -both < LeadsLeast {
		quick[a.weld] = beside{before.weld, -both}
	}
}

func overlapping(c Case) string {
	o, ok := c.scene.overlap[c.Weld.ID]
	if !ok {
		return ""
	}
	return fmt.Sprintf("%s and %s ran at the same time on unit %s, for %s at least: that cannot be", c.Weld.ID, o.weld, c.Weld.Unit, inSeconds(o.by))
}

func tooQuick(c Case) string {
	q, ok := c.scene.quick[c.Weld.ID]
	if !ok {
		return ""
	}
	return fmt.Sprintf("%s was started %s after %s ended on the same unit %s; leads are not moved in less than %s",
		c.Weld.ID, inSeconds(q.by), q.weld, c.Weld.Unit, inSeconds(LeadsLeast))
}

func inSeconds(d time.Duration) string { return fmt.Sprintf("%.0f s", d.Seconds()) }

// operatorOutOfDate is silent where the shift does not know the operator or no
// date was given: that is no fault of the weld.
func operatorOutOfDate(c Case) string {
	o, _ := c.Shift.Operator(c.Weld.Operator)
	until, err := time.Parse(time.DateOnly, o.Expiry)
	if err != nil || c.Weld.Day() <= until.Format(time.DateOnly) {
		return ""
	}
	return fused(c, fmt.Sprintf("%s: the qualification of %s ended on %s", c.Weld.ID, o.Name, o.Expiry))
}

// CalibrationMonths is how long a calibration of a control unit holds:
// 12 months, from memory.
const CalibrationMonths = 12

func unitOutOfDate(c Case) string {
	u, _ := c.Shift.Unit(c.Weld.Unit)
	was, err := time.Parse(time.DateOnly, u.Calibrated)
	if err != nil || c.Weld.Day() <= was.AddDate(0, CalibrationMonths, 0).Format(time.DateOnly) {
		return ""
	}
	return fused(c, fmt.Sprintf("%s: unit %s was last calibrated on %s, more than %d months before", c.Weld.ID, u.Serial, u.Calibrated, CalibrationMonths))
}
