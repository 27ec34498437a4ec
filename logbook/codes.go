package logbook

import (
	"cmp"
	"fmt"
	"slices"
)

// CodeTaught binds the code of a fitting type, 24 digits, to a row of the
// crew's own table. The digits are kept as scanned and nothing is read out of
// them; at the next scan the row is recalled.
type CodeTaught struct {
	Code    string `json:"code"`
	Fitting string `json:"fitting"`
	Table   string `json:"table"` // hash
	// Was is set where the code was taught as another fitting before, and Why.
	Was string `json:"was,omitempty"`
	Why string `json:"why,omitempty"`
	// Imported is set where it came in a file of another crew; TaughtBy is who
	// compared code and bag there, "" where the file does not say.
	Imported bool   `json:"imported,omitempty"`
	TaughtBy string `json:"taught_by,omitempty"`
}

// Kind is "code taught".
func (CodeTaught) Kind() Kind { return "code taught" }

// Line names the code and its row.
func (b CodeTaught) Line() string {
	line := fmt.Sprintf("code %s taught as %s (table %s)", b.Code, b.Fitting, b.Table)
	if b.Was != "" {
		line += fmt.Sprintf(", was %s: %s", b.Was, b.Why)
	}
	if b.Imported {
		line += ", imported; taught by " + cmp.Or(b.TaughtBy, nobodyNamed)
	}
	return line
}

// A Taught is a code that was taught, with who taught it.
type Taught struct {
	CodeTaught
	Signature
}

// nobodyNamed stands for who taught a code of which the file does not say it.
const nobodyNamed = "somebody the file does not name"

// Teacher is who compared code and bag; "" where that is not known.
func (t Taught) Teacher() string {
	if t.Imported {
		return t.TaughtBy
	}
	return t.By
}

// Who says who taught a code, and who imported it from another crew.
func (t Taught) Who() string {
	if !t.Imported {
		return t.By
	}
	return cmp.Or(t.TaughtBy, nobodyNamed) + ", imported by " + t.By
}

// TaughtAs is what a code was last taught as on the site.
func (s Site) TaughtAs(code string) (Taught, bool) {
	for i := len(s.Codes) - 1; i >= 0; i-- {
		if s.Codes[i].Code == code {
			return s.Codes[i], true
		}
	}
	return Taught{}, false
}

// TaughtCodes are the codes as they were last taught, in the order of teaching.
func (s Site) TaughtCodes() []Taught {
	var out []Taught
	for i, c := range s.Codes {
		if !slices.ContainsFunc(s.Codes[i+1:], func(later Taught) bool { return later.Code == c.Code }) {
			out = append(out, c)
		}
	}
	return out
}
