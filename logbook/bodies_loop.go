package logbook

import (
	"fmt"
	"strings"
	"time"

	"coolhold/fusion"
)

// A FlowSeen is another circuit whose gauge showed flow; nil: how much was not read.
type FlowSeen struct {
	Section SectionID `json:"section"`
	LPM     *float64  `json:"lpm,omitempty"`
}

// FlowChecked is one circuit opened, with what its gauge and those of the others showed.
// What it comes to is computed from this and stored nowhere.
type FlowChecked struct {
	Section SectionID `json:"section"`       // the circuit that was open
	LPM     *float64  `json:"lpm,omitempty"` // on its own gauge; nil: not read
	Shut    string    `json:"shut"`          // how the others were shut, a code of Shuttings
	Others  string    `json:"others"`        // what their gauges showed, a code of OtherFlows
	// Seen are the others that showed flow.
	Seen        []FlowSeen `json:"seen,omitempty"`
	GaugeMaxLPM *float64   `json:"gauge_max_lpm,omitempty"` // the most that a gauge can show
	Text        string     `json:"text,omitempty"`
	Stated      *time.Time `json:"stated,omitempty"` // when it was read, where it was entered later
}

// Kind is "flow checked".
func (FlowChecked) Kind() Kind { return "flow checked" }

// Line names the circuit and what was read.
func (b FlowChecked) Line() string {
	line := fmt.Sprintf("flow of %s: %s; %s; %s", b.Section, figureOr(b.LPM, "L/min", "its gauge not read"), Shuttings.Word(b.Shut), OtherFlows.Word(b.Others))
	var seen []string
	for _, s := range b.Seen {
		seen = append(seen, s.Section.Name()+" "+figureOr(s.LPM, "L/min", "not read"))
	}
	if len(seen) > 0 {
		line += ": " + strings.Join(seen, ", ")
	}
	if b.GaugeMaxLPM != nil {
		line += "; gauges end at " + figureOr(b.GaugeMaxLPM, "L/min", "")
	}
	return line + remark(b.Text) + later(b.Stated, "")
}

// Purged is a purge of one section, as it was seen. Nothing in it has a default.
type Purged struct {
	Section     SectionID       `json:"section"`
	LPM         *float64        `json:"lpm,omitempty"`              // while it ran
	Minutes     *float64        `json:"minutes,omitempty"`          // in all
	AfterBubble *float64        `json:"after_bubble_min,omitempty"` // after the last bubble
	WaterC      *fusion.Celsius `json:"water_c,omitempty"`
	Bypassed    string          `json:"bypassed"` // heat pump; codes of PurgeFacts
	Strainer    string          `json:"strainer"`
	Turned      string          `json:"turned"`         // the direction, once
	Pump        []PumpPoint     `json:"pump,omitempty"` // its curve as typed; none: it was not said
	Text        string          `json:"text,omitempty"`
	Stated      *time.Time      `json:"stated,omitempty"`
}

// Kind is "purged".
func (Purged) Kind() Kind { return "purged" }

// Line names the section and what was seen.
func (b Purged) Line() string {
	return fmt.Sprintf("purged %s: %s, %s, %s after the last bubble; heat pump bypassed: %s; strainer in: %s; direction turned: %s", b.Section,
		figureOr(b.LPM, "L/min", "flow not read"), figureOr(b.Minutes, "min", "minutes not known"), figureOr(b.AfterBubble, "min", "minutes not known"),
		PurgeFacts.Word(b.Bypassed), PurgeFacts.Word(b.Strainer), PurgeFacts.Word(b.Turned)) + b.pump() + remark(b.Text) + later(b.Stated, "")
}

// A PumpPoint is what a pump gives at one point of its curve: a flow, and the head that it
// has left at it.
type PumpPoint struct {
	LPM   float64 `json:"lpm"`
	HeadM float64 `json:"head_m"`
}

// pump is the curve of the pump in words; "" where it was not said.
func (b Purged) pump() string {
	if len(b.Pump) == 0 {
		return ""
	}
	return "; pump " + PumpLine(b.Pump) + " (L/min:m)"
}

// PumpLine is a curve as it is typed: "50:30 100:24".
func PumpLine(curve []PumpPoint) string {
	var points []string
	for _, p := range curve {
		points = append(points, fusion.Figure(p.LPM)+":"+fusion.Figure(p.HeadM))
	}
	return strings.Join(points, " ")
}

// FluidFilled is what is in a section from then on, as it was filled and read.
type FluidFilled struct {
	Section    SectionID       `json:"section"`
	Content    string          `json:"content"`        // a code of Contents
	Name       string          `json:"name,omitempty"` // as it stands on the can
	SharePct   *float64        `json:"share_pct,omitempty"`
	Litres     *float64        `json:"litres,omitempty"` // of it, filled in
	Batch      string          `json:"batch,omitempty"`
	Inhibitor  string          `json:"inhibitor,omitempty"`
	FreezingC  *fusion.Celsius `json:"freezing_c,omitempty"` // as read
	Instrument string          `json:"instrument,omitempty"`
	MeantFor   string          `json:"meant_for,omitempty"` // is the instrument meant for that fluid; a code of MeantFors
	Text       string          `json:"text,omitempty"`
	Stated     *time.Time      `json:"stated,omitempty"`
}

// Kind is "fluid filled".
func (FluidFilled) Kind() Kind { return "fluid filled" }

// Line says what is in which section.
func (b FluidFilled) Line() string {
	line := fmt.Sprintf("in %s: %s", b.Section, Contents.Word(b.Content))
	if b.Name != "" {
		line += ", " + b.Name
	}
	if b.Content != ContentWater {
		line += fmt.Sprintf(", %s, %s filled in", figureOr(b.SharePct, "%", "share not known"), figureOr(b.Litres, "L", "litres not known"))
	}
	for _, part := range [][2]string{{"batch", b.Batch}, {"inhibitor", b.Inhibitor}} {
		if part[1] != "" {
			line += ", " + part[0] + " " + part[1]
		}
	}
	if b.FreezingC != nil {
		line += fmt.Sprintf("; freezes at %s °C as read by %s, meant for that fluid: %s", b.FreezingC, orWord(b.Instrument, "an instrument not named"), orWord(MeantFors.Word(b.MeantFor), "not known"))
	}
	return line + remark(b.Text) + later(b.Stated, "")
}

// LoopWithdrawn takes the newest of a kind of loop reading in a section back: it was said
// by mistake. Both stay in the log.
type LoopWithdrawn struct {
	What    Kind      `json:"what"`
	Section SectionID `json:"section"`
	Why     string    `json:"why"`
}

// Kind is "loop reading withdrawn".
func (LoopWithdrawn) Kind() Kind { return "loop reading withdrawn" }

// Line says which, and why.
func (b LoopWithdrawn) Line() string {
	return fmt.Sprintf("%s, %s: taken back: %s", b.What, b.Section, b.Why)
}

// figureOr is a figure with its unit, or what is said where there is none.
func figureOr(x *float64, unit, none string) string {
	if x == nil {
		return none
	}
	return fusion.Figure(*x) + " " + unit
}

func orWord(said, none string) string {
	if said == "" {
		return none
	}
	return said
}

func remark(text string) string {
	if text == "" {
		return ""
	}
	return ": " + text
}
