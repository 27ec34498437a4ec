package logbook

import (
	"cmp"
	"fmt"
	"strings"
	"time"

	"coolhold/fusion"
)

// A Gauge is what the pressure is read from. What nobody knows is nil or "".
type Gauge struct {
	Serial        string   `json:"serial,omitempty"`
	RangeBar      *float64 `json:"range_bar,omitempty"`
	ResolutionBar *float64 `json:"resolution_bar,omitempty"` // the smallest step that can be read off it
	Calibrated    string   `json:"calibrated,omitempty"`     // date, YYYY-MM-DD
	AboveM        *float64 `json:"above_m,omitempty"`        // its height over the lowest point of the section
}

// PressureBegun is the begin of a pressure test with all that is given before it. A
// figure that nobody knows is nil, a text "". What comes of it is computed from this and
// from the readings, and stored nowhere.
type PressureBegun struct {
	Test    string         `json:"test"` // "KM-P1"
	Section SectionID      `json:"section"`
	Stage   PressureStage  `json:"stage"`
	Method  PressureMethod `json:"method"`
	Bar     float64        `json:"bar"` // to be reached, at the gauge
	// As the specification says.
	Spec       string   `json:"spec,omitempty"` // which, and where in it
	Minutes    int      `json:"minutes,omitempty"`
	AllowedBar *float64 `json:"allowed_fall_bar,omitempty"`
	// EN 805 A.27.
	ErMPa    *float64 `json:"er_mpa,omitempty"`
	ErSource string   `json:"er_source,omitempty"` // with the temperature and age that it is for
	WallMM   *float64 `json:"wall_mm,omitempty"`   // as measured
	WallOf   string   `json:"wall_of,omitempty"`   // pipe that was measured, where the section has several
	// Decay trend.
	Issue string `json:"issue,omitempty"` // of the method that is followed
	// All methods.
	Weakest    string            `json:"weakest,omitempty"`
	WeakestBar *float64          `json:"weakest_bar,omitempty"`
	Gauge      Gauge             `json:"gauge"`
	WaterC     *fusion.Celsius   `json:"water_c,omitempty"`
	PipeC      *fusion.Celsius   `json:"pipe_c,omitempty"`
	Sun        string            `json:"sun,omitempty"`
	Caps       string            `json:"caps,omitempty"`
	Shut       map[string]string `json:"shut,omitempty"` // by thing, how it stands
	Witness    string            `json:"witness,omitempty"`
	// Missing are joints of the section that were not accepted when it was begun.
	Missing []string   `json:"missing,omitempty"`
	Stated  *time.Time `json:"stated,omitempty"` // when it was begun, where it was entered later
	Why     string     `json:"why,omitempty"`    // it was entered later
}

// Kind is "pressure test begun".
func (PressureBegun) Kind() Kind { return "pressure test begun" }

// Line names section, stage and what the method wants.
func (b PressureBegun) Line() string {
	line := fmt.Sprintf("pressure test %s begun: %s, %s, %s, %s bar", b.Test, b.Section, b.Stage, b.Method, fusion.Figure(b.Bar))
	if b.Minutes > 0 {
		line += fmt.Sprintf(" for %d min", b.Minutes)
	}
	if b.AllowedBar != nil {
		line += ", allowed to fall " + fusion.Figure(*b.AllowedBar) + " bar"
	}
	if len(b.Missing) > 0 {
		line += ", while not accepted: " + strings.Join(b.Missing, ", ")
	}
	return line + later(b.Stated, b.Why)
}

// later says of what was entered later when it was, and why.
func later(stated *time.Time, why string) string {
	if stated == nil {
		return ""
	}
	line := " at " + stated.Format("2006-01-02 15:04") + ", entered later"
	if why != "" {
		line += ": " + why
	}
	return line
}

// PressurePhased begins a phase of a test.
type PressurePhased struct {
	Test   string        `json:"test"`
	Phase  PressurePhase `json:"phase"`
	Stated *time.Time    `json:"stated,omitempty"`
}

// Kind is "pressure phase begun".
func (PressurePhased) Kind() Kind { return "pressure phase begun" }

// Line names it.
func (b PressurePhased) Line() string {
	return fmt.Sprintf("pressure test %s: %s", b.Test, b.Phase) + later(b.Stated, "")
}

