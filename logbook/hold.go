package logbook

import (
	"cmp"
	"crypto/sha256"
	"encoding/hex"
	"slices"
	"time"

	"coolhold/fusion"
)

// A Running is one fusion or hold that runs or waits for an answer.
type Running struct {
	Weld   Weld
	Fusing bool
	Left   time.Duration // negative: over for so long
	Known  bool          // false where no time is known, so none runs out
	Ends   time.Time     // local
	Doubt  fusion.Doubt
}

// Over tells whether the time has run out, so that somebody must answer.
func (r Running) Over() bool { return r.Known && r.Left <= 0 }

// moves tells whether work on the pipe would still do harm: until the hold is
// over, which a fusion that nobody has answered for yet has before it.
func (r Running) moves() bool { return r.Fusing || !r.Over() }

// RunningOn are the fusions and holds of a site at now, the first to end first.
func RunningOn(r Reader, site string, now, beat fusion.Stamp) []Running {
	var out []Running
	for _, w := range r.Welds(site) {
		if line, ok := runningOf(w, now, beat); ok {
			out = append(out, line)
		}
	}
	slices.SortStableFunc(out, func(a, b Running) int { return cmp.Compare(a.Left, b.Left) })
	return out
}

func runningOf(w Weld, now, beat fusion.Stamp) (Running, bool) {
	line := Running{Weld: w, Fusing: w.Fusing()}
	var span fusion.Span
	switch {
	case line.Fusing:
		span, line.Known = w.FusionSpan()
	case w.Holding():
		if w.Hold != nil {
			span, line.Known = *w.Hold, true
		}
	default:
		return Running{}, false
	}
	if line.Known {
		line.Left, line.Doubt = span.Left(now, beat)
		line.Ends = span.Ends(now, beat)
	}
	return line, true
}

// PipeHeld finds a running hold or fusion on the pipe of a joint: work there
// would move it.
func PipeHeld(r Reader, j Joint, now, beat fusion.Stamp) (Running, bool) {
	return heldOn(r, RunningOn(r, j.Site, now, beat), j)
}

// heldOn finds among what runs on a site what PipeHeld does.
func heldOn(r Reader, running []Running, j Joint) (Running, bool) {
	for _, line := range running {
		other, _ := r.Joint(j.Site, line.Weld.Joint)
		if line.moves() && j.Pipe != "" && other.Pipe == j.Pipe && other.Label != j.Label {
			return line, true
		}
	}
	return Running{}, false
}

