package plan

import (
	"strings"

	"coolhold/fusion"
	"coolhold/logbook/toml"
)

// Bounds of a plan's figures: sanity bounds of our choice, without a source.
var (
	saneNo      = fusion.Bounds{Low: 1, High: 999}
	saneLength  = fusion.Bounds{Low: 0.1, High: 5000, Unit: "m"}
	saneScraped = fusion.Bounds{Low: 1, High: 1440, Unit: "min"}
	SaneCover   = fusion.Bounds{Low: 0.1, High: 20, Unit: "m"}
	SaneHeight  = fusion.Bounds{Low: -500, High: 9000, Unit: "m"}
	SaneWithin  = fusion.Bounds{Low: 0.001, High: 1, Unit: "m"}
	anyNumber   = fusion.Bounds{Low: -1e9, High: 1e9}
)

const (
	maxName     = 40 // characters, so that a name fits a column of a screen
	maxChamber  = 6  // characters, so that a label with it still fits a pipe
	maxLabel    = 12 // characters that can be written on a pipe with a marker
	maxTape     = 20 // characters
	maxChambers = 50
	maxPorts    = 100
	maxCircuits = 100
	maxExtra    = 500
	maxFactory  = 500
	maxPipe     = maxLabel + 2 // a label and the place of an end
	mostEnds    = 4
)

// Parse reads a site plan and checks it as a whole. The error is a fault.List
// with everything that is wrong in it; then the plan is empty.
func Parse(data []byte) (Plan, error) {
	r, err := toml.Open(data)
	if err != nil {
		return Plan{}, err
	}
	p := Plan{
		Site: r.Str("site", toml.MaxText), Client: r.Str("client", toml.MaxText),
		Firm: r.Str("firm", toml.MaxText), Address: r.Str("address", toml.MaxText),
		Contract: r.OptStr("contract", toml.MaxText), Version: r.OptStr("version", maxName),
	}
	if require := r.Table("require"); require != nil {
		p.Scraping = require.OptWordOr("scraping", map[string]string{"rotary tool": "rotary scraper", "hand tool": "hand scraper"}, "rotary scraper", "hand scraper")
		if n := require.OptInt("longest_since_scraping_min", saneScraped); n != nil {
			p.ScrapedMin = *n
		}
		p.PressureTest = require.OptWord("pressure_test", BeforeCover)
		p.BeforeWelding = require.OptWords("before_welding", KnownBeforeWelding...)
		p.BeforeCover = require.OptWords("before_cover", KnownBeforeCover...)
		p.LeastCoverM = orZero(require.OptNum("least_cover_m", SaneCover))
		p.SetOutWithinM = orZero(require.OptNum("set_out_within_m", SaneWithin))
		require.Done()
	}
	l := labels{lines: map[string]int{}, joints: map[string]Joint{}}
	p.Chambers = readChambers(r, &l)
	p.Extra = readExtras(r, &l)
	p.Factory = readFactory(r, p.Chambers, &l)
	if !l.any {
		r.Fault("", "no joint in the plan: give a chamber with a circuit or a header, or a [[joint]]")
	}
	r.Done()
	if err := r.Err(); err != nil {
		return Plan{}, err
	}
	return p, nil
}

// labels are the joints read so far, by what is written on the pipe.
type labels struct {
	any    bool           // some joint was met, be it faulty
	doubt  bool           // some joint has no label, being faulty: one that is missed may be meant
	lines  map[string]int // where a label was given
	joints map[string]Joint
}

// fold makes labels equal that look the same in a hurry.
func fold(label string) string { return strings.ToLower(label) }

// take gives a joint its label, or notes that another joint has it.
func (l *labels) take(r *toml.Reader, key string, j Joint) {
	if first, taken := l.lines[fold(j.Label)]; taken {
		r.Fault(key, "the label %q is that of the joint in line %d already", j.Label, first)
		return
	}
	l.lines[fold(j.Label)] = r.Line(key)
	l.joints[fold(j.Label)] = j
}

// names are the names or numbers taken so far, with their lines.
type names[K comparable] map[K]int

// take notes a fault and is false when the name is taken already.
func (n names[K]) take(r *toml.Reader, key string, name K) bool {
	if first, taken := n[name]; taken {
		r.Fault(key, "stands in line %d already", first)
		return false
	}
	n[name] = r.Line(key)
	return true
}

func limit(r *toml.Reader, key string, n, most int) {
	if n > most {
		r.Fault(key, "%d are too many, at most %d", n, most)
	}
}

// checkMarks notes what cannot be written on a pipe with a marker and read
// again by anybody.
func checkMarks(r *toml.Reader, key, s string) bool {
	for _, c := range s {
		letter := c >= 'a' && c <= 'z' || c >= 'A' && c <= 'Z'
		if !letter && !(c >= '0' && c <= '9') && c != '-' && c != '.' {
			r.Fault(key, "%q is written on pipes: only letters A to Z, digits, '-' and '.'", s)
			return false
		}
	}
	return true
}
