// Package ahead says what follows from the records for the hours to come: what
// runs and holds, in which order to take the joints, what is covered or lost,
// which ports are taken, what to offer. It is given records and a now, reads no
// file and stores nothing.
package ahead

import (
	"cmp"
	"slices"
	"time"

	"coolhold/fusion"
	"coolhold/logbook"
)

// A Running is one fusion or hold that runs or waits for an answer.
type Running struct {
	Weld   logbook.Weld
	Fusing bool
	Left   time.Duration // negative: over for so long
	Known  bool          // false where no time is known, so none runs out
	Ends   time.Time     // local
	Doubt  fusion.Doubt
}

// Over tells whether the time has run out, so that somebody must answer.
func (r Running) Over() bool { return r.Known && r.Left <= 0 }

// wait is the place of an ended fusion before all else.
func (r Running) wait() int {
	if r.Fusing && r.Over() {
		return 0
	}
	return 1
}

// moves tells whether work on the pipe would still do harm: until the hold is
// over, which a fusion that nobody has answered for yet has before it.
func (r Running) moves() bool { return r.Fusing || !r.Over() }

// RunningOn are the fusions and holds of a site at now, the first to end first. A
// fusion that is over comes before all: a hold does no harm when it lasts longer.
func RunningOn(r logbook.Reader, site string, now, beat fusion.Stamp) []Running {
	var out []Running
	for _, w := range mayRun(r, site) {
		if line, ok := runningOf(w, now, beat); ok {
			out = append(out, line)
		}
	}
	slices.SortStableFunc(out, func(a, b Running) int {
		return cmp.Or(cmp.Compare(a.wait(), b.wait()), cmp.Compare(a.Left, b.Left))
	})
	return out
}

// mayRun are the welds of a site that may walk, fuse or be held, in the order
// they were begun.
func mayRun(r logbook.Reader, site string) []logbook.Weld {
	var out []logbook.Weld
	for _, id := range r.MayRun(site) {
		w, _ := r.Weld(site, id)
		out = append(out, w)
	}
	slices.SortFunc(out, func(a, b logbook.Weld) int { return logbook.ByNumber(&a, &b) })
	return out
}

func runningOf(w logbook.Weld, now, beat fusion.Stamp) (Running, bool) {
	line := Running{Weld: w, Fusing: w.Fusing()}
	var span fusion.Span
	switch {
	case line.Fusing:
		span, line.Known = w.FusionSpan()
	case w.Holding():
		if w.Hold != nil {
			span, line.Known = *w.Hold, true
		}
	case w.Between(): // warm, and with no time to run out
	default:
		return Running{}, false
	}
	if line.Known {
		line.Left, line.Doubt = span.Left(now, beat)
		line.Ends = span.Ends(now, beat)
	}
	return line, true
}

// PipeHeld finds a running hold or fusion on a pipe of a joint: work there
// would move it.
func PipeHeld(r logbook.Reader, j logbook.Joint, now, beat fusion.Stamp) (Running, bool) {
	return heldOn(r, RunningOn(r, j.Site, now, beat), j)
}

// heldOn finds among what runs on a site what PipeHeld does.
func heldOn(r logbook.Reader, running []Running, j logbook.Joint) (Running, bool) {
	for _, line := range running {
		other, _ := r.Joint(j.Site, line.Weld.Joint)
		if line.moves() && j.Shares(other.Joint) && other.Label != j.Label {
			return line, true
		}
	}
	return Running{}, false
}

// OpenJoints are the joints in which a fitting must still be fused, in the
// order to take them: low row first, since the leads must still reach, then as
// planned (common practice, no source).
func OpenJoints(r logbook.Reader, site string) []logbook.Joint {
	var open []logbook.Joint
	chamber := map[string]int{} // in the plan's order; what lies outside comes after
	for _, j := range r.Joints(site) {
		if _, met := chamber[j.Chamber]; !met {
			chamber[j.Chamber] = len(chamber)
		}
		if j.Open() {
			open = append(open, j)
		}
	}
	slices.SortStableFunc(open, func(a, b logbook.Joint) int {
		return cmp.Or(cmp.Compare(chamber[a.Chamber], chamber[b.Chamber]), cmp.Compare(rowRank(a.Row), rowRank(b.Row)), cmp.Compare(a.Order, b.Order))
	})
	return open
}

