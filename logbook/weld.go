package logbook

import (
	"fmt"
	"maps"
	"slices"
	"strconv"
	"strings"
	"time"

	"coolhold/fusion"
)

// A Seen is a look at a weld with its time.
type Seen struct {
	Look
	At      fusion.Stamp
	By      string
	Seq     uint64
	Stated  *time.Time // as in IndicatorsRead
	DayOnly bool
	Looker  string
	Paper   *PaperRow
}

// A Review is what a named person decided on one finding.
type Review struct {
	Reviewed
	By  string       `json:"by"`
	At  fusion.Stamp `json:"at"`
	Seq uint64       `json:"seq,omitempty"`
}

// A Stood is how long a joint stood prepared while others of its batch were made; Until
// is nil as long as it does.
type Stood struct{ From, Until *fusion.Stamp }

// A Weld is one attempt at a joint with one fitting, folded from its entries.
// A nil pointer means: not answered yet.
type Weld struct {
	ID       string
	Site     string
	Joint    string
	From     *Origin // the log it was made in, where several are read together
	Shift    string
	Operator string
	Unit     string
	Corrects YesNo
	Begun    fusion.Stamp
	Card     int // version of the preparation card that it is asked

	Answers map[string]Answer // by item: fitting, batches, the card
	Scraped *fusion.Stamp     // when scraping was first said to be done
	Left    bool              // the walk is left, not yet resumed
	Resumed int
	Back    *fusion.Stamp // when it was resumed last
	// BreakDue is set where the joint was made ready before a break, and nobody said
	// since what is true of it now.
	BreakDue  bool
	Since     []string      // what came between, of the break that is due
	Rescraped *fusion.Stamp // when it was scraped by hand once more, after a break
	Ready     *fusion.Stamp // when it was set down prepared, not taken up since
	Stood     []Stood       // each time that it was

	Bag        *BagRead
	Ambient    *AmbientRead
	AmbientAt  *fusion.Stamp
	Settings   *SettingsKeyed
	SettingsAt *fusion.Stamp
	Ohms       *ResistanceRead
	Stops      []StepStopped
	Refused    []AttemptRefused

	Zones  []Zone        // fused before the present one
	ZoneAt *fusion.Stamp // start of the present zone, nil before it

	Started       *fusion.Stamp
	StartedStated *time.Time
	Ended         *fusion.Stamp
	endKeyed      fusion.Stamp // when its end was said: before Ended where a key was struck early
	EndedStated   *time.Time
	Outcome       Outcome
	StoppedAt     *int // seconds
	StoppedDoubt  Doubt
	Said          string
	Found         bool // a restart found it in mid-fusion
	foundAt       *fusion.Stamp
	Unwatched     bool // and its time was over by then
	RunAsked      bool
	Run           *int // seconds, as the unit showed

	Looks          []Seen
	Hold           *fusion.Span
	HoldStated     bool // it counts from EndedStated, on somebody's word
	Released       *fusion.Stamp
	ReleasedStated *time.Time
	Disturbed      *Disturbed
	CutOut         *fusion.Stamp
	CutWhy         string
	CutUnsaid      bool // nobody stated when
	Abandoned      string
	LateWhy        string    // entered later, and why
	LateBy         string    // who entered it
	Paper          *PaperRow // the paper it was taken in from
	Gap            string    // who accepted a gap
	HoldSaid       *SaidHold // who stated last how long its hold has run
	onWord         time.Duration
	Reviews        []Review
	Notes          []Noted
	Corrections    []Corrected
	CutOrdered     *Request  // the last order that stands
	CutOrders      []Request // all that stand, the last among them
	CutWithdrawn   *Request  // that orders are taken back, said last
	CutTaken       []Request // the orders that it took back
	Recheck        *Request  // another look that was asked for last
	Closing        *Request  // named as the closing weld of a section, last
	Pressed        []Pressed // looked at under pressure
	Trail          []*Entry  // all that was said of it

	Doubts []ClockDoubted // of the time its hold has run
}

