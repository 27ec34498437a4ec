package loop

import (
	"fmt"
	"math"

	"coolhold/fusion"
)

// An Outcome is what readings come to by a method. None of them says that a pipe is
// tight.
type Outcome int

const (
	CannotDecide Outcome = iota // the result lies within the error, or the test is not through
	Within                      // what the method allows
	NotWithin
)

// Code is the outcome for other programs; it never changes.
func (o Outcome) Code() string { return [...]string{"undecided", "within", "not_within"}[o] }

func (o Outcome) String() string {
	return [...]string{"cannot decide", "within what the method allows", "not within what the method allows"}[o]
}

// An Interval is where a figure lies, both ends in it, when the error of what it was
// read from is carried through.
type Interval struct{ Low, High float64 }

// around is a figure with an error either way.
func around(x, half float64) Interval { return Interval{tidy(x - half), tidy(x + half)} }

// atMost holds an interval against a limit.
func (i Interval) atMost(limit float64) Outcome {
	switch {
	case i.High <= limit:
		return Within
	case i.Low > limit:
		return NotWithin
	}
	return CannotDecide
}

// In holds it against a band: within, if all of it is; not, if none of it is.
func (i Interval) In(band Interval) Outcome {
	switch {
	case i.Low >= band.Low && i.High <= band.High:
		return Within
	case i.High < band.Low || i.Low > band.High:
		return NotWithin
	}
	return CannotDecide
}

// A Gauge is by its division, in kPa: what it can be read to. A reading lies within half
// of it (our choice), so the difference of two within the whole.
type Gauge struct{ DivisionKPa float64 }

// A Reading is a pressure in kPa, so many minutes after the phase began.
type Reading struct{ Minute, KPa float64 }

// A Judgement is what readings come to, and what they were judged by.
type Judgement struct {
	Outcome Outcome
	What    string   // "fall", "drop", "water let out"
	Unit    string   // of what was judged
	Seen    float64  // as read
	Lies    Interval // with the division carried through
	Limit   Interval // what the method allows
	// Where nothing can be decided: a division that these readings would be decided by,
	// any finer one, and how long the test must go on in all; 0 where there is none.
	Finer   float64
	Minutes float64
	By      float64 // what is allowed by then, where that grows with the minutes; else 0
	Doubt   string  // what keeps it open, in a line
}

// Line tells a judgement in one line.
func (j Judgement) Line() string {
	line := fmt.Sprintf("%s: %s %s %s, by the division between %s and %s; allowed %s", j.Outcome, j.What,
		rounded(j.Seen), j.Unit, rounded(j.Lies.Low), rounded(j.Lies.High), j.allowed())
	if j.Outcome != CannotDecide {
		return line
	}
	if j.Doubt != "" {
		line += "; " + j.Doubt
	}
	if j.Finer > 0 {
		line += fmt.Sprintf("; a division finer than %s %s would decide these readings", rounded(j.Finer), j.Unit)
	}
	if j.Minutes > 0 {
		line += fmt.Sprintf("; %s min in all would", rounded(j.Minutes))
	}
	if j.By > 0 {
		line += fmt.Sprintf(", were %s %s allowed in them", rounded(j.By), j.Unit)
	}
	return line
}

func (j Judgement) allowed() string {
	if math.IsInf(j.Limit.Low, -1) {
		return "at most " + rounded(j.Limit.High) + " " + j.Unit
	}
	return rounded(j.Limit.Low) + " to " + rounded(j.Limit.High) + " " + j.Unit
}

// rounded has four decimals at most: a cup of water is read to 0.1 mL at best.
func rounded(x float64) string { return fusion.Figure(math.Round(x*1e4)/1e4 + 0) }

func upTo(limit float64) Interval { return Interval{math.Inf(-1), limit} }

// checkReadings refuses readings that cannot be meant.
func checkReadings(readings []Reading, g Gauge) error {
	if err := within("division of the gauge", g.DivisionKPa, DivisionKP); err != nil {
		return err
	}
	if len(readings) < 2 {
		return fmt.Errorf("%d readings are %w: a fall needs two at least", len(readings), ErrRange)
	}
	for i, r := range readings {
		if err := within("minute of a reading", r.Minute, Minutes); err != nil {
			return err
		}
		if err := within("pressure read", r.KPa, ReadKP); err != nil {
			return err
		}
		if i > 0 && r.Minute <= readings[i-1].Minute {
			return fmt.Errorf("reading %d, after %s min, is %w: each is later than the one before", i+1, fusion.Figure(r.Minute), ErrRange)
		}
	}
	return nil
}

// How late a reading may be that still ends a time: a tenth of the time, or half a minute.
// A fall slows down as the pressure falls, so it is not made larger by this. Our choice.
const (
	LateShare = 0.1
	LateMin   = 0.5
)

// fallWithin judges the fall from the first reading to the lowest, over so many minutes.
// What was read after them is no evidence against: only for it, since a pressure that had
// not fallen by then had not fallen before. But a gauge is read when the time is over, not
// before: of a reading that is hardly late the even share of its fall lies in the minutes.
func fallWithin(readings []Reading, g Gauge, minutes, limit float64) (Judgement, error) {
	if err := checkReadings(readings, g); err != nil {
		return Judgement{}, err
	}
	first := readings[0]
	inside, through := 0.0, false // the fall within the minutes; whether they are through
	most := 0.0                   // the fall up to the first reading that ends them
	last := 0.0                   // the minute of the reading before it
	for _, r := range readings[1:] {
		fall, minute := tidy(first.KPa-r.KPa), r.Minute-first.Minute
		most = max(most, fall)
		if minute <= minutes {
			inside, last = max(inside, fall), minute
		} else if minute-minutes <= max(LateShare*minutes, LateMin) {
			inside = max(inside, tidy(inside+(fall-inside)*(minutes-last)/(minute-last)))
		}
		if r.Minute-first.Minute >= minutes {
			through = true
			break
		}
	}
	j := Judgement{What: "fall", Unit: "kPa", Seen: most, Limit: upTo(limit)}
	j.Lies = Interval{tidy(inside - g.DivisionKPa), tidy(most + g.DivisionKPa)}
	j.Outcome = j.Lies.atMost(limit)
	switch {
	case !through && j.Outcome != NotWithin:
		j.Outcome, j.Minutes = CannotDecide, minutes
		j.Doubt = fmt.Sprintf("the last reading is after %s of %s min", rounded(readings[len(readings)-1].Minute-first.Minute), rounded(minutes))
	case j.Outcome == CannotDecide && inside == most:
		j.Finer = tidy(math.Abs(limit - most))
		j.Doubt = "the allowed fall lies within what the gauge cannot show"
	case j.Outcome == CannotDecide:
		j.Doubt = fmt.Sprintf("no reading ends the %s min; the next is later and lower", rounded(minutes))
	}
	return j, nil
}
