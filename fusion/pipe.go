package fusion

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"
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

// listed holds the minimum walls in mm below 90 mm for SDR 9, 11 and 17
// (ISO 4427-2, from memory); 0 where none is listed. Some of these thin walls
// are raised above what the rule gives, so they are not computed.
var listed = map[int]map[int]float64{
	20: {9: 2.3, 11: 2.0},
	25: {9: 3.0, 11: 2.3},
	32: {9: 3.6, 11: 3.0, 17: 2.0},
	40: {9: 4.5, 11: 3.7, 17: 2.4},
	50: {9: 5.6, 11: 4.6, 17: 3.0},
	63: {9: 7.1, 11: 5.8, 17: 3.8},
	75: {9: 8.4, 11: 6.8, 17: 4.5},
}

// seriesS is the pipe series S of an SDR, exactly from the R10 numbers
// (ISO 4065): SDR is 2S+1 only nearly, and dn/SDR gives walls that are printed
// nowhere.
var seriesS = map[int]float64{
	9:  math.Pow(10, 0.6),
	11: math.Pow(10, 0.7),
	17: math.Pow(10, 0.9),
}

// WallMM is the minimum wall in mm of a PE pipe of outside diameter dn in mm
// and SDR 9, 11 or 17: the listed figure up to 75 mm, from 90 to 630 mm the
// rule of ISO 4065, dn/(2S+1) taken to 0.01 mm and then up to 0.1 mm. It is
// false for every pipe for which no figure is known.
func WallMM(dn, sdr int) (float64, bool) {
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

// Fits tells whether the fitting may be fused to a pipe, by what its table
// says; the error is the reason why not, in one plain line. A size or SDR of 0
// is one that nobody stated; it is not compared.
func (f Fitting) Fits(odMM, sdr int) error {
	if odMM != 0 && !slices.Contains(f.SizesMM, odMM) {
		return fmt.Errorf("%s takes pipe of %s mm, not %d mm", f.Name, join(f.SizesMM), odMM)
	}
	if sdr != 0 && !slices.Contains(f.SDR, sdr) {
		return fmt.Errorf("%s is for SDR %s, not SDR %d", f.Name, join(f.SDR), sdr)
	}
	return nil
}

// join lists numbers as "32", "32 or 40", "32, 40 or 63".
func join(ns []int) string {
	parts := make([]string, len(ns))
	for i, n := range ns {
		parts[i] = strconv.Itoa(n)
	}
	last := len(parts) - 1
	if last < 1 {
		return strings.Join(parts, "")
	}
	return strings.Join(parts[:last], ", ") + " or " + parts[last]
}