// After is the weld after one more entry: the one fold, for the transaction,
// the rebuild and the check alike.
func (w Weld) After(e *Entry) Weld {
	body := e.Open()
	w.Trail = append(slices.Clip(w.Trail), e)
	switch b := body.(type) {
	case WeldBegun:
		w.ID, w.Site, w.Joint, w.Shift, w.Begun = e.Weld, e.Site, e.Joint, e.Shift, e.At
		w.From = e.from
		w.Operator, w.Unit, w.Corrects, w.Card = b.Operator, b.Unit, b.Corrects, b.Card
	case Unknown:
		if b.Of == (WeldBegun{}).Kind() { // it is there, whatever was said of it
			w.ID, w.Site, w.Joint, w.Shift, w.Begun = e.Weld, e.Site, e.Joint, e.Shift, e.At
		}
	case StepAnswered:
		w = w.answered(e, b)
	case BagRead:
		w.Bag = &b
	case AmbientRead:
		w.Ambient, w.AmbientAt, w.Settings = &b, &e.At, nil // another temperature may be another band
	case SettingsKeyed:
		w.Settings, w.SettingsAt = &b, &e.At
	case StepStopped:
		if w.Stops = append(slices.Clone(w.Stops), b); b.Step == StepAmbient {
			w.Ambient, w.Settings = nil, nil // an older reading is not true any more
		}
	case ResistanceRead:
		w.Ohms = &b
	case AttemptRefused:
		w.Refused = append(slices.Clone(w.Refused), b)
		w.Ohms = nil // the contact is mended, so it is read again
		if w.ZoneAt = nil; len(w.Zones) == 0 {
			w.Started, w.StartedStated = nil, nil // no current went in after all
		}
	case WalkLeft:
		w = w.left(e, b)
	case WalkResumed:
		w = w.resumed(e, b)
	case WalkAbandoned:
		w.Abandoned = b.Why
		w = w.stoodUntil(e)
	case EnteredLater:
		w.LateWhy, w.LateBy, w.Paper = b.Why, e.By, b.Paper
	default:
		w = w.afterCurrent(e, b).judged(e, b)
	}
	return w
}

// afterCurrent folds what follows once the current is on.
func (w Weld) afterCurrent(e *Entry, body Body) Weld {
	switch b := body.(type) {
	case FusionStarted:
		began := e.At.Add(-time.Duration(b.AgoS) * time.Second)
		if w.ZoneAt = &began; len(w.Zones) == 0 {
			w.Started, w.StartedStated = &began, b.Stated
		}
		w.Left, w.foundAt = false, nil
		w = w.stoodUntil(e)
	case FusionEnded:
		w = w.ended(e, b)
	case RunRead:
		if w.Between() {
			return w.zoneRun(b.Seconds)
		}
		w.RunAsked, w.Run = true, b.Seconds
	case IndicatorsRead:
		w.Looks = append(slices.Clone(w.Looks), Seen{b.Look, e.At, e.By, e.Seq, b.Stated, b.DayOnly, b.Looker, b.Paper})
	case Released:
		w.Released, w.ReleasedStated = &e.At, b.Stated
	case Disturbed:
		w.Disturbed = &b
	case CutOut:
		w.CutOut, w.CutWhy, w.CutUnsaid = &e.At, b.Why, b.Unsaid || w.typedIn(e)
	case ClockDoubted:
		w.Doubts = append(slices.Clone(w.Doubts), b)
		w = w.rebase(e, b.RanS)
	case GapAccepted:
		w.Gap = e.By
		w = w.counts(e, b.RanS)
	case HoldSaid:
		w.HoldSaid = &SaidHold{b, signature(e)}
		w = w.counts(e, b.RanS)
	}
	return w
}

func (w Weld) answered(e *Entry, b StepAnswered) Weld {
	answers := maps.Clone(w.Answers)
	if answers == nil {
		answers = map[string]Answer{}
	}
	w.Answers = answers
	for _, a := range b.Answers {
		a.At = &e.At
		w = w.gives(a)
		answers[a.Item] = a
		if (a.Item == ItemScraped || a.Item == ItemScraped2) && a.V == Done && w.Scraped == nil {
			w.Scraped = &e.At
		}
	}
	return w
}

