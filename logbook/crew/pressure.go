package crew

import (
	"time"

	"coolhold/fusion"
	"coolhold/logbook"
	"coolhold/logbook/acts"
)

// Circuit1 is circuit 1 of chamber A as a section.
var Circuit1 = logbook.SectionID{Chamber: "A", Circuit: 1}

// Witness is who sees tests.
const Witness = "Wim Invented"

// Pressing is a test as a specification has it, with all that is given before one. Its
// figures are invented.
func Pressing(section logbook.SectionID, change ...func(*logbook.PressureBegun)) logbook.PressureBegun {
	b := logbook.PressureBegun{
		Section: section, Stage: logbook.StageCover, Method: logbook.AsSpecified, Bar: 6, Spec: "invented specification, 4.2", Minutes: 30, AllowedBar: new(0.2),
		Weakest: "flow gauge", WeakestBar: new(10.0),
		Gauge:  logbook.Gauge{Serial: "G-1", RangeBar: new(10.0), ResolutionBar: new(0.05), Calibrated: "2026-01-02", AboveM: new(1.0)},
		WaterC: new(fusion.Celsius(9_00)), PipeC: new(fusion.Celsius(8_00)), Sun: logbook.No, Caps: logbook.Yes, Witness: Witness,
		Shut: map[string]string{logbook.ShutHeatPump: logbook.NotFitted, logbook.ShutVessel: logbook.NotFitted, logbook.ShutSafetyValve: logbook.ShutOff, logbook.ShutVents: logbook.ShutOff},
	}
	for _, f := range change {
		f(&b)
	}
	return b
}

// Begins begins a test and gives its number.
func (c *Crew) Begins(b logbook.PressureBegun) string {
	c.T.Helper()
	c.Do(acts.BeginPressure(c.H, fusion.Stamp{}, b))
	return Last[logbook.PressureBegun](c).Test
}

// Presses makes a whole test: the pressure is reached with the first of the readings,
// the others follow over its minutes, and nobody sees a leak.
func (c *Crew) Presses(b logbook.PressureBegun, bars ...float64) string {
	c.T.Helper()
	id := c.Begins(b)
	c.Reads(id, b.Minutes, bars...)
	c.Do(acts.EndPressure(c.H, logbook.PressureEnded{Test: id, Ending: logbook.RanToEnd, Leaks: logbook.LeakNone, LeftBar: new(2.0)}))
	return id
}

// Reads is the readings of a test over so many minutes.
func (c *Crew) Reads(id string, minutes int, bars ...float64) {
	c.T.Helper()
	phase := logbook.PhaseHold
	for i, bar := range bars {
		if i > 0 {
			c.Wait(time.Duration(minutes) * time.Minute / time.Duration(len(bars)-1))
			phase = ""
		}
		c.Do(acts.ReadPressure(c.H, phase, logbook.PressureRead{Test: id, Bar: &bar}))
	}
}