// PressureRead is a reading of the gauge, or how much water was let out.
type PressureRead struct {
	Test    string   `json:"test"`
	Bar     *float64 `json:"bar,omitempty"`
	LetOutL *float64 `json:"let_out_l,omitempty"`
	// MeasureL is the smallest step of what the water was measured with.
	MeasureL *float64   `json:"measure_l,omitempty"`
	Text     string     `json:"text,omitempty"`
	Stated   *time.Time `json:"stated,omitempty"`
	// Instead is the number of the reading that was written down wrongly, from 1, and
	// Why it is put right; 0: it is a reading of its own.
	Instead int    `json:"instead,omitempty"`
	Why     string `json:"why,omitempty"`
}

// Kind is "pressure read".
func (PressureRead) Kind() Kind { return "pressure read" }

// Line gives what was read.
func (b PressureRead) Line() string {
	var says []string
	if b.Bar != nil || b.LetOutL != nil {
		says = append(says, PressureFigure(b.Bar, b.LetOutL))
	}
	if b.Text != "" {
		says = append(says, b.Text)
	}
	what := strings.Join(says, ", ")
	if b.Instead > 0 {
		what = fmt.Sprintf("reading %d is %s (%s)", b.Instead, what, b.Why)
	}
	return fmt.Sprintf("pressure test %s: %s", b.Test, what) + later(b.Stated, "")
}

// PressureFigure is what was read: a pressure, water let out, or both.
func PressureFigure(bar, litres *float64) string {
	switch {
	case bar != nil && litres != nil:
		return fmt.Sprintf("%s bar, %s L let out", fusion.Figure(*bar), fusion.Figure(*litres))
	case bar != nil:
		return fusion.Figure(*bar) + " bar"
	case litres != nil:
		return fusion.Figure(*litres) + " L let out"
	}
	return "no figure"
}

// PressureEnded ends a test, with what was seen of the joints and what is left in the
// section.
type PressureEnded struct {
	Test    string         `json:"test"`
	Ending  PressureEnding `json:"ending"`
	Leaks   string         `json:"leaks,omitempty"`    // what was seen of leaks under pressure
	LeftBar *float64       `json:"left_bar,omitempty"` // left standing; 0: it was let out
	Text    string         `json:"text,omitempty"`
	Stated  *time.Time     `json:"stated,omitempty"`
}

// Kind is "pressure test ended".
func (PressureEnded) Kind() Kind { return "pressure test ended" }

// Line says how.
func (b PressureEnded) Line() string {
	line := fmt.Sprintf("pressure test %s: %s", b.Test, b.Ending)
	if b.Leaks != "" {
		line += "; leaks: " + Leaks.Word(b.Leaks)
	}
	if b.Text != "" {
		line += ": " + b.Text
	}
	if b.LeftBar != nil {
		line += "; left standing at " + fusion.Figure(*b.LeftBar) + " bar"
	}
	return line + later(b.Stated, "")
}

// PressureWithdrawn takes a test back that was recorded by mistake. Both stay in the
// log.
type PressureWithdrawn struct {
	Test string `json:"test"`
	Why  string `json:"why"`
}

// Kind is "pressure test withdrawn".
func (PressureWithdrawn) Kind() Kind { return "pressure test withdrawn" }

// Line says why.
func (b PressureWithdrawn) Line() string {
	return fmt.Sprintf("pressure test %s was no test, as was said: %s", b.Test, b.Why)
}

// ClosingNamed says of a weld that it closes a section that was tested before it was
// made, so that no test of that section holds it.
type ClosingNamed struct {
	Why string `json:"why"`
}

// Kind is "closing weld named".
func (ClosingNamed) Kind() Kind { return "closing weld named" }

// Line says why.
func (b ClosingNamed) Line() string { return "named as the closing weld: " + b.Why }

// PressureLook is a look at one weld while its section is under pressure.
type PressureLook struct {
	Bar     float64    `json:"bar"` // at the gauge, when it was looked at
	Leaks   string     `json:"leaks"`
	Witness string     `json:"witness,omitempty"`
	Text    string     `json:"text,omitempty"`
	Stated  *time.Time `json:"stated,omitempty"`
}

// Kind is "looked at under pressure".
func (PressureLook) Kind() Kind { return "looked at under pressure" }

// Line says what was seen.
func (b PressureLook) Line() string {
	line := fmt.Sprintf("looked at under pressure, %s bar: %s", fusion.Figure(b.Bar), Leaks.Word(b.Leaks))
	line += ", witness " + cmp.Or(b.Witness, "none")
	if b.Text != "" {
		line += ": " + b.Text
	}
	return line + later(b.Stated, "")
}