// gives is the weld before one answer is kept: what was said for another fitting, or
// of a joint that was cut back since, does not hold any more. The old answers stay
// as entries. The answers are a copy of its own already.
func (w Weld) gives(a Answer) Weld {
	switch {
	case w.Started != nil:
	case a.Item == FieldOperator:
		w.Operator = a.V
	case a.Item == FieldUnit:
		if a.V != w.Unit {
			w.Settings, w.Ohms = nil, nil // they were read off another display
		}
		w.Unit = a.V
	case a.Item == FieldCorrects:
		w.Corrects = YesNo(a.V)
	case a.Item == ItemFitting && a.V != w.Fitting() && w.Fitting() != "": // a batch may be said before
		delete(w.Answers, ItemBatch)
		w.Ambient, w.Settings, w.Ohms = nil, nil, nil // they were read for another row
	case a.Item == ItemScraped: // of a former card, which asked it again after a break
		w.BreakDue = false
	case strings.HasPrefix(a.Item, ItemBreak+":"):
		w.BreakDue, w.Since = false, nil
		switch a.V {
		case HandAgain:
			w.Rescraped = a.At
		case CutBack:
			for _, v := range cardValues {
				delete(w.Answers, v.Key)
			}
			delete(w.Answers, ItemMethod)
			delete(w.Answers, ItemMethod2)
			w.Scraped, w.Rescraped = nil, nil
		}
	}
	return w
}

// left leaves a walk, or sets its joint down prepared.
func (w Weld) left(e *Entry, b WalkLeft) Weld {
	w = w.stoodUntil(e)
	if w.Left = true; b.Ready {
		w.Ready = &e.At
		w.Stood = append(slices.Clone(w.Stood), Stood{From: &e.At})
	}
	return w
}

// stoodUntil ends the time that its joint stood prepared, where it did.
func (w Weld) stoodUntil(e *Entry) Weld {
	if w.Ready == nil {
		return w
	}
	w.Ready, w.Stood = nil, slices.Clone(w.Stood)
	w.Stood[len(w.Stood)-1].Until = &e.At
	return w
}

// resumed takes a walk up again. What was made ready may be wet or dirty by now; what
// is true of it is asked.
func (w Weld) resumed(e *Entry, b WalkResumed) Weld {
	w.Left = false
	w.Resumed++
	w.Back = &e.At
	if b.Found {
		w.Found, w.Unwatched, w.foundAt = true, w.Unwatched || !b.Running, &e.At
		return w
	}
	w = w.stoodUntil(e)
	w.Since = b.Since
	w.BreakDue = w.Started == nil && w.Prepared() && (!b.Ready || len(b.Since) > 0) // a card that is still open asks by itself
	return w
}

// ended begins the hold. It runs from the later of the entry and the time the
// fusion should have taken, so a key struck early never shortens it.
func (w Weld) ended(e *Entry, b FusionEnded) Weld {
	end := e.At
	if w.ZoneAt != nil && w.Settings != nil && b.Outcome == Completed && b.Stated == nil {
		due := w.ZoneAt.Add(time.Duration(w.Settings.SecondsShown) * time.Second)
		if due.Boot > end.Boot && due.BootID == end.BootID && due.Machine == end.Machine {
			end = due
		}
	}
	if w.more(b) {
		return w.zoned(end)
	}
	w.Ended, w.EndedStated, w.Outcome, w.StoppedAt, w.Said = &end, b.Stated, b.Outcome, b.AtS, b.Said
	w.endKeyed, w.StoppedDoubt = e.At, b.Doubted
	if w.Settings != nil && w.Settings.CoolingMin > 0 {
		w.Hold = &fusion.Span{Began: e.At, Done: e.At.Boot - end.Boot, Want: time.Duration(w.Settings.CoolingMin) * time.Minute}
		if b.HoldStated && b.Stated != nil {
			w.HoldStated, w.Hold.Done = true, max(0, e.At.Wall.Sub(*b.Stated))
		}
	}
	return w
}

// rebase makes the machine of an entry count ranS seconds of the hold as run at its
// moment. Other machines go on by their own clocks.
func (w Weld) rebase(e *Entry, ranS float64) Weld {
	if w.Hold != nil {
		hold := w.Hold.From(e.At, seconds(ranS))
		w.Hold = &hold
	}
	return w
}

// counts makes the hold count ranS seconds as run at the entry's moment, on somebody's
// word. What other machines prove stands beside it, until that word is changed: they
// may count by it too.
func (w Weld) counts(e *Entry, ranS float64) Weld {
	if w.Hold == nil {
		return w
	}
	ran, _ := w.Hold.Ran(e.At, fusion.Stamp{})
	if w.onWord != 0 {
		w.Hold = &fusion.Span{Began: w.Hold.Began, Want: w.Hold.Want}
	}
	w.onWord += seconds(ranS) - ran
	return w.rebase(e, ranS)
}

