package logbook

import (
	"cmp"
	"fmt"
	"iter"
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

// A CodeList is codes in the order of teaching. One more is added without copying all
// before it: a file may bring 20,000, and books that stand keep what they have.
type CodeList struct {
	full [][]Taught // each of codeChunk
	last []Taught
}

// codeChunk is how many codes are copied at most for one more.
const codeChunk = 64

func (l CodeList) with(t Taught) CodeList {
	if len(l.last) == codeChunk {
		return CodeList{append(slices.Clone(l.full), l.last), []Taught{t}}
	}
	l.last = append(slices.Clone(l.last), t)
	return l
}

// All goes through the codes in the order of teaching.
func (l CodeList) All() iter.Seq[Taught] {
	return func(yield func(Taught) bool) {
		for _, part := range append(slices.Clone(l.full), l.last) {
			for _, t := range part {
				if !yield(t) {
					return
				}
			}
		}
	}
}

// TaughtAs is what a code was last taught as on the site.
func (s Site) TaughtAs(code string) (last Taught, known bool) {
	for t := range s.Codes.All() {
		if t.Code == code {
			last, known = t, true
		}
	}
	return last, known
}

// TaughtCodes are the codes as they were last taught, in the order of teaching.
func (s Site) TaughtCodes() []Taught {
	newest, n := map[string]int{}, 0
	for t := range s.Codes.All() {
		newest[t.Code], n = n, n+1
	}
	var out []Taught
	n = 0
	for t := range s.Codes.All() {
		if newest[t.Code] == n {
			out = append(out, t)
		}
		n++
	}
	return out
}
