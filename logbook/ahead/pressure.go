package ahead

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"coolhold/fusion"
	"coolhold/logbook"
)

// A SectionWait says from when the tables let a section be put under pressure.
type SectionWait struct {
	Over   time.Time // the latest of its welds, local; zero: no table prints any
	Joint  string    // whose that is
	Runs   bool      // it is not over yet
	NoWait []string  // fittings standing in it whose table prints none
}

// SectionWaitOf is the pressure wait of a section at now.
func SectionWaitOf(r logbook.Reader, site string, t TestSection, now, beat fusion.Stamp) SectionWait {
	s, _ := r.Site(site)
	var out SectionWait
	for _, j := range t.Joints {
		w, ok := r.Weld(site, j.Stands)
		if !ok || !w.Stands() || w.Ended == nil {
			continue
		}
		wait, known := WaitOf(s, w, now, beat)
		switch {
		case !known && !slices.Contains(out.NoWait, w.Fitting()):
			out.NoWait = append(out.NoWait, w.Fitting())
		case known && wait.Over.After(out.Over):
			out.Over, out.Joint = wait.Over, j.Label
			out.Runs = out.Runs || wait.Runs
		}
	}
	slices.Sort(out.NoWait)
	return out
}

// Line says when it is over: "not before 02:08; elbow 63 prints none". It is "" where
// no weld stands there.
func (w SectionWait) Line(now fusion.Stamp) string {
	var says []string
	switch at := logbook.UpMinute(w.Over); {
	case w.Over.IsZero():
	case !w.Runs:
		says = append(says, "the longest printed pressure wait is over")
	case at.Format(time.DateOnly) != now.Local().Format(time.DateOnly):
		says = append(says, "not before "+at.Format("2 Jan 15:04"))
	default:
		says = append(says, "not before "+at.Format("15:04"))
	}
	if len(w.NoWait) > 0 {
		says = append(says, strings.Join(w.NoWait, ", ")+" prints none")
	}
	return strings.Join(says, "; ")
}

// An EarlyWeld is a weld whose printed pressure wait was not over when its section was
// put under pressure.
type EarlyWeld struct {
	Joint string    `json:"joint"`
	Weld  string    `json:"weld"`
	Over  time.Time `json:"over"`
}

// EarlyIn are the welds of a test whose wait was not over when it was begun. Where both
// were logged as they happened the clock that counts the wait tells, else the times.
func EarlyIn(r logbook.Reader, s logbook.Site, section TestSection, t logbook.PressureTest) []EarlyWeld {
	var out []EarlyWeld
	for _, j := range section.Joints {
		for _, id := range j.Welds {
			w, ok := r.Weld(s.ID, id)
			if !ok || w.Ended == nil || !stoodAt(w, t.When()) {
				continue
			}
			if over, early := earlyFor(s, w, t); early {
				out = append(out, EarlyWeld{j.Label, w.ID, over})
			}
		}
	}
	return out
}

func earlyFor(s logbook.Site, w logbook.Weld, t logbook.PressureTest) (time.Time, bool) {
	span, known := w.Wait()
	over, told := w.WaitOver()
	if !known || !told {
		return time.Time{}, false
	}
	if t.Stated != nil || w.EndedStated != nil || !span.Began.SameBoot(t.At) {
		return over.Truncate(time.Second), t.When().Local().Before(over)
	}
	left, _ := span.LeftAlong(s.Course, t.At, fusion.Stamp{})
	return t.At.Local().Add(left).Truncate(time.Second), left > 0
}

// BeyondGauge tells whether the gauge of a test ends below the pressure that was wanted.
func BeyondGauge(b logbook.PressureBegun) bool {
	return b.Gauge.RangeBar != nil && *b.Gauge.RangeBar < b.Bar
}

// StoodIn is the weld that stood in a joint at a time, as its own times have it.
func StoodIn(r logbook.Reader, s logbook.Site, j logbook.Joint, at logbook.Timed) (logbook.Weld, bool) {
	for _, id := range slices.Backward(j.Welds) {
		if w, ok := r.Weld(s.ID, id); ok && w.Ended != nil && stoodAt(w, at) {
			return w, true
		}
	}
	return logbook.Weld{}, false
}

// stoodAt tells whether a weld was fused before a time and not cut out by then.
func stoodAt(w logbook.Weld, at logbook.Timed) bool {
	began, ok := beganOf(w)
	if !ok || !began.Before(at) {
		return false
	}
	cut, is := said(w, logbook.CutOut{}.Kind())
	return !is || w.CutUnsaid || !cut.Before(at)
}

func beganOf(w logbook.Weld) (logbook.Timed, bool) {
	if w.Started == nil {
		return logbook.Timed{}, false
	}
	return logbook.Timed{At: *w.Started, Stated: w.StartedStated}, true
}

// said is when an entry of a kind last came to a weld.
func said(w logbook.Weld, kind logbook.Kind) (logbook.Timed, bool) {
	for _, e := range slices.Backward(w.Trail) {
		if e.Kind == kind {
			return logbook.Timed{At: e.At}, true
		}
	}
	return logbook.Timed{}, false
}

// An Outside is a joint that a test does not hold, and why.
type Outside struct {
	Joint string `json:"joint"`
	Weld  string `json:"weld,omitempty"`
	Why   string `json:"why"` // a code of OutsideWhys
}

