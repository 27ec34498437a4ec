package ahead

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"coolhold/fusion"
	"coolhold/logbook"
)

// OrderGiven is what a person says of the work ahead; zero values are taken
// from the log, else assumed.
type OrderGiven struct {
	Units   int // control units; 0: those of the open shift, else one
	Clamps  int // clamp sets; 0: enough
	Prepare time.Duration
	Ambient *fusion.Celsius
	Moving  time.Duration // from one place to another; 0: not stated
	Until   time.Duration // since midnight, when the day's work ends; 0: not stated
	// Failed says which weld failed by the audit; it stands in a joint that must
	// be made again. nil: none is known.
	Failed func(weld string) bool
}

// The ranges of what can be given.
const (
	MostUnits      = 9
	MostClamps     = 99
	MostPrepareMin = 240
	MostMovingMin  = 120
)

// Check says which figure is out of range, in one line.
func (g OrderGiven) Check() error {
	switch {
	case g.Units < 0 || g.Units > MostUnits:
		return fmt.Errorf("%d control units are out of range: write 1 to %d, or leave it out for those of the shift", g.Units, MostUnits)
	case g.Clamps < 0 || g.Clamps > MostClamps:
		return fmt.Errorf("%d clamp sets are out of range: write 1 to %d, or leave it out for enough", g.Clamps, MostClamps)
	case g.Prepare < 0 || g.Prepare > MostPrepareMin*time.Minute:
		return fmt.Errorf("%g min a joint are out of range: write 1 to %d, or leave it out for what was measured", g.Prepare.Minutes(), MostPrepareMin)
	}
	if g.Moving < 0 || g.Moving > MostMovingMin*time.Minute {
		return fmt.Errorf("%g min of moving are out of range: write 1 to %d, or leave it out where it is not known", g.Moving.Minutes(), MostMovingMin)
	}
	if g.Until < 0 || g.Until > 24*time.Hour {
		return fmt.Errorf("%v is %w on which work ends: write it as 18:00", g.Until, ErrClock)
	}
	return nil
}

// A Planned is one open joint in its place. Times are local; they are zero where
// Why says that there are none.
type Planned struct {
	Joint              logbook.Joint
	Weld               string // the walk that is open there
	Fitting            string
	Unit               string // serial, or its number where none is known
	Start, Fused, Held time.Time
	Why                string // why there are no times
	Covered            bool   // it lies under the ground
}

// Span is when the joint is worked, "08:03–08:06". What is only proposed is
// rounded up at both ends, so that one that begins when another ends is not seen
// to begin before it.
func (p Planned) Span(now fusion.Stamp) string {
	start := p.Start
	if p.Weld == "" {
		start = logbook.UpMinute(start)
	}
	return ClockOn(start, now) + "–" + logbook.UpMinute(p.Fused).Format("15:04")
}

// An Order proposes in which order to take the open joints, and says when
// all would be over if it went on so. Nothing of it is stored.
type Order struct {
	Rows                       []Planned
	Next                       logbook.Joint   // to offer first; without a label where none is open
	LastFusion, LastHold, Test time.Time       // zero: none is known
	NoWait                     []string        // fittings without a printed pressure wait
	Without                    []string        // joints without times: the forecast is without them
	Again                      []string        // joints whose weld must be cut out and made again: there is no Test before
	Lost                       []logbook.Event // losses of pressure not repaired: there is no Test before
	NoUnit                     []NoUnit        // fittings that no control unit can fuse: their joints have no times
	Stock                      []Stock         // the fittings of the open joints against the van; none where it is not declared
	Moves                      int             // of all units from one place to another
	Assumed                    []string        // what it is built on, a line each
}

