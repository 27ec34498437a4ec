package loop

import (
	"fmt"
	"math"

	"coolhold/fusion"
)

// Bands of N in the decay trend (as restated by others): a pipe that is free to stretch,
// and one that is covered. Lower means air.
var (
	FreeBand    = Interval{0.08, 0.10}
	CoveredBand = Interval{0.04, 0.05}
)

// decayLast is how many loading times after it the third reading is at least taken (as
// restated by others).
const decayLast = 15

// A Trend is how fast the pressure of a pipe that was left alone decays, twice. It has no
// pass: the issue of the method that is now in force judges otherwise, and its table was
// not seen.
type Trend struct {
	N1, N2         float64  // as read
	N1Lies, N2Lies Interval // with the division carried through
}

// Rising tells whether N2 lies above N1, which points to a leak; no number for it was read,
// so it is a question. Within: it does not, as far as the gauge shows.
func (t Trend) Rising() Outcome {
	switch {
	case t.N2Lies.High <= t.N1Lies.Low:
		return Within
	case t.N2Lies.Low > t.N1Lies.High:
		return NotWithin
	}
	return CannotDecide
}

// Decay gives N1 and N2 of the UK decay reading for a loading time in min and three
// readings, minutes counted from the end of the loading: at about one, seven and at least
// fifteen loading times. N = (log Pa − log Pb)/(log tb − log ta), t = minutes + 0.4·loading
// (as restated by others, the formula from memory). Errors wrap [ErrRange].
func Decay(loadingMin float64, readings [3]Reading, g Gauge) (Trend, error) {
	loading := fusion.Bounds{Low: 0.5, High: Minutes.High / decayLast, Unit: "min"}
	if err := within("loading time", loadingMin, loading); err != nil {
		return Trend{}, err
	}
	if err := checkReadings(readings[:], g); err != nil {
		return Trend{}, err
	}
	if third := readings[2].Minute; third < decayLast*loadingMin {
		return Trend{}, fmt.Errorf("the third reading, after %s min, is %w: it is taken %s min after the loading or later, fifteen times the loading time", rounded(third), ErrRange, rounded(decayLast*loadingMin))
	}
	half := g.DivisionKPa / 2
	if lowest := min(readings[0].KPa, readings[1].KPa, readings[2].KPa); lowest <= half {
		return Trend{}, fmt.Errorf("pressure read %s kPa is %w: it lies within the gauge's own error", rounded(lowest), ErrRange)
	}
	n := func(a, b int, off float64) float64 {
		ta, tb := readings[a].Minute+0.4*loadingMin, readings[b].Minute+0.4*loadingMin
		return math.Log((readings[a].KPa+off)/(readings[b].KPa-off)) / math.Log(tb/ta)
	}
	return Trend{
		N1: n(0, 1, 0), N1Lies: Interval{n(0, 1, -half), n(0, 1, half)},
		N2: n(1, 2, 0), N2Lies: Interval{n(1, 2, -half), n(1, 2, half)},
	}, nil
}
