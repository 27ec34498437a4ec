package audit

import (
	"fmt"
	"time"

	"coolhold/fusion"
	"coolhold/logbook"
)

// An undated is whose date nobody gave, though it was asked. It holds no more, so
// that all welds of one person or unit have one cause.
type undated struct {
	Operator string `json:"operator,omitempty"`
	Unit     string `json:"unit,omitempty"`
}

// qualificationUnknown speaks where the shift asked for the date: on one that was
// begun before it was asked nobody left anything out.
func qualificationUnknown(c Case) (undated, bool) {
	o, known := c.Shift.Operator(c.Weld.Operator)
	return undated{Operator: o.Name}, c.Weld.Fused() && c.Shift.DatesAsked && known && o.Expiry == ""
}

func qualificationSays(weld string, f undated) string {
	return fmt.Sprintf("%s: how long the qualification of %s holds is not known", weld, f.Operator)
}

func calibrationUnknown(c Case) (undated, bool) {
	u, known := c.Shift.Unit(c.Weld.Unit)
	return undated{Unit: u.Serial}, c.Weld.Fused() && c.Shift.DatesAsked && known && u.Calibrated == ""
}

func calibrationSays(weld string, f undated) string {
	return fmt.Sprintf("%s: when unit %s was last calibrated is not known", weld, f.Unit)
}

// An elsewhere is a fusion of the same operator in another chamber, and for how long
// at least both had their current.
type elsewhere struct {
	Weld    string        `json:"weld"`
	Chamber string        `json:"chamber"`
	By      time.Duration `json:"by_ns"`
}

// placesOf finds fusions of one operator in two chambers that surely ran at the same
// time, on the later of each two, or on the one whose time was only stated. It goes
// by currents alone: when a preparation was typed tells nothing. One unit on two
// fittings is another rule's.
func placesOf(welds []logbook.Weld, joints map[string]logbook.Joint) map[string]elsewhere {
	type run struct {
		current
		operator, chamber string
	}
	places := map[string]elsewhere{}
	befores := map[string][]run{}         // of each operator
	units := map[string]map[string]bool{} // that each was on: who was on one alone is not looked at weld by weld
	for _, w := range welds {
		a, ok := currentOf(w)
		r := run{a, plainName(w.Operator), joints[w.Joint].Chamber}
		if !ok || r.operator == "" || r.chamber == "" {
			continue
		}
		if units[r.operator] == nil {
			units[r.operator] = map[string]bool{}
		}
		units[r.operator][r.unit] = true
		before := befores[r.operator]
		if len(units[r.operator]) == 1 {
			before = nil
		}
		for _, o := range before {
			if o.chamber == r.chamber || o.unit == r.unit {
				continue
			}
			both, sure := shared(o.current, a)
			if !sure {
				continue
			}
			first, then := o, r
			if o.stated && !r.stated || o.stated == r.stated && o.start.After(r.start) {
				first, then = r, o
			}
			if _, had := places[then.weld]; !had {
				places[then.weld] = elsewhere{first.weld, first.chamber, max(0, both)}
			}
		}
		befores[r.operator] = append(befores[r.operator], r)
	}
	return places
}

func twoPlaces(c Case) (elsewhere, bool) {
	f, found := c.scene.places[c.Weld.ID]
	_, said := c.scene.hands[c.Weld.ID]
	return f, found && !said
}

func placesSay(weld string, f elsewhere) string {
	long := ""
	if f.By > 0 {
		long = ", for " + inSeconds(f.By) + " at least"
	}
	return fmt.Sprintf("%s ran while %s of the same operator ran in chamber %s%s", weld, f.Weld, f.Chamber, long)
}

// ShiftSlack is how long before a shift is begun, or after it is closed, a fusion may
// be stated: shifts are entered when there is time for it. Our choice, adjustable.
const ShiftSlack = time.Hour

// An hoursFact is when a weld is said to be made, and the hours of the shifts of its
// day; without an end one was not closed.
type hoursFact struct {
	At   time.Time  `json:"at"`
	From time.Time  `json:"from"`
	To   *time.Time `json:"to,omitempty"`
}

// outsideShift speaks where a shift of the site was begun on the day, and the fusion
// is stated for another time than that of any. A paper sheet is a shift of its own;
// what was walked was on its shift whatever the clock said.
func outsideShift(c Case) (hoursFact, bool) {
	at := c.Weld.StartedStated
	if at == nil || c.Weld.Paper != nil {
		return hoursFact{}, false
	}
	f, day := hoursFact{At: *at}, false
	for _, id := range c.Site.Shifts {
		sh := c.scene.shifts[id]
		from, to := sh.Started.Local(), sh.Closed
		if !at.Before(from.Add(-ShiftSlack)) && (to == nil || !at.After(to.Wall.Add(ShiftSlack))) {
			return hoursFact{}, false
		}
		if sh.Day != c.Weld.Day() {
			continue
		}
		if !day || from.Before(f.From) {
			f.From = from
		}
		day, f.To = true, laterOf(f.To, to)
	}
	return f, day
}

func laterOf(a *time.Time, b *fusion.Stamp) *time.Time {
	if b == nil || a != nil && a.After(b.Wall) {
		return a
	}
	at := b.Local()
	return &at
}

func hoursSay(weld string, f hoursFact) string {
	to := "on"
	if f.To != nil {
		to = "to " + f.To.Format("15:04")
	}
	return fmt.Sprintf("%s is said to be made at %s; the shift of that day was open from %s %s", weld, f.At.Format("15:04"), f.From.Format("15:04"), to)
}
