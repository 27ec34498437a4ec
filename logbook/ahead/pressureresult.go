package ahead

import (
	"errors"
	"fmt"
	"slices"
	"strings"

	"coolhold/fusion"
	"coolhold/fusion/loop"
	"coolhold/logbook"
)

// kPa in one bar.
const perBar = 100

// phaseMin are the minutes of a phase by its method.
var phaseMin = map[logbook.PressurePhase]int{
	logbook.PhaseRelax: loop.RelaxMin, logbook.PhaseRaise: loop.RaiseMin, logbook.PhasePump: loop.HoldMin, logbook.PhaseRest: loop.RestMin, logbook.PhaseMain: loop.MainMin,
}

// A PressureResult is what the readings of a test come to by its method. It is stored
// nowhere, and never says that anything is tight.
type PressureResult struct {
	Outcome loop.Outcome
	Lines   []string // what it was judged by, one a line
	Trend   *loop.Trend
}

// ResultOf judges a test by its readings, as far as they go. What was seen of leaks
// goes before any figure.
func ResultOf(section TestSection, t logbook.PressureTest) PressureResult {
	var res PressureResult
	switch t.Method {
	case logbook.EN805:
		res = byVolume(section, t)
	case logbook.DecayTrend:
		res = byTrend(t)
	default:
		res = bySpecification(t)
	}
	return res.ended(t)
}

func (p PressureResult) ended(t logbook.PressureTest) PressureResult {
	switch e := t.Ended; {
	case e == nil:
	case e.Ending == logbook.LeakSeen || e.Leaks == logbook.LeakThere:
		p.Outcome, p.Lines = loop.NotWithin, append([]string{"a leak was seen"}, p.Lines...)
	case e.Ending == logbook.CalledOff && p.Outcome != loop.NotWithin:
		p.Outcome, p.Lines = loop.CannotDecide, append([]string{"it was called off"}, p.Lines...)
	}
	return p
}

// open is a result that cannot be had, and why.
func open(format string, args ...any) PressureResult {
	return PressureResult{Outcome: loop.CannotDecide, Lines: []string{loop.CannotDecide.String() + ": " + fmt.Sprintf(format, args...)}}
}

// with is the result with one more judgement: what is not within settles it, what
// cannot be decided leaves it open.
func (p PressureResult) with(what string, j loop.Judgement, err error) PressureResult {
	if err != nil {
		return p.and(open("%s%s", what, plainly(err)))
	}
	return p.and(PressureResult{Outcome: j.Outcome, Lines: []string{what + inBar(j).Line()}})
}

func (p PressureResult) and(o PressureResult) PressureResult {
	lines := append(slices.Clone(p.Lines), o.Lines...)
	if p.Outcome == loop.NotWithin || o.Outcome == loop.Within {
		return PressureResult{p.Outcome, lines, p.Trend}
	}
	return PressureResult{o.Outcome, lines, p.Trend}
}

// plainly is a refusal of the arithmetic without the word that programs go by.
func plainly(err error) string {
	return strings.ReplaceAll(err.Error(), " is "+loop.ErrRange.Error()+":", ":")
}

// inBar is a judgement in the unit that the gauge was read in.
func inBar(j loop.Judgement) loop.Judgement {
	if j.Unit != "kPa" {
		return j
	}
	j.Unit = "bar"
	j.Seen, j.Finer = j.Seen/perBar, j.Finer/perBar
	j.Lies = loop.Interval{Low: j.Lies.Low / perBar, High: j.Lies.High / perBar}
	j.Limit = loop.Interval{Low: j.Limit.Low / perBar, High: j.Limit.High / perBar}
	return j
}

var errNoStep = errors.New("the smallest step of the gauge is not known, so its error cannot be carried through")

func gaugeOf(t logbook.PressureTest) (loop.Gauge, error) {
	if t.Gauge.ResolutionBar == nil {
		return loop.Gauge{}, errNoStep
	}
	return loop.Gauge{DivisionKPa: *t.Gauge.ResolutionBar * perBar}, nil
}

