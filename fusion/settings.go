package fusion

import (
	"errors"
	"fmt"
)

var (
	// ErrOutsideBands is wrapped when a table prints no time for a temperature.
	ErrOutsideBands = errors.New("outside the bands of the table")
	// ErrNoFitting is wrapped when a table has no fitting of a name.
	ErrNoFitting = errors.New("no such fitting in the table")
)

// Settings are the figures of one weld, read from a table for one temperature.
type Settings struct {
	Fitting          string  `json:"fitting"`
	Ambient          Celsius `json:"ambient_c"`
	Degree           int     `json:"degree_read"` // the whole degree it was read as
	Band             Band    `json:"band"`
	Volts            float64 `json:"volts"`
	Seconds          int     `json:"seconds"`           // fusion time
	CoolingMin       int     `json:"cooling_min"`       // cooling time
	PressureWaitMin  *int    `json:"pressure_wait_min"` // nil where not printed
	PressureWaitFrom string  `json:"pressure_wait_from,omitempty"`
	CoolingBand      *Band   `json:"cooling_band,omitempty"` // the warmer one, where its cooling time counts
}

// Settings reads the row of a fitting at a temperature. Nothing is computed: a
// figure is printed for the band or there is none. Errors wrap ErrNoFitting or
// ErrOutsideBands, and the latter say what can be done.
func (t Table) Settings(name string, c Celsius) (Settings, error) {
	f, ok := t.Find(name)
	if !ok {
		return Settings{}, fmt.Errorf("%w: %q", ErrNoFitting, Brief(name))
	}
	i, ok := t.BandFor(c)
	if !ok {
		return Settings{}, t.outside(c)
	}
	s := Settings{
		f.Name, c, c.Degree(), t.Bands[i], f.Volts, f.Seconds[i], f.CoolingMin[i],
		f.PressureWaitMin, f.PressureWaitFrom, nil,
	}
	// A half lies as near to the warmer degree, and cooling may rise with warmth.
	if warmer, ok := t.BandFor(c + 1); ok && c.Half() && f.CoolingMin[warmer] > s.CoolingMin {
		s.CoolingMin, s.CoolingBand = f.CoolingMin[warmer], new(t.Bands[warmer])
	}
	return s, nil
}

func (t Table) outside(c Celsius) error {
	printed := "it has none"
	if n := len(t.Bands); n > 0 {
		printed = Band{t.Bands[0].Low, t.Bands[n-1].High}.String()
	}
	return fmt.Errorf("%s °C is %w (%s): no time is printed for it and none is ever extrapolated; "+
		"shelter the joint, warm the zone, or wait, then read again", c, ErrOutsideBands, printed)
}

// RoundingLine says how the temperature was read, "14.5 °C read as 14 °C", and
// where the cooling time is another band's, or is empty where it was a whole degree.
func (s Settings) RoundingLine() string {
	if int(s.Ambient)%100 == 0 {
		return ""
	}
	line := fmt.Sprintf("%s °C read as %d °C", s.Ambient, s.Degree)
	if s.CoolingBand != nil {
		line += fmt.Sprintf("; as near to %d °C, so the cooling time is the longer one, of %s (our choice)", s.Degree+1, *s.CoolingBand)
	}
	return line
}

// Keyed is the fusion time as it is keyed into a control unit, three digits:
// "040" (common practice, no source).
func (s Settings) Keyed() string { return fmt.Sprintf("%03d", s.Seconds) }

// WaitLine says when a pressure test may start, as far as the table tells.
func (s Settings) WaitLine() string {
	switch {
	case s.PressureWaitMin == nil:
		return "not in the table, see the fitting's own instructions"
	case s.PressureWaitFrom == "":
		return fmt.Sprintf("%d min from the end of cooling (the table does not say from when, so the later)", *s.PressureWaitMin)
	case s.PressureWaitFrom == FromFusionEnd:
		return fmt.Sprintf("%d min from the end of fusion", *s.PressureWaitMin)
	}
	return fmt.Sprintf("%d min from the end of cooling", *s.PressureWaitMin)
}
