package loop

import (
	"fmt"
	"math"
	"testing"

	"gonum.org/v1/gonum/optimize"
	"pgregory.net/rapid"
)

// Viscosity in mPa·s and density in kg/m³ of water (IAPWS values, from memory).
func TestWaterListed(t *testing.T) {
	for celsius, want := range map[float64][2]float64{
		0: {1.7916, 999.84}, 5: {1.5182, 999.97}, 10: {1.3059, 999.70}, 15: {1.1375, 999.10}, 20: {1.0016, 998.21}, 25: {0.8900, 997.05}, 30: {0.7972, 995.65},
	} {
		got, err := Viscosity(celsius)
		near(t, fmt.Sprint(celsius, " °C viscosity"), got, want[0], 1e-9, err)
		got, err = Density(celsius)
		near(t, fmt.Sprint(celsius, " °C density"), got, want[1], 1e-9, err)
	}
	for _, celsius := range []float64{-0.1, 30.1, 72, math.NaN(), math.Inf(1)} {
		_, err := Viscosity(celsius)
		refused(t, err, "water temperature")
		_, err = Density(celsius)
		refused(t, err, "it goes from 0 to 30 °C")
	}
}

// Between the listed degrees two formulas for all of them agree: for the viscosity that
// of Kestin, Sokolov and Wakeham (1978), for the density that of Tanaka and others (2001),
// both from memory.
func TestWaterBetween(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c := rapid.Float64Range(0, 30).Draw(t, "°C")
		kestin := 1.0016 * math.Pow(10, (20-c)/(c+96)*(1.2364-1.37e-3*(20-c)+5.7e-6*(20-c)*(20-c)))
		if got, err := Viscosity(c); err != nil || math.Abs(got/kestin-1) > 0.005 {
			t.Fatalf("viscosity at %g °C: %g, %v, by the formula %g", c, got, err, kestin)
		}
		tanaka := 999.97495 * (1 - (c-3.983035)*(c-3.983035)*(c+301.797)/(522528.9*(c+69.34881)))
		if got, err := Density(c); err != nil || math.Abs(got-tanaka) > 0.1 {
			t.Fatalf("density at %g °C: %g, %v, by the formula %g", c, got, err, tanaka)
		}
	})
}

// Friction factors by Colebrook–White, solved (derived).
func TestFrictionSolved(t *testing.T) {
	for _, c := range []struct{ reynolds, roughness, want float64 }{
		{4e3, 0, 0.03991}, {1e4, 0, 0.03088}, {1e5, 0, 0.01799}, {1e6, 0, 0.01165}, {1e5, 0.001, 0.02217}, {1e6, 0.0001, 0.01344},
		{64, 0, 1}, {2000, 0.01, 0.032}, // 64/Re, whatever the wall
	} {
		got, err := Friction(c.reynolds, c.roughness)
		near(t, fmt.Sprintf("Re %g ε/D %g", c.reynolds, c.roughness), got, c.want, 0.000005, err)
	}
	for _, c := range []struct{ reynolds, roughness float64 }{{0.9, 0}, {1.1e8, 0}, {math.NaN(), 0}, {1e5, 0.051}, {1e5, -1e-9}} {
		_, err := Friction(c.reynolds, c.roughness)
		refused(t, err, map[bool]string{true: "roughness", false: "Reynolds number"}[c.reynolds == 1e5])
	}
}

// turbulent draws what Colebrook–White is for; the roughness as a rule as that of PE.
func turbulent(t *rapid.T) (reynolds, roughness float64) {
	reynolds = math.Pow(10, rapid.Float64Range(math.Log10(TurbulentFrom), 8).Draw(t, "log Re"))
	return reynolds, rapid.OneOf(rapid.Just(0.0), rapid.Float64Range(1e-6, 1e-3), rapid.Float64Range(1e-3, 0.05)).Draw(t, "ε/D")
}

// The explicit formula of Haaland (1983) is within 2 % of Colebrook–White, as it states
// (from memory).
func TestFrictionByHaaland(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		reynolds, roughness := turbulent(t)
		x := -1.8 * math.Log10(math.Pow(roughness/3.7, 1.11)+6.9/reynolds)
		if got, err := Friction(reynolds, roughness); err != nil || math.Abs(got*x*x-1) > 0.02 {
			t.Fatalf("Re %g ε/D %g: %g, %v, by Haaland %g", reynolds, roughness, got, err, 1/(x*x))
		}
	})
}

// A general library finds the same root: gonum moves f, in logarithm, to where the two
// sides of Colebrook–White differ least.
func TestFrictionByALibrary(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		reynolds, roughness := turbulent(t)
		apart := optimize.Problem{Func: func(x []float64) float64 {
			root := math.Sqrt(math.Exp(x[0]))
			d := 1/root + 2*math.Log10(roughness/3.7+2.51/(reynolds*root))
			return d * d
		}}
		found, err := optimize.Minimize(apart, []float64{math.Log(0.02)}, nil, &optimize.NelderMead{})
		if err != nil {
			t.Fatal(err)
		}
		if got, err := Friction(reynolds, roughness); err != nil || math.Abs(got/math.Exp(found.X[0])-1) > 1e-4 {
			t.Fatalf("Re %g ε/D %g: %g, %v, by the library %g", reynolds, roughness, got, err, math.Exp(found.X[0]))
		}
	})
}