// OrderOf proposes an order of a site's open joints that ends the last hold
// early, by fusion.Order: first what is in hand, then the joints with times, then
// those without, last those that are covered.
func OrderOf(r logbook.Reader, shelf logbook.Shelf, site string, g OrderGiven, now, beat fusion.Stamp) Order {
	o := newOrderer(r, shelf, site, g, now, beat)
	o.order()
	out := Order{Rows: o.rows, NoWait: o.noWait(), NoUnit: o.noUnit, Moves: o.moves, Assumed: o.assumed()}
	if o.site.Kit != nil {
		out.Stock = StockOf(r, site, o.kit, &o.site.Kit.At)
	}
	out.Next, _ = o.next()
	for _, p := range o.rows {
		if p.Why != "" {
			out.Without = append(out.Without, p.Joint.Label)
		}
	}
	out.LastFusion, out.LastHold = o.end(o.fused), o.end(o.held)
	out.Again, out.Lost = MadeAgain(r, site, g.Failed), OpenLosses(r, o.site)
	if len(out.Again)+len(out.Lost) == 0 {
		out.Test = o.test()
	}
	return out
}

// NextOf is the open joint to offer: the first of the proposed order whose pipe
// is not held and whose walk is not open; else the first. It is Covered only where
// no other is left.
func NextOf(r logbook.Reader, shelf logbook.Shelf, site string, now, beat fusion.Stamp) (logbook.Joint, bool) {
	o := newOrderer(r, shelf, site, OrderGiven{}, now, beat)
	o.order()
	return o.next()
}

// next is the first row that can be begun now, else the first of all.
func (o *orderer) next() (logbook.Joint, bool) {
	for _, p := range o.rows {
		if _, held := heldOn(o.r, o.running, p.Joint); p.Weld == "" && !p.Covered && !held {
			return p.Joint, true
		}
	}
	if len(o.rows) == 0 {
		return logbook.Joint{}, false
	}
	return o.rows[0].Joint, true
}

// coveredOpen is said of an open joint under the ground.
const coveredOpen = "covered: dig it up"

// order fills the rows.
func (o *orderer) order() {
	var jobs []fusion.Job
	var planned, without, covered []Planned
	for _, p := range o.open() {
		if p.Why == "" {
			p.Why = o.stuckOn(p.Joint)
		}
		if _, under := Under(o.site, p.Joint); under {
			p.Why, p.Covered = coveredOpen, true
			covered = append(covered, p.Planned)
			continue
		}
		can, why := o.able(p)
		if p.Why == "" {
			p.Why = why
		}
		if p.Why != "" {
			without = append(without, p.Planned)
			continue
		}
		j := o.job(p)
		j.Units = can
		jobs, planned = append(jobs, j), append(planned, p.Planned)
	}
	o.shop.Hours = o.workday().hours(o.now.Local(), len(jobs))
	s := fusion.Simulate(jobs, o.shop, fusion.Order(jobs, o.shop))
	for _, slot := range s.Slots {
		p := planned[slot.Job]
		p.Unit = o.units[slot.Unit]
		p.Start, p.Fused, p.Held = o.at(slot.Start), o.at(slot.Fused), o.at(slot.Held)
		o.rows = append(o.rows, p)
		if jobs[slot.Job].Wait > 0 { // one that prints none does not say from when
			o.wait = max(o.wait, slot.Wait)
		}
	}
	o.rows = append(append(o.rows, without...), covered...)
	o.fused, o.held, o.moves = max(o.fused, s.LastFusion), max(o.held, s.LastHold), s.Moves
}

// stuckOn says why it is not known when a joint's pipes are free; "" where it is.
func (o *orderer) stuckOn(j logbook.Joint) string {
	for _, pipe := range j.Pipes() {
		if why := o.stuck[pipe]; why != "" {
			return why
		}
	}
	return ""
}

