package ahead

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"time"

	"coolhold/fusion"
	"coolhold/logbook"
	"coolhold/logbook/kit"
)

// AssumedPrepare is the time for preparation where none was given or measured:
// our choice, no source.
const AssumedPrepare = 8 * time.Minute

// An orderer gathers what an order is made from.
type orderer struct {
	r         logbook.Reader
	shelf     logbook.Shelf
	site      logbook.Site
	shift     logbook.Shift
	kit       kit.Kit // empty where none is declared
	given     OrderGiven
	now, beat fusion.Stamp
	welds     []logbook.Weld
	running   []Running
	ambient   *fusion.Celsius
	prepare   time.Duration
	measured  int // welds that tell it; 0: it was given or is assumed

	units   []string
	unknown []string // what could not be compared of units and fittings
	noUnit  []NoUnit
	shop    fusion.Shop
	fence   map[string]time.Duration // of a chamber: when the low row in hand is fused
	stuck   map[string]string        // of a pipe: why it is not known when it is free
	rows    []Planned
	silent  []string // fittings in hand or to come without a printed wait

	fused, held, wait time.Duration // the latest so far
	moves             int
}

// A timed is an open joint with what its table prints.
type timed struct {
	Planned
	fusion.Settings
	fuse, cool time.Duration
	begun      fusion.Stamp // of the walk that is open there
	ready      bool         // it was set down prepared
}

func newOrderer(r logbook.Reader, shelf logbook.Shelf, site string, g OrderGiven, now, beat fusion.Stamp) *orderer {
	o := &orderer{
		r: r, shelf: shelf, given: g, now: now, beat: beat, welds: r.Welds(site), running: RunningOn(r, site, now, beat),
		fence: map[string]time.Duration{}, stuck: map[string]string{}, prepare: g.Prepare, ambient: g.Ambient,
	}
	o.site, _ = r.Site(site)
	o.shift, _ = r.Shift(site, o.site.Shift)
	if o.prepare == 0 {
		o.prepare, o.measured = measuredPrepare(o.welds)
	}
	if o.ambient == nil && o.site.Ambient != nil {
		o.ambient = &o.site.Ambient.C
	}
	o.kit, _ = logbook.KitOf(o.site)
	o.setUnits()
	o.shop.Pipes, o.shop.Clamps = map[string]time.Duration{}, g.Clamps
	if sets, ok := o.kit.ClampSets(); ok && g.Clamps == 0 {
		o.shop.Clamps = sets
	}
	for _, line := range o.running {
		o.runs(line)
	}
	return o
}

// runs takes a running fusion or hold into account. A hold that is over leaves
// pipe and clamp free: it only waits for an answer. A fusion that is over has its
// whole hold before it.
func (o *orderer) runs(line Running) {
	j, _ := o.r.Joint(o.site.ID, line.Weld.Joint)
	switch {
	case !line.moves():
	case !line.Known:
		for _, pipe := range j.Pipes() {
			o.stuck[pipe] = fmt.Sprintf("its pipe is held by %s, no time known", j.Label)
		}
	case line.Fusing:
		s := fusion.Settings{PressureWaitMin: line.Weld.Settings.PressureWaitMin, PressureWaitFrom: line.Weld.Settings.PressureWaitFrom}
		fuse := max(0, line.Left)
		o.draws(line.Weld.Unit, 0, fuse)
		o.commits(j, line.Weld.Unit, fuse, time.Duration(line.Weld.Settings.CoolingMin)*time.Minute, s)
	default:
		o.keeps(j, line.Left)
	}
}

// draws keeps what a unit takes from the supply while it fuses.
func (o *orderer) draws(unit string, from, until time.Duration) {
	o.shop.Drawing = append(o.shop.Drawing, fusion.Draw{From: from, Until: until, VA: o.draw(unit)})
}