// SureRun is how much of the hold the clocks prove, without what anybody stated.
func (w Weld) SureRun(now, beat fusion.Stamp) time.Duration {
	if w.Hold == nil {
		return 0
	}
	ran, _ := w.Hold.Ran(now, beat)
	return ran - w.onWord
}

func seconds(s float64) time.Duration { return time.Duration(s * float64(time.Second)) }

// Fitting is the row of the table the weld was made with.
func (w Weld) Fitting() string { return w.Answers[ItemFitting].V }

// Batch is the fitting's batch.
func (w Weld) Batch() string { return w.Answers[ItemBatch].V }

// Fused tells whether current was on: from then on it stands until cut out.
func (w Weld) Fused() bool { return w.Started != nil }

// Stands tells whether the weld is in its joint.
func (w Weld) Stands() bool { return w.Started != nil && w.CutOut == nil }

// Walking tells whether the walk is open and no current was on yet.
func (w Weld) Walking() bool { return w.Started == nil && w.Abandoned == "" && w.CutOut == nil }

// Fusing tells whether the current is on as far as the log knows.
func (w Weld) Fusing() bool { return w.Stands() && w.Ended == nil && !w.Between() }

// Holding tells whether the weld is in its hold: not released, not disturbed.
func (w Weld) Holding() bool {
	return w.Stands() && w.Ended != nil && w.Released == nil && w.Disturbed == nil
}

// HeatPossible tells whether a start was refused in a way that leaves open whether
// current went in: such a weld is not simply without heat when it is given up.
func (w Weld) HeatPossible() bool {
	return slices.ContainsFunc(w.Refused, func(b AttemptRefused) bool { return !b.Cold() })
}

// FusionSpan is the fusion as a span of time. On another machine it runs at full
// length from when it was found there.
func (w Weld) FusionSpan() (fusion.Span, bool) {
	if w.ZoneAt == nil || w.Settings == nil {
		return fusion.Span{}, false
	}
	span := fusion.Span{Began: *w.ZoneAt, Want: time.Duration(w.Settings.SecondsShown) * time.Second}
	if w.foundAt != nil && !w.foundAt.SameMachine(*w.ZoneAt) {
		span = span.From(*w.foundAt, 0)
	}
	return span, true
}

// FusedAt is the local time the fusion began, as stated if it was entered later.
func (w Weld) FusedAt() (time.Time, bool) { return when(w.Started, w.StartedStated) }

// EndedAt is the local time the fusion ended.
func (w Weld) EndedAt() (time.Time, bool) { return when(w.Ended, w.EndedStated) }

// EndKnown is EndedAt where that is when the fusion ended: not when a weld that was entered
// later was typed, nor when it was said that nobody saw the end.
func (w Weld) EndKnown() (time.Time, bool) {
	if w.EndedStated == nil && (w.LateWhy != "" || w.Outcome == NotSeen) {
		return time.Time{}, false
	}
	return w.EndedAt()
}

// Day is the local date that a weld belongs to, YYYY-MM-DD: that of its fusion,
// or that of its begin where no current was on.
func (w Weld) Day() string {
	at, ok := w.FusedAt()
	if !ok {
		at = w.Begun.Local()
	}
	return at.Format(time.DateOnly)
}

func when(s *fusion.Stamp, stated *time.Time) (time.Time, bool) {
	switch {
	case stated != nil:
		return *stated, true
	case s != nil:
		return s.Local(), true
	}
	return time.Time{}, false
}

// HoldUntil is the local time to which the weld is held, if the machine that
// counts it stays on.
func (w Weld) HoldUntil() (time.Time, bool) {
	if w.Hold == nil {
		return time.Time{}, false
	}
	return w.Hold.Began.Local().Add(w.Hold.Want - w.Hold.Done), true
}

// Ink is what to write on the pipe beside the joint: joint, weld, date,
// operator's mark and, until it is released, the end of the hold.
func (w Weld) Ink(mark string) string {
	parts := []string{w.Joint, w.ID}
	if t, ok := w.EndedAt(); ok {
		parts = append(parts, t.Format("2 Jan"), mark)
	}
	if t, ok := w.HoldUntil(); ok && w.Disturbed == nil && w.Released == nil {
		parts = append(parts, "cool until "+UpMinute(t).Format("15:04"))
	}
	return strings.Join(parts, "  ")
}

