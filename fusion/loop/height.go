package loop

import (
	"fmt"
	"math"
)

// WaterKPa is the weight of so many metres of water, −300 to 300, in kPa: ρ·g·h, ρ that of
// 0 to 30 °C, g = 9.80665 m/s². Ten metres at 10 °C are 98.04 kPa. Errors wrap [ErrRange].
func WaterKPa(heightM, celsius float64) (float64, error) {
	density, err := Density(celsius)
	if err != nil {
		return 0, err
	}
	return density * gravity * heightM / 1000, within("height", heightM, HeightM)
}

// AtLowest is the pressure in kPa at the lowest point of a section whose gauge stands so
// many metres above it and shows 0 to 4,000 kPa. Errors wrap [ErrRange].
func AtLowest(gaugeKPa, heightM, celsius float64) (float64, error) {
	weight, err := WaterKPa(heightM, celsius)
	if err != nil {
		return 0, err
	}
	return gaugeKPa + weight, within("pressure read", gaugeKPa, ReadKP)
}

// A Part is what stands under the test pressure: a pipe, a fitting, a valve, a gauge's
// glass, a cap, a hose. It bears so many kPa as rated, and lies so many metres above the
// lowest point of the section.
type Part struct {
	Name     string
	RatedKPa float64
	HeightM  float64
}

// Weakest is the most that a gauge may show, at its height in metres above the lowest
// point, before a part has more than its rating, and the part that is first. No test
// pressure above it is ever proposed. Every part's rating is given, 1 to 4,000 kPa. Errors
// wrap [ErrRange].
func Weakest(parts []Part, gaugeHeightM, celsius float64) (Part, float64, error) {
	weakest, most := Part{}, math.Inf(1)
	for _, p := range parts {
		if err := within("rated pressure of "+p.Name, p.RatedKPa, PressureKP); err != nil {
			return Part{}, 0, err
		}
		above, err := WaterKPa(gaugeHeightM-p.HeightM, celsius)
		if err != nil {
			return Part{}, 0, err
		}
		if shows := tidy(p.RatedKPa - above); shows < most {
			weakest, most = p, shows
		}
	}
	if len(parts) == 0 {
		return Part{}, 0, fmt.Errorf("the weakest part is %w: no part is named with its rating", ErrRange)
	}
	return weakest, max(0, most), nil
}