// keeps holds pipe and clamp of a joint for so long.
func (o *orderer) keeps(j logbook.Joint, held time.Duration) {
	for _, pipe := range j.Pipes() {
		o.shop.Pipes[pipe] = max(o.shop.Pipes[pipe], held)
	}
	o.shop.Held = append(o.shop.Held, held)
	o.held = max(o.held, held)
}

// commits takes a joint into account that is fused for certain: its unit until
// fused, then its hold.
func (o *orderer) commits(j logbook.Joint, unit string, fused, cool time.Duration, s fusion.Settings) {
	if u := slices.Index(o.units, unit); u >= 0 {
		o.shop.Units[u] = max(o.shop.Units[u], fused)
	}
	if j.Row == "low" {
		o.fence[j.Chamber] = max(o.fence[j.Chamber], fused)
	}
	o.keeps(j, fused+cool)
	o.fused = max(o.fused, fused)
	if s.PressureWaitMin == nil {
		return
	}
	from := fused + cool
	if s.PressureWaitFrom == fusion.FromFusionEnd {
		from = fused
	}
	o.wait = max(o.wait, from+time.Duration(*s.PressureWaitMin)*time.Minute)
}

// open are the open joints that nobody has in hand, with what their tables
// print. Those in hand become rows at once, the first begun first.
func (o *orderer) open() []timed {
	var out, begun []timed
	known := map[string]timed{}
	for _, j := range OpenJoints(o.r, o.site.ID) {
		if j.Walk != "" {
			begun = append(begun, o.walking(j))
			continue
		}
		p, met := known[j.Fitting]
		if !met {
			p = o.times(j.Fitting, o.ambient)
			known[j.Fitting] = p
		}
		p.Joint = j
		out = append(out, p)
	}
	slices.SortFunc(begun, func(a, b timed) int { return logbook.ByNumber(&logbook.Weld{ID: a.Weld}, &logbook.Weld{ID: b.Weld}) })
	for _, p := range begun {
		if p.Why != "" {
			out = append(out, p)
			continue
		}
		o.inHand(p)
	}
	return out
}

// walking is a joint whose walk is open, as it was answered so far.
func (o *orderer) walking(j logbook.Joint) timed {
	w, _ := o.r.Weld(o.site.ID, j.Walk)
	fitting, ambient := j.Fitting, o.ambient
	if w.Fitting() != "" {
		fitting = w.Fitting()
	}
	if w.Ambient != nil {
		ambient = &w.Ambient.C
	}
	p := o.times(fitting, ambient)
	p.Joint, p.Weld, p.Unit, p.begun = j, w.ID, w.Unit, w.Begun
	p.ready = w.Ready != nil
	return p
}

// inHand makes a row of a joint whose walk is open: what is left of its
// preparation, after what its unit is at.
func (o *orderer) inHand(p timed) {
	left, _ := fusion.Span{Began: p.begun, Want: o.prepare}.Left(o.now, o.beat)
	if p.ready {
		left = 0
	}
	fused := max(0, left) + p.fuse
	if u := slices.Index(o.units, p.Unit); u >= 0 {
		fused += o.shop.Units[u]
	}
	o.draws(p.Unit, fused-p.fuse, fused)
	o.commits(p.Joint, p.Unit, fused, p.cool, p.Settings)
	p.Start, p.Fused, p.Held = p.begun.Local(), o.at(fused), o.at(fused+p.cool)
	o.rows = append(o.rows, p.Planned)
}

// times reads what the table prints for a fitting. Nothing is made up where it
// prints none.
func (o *orderer) times(fitting string, c *fusion.Celsius) timed {
	p := timed{Planned: Planned{Fitting: fitting}}
	row, err := o.shelf.Row(fitting)
	switch {
	case errors.Is(err, logbook.ErrUnknown):
		p.Why = "its fitting is in no table"
	case err != nil:
		p.Why = "its table is not read back, or the row is stopped"
	case c == nil:
		p.Why = "no ambient temperature is known"
	default:
		if p.Settings, err = row.Table.Settings(fitting, *c); err != nil {
			p.Why = fmt.Sprintf("no time is printed for %s °C", *c)
		}
	}
	p.fuse, p.cool = time.Duration(p.Seconds*row.Fitting.Zones)*time.Second, time.Duration(p.CoolingMin)*time.Minute
	if p.Why == "" && p.PressureWaitMin == nil {
		o.silent = append(o.silent, fitting)
	}
	return p
}

