package office

import (
	"cmp"
	"math"
	"slices"
)

// LeastRate is from how many welds on a share is given: fewer say nothing (our choice).
const LeastRate = 20

// z95 is the quantile of the normal distribution that leaves 2.5 % on each side.
const z95 = 1.959963984540054

// A Rate is how many of the welds with one batch, unit, operator or crew have a fail on
// record, cut out since or not.
type Rate struct {
	Of      string  `json:"of"`
	Welds   int     `json:"welds"`
	Fails   int     `json:"fails"`
	Share   float64 `json:"share"`
	AtLeast float64 `json:"at_least"` // the lower bound of Wilson's interval, 95 %
}

// NewRate is the rate of n welds of which some failed.
func NewRate(of string, n, fails int) Rate {
	return Rate{of, n, fails, float64(fails) / float64(n), lowest(n, fails)}
}

// lowest is the lower bound of the score interval (E. B. Wilson, J. Am. Stat. Assoc. 22,
// 1927, from memory): the least share for which so many fails are not yet unlikely. It
// keeps one fail among few welds from standing above many among many.
func lowest(n, fails int) float64 {
	size, p := float64(n), float64(fails)/float64(n)
	mid := p + z95*z95/(2*size)
	half := z95 * math.Sqrt(p*(1-p)/size+z95*z95/(4*size*size))
	return max(0, (mid-half)/(1+z95*z95/size))
}

// Ranked are the rates that rest on enough welds, those that fail most first.
func Ranked(rates []Rate) []Rate {
	rates = slices.DeleteFunc(slices.Clone(rates), func(r Rate) bool { return r.Welds < LeastRate })
	slices.SortFunc(rates, func(a, b Rate) int {
		return cmp.Or(cmp.Compare(b.AtLeast, a.AtLeast), cmp.Compare(b.Welds, a.Welds), cmp.Compare(a.Of, b.Of))
	})
	return rates
}
