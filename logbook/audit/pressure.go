package audit

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"coolhold/fusion"
	"coolhold/fusion/loop"
	"coolhold/logbook"
	"coolhold/logbook/ahead"
)

// The rules on pressure tests, and on what changed after one. On a site that has no test
// none of them speaks.
const (
	PressureEarly     = "pressure-before-wait"
	PressureUnsettled = "pressure-not-accepted"
	PressureAbove     = "pressure-above-weakest"
	PressureGauge     = "pressure-beyond-gauge"
	PressureOpenTo    = "pressure-not-shut-off"
	PressureUnsaid    = "pressure-unsaid"
	PressureFixed     = "pressure-reading-corrected"
	PressureUndecided = "pressure-undecided"
	PressureFailed    = "pressure-failed"
	PressureOpen      = "pressure-test-open"
	PressureBack      = "pressure-test-taken-back"
	PressureOverlap   = "pressure-tests-overlap"
	UntestedSince     = "untested-since"
	ClosingUnseen     = "closing-weld-unseen"
	LeaksUnder        = "leaks-under-pressure"
	TestMissing       = "pressure-test-missing"
)

// ofTests are the rules whose queries are the matter of who made the test.
var ofTests = []string{PressureEarly, PressureUnsettled, PressureAbove, PressureGauge, PressureOpenTo, PressureUnsaid, PressureFixed, PressureUndecided, PressureBack, PressureOverlap}

// A Tested is one test with what it comes to, as the site stands now.
type Tested struct {
	logbook.PressureTest
	Of      ahead.TestSection
	Result  ahead.PressureResult
	Outside []ahead.Outside
}

// testedOf are the tests of a site that count, oldest first.
func (sc *scene) testedOf(r logbook.Reader, s logbook.Site) []Tested {
	var out []Tested
	for _, t := range s.Tests {
		if !t.Counts() {
			continue
		}
		of, known := sc.section(t.Section)
		if !known {
			of = ahead.TestSection{ID: t.Section, Name: t.Section.String()}
		}
		out = append(out, Tested{t, of, ahead.ResultOf(of, t), ahead.OutsideOf(r, s, of, t)})
	}
	return out
}

// Holds tells whether welds rest on a test: it ran to its end after the welding, a pressure
// was read in it, and it is not known to have fallen too far. Where nothing can be decided a
// query of its own asks.
func (t Tested) Holds() bool {
	read := slices.ContainsFunc(t.Readings, func(r logbook.Reading) bool { return r.Bar != nil })
	return read && t.Ended != nil && t.Ended.Ending == logbook.RanToEnd && t.Result.Outcome != loop.NotWithin && t.Stage.Welds()
}

// out is why a test of a joint's section does not hold it; "" where it does.
func (t Tested) out(label string) string {
	for _, o := range t.Outside {
		if o.Joint == label {
			return o.Why
		}
	}
	return ""
}

// after tells whether a test was begun once another had begun.
func (t Tested) after(o Tested) bool { return o.When().Before(t.When()) }

// Within tells whether a test holds all that another was made of.
func (t Tested) covers(o Tested) bool {
	return t.Section == o.Section || !slices.ContainsFunc(o.Of.Joints, func(j logbook.Joint) bool { return !t.Of.Has(j.Label) })
}

// repeated tells whether a later test took the place of one.
func (c Case) repeated(t Tested) bool {
	return slices.ContainsFunc(c.scene.tests, func(o Tested) bool {
		return o.ID != t.ID && o.after(t) && o.Holds() == t.Stage.Welds() && o.Ended != nil && o.Ended.Ending == logbook.RanToEnd && o.Result.Outcome != loop.NotWithin && o.covers(t)
	})
}

// test is the one that a moment is.
func (c Case) test() (Tested, bool) {
	if c.moment.test == nil {
		return Tested{}, false
	}
	i := slices.IndexFunc(c.scene.tests, func(t Tested) bool { return t.ID == c.moment.test.ID })
	if i < 0 {
		return Tested{}, false
	}
	return c.scene.tests[i], true
}