// readingsFrom are the pressures of a phase in minutes since a time; of two at one
// minute the later entry counts.
func readingsFrom(t logbook.PressureTest, from logbook.Timed, until *logbook.Timed) []loop.Reading {
	var out []loop.Reading
	for _, r := range t.Pressures(from, until) {
		d, _ := from.Until(r.When())
		next := loop.Reading{Minute: d.Minutes(), KPa: *r.Bar * perBar}
		if n := len(out); n > 0 && out[n-1].Minute == next.Minute {
			out[n-1] = next
			continue
		}
		out = append(out, next)
	}
	return out
}

// HoldFrom is when a test as specified began to count: when the pressure was said to be
// reached, else with the first reading at it, else with the first.
func HoldFrom(t logbook.PressureTest) (logbook.Timed, bool) {
	if p, _, begun := t.PhaseOf(logbook.PhaseHold); begun {
		return p.When(), true
	}
	all := t.Pressures(t.When(), nil)
	for _, r := range all {
		if *r.Bar >= t.Bar {
			return r.When(), true
		}
	}
	if len(all) == 0 {
		return logbook.Timed{}, false
	}
	return all[0].When(), true
}

func bySpecification(t logbook.PressureTest) PressureResult {
	from, begun := HoldFrom(t)
	gauge, err := gaugeOf(t)
	switch {
	case !begun:
		return open("no pressure was read")
	case err != nil:
		return open("%v", err)
	case t.AllowedBar == nil:
		return open("no allowed fall is known")
	}
	readings := readingsFrom(t, from, nil)
	if len(readings) < 2 {
		return open("one reading since the pressure was reached: a fall needs two")
	}
	spec := loop.Spec{PressureKPa: t.Bar * perBar, Minutes: float64(t.Minutes), AllowedKPa: *t.AllowedBar * perBar}
	j, err := spec.Judge(readings, gauge)
	return PressureResult{Outcome: loop.Within}.with("", j, err)
}

// byVolume judges the phases of EN 805 A.27 one after another.
func byVolume(section TestSection, t logbook.PressureTest) PressureResult {
	gauge, err := gaugeOf(t)
	if err != nil {
		return open("%v", err)
	}
	res := PressureResult{Outcome: loop.Within}
	for _, phase := range t.Method.Phases() {
		if short := tooShort(t, phase); short != "" {
			res = res.and(open("%s", short))
		}
	}
	res = res.and(restOf(t, gauge)).and(dropOf(section, t, gauge))
	if at, next, begun := t.PhaseOf(logbook.PhaseMain); begun {
		readings := readingsFrom(t, at.When(), untilOf(next))
		if len(readings) < 2 {
			return res.and(open("main phase: %s in it, and a fall needs two", logbook.Count(len(readings), "reading")))
		}
		j, err := loop.MainPhase(readings, gauge)
		return res.with("main phase: ", j, err)
	}
	return res.and(open("no main phase was begun"))
}

// tooShort says that a phase was left out, cut short, or took too long.
func tooShort(t logbook.PressureTest, phase logbook.PressurePhase) string {
	at, next, begun := t.PhaseOf(phase)
	want := PhaseWant(t, phase)
	switch {
	case want == 0 || phase == logbook.PhaseMain:
		return ""
	case !begun:
		return fmt.Sprintf("the phase %q was not begun", phase.String())
	case next == nil:
		return ""
	}
	ran, _ := at.When().Until(next.When())
	switch {
	case phase == logbook.PhaseRaise && ran > want:
		return fmt.Sprintf("it took %s min to raise the pressure, not under %d", fusion.Figure(float64(int(ran.Minutes()+0.5))), int(want.Minutes()))
	case phase != logbook.PhaseRaise && ran < want:
		return fmt.Sprintf("the phase %q ran %s of %d min", phase.String(), fusion.Figure(float64(int(ran.Minutes()))), int(want.Minutes()))
	}
	return ""
}

