// Package kit reads what a crew has with it: control units, adapters, the
// generator, the extension and the fittings in the van. It is compared with
// plan and tables before anything is scraped. All but a unit's serial may be
// left out; what is left out is not known, never guessed.
package kit

import (
	"math"

	"coolhold/fusion"
)

// A Kit is what was declared. One that came from Parse holds no contradiction;
// pointers are nil where nothing was declared.
type Kit struct {
	Units     []Unit
	Adapters  []Adapter
	Generator *float64 // kVA, of the generator or of the supply in its place
	Extension *Extension
	Stock     []Stock
}

// A Unit is a control unit as its plate and its instructions describe it.
type Unit struct {
	Serial        string
	InputKVA      *float64 // plate
	InputVolts    *float64 // V
	InputVoltsLow *float64 // V, the lowest that its instructions allow
	InputAmps     *float64 // A, where printed
	VoltsLow      *float64 // V, of the output
	VoltsHigh     *float64 // V, of the output
	LongestS      *int     // s, the longest fusion time that can be set
	LeadPinsMM    []float64
}

// An Adapter goes on a lead's end made for pins of From mm and takes pins of To mm.
type Adapter struct{ From, To float64 }

// An Extension runs between generator and unit; a length of 0 says that there
// is none.
type Extension struct {
	LengthM    *float64 // m, one way
	SectionMM2 *float64 // mm², of one conductor
}

// Stock is how many fittings of a name are in the van.
type Stock struct {
	Fitting string
	Count   int
}

// PinTolerance is how far in mm two pin sizes may differ and still be the same
// size: ISO 8085-3 annex, ±0.03 mm, from memory.
const PinTolerance = 0.03

// SamePin tells whether two pin sizes in mm are one.
func SamePin(a, b float64) bool { return math.Abs(a-b) <= PinTolerance+1e-9 }

// Reaches tells whether a unit's leads meet a pin in mm: by themselves, or
// with one of the adapters, which then comes back.
func (k Kit) Reaches(u Unit, pin float64) (with *Adapter, ok bool) {
	for _, lead := range u.LeadPinsMM {
		if SamePin(lead, pin) {
			return nil, true
		}
	}
	for _, lead := range u.LeadPinsMM {
		for _, a := range k.Adapters {
			if SamePin(a.From, lead) && SamePin(a.To, pin) {
				return &a, true
			}
		}
	}
	return nil, false
}

// Unit finds a unit by its serial; case does not count.
func (k Kit) Unit(serial string) (Unit, bool) {
	for _, u := range k.Units {
		if fusion.Folded(u.Serial) == fusion.Folded(serial) {
			return u, true
		}
	}
	return Unit{}, false
}

// InVan is how many fittings of a name are in the van; false where the list
// does not name it.
func (k Kit) InVan(fitting string) (int, bool) {
	for _, s := range k.Stock {
		if fusion.Folded(s.Fitting) == fusion.Folded(fitting) {
			return s.Count, true
		}
	}
	return 0, false
}
