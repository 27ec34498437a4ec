package fusion

import (
	"errors"
	"fmt"
	"math"
	"strings"
	"testing"
)

func near(t *testing.T, what string, got, want, by float64, err error) {
	t.Helper()
	if err != nil || math.Abs(got-want) > by {
		t.Errorf("%s: got %g, %v, want %g ± %g", what, got, err, want, by)
	}
}

// Ohm's law. All vectors are derived: arithmetic from I = V/R and P = V²/R,
// printed nowhere, rounded to the whole watt.
func TestOhmsLaw(t *testing.T) {
	for _, tc := range []struct{ volts, ohms, amps, watts float64 }{
		{39.5, 1.0, 39.5, 1560},
		{39.5, 3.0, 13.2, 520},
		{40, 1.5, 26.7, 1067},
	} {
		what := fmt.Sprintf("%g V and %g Ω", tc.volts, tc.ohms)
		amps, err := Amps(tc.volts, tc.ohms)
		near(t, what+", A", amps, tc.amps, 0.05, err)
		watts, err := Watts(tc.volts, tc.ohms)
		near(t, what+", W", watts, tc.watts, 0.5, err)
	}
}

// Lead loss ΔV = I·ρ·2L/A, ρ = 0.0172 Ω·mm²/m at 20 °C (textbook). Both
// vectors are derived: 30 A over 10 m.
func TestCopperDrop(t *testing.T) {
	for section, want := range map[float64]float64{4: 2.58, 16: 0.65} {
		drop, err := CopperDrop(30, 10, section)
		near(t, fmt.Sprintf("%g mm²", section), drop, want, 0.0051, err)
	}
	drop, err := CopperDrop(30, 0, 4)
	near(t, "no cable", drop, 0, 0, err)
}

// What is outside its range, or no number, gets a line that names it.
func TestElectricalRanges(t *testing.T) {
	nan := math.NaN()
	for _, tc := range []struct {
		name string
		err  error
		want string
	}{
		{"low volts", second(Watts(7.9, 1)), "voltage 7.9 V is not a figure to compute with: give 8…80 V"},
		{"mains", second(Amps(230, 1)), "voltage 230 V"},
		{"no ohms", second(Watts(39.5, 0)), "resistance 0 Ω is not a figure to compute with: give 0.05…100 Ω"},
		{"many ohms", second(Amps(39.5, 101)), "resistance 101 Ω"},
		{"NaN", second(Watts(nan, 1)), "voltage NaN V"},
		{"infinite", second(Watts(39.5, math.Inf(1))), "resistance +Inf Ω"},
		{"two faults", second(Watts(100, 0)), "voltage 100 V is not a figure to compute with: give 8…80 V\nresistance 0 Ω"},
		{"amps", second(CopperDrop(-1, 10, 4)), "current -1 A is not a figure to compute with: give 0…500 A"},
		{"length", second(CopperDrop(30, 201, 4)), "length 201 m is not a figure to compute with: give 0…200 m"},
		{"section", second(CopperDrop(30, 10, 0)), "cross-section 0 mm² is not a figure to compute with: give 0.5…120 mm²"},
		{"NaN section", second(CopperDrop(30, 10, nan)), "cross-section NaN mm²"},
	} {
		if !errors.Is(tc.err, ErrNotElectrical) || !strings.Contains(tc.err.Error(), tc.want) {
			t.Errorf("%s: got %v, want %q", tc.name, tc.err, tc.want)
		}
	}
	for _, err := range []error{second(Watts(8, 0.05)), second(Watts(80, 100)), second(CopperDrop(500, 200, 120)), second(CopperDrop(0, 0, 0.5))} {
		if err != nil {
			t.Errorf("an end of a range was refused: %v", err)
		}
	}
}

func second[T any](_ T, err error) error { return err }

func ExampleWatts() {
	w, _ := Watts(39.5, 1.0) // derived: P = V²/R
	fmt.Printf("%.0f W\n", w)
	// Output: 1560 W
}
