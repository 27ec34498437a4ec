package loop

import (
	"fmt"
	"math"

	"coolhold/fusion"
)

// PurgeVelocity is what every section wants at least when purged, in m/s: 2 ft/s
// (UFGS 15741N, as printed).
const PurgeVelocity = 0.6

// AfterBubbleMin is how long a purge goes on after the last bubble (UFGS 15741N, as
// printed).
const AfterBubbleMin = 15

// A Pipe is a pipe of PE by its outside diameter and class, its wall measured or not.
type Pipe struct {
	OdMM       int
	SDR        fusion.SDR
	MeasuredMM float64 // the wall as measured; 0 where the least wall is to count
}

// A Stretch is so much of one pipe.
type Stretch struct {
	Pipe
	LengthM float64
}

func (p Pipe) String() string { return fmt.Sprintf("%d mm SDR %s", p.OdMM, p.SDR) }

// WallMM is the wall in mm: as measured, else the least wall of ISO 4065 and ISO 4427-2
// (see [fusion.WallMM]), for 20 to 630 mm of SDR 9, 11, 13.6 and 17 where one is known.
// A measured wall is believed from 0.8 to 1.5 times the least one (our choice): beyond,
// it is a pipe of another class. Errors wrap [ErrRange].
func (p Pipe) WallMM() (float64, error) {
	least, known := fusion.WallMM(p.OdMM, p.SDR)
	switch {
	case !fusion.IsPipeSize(p.OdMM):
		return 0, fmt.Errorf("outside diameter %d mm is %w: its wall is not known here; sizes are those of ISO 4065, 20 to 630 mm", p.OdMM, ErrRange)
	case !known:
		return 0, fmt.Errorf("%s is %w: no wall is known of it; known are SDR 9, 11, 13.6 and 17 from 20 to 630 mm, the thin ones from 25 or 32 mm", p, ErrRange)
	case p.MeasuredMM == 0:
		return least, nil
	}
	sane := fusion.Bounds{Low: tidy(0.8 * least), High: tidy(1.5 * least), Unit: "mm"}
	return p.MeasuredMM, within("measured wall of "+p.String(), p.MeasuredMM, sane)
}

// BoreMM is the inside diameter in mm, dn − 2e. With the least wall it is an upper
// figure. Range and errors are those of [Pipe.WallMM].
func (p Pipe) BoreMM() (float64, error) {
	wall, err := p.WallMM()
	if err != nil {
		return 0, err
	}
	return tidy(float64(p.OdMM) - 2*wall), nil
}

// LitresPerM is what a metre holds, π/4·bore²/1000 (geometry): 2.075 L in 63 mm SDR 11.
func (p Pipe) LitresPerM() (float64, error) {
	bore, err := p.BoreMM()
	return math.Pi / 4 * bore * bore / 1000, err
}

// PurgeFlow is the flow in L/min at 0.6 m/s (UFGS 15741N), 60 s/min · 0.6 m/s · litres a
// metre: 74.7 L/min in 63 mm SDR 11.
func (p Pipe) PurgeFlow() (float64, error) {
	litres, err := p.LitresPerM()
	return 60 * PurgeVelocity * litres, err
}

// Litres is what the stretch holds, for 0.1 to 10,000 m.
func (s Stretch) Litres() (float64, error) {
	litres, err := s.LitresPerM()
	if err != nil {
		return 0, err
	}
	return litres * s.LengthM, within("length", s.LengthM, LengthM)
}

// Litres is what the stretches hold together.
func Litres(run []Stretch) (sum float64, err error) {
	for _, s := range run {
		litres, err := s.Litres()
		if err != nil {
			return 0, err
		}
		sum += litres
	}
	return sum, nil
}
