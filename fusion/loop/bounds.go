package loop

import (
	"errors"
	"fmt"
	"math"

	"coolhold/fusion"
)

// ErrRange is wrapped by every refusal: a figure lies outside what the formula, its
// source or common sense covers, or is no number.
var ErrRange = errors.New("out of range")

// Bounds of the figures. Those of the water's temperature, the friction factor and the
// dew point are the source's; all others are bounds of sense, our choice, without a
// source, and catch a slipped digit.
var (
	WaterC     = fusion.Bounds{Low: 0, High: 30, Unit: "°C"}         // the table of water's figures
	Reynolds   = fusion.Bounds{Low: 1, High: 1e8}                    // Colebrook–White, textbook, from memory
	Roughness  = fusion.Bounds{Low: 0, High: 0.05}                   // ε/D of Colebrook–White, textbook, from memory
	RoomC      = fusion.Bounds{Low: 0, High: 50, Unit: "°C"}         // Alduchov & Eskridge go from −40 °C
	Humidity   = fusion.Bounds{Low: 1, High: 100, Unit: "%"}         // of the room
	PipeC      = fusion.Bounds{Low: -30, High: 50, Unit: "°C"}       // of a pipe in it
	LengthM    = fusion.Bounds{Low: 0.1, High: 10000, Unit: "m"}     // of a pipe
	FlowLPM    = fusion.Bounds{Low: 0.1, High: 10000, Unit: "L/min"} // in it
	Changes    = fusion.Bounds{Low: 0.1, High: 100}                  // of a pipe's volume
	HeadM      = fusion.Bounds{Low: 0, High: 200, Unit: "m"}         // of a pump
	PressureKP = fusion.Bounds{Low: 1, High: 4000, Unit: "kPa"}      // of a test, a rating
	ReadKP     = fusion.Bounds{Low: 0, High: 4000, Unit: "kPa"}      // on a gauge
	DropKP     = fusion.Bounds{Low: 1, High: 1000, Unit: "kPa"}      // by letting water out
	ModulusMP  = fusion.Bounds{Low: 100, High: 3000, Unit: "MPa"}    // of a pipe's wall
	DivisionKP = fusion.Bounds{Low: 0.001, High: 200, Unit: "kPa"}   // of a gauge
	VolumeL    = fusion.Bounds{Low: 0, High: 1000, Unit: "L"}        // of water let out
	CupL       = fusion.Bounds{Low: 0.0001, High: 10, Unit: "L"}     // division of what measures it
	Minutes    = fusion.Bounds{Low: 0, High: 2880, Unit: "min"}      // since a phase began
	HeightM    = fusion.Bounds{Low: -300, High: 300, Unit: "m"}      // over the lowest point
)

// within is an error for a figure outside its range, and for what is no number.
func within(what string, x float64, in fusion.Bounds) error {
	if in.Holds(x) {
		return nil
	}
	return fmt.Errorf("%s %s is %w: it goes from %s to %s", what, withUnit(x, in.Unit), ErrRange, fusion.Figure(in.Low), withUnit(in.High, in.Unit))
}

func withUnit(x float64, unit string) string {
	if unit == "" {
		return fusion.Figure(x)
	}
	return fusion.Figure(x) + " " + unit
}

// tidy takes off what binary fractions leave over, so that a fall of just the limit,
// typed in decimals, is just the limit.
func tidy(x float64) float64 { return math.Round(x*1e6) / 1e6 }
