package account

import (
	"regexp"
	"strings"
	"time"

	"coolhold/logbook/audit"
	"coolhold/logbook/chart"
)

// What screens say in the words of the program is told here in those of the trade: who reads
// a register never saw the program. Only whole phrases of ours stand here, so that what a
// person wrote stays as it was written.
var phrases = strings.NewReplacer(
	"default taken: ", "the offered answer kept: ", "carried over: ", "kept from the weld before: ",
	"Walk open since ", "Begun, and not gone on with since ", "walk open since ", "begun, and not gone on with since ",
	"resume the walk, or give the weld up", "finish it, or give the weld up",
	"walk left at ", "left off at ", "walk resumed at ", "gone on with at ",
	"Its hold was not ended by a release", "Its cooling time was not ended by a release", "its hold was not ended by a release", "its cooling time was not ended by a release",
	"Its hold counts ", "Its cooling time counts ", "its hold counts ", "its cooling time counts ", "; hold counts ", "; the cooling time counts ", ": hold counts ", ": the cooling time counts ",
	"; hold from the stated end", "; cooling time from the stated end", "a gap in a hold", "a gap in a cooling time", "looks for a hold", "looks for a cooling time",
	"before the hold was over", "before the cooling time was over", "the ink on the pipe", "what is written on the pipe",
	"when the hold is over: feel, look, release", "when its cooling time is over: feel, look, release",
)

// iso is a time as files have it.
var iso = regexp.MustCompile(`\d{4}-\d\d-\d\dT\d\d:\d\d(:\d\d(\.\d+)?)?(Z|[+-]\d\d:\d\d)`)

// Plainly is a text in the words of the trade, for a document that puts it together itself.
func Plainly(s string) string { return plainly(s) }

// plainly is a text in the words of the trade, its times written as everywhere else.
func plainly(s string) string {
	return looks.ReplaceAllString(phrases.Replace(iso.ReplaceAllStringFunc(s, func(at string) string {
		for _, form := range []string{time.RFC3339, "2006-01-02T15:04Z07:00"} {
			if t, err := time.Parse(form, at); err == nil {
				return t.Format(minute)
			}
		}
		return at
	})), "$1")
}

// looks is the number of a look that its occasion names already.
var looks = regexp.MustCompile(`(after fusion|at release|felt at the release) \(look \d+\)`)

// bases are the words of the program for what nobody prescribes.
var bases = strings.NewReplacer("Our choice, no source", "coolhold's choice, no source", "our choice, no source", "coolhold's choice, no source", "our choice", "coolhold's choice, no source", "Our choice", "coolhold's choice, no source")

// Basis is what a rule rests on, for who never heard who "we" are.
func Basis(s string) string { return bases.Replace(plainly(s)) }

// onDrawing are the states and marks of a drawing in the words of the trade.
var onDrawing = strings.NewReplacer("in the walk", "being made", "hold", "cooling", "made ", "welded to ")

// OnDrawing is a word of a drawing as a reader knows it; labels of joints and chambers are
// not among those that it changes.
func OnDrawing(s string) string {
	for _, st := range chart.Styles {
		if s == st.Words() {
			return onDrawing.Replace(s)
		}
	}
	if s == string(audit.InTheWalk) || s == string(audit.InHold) || madeAt.MatchString(s) {
		return onDrawing.Replace(s)
	}
	return s
}

// madeAt is a port as it was welded.
var madeAt = regexp.MustCompile(`^made \S+$`)