// A testFact is which test it is: facts of all these rules begin with it.
type testFact struct {
	Section string `json:"section"`
	On      string `json:"on"` // local day of its begin
}

func factOf(t Tested) testFact { return testFact{t.Section.String(), t.Day()} }

func (f testFact) says(id string) string {
	return fmt.Sprintf("pressure test %s of %s on %s", id, f.Section, f.On)
}

// An earlyFact is a test begun before some weld's printed wait was over.
type earlyFact struct {
	testFact
	Welds []ahead.EarlyWeld `json:"welds"`
}

func pressureEarly(c Case) (f earlyFact, found bool) {
	t, ok := c.test()
	if !ok || !t.Stage.Welds() {
		return f, false
	}
	f = earlyFact{factOf(t), ahead.EarlyIn(c.Read, c.Site, t.Of, t.PressureTest)}
	return f, len(f.Welds) > 0
}

func earlySays(id string, f earlyFact) string {
	var welds []string
	for _, w := range f.Welds {
		welds = append(welds, fmt.Sprintf("%s at %s not before %s", w.Weld, w.Joint, logbook.UpMinute(w.Over).Format("2 Jan 15:04")))
	}
	return fmt.Sprintf("%s was begun before the printed pressure wait was over: %s", f.says(id), strings.Join(welds, ", "))
}

// An unsettledFact is a test begun over joints that were not accepted.
type unsettledFact struct {
	testFact
	Joints []string `json:"joints"`
}

func pressureUnsettled(c Case) (f unsettledFact, found bool) {
	t, ok := c.test()
	if !ok || !t.Stage.Welds() {
		return f, false
	}
	f = unsettledFact{factOf(t), t.Missing}
	return f, len(f.Joints) > 0
}

func unsettledSays(id string, f unsettledFact) string {
	return fmt.Sprintf("%s was begun while not accepted: %s", f.says(id), strings.Join(f.Joints, ", "))
}

// An aboveFact is a pressure above what the weakest part takes, in bar.
type aboveFact struct {
	testFact
	Part   string   `json:"part,omitempty"`
	Rated  float64  `json:"rated_bar"`
	AboveM *float64 `json:"above_m,omitempty"` // gauge over the lowest point
	Most   float64  `json:"most_bar"`          // at the gauge
	Bar    float64  `json:"bar"`               // wanted or read
}

func pressureAbove(c Case) (f aboveFact, found bool) {
	t, ok := c.test()
	if !ok {
		return f, false
	}
	most, known := ahead.MostBar(t.PressureBegun)
	bar := ahead.HighestBar(t.PressureTest)
	if !known || bar <= most {
		return f, false
	}
	return aboveFact{factOf(t), t.Weakest, *t.WeakestBar, t.Gauge.AboveM, most, bar}, true
}

func aboveSays(id string, f aboveFact) string {
	line := fmt.Sprintf("%s: %s bar, and %s takes %s bar", f.says(id), fusion.Figure(f.Bar), orNothing(f.Part), fusion.Figure(f.Rated))
	if f.AboveM != nil && *f.AboveM != 0 {
		line += fmt.Sprintf(", with the gauge %s m above the lowest point at most %.2f bar at the gauge", fusion.Figure(*f.AboveM), f.Most)
	}
	return line
}

// A gaugeFact is a pressure that the gauge of a test cannot show, in bar.
type gaugeFact struct {
	testFact
	Range float64 `json:"range_bar"`
	Bar   float64 `json:"bar"` // wanted
}

func pressureGauge(c Case) (f gaugeFact, found bool) {
	t, ok := c.test()
	if !ok || !ahead.BeyondGauge(t.PressureBegun) {
		return f, false
	}
	return gaugeFact{factOf(t), *t.Gauge.RangeBar, t.Bar}, true
}

