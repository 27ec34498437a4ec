package fusion

import (
	"errors"
	"fmt"

	"coolhold/fusion/sheet"
)

// CopperRho is the resistivity of copper at 20 °C in Ω·mm²/m (textbook).
const CopperRho = 0.0172

// ErrNotElectrical is wrapped by every refusal of the electrical figures.
var ErrNotElectrical = errors.New("not a figure to compute with")

// Bounds of the electrical figures: sanity bounds of our choice, without a
// source. Volts and ohms are those of a fusion table.
var (
	saneAmps    = sheet.Range{Low: 0, High: 500, Unit: "A"}
	saneRun     = sheet.Range{Low: 0, High: 200, Unit: "m"}
	saneSection = sheet.Range{Low: 0.5, High: 120, Unit: "mm²"}
	saneTime    = sheet.Range{Low: 0, High: 3600, Unit: "s"}
)

// Amps is the current in A through a fitting, I = V/R, for 8…80 V and
// 0.05…100 Ω. Errors wrap ErrNotElectrical and name the figure and its range.
func Amps(volts, ohms float64) (float64, error) {
	err := errors.Join(within("voltage", volts, saneVolts), within("resistance", ohms, saneOhms))
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

// Joules is the heat in J put into a fitting in so many seconds at that
// voltage, E = V²·t/R, under the rules of Amps and for 0…3600 s.
func Joules(volts, ohms, seconds float64) (float64, error) {
	watts, err := Watts(volts, ohms)
	if err = errors.Join(err, within("time", seconds, saneTime)); err != nil {
		return 0, err
	}
	return watts * seconds, nil
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
func within(what string, x float64, in sheet.Range) error {
	if x >= in.Low && x <= in.High {
		return nil
	}
	return fmt.Errorf("%s %s %s is %w: give %s", what, short(x), in.Unit, ErrNotElectrical, in)
}
