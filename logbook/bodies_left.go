package logbook

import (
	"fmt"
	"strings"
	"time"

	"coolhold/fusion"
)

// Whether a pressure was left in a section.
const (
	PressureStands = "stands"
	PressureNone   = "none"
)

// Standings answer whether a pressure was left. None has a default.
var Standings = options("was a pressure left standing", PressureStands, "a pressure was left", PressureNone, "none: it is let off", Unseen, couldNotLook)

// A Call is who is to be called about the loop.
type Call struct {
	Name  string `json:"name"`
	Phone string `json:"phone,omitempty"`
	Firm  string `json:"firm,omitempty"`
}

// Line is who, with number and firm where they were given.
func (c Call) Line() string { return Joined(", ", c.Name, c.Phone, c.Firm) }

// LeftAs is how a section was left for whoever works on it next. Of what is not set
// nothing was said: it is asked, never guessed. Each of these stands until it is said
// anew, whatever else is said meanwhile.
type LeftAs struct {
	Section  SectionID `json:"section"`
	Pressure string    `json:"pressure,omitempty"` // a code of Standings
	Bar      *float64  `json:"bar,omitempty"`      // at the gauge, of one that was left; nil: not read
	Gauge    string    `json:"gauge,omitempty"`
	// Valves by their names. NoneShut says that none was left shut.
	Shut     []string   `json:"shut,omitempty"`
	NoneShut bool       `json:"none_shut,omitempty"`
	Open     []string   `json:"open,omitempty"`
	Caps     string     `json:"caps,omitempty"`  // where, and what they are
	Fill     string     `json:"fill,omitempty"`  // where it is filled
	Purge    string     `json:"purge,omitempty"` // where it is purged
	LPM      *float64   `json:"lpm,omitempty"`   // of a circuit, as set by hand
	End      string     `json:"end,omitempty"`   // of a header, where it comes out in the plant room
	Mark     string     `json:"mark,omitempty"`  // of a header, how it is marked there
	Call     *Call      `json:"call,omitempty"`
	Text     string     `json:"text,omitempty"`
	Stated   *time.Time `json:"stated,omitempty"`
}

// Kind is "left as".
func (LeftAs) Kind() Kind { return "left as" }

// Valves tells whether anything is said of valves.
func (b LeftAs) Valves() bool { return b.NoneShut || len(b.Shut)+len(b.Open) > 0 }

// Says tells whether anything is said at all.
func (b LeftAs) Says() bool {
	return b.Valves() || b.Bar != nil || b.LPM != nil || b.Call != nil || Joined("", b.Pressure, b.Caps, b.Fill, b.Purge, b.End, b.Mark, b.Text) != ""
}

// PressureLine is the pressure in words; "" where nothing was said of it.
func (b LeftAs) PressureLine() string {
	switch b.Pressure {
	case PressureStands:
		return figureOr(b.Bar, "bar left standing", "a pressure was left, not read") + spacedGauge(b.Gauge)
	case PressureNone:
		return "no pressure was left: it is let off" + spacedGauge(b.Gauge)
	case "":
		return ""
	}
	return "whether a pressure stands: " + Standings.Word(b.Pressure)
}

func spacedGauge(gauge string) string {
	if gauge == "" {
		return ""
	}
	return ", gauge " + gauge
}

// ValveLine are the valves in words; "" where nothing was said of them.
func (b LeftAs) ValveLine() string {
	var says []string
	switch {
	case b.NoneShut:
		says = append(says, "none was left shut")
	case len(b.Shut) > 0:
		says = append(says, "SHUT: "+strings.Join(b.Shut, ", "))
	}
	if len(b.Open) > 0 {
		says = append(says, "open: "+strings.Join(b.Open, ", "))
	}
	return strings.Join(says, "; ")
}

// Line says how it was left.
func (b LeftAs) Line() string {
	says := []string{b.PressureLine()}
	if valves := b.ValveLine(); valves != "" {
		says = append(says, "valves: "+valves)
	}
	for _, part := range [][2]string{{"caps", b.Caps}, {"filled at", b.Fill}, {"purged at", b.Purge}, {"ends in the plant room as", b.End}, {"marked", b.Mark}} {
		if part[1] != "" {
			says = append(says, part[0]+" "+part[1])
		}
	}
	if b.LPM != nil {
		says = append(says, "flow set to "+fusion.Figure(*b.LPM)+" L/min")
	}
	if b.Call != nil {
		says = append(says, "to call: "+b.Call.Line())
	}
	return fmt.Sprintf("left as, %s: %s", b.Section, Joined("; ", says...)) + remark(b.Text) + later(b.Stated, "")
}