func gaugeSays(id string, f gaugeFact) string {
	return fmt.Sprintf("%s: %s bar were to be reached, and the gauge ends at %s bar", f.says(id), fusion.Figure(f.Bar), fusion.Figure(f.Range))
}

// An openFact are things that got the test pressure and must not.
type openFact struct {
	testFact
	Open []string `json:"open"`           // codes of logbook.ShutThings
	Caps bool     `json:"caps,omitempty"` // not rated or not restrained
}

func pressureOpenTo(c Case) (f openFact, found bool) {
	t, ok := c.test()
	if !ok {
		return f, false
	}
	f = openFact{testFact: factOf(t), Caps: t.Caps == logbook.No}
	for _, o := range logbook.ShutThings.List {
		if t.Shut[o.Code] == logbook.OpenToIt {
			f.Open = append(f.Open, o.Code)
		}
	}
	return f, len(f.Open) > 0 || f.Caps
}

func openToSays(id string, f openFact) string {
	var says []string
	if len(f.Open) > 0 {
		says = append(says, strings.Join(logbook.ShutThings.Words(f.Open...), ", ")+" open to it")
	}
	if f.Caps {
		says = append(says, "caps not rated or not restrained")
	}
	return f.says(id) + ": " + strings.Join(says, "; ")
}

// An unknownFact are values of a test that nobody knew and that it is read by.
type unknownFact struct {
	testFact
	Keys []string `json:"unknown"`
}

// readBy are the values without which a test says less than it seems to.
var readBy = []string{"weakest_bar", "resolution", "calibrated", "above"}

func pressureUnsaid(c Case) (f unknownFact, found bool) {
	t, ok := c.test()
	if !ok {
		return f, false
	}
	f = unknownFact{testFact: factOf(t)}
	for _, key := range readBy {
		if logbook.PressureValueOf(key).Stored(t.PressureBegun) == "" {
			f.Keys = append(f.Keys, key)
		}
	}
	return f, len(f.Keys) > 0
}

func unknownSays(id string, f unknownFact) string {
	var says []string
	for _, key := range f.Keys {
		name := logbook.PressureValueOf(key).Name
		if key == "weakest_bar" {
			name = "rating of the weakest part"
		}
		says = append(says, name)
	}
	return fmt.Sprintf("%s: not known: %s", f.says(id), strings.Join(says, ", "))
}

// A fixFact is a reading that was put right.
type fixFact struct {
	No  int      `json:"no"`
	Was *float64 `json:"was_bar,omitempty"`
	Is  *float64 `json:"is_bar,omitempty"`
	// WasL and IsL are of water that was let out.
	WasL *float64 `json:"was_l,omitempty"`
	IsL  *float64 `json:"is_l,omitempty"`
	By   string   `json:"by"`
	Why  string   `json:"why"`
}

type fixesFact struct {
	testFact
	Fixes []fixFact `json:"fixes"`
}

func pressureFixed(c Case) (f fixesFact, found bool) {
	t, ok := c.test()
	if !ok {
		return f, false
	}
	f.testFact = factOf(t)
	for i, r := range t.Readings {
		if len(r.Was) == 0 {
			continue
		}
		was, by := r.Was[0], r.Fixes[len(r.Fixes)-1]
		f.Fixes = append(f.Fixes, fixFact{i + 1, was.Bar, r.Bar, was.LetOutL, r.LetOutL, by.By, by.Why})
	}
	return f, len(f.Fixes) > 0
}

func fixedSays(id string, f fixesFact) string {
	var says []string
	for _, k := range f.Fixes {
		says = append(says, fmt.Sprintf("reading %d %s, was %s (%s: %s)", k.No, logbook.PressureFigure(k.Is, k.IsL), logbook.PressureFigure(k.Was, k.WasL), k.By, k.Why))
	}
	return fmt.Sprintf("%s: put right: %s", f.says(id), strings.Join(says, "; "))
}

