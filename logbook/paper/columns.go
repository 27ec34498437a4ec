// Package paper is the sheet for the van: what is printed on it, and how the
// rows typed from it are read again. A row is read whole or not at all, and
// nothing in it is guessed: what was left blank stays unsaid.
package paper

import (
	"strings"
	"time"

	"coolhold/logbook"
)

// A Column is one thing written down of a weld. The same name stands under its
// box on the sheet and at the head of the file.
type Column struct {
	Name    string
	Write   string // what to write
	Unit    string // "" where it has none
	Example string
	Must    bool // cannot be left blank
	// Say is set where that it was left blank is said with the weld: no rule of
	// the audit asks for the value, or a reader of the sheet would miss it there.
	Say  bool
	read func(*reading, string) (string, error) // gives the value as it is kept
}

// A reading is one row while it is read.
type reading struct {
	l    logbook.LateWeld
	zone *time.Location
	day  time.Time // zero: not readable
}

// Names of columns that others speak of.
const (
	colJoint    = "joint"
	colOperator = "operator"
	colDate     = "date"
	colStart    = "start"
	colEnd      = "end"
	colOutcome  = "outcome"
	colStopped  = "stopped_at_s"
	colReleased = "released_at"
	colMethod   = "method"
)

// eye are the words for what is seen; a blank beside others is "not seen".
func eye(options ...string) []string { return append(options, logbook.Unseen) }

// Columns are the columns that can be taken in, in the order of the work.
var Columns = columns()

func columns() []Column {
	cols := []Column{
		{Name: colJoint, Write: "its label, as on the pipe", Example: "1A", Must: true, read: text(12, func(l *logbook.LateWeld) *string { return &l.Joint })},
		{Name: colOperator, Write: "who welded", Example: "Ada Invented", Must: true, read: text(60, func(l *logbook.LateWeld) *string { return &l.Operator })},
		{Name: colDate, Write: "the day of the weld", Example: "2026-03-09", Must: true, read: readDate},
		{Name: "unit", Write: "serial number of the control unit", Example: "CU-1", Say: true, read: text(60, func(l *logbook.LateWeld) *string { return &l.Unit })},
		{Name: "unit_corrects", Write: "does it correct for temperature itself: yes, no, not known", Example: "no", read: words(func(l *logbook.LateWeld) *string { return &l.Corrects }, logbook.Yes, logbook.No, logbook.NotKnown)},
		{Name: "fitting", Write: "as in its table", Example: "coupler 40", Say: true, read: answer(logbook.ItemFitting)},
		{Name: "fitting_batch", Write: "batch on the bag", Example: "W-1", read: answer(logbook.ItemBatch)},
		{Name: "coil_batch", Write: "batch on the pipe", Example: "0042", read: answer(logbook.ItemPipeBatch)},
		{Name: "stub_batch", Write: "batch of the chamber's stubs", Example: "stub 3", read: answer(logbook.ItemStubBatch)},
		{Name: "port", Write: "port as welded, if not the plan's", Example: "5", read: readPort},
		{Name: "print", Write: "print on the pipe: as planned, unlike the plan", Example: "as planned", Say: true, read: answerOf(logbook.ItemPrint, logbook.AsPlanned, logbook.UnlikePlan)},
		{Name: colMethod, Write: "scraped with: rotary tool, hand tool", Example: "rotary tool", Say: true, read: answerOf(logbook.ItemMethod, logbook.ScrapeMethods...)},
	}
	for _, p := range logbook.PrepItems {
		cols = append(cols, Column{Name: strings.ReplaceAll(p.Item, " ", "_"), Write: p.Label + ": done, or could not: REASON", Example: logbook.Done, read: readPrep(p.Item)})
	}
	return append(append(cols, fusionColumns()...), afterColumns()...)
}

