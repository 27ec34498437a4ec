package account

import (
	"regexp"
	"strings"
	"time"
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
	"when the hold is over: feel, look, release", "when its cooling time is over: feel, look, release",
)

// iso is a time as files have it.
var iso = regexp.MustCompile(`\d{4}-\d\d-\d\dT\d\d:\d\d(:\d\d(\.\d+)?)?(Z|[+-]\d\d:\d\d)`)

// plainly is a text in the words of the trade, its times written as everywhere else.
func plainly(s string) string {
	return phrases.Replace(iso.ReplaceAllStringFunc(s, func(at string) string {
		for _, form := range []string{time.RFC3339, "2006-01-02T15:04Z07:00"} {
			if t, err := time.Parse(form, at); err == nil {
				return t.Format(minute)
			}
		}
		return at
	}))
}
