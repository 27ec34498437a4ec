package loop

import "math"

// gravity is standard gravity in m/s², by definition.
const gravity = 9.80665

// stepC is how far apart in °C the rows of the water's table are.
const stepC = 5

// water holds dynamic viscosity in mPa·s and density in kg/m³ at 0, 5, … 30 °C (IAPWS
// values, from memory).
var water = [][2]float64{
	{1.7916, 999.84}, {1.5182, 999.97}, {1.3059, 999.70}, {1.1375, 999.10}, {1.0016, 998.21}, {0.8900, 997.05}, {0.7972, 995.65},
}

// Viscosity is the dynamic viscosity of water in mPa·s from 0 to 30 °C (IAPWS values at
// every 5 °C, from memory). Between two of them its logarithm goes straight, which is
// within 0.5 % of a formula for all degrees. Errors wrap [ErrRange].
func Viscosity(celsius float64) (float64, error) {
	i, part, err := between(celsius)
	if err != nil {
		return 0, err
	}
	low, high := water[i][0], water[i+1][0]
	return low * math.Pow(high/low, part), nil
}

// Density is that of water in kg/m³ from 0 to 30 °C (IAPWS values at every 5 °C, from
// memory), straight between two of them. Errors wrap [ErrRange].
func Density(celsius float64) (float64, error) {
	i, part, err := between(celsius)
	if err != nil {
		return 0, err
	}
	low, high := water[i][1], water[i+1][1]
	return low + (high-low)*part, nil
}

// between finds the row before a temperature and how far it is on to the next.
func between(celsius float64) (row int, part float64, err error) {
	if err := within("water temperature", celsius, WaterC); err != nil {
		return 0, 0, err
	}
	row = min(int(celsius/stepC), len(water)-2)
	return row, celsius/stepC - float64(row), nil
}