func fusionColumns() []Column {
	return []Column{
		{Name: "ambient_c", Write: "in the shade beside the joint", Unit: "°C", Example: "8.5", Say: true, read: readAmbient},
		{Name: "time_from", Write: "the unit's time was: keyed by hand, read from a code, unit corrects for temperature", Example: logbook.ModeKeyed, Say: true, read: words(func(l *logbook.LateWeld) *string { return &l.Mode }, logbook.ModeKeyed, logbook.ModeCode, logbook.ModeSelf)},
		{Name: "seconds_set", Write: "as the display showed", Unit: "s", Example: "40", Say: true, read: whole(1, 9999, func(l *logbook.LateWeld, n int) { l.SecondsShown = n })},
		{Name: "volts_set", Write: "as the display showed", Unit: "V", Example: "39.5", Say: true, read: decimal(100, func(l *logbook.LateWeld) **float64 { return &l.VoltsShown })},
		{Name: "ohms", Write: "as the display showed", Unit: "Ω", Example: "2.43", Say: true, read: decimal(1000, func(l *logbook.LateWeld) **float64 { return &l.Ohms })},
		{Name: colStart, Write: "current on, 24 h", Example: "14:05", Must: true, read: readClock(func(l *logbook.LateWeld) *time.Time { return &l.Started })},
		{Name: colEnd, Write: "end of fusion, 24 h", Example: "14:06", Say: true, read: readClock(func(l *logbook.LateWeld) *time.Time { return &l.Ended })},
		{Name: colOutcome, Write: "completed, stopped, nobody saw", Example: logbook.Completed, Must: true, read: words(func(l *logbook.LateWeld) *string { return &l.Outcome }, logbook.Completed, logbook.Stopped, logbook.NotSeen)},
		{Name: colStopped, Write: "seconds run when it stopped", Unit: "s", Example: "17", read: whole(0, 9999, func(l *logbook.LateWeld, n int) { l.StoppedAt = &n })},
		{Name: "seconds_run", Write: "as the unit said", Unit: "s", Example: "40", Say: true, read: whole(0, 9999, func(l *logbook.LateWeld, n int) { l.Run = &n })},
	}
}

func afterColumns() []Column {
	return []Column{
		{Name: "indicators", Write: "one a side: up, part, flat, not seen; none on this fitting", Example: "up / up", Say: true, read: readIndicators},
		{Name: "melt", Write: "melt: none, outside, not seen", Example: "none", read: words(func(l *logbook.LateWeld) *string { return &l.Look.Melt }, eye("none", "outside")...)},
		{Name: "wire", Write: "wire: none, seen, not seen", Example: "none", read: words(func(l *logbook.LateWeld) *string { return &l.Look.Wire }, eye("none", "seen")...)},
		{Name: "marks", Write: "insertion marks: in place, moved, not seen", Example: "in place", read: words(func(l *logbook.LateWeld) *string { return &l.Look.Marks }, eye("in place", "moved")...)},
		{Name: "straight", Write: "in line: yes, no, not seen", Example: "yes", read: words(func(l *logbook.LateWeld) *string { return &l.Look.Straight }, eye("yes", "no")...)},
		{Name: "cooling_min", Write: "cooling time as printed on the bag", Unit: "min", Example: "6", Say: true, read: whole(1, 600, func(l *logbook.LateWeld, n int) { l.CoolingMin = n })},
		{Name: colReleased, Write: "clamp off and not moved before, 24 h", Example: "14:15", Say: true, read: readClock(func(l *logbook.LateWeld) *time.Time { return &l.Released })},
		{Name: "disturbed_min", Write: "if moved: minutes after the end of fusion", Unit: "min", Example: "4", read: whole(0, 9999, func(l *logbook.LateWeld, n int) { l.Disturbed = &n })},
		{Name: "cut_out", Write: "if cut out since: why", Example: "clamp slipped", read: text(200, func(l *logbook.LateWeld) *string { return &l.CutOut })},
		{Name: "remarks", Write: "anything else", Example: "rain at noon", read: text(200, func(l *logbook.LateWeld) *string { return &l.Remarks })},
	}
}

// Names are the names of the columns, in order.
func Names() []string {
	names := make([]string, len(Columns))
	for i, c := range Columns {
		names[i] = c.Name
	}
	return names
}

// Template is the head of a file to fill in: the names in one line.
func Template() string { return strings.Join(Names(), ",") + "\n" }
