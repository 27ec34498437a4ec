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
	Weld string        `json:"weld"`
	Unit string        `json:"unit"`
	By   time.Duration `json:"by_ns"`
}

// A current is the time a unit fed one fitting.
type current struct {
	weld   string
	unit   string
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
	a := current{weld: w.ID, unit: w.Unit, start: start, stated: w.StartedStated != nil || w.EndedStated != nil}
	if !a.stated {
		a.boot, a.bootID = w.Started.Boot, w.Started.Machine+" "+w.Started.BootID
		if w.Started.BootID == "" || w.Started.Machine == "" {
			a.bootID = ""
		}
	}
	end, ended := w.EndedAt()
	if ended {
		a.took = max(0, end.Sub(start))
		if a.bootID != "" && w.Ended.SameBoot(*w.Started) {
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

// latest is the last moment at which a fusion may have begun: a start stated
// as 14:02 may be any second of that minute.
func (a current) latest() time.Time {
	if a.stated {
		return a.start.Add(time.Minute)
	}
	return a.start
}

// shared is how long two fusions surely ran at the same time, and whether they
// did: each must have begun before the other ended, in whatever second of its
// minute. One stated within another is sure, be nothing left to count. On one
// start of the machine its boot clock counts, since the wall clock may have
// been set in between. Less than nothing is the time between two that were not
// stated.
func shared(a, b current) (time.Duration, bool) {
	if a.bootID != "" && a.bootID == b.bootID {
		both := min(a.boot+a.took, b.boot+b.took) - max(a.boot, b.boot)
		return both, both > 0
	}
	start, end := a.latest(), a.end()
	if b.latest().After(start) {
		start = b.latest()
	}
	if b.end().Before(end) {
		end = b.end()
	}
	return end.Sub(start), a.before(b) && b.before(a)
}

// before tells whether a fusion surely began before another ended. A minute
// stated is not over when the next one begins.
func (a current) before(b current) bool {
	return a.latest().Before(b.end()) || a.stated && a.latest().Equal(b.end())
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
		last := 0             // the one that ended last of those before
		var running []current // those before that were not over when the one before began
		for i := 1; i < len(list); i++ {
			running = slices.DeleteFunc(running, func(a current) bool { return a.end().Before(list[i].start) })
			if !overlapOf(list[last], list[i], overlap) && !list[last].stated && !list[i].stated {
				quickly(list[last], list[i], quick)
			}
			for _, a := range running {
				if _, found := overlap[list[i].weld]; !found {
					overlapOf(a, list[i], overlap)
				}
			}
			running = append(running, list[i])
			if list[i].end().After(list[last].end()) {
				last = i
			}
		}
	}
	return overlap, quick
}

// overlapOf puts a finding on the later of two fusions, or on the one whose
// time was only stated.
func overlapOf(before, a current, overlap map[string]beside) bool {
	both, sure := shared(before, a)
	if !sure {
		return false
	}
	if before.stated && !a.stated {
		before, a = a, before
	}
	overlap[a.weld] = beside{before.weld, a.unit, max(0, both)}
	return true
}

// quickly finds the leads that were moved too quickly.
func quickly(before, a current, quick map[string]beside) {
	if both, _ := shared(before, a); -both < LeadsLeast {
		quick[a.weld] = beside{before.weld, a.unit, -both}
	}
}

func overlapping(c Case) (beside, bool) {
	o, found := c.scene.overlap[c.Weld.ID]
	return o, found
}

func overlapSays(weld string, f beside) string {
	long := ""
	if f.By > 0 {
		long = ", for " + inSeconds(f.By) + " at least"
	}
	return fmt.Sprintf("%s and %s ran at the same time on unit %s%s: that cannot be", weld, f.Weld, f.Unit, long)
}

func tooQuick(c Case) (beside, bool) {
	q, found := c.scene.quick[c.Weld.ID]
	return q, found
}

func quickSays(weld string, f beside) string {
	return fmt.Sprintf("%s was started %s after %s ended on the same unit %s; leads are not moved in less than %s",
		weld, inSeconds(f.By), f.Weld, f.Unit, inSeconds(LeadsLeast))
}

func inSeconds(d time.Duration) string { return fmt.Sprintf("%.0f s", d.Seconds()) }

// A dated is whose date was over, and the date, YYYY-MM-DD.
type dated struct {
	Whose string `json:"whose"`
	Date  string `json:"date"`
}

// operatorOutOfDate is silent where the shift does not know the operator or no
// date was given: that is no fault of the weld.
func operatorOutOfDate(c Case) (dated, bool) {
	o, _ := c.Shift.Operator(c.Weld.Operator)
	until, err := time.Parse(time.DateOnly, o.Expiry)
	return dated{o.Name, o.Expiry}, c.Weld.Fused() && err == nil && c.Weld.Day() > until.Format(time.DateOnly)
}

func operatorSays(weld string, f dated) string {
	return fmt.Sprintf("%s: the qualification of %s ended on %s", weld, f.Whose, f.Date)
}

// CalibrationMonths is how long a calibration of a control unit holds:
// 12 months, from memory.
const CalibrationMonths = 12

func unitOutOfDate(c Case) (dated, bool) {
	u, _ := c.Shift.Unit(c.Weld.Unit)
	was, err := time.Parse(time.DateOnly, u.Calibrated)
	return dated{u.Serial, u.Calibrated}, c.Weld.Fused() && err == nil && c.Weld.Day() > was.AddDate(0, CalibrationMonths, 0).Format(time.DateOnly)
}

func unitSays(weld string, f dated) string {
	return fmt.Sprintf("%s: unit %s was last calibrated on %s, more than %d months before", weld, f.Whose, f.Date, CalibrationMonths)
}
