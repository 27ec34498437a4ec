package ahead

import (
	"fmt"
	"slices"
	"strings"

	"coolhold/fusion"
	"coolhold/logbook"
)

// A FlowOutcome is what one opened circuit comes to.
type FlowOutcome string

// The outcomes. None says that a circuit is well made.
const (
	NoCrossing  FlowOutcome = "no_crossing"
	Crossed     FlowOutcome = "crossed"
	NoFlow      FlowOutcome = "none"
	FlowUnknown FlowOutcome = "undecided"
)

// What keeps a flow check from deciding, as codes.
const (
	WantsShut   = "shut"   // both legs of every other circuit
	WantsOthers = "others" // a look at the other gauges
	WantsOwn    = "own"    // its own gauge
)

// A FlowResult is what a flow check comes to, with what would decide where nothing does.
type FlowResult struct {
	Outcome FlowOutcome `json:"outcome"`
	Says    string      `json:"says"`
	Wants   []string    `json:"wants,omitempty"`
	AtEnd   bool        `json:"gauge_at_end,omitempty"` // it shows the most it can: at least that
}

// FlowResultOf judges a flow check. It decides only where both legs of every other circuit
// were shut: with valves on one rail only, water may come back by another leg (common
// practice, no source; the rest derived). Between valves that hold, crossed legs are a dead
// end: no flow, which air is too.
func FlowResultOf(f logbook.FlowChecked) FlowResult {
	r := FlowResult{AtEnd: f.LPM != nil && f.GaugeMaxLPM != nil && *f.LPM >= *f.GaugeMaxLPM}
	if f.Shut != logbook.ShutBoth {
		r.Wants = append(r.Wants, WantsShut)
	}
	if f.Others == logbook.Unseen {
		r.Wants = append(r.Wants, WantsOthers)
	}
	if f.LPM == nil && f.Others != logbook.OthersFlow {
		r.Wants = append(r.Wants, WantsOwn)
	}
	switch {
	case len(r.Wants) > 0:
		r.Outcome, r.Says = FlowUnknown, "cannot decide: "+strings.Join(wanted(r.Wants), "; ")
	case f.Others == logbook.OthersFlow:
		r.Outcome, r.Says = Crossed, "flow in "+otherNames(f)+" while it is shut: legs are crossed"
	case *f.LPM == 0:
		r.Outcome, r.Says = NoFlow, "no flow anywhere: air, a gauge that sticks, or crossed legs; bleed, and look again"
	default:
		r.Outcome, r.Says = NoCrossing, noCrossing
	}
	if r.AtEnd {
		r.Says += fmt.Sprintf("; its gauge ends at %s L/min: it is that or more", fusion.Figure(*f.GaugeMaxLPM))
	}
	return r
}

const noCrossing = "no crossing seen"

// FlowStands is what the newest flow check of a circuit comes to beside those of the
// others: where one of them saw flow in it while it was shut, its own does not take that
// away.
func FlowStands(l logbook.LoopLog, f logbook.FlowChecked) FlowResult {
	r := FlowResultOf(f)
	seen := FlowSeenIn(l, f.Section)
	if r.Outcome == NoFlow {
		r.Says += DeadTogether(DeadBeside(l, f.Section))
	}
	if seen == "" {
		return r
	}
	if r.Outcome == NoCrossing {
		r.Says = seen + strings.TrimPrefix(r.Says, noCrossing)
	} else {
		r.Says = seen + "; " + r.Says
	}
	r.Outcome = Crossed
	return r
}

// DeadBeside are the other circuits of a chamber whose newest check saw no flow either.
func DeadBeside(l logbook.LoopLog, id logbook.SectionID) (dead []logbook.SectionID) {
	for _, f := range newestFlows(l, NoFlow) {
		if f.Section != id && f.Section.Chamber == id.Chamber {
			dead = append(dead, f.Section)
		}
	}
	return dead
}

// newestFlows are the newest checks of circuits that come to an outcome.
func newestFlows(l logbook.LoopLog, outcome FlowOutcome) (out []logbook.FlowCheck) {
	for _, f := range l.Flows {
		if newest, is := l.FlowOf(f.Section); is && newest.Seq == f.Seq && FlowResultOf(f.FlowChecked).Outcome == outcome {
			out = append(out, f)
		}
	}
	return out
}

// DeadTogether says what tells crossed legs from air where several circuits show no flow,
// each opened alone (derived: the pipe of one ends at the port of the other).
func DeadTogether(dead []logbook.SectionID) string {
	if len(dead) == 0 {
		return ""
	}
	var names []string
	for _, id := range dead {
		names = append(names, id.Name())
	}
	return "; none in " + strings.Join(names, " and ") + " either: open both legs of two of them together, and if water flows then, their legs are crossed"
}

// FlowSeenIn says in the newest checks of which circuits flow was seen in one while it was
// shut; "" for none.
func FlowSeenIn(l logbook.LoopLog, id logbook.SectionID) string {
	var open []string
	for _, f := range newestFlows(l, Crossed) {
		if slices.ContainsFunc(f.Seen, func(o logbook.FlowSeen) bool { return o.Section == id }) {
			open = append(open, f.Section.Name())
		}
	}
	if len(open) == 0 {
		return ""
	}
	return "flow was seen in it while it was shut and " + strings.Join(open, ", then ") + " open: legs are crossed"
}