func untilOf(next *logbook.PhaseBegun) *logbook.Timed {
	if next == nil {
		return nil
	}
	at := next.When()
	return &at
}

func restOf(t logbook.PressureTest, gauge loop.Gauge) PressureResult {
	at, next, begun := t.PhaseOf(logbook.PhaseRest)
	if !begun {
		return PressureResult{Outcome: loop.Within} // said already
	}
	readings := readingsFrom(t, at.When(), untilOf(next))
	if len(readings) < 2 {
		return open("rest: %s in it, and a fall needs two", logbook.Count(len(readings), "reading"))
	}
	j, err := loop.Rest(readings, t.Bar*perBar, gauge)
	return PressureResult{Outcome: loop.Within}.with("rest: ", j, err)
}

// dropOf judges the water that was let out against what the pipes' stretch allows.
func dropOf(section TestSection, t logbook.PressureTest, gauge loop.Gauge) PressureResult {
	at, _, begun := t.PhaseOf(logbook.PhaseDrop)
	if !begun {
		return open("no water was let out")
	}
	before, during := t.Pressures(t.When(), untilOf(&at)), t.Pressures(at.When(), nil)
	if len(before) == 0 || len(during) == 0 {
		return open("the pressure before or after the water was let out was not read")
	}
	from, to := *before[len(before)-1].Bar*perBar, *during[0].Bar*perBar
	j, err := loop.Drop(from, to, t.Bar*perBar, gauge)
	res := PressureResult{Outcome: loop.Within}.with("drop: ", j, err)
	litres, step := letOut(t)
	if step == 0 {
		return res.and(open("no water is recorded as let out, with the smallest step of its measure"))
	}
	allowed, says, err := AllowedLitres(section, t, from-to)
	if err != nil {
		return res.and(open("%s", plainly(err)))
	}
	j, err = loop.LetOut(litres, step, allowed)
	res = res.with("water: ", j, err)
	res.Lines = append(res.Lines, says...)
	return res
}

// letOut is the water that was let out in all, and the coarsest step of its measure; 0
// where there is none.
func letOut(t logbook.PressureTest) (litres, step float64) {
	for _, r := range t.Readings {
		if r.LetOutL != nil && r.MeasureL != nil {
			litres, step = litres+*r.LetOutL, max(step, *r.MeasureL)
		}
	}
	return litres, step
}

// AllowedLitres is ΔVmax of a section for a drop in kPa, and what it rests on.
func AllowedLitres(section TestSection, t logbook.PressureTest, dropKPa float64) (litres float64, says []string, err error) {
	if un := section.Unstated(); len(un) > 0 {
		return 0, nil, fmt.Errorf("size, class or length of pipe %s is not stated in the plan", strings.Join(un, ", "))
	}
	if t.ErMPa == nil {
		return 0, nil, errors.New("the modulus ER is not known")
	}
	run, lenient := stretches(section, t)
	litres, err = loop.AllowedVolume(run, dropKPa, *t.ErMPa)
	if err == nil && lenient {
		says = []string{"the least wall of the class counted where none was measured: the allowed volume is lenient"}
	}
	return litres, says, err
}

// stretches are the pipes of a section. A wall that was measured counts for the pipes of
// the one size and class that the section has, else for the pipe that it was measured on.
func stretches(section TestSection, t logbook.PressureTest) (run []loop.Stretch, lenient bool) {
	first := section.Pipes[0]
	one := !slices.ContainsFunc(section.Pipes, func(p TestPipe) bool { return p.OdMM != first.OdMM || p.SDR != first.SDR })
	for _, p := range section.Pipes {
		s := loop.Stretch{Pipe: loop.Pipe{OdMM: p.OdMM, SDR: p.SDR}, LengthM: p.LengthM}
		if t.WallMM != nil && (one || strings.EqualFold(t.WallOf, p.Name)) {
			s.MeasuredMM = *t.WallMM
		} else {
			lenient = true
		}
		run = append(run, s)
	}
	return run, lenient
}

