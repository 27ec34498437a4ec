package ready

import (
	"time"

	"coolhold/logbook"
)

const (
	dateLayout = "2006-01-02"
	// nearDays is how many days ahead an end is said: our choice, adjustable.
	nearDays = 30
	// calibratedFor is how many months a control unit's calibration lasts: 12,
	// from memory.
	calibratedFor = 12
)

// today is the local day as a date without a clock, so that days can be
// counted.
func (c *compared) today() time.Time {
	t := c.o.Now.Local()
	return time.Date(t.Year(), t.Month(), t.Day(), 0, 0, 0, 0, time.UTC)
}

// crew is where people and units come from; assumed where no shift is open.
func (c *compared) crew() (basis string, assumed bool) {
	if c.site.Shift == "" {
		return "people and units are those of the last shift, " + c.shift.ID, true
	}
	return "as stated at the start of shift " + c.shift.ID, false
}

// qualifications compares the operators' qualifications with today.
func qualifications(c *compared) {
	if c.shift.ID == "" {
		c.add("qualification", "", NotKnown, "the log holds no shift of this site", "who welds and with which control unit: start the shift")
		return
	}
	basis, assumed := c.crew()
	for _, o := range c.shift.Operators {
		end, err := time.Parse(dateLayout, o.Expiry)
		if err != nil {
			c.add("qualification", o.Name, NotKnown, basis, "%s: card expiry not given", o.Name).Assumed = assumed
			continue
		}
		c.until("qualification", o.Name, basis, "the qualification of "+o.Name, end).Assumed = assumed
	}
}

// calibrations compares the units' last calibrations with today.
func calibrations(c *compared) {
	basis, _ := c.crew()
	basis += "; a calibration lasts 12 months, from memory: what the unit's own papers say goes first"
	for _, u := range c.shift.Units {
		last, err := time.Parse(dateLayout, u.Calibrated)
		switch {
		case err != nil:
			c.add("calibration", u.Serial, NotKnown, basis, "when control unit %s was calibrated: not stated", u.Serial)
		case last.After(c.today()):
			c.add("calibration", u.Serial, NotKnown, basis, "when control unit %s was calibrated: %s is still to come", u.Serial, u.Calibrated)
		default:
			c.until("calibration", u.Serial, basis, "the calibration of "+u.Serial, last.AddDate(0, calibratedFor, 0)).Assumed = true
		}
	}
}

// until says how long something is still valid; the last day is in it.
func (c *compared) until(slug, about, basis, what string, end time.Time) *Comparison {
	days := int(end.Sub(c.today()).Hours() / 24)
	date := end.Format(dateLayout)
	switch {
	case days < 0:
		return c.add(slug, about, Short, basis, "%s expired %s ago, on %s", what, logbook.Count(-days, "day"), date)
	case days <= nearDays:
		return c.add(slug, about, InOrder, basis+"; said 30 days before, our choice", "%s runs out on %s, in %s", what, date, logbook.Count(days, "day"))
	}
	return c.add(slug, about, InOrder, basis, "%s is valid to %s", what, date)
}