const (
	fewestMeasured = 3         // welds before their preparation counts: our choice
	mostMeasured   = time.Hour // more was a break, not preparation: our choice
)

// measuredPrepare is the median time from "weld begun" to the start of fusion,
// over n welds; with too few it is assumed, and n is 0.
func measuredPrepare(welds []logbook.Weld) (median time.Duration, n int) {
	var took []time.Duration
	for _, w := range welds {
		if w.Started == nil || len(w.Stood) > 0 && *w.Stood[0].From == w.Begun {
			continue // or it was told once it was prepared
		}
		run, doubt := fusion.Span{Began: w.Begun}.Ran(*w.Started, fusion.Stamp{})
		for _, stood := range w.Stood { // that time the hands had for others
			waited, _ := fusion.Span{Began: *stood.From}.Ran(*stood.Until, fusion.Stamp{})
			run -= waited
		}
		later := run == 0 // entered later, it begins and starts in one moment
		if doubt != fusion.Restarted && doubt != fusion.Elsewhere && !later && run <= mostMeasured {
			took = append(took, run)
		}
	}
	if len(took) < fewestMeasured {
		return AssumedPrepare, 0
	}
	slices.Sort(took)
	mid := len(took) / 2
	return (took[mid] + took[(len(took)-1)/2]) / 2, len(took)
}

// assumed says what the order is built on.
func (o *orderer) assumed() []string {
	lines := []string{
		o.ambientLine(), o.prepareLine(), o.unitsLine(), o.abilityLine(), o.supplyLine(), o.clampsLine(), o.movingLine(), o.hoursLine(),
		"low row before high row in a chamber (common practice, no source)",
		"hands at each unit prepare, and stay until the fusion is over (our choice)",
	}
	return slices.DeleteFunc(lines, func(l string) bool { return l == "" })
}

func (o *orderer) ambientLine() string {
	switch {
	case o.ambient == nil:
		return "no ambient temperature is known: no times"
	case o.given.Ambient != nil:
		return fmt.Sprintf("times as printed for %s °C, as given", o.ambient)
	}
	return fmt.Sprintf("times as printed for %s °C, read %s", o.ambient, ClockOn(o.site.Ambient.At.Local(), o.now))
}

func (o *orderer) prepareLine() string {
	minutes := fmt.Sprintf("%g min a joint", math.Round(10*o.prepare.Minutes())/10)
	switch {
	case o.given.Prepare > 0:
		return minutes + " for preparation, as given"
	case o.measured > 0:
		return fmt.Sprintf("%s for preparation, the median of %d welds of this site", minutes, o.measured)
	}
	return minutes + " for preparation assumed; no source"
}

func (o *orderer) unitsLine() string {
	many := fmt.Sprintf("%d control units", len(o.units))
	if len(o.units) == 1 {
		many = "1 control unit"
	}
	switch {
	case o.given.Units > 0:
		return many + ", as given"
	case len(o.shift.Units) > 0:
		return many + " of shift " + o.shift.ID
	case len(o.kit.Units) > 0:
		return many + ", as the kit declares: no shift is open"
	}
	return many + " assumed: no shift is open"
}

func (o *orderer) clampsLine() string {
	switch n, declared := o.kit.ClampSets(); {
	case o.given.Clamps == 0 && declared:
		return logbook.Count(n, "clamp set") + ", as the kit declares; which pipe each holds is not counted"
	}
	switch o.given.Clamps {
	case 0:
		return "enough clamp sets assumed"
	case 1:
		return "1 clamp set, as given"
	}
	return fmt.Sprintf("%d clamp sets, as given", o.given.Clamps)
}
