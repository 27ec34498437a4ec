package fusion

import (
	"fmt"
	"testing"
)

func TestOhmsWindow(t *testing.T) {
	const rule = "Rn×0.90 … Rn×1.10+0.1 Ω, ISO 8085-3 and EN 1555-3 from memory"
	for _, tc := range []struct {
		ohms, pct *float64
		want      OhmsWindow
	}{
		// ISO 8085-3, EN 1555-3, both vectors from memory.
		{new(1.00), nil, OhmsWindow{0.90, 1.20, rule}},
		{new(3.00), nil, OhmsWindow{2.70, 3.40, rule}},
		// Arithmetic on invented figures: what is printed goes before the rule.
		{new(3.00), new(10.0), OhmsWindow{2.70, 3.30, "printed tolerance ±10 %"}},
		{new(1.5), new(2.5), OhmsWindow{1.4625, 1.5375, "printed tolerance ±2.5 %"}},
		{new(2.0), new(0.0), OhmsWindow{2, 2, "printed tolerance ±0 %"}},
	} {
		got, ok := Fitting{Ohms: tc.ohms, OhmsTolerancePct: tc.pct}.OhmsWindow()
		if !ok || got != tc.want {
			t.Errorf("%g Ω: got %+v, %t, want %+v", *tc.ohms, got, ok, tc.want)
		}
	}
	if w, ok := (Fitting{OhmsTolerancePct: new(10.0)}).OhmsWindow(); ok {
		t.Errorf("a window %v out of no resistance", w)
	}
}

// A reading of just the limit, typed in decimals, is in.
func TestOhmsWindowHoldsItsEnds(t *testing.T) {
	for n := 5; n <= 10000; n++ {
		rn := float64(n) / 100
		w, _ := Fitting{Ohms: &rn}.OhmsWindow()
		low, high := float64(90*n)/1e4, float64(110*n+1000)/1e4
		if !w.Holds(low) || !w.Holds(high) || w.Holds(low-0.0001) || w.Holds(high+0.0001) {
			t.Fatalf("Rn %g: the window %s does not end at %g and %g", rn, w, low, high)
		}
	}
}

func ExampleFitting_OhmsWindow() {
	rn := 3.0
	w, _ := Fitting{Name: "coupler", Ohms: &rn}.OhmsWindow()
	fmt.Println(w)
	// Output: 2.7…3.4 Ω
}