// The reasons why a test does not hold a joint.
const (
	OutNoWeld    = "open"
	OutLater     = "later"
	OutDisturbed = "disturbed"
	OutLost      = "lost"
)

// outsideSays are the reasons in words.
var outsideSays = map[string]string{
	OutNoWeld: "no weld stands in it", OutLater: "its weld was made after it", OutDisturbed: "it was disturbed after it", OutLost: "pressure was lost on it after it",
}

// Says is why in words.
func (o Outside) Says() string { return outsideSays[o.Why] }

// OutsideOf are the joints of a section that a test of it does not hold, as they stand
// now: what was welded, cut out, disturbed or lost since.
func OutsideOf(r logbook.Reader, s logbook.Site, section TestSection, t logbook.PressureTest) []Outside {
	var out []Outside
	for _, j := range section.Joints {
		if why := outside(r, s, j, t); why != "" {
			out = append(out, Outside{j.Label, j.Stands, why})
		}
	}
	return out
}

func outside(r logbook.Reader, s logbook.Site, j logbook.Joint, t logbook.PressureTest) string {
	w, ok := r.Weld(s.ID, j.Stands)
	if !ok {
		return OutNoWeld
	}
	until := t.When()
	if t.Ended != nil {
		until = t.Ended.When()
	}
	if !stoodAt(w, t.When()) {
		return OutLater
	}
	if moved, is := said(w, logbook.Disturbed{}.Kind()); is && !moved.Before(until) {
		return OutDisturbed
	}
	lost := func(e logbook.Event) bool {
		return e.What == logbook.PressureLost && e.Touches(j) && e.Seq > t.Seq && e.On >= until.Local().Format(time.DateOnly)
	}
	if slices.ContainsFunc(s.Events, lost) {
		return OutLost
	}
	return ""
}

// Without says which joints a test does not hold: "without 3B"; "" where it holds all.
func Without(out []Outside) string {
	if len(out) == 0 {
		return ""
	}
	labels := make([]string, len(out))
	for i, o := range out {
		labels[i] = o.Joint
	}
	return "without " + strings.Join(labels, ", ")
}

// PhaseWant is how long a phase of a test lasts by its method; 0 where it goes on until
// something is done.
func PhaseWant(t logbook.PressureTest, phase logbook.PressurePhase) time.Duration {
	if phase == logbook.PhaseHold {
		return time.Duration(t.Minutes) * time.Minute
	}
	return time.Duration(phaseMin[phase]) * time.Minute
}

// PhaseSpan is the phase of a test that goes on as a span; false where none has a time.
func PhaseSpan(t logbook.PressureTest) (fusion.Span, bool) {
	p, begun := t.Phase()
	want := PhaseWant(t, p.Phase)
	if !t.Open() || !begun || want == 0 {
		return fusion.Span{}, false
	}
	span := fusion.Span{Began: p.At, Want: want}
	if p.Stated != nil {
		span.Done = p.At.Wall.Sub(*p.Stated)
	}
	return span, true
}

// A TestRunning is a pressure test that goes on, with what is left of its phase.
type TestRunning struct {
	Test  logbook.PressureTest
	Phase logbook.PressurePhase // "": none was begun
	Left  time.Duration         // negative: over for so long
	Known bool                  // false where the phase goes on until something is done
	Ends  time.Time             // local
	Doubt fusion.Doubt
	Read  bool // the gauge was read once that time was over
}

// Over tells whether the time of its phase has run out.
func (r TestRunning) Over() bool { return r.Known && r.Left <= 0 }

// Waits tells whether the gauge is to be read now.
func (r TestRunning) Waits() bool { return r.Over() && !r.Read }

// TestsOn are the pressure tests of a site that go on at now, oldest first.
func TestsOn(s logbook.Site, now, beat fusion.Stamp) []TestRunning {
	var out []TestRunning
	for _, t := range s.Tests {
		if t.Open() {
			out = append(out, TestRunningOf(t, now, beat))
		}
	}
	return out
}

// TestRunningOf is how an open test stands at now.
func TestRunningOf(t logbook.PressureTest, now, beat fusion.Stamp) TestRunning {
	p, _ := t.Phase()
	r := TestRunning{Test: t, Phase: p.Phase}
	span, known := PhaseSpan(t)
	if !known {
		return r
	}
	r.Known = true
	r.Left, r.Doubt = span.Left(now, beat)
	r.Ends = span.Ends(now, beat)
	if read := t.Pressures(p.When(), nil); len(read) > 0 {
		after, _ := p.When().Until(read[len(read)-1].When())
		r.Read = after >= span.Want
	}
	return r
}

// NextPhase is the phase of its method that follows; "" where the last one goes on.
func NextPhase(t logbook.PressureTest) logbook.PressurePhase {
	all := t.Method.Phases()
	p, begun := t.Phase()
	if !begun {
		return all[0]
	}
	if at := slices.Index(all, p.Phase); at >= 0 && at+1 < len(all) {
		return all[at+1]
	}
	return ""
}

// TestTitle is a test in a few words: "KM-P1, circuit 3, before cover, 12 March".
func TestTitle(section TestSection, t logbook.PressureTest) string {
	return fmt.Sprintf("%s, %s, %s, %s", t.ID, section.Name, t.Stage, t.When().Local().Format("2 January"))
}