// A comeFact is what a test is judged by: what was given before it, its phases and its
// readings, in minutes since its begin. What it comes to is computed from them again.
type comeFact struct {
	testFact
	methodFact
	Phases   []phaseFact            `json:"phases,omitempty"`
	Readings []readFact             `json:"readings,omitempty"`
	Ending   logbook.PressureEnding `json:"ending"`
	Leaks    string                 `json:"leaks,omitempty"`
	Pipes    []ahead.TestPipe       `json:"pipes,omitempty"`
}

// A methodFact is what a method takes of what was given before the test.
type methodFact struct {
	Method  logbook.PressureMethod `json:"method"`
	Bar     float64                `json:"bar"`
	Minutes int                    `json:"minutes,omitempty"`
	Allowed *float64               `json:"allowed_fall_bar,omitempty"`
	ErMPa   *float64               `json:"er_mpa,omitempty"`
	WallMM  *float64               `json:"wall_mm,omitempty"`
	WallOf  string                 `json:"wall_of,omitempty"`
	StepBar *float64               `json:"resolution_bar,omitempty"`
}

func (f methodFact) begun() logbook.PressureBegun {
	return logbook.PressureBegun{
		Method: f.Method, Bar: f.Bar, Minutes: f.Minutes, AllowedBar: f.Allowed, ErMPa: f.ErMPa, WallMM: f.WallMM, WallOf: f.WallOf, Gauge: logbook.Gauge{ResolutionBar: f.StepBar},
	}
}

type phaseFact struct {
	Phase  logbook.PressurePhase `json:"phase"`
	Minute float64               `json:"minute"`
	Order  int                   `json:"order"` // among phases and readings, as the log has them
}

type readFact struct {
	Minute   float64  `json:"minute"`
	Order    int      `json:"order"`
	Bar      *float64 `json:"bar,omitempty"`
	LetOutL  *float64 `json:"let_out_l,omitempty"`
	MeasureL *float64 `json:"measure_l,omitempty"`
}

func comeOf(t Tested) comeFact {
	method := methodFact{t.Method, t.Bar, t.Minutes, t.AllowedBar, t.ErMPa, t.WallMM, t.WallOf, t.Gauge.ResolutionBar}
	f := comeFact{testFact: factOf(t), methodFact: method, Ending: t.Ended.Ending, Leaks: t.Ended.Leaks}
	minute := func(at logbook.Timed) float64 {
		d, _ := t.When().Until(at)
		return d.Round(time.Millisecond).Minutes()
	}
	order := func(seq uint64) (n int) {
		n = 1
		for _, p := range t.Phases {
			if p.Seq < seq {
				n++
			}
		}
		for _, r := range t.Readings {
			if r.Seq < seq {
				n++
			}
		}
		return n
	}
	for _, p := range t.Phases {
		f.Phases = append(f.Phases, phaseFact{p.Phase, minute(p.When()), order(p.Seq)})
	}
	for _, r := range t.Readings {
		if r.Bar != nil || r.LetOutL != nil {
			f.Readings = append(f.Readings, readFact{minute(r.When()), order(r.Seq), r.Bar, r.LetOutL, r.MeasureL})
		}
	}
	if t.Method == logbook.EN805 {
		f.Pipes = t.Of.Pipes
	}
	return f
}

// result is what the facts come to.
func (f comeFact) result() ahead.PressureResult {
	day, _ := time.Parse(time.DateOnly, f.On)
	at := func(minute float64) *time.Time {
		t := day.Add(time.Duration(minute * float64(time.Minute)))
		return &t
	}
	t := logbook.PressureTest{PressureBegun: f.begun()}
	t.Stated = at(0)
	for _, p := range f.Phases {
		t.Phases = append(t.Phases, logbook.PhaseBegun{PressurePhased: logbook.PressurePhased{Phase: p.Phase, Stated: at(p.Minute)}, Signature: logbook.Signature{Seq: uint64(p.Order)}})
	}
	for _, r := range f.Readings {
		t.Readings = append(t.Readings, logbook.Reading{PressureRead: logbook.PressureRead{Bar: r.Bar, LetOutL: r.LetOutL, MeasureL: r.MeasureL, Stated: at(r.Minute)}, Signature: logbook.Signature{Seq: uint64(r.Order)}})
	}
	t.Ended = &logbook.PressureEnd{PressureEnded: logbook.PressureEnded{Ending: f.Ending, Leaks: f.Leaks}}
	return ahead.ResultOf(ahead.TestSection{Pipes: f.Pipes}, t)
}