// Litres is what the pipes of a section hold by their least walls; false where the plan
// does not state them all.
func (t TestSection) Litres() (float64, bool) {
	if len(t.Unstated()) > 0 || len(t.Pipes) == 0 {
		return 0, false
	}
	run, _ := stretches(t, logbook.PressureTest{})
	litres, err := loop.Litres(run)
	return litres, err == nil
}

// byTrend shows the decay. It has no pass: what it comes to is a question for a person.
func byTrend(t logbook.PressureTest) PressureResult {
	load, _, loaded := t.PhaseOf(logbook.PhaseLoad)
	shut, _, closed := t.PhaseOf(logbook.PhaseDecay)
	gauge, err := gaugeOf(t)
	switch {
	case err != nil:
		return open("%v", err)
	case !loaded || !closed:
		return open("the loading, or that it was shut off, was not said")
	}
	loading, _ := load.When().Until(shut.When())
	three, ok := thirds(readingsFrom(t, shut.When(), nil), loading.Minutes())
	if !ok {
		return open("three readings are wanted, after about %s, %s and %s min or later", minutesOf(loading.Minutes()), minutesOf(7*loading.Minutes()), minutesOf(15*loading.Minutes()))
	}
	trend, err := loop.Decay(loading.Minutes(), three, gauge)
	if err != nil {
		return open("%s", plainly(err))
	}
	res := open("a trend without a pass; the issue of the method in force judges otherwise")
	res.Trend = &trend
	res.Lines = append(res.Lines, fmt.Sprintf("N1 %s, by the gauge's step between %s and %s", n3(trend.N1), n3(trend.N1Lies.Low), n3(trend.N1Lies.High)),
		fmt.Sprintf("N2 %s, by the gauge's step between %s and %s", n3(trend.N2), n3(trend.N2Lies.Low), n3(trend.N2Lies.High)), rising(trend))
	return res
}

func rising(t loop.Trend) string {
	switch t.Rising() {
	case loop.Within:
		return "N2 does not lie above N1, as far as the gauge shows"
	case loop.NotWithin:
		return "N2 lies above N1: that points to a leak; no number for it is known"
	}
	return "whether N2 lies above N1 this gauge cannot show"
}

// thirds are the readings nearest after one, seven and fifteen loading times.
func thirds(all []loop.Reading, loading float64) (three [3]loop.Reading, ok bool) {
	const slack = 0.5 // minutes: a reading is taken when the hand is there, our choice
	for i, times := range []float64{1, 7, 15} {
		least := times * loading
		if i < 2 {
			least -= slack
		}
		at := slices.IndexFunc(all, func(r loop.Reading) bool { return r.Minute >= least })
		if at < 0 {
			return three, false
		}
		three[i] = all[at]
	}
	return three, three[0].Minute < three[1].Minute && three[1].Minute < three[2].Minute
}

func n3(x float64) string { return fmt.Sprintf("%.3f", x) }

func minutesOf(x float64) string { return fusion.Figure(float64(int(x*10+0.5)) / 10) }

// MostBar is the most that the gauge may show before the weakest part has more than its
// rating at the lowest point; false where its rating is not known. A height that nobody
// knows counts as none.
func MostBar(b logbook.PressureBegun) (float64, bool) {
	if b.WeakestBar == nil {
		return 0, false
	}
	height, water := 0.0, 10.0 // the water's weight differs by a thousandth over its range
	if b.Gauge.AboveM != nil {
		height = *b.Gauge.AboveM
	}
	_, most, err := loop.Weakest([]loop.Part{{Name: b.Weakest, RatedKPa: *b.WeakestBar * perBar}}, height, water)
	if err != nil {
		return 0, false
	}
	return most / perBar, true
}

// HighestBar is the most that was wanted or read.
func HighestBar(t logbook.PressureTest) float64 {
	most := t.Bar
	for _, r := range t.Readings {
		if r.Bar != nil {
			most = max(most, *r.Bar)
		}
	}
	return most
}
