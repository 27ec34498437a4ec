package loop

import (
	"fmt"
	"math"
	"slices"
	"testing"

	"pgregory.net/rapid"
)

// cart is an invented flush cart.
var cart = Pump{{0, 32}, {50, 30}, {100, 24}, {150, 12}}

func TestPumpHead(t *testing.T) {
	for lpm, want := range map[float64]float64{0: 32, 25: 31, 50: 30, 75: 27, 150: 12} {
		got, err := cart.Head(lpm)
		near(t, fmt.Sprint(lpm, " L/min"), got, want, 1e-9, err)
	}
	_, err := cart.Head(151)
	refused(t, err, "it goes from 0 to 150 L/min")
	for says, p := range map[string]Pump{
		"0 points": nil, "1 points": {{10, 5}}, "51 points": make(Pump, 51), "point 2 of the pump curve: is out of range": {{10, 5}, {10, 4}},
		"point 2 of the pump curve: is": {{10, 5}, {20, 6}}, "point 1 of the pump curve: head": {{10, 300}, {20, 6}}, "point 2 of the pump curve: flow": {{10, 5}, {math.NaN(), 4}},
	} {
		_, err := p.Head(10)
		refused(t, err, says)
		_, err = p.Against([]Stretch{{Pipe{OdMM: 40, SDR: 11}, 10}}, 10, 10)
		refused(t, err, says)
	}
}

// What a pump gives lies on its curve and on what the run takes, and it falls short of
// what is wanted by the rest.
func TestPumpMeetsTheRun(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		run := []Stretch{{Pipe{OdMM: rapid.SampledFrom([]int{32, 40, 63}).Draw(t, "od"), SDR: 11}, rapid.Float64Range(20, 600).Draw(t, "m")}}
		want := rapid.Float64Range(1, 300).Draw(t, "wanted")
		g, err := cart.Against(run, 10, want)
		if err != nil {
			t.Fatal(err)
		}
		takes, err := HeadLoss(run, g.LPM, 10)
		gives, _ := cart.Head(g.LPM)
		jump := g.LPM < 12 // where laminar flow ends what the run takes goes up in a step
		if err != nil || g.AtEnd && (g.LPM != 150 || takes > gives) || !g.AtEnd && !jump && math.Abs(takes-gives) > 1e-6 {
			t.Fatalf("%+v: the run takes %g, the pump gives %g, %v", g, takes, gives, err)
		}
		if short := want - g.LPM; math.Abs(g.Short()-max(0, short)) > 1e-9 {
			t.Fatalf("%+v is short by %g", g, g.Short())
		}
	})
}

// The 90 and 110 mm headers want 153 and 229 L/min (derived): the cart falls short of the
// second by what its curve does not reach.
func TestPumpFallsShortOfAHeader(t *testing.T) {
	header := Pipe{OdMM: 110, SDR: 11}
	want, _ := header.PurgeFlow()
	g, err := cart.Against([]Stretch{{header, 60}}, 10, want)
	if near(t, "given", g.LPM, 150, 0, err); !g.AtEnd || math.Abs(g.Short()-79) > 0.5 {
		t.Errorf("%+v is short by %g", g, g.Short())
	}
	_, err = Pump{{100, 1}, {120, 0.5}}.Against([]Stretch{{Pipe{OdMM: 32, SDR: 11}, 300}}, 10, 19)
	refused(t, err, "type a point of less flow")
	_, err = cart.Against([]Stretch{{header, 60}}, 35, want)
	refused(t, err, "water temperature")
	_, err = cart.Against([]Stretch{{header, 60}}, 10, 0)
	refused(t, err, "flow wanted")
}

// Of candidate headers none is proposed; a wider one takes less.
func TestHeaders(t *testing.T) {
	list, err := Headers([]int{20, 63, 90, 110, 41}, 17, 60, 75, 10)
	if err != nil || len(list) != 3 {
		t.Fatalf("got %v, %v", list, err)
	}
	if !slices.IsSortedFunc(list, func(a, b Candidate) int { return int(math.Copysign(1, b.Loss.HeadM-a.Loss.HeadM)) }) {
		t.Errorf("a wider pipe takes more: %+v", list)
	}
	_, err = Headers([]int{20, 25}, 17, 60, 75, 10)
	refused(t, err, "of none of the sizes a wall is known")
	_, err = Headers([]int{63}, 17, 60, 0, 10)
	refused(t, err, "flow")
}

func ExamplePump_Against() {
	cart := Pump{{50, 30}, {100, 24}, {150, 12}} // invented
	header := Pipe{OdMM: 90, SDR: 11}
	want, _ := header.PurgeFlow()
	g, _ := cart.Against([]Stretch{{header, 60}}, 10, want)
	fmt.Printf("wanted %.0f L/min, at least %.0f given, the curve ends there: %t; short by %.0f\n", want, g.LPM, g.AtEnd, g.Short())
	// Output:
	// wanted 153 L/min, at least 150 given, the curve ends there: true; short by 3
}