func rowRank(row string) int {
	if row == "low" {
		return 0
	}
	return 1
}

// A Forecast says what is left and from when a pressure test may start as far
// as the tables say.
type Forecast struct {
	Open     int             // joints without a weld
	LastHold time.Time       // when the last running hold ends; zero: none runs
	Wait     Wait            // the longest pressure wait; zero: none known
	NoWait   []string        // fittings standing whose table prints no pressure wait
	Again    []string        // joints whose weld must be cut out and made again first
	Lost     []logbook.Event // losses of pressure not repaired: no test is forecast
}

// ForecastOf looks ahead from now; failed says which weld failed by the audit.
func ForecastOf(r logbook.Reader, site string, failed func(weld string) bool, now, beat fusion.Stamp) Forecast {
	s, _ := r.Site(site)
	f := Forecast{Open: len(OpenJoints(r, site)), Again: MadeAgain(r, site, failed), Lost: OpenLosses(r, s)}
	for _, line := range RunningOn(r, site, now, beat) {
		if !line.Fusing && line.Known && !line.Over() && line.Ends.After(f.LastHold) {
			f.LastHold = line.Ends
		}
	}
	for _, w := range r.Welds(site) {
		if !w.Stands() || w.Ended == nil {
			continue
		}
		wait, ok := WaitOf(s, w, now, beat)
		if !ok {
			if name := cmp.Or(w.Fitting(), "a fitting that nobody named"); !slices.Contains(f.NoWait, name) {
				f.NoWait = append(f.NoWait, name)
			}
			continue
		}
		if wait.Over.After(f.Wait.Over) {
			f.Wait = wait
		}
	}
	slices.Sort(f.NoWait)
	return f
}

// A Wait is the time that a table wants to pass before a weld is put under pressure.
type Wait struct {
	Over   time.Time // local, by the clock of now, when it is surely over
	ByWall time.Time // when it is over by the wall clock; the same where nothing is in doubt
	Runs   bool      // it is not over yet
	Doubt  fusion.Doubt
}

// Doubtful tells whether a wait runs that the wall clock says ends at another time,
// and nobody can tell which is right.
func (w Wait) Doubtful() bool {
	return w.Runs && w.Doubt != fusion.Sure && !w.ByWall.Equal(w.Over)
}

// WaitOf is the pressure wait of a weld at now, by its clock as it is then: one that
// was set takes nothing of it away.
func WaitOf(s logbook.Site, w logbook.Weld, now, beat fusion.Stamp) (Wait, bool) {
	span, known := w.Wait()
	byWall, told := w.WaitOver()
	if !known || !told {
		return Wait{}, false
	}
	left, doubt := span.LeftAlong(s.Course, now, beat)
	wait := Wait{Over: now.Local().Add(left), ByWall: byWall, Runs: left > 0, Doubt: doubt}
	switch {
	case wait.Over.Sub(byWall).Abs() <= kept, !wait.Runs && doubt != fusion.Sure && byWall.Before(now.Local()):
		wait.Over = byWall
	case doubt == fusion.Sure: // its clock was set, so what it said before means nothing
		wait.ByWall = wait.Over
	}
	return wait, true
}

// kept is how far the clocks may run apart so that a time that was told stays: our
// choice.
const kept = 2 * time.Second

// Busy finds the weld that a unit is fusing.
func Busy(r logbook.Reader, site, unit string) (logbook.Weld, bool) {
	for _, w := range mayRun(r, site) {
		if w.Fusing() && w.Unit == unit {
			return w, true
		}
	}
	return logbook.Weld{}, false
}
