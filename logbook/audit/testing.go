package audit

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"time"

	"coolhold/fusion"
	"coolhold/fusion/loop"
	"coolhold/logbook"
	"coolhold/logbook/ahead"
)

// NoTest is what is said of a part of the site of which no test is recorded.
const NoTest = "no pressure test is recorded here"

// asFar goes behind what a test came to: it is what was recorded, no more.
const asFar = ", as far as recorded"

// A Testing is how a section stands towards its pressure test.
type Testing struct {
	Section     ahead.TestSection `json:"-"`
	Name        string            `json:"section"`
	Joints      []string          `json:"joints"`
	NotAccepted []string          `json:"not_accepted"`
	NotBefore   string            `json:"not_before,omitempty"` // local time, RFC 3339, while a printed wait runs
	PrintsNone  []string          `json:"prints_no_wait,omitempty"`
	Litres      *float64          `json:"litres,omitempty"` // by the least walls: an upper figure
	Tests       []TestState       `json:"tests"`            // oldest first
	wait        ahead.SectionWait
}

// A TestState is one test with what it comes to, for other programs. The outcome is
// "within", "not_within" or "undecided"; nothing says that a section is tight.
type TestState struct {
	ID      string          `json:"test"`
	Stage   string          `json:"stage"`
	Method  string          `json:"method"`
	Begun   string          `json:"begun"` // local time, RFC 3339
	By      string          `json:"by"`
	Ended   string          `json:"ended,omitempty"`
	Ending  string          `json:"ending,omitempty"`
	Outcome string          `json:"outcome,omitempty"` // once it has ended
	Says    []string        `json:"says"`
	Without []ahead.Outside `json:"without"` // joints that it does not hold
	LeftBar *float64        `json:"left_bar,omitempty"`
	tested  Tested
}

// TestingOf is how a section stands at now.
func TestingOf(r logbook.Reader, res Result, section ahead.TestSection, now, beat fusion.Stamp) Testing {
	t := Testing{Section: section, Name: section.Name, NotAccepted: append([]string{}, res.NotAccepted(section)...), Tests: []TestState{}}
	for _, j := range section.Joints {
		t.Joints = append(t.Joints, j.Label)
	}
	t.wait = ahead.SectionWaitOf(r, res.site, section, now, beat)
	if t.PrintsNone = t.wait.NoWait; t.wait.Runs {
		t.NotBefore = logbook.UpMinute(t.wait.Over).Format(rfc3339)
	}
	if litres, known := section.Litres(); known {
		litres = math.Round(litres*100) / 100
		t.Litres = &litres
	}
	for _, k := range res.Tests() {
		if k.Section == section.ID {
			t.Tests = append(t.Tests, k.State())
		}
	}
	return t
}

const rfc3339 = "2006-01-02T15:04:05Z07:00"

// Holding tells whether a joint, as it stands now, is in the test.
func (t Tested) Holding(label string) bool { return t.Of.Has(label) && t.out(label) == "" }

// State is a test for other programs.
func (t Tested) State() TestState {
	s := TestState{
		ID: t.ID, Stage: t.Stage.String(), Method: t.Method.String(), Begun: t.When().Local().Format(rfc3339), By: t.By,
		Says: append([]string{}, t.Result.Lines...), Without: append([]ahead.Outside{}, t.Outside...), tested: t,
	}
	if e := t.Ended; e != nil {
		s.Ended, s.Ending, s.Outcome, s.LeftBar = e.When().Local().Format(rfc3339), e.Ending.String(), t.Result.Outcome.Code(), e.LeftBar
	}
	return s
}

// Line is a test in one line for a person.
func (s TestState) Line() string { return s.tested.Line() }

// Line is a test in one line for a person: "KM-P1, before cover, 12 March 2026: within
// what the method allows, as far as recorded; without 3B".
func (t Tested) Line() string {
	return fmt.Sprintf("%s, %s, %s: %s", t.ID, t.Stage, t.When().Local().Format("2 January 2006"), t.Came())
}

