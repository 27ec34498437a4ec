package logbook

import (
	"fmt"
	"strings"
	"time"

	"coolhold/fusion"
)

// WeldBegun is one attempt at a joint. Its number stands in the entry's Weld.
type WeldBegun struct {
	Operator string `json:"operator"`
	Unit     string `json:"unit"`
	Corrects YesNo  `json:"corrects"`       // what the shift says of the unit
	Card     int    `json:"card,omitempty"` // version of the preparation card
}

// Kind is "weld begun".
func (WeldBegun) Kind() Kind { return "weld begun" }

// Line names people and unit.
func (b WeldBegun) Line() string {
	return fmt.Sprintf("weld begun by %s with unit %s", b.Operator, b.Unit)
}

// StepAnswered holds answers given at one step of the walk.
type StepAnswered struct {
	Step    Step     `json:"step"`
	Answers []Answer `json:"answers"`
}

// Kind is "step answered".
func (StepAnswered) Kind() Kind { return "step answered" }

// Line lists the answers.
func (b StepAnswered) Line() string {
	parts := make([]string, len(b.Answers))
	for i, a := range b.Answers {
		parts[i] = NameOf(a.Item) + ": " + a.Words()
		if why := a.Because(); why != "" {
			parts[i] += " (" + why + ")"
		}
		if a.How == Carried {
			parts[i] += " (" + a.How.String() + ")"
		}
		if a.Was != "" {
			parts[i] += " (before: " + Words(a.Item, a.Was) + ")"
		}
	}
	line := strings.Join(parts, "; ")
	if len(b.Answers) > 0 && b.Answers[0].Item == string(b.Step) {
		return line // an answer that has the name of its step
	}
	return b.Step.String() + ": " + line
}

// Changed is what is kept beside a figure: what was read before it, where it was
// changed before the current, and why it was doubted when it was typed.
type Changed struct {
	Was     string `json:"was,omitempty"` // a figure or a code, no words
	Doubted Doubt  `json:"doubted,omitempty"`
}

// changed is said after a figure; words are those of what it was before.
func (c Changed) changed(words func(was string) string) string {
	line := ""
	if c.Doubted != "" {
		line += " (" + c.Doubted.String() + "; typed twice)"
	}
	if c.Was != "" {
		line += " (before: " + words(c.Was) + ")"
	}
	return line
}

// inUnit words a figure, and None where the unit showed none.
func inUnit(unit string) func(string) string {
	return func(was string) string {
		if was == None {
			return "not shown"
		}
		return was + " " + unit
	}
}

// BagRead is what the bag of a new batch prints for one band, against the table.
type BagRead struct {
	Fitting string      `json:"fitting"`
	Batch   string      `json:"batch"`
	Table   string      `json:"table"` // hash
	Band    fusion.Band `json:"band"`
	Seconds int         `json:"seconds"`
	Matches bool        `json:"matches"`
	Printed *int        `json:"printed,omitempty"` // seconds, where they were typed from the bag
}

// Kind is "bag read".
func (BagRead) Kind() Kind { return "bag read" }

// Line says whether bag and table agree.
func (b BagRead) Line() string {
	verdict := "as in the table"
	if !b.Matches {
		verdict = "NOT as in the table"
	}
	printed := ""
	if b.Printed != nil {
		printed = fmt.Sprintf("prints %d s, ", *b.Printed)
	}
	return fmt.Sprintf("bag of %s, batch %s, %s: %s%s (table %d s)", b.Fitting, orDash(Words(ItemBatch, b.Batch)), b.Band, printed, verdict, b.Seconds)
}

// AmbientRead is the temperature in the shade beside the joint.
type AmbientRead struct {
	C     fusion.Celsius `json:"c"`
	How   How            `json:"how"`
	Taken *fusion.Stamp  `json:"taken,omitempty"` // set where an earlier reading was confirmed
	Changed
}

// Kind is "ambient read".
func (AmbientRead) Kind() Kind { return "ambient read" }

// Line is the temperature and how it came.
func (b AmbientRead) Line() string {
	line := fmt.Sprintf("ambient %s °C, %s", b.C, b.How)
	if b.Taken != nil {
		line += ", reading of " + b.Taken.Local().Format("15:04") + " confirmed"
	}
	return line + b.changed(inUnit("°C"))
}

