package loop

import (
	"errors"
	"fmt"
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"coolhold/fusion"
)

// near fails where a figure is not the one that is expected, to so much.
func near(t *testing.T, what string, got, want, to float64, err error) {
	t.Helper()
	if err != nil || !(math.Abs(got-want) <= to) {
		t.Errorf("%s: got %g, %v, want %g ± %g", what, got, err, want, to)
	}
}

// refused fails where a figure out of range is reckoned with, or where that is not one
// line that names what was wrong.
func refused(t *testing.T, err error, says string) {
	t.Helper()
	if !errors.Is(err, ErrRange) || !strings.Contains(err.Error(), says) || strings.Contains(err.Error(), "\n") {
		t.Errorf("got %v, want one line that says %q", err, says)
	}
}

// Litres a metre of SDR 11 over the least walls, and the flow for 0.6 m/s (2 ft/s, UFGS
// 15741N, as printed): derived arithmetic, printed nowhere.
func TestPipeHolds(t *testing.T) {
	for od, want := range map[int][2]float64{32: {0.5309, 19.1}, 40: {0.8347, 30.0}, 63: {2.0750, 74.7}, 90: {0, 153}, 110: {0, 229}} {
		p := Pipe{OdMM: od, SDR: 11}
		if litres, err := p.LitresPerM(); want[0] > 0 {
			near(t, p.String()+" litres", litres, want[0], 0.00005, err)
		}
		flow, err := p.PurgeFlow()
		near(t, p.String()+" flow", flow, want[1], map[bool]float64{true: 0.05, false: 0.5}[od < 90], err)
	}
}

// MS 1058-2:2005 (= ISO 4427-2), least walls in mm as printed there.
func TestWallsAndBores(t *testing.T) {
	for p, want := range map[Pipe]float64{{OdMM: 90, SDR: 9}: 10.1, {OdMM: 110, SDR: 11}: 10.0, {OdMM: 140, SDR: 11}: 12.7, {OdMM: 180, SDR: 17}: 10.7} {
		wall, err := p.WallMM()
		near(t, p.String()+" wall", wall, want, 0, err)
		bore, err := p.BoreMM()
		near(t, p.String()+" bore", bore, float64(p.OdMM)-2*want, 1e-9, err)
	}
}

// A wall that was measured goes first, unless it is that of another class.
func TestMeasuredWall(t *testing.T) {
	wall, err := Pipe{63, 11, 6.5}.WallMM()
	near(t, "measured", wall, 6.5, 0, err)
	for _, measured := range []float64{3.8, 4.63, 8.8, -5.8, math.NaN(), math.Inf(1)} {
		_, err := Pipe{63, 11, measured}.WallMM()
		refused(t, err, "measured wall of 63 mm SDR 11")
	}
}

// Where no wall is known nothing is made up, in no figure that rests on it.
func TestNoWallNoFigure(t *testing.T) {
	for _, c := range []struct {
		pipe Pipe
		says string
	}{
		{Pipe{OdMM: 41, SDR: 11}, "41 mm is out of range: its wall is not known here"}, {Pipe{OdMM: 710, SDR: 11}, "not known here"},
		{Pipe{OdMM: 16, SDR: 11}, "16 mm SDR 11 is out of range: no wall is known"}, {Pipe{OdMM: 20, SDR: 17}, "no wall is known"},
		{Pipe{OdMM: 63, SDR: 12}, "no wall is known"}, {Pipe{OdMM: 63}, "no wall is known"},
	} {
		_, err := c.pipe.WallMM()
		refused(t, err, c.says)
		_, err = c.pipe.BoreMM()
		refused(t, err, c.says)
		_, err = c.pipe.PurgeFlow()
		refused(t, err, c.says)
		_, err = Stretch{c.pipe, 10}.Litres()
		refused(t, err, c.says)
		_, err = AllowedVolume([]Stretch{{c.pipe, 10}}, 100, 1000)
		refused(t, err, c.says)
	}
	for _, length := range []float64{0, -5, 10001, math.NaN()} {
		_, err := Litres([]Stretch{{Pipe{OdMM: 63, SDR: 11}, length}})
		refused(t, err, "length")
	}
}

// Every pipe of which a wall is known, 20 to 630 mm, holds more than nothing, and a
// heavier class less.
func TestEveryPipeHolds(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		od := rapid.IntRange(1, 700).Draw(t, "od")
		last, made := 0.0, false
		for _, sdr := range fusion.PipeClasses {
			litres, err := Pipe{OdMM: od, SDR: sdr}.LitresPerM()
			if _, known := fusion.WallMM(od, sdr); known != (err == nil) {
				t.Fatalf("%d mm SDR %s: a wall is known: %t, and %v", od, sdr, known, err)
			} else if !known {
				continue
			}
			made = true
			if litres <= last || litres >= math.Pi/4*float64(od*od)/1000 {
				t.Fatalf("%d mm SDR %s holds %g L a metre, the class before %g", od, sdr, litres, last)
			}
			last = litres
		}
		if made && !fusion.IsPipeSize(od) {
			t.Fatalf("%d mm is no size", od)
		}
	})
}

func ExamplePipe() {
	p := Pipe{OdMM: 63, SDR: 11}
	wall, _ := p.WallMM()
	bore, _ := p.BoreMM()
	litres, _ := p.LitresPerM()
	flow, _ := p.PurgeFlow()
	fmt.Printf("%s: wall %.1f mm, bore %.1f mm, %.4f L/m, %.1f L/min at 0.6 m/s\n", p, wall, bore, litres, flow)
	_, err := Pipe{OdMM: 63, SDR: 12}.WallMM()
	fmt.Println(err)
	// Output:
	// 63 mm SDR 11: wall 5.8 mm, bore 51.4 mm, 2.0750 L/m, 74.7 L/min at 0.6 m/s
	// 63 mm SDR 12 is out of range: no wall is known of it; known are SDR 9, 11, 13.6 and 17 from 20 to 630 mm, the thin ones from 25 or 32 mm
}