// job is a joint as fusion.Order sees it. The low row of a chamber comes before
// its high one, since the leads must still reach (common practice, no source).
func (o *orderer) job(p timed) fusion.Job {
	j := fusion.Job{
		Prepare: o.prepare, Fuse: p.fuse, Cool: p.cool, Also: p.Joint.Pipes(), Place: placeOf(p.Joint),
		WaitFromFusion: p.PressureWaitFrom == fusion.FromFusionEnd,
	}
	if p.PressureWaitMin != nil {
		j.Wait = time.Duration(*p.PressureWaitMin) * time.Minute
	}
	switch p.Joint.Row {
	case "low":
		j.Group = p.Joint.Chamber
	case "high":
		j.Group, j.Rank, j.Ready = p.Joint.Chamber, 1, o.fence[p.Joint.Chamber]
	}
	return j
}

// noWait are the fittings whose table prints no pressure wait, standing or to
// come.
func (o *orderer) noWait() []string {
	none := o.silent
	for _, w := range o.welds {
		if w.Stands() && (w.Settings == nil || w.Settings.PressureWaitMin == nil) {
			none = append(none, w.Fitting())
		}
	}
	slices.Sort(none)
	return slices.Compact(none)
}

// test is from when a pressure test may begin as far as the tables print it:
// after every wait, standing or to come, and after the last hold.
func (o *orderer) test() time.Time {
	test := o.end(o.wait)
	for _, w := range o.welds {
		if wait, ok := WaitOf(o.site, w, o.now, o.beat); ok && w.Stands() && wait.Over.After(test) {
			test = wait.Over
		}
	}
	if held := o.end(o.held); !test.IsZero() && held.After(test) {
		return held
	}
	return test
}

// at is the local time so long from now.
func (o *orderer) at(d time.Duration) time.Time { return o.now.Local().Add(d) }

// end is at; where nothing ends there is none.
func (o *orderer) end(d time.Duration) time.Time {
	if d <= 0 {
		return time.Time{}
	}
	return o.at(d)
}

// Ahead is the forecast in one line, "last fusion 15:42, last hold 15:48,
// pressure test from 16:48", without what is not known; test is what the test
// is called.
func (o Order) Ahead(now fusion.Stamp, test string) string {
	var parts []string
	for _, p := range []struct {
		what string
		at   time.Time
	}{{"last fusion", o.LastFusion}, {"last hold", o.LastHold}, {test + " from", o.Test}} {
		if !p.at.IsZero() {
			parts = append(parts, p.what+" "+ClockOn(logbook.UpMinute(p.at), now))
		}
	}
	return strings.Join(parts, ", ")
}

// Before says what must be done before a test can be forecast at all, a line
// each.
func (o Order) Before() []string {
	var lines []string
	if len(o.Lost) > 0 {
		lines = append(lines, LossLine(o.Lost)+" No pressure test is forecast.")
	}
	if len(o.Again) > 0 {
		lines = append(lines, "pressure test: after the cut-outs: "+InShort(o.Again))
	}
	return lines
}

// Lacks says what the forecast does not know, a line each.
func (o Order) Lacks() []string {
	lines := o.Before()
	var covered, none []string
	for _, p := range o.Rows {
		switch {
		case p.Why == noUnitWhy: // said below with the reason
		case p.Covered:
			covered = append(covered, p.Joint.Label)
		case p.Why != "":
			none = append(none, p.Joint.Label)
		}
	}
	if len(none) > 0 {
		lines = append(lines, "without "+InShort(none)+": no times")
	}
	if len(covered) > 0 {
		lines = append(lines, "without "+InShort(covered)+": "+coveredOpen)
	}
	for _, n := range o.NoUnit {
		lines = append(lines, "without "+n.String())
	}
	for _, s := range o.Stock {
		if s.Short() > 0 || s.GivenUp > 0 {
			lines = append(lines, "van: "+s.String())
		}
	}
	if len(o.NoWait) > 0 {
		lines = append(lines, "no wait printed for "+strings.Join(o.NoWait, ", ")+": see the bag")
	}
	return lines
}

// ClockOn is a local time of day, with its date where that is not today's.
func ClockOn(t time.Time, now fusion.Stamp) string {
	if t.Format(time.DateOnly) == now.Local().Format(time.DateOnly) {
		return t.Format("15:04")
	}
	return t.Format("2 Jan 15:04")
}
