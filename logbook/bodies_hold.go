package logbook

import (
	"cmp"
	"fmt"
	"strings"
	"time"

	"coolhold/fusion"
)

// A Look is one look at a weld. An empty field was not asked on that occasion;
// Unseen was asked and could not be seen.
type Look struct {
	When       Occasion `json:"when"`
	Indicators []string `json:"indicators,omitempty"` // one a side
	Melt       string   `json:"melt,omitempty"`
	Wire       string   `json:"wire,omitempty"`
	Marks      string   `json:"marks,omitempty"` // of insertion
	Straight   string   `json:"straight,omitempty"`
	Felt       string   `json:"felt,omitempty"`
	How        How      `json:"how"`
}

// Released ends a hold: felt, and not moved before.
type Released struct {
	Stated *time.Time `json:"stated,omitempty"`
}

// Kind is "released".
func (Released) Kind() Kind { return "released" }

// Line says so.
func (b Released) Line() string {
	if b.Stated != nil {
		return "released at " + b.Stated.Format("15:04") + ", as stated later: not moved before"
	}
	return "released: not moved before"
}

// Disturbed ends a hold the other way: the joint was moved or its clamp came off.
type Disturbed struct {
	AfterMin int    `json:"after_min"`       // whole minutes after the end of fusion, as stated
	Early    bool   `json:"early"`           // before the cooling time was over
	Moved    string `json:"moved,omitempty"` // a code of Befores; "": not asked so
	What     string `json:"what,omitempty"`
}

// Kind is "disturbed".
func (Disturbed) Kind() Kind { return "disturbed" }

// Line says when.
func (b Disturbed) Line() string {
	line := fmt.Sprintf("disturbed %d min after fusion", b.AfterMin)
	switch {
	case b.Moved != "":
		line += ", " + Befores.Word(b.Moved)
	case b.Early:
		line += ", before its cooling time was over"
	}
	if b.What != "" {
		line += ": " + b.What
	}
	return line
}

// CutOut takes a weld out of its joint, which is open again.
type CutOut struct {
	Why    string `json:"why"`
	Unsaid bool   `json:"unsaid,omitempty"` // nobody stated when; the entry's time is that of the typing
}

// Kind is "cut out".
func (CutOut) Kind() Kind { return "cut out" }

// Line says why.
func (b CutOut) Line() string {
	if b.Unsaid {
		return "cut out, nobody stated when: " + b.Why
	}
	return "cut out: " + b.Why
}

// WalkLeft is a walk left in the middle. Ready is set where its joint was set down
// prepared, to be fused after others of its batch.
type WalkLeft struct {
	Step  Step `json:"step"`
	Ready bool `json:"ready,omitempty"`
}

// Kind is "walk left".
func (WalkLeft) Kind() Kind { return "walk left" }

// Line says where.
func (b WalkLeft) Line() string {
	if b.Ready {
		return "set down prepared, to be fused after others"
	}
	return "walk left at " + b.Step.String()
}

// WalkResumed takes it up again. Found is set where a restart of the program
// found the weld in the middle of its fusion.
type WalkResumed struct {
	Step  Step `json:"step"`
	Found bool `json:"found,omitempty"`
	// Running is set where its time was not over by then.
	Running bool `json:"running,omitempty"`
	// Ready is set where a joint that was set down prepared is taken up to be fused, and
	// Since are codes of Betweens: what came between that may have spoiled it.
	Ready bool     `json:"ready,omitempty"`
	Since []string `json:"since,omitempty"`
}

// Kind is "walk resumed".
func (WalkResumed) Kind() Kind { return "walk resumed" }

// Line says where.
func (b WalkResumed) Line() string {
	if b.Found && b.Running {
		return "found in mid-fusion after a restart, before its time was over"
	}
	if b.Found {
		return "found in mid-fusion after a restart: its end was not watched"
	}
	line := "walk resumed at " + b.Step.String()
	if b.Ready {
		line = "taken up to be fused"
	}
	if len(b.Since) > 0 {
		line += "; since it was set down: " + strings.Join(Betweens.Words(b.Since...), "; ")
	}
	return line
}

// WalkAbandoned ends a weld before any current was on.
type WalkAbandoned struct {
	Why  string `json:"why"`
	Heat bool   `json:"heat,omitempty"` // it is not known that no current went in
}

// Kind is "walk abandoned".
func (WalkAbandoned) Kind() Kind { return "walk abandoned" }

// Line says why.
func (b WalkAbandoned) Line() string {
	if b.Heat {
		return "given up; it is not known that no current went in: " + b.Why
	}
	return "given up before any current: " + b.Why
}

// EnteredLater marks a weld that was made without the laptop.
type EnteredLater struct {
	Why   string    `json:"why"`
	Paper *PaperRow `json:"paper,omitempty"` // set where it was taken in from paper
}