func pressureUndecided(c Case) (f comeFact, found bool) {
	t, ok := c.test()
	if !ok || t.Ended == nil || t.Ended.Ending != logbook.RanToEnd || t.Result.Outcome != loop.CannotDecide || c.repeated(t) {
		return f, false
	}
	return comeOf(t), true
}

func comeSays(id string, f comeFact) string {
	return f.says(id) + ": " + strings.Join(f.result().Lines, "; ")
}

func pressureFailed(c Case) (f comeFact, found bool) {
	t, ok := c.test()
	if !ok || t.Ended == nil || t.Result.Outcome != loop.NotWithin || c.repeated(t) {
		return f, false
	}
	return comeOf(t), true
}

func pressureOpen(c Case) (testFact, bool) {
	t, ok := c.test()
	if !ok || !t.Open() {
		return testFact{}, false
	}
	return factOf(t), true
}

func testOpenSays(id string, f testFact) string {
	return f.says(id) + " was begun, and its end is not recorded"
}

// An overlapFact is a test that was begun while others of its section ran, to the minute.
type overlapFact struct {
	testFact
	Begun time.Time `json:"begun"`
	While []ranFact `json:"while"`
}

// A ranFact is when a test ran.
type ranFact struct {
	Test  string    `json:"test"`
	Begun time.Time `json:"begun"`
	Ended time.Time `json:"ended"`
}

func minuteOf(at logbook.Timed) time.Time { return at.Local().Truncate(time.Minute) }

// pressureOverlap speaks of the later of two tests. Of one whose end is not recorded
// another rule speaks.
func pressureOverlap(c Case) (f overlapFact, found bool) {
	t, ok := c.test()
	if !ok {
		return f, false
	}
	f = overlapFact{testFact: factOf(t), Begun: minuteOf(t.When())}
	for _, o := range c.scene.tests {
		if o.Section != t.Section || !t.after(o) || o.Ended == nil {
			continue
		}
		if ended := minuteOf(o.Ended.When()); f.Begun.Before(ended) {
			f.While = append(f.While, ranFact{o.ID, minuteOf(o.When()), ended})
		}
	}
	return f, len(f.While) > 0
}

func testsOverlapSays(id string, f overlapFact) string {
	var says []string
	for _, o := range f.While {
		says = append(says, fmt.Sprintf("%s ran from %s to %s", o.Test, o.Begun.Format("2 Jan 15:04"), o.Ended.Format("2 Jan 15:04")))
	}
	return fmt.Sprintf("%s was begun at %s, while %s", f.says(id), f.Begun.Format("15:04"), strings.Join(says, ", "))
}

// A backFact is a test with readings that was taken back.
type backFact struct {
	testFact
	By     string   `json:"by"`
	Why    string   `json:"why"`
	First  *float64 `json:"first_bar,omitempty"`
	Lowest *float64 `json:"lowest_bar,omitempty"`
}

// pressureBack speaks of a test that was taken back though the gauge had been read: what
// it would have shown is gone with it on the word of one person.
func pressureBack(c Case) (f backFact, found bool) {
	t := c.moment.test
	if t == nil || t.Counts() || len(t.Readings) == 0 {
		return f, false
	}
	f = backFact{testFact: testFact{t.Section.String(), t.Day()}, By: t.Withdrawn.By, Why: t.Withdrawn.Why}
	for _, r := range t.Pressures(t.When(), nil) {
		if f.First == nil {
			f.First = r.Bar
		}
		if f.Lowest == nil || *r.Bar < *f.Lowest {
			f.Lowest = r.Bar
		}
	}
	return f, true
}