// OpenJoints are the joints in which a fitting must still be fused, in the
// order to take them: low row first, since the leads must still reach, then as
// planned (common practice, no source).
func OpenJoints(r Reader, site string) []Joint {
	var open []Joint
	chamber := map[string]int{} // in the plan's order; what lies outside comes after
	for _, j := range r.Joints(site) {
		if _, met := chamber[j.Chamber]; !met {
			chamber[j.Chamber] = len(chamber)
		}
		if j.Open() {
			open = append(open, j)
		}
	}
	slices.SortStableFunc(open, func(a, b Joint) int {
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
	Open     int       // joints without a weld
	LastHold time.Time // when the last running hold ends; zero: none runs
	Wait     time.Time // when the longest pressure wait is over; zero: none known
	NoWait   []string  // fittings standing whose table prints no pressure wait
	Again    []string  // joints whose weld must be cut out and made again first
	Lost     []Event   // losses of pressure not repaired: no test is forecast
}

// ForecastOf looks ahead from now; failed says which weld failed by the audit.
func ForecastOf(r Reader, site string, failed func(weld string) bool, now, beat fusion.Stamp) Forecast {
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
		from, ok := w.WaitOver()
		if !ok {
			if !slices.Contains(f.NoWait, w.Fitting()) {
				f.NoWait = append(f.NoWait, w.Fitting())
			}
			continue
		}
		if from.After(f.Wait) {
			f.Wait = from
		}
	}
	slices.Sort(f.NoWait)
	return f
}

// WaitOver is the local time from which the table lets the weld be put under
// pressure. Where the table does not say from when it counts, the later of the
// two, the end of cooling, is taken.
func (w Weld) WaitOver() (time.Time, bool) {
	if w.Settings == nil || w.Settings.PressureWaitMin == nil {
		return time.Time{}, false
	}
	wait := time.Duration(*w.Settings.PressureWaitMin) * time.Minute
	from, ok := w.HoldUntil()
	if w.Settings.PressureWaitFrom == "fusion end" {
		from, ok = w.EndedAt()
	}
	return from.Add(wait), ok
}

// wallRan is what the wall clocks say has run of the hold. A stated end of
// fusion counts only where the hold was said to count from it.
func (w Weld) wallRan(now fusion.Stamp) time.Duration {
	switch {
	case w.Ended == nil:
		return 0
	case w.HoldStated:
		return max(0, now.Wall.Sub(*w.EndedStated))
	}
	return max(0, now.Wall.Sub(w.Ended.Wall))
}

// FoundAtStart is what a fresh start of the program must record before
// anything else: fusions that nobody watched to their end, and holds that ran
// across a restart of the machine, with what they have surely run.
func FoundAtStart(h Head, beat fusion.Stamp) Act {
	return func(r Reader) ([]Draft, error) {
		var drafts []Draft
		for _, s := range r.Sites() {
			drift := driftSince(s.LastAt, h.At)
			running := r.MayRun(s.ID)
			if drift.Abs() <= DriftMost && len(running) == 0 {
				continue
			}
			s, _ = r.Site(s.ID)
			h := h.at(s)
			if drift.Abs() > DriftMost {
				drafts = append(drafts, h.draft(ClockDoubted{Why: WhyDrift, DriftS: drift.Seconds()}))
			}
			for _, id := range running {
				w, _ := r.Weld(s.ID, id)
				drafts = append(drafts, found(h, w, beat)...)
			}
		}
		return drafts, nil
	}
}

// at is the head of what is said of one site in a save over several: each has
// an id of its own, so that the entries of one site do not tell of another's.
func (h Head) at(s Site) Head {
	sum := sha256.Sum256([]byte(s.UID + " " + h.ID))
	h.ID, h.Site, h.Shift = hex.EncodeToString(sum[:12]), s.ID, s.Shift
	return h
}

func found(h Head, w Weld, beat fusion.Stamp) (drafts []Draft) {
	if w.Fusing() && !w.Unwatched {
		drafts = append(drafts, h.weld(w, WalkResumed{Step: StepFusion, Found: true}))
	}
	if b, doubt := w.doubted(h.At, beat); doubt {
		drafts = append(drafts, h.weld(w, b))
	}
	return drafts
}

func (w Weld) doubted(now, beat fusion.Stamp) (ClockDoubted, bool) {
	if !w.Holding() || w.Hold == nil {
		return ClockDoubted{}, false
	}
	ran, doubt := w.Hold.Ran(now, beat)
	restarted := doubt == fusion.Restarted || doubt == fusion.Elsewhere || doubt == fusion.NoBoot && now.Boot < w.Hold.Began.Boot
	return ClockDoubted{Why: string(doubt), RanS: ran.Seconds(), ByWallS: w.wallRan(now).Seconds()}, restarted
}

// DriftMost is how far wall clock and boot clock may drift apart before it is
// recorded: our choice.
const DriftMost = 2 * time.Second

// driftSince is how far the wall clock moved against the boot clock between two
// stamps of one start of the machine.
func driftSince(then, now fusion.Stamp) time.Duration {
	if !then.SameBoot(now) {
		return 0
	}
	return now.Wall.Sub(then.Wall) - (now.Boot - then.Boot)
}

// DoubtDrift records that wall clock and boot clock drifted apart by drift.
func DoubtDrift(h Head, drift time.Duration) Act {
	return func(Reader) ([]Draft, error) {
		return []Draft{h.draft(ClockDoubted{Why: WhyDrift, DriftS: drift.Seconds()})}, nil
	}
}
