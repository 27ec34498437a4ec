package fusion

// Bounds are the bounds of sense of a figure, both ends in it, with its unit.
type Bounds struct {
	Low, High float64
	Unit      string
}

// Holds is false for what is no number at all, so a "nan" never gets in.
func (b Bounds) Holds(x float64) bool { return x >= b.Low && x <= b.High }

// String gives "8…80 V".
func (b Bounds) String() string {
	s := Figure(b.Low) + "…" + Figure(b.High)
	if b.Unit != "" {
		s += " " + b.Unit
	}
	return s
}

// Bounds of a table's figures. They are sanity bounds of our choice, without a
// source, wide enough for every fitting and narrow enough to catch a slipped
// digit. None of them is a welding figure.
var (
	SaneDegrees    = Bounds{-30, 60, "°C"}
	SaneSeconds    = Bounds{5, 3600, "s"}
	SaneCooling    = Bounds{1, 600, "min"}
	SaneWait       = Bounds{0, 2880, "min"}
	SaneVolts      = Bounds{8, 80, "V"}
	SaneOhms       = Bounds{0.05, 100, "Ω"}
	SaneTolerance  = Bounds{0, 50, "%"}
	SanePin        = Bounds{2, 10, "mm"}
	SaneEnds       = Bounds{1, 4, ""}
	SaneIndicators = Bounds{0, 6, ""}
	SaneZones      = Bounds{1, 4, ""}
)

// Bounds of the electrical figures: sanity bounds of our choice, without a
// source. Volts and ohms are those of a table.
var (
	saneAmps    = Bounds{0, 500, "A"}
	saneRun     = Bounds{0, 200, "m"}
	saneSection = Bounds{0.5, 120, "mm²"}
)