func backSays(id string, f backFact) string {
	line := fmt.Sprintf("%s was taken back by %s (%s)", f.says(id), f.By, f.Why)
	if f.First != nil {
		line += fmt.Sprintf(", though %s bar were read and then %s", fusion.Figure(*f.First), fusion.Figure(*f.Lowest))
	}
	return line
}

// A sinceFact is a joint that changed after its section was tested.
type sinceFact struct {
	Test    string `json:"test"`
	Section string `json:"section"`
	On      string `json:"on"`
	Weld    string `json:"weld"`
	Why     string `json:"why"` // as in ahead.Outside
}

// untestedSince speaks of a joint whose section was tested, and which no test holds as
// it stands now. Of one without a weld, and of a closing weld, other rules speak.
func untestedSince(c Case) (f sinceFact, found bool) {
	if c.Weld.ID == "" || !c.Joint.Counts() || c.Weld.Closing != nil {
		return f, false
	}
	t, found := c.scene.lastWithout(c.Joint.Label)
	if !found {
		return f, false
	}
	return sinceFact{t.ID, t.Section.String(), t.Day(), c.Weld.ID, t.out(c.Joint.Label)}, true
}

// lastWithout is the last test of a section that a joint is in, where no test holds the
// joint.
func (sc *scene) lastWithout(label string) (last Tested, found bool) {
	for _, t := range sc.tests {
		if !t.Holds() || !t.Of.Has(label) {
			continue
		}
		if t.out(label) == "" {
			return Tested{}, false
		}
		last, found = t, true
	}
	return last, found
}

func sinceSays(joint string, f sinceFact) string {
	return fmt.Sprintf("joint %s is not in the pressure test of %s on %s (%s): %s", joint, f.Section, f.On, f.Test, ahead.Outside{Why: f.Why}.Says())
}

// A closingFact is a closing weld at which nobody else looked under pressure.
type closingFact struct {
	By  string `json:"by"`
	Why string `json:"why"`
}

func closingUnseen(c Case) (f closingFact, found bool) {
	k := c.Weld.Closing
	if k == nil || !c.Weld.Stands() || c.seenUnderPressure(k.Seq) {
		return f, false
	}
	if _, out := c.scene.lastWithout(c.Weld.Joint); !out {
		return f, false
	}
	return closingFact{k.By, k.Why}, true
}

// seenUnderPressure tells whether another than its welder looked at a weld since, with
// a witness, and saw no leak.
func (c Case) seenUnderPressure(since uint64) bool {
	return slices.ContainsFunc(c.Weld.Pressed, func(p logbook.Pressed) bool {
		return p.Seq > since && p.Leaks == logbook.LeakNone && logbook.IsName(p.Witness) && !c.madeBy(p.By) && !c.madeBy(p.Witness) && !c.scene.people.same(p.By, p.Witness)
	})
}

func closingSays(weld string, f closingFact) string {
	return fmt.Sprintf("%s is named as the closing weld by %s (%s): no test holds it, and nobody else looked at it under pressure with a witness", weld, f.By, f.Why)
}

func leaksUnder(c Case) (f ask, found bool) {
	for _, p := range c.Weld.Pressed {
		if p.Leaks == logbook.LeakThere {
			return ask{p.By, p.Text}, true
		}
	}
	return f, false
}

func leaksSays(weld string, f ask) string {
	line := fmt.Sprintf("%s leaked under pressure, as %s saw", weld, f.By)
	if f.Why != "" {
		line += ": " + f.Why
	}
	return line
}

// testMissing names the joints that no test holds though the plan wants them tested before
// cover: once every joint is accepted, so that nothing else is waited for, or ground lies
// on one.
func testMissing(c Case) (labels []string, found bool) {
	if c.Site.PressureTest == "" {
		return nil, false
	}
	ready := true
	for _, j := range c.scene.inOrder {
		if !j.Counts() {
			continue
		}
		ready = ready && c.found.sound(j)
		if !c.scene.held(j.Label) {
			_, under := ahead.Under(c.Site, j)
			found, labels = found || under, append(labels, j.Label)
		}
	}
	return labels, found || ready && len(labels) > 0
}

