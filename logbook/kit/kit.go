// Package kit reads what a crew has with it: control units, adapters, the
// generator, the extension, tools and the fittings in the van. It is compared
// with plan and tables before anything is scraped. All but a unit's serial may be
// left out; what is left out is not known, never guessed.
package kit

import (
	"math"

	"coolhold/fusion"
)

// A Kit is what was declared. One that came from Parse holds no contradiction;
// pointers are nil where nothing was declared.
type Kit struct {
	Units          []Unit
	Adapters       []Adapter
	Generator      *float64 // kVA, of the generator or of the supply in its place
	GeneratorVolts *float64 // V
	Extension      *Extension
	Stock          []Stock
	Clamps         []Clamp
	Scrapers       []Scraper
	Rerounders     []Rerounder
	EndCaps        []EndCap
	Wipes, Markers *int
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
	Counts        Counts
}

// Counts is how a unit's display counts while it fuses.
type Counts string

// The ways a display counts; "" where that is not declared.
const (
	CountsUp   Counts = "up"
	CountsDown Counts = "down"
	CountsNot  Counts = "no" // it shows no running time
)

// AllCounts are the ways a display counts, as a kit writes them.
var AllCounts = []Counts{CountsUp, CountsDown, CountsNot}

// An Adapter goes on a lead's end made for pins of From mm and takes pins of To mm.
type Adapter struct{ From, To float64 }

// An Extension runs between generator and unit; a length of 0 says that there
// is none.
type Extension struct {
	LengthM    *float64 // m, one way
	SectionMM2 *float64 // mm², of one conductor
	Unreeled   *bool    // it is unreeled fully before use
}

// A Clamp is a kind of clamp set: what pipes it holds and how many there are,
// nil where that is not declared.
type Clamp struct {
	SizesMM []int
	Count   *int
}

// A Scraper is a tool that takes off the skin of a pipe: of a kind, as a plan
// requires it, and for a range of sizes, both nil where none is declared.
type Scraper struct {
	Kind     string
	From, To *int // mm
}

// The kinds of scraper, as plan and kit write them.
const (
	RotaryTool = "rotary scraper"
	HandTool   = "hand scraper"
)

// formerKinds are read as what they are called now.
var formerKinds = map[string]string{"rotary tool": RotaryTool, "hand tool": HandTool}

// A Rerounder presses oval pipe round.
type Rerounder struct{ SizesMM []int }

// An EndCap keeps dirt out of an open end; it is not fused.
type EndCap struct{ SizeMM, Count int }

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