// 40 mm SDR 11, 200 m, 30 L/min at 10 °C: velocity 0.6 m/s and 167 L (derived), Re =
// 999.7·0.599·0.0326/0.0013059 = 14,950; the head by Haaland within its 2 %.
func TestFlowOfACircuit(t *testing.T) {
	l, err := Flow(Stretch{Pipe{OdMM: 40, SDR: 11}, 200}, 30, 10)
	near(t, "velocity", l.VelocityMS, 0.5990, 0.0005, err)
	near(t, "Reynolds", l.Reynolds, 14950, 10, err)
	near(t, "litres", l.Litres, 166.94, 0.01, err)
	near(t, "minutes", l.Minutes, 5.565, 0.001, err)
	x := -1.8 * math.Log10(math.Pow(0.007/32.6/3.7, 1.11)+6.9/14950)
	head := 1 / (x * x) * 200 / 0.0326 * 0.5990 * 0.5990 / (2 * 9.80665)
	near(t, "head", l.HeadM, head, 0.02*head, err)
	near(t, "kPa", l.KPa, l.HeadM*9.8037, 0.001*l.KPa, err)
	if l.Regime() != "turbulent" || l.Uncertain() {
		t.Errorf("it is %s", l.Regime())
	}
}

// Between Reynolds 2,300 and 4,000 it says that nothing is settled, and gives the larger.
func TestFlowUncertain(t *testing.T) {
	words := map[string]bool{}
	for lpm := 1.0; lpm < 12; lpm += 0.1 {
		l, err := Flow(Stretch{Pipe{OdMM: 40, SDR: 11}, 200}, lpm, 10)
		if err != nil {
			t.Fatal(err)
		}
		between := l.Reynolds >= 2300 && l.Reynolds < 4000
		if words[l.Regime()] = true; l.Uncertain() != between || (l.Regime() == "uncertain") != between {
			t.Errorf("Re %g is %s", l.Reynolds, l.Regime())
		}
		if between && l.Friction < 64/l.Reynolds {
			t.Errorf("Re %g: %g is not the larger", l.Reynolds, l.Friction)
		}
	}
	if len(words) != 3 {
		t.Errorf("got %v", words)
	}
}

func TestFlowOutOfRange(t *testing.T) {
	run := Stretch{Pipe{OdMM: 40, SDR: 11}, 200}
	for says, c := range map[string]struct {
		s            Stretch
		lpm, celsius float64
	}{
		"flow 0": {run, 0, 10}, "flow NaN": {run, math.NaN(), 10}, "water temperature 31 °C": {run, 30, 31}, "water temperature -1": {run, 30, -1},
		"length 0 m": {Stretch{run.Pipe, 0}, 30, 10}, "outside diameter 41 mm": {Stretch{Pipe{OdMM: 41, SDR: 11}, 5}, 30, 10},
	} {
		_, err := Flow(c.s, c.lpm, c.celsius)
		refused(t, err, says)
	}
	_, err := ChangeMinutes(100, 10, 0)
	refused(t, err, "changes of volume")
	_, err = ChangeMinutes(100, 0, 1)
	refused(t, err, "flow")
	minutes, err := ChangeMinutes(100, 10, 3)
	near(t, "three changes", minutes, 30, 1e-9, err)
}

// More flow takes more head, a longer pipe as much more as it is longer.
func TestHeadGrows(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		run := Stretch{Pipe{OdMM: rapid.SampledFrom([]int{32, 40, 63, 90, 110}).Draw(t, "od"), SDR: 11}, 100}
		celsius := rapid.Float64Range(0, 30).Draw(t, "°C")
		lpm := rapid.Float64Range(2, 400).Draw(t, "L/min")
		less, err1 := HeadLoss([]Stretch{run}, lpm, celsius)
		more, err2 := HeadLoss([]Stretch{run}, lpm*1.05, celsius)
		twice, err3 := HeadLoss([]Stretch{run, run}, lpm, celsius)
		if err1 != nil || err2 != nil || err3 != nil || more <= less || math.Abs(twice-2*less) > 1e-9*twice {
			t.Fatalf("%g, %g, %g; %v, %v, %v", less, more, twice, err1, err2, err3)
		}
	})
}

func ExampleFlow() {
	l, _ := Flow(Stretch{Pipe{OdMM: 40, SDR: 11}, 200}, 30, 10)
	fmt.Printf("%.2f m/s, Re %.0f, f %.4f, %.1f m, %.0f L in %.1f min\n", l.VelocityMS, l.Reynolds, l.Friction, l.HeadM, l.Litres, l.Minutes)
	_, err := Flow(Stretch{Pipe{OdMM: 40, SDR: 11}, 200}, 30, 35)
	fmt.Println(err)
	// Output:
	// 0.60 m/s, Re 14949, f 0.0282, 3.2 m, 167 L in 5.6 min
	// water temperature 35 °C is out of range: it goes from 0 to 30 °C
}