// Came is what a test came to, in a few words.
func (t Tested) Came() string {
	says := t.Result.Outcome.String() + asFar
	switch e := t.Ended; {
	case e == nil:
		return "goes on"
	case e.Ending == logbook.CalledOff && t.Result.Outcome != loop.NotWithin:
		says = "called off"
	case t.Result.Outcome == loop.CannotDecide:
		says = t.Result.Outcome.String()
	}
	if out := ahead.Without(t.Outside); out != "" && t.Holds() {
		says += "; " + out
	}
	return says
}

// Lines say how a section stands: what the last test came to, else whether it may be
// tested and from when. It advises.
func (t Testing) Lines(now fusion.Stamp) []string {
	var says []string
	for _, s := range t.Tests {
		says = append(says, s.Line())
	}
	if len(t.NotAccepted) > 0 {
		says = append(says, "not accepted: "+strings.Join(t.NotAccepted, ", "))
	} else {
		says = append(says, "every joint is accepted")
	}
	if line := t.wait.Line(now); line != "" {
		says = append(says, line)
	}
	if len(t.Tests) == 0 {
		says = append(says, NoTest)
	}
	return says
}

// Short says in a few words how a section stands, for lists: its newest test, else that
// there is none.
func (t Testing) Short() string {
	if len(t.Tests) == 0 {
		return "no test"
	}
	k := t.Tests[len(t.Tests)-1].tested
	return k.When().Local().Format("2 Jan") + ": " + k.Came()
}

// TestedLines say what is recorded of pressure tests of some joints: of each section the
// newest test that ran to its end, which joints none of them holds, and what fell.
func (res Result) TestedLines(joints []logbook.Joint) []string {
	var lines []string
	left := labelsOf(joints)
	for i, t := range slices.Backward(res.Tests()) {
		if !slices.ContainsFunc(joints, func(j logbook.Joint) bool { return t.Of.Has(j.Label) }) {
			continue
		}
		newer := slices.ContainsFunc(res.Tests()[i+1:], func(o Tested) bool { return o.Section == t.Section && o.Ended != nil })
		if t.Ended == nil || !newer && t.Stage.Welds() {
			lines = append([]string{"pressure test " + t.Line() + " (" + t.Of.Name + ")"}, lines...)
		}
		if t.Holds() {
			left = slices.DeleteFunc(left, func(l string) bool { return t.Of.Has(l) && t.out(l) == "" })
		}
	}
	if len(lines) == 0 {
		return []string{NoTest}
	}
	bare := bareOf(joints)
	without := func(l string) bool { return slices.Contains(bare, l) }
	if made := slices.DeleteFunc(slices.Clone(left), without); len(made) > 0 {
		lines = append(lines, "no pressure test holds "+strings.Join(made, ", "))
	}
	if left = slices.DeleteFunc(left, func(l string) bool { return !without(l) }); len(left) > 0 {
		lines = append(lines, "without a weld, so in no test: "+strings.Join(left, ", "))
	}
	return lines
}

// bareOf are the joints in which no weld stands.
func bareOf(joints []logbook.Joint) []string {
	return labelsOf(slices.DeleteFunc(slices.Clone(joints), func(j logbook.Joint) bool { return j.Stands != "" }))
}

func labelsOf(joints []logbook.Joint) []string {
	out := make([]string, len(joints))
	for i, j := range joints {
		out[i] = j.Label
	}
	return out
}

// Fell are the open tests' failures that touch some joints, each in a line.
func (res Result) Fell(joints []logbook.Joint) []string {
	var says []string
	for _, t := range res.Tests() {
		f, found := res.Find(PressureFailed + ":" + t.ID)
		if found && f.Open() && slices.ContainsFunc(joints, func(j logbook.Joint) bool { return t.Of.Has(j.Label) }) {
			says = append(says, fmt.Sprintf("pressure test %s of %s: %s", t.ID, t.Of.Name, t.Came()))
		}
	}
	return says
}

