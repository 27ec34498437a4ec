package logbook

import (
	"fmt"
	"strings"

	"coolhold/fusion"
)

// A Zone is one zone of a fitting that is fused through several pairs of terminals,
// one after another: one number, one cut-out, several fusions. The last one is that
// of the weld itself.
type Zone struct {
	Started, Ended fusion.Stamp
	Ohms           *ResistanceRead
	Run            *int // seconds, as the unit showed
	RunAsked       bool
}

// Line is what is recorded of a zone.
func (z Zone) Line() string {
	parts := []string{z.Started.Local().Format("15:04:05")}
	if z.Ohms != nil && z.Ohms.Ohms != nil {
		parts = append(parts, fusion.Figure(*z.Ohms.Ohms)+" Ω")
	}
	if z.Run != nil {
		parts = append(parts, fmt.Sprintf("%d s run", *z.Run))
	}
	return strings.Join(parts, ", ")
}

// zones is how many zones the fitting has.
func (w Weld) zones() int {
	if w.Settings == nil {
		return 1
	}
	return max(1, w.Settings.Zones)
}

// ZoneLine says which zone is next or being fused: "zone 2 of 2"; "" where there is
// but one.
func (w Weld) ZoneLine() string {
	if w.zones() < 2 {
		return ""
	}
	no := len(w.Zones) + 1
	if w.Between() && w.betweenNext() == StepRun {
		no-- // its seconds are still asked
	}
	return fmt.Sprintf("zone %d of %d", no, w.zones())
}

// ZoneLines are all zones of a fused weld, nil where it has but one.
func (w Weld) ZoneLines() []string {
	if w.zones() < 2 || w.Started == nil {
		return nil
	}
	all := w.Zones
	if w.ZoneAt != nil {
		all = append(all[:len(all):len(all)], Zone{Started: *w.ZoneAt, Ohms: w.Ohms, Run: w.Run})
	}
	var lines []string
	for i, z := range all {
		lines = append(lines, fmt.Sprintf("zone %d: %s", i+1, z.Line()))
	}
	return lines
}

// Between tells whether a zone is fused, and the next one is not begun.
func (w Weld) Between() bool {
	return len(w.Zones) > 0 && w.ZoneAt == nil && w.Ended == nil && w.CutOut == nil
}

// MoreZones tells whether a zone follows on the one that is next or being fused.
func (w Weld) MoreZones() bool { return len(w.Zones)+1 < w.zones() }

// more tells whether the zone that ends is not the last.
func (w Weld) more(b FusionEnded) bool {
	return b.Outcome == Completed && b.Stated == nil && w.StartedStated == nil && w.MoreZones()
}

// zoned keeps a zone that was fused; the next one is still to come.
func (w Weld) zoned(end fusion.Stamp) Weld {
	w.Zones = append(w.Zones[:len(w.Zones):len(w.Zones)], Zone{Started: *w.ZoneAt, Ended: end, Ohms: w.Ohms})
	w.ZoneAt, w.Ohms = nil, nil
	return w
}

// zoneRun is the seconds run of the zone that was fused last.
func (w Weld) zoneRun(seconds *int) Weld {
	last := len(w.Zones) - 1
	w.Zones = append([]Zone{}, w.Zones...)
	w.Zones[last].Run, w.Zones[last].RunAsked = seconds, true
	return w
}

// betweenNext is what is asked between two zones.
func (w Weld) betweenNext() Step {
	switch {
	case !w.Zones[len(w.Zones)-1].RunAsked:
		return StepRun
	case w.Ohms == nil:
		return StepResistance
	}
	return StepStart
}