// A PaperRow is one line of a paper sheet. Key is the same for the same
// content, so that a line is taken in once.
type PaperRow struct {
	File string `json:"file"`
	Line int    `json:"row"` // line of the file
	Key  string `json:"key"`
}

// Kind is "entered later".
func (EnteredLater) Kind() Kind { return "entered later" }

// Line says why.
func (b EnteredLater) Line() string {
	if b.Paper != nil {
		return fmt.Sprintf("transcribed from paper (%s, line %d): %s", b.Paper.File, b.Paper.Line, b.Why)
	}
	return "entered later: " + b.Why
}

// Note is free text on whatever the entry names.
type Note struct {
	Text   string `json:"text"`
	Remark bool   `json:"remark,omitempty"` // it stood among the remarks of a sheet
}

// Kind is "note".
func (Note) Kind() Kind { return "note" }

// Line is the text.
func (b Note) Line() string { return "note: " + b.Text }

// ClockDoubted records that time is less certain than one boot clock: on a
// weld it sets what its hold has surely run; without a weld the two clocks
// drifted apart.
type ClockDoubted struct {
	Why     string  `json:"why"`                 // a code: a fusion.Doubt, or WhyDrift
	RanS    float64 `json:"ran_s,omitempty"`     // of the weld's hold, trusted
	ByWallS float64 `json:"by_wall_s,omitempty"` // of the weld's hold, by the wall clocks
	DriftS  float64 `json:"drift_s,omitempty"`   // wall minus boot, where they drifted
}

// WhyDrift is the code of wall clock and boot clock drifting apart.
const WhyDrift = "drift"

func (b ClockDoubted) why() string {
	if b.Why == WhyDrift {
		return "wall clock and boot clock drifted apart"
	}
	return cmp.Or(fusion.Doubt(b.Why).Says(), b.Why)
}

// Kind is "clock doubted".
func (ClockDoubted) Kind() Kind { return "clock doubted" }

// Line says what is doubted.
func (b ClockDoubted) Line() string {
	if b.DriftS != 0 {
		return fmt.Sprintf("clock doubted: %s (%+.0f s)", b.why(), b.DriftS)
	}
	line := fmt.Sprintf("clock doubted: %s; hold counts %.0f s as run", b.why(), b.RanS)
	if fusion.Doubt(b.Why) == fusion.Elsewhere { // its wall clock is no witness of another's
		return line
	}
	return line + fmt.Sprintf(", wall clocks say %.0f s", b.ByWallS)
}

// GapAccepted is a named person's word that a hold ran through a gap.
type GapAccepted struct {
	RanS float64 `json:"ran_s"`
	Why  string  `json:"why"`
}

// Kind is "gap accepted".
func (GapAccepted) Kind() Kind { return "gap accepted" }

// Line says how much is accepted.
func (b GapAccepted) Line() string {
	return fmt.Sprintf("gap accepted: hold counts %.0f s as run (%s)", b.RanS, b.Why)
}

// HoldSaid is a named person's word on how much of a hold has run, where no clock
// of the log can tell: by a watch that ran all through it, or by what stands on the
// pipe in ink. Times are as they were read, to the minute or the second.
type HoldSaid struct {
	Watch string  `json:"watch"`                // what the watch showed when it was said
	Began string  `json:"began,omitempty"`      // what it showed when the hold began
	Ink   string  `json:"cool_until,omitempty"` // what stands on the pipe
	RanS  float64 `json:"ran_s"`                // of the hold, by that
	SureS float64 `json:"sure_s,omitempty"`     // of the hold, by the clocks
	Why   string  `json:"why"`
}

// Kind is "hold stated".
func (HoldSaid) Kind() Kind { return "hold stated" }

// Line says by what, and how much that is.
func (b HoldSaid) Line() string {
	return fmt.Sprintf("hold counts %.0f s as run: %s (%s)", b.RanS, b.Read(), b.Why)
}

// Read says what was read, and where.
func (b HoldSaid) Read() string {
	if b.Ink != "" {
		return fmt.Sprintf("the ink on the pipe says cool until %s, the watch showed %s", b.Ink, b.Watch)
	}
	return fmt.Sprintf("it began at %s by a watch, which then showed %s", b.Began, b.Watch)
}

// A SaidHold is such a word with who gave it.
type SaidHold struct {
	HoldSaid
	Signature
}

// Reviewed is a named person's answer to a finding of the audit.
type Reviewed struct {
	Judged
	Accepted bool   `json:"accepted"`
	Why      string `json:"why"`
}

// Kind is "reviewed".
func (Reviewed) Kind() Kind { return "reviewed" }

// Line says what was decided.
func (b Reviewed) Line() string {
	verb := "not accepted"
	if b.Accepted {
		verb = "accepted"
	}
	return fmt.Sprintf("%s %s: %s", b.Key, verb, b.Why)
}

func orDash(s string) string { return cmp.Or(s, "-") }