// SettingsKeyed is what the table asks for and what the unit's display showed.
// Where the unit corrects for temperature itself or works by a code the two
// need not agree; the audit asks where they lie far apart.
type SettingsKeyed struct {
	Table            string       `json:"table,omitempty"` // hash
	Title            string       `json:"title,omitempty"`
	Band             *fusion.Band `json:"band,omitempty"` // nil: ambient outside the table
	Degree           int          `json:"degree"`
	VoltsTable       float64      `json:"volts_table,omitempty"`
	SecondsTable     int          `json:"seconds_table,omitempty"`
	CoolingMin       int          `json:"cooling_min"`
	CoolingHow       How          `json:"cooling_how"`
	PressureWaitMin  *int         `json:"pressure_wait_min,omitempty"`
	PressureWaitFrom string       `json:"pressure_wait_from,omitempty"`
	Mode             Mode         `json:"mode"`
	VoltsShown       *float64     `json:"volts_shown,omitempty"`
	SecondsShown     int          `json:"seconds_shown"`
	How              How          `json:"how"`
	ModeHow          How          `json:"mode_how,omitempty"` // set where the mode came otherwise than the figures
	// SecondsUnsaid is set where nobody wrote down what the display showed.
	SecondsUnsaid bool `json:"seconds_unsaid,omitempty"`
	Zones         int  `json:"zones,omitempty"` // that are fused one after another; 0: one
	Changed
}

// Compared tells whether the time shown must equal the table's. Where nobody
// wrote down how it came, it must.
func (b SettingsKeyed) Compared() bool { return b.Mode == ModeKeyed || b.Mode == "" }

// Unlike says in one sentence how the display differs from the table, or
// nothing. DVS 2207-1 Suppl. 1, 4.4: time shown must equal that of the fitting.
func (b SettingsKeyed) Unlike() string {
	if !b.Compared() || b.Band == nil {
		return ""
	}
	if !b.SecondsUnsaid && b.SecondsShown != b.SecondsTable {
		return fmt.Sprintf("the unit shows %d s, the fitting's table says %d s for %s", b.SecondsShown, b.SecondsTable, *b.Band)
	}
	if b.VoltsShown != nil && *b.VoltsShown != b.VoltsTable {
		return fmt.Sprintf("the unit shows %g V, the fitting's table says %g V", *b.VoltsShown, b.VoltsTable)
	}
	return ""
}

// Kind is "settings keyed".
func (SettingsKeyed) Kind() Kind { return "settings keyed" }

// Line is what the unit showed beside the table's figures.
func (b SettingsKeyed) Line() string {
	line := fmt.Sprintf("unit shows %d s", b.SecondsShown)
	if b.SecondsUnsaid {
		line = "seconds set not written down"
	}
	if b.VoltsShown != nil {
		line += fmt.Sprintf(" at %g V", *b.VoltsShown)
	}
	if b.Band != nil {
		line += fmt.Sprintf("; table %d s, %g V for %s", b.SecondsTable, b.VoltsTable, *b.Band)
	}
	if b.Zones > 1 {
		line += fmt.Sprintf(", for each of %d zones", b.Zones)
	}
	mode := orDash(b.Mode.String())
	if b.ModeHow != "" {
		mode += " (" + b.ModeHow.String() + ")"
	}
	return fmt.Sprintf("%s; cooling %d min; %s%s", line, b.CoolingMin, mode, b.changed(setBefore))
}

// SetBefore writes the seconds set and how they came, as they are stored beside what
// was set after them.
func (b SettingsKeyed) SetBefore() string {
	return fmt.Sprintf("%d %s", b.SecondsShown, string(b.Mode))
}

func setBefore(was string) string {
	seconds, mode, _ := strings.Cut(was, " ")
	return seconds + " s, " + Mode(mode).String()
}

// StepStopped is a step that coolhold stopped before the current was on, with
// what was tried.
type StepStopped struct {
	Step  Step   `json:"step"`
	Why   string `json:"why"`
	Tried string `json:"tried"`
}

// Kind is "step stopped".
func (StepStopped) Kind() Kind { return "step stopped" }

// Line says why.
func (b StepStopped) Line() string {
	return fmt.Sprintf("stopped at %s: %s (tried %s)", b.Step, b.Why, b.Tried)
}

// ResistanceRead is the coil's resistance as the unit showed it, with the
// window it is held against.
type ResistanceRead struct {
	Ohms  *float64 `json:"ohms,omitempty"` // nil: not shown
	Low   float64  `json:"low,omitempty"`
	High  float64  `json:"high,omitempty"`
	Basis string   `json:"basis,omitempty"`
	How   How      `json:"how"`
	Changed
}

// Outside tells whether a reading lies outside its window.
func (b ResistanceRead) Outside() bool {
	return b.Ohms != nil && b.High > 0 && (*b.Ohms < b.Low || *b.Ohms > b.High)
}

