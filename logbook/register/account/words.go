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
	"Its hold counts a gap accepted by ", "Its cooling time counts a stretch that the laptop did not watch, on the word of ", "its hold counts a gap accepted by ", "its cooling time counts a stretch that the laptop did not watch, on the word of ",
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
	s = phrases.Replace(iso.ReplaceAllStringFunc(s, func(at string) string {
		for _, form := range []string{time.RFC3339, "2006-01-02T15:04Z07:00"} {
			if t, err := time.Parse(form, at); err == nil {
				return t.Format(minute)
			}
		}
		return at
	}))
	s = unreasoned.ReplaceAllString(s, "$1 (nobody gave a reason when it stopped)")
	s = lookNumber.ReplaceAllString(looks.ReplaceAllString(s, "$1"), "(look number $1 at it)")
	return disturbed.ReplaceAllStringFunc(s, func(said string) string {
		k := disturbed.FindStringSubmatch(said)
		switch {
		case k[2] != "":
			return sameCase(k[1], "recorded first as "+movedSays(k[2])+", then corrected to "+movedSays(k[3])+",")
		case k[5] != "":
			return sameCase(k[4], "corrected to "+movedSays(k[5])+", was "+movedSays(k[6]))
		}
		return sameCase(k[7], "it was recorded as "+movedSays(k[8]))
	})
}

// unreasoned is a fusion that stopped for which no reason was given then: that a reason was given
// later, as for a cut-out, is no contradiction.
var unreasoned = regexp.MustCompile(`\b([Ff]usion stopped at [^(]*?) \(no reason given\)`)

// disturbed is a correction of when a joint was moved: a figure alone, or "no", tells a reader
// nothing.
var disturbed = regexp.MustCompile(`\b([Dd])isturbed corrected from (no|\d+) to (no|\d+)|\b([Cc])orrected disturbed: (no|\d+), was (no|\d+)|\b([Dd])isturbed was (no|\d+)\b`)

// movedSays is when a joint was moved, in words: minutes after its fusion, or not at all. What
// is said in words already stays.
func movedSays(s string) string {
	switch {
	case s == "no":
		return "not moved"
	case figure.MatchString(s):
		return "moved " + s + " min after fusion"
	}
	return s
}

var figure = regexp.MustCompile(`^\d+$`)

// sameCase is a text that begins as a letter did, great or small.
func sameCase(letter, s string) string {
	if strings.ToUpper(letter) == letter {
		return titled(s)
	}
	return s
}

// lookNumber is the number of a look where its occasion does not name it.
var lookNumber = regexp.MustCompile(`\(look (\d+)\)`)

// looks is the number of a look that its occasion names already.
var looks = regexp.MustCompile(`(after fusion|at release|felt at the release) \(look \d+\)`)

// bases are the words of the program for what nobody prescribes.
var bases = strings.NewReplacer("severity is our choice", "how heavily it weighs is coolhold's choice, no source", "Our choice, no source", "coolhold's choice, no source", "our choice, no source", "coolhold's choice, no source", "our choice", "coolhold's choice, no source", "Our choice", "coolhold's choice, no source")

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

// BoxState is the state in the box of a joint on a drawing: what was over when the register
// was made does not go on there.
func (a Account) BoxState(joint, says string) string {
	p := a.maker.byLabel[joint]
	switch over := a.maker.unended(p.Weld); {
	case over == "" || says != string(p.State):
		return OnDrawing(says)
	case p.State == audit.InHold:
		return "cooling over"
	case p.State == audit.Fusing:
		return "end unknown"
	}
	return OnDrawing(says)
}

// madeAt is a port as it was welded.
var madeAt = regexp.MustCompile(`^made \S+$`)
