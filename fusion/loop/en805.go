package loop

import (
	"fmt"
	"math"
)

// The phases of EN 805, A.27, in minutes (Walloon CCT RW 99 P.4.3.2, as printed).
const (
	RelaxMin = 60 // without pressure
	RaiseMin = 10 // less than that to raise it to the system test pressure
	HoldMin  = 30 // held there by pumping
	RestMin  = 60 // left alone
	MainMin  = 30 // after the drop
	DoubtMin = 90 // of the main phase, in doubt
)

// Limits of EN 805, A.27: falls as parts of the system test pressure and in kPa (Walloon
// CCT RW 99 P.4.3.2, as printed).
const (
	restFallPart = 0.30
	dropLeast    = 0.10
	dropMost     = 0.15
	mainFallKPa  = 25
)

// The formula's figures: what is allowed for air, and the modulus of water in kPa (EN 805,
// A.27, from memory).
const (
	airFactor = 1.2
	waterKPa  = 2.1e6
)

// STP is the system test pressure in kPa for a design pressure MDP of 1 to 4,000 kPa where
// surge is not calculated: the smaller of 1.5·MDP and MDP + 500 (EN 805, as printed in
// Berlin WN 175:2009). Errors wrap [ErrRange].
func STP(mdpKPa float64) (float64, error) {
	return min(1.5*mdpKPa, mdpKPa+500), within("design pressure", mdpKPa, PressureKP)
}

// AllowedVolume is ΔVmax in litres, the water that may come out of stretches together when
// the pressure is dropped by 1 to 1,000 kPa: 1.2·V·Δp·(1/Ew + D/(e·ER)), Ew = 2.1·10^6 kPa
// (EN 805, A.27, from memory). ER is the modulus of the pipe's wall in MPa, 100 to 3,000,
// from its maker for the pipe's temperature. A wall that was measured gives the stricter
// figure: 63 mm SDR 11 with 6.5 instead of 5.8 mm 0.253 instead of 0.306 L in 100 m at
// 750 MPa. It covers the stretch of the pipe and enclosed air, and is no leakage
// allowance. Errors wrap [ErrRange].
func AllowedVolume(run []Stretch, dropKPa, erMPa float64) (sum float64, err error) {
	if err := within("drop of pressure", dropKPa, DropKP); err != nil {
		return 0, err
	}
	if err := within("modulus ER", erMPa, ModulusMP); err != nil {
		return 0, err
	}
	for _, s := range run {
		litres, err := s.Litres()
		if err != nil {
			return 0, err
		}
		wall, _ := s.WallMM()
		bore, _ := s.BoreMM()
		sum += airFactor * litres * dropKPa * (1/waterKPa + bore/wall/(erMPa*1000))
	}
	return sum, nil
}

// Rest judges the preliminary phase: 60 min after the pumping the pressure has fallen by
// at most 30 % of the system test pressure (Walloon CCT RW 99 P.4.3.2, as printed); more
// ends the test. Errors wrap [ErrRange].
func Rest(readings []Reading, stpKPa float64, g Gauge) (Judgement, error) {
	if err := within("system test pressure", stpKPa, PressureKP); err != nil {
		return Judgement{}, err
	}
	return fallWithin(readings, g, RestMin, tidy(restFallPart*stpKPa))
}

// Drop judges how far the pressure was let down: by 10 to 15 % of the system test pressure
// (Walloon CCT RW 99 P.4.3.2, as printed). Errors wrap [ErrRange].
func Drop(fromKPa, toKPa, stpKPa float64, g Gauge) (Judgement, error) {
	if err := within("system test pressure", stpKPa, PressureKP); err != nil {
		return Judgement{}, err
	}
	if err := checkReadings([]Reading{{0, fromKPa}, {1, toKPa}}, g); err != nil {
		return Judgement{}, err
	}
	j := Judgement{What: "drop", Unit: "kPa", Seen: tidy(fromKPa - toKPa), Limit: Interval{tidy(dropLeast * stpKPa), tidy(dropMost * stpKPa)}}
	j.Lies = around(j.Seen, g.DivisionKPa)
	j.Outcome = j.Lies.In(j.Limit)
	if j.Outcome == CannotDecide {
		j.Finer = tidy(min(math.Abs(j.Seen-j.Limit.Low), math.Abs(j.Seen-j.Limit.High)))
		j.Doubt = "an end of the allowed drop lies within what the gauge cannot show"
	}
	return j, nil
}

// LetOut judges the water that came out at the drop, 0 to 1,000 L measured by a cup with
// such a division, both in L, against ΔVmax. Errors wrap [ErrRange].
func LetOut(litres, divisionL, allowedL float64) (Judgement, error) {
	if err := within("water let out", litres, VolumeL); err != nil {
		return Judgement{}, err
	}
	if err := within("division of the measure", divisionL, CupL); err != nil {
		return Judgement{}, err
	}
	if err := within("allowed volume", allowedL, VolumeL); err != nil {
		return Judgement{}, err
	}
	j := Judgement{What: "water let out", Unit: "L", Seen: litres, Lies: around(litres, divisionL/2), Limit: upTo(tidy(allowedL))}
	j.Outcome = j.Lies.atMost(j.Limit.High)
	if j.Outcome == CannotDecide {
		j.Finer = tidy(2 * math.Abs(j.Limit.High-litres))
		j.Doubt = "the allowed volume lies within what the measure cannot show"
	}
	return j, nil
}

// MainPhase judges the main phase: over 30 min the pressure must rise; where it does not
// surely, it goes on to 90 min, and the fall from the highest reading is then at most
// 25 kPa (Walloon CCT RW 99 P.4.3.2, as printed). A fall that is surely greater decides at
// any time. Errors wrap [ErrRange].
func MainPhase(readings []Reading, g Gauge) (Judgement, error) {
	if err := checkReadings(readings, g); err != nil {
		return Judgement{}, err
	}
	first, last := readings[0], readings[len(readings)-1]
	fall, rise, lasted := fallFromHighest(readings), tidy(last.KPa-first.KPa), last.Minute-first.Minute
	j := Judgement{What: "fall from the highest reading", Unit: "kPa", Seen: fall, Lies: around(fall, g.DivisionKPa), Limit: upTo(mainFallKPa)}
	j.Outcome = j.Lies.atMost(mainFallKPa)
	switch {
	case j.Outcome == NotWithin:
	case lasted < MainMin:
		j.Outcome, j.Minutes = CannotDecide, MainMin
		j.Doubt = fmt.Sprintf("the last reading is after %s of %d min", rounded(lasted), MainMin)
	case lasted < DoubtMin && rise > g.DivisionKPa && fall <= g.DivisionKPa:
		j.Outcome = Within
	case lasted < DoubtMin:
		j.Outcome, j.Minutes = CannotDecide, DoubtMin
		j.Doubt = "it has not surely risen all along"
		if fall <= 0 && rise > 0 {
			j.Finer = rise
		}
	case j.Outcome == CannotDecide:
		j.Finer = tidy(math.Abs(mainFallKPa - fall))
		j.Doubt = "the allowed fall lies within what the gauge cannot show"
	}
	return j, nil
}

// fallFromHighest is the greatest fall from any reading to a later one, in kPa.
func fallFromHighest(readings []Reading) (fall float64) {
	highest := readings[0].KPa
	for _, r := range readings {
		highest = max(highest, r.KPa)
		fall = max(fall, tidy(highest-r.KPa))
	}
	return fall
}