func missingSays(_ string, labels []string) string {
	return "the plan wants a pressure test before cover, and none holds " + strings.Join(labels, ", ")
}

// held tells whether some test holds a joint as it stands, or it was looked at under
// pressure as the closing weld.
func (sc *scene) held(label string) bool {
	w, _ := sc.weld(sc.joints[label].Stands)
	if w.Closing != nil && sc.caseOf(w.ID).seenUnderPressure(w.Closing.Seq) {
		return true
	}
	return slices.ContainsFunc(sc.tests, func(t Tested) bool { return t.Holds() && t.Holding(label) })
}

// Untested tells whether a joint changed after its section was tested, and no test
// holds it.
func (res Result) Untested(label string) bool {
	if res.scene == nil {
		return false
	}
	_, out := res.scene.lastWithout(label)
	return out
}

// Tests are the tests of the site that count with what they come to, oldest first.
func (res Result) Tests() []Tested {
	if res.scene == nil {
		return nil
	}
	return res.scene.tests
}

// NotAccepted are the joints in a section that are not accepted, or in which nothing
// stands.
func (res Result) NotAccepted(section ahead.TestSection) []string {
	var out []string
	for _, j := range section.Joints {
		if !res.sound(j) {
			out = append(out, j.Label)
		}
	}
	return out
}

// statedTests says of the tests whose begin was stated which joints were not accepted then,
// by what is known now: nobody looked at that time. Of one begun as it was logged the log
// holds what was seen.
func (res *Result) statedTests(s logbook.Site) {
	for i, t := range res.scene.tests {
		if t.Stated == nil {
			continue
		}
		res.scene.tests[i].Missing = nil
		for _, j := range t.Of.Joints {
			if j.Counts() && !res.soundAt(s, j, t.When()) {
				res.scene.tests[i].Missing = append(res.scene.tests[i].Missing, j.Label)
			}
		}
	}
}

// soundAt tells whether a weld stood in a joint at a time, out of its hold, with nothing on
// it that was accepted later or never.
func (res Result) soundAt(s logbook.Site, j logbook.Joint, at logbook.Timed) bool {
	w, stood := ahead.StoodIn(res.read, s, j, at)
	if !stood || heldAt(w, at) {
		return false
	}
	return !slices.ContainsFunc(res.OfWeld(w.ID), func(f Finding) bool {
		switch {
		case f.Work || f.Severity == Note || slices.Contains(afterTests, f.Rule):
			return false
		case f.Accepted == nil:
			return true
		}
		return !logbook.Timed{At: f.Accepted.At}.Before(at)
	})
}

// afterTests are rules on welds that speak of what came after a test only.
var afterTests = []string{UntestedSince, ClosingUnseen, LeaksUnder}

// heldAt tells whether a weld was still in its hold. When one that was entered later came
// out of it may not be known.
func heldAt(w logbook.Weld, at logbook.Timed) bool {
	switch {
	case w.Disturbed != nil || w.LateWhy != "" && w.ReleasedStated == nil:
		return false
	case w.Released == nil:
		return true
	}
	return !logbook.Timed{At: *w.Released, Stated: w.ReleasedStated}.Before(at)
}

// testers are who said something of a test: none of them passes it alone.
func testers(t logbook.PressureTest) []string {
	out := []string{t.By}
	for _, r := range t.Readings {
		out = append(out, r.By)
		for _, fix := range r.Fixes {
			out = append(out, fix.By)
		}
	}
	if t.Ended != nil {
		out = append(out, t.Ended.By)
	}
	if t.Withdrawn != nil {
		out = append(out, t.Withdrawn.By)
	}
	slices.Sort(out)
	return slices.Compact(out)
}
