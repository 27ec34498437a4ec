package ready

import (
	"errors"
	"fmt"
	"strings"

	"coolhold/fusion"
	"coolhold/logbook"
)

// A Range is a range of ambient temperatures, both ends in it.
type Range struct{ Low, High fusion.Celsius }

// String gives "5…14 °C", or "5 °C" where both ends are one.
func (r Range) String() string {
	if r.Low == r.High {
		return r.Low.String() + " °C"
	}
	return fmt.Sprintf("%s…%s °C", r.Low, r.High)
}

// Holds tells whether a temperature lies in the range.
func (r Range) Holds(c fusion.Celsius) bool { return c >= r.Low && c <= r.High }

// ErrRange is wrapped by every refusal of ParseRange and NewRange.
var ErrRange = errors.New("not a range of temperatures")

// ParseRange reads "LOW..HIGH" in °C, each end under the rules of
// fusion.ParseCelsius, the colder first. Every error wraps ErrRange.
func ParseRange(s string) (Range, error) {
	low, high, ok := strings.Cut(strings.Replace(s, "…", "..", 1), "..")
	if !ok {
		return Range{}, fmt.Errorf("%q is %w: write it as -2..14, the colder end first", fusion.Brief(s), ErrRange)
	}
	return NewRange(low, high)
}

// NewRange is ParseRange for two ends that come apart.
func NewRange(low, high string) (Range, error) {
	l, err := fusion.ParseCelsius(low)
	if err != nil {
		return Range{}, fmt.Errorf("%w: %w", ErrRange, err)
	}
	h, err := fusion.ParseCelsius(high)
	if err != nil {
		return Range{}, fmt.Errorf("%w: %w", ErrRange, err)
	}
	if l > h {
		return Range{}, fmt.Errorf("%s to %s °C is %w: the colder end comes first", l, h, ErrRange)
	}
	return Range{l, h}, nil
}

// temperature is what the joints will be welded at, as far as is known.
type temperature struct {
	Range
	known   bool
	basis   string
	assumed bool
	reading *logbook.LastAmbient // of today
}

// temperatureOf takes the range that somebody expects, else the last reading
// of today.
func temperatureOf(s logbook.Site, o Given) temperature {
	var t temperature
	if a := s.Ambient; a != nil && a.At.Local().Format(dateLayout) == o.Now.Local().Format(dateLayout) {
		t.reading = a
		t.Range, t.known = Range{a.C, a.C}, true
		t.basis = "read today at " + a.At.Local().Format("15:04")
	}
	if o.Expect != nil {
		t.Range, t.known, t.assumed = *o.Expect, true, true
		t.basis = "the range that you expect"
	}
	return t
}

// bands are the places of a table's bands that count: those that the
// temperature touches. Where it is not known, or in none, all count.
func (t temperature) bands(table fusion.Table) (places []int, all bool) {
	low, high := t.Low.Degree(), t.High.Degree()
	for i, b := range table.Bands {
		if t.known && b.Low <= high && b.High >= low {
			places = append(places, i)
		}
	}
	if len(places) > 0 {
		return places, false
	}
	for i := range table.Bands {
		places = append(places, i)
	}
	return places, true
}

// ambient compares the temperature with the bands of each fitting.
func ambient(c *compared) {
	t := c.temp
	if !t.known {
		c.add("ambient", "", NotKnown, "the log holds no reading of today", "today's ambient temperature: read it in the shade beside the joint, or give the range that you expect")
		return
	}
	if t.reading != nil && !t.Holds(t.reading.C) {
		c.add("ambient", "", Open, "read today at "+t.reading.At.Local().Format("15:04"), "%s °C was read today, outside the %s that you expect: give another range", t.reading.C, t.Range)
	}
	for _, n := range c.needs {
		if !n.known() {
			continue
		}
		inBands(c, n).Assumed = t.assumed
	}
}

func inBands(c *compared, n need) *Comparison {
	bands := n.row.Table.Bands
	printed := fusion.Band{Low: bands[0].Low, High: bands[len(bands)-1].High}
	var short []string
	if by := printed.Low - c.temp.Low.Degree(); by > 0 {
		short = append(short, fmt.Sprintf("%d °C short at the cold end", by))
	}
	if by := c.temp.High.Degree() - printed.High; by > 0 {
		short = append(short, fmt.Sprintf("%d °C short at the warm end", by))
	}
	if len(short) > 0 {
		not := "not all"
		if c.temp.Low == c.temp.High {
			not = "not"
		}
		return c.add("ambient", n.name, Short, c.temp.basis, "%s: %s is %s in its bands, %s: %s; no time is ever extrapolated",
			n.name, c.temp.Range, not, printed, strings.Join(short, ", "))
	}
	return c.add("ambient", n.name, InOrder, c.temp.basis, "%s: %s lies in its bands, %s", n.name, c.temp.Range, printed)
}
