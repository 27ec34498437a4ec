package fusion

import "testing"

func TestFigure(t *testing.T) {
	for x, want := range map[float64]string{39.5: "39.5", 40: "40", 0.000025: "0.000025", 12000000: "12000000", -3.10: "-3.1"} {
		if got := Figure(x); got != want {
			t.Errorf("%g is written %q, want %q", x, got, want)
		}
	}
}