// PressureCaution stands wherever a section is put under pressure.
const PressureCaution = "A pressure test stores energy: people out of the trench, bleed slowly, no air. The site's own rules come first."

// OfTest are the findings on one test.
func (res Result) OfTest(id string) []Finding {
	return res.where(func(f Finding) bool { return strings.HasSuffix(f.Key, ":"+id) })
}

// Course is what was done in a test, one thing a line, in the order of their times.
func (t Tested) Course() []string {
	type done struct {
		at   logbook.Timed
		line string
	}
	var all []done
	for _, p := range t.Phases {
		all = append(all, done{p.When(), p.Phase.String()})
	}
	for i, r := range t.Readings {
		line := fmt.Sprintf("%d. %s", i+1, logbook.PressureFigure(r.Bar, r.LetOutL))
		if r.Bar == nil && r.LetOutL == nil {
			line = fmt.Sprintf("%d.", i+1)
		}
		if r.Text != "" {
			line += " " + r.Text
		}
		if n := len(r.Was); n > 0 {
			line += fmt.Sprintf(" (was %s; %s: %s)", logbook.PressureFigure(r.Was[0].Bar, r.Was[0].LetOutL), r.Fixes[n-1].By, r.Fixes[n-1].Why)
		}
		all = append(all, done{r.When(), line})
	}
	slices.SortStableFunc(all, func(a, b done) int {
		d, _ := b.at.Until(a.at)
		return int(max(-1, min(1, d)))
	})
	var out []string
	for _, d := range all {
		out = append(out, d.at.Local().Format("15:04")+"  "+d.line)
	}
	if e := t.Ended; e != nil {
		out = append(out, e.When().Local().Format("15:04")+"  "+strings.TrimPrefix(e.Line(), "pressure test "+e.Test+": "))
	}
	return out
}

// A TestRecord is one test whole, for other programs; its keys never change.
type TestRecord struct {
	TestState
	Section  string              `json:"section"`
	Given    map[string]string   `json:"given"` // as typed, by key; what is not known is not there
	Missing  []string            `json:"not_accepted_at_begin"`
	Phases   []PhaseRecord       `json:"phases"`
	Readings []ReadingRecord     `json:"readings"`
	Leaks    string              `json:"leaks,omitempty"`
	Later    string              `json:"entered_later,omitempty"` // why
	Back     *logbook.Withdrawal `json:"taken_back,omitempty"`
}

// A PhaseRecord is a phase for other programs.
type PhaseRecord struct {
	Phase string `json:"phase"`
	At    string `json:"at"`
}

// A ReadingRecord is a reading for other programs.
type ReadingRecord struct {
	At     string  `json:"at"`
	Minute float64 `json:"minute"` // since the begin, to a tenth
	// OnChart is its minute on the chart, which counts from where the pressure was reached.
	OnChart float64  `json:"chart_minute"`
	Bar     *float64 `json:"bar,omitempty"`
	LetOutL *float64 `json:"let_out_l,omitempty"`
	By      string   `json:"by"`
	Was     *float64 `json:"was_bar,omitempty"` // before it was put right
}

// Record is a test whole.
func (t Tested) Record() TestRecord {
	r := TestRecord{TestState: t.State(), Section: t.Of.Name, Given: map[string]string{}, Missing: append([]string{}, t.Missing...), Phases: []PhaseRecord{}, Readings: []ReadingRecord{}, Later: t.Why}
	for _, v := range logbook.PressureValues {
		if s := v.Stored(t.PressureBegun); s != "" && v.Asked(t.Method) {
			r.Given[v.Key] = s
			if v.Options != nil {
				r.Given[v.Key] = v.Options.Word(s)
			}
		}
	}
	for _, p := range t.Phases {
		r.Phases = append(r.Phases, PhaseRecord{p.Phase.String(), p.When().Local().Format(rfc3339)})
	}
	for _, k := range t.Readings {
		d, _ := t.When().Until(k.When())
		onChart, _ := t.plotFrom().Until(k.When())
		rec := ReadingRecord{At: k.When().Local().Format(rfc3339), Minute: tenth(d), OnChart: tenth(onChart), Bar: k.Bar, LetOutL: k.LetOutL, By: k.By}
		if len(k.Was) > 0 {
			rec.Was = k.Was[0].Bar
		}
		r.Readings = append(r.Readings, rec)
	}
	r.Back = t.Withdrawn
	if t.Ended != nil && t.Ended.Leaks != "" {
		r.Leaks = logbook.Leaks.Word(t.Ended.Leaks)
	}
	return r
}

