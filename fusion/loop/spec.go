package loop

import (
	"fmt"
	"math"
)

// A Spec is a pressure test as the job's specification has it: a pressure in kPa, 1 to
// 4,000, so many minutes, up to 2,880, and the fall allowed in them, in kPa.
type Spec struct{ PressureKPa, Minutes, AllowedKPa float64 }

// Check refuses what cannot be meant. An allowed fall of nothing is refused: no gauge
// shows that nothing fell, at most that less than a division did. Whoever specified says
// what is allowed. Errors wrap [ErrRange].
func (s Spec) Check() error {
	if err := within("test pressure", s.PressureKPa, PressureKP); err != nil {
		return err
	}
	if err := within("minutes under test", s.Minutes, Minutes); err != nil {
		return err
	}
	if err := within("allowed fall", s.AllowedKPa, ReadKP); err != nil {
		return err
	}
	if s.Minutes == 0 || s.AllowedKPa == 0 {
		return fmt.Errorf("a test of %s min with a fall of %s kPa is %w: no gauge shows that nothing fell; give the fall that the specification allows, and its minutes",
			rounded(s.Minutes), rounded(s.AllowedKPa), ErrRange)
	}
	return nil
}

// Judge holds readings against the specification: the fall from the first reading, at
// the test pressure, to the lowest within the minutes. Where the gauge is too coarse it
// says which division would decide, and how long a test would whose allowed fall grows
// with its minutes, the fall going on as it does. Errors wrap [ErrRange].
func (s Spec) Judge(readings []Reading, g Gauge) (Judgement, error) {
	if err := s.Check(); err != nil {
		return Judgement{}, err
	}
	j, err := fallWithin(readings, g, s.Minutes, s.AllowedKPa)
	if err != nil {
		return Judgement{}, err
	}
	switch first := readings[0].KPa; {
	case j.Outcome != NotWithin && tidy(first+g.DivisionKPa/2) < s.PressureKPa:
		j.Outcome, j.Finer, j.Minutes = CannotDecide, 0, 0
		j.Doubt = fmt.Sprintf("it began at %s kPa, not at the specified %s", rounded(first), rounded(s.PressureKPa))
	case j.Finer > 0:
		j.Minutes = s.longer(j, g)
		j.By = tidy(s.AllowedKPa * j.Minutes / s.Minutes)
	}
	return j, nil
}

// longer is how many minutes would tell the fall from the allowed one, both growing with
// time; 0 where that is no test any more.
func (s Spec) longer(j Judgement, g Gauge) float64 {
	minutes := math.Ceil(s.Minutes * g.DivisionKPa / j.Finer)
	if minutes > Minutes.High {
		return 0
	}
	return minutes
}