// Shown is the figure as it is stored beside a later one: None where the unit showed
// none.
func (b ResistanceRead) Shown() string {
	if b.Ohms == nil {
		return None
	}
	return fusion.Figure(*b.Ohms)
}

// Kind is "resistance read".
func (ResistanceRead) Kind() Kind { return "resistance read" }

// Line is the reading and its window.
func (b ResistanceRead) Line() string {
	if b.Ohms == nil && b.How == Later {
		return "resistance not written down"
	}
	if b.Ohms == nil {
		return "resistance not shown by the unit" + b.changed(inUnit("Ω"))
	}
	line := fmt.Sprintf("resistance %g Ω", *b.Ohms)
	if b.High > 0 {
		line += fmt.Sprintf(" (window %.2f…%.2f Ω, %s)", b.Low, b.High, b.Basis)
	}
	return line + b.changed(inUnit("Ω"))
}

// AttemptRefused is a start that the unit refused. Where the current was said to be
// on, AfterS and RunS tell whether heat may have gone in all the same.
type AttemptRefused struct {
	Said   string `json:"said"`
	AfterS *int   `json:"after_s,omitempty"` // seconds since the current was said to be on; nil: it was not
	RunS   *int   `json:"run_s,omitempty"`   // seconds run, as the unit showed; nil: it showed none, or was not asked
}

// Kind is "attempt refused".
func (AttemptRefused) Kind() Kind { return "attempt refused" }

// Line is what the unit said.
func (b AttemptRefused) Line() string {
	line := "start refused by the unit: " + orDash(b.Said)
	switch {
	case b.AfterS == nil:
		return line
	case b.RunS == nil:
		return fmt.Sprintf("%s; said %d s after the current was on, no seconds run shown", line, *b.AfterS)
	}
	return fmt.Sprintf("%s; said %d s after the current was on, %d s run shown", line, *b.AfterS, *b.RunS)
}

// refusedAtOnce is how many seconds after the start a refusal counts as one at
// once, a bad contact say, which is common and harmless: our choice.
const refusedAtOnce = 15

// Cold tells whether it is known that no heat went in: refused before the current,
// or at once with no seconds run.
func (b AttemptRefused) Cold() bool {
	return b.AfterS == nil || *b.AfterS <= refusedAtOnce && b.RunS != nil && *b.RunS == 0
}

// FusionStarted says that the current is on.
type FusionStarted struct {
	AgoS   int        `json:"ago_s,omitempty"`  // seconds before the entry
	Stated *time.Time `json:"stated,omitempty"` // where it was entered later
}

// Kind is "fusion started".
func (FusionStarted) Kind() Kind { return "fusion started" }

// Line says when.
func (b FusionStarted) Line() string {
	switch {
	case b.Stated != nil:
		return "fusion started at " + b.Stated.Format("15:04") + ", as stated later"
	case b.AgoS > 0:
		return fmt.Sprintf("fusion started %d s before this entry", b.AgoS)
	}
	return "fusion started"
}

// FusionEnded is how a fusion ended. The hold begins with it.
type FusionEnded struct {
	Outcome Outcome    `json:"outcome"`
	AtS     *int       `json:"at_s,omitempty"` // seconds run, of a stopped fusion
	Said    string     `json:"said,omitempty"` // what the unit said
	Stated  *time.Time `json:"stated,omitempty"`
	// HoldStated is set where a named person states when the fusion of a weld
	// entered later ended; else its hold runs from the moment of entry.
	HoldStated bool `json:"hold_stated,omitempty"`
	Changed
}

// Kind is "fusion ended".
func (FusionEnded) Kind() Kind { return "fusion ended" }

// Line is the outcome.
func (b FusionEnded) Line() string {
	line := "fusion " + b.Outcome.String()
	if b.Outcome == NotSeen {
		line = "nobody saw how the fusion ended"
	}
	if b.AtS != nil {
		line += fmt.Sprintf(" at %d s", *b.AtS)
	}
	if b.Said != "" {
		line += ", the unit said: " + b.Said
	}
	return line + b.changed(inUnit("s"))
}

// RunRead is the time the unit says it ran; nil where it shows none.
type RunRead struct {
	Seconds *int `json:"seconds,omitempty"`
	How     How  `json:"how"`
	Changed
}

// Kind is "run read".
func (RunRead) Kind() Kind { return "run read" }

// Line is the time run.
func (b RunRead) Line() string {
	if b.Seconds == nil && b.How == Later {
		return "seconds run not written down"
	}
	if b.Seconds == nil {
		return "seconds run not shown by the unit"
	}
	return fmt.Sprintf("unit shows %d s run", *b.Seconds) + b.changed(inUnit("s"))
}