// typedIn tells whether an entry is of the act by which a weld was entered later: before
// it said so itself, what such an act holds without a time has none.
func (w Weld) typedIn(e *Entry) bool {
	return slices.ContainsFunc(w.Trail, func(t *Entry) bool { return t.Kind == EnteredLater{}.Kind() && t.act() == e.act() })
}

// judged folds what the foreman says of a weld.
func (w Weld) judged(e *Entry, body Body) Weld {
	switch b := body.(type) {
	case Reviewed:
		w.Reviews = append(slices.Clone(w.Reviews), Review{b, e.By, e.At, e.Seq})
	case Note:
		w.Notes = append(slices.Clone(w.Notes), Noted{signature(e), b.Text, b.Remark})
	case CutOrdered:
		w = w.ordered(Request{signature(e), b.Why}, b)
	case RecheckAsked:
		w.Recheck = &Request{signature(e), b.Why}
	case Correction:
		w = w.corrected(e, b)
	case ClosingNamed:
		w.Closing = &Request{signature(e), b.Why}
	case PressureLook:
		w.Pressed = append(slices.Clone(w.Pressed), Pressed{b, signature(e)})
	}
	return w
}

// ordered keeps every order to cut it out: a second one has its own reason. A withdrawal
// takes those back that it names, else all that stand.
func (w Weld) ordered(r Request, b CutOrdered) Weld {
	if !b.Withdrawn {
		w.CutOrders = append(slices.Clone(w.CutOrders), r)
		w.CutOrdered = &r
		return w
	}
	w.CutWithdrawn, w.CutTaken, w.CutOrdered = &r, nil, nil
	orders := w.CutOrders
	w.CutOrders = nil
	for _, o := range orders {
		if len(b.Of) > 0 && !slices.Contains(b.Of, o.By) {
			w.CutOrders, w.CutOrdered = append(w.CutOrders, o), &o
			continue
		}
		w.CutTaken = append(w.CutTaken, o)
	}
	return w
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
	if w.Settings.PressureWaitFrom == fusion.FromFusionEnd {
		from, ok = w.EndedAt()
	}
	return from.Add(wait), ok
}

// Wait is the pressure wait as a span, so that no wall clock shortens it.
func (w Weld) Wait() (fusion.Span, bool) {
	if w.Settings == nil || w.Settings.PressureWaitMin == nil || w.Ended == nil {
		return fusion.Span{}, false
	}
	wait := time.Duration(*w.Settings.PressureWaitMin) * time.Minute
	if w.Settings.PressureWaitFrom != fusion.FromFusionEnd {
		if w.Hold == nil {
			return fusion.Span{}, false
		}
		return w.Hold.Longer(wait), true
	}
	done := w.endKeyed.Boot - w.Ended.Boot
	if w.EndedStated != nil {
		done = w.endKeyed.Wall.Sub(*w.EndedStated)
	}
	return fusion.Span{Began: w.endKeyed, Done: done, Want: wait}, true
}

// UpMinute rounds up to the whole minute, so that no hold is written short.
func UpMinute(t time.Time) time.Time {
	if cut := t.Truncate(time.Minute); !cut.Equal(t) {
		return cut.Add(time.Minute)
	}
	return t
}

// WeldNumber writes the n-th weld of a log: numbered once, never renumbered,
// since ink on a buried pipe cannot be.
func WeldNumber(tag string, n int) string { return fmt.Sprintf("%s-%04d", tag, n) }

// numberAfter is the number that follows a weld's, 0 for a weld of another log.
func numberAfter(tag, id string) int {
	n, err := strconv.Atoi(strings.TrimPrefix(id, tag+"-"))
	if err != nil || WeldNumber(tag, n) != id {
		return 0
	}
	return n + 1
}

// PortOf is the port a weld was made at: the plan's, but where another was said.
// It is 0 where what was said is no number.
func PortOf(w Weld, j Joint) int {
	said := strings.TrimSpace(w.Answers[ItemPort].V)
	if said == "" {
		return j.Port
	}
	no, _ := strconv.Atoi(said)
	return no
}
