package loop

import (
	"fmt"
	"math"
	"testing"

	"pgregory.net/rapid"
)

// 25 °C and 60 % have their dew point at 16.70 °C (Alduchov & Eskridge's coefficients, as
// printed); the others are derived.
func TestDewPoint(t *testing.T) {
	for c, want := range map[[2]float64]float64{{25, 60}: 16.70, {20, 50}: 9.26, {20, 60}: 12.00, {18, 70}: 12.45, {15, 80}: 11.58} {
		got, err := DewPoint(c[0], c[1])
		near(t, fmt.Sprint(c), got, want, 0.005, err)
	}
	for says, c := range map[string][3]float64{
		"room -1 °C": {-1, 50, 2}, "room 51": {51, 50, 2}, "humidity 0 %": {20, 0, 2}, "humidity 101": {20, 101, 2}, "pipe -31 °C": {20, 50, -31}, "room NaN": {math.NaN(), 50, 2},
	} {
		_, _, err := Sweats(c[0], c[1], c[2])
		refused(t, err, says)
	}
}

// The dew point is where the room's vapour is all that air of that temperature holds, by
// the formula of the World Meteorological Organization's guide (from memory: 6.112 hPa,
// 17.62, 243.12 °C), within 0.05 K; air that is full has it at its own temperature.
func TestDewPointIsWhereAirIsFull(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		room, humidity := rapid.Float64Range(0, 50).Draw(t, "room"), rapid.Float64Range(20, 100).Draw(t, "%")
		dew, err := DewPoint(room, humidity)
		full := func(c float64) float64 { return 6.112 * math.Exp(17.62*c/(243.12+c)) }
		if err != nil || full(dew-0.05) > full(room)*humidity/100 || full(dew+0.05) < full(room)*humidity/100 {
			t.Fatalf("%g °C and %g %%: %g, %v", room, humidity, dew, err)
		}
		if own, err := DewPoint(room, 100); err != nil || math.Abs(own-room) > 1e-9 {
			t.Fatalf("full air at %g °C: %g, %v", room, own, err)
		}
	})
}

// From the dew point down a bare pipe sweats.
func TestSweats(t *testing.T) {
	dew, _ := DewPoint(20, 50)
	for pipe, want := range map[float64]bool{2: true, dew: true, dew + 0.01: false, 18: false} {
		if _, got, err := Sweats(20, 50, pipe); err != nil || got != want {
			t.Errorf("at %g °C: %t, %v", pipe, got, err)
		}
	}
}

func ExampleSweats() {
	dew, sweats, _ := Sweats(21, 50, 2) // the coldest pipe that is expected, in late winter
	fmt.Printf("dew point %.1f °C, sweats: %t\n", dew, sweats)
	// Output:
	// dew point 10.2 °C, sweats: true
}