// tenth are minutes to a tenth.
func tenth(d time.Duration) float64 { return math.Round(d.Minutes()*10) / 10 }

// Standing says how a section stands without its tests: whether every joint is accepted,
// and from when the tables let it be put under pressure.
func (t Testing) Standing(now fusion.Stamp) []string {
	t.Tests = nil
	return t.Lines(now)[:len(t.Lines(now))-1]
}

// A Plotted is a pressure at a minute: of a test as specified since the pressure was
// reached, else since its begin.
type Plotted struct{ Minute, Bar float64 }

// plotFrom is when the minutes of its chart begin.
func (t Tested) plotFrom() logbook.Timed {
	if t.Method == logbook.AsSpecified {
		if hold, begun := ahead.HoldFrom(t.PressureTest); begun {
			return hold
		}
	}
	return t.When()
}

// MinuteAt is how far along its chart a time lies.
func (t Tested) MinuteAt(now fusion.Stamp) float64 {
	d, _ := t.plotFrom().Until(logbook.Timed{At: now})
	return d.Minutes()
}

// Plot is the pressures of a test for a chart.
func (t Tested) Plot() []Plotted {
	from := t.plotFrom()
	var out []Plotted
	for _, r := range t.Pressures(from, nil) {
		d, _ := from.Until(r.When())
		out = append(out, Plotted{d.Minutes(), *r.Bar})
	}
	return out
}

// A ChartLevel is a line across the chart of a test, with its name.
type ChartLevel struct {
	Bar  float64
	Name string
}

// Levels are the lines that a test is read against: the pressure that was to be reached,
// and how far it may fall from where it began.
func (t Tested) Levels() []ChartLevel {
	out := []ChartLevel{{t.Bar, "to be reached"}}
	if points := t.Plot(); t.AllowedBar != nil && len(points) > 0 {
		out = append(out, ChartLevel{points[0].Bar - *t.AllowedBar, "lowest allowed"})
	}
	return out
}

// TestedShort says for the board what was tested with what each newest test does not hold,
// the newest first: "Tested: circuit 3 on 12 March without 3B." It is "" where none has
// ended.
func (res Result) TestedShort() string {
	var says []string
	for i, t := range res.Tests() {
		newer := slices.ContainsFunc(res.Tests()[i+1:], func(o Tested) bool { return o.Section == t.Section })
		on := t.Of.Name + " on " + t.When().Local().Format("2 January")
		switch {
		case t.Open(), newer, t.Ended.Ending == logbook.CalledOff:
		case t.Result.Outcome == loop.NotWithin:
			says = append(says, on+" (not within)")
		case t.Holds() && t.Result.Outcome == loop.CannotDecide:
			says = append(says, strings.TrimSpace(on+" (nothing decided) "+ahead.Without(t.Outside)))
		case t.Holds():
			says = append(says, strings.TrimSpace(on+" "+ahead.Without(t.Outside)))
		}
	}
	if slices.Reverse(says); len(says) > 0 {
		return "Tested: " + strings.Join(says, "; ") + "."
	}
	return ""
}

// TestIn is the test that a finding is about; "" where it is about none that counts.
func (res Result) TestIn(f Finding) string {
	t, _ := res.testOf(f)
	return t.ID
}

func (res Result) testOf(f Finding) (Tested, bool) {
	for _, t := range res.Tests() {
		if f.Key == f.Rule+":"+t.ID {
			return t, true
		}
	}
	return Tested{}, false
}