// wantedWords say what would decide.
var wantedWords = map[string]string{
	WantsShut:   "shut or part both legs of every other circuit, and look again",
	WantsOthers: "look at the gauges of the others",
	WantsOwn:    "read the gauge of the circuit itself",
}

func wanted(codes []string) (says []string) {
	for _, c := range codes {
		says = append(says, wantedWords[c])
	}
	return says
}

func otherNames(f logbook.FlowChecked) string {
	var names []string
	for _, s := range f.Seen {
		names = append(names, s.Section.Name())
	}
	return strings.Join(names, " and ")
}

// CrossedJoints are the joints to look at: where the legs of the open circuit and of those
// that showed flow are joined to the chamber.
func CrossedJoints(r logbook.Reader, site string, f logbook.FlowChecked) (labels []string) {
	ids := []logbook.SectionID{f.Section}
	for _, s := range f.Seen {
		ids = append(ids, s.Section)
	}
	for _, j := range r.Joints(site) {
		for _, id := range ids {
			if j.Counts() && j.Circuit > 0 && j.Leg != "" && id.Own(j) {
				labels = append(labels, j.Label)
			}
		}
	}
	return labels
}

// A FlowRow is how a circuit stands towards its flow.
type FlowRow struct {
	Section TestSection         `json:"-"`
	Name    string              `json:"circuit"`
	LPM     *float64            `json:"lpm,omitempty"`      // as read last
	WantLPM *float64            `json:"want_lpm,omitempty"` // for 0.6 m/s, by the least wall
	Share   *float64            `json:"share_of_siblings,omitempty"`
	Result  *FlowResult         `json:"result,omitempty"` // nil: no flow check is recorded
	By      string              `json:"by,omitempty"`
	At      string              `json:"at,omitempty"` // local time, RFC 3339
	Check   *logbook.FlowCheck  `json:"-"`
	Past    []logbook.FlowCheck `json:"-"` // those before, and taken back
	seen    string              // flow in it while it was shut, in words
}

// FlowRows are the circuits of a site with their newest flow check. The share is the flow
// beside the mean of the others that showed flow: it is shown, and judged by nobody here, as
// circuits of unlike length run unlike.
func FlowRows(r logbook.Reader, site string) (rows []FlowRow) {
	s, _ := r.Site(site)
	for _, t := range TestSections(r, site) {
		if t.ID.Circuit == 0 {
			continue
		}
		row := FlowRow{Section: t, Name: t.Name, WantLPM: t.WantLPM()}
		if f, found := s.Loop.FlowOf(t.ID); found {
			res := FlowStands(s.Loop, f.FlowChecked)
			row.LPM, row.Result, row.By, row.At, row.Check = f.LPM, &res, f.By, f.When().Local().Format("2006-01-02T15:04:05Z07:00"), &f
		}
		row.seen = FlowSeenIn(s.Loop, t.ID)
		for _, f := range s.Loop.Flows {
			if f.Section == t.ID && (row.Check == nil || f.Seq != row.Check.Seq) {
				row.Past = append(row.Past, f)
			}
		}
		rows = append(rows, row)
	}
	for i := range rows {
		rows[i].Share = shareOf(rows, i)
	}
	return rows
}

// shareOf is the flow of a row beside the mean of the others; nil where one was not read. No
// flow, of air or of a gauge that sticks, is no flow to compare with, and a gauge at its end
// shows less than there is.
func shareOf(rows []FlowRow, i int) *float64 {
	compares := func(o FlowRow) bool { return o.LPM != nil && *o.LPM > 0 && !o.Result.AtEnd }
	sum, n := 0.0, 0
	for k, o := range rows {
		if k != i && compares(o) {
			sum, n = sum+*o.LPM, n+1
		}
	}
	if !compares(rows[i]) || n == 0 {
		return nil
	}
	share := *rows[i].LPM / (sum / float64(n))
	return &share
}

// Line tells a row in one line.
func (r FlowRow) Line() string {
	if r.Result == nil {
		return logbook.Joined(": ", "no flow check is recorded"+r.wants(), r.seen)
	}
	line := "gauge not read"
	if r.LPM != nil {
		line = fusion.Figure(*r.LPM) + " L/min"
	}
	if r.Share != nil {
		line += fmt.Sprintf(", %.0f %% of the mean of the others that show flow", 100**r.Share)
	}
	return line + r.wants() + ": " + r.Result.Says
}

func (r FlowRow) wants() string {
	if r.WantLPM == nil {
		return ""
	}
	if r.Check != nil && r.Check.GaugeMaxLPM != nil && *r.Check.GaugeMaxLPM < *r.WantLPM {
		return fmt.Sprintf(" (0.6 m/s wants %.1f, and its gauge ends at %s)", *r.WantLPM, fusion.Figure(*r.Check.GaugeMaxLPM))
	}
	return fmt.Sprintf(" (0.6 m/s wants %.1f L/min)", *r.WantLPM)
}
