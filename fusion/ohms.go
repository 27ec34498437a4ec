package fusion

import (
	"fmt"
	"math"
)

// An OhmsWindow is the range in Ω, both ends in it, in which the resistance of
// a sound fitting is expected, and where that range comes from.
type OhmsWindow struct {
	Low, High float64
	Basis     string
}

// Holds tells whether a reading in Ω lies in the window.
func (w OhmsWindow) Holds(ohms float64) bool { return ohms >= w.Low && ohms <= w.High }

func (w OhmsWindow) String() string {
	return fmt.Sprintf("%s…%s Ω", Figure(w.Low), Figure(w.High))
}

// OhmsWindow gives the range for this fitting; false where its table prints no
// resistance. The fitting's own tolerance goes first. Without one it is the
// product requirement Rn×0.90 … Rn×1.10+0.1 Ω (ISO 8085-3, EN 1555-3, from
// memory), the 0.1 Ω being for contacts. That holds at about 23 °C and a cold
// coil reads low, so a reading outside is a question, never a stop.
func (f Fitting) OhmsWindow() (w OhmsWindow, ok bool) {
	if f.Ohms == nil {
		return OhmsWindow{}, false
	}
	rn := *f.Ohms
	if f.OhmsTolerancePct != nil {
		part := *f.OhmsTolerancePct / 100
		basis := "printed tolerance ±" + Figure(*f.OhmsTolerancePct) + " %"
		return OhmsWindow{tidy(rn * (1 - part)), tidy(rn * (1 + part)), basis}, true
	}
	basis := "Rn×0.90 … Rn×1.10+0.1 Ω, ISO 8085-3 and EN 1555-3 from memory"
	return OhmsWindow{tidy(rn * 0.90), tidy(rn*1.10 + 0.1), basis}, true
}

// tidy takes off what binary fractions leave over, so that a reading of just
// the limit, typed in decimals, is in.
func tidy(x float64) float64 { return math.Round(x*1e4) / 1e4 }
