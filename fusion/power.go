package fusion

import (
	"errors"
	"fmt"
)

// CopperRho is the resistivity of copper at 20 °C in Ω·mm²/m (textbook).
const CopperRho = 0.0172

// ErrNotElectrical is wrapped by every refusal of the electrical figures.
var ErrNotElectrical = errors.New("not a figure to compute with")

// Amps is the current in A through a fitting, I = V/R, for 8…80 V and
// 0.05…100 Ω. Errors wrap ErrNotElectrical and name the figure and its range.
func Amps(volts, ohms float64) (float64, error) {
	err := errors.Join(within("voltage", volts, SaneVolts), within("resistance", ohms, SaneOhms))
	if err != nil {
		return 0, err
	}
	return volts / ohms, nil
}

// Watts is the power in W that a fitting takes, P = V²/R, under the rules of
// Amps. It is less than what the control unit draws from its supply.
func Watts(volts, ohms float64) (float64, error) {
	amps, err := Amps(volts, ohms)
	return amps * volts, err
}

// CopperDrop is the voltage in V lost in a copper cable of that length and
// back, I·ρ·2L/A at 20 °C, for 0…500 A, 0…200 m and 0.5…120 mm². A warm cable
// loses more. Errors wrap ErrNotElectrical.
func CopperDrop(amps, lengthM, sectionMM2 float64) (float64, error) {
	err := errors.Join(within("current", amps, saneAmps), within("length", lengthM, saneRun), within("cross-section", sectionMM2, saneSection))
	if err != nil {
		return 0, err
	}
	return amps * CopperRho * 2 * lengthM / sectionMM2, nil
}

// within is an error for a figure outside its range, and for what is no number.
func within(what string, x float64, in Bounds) error {
	if in.Holds(x) {
		return nil
	}
	return fmt.Errorf("%s %s %s is %w: give %s", what, Figure(x), in.Unit, ErrNotElectrical, in)
}
