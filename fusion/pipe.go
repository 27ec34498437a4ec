package fusion

import (
	"math"
	"slices"
)

// pipeSizes are outside diameters of PE pipe in mm, the preferred numbers of
// ISO 4065 as used by ISO 4427-2 (from memory).
var pipeSizes = []int{
	16, 20, 25, 32, 40, 50, 63, 75, 90, 110, 125, 140, 160, 180, 200, 225, 250,
	280, 315, 355, 400, 450, 500, 560, 630,
}

// IsPipeSize tells whether dn is an outside diameter that PE pipe is made in,
// 16 to 630 mm.
func IsPipeSize(dn int) bool { return slices.Contains(pipeSizes, dn) }

// An SDR is the class of a pipe, its diameter by its wall as ISO 4065 names it:
// 11, or 13.6. 0 is one that nobody stated.
type SDR float64

// String gives "11" or "13.6".
func (s SDR) String() string { return Figure(float64(s)) }

// PipeClasses are the classes of which a wall is known, those that loop pipe is
// made in.
var PipeClasses = []SDR{9, 11, 13.6, 17}

// listed holds the minimum walls in mm below 90 mm for SDR 9, 11, 13.6 and 17
// (ISO 4427-2, from memory); 0 where none is listed. Some of these thin walls
// are raised above what the rule gives, so they are not computed.
var listed = map[int]map[SDR]float64{
	20: {9: 2.3, 11: 2.0},
	25: {9: 3.0, 11: 2.3, 13.6: 2.0},
	32: {9: 3.6, 11: 3.0, 13.6: 2.4, 17: 2.0},
	40: {9: 4.5, 11: 3.7, 13.6: 3.0, 17: 2.4},
	50: {9: 5.6, 11: 4.6, 13.6: 3.7, 17: 3.0},
	63: {9: 7.1, 11: 5.8, 13.6: 4.7, 17: 3.8},
	75: {9: 8.4, 11: 6.8, 13.6: 5.6, 17: 4.5},
}

// seriesS is the pipe series S of an SDR, exactly from the R10 numbers
// (ISO 4065): SDR is 2S+1 only nearly, and dn/SDR gives walls that are printed
// nowhere.
var seriesS = map[SDR]float64{
	9:    math.Pow(10, 0.6),
	11:   math.Pow(10, 0.7),
	13.6: math.Pow(10, 0.8),
	17:   math.Pow(10, 0.9),
}

// WallMM is the minimum wall in mm of a PE pipe of outside diameter dn in mm
// and SDR 9, 11, 13.6 or 17: the listed figure up to 75 mm, from 90 to 630 mm the
// rule of ISO 4065, dn/(2S+1) taken to 0.01 mm and then up to 0.1 mm. It is
// false for every pipe for which no figure is known.
func WallMM(dn int, sdr SDR) (float64, bool) {
	s, known := seriesS[sdr]
	if !known || !IsPipeSize(dn) {
		return 0, false
	}
	if dn < 90 {
		wall, ok := listed[dn][sdr]
		return wall, ok
	}
	hundredths := int(math.Round(100 * float64(dn) / (2*s + 1)))
	return float64((hundredths+9)/10) / 10, true
}
