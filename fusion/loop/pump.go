package loop

import (
	"fmt"

	"coolhold/fusion"
)

// A Duty is what a pump gives at one point of its curve: a flow in L/min and the head
// in m that it has left at it.
type Duty struct {
	LPM   float64
	HeadM float64
}

// A Pump is its curve as typed from its plate or sheet, the smallest flow first. Between
// two points it is straight; before the first and beyond the last nothing is known.
type Pump []Duty

// Check tells what is wrong with a curve: 2 to 50 points, each flow above the one before,
// no head above the one before. Errors wrap [ErrRange].
func (p Pump) Check() error {
	if len(p) < 2 || len(p) > 50 {
		return fmt.Errorf("a pump curve of %d points is %w: type 2 to 50, each as L/min and m", len(p), ErrRange)
	}
	flows := fusion.Bounds{Low: 0, High: FlowLPM.High, Unit: FlowLPM.Unit} // with every valve shut too
	for i, d := range p {
		what := fmt.Sprintf("point %d of the pump curve: ", i+1)
		if err := within(what+"flow", d.LPM, flows); err != nil {
			return err
		}
		if err := within(what+"head", d.HeadM, HeadM); err != nil {
			return err
		}
		if i > 0 && (d.LPM <= p[i-1].LPM || d.HeadM > p[i-1].HeadM) {
			return fmt.Errorf("%sis %w: a flow is above the one before it, its head not above", what, ErrRange)
		}
	}
	return nil
}

// Head is the head in m at a flow on the curve. Errors wrap [ErrRange].
func (p Pump) Head(lpm float64) (float64, error) {
	if err := p.Check(); err != nil {
		return 0, err
	}
	if err := within("flow on the pump curve", lpm, p.known()); err != nil {
		return 0, err
	}
	return p.at(lpm), nil
}

func (p Pump) known() fusion.Bounds {
	return fusion.Bounds{Low: p[0].LPM, High: p[len(p)-1].LPM, Unit: "L/min"}
}

func (p Pump) at(lpm float64) float64 {
	i := 1
	for i < len(p)-1 && p[i].LPM < lpm {
		i++
	}
	a, b := p[i-1], p[i]
	return a.HeadM + (b.HeadM-a.HeadM)*(lpm-a.LPM)/(b.LPM-a.LPM)
}

// A Given is what a pump gives through a run.
type Given struct {
	LPM    float64
	HeadM  float64 // that the run takes there
	AtEnd  bool    // the curve ends before it meets the run: at least this much
	WantLM float64 // what was wanted, L/min
}

// Short is by how many L/min the pump falls short of what was wanted; 0 where it does
// not.
func (g Given) Short() float64 { return max(0, g.WantLM-g.LPM) }

// Against is what the pump gives through stretches one after another with water of 0 to
// 30 °C, where its curve meets their head loss, held against a flow that is wanted. Pipe
// alone: valves, hoses and fittings take more, so it gives less. A loop that is filled
// and closed has no height to lift. Errors wrap [ErrRange].
func (p Pump) Against(run []Stretch, celsius, want float64) (Given, error) {
	if err := p.Check(); err != nil {
		return Given{}, err
	}
	if err := within("flow wanted", want, FlowLPM); err != nil {
		return Given{}, err
	}
	low, high := max(p[0].LPM, FlowLPM.Low), p[len(p)-1].LPM
	takes, err := HeadLoss(run, low, celsius)
	if err != nil {
		return Given{}, err
	}
	if takes > p.at(low) {
		return Given{}, fmt.Errorf("the pump curve is %w: at its first point, %s L/min, the run takes %.1f m already; type a point of less flow", ErrRange, fusion.Figure(low), takes)
	}
	if takes, err = HeadLoss(run, high, celsius); err != nil {
		return Given{}, err
	}
	if takes <= p.at(high) {
		return Given{LPM: high, HeadM: takes, AtEnd: true, WantLM: want}, nil
	}
	for range 60 {
		mid := (low + high) / 2
		if takes, err = HeadLoss(run, mid, celsius); err != nil {
			return Given{}, err
		}
		if takes > p.at(mid) {
			high = mid
		} else {
			low = mid
		}
	}
	return Given{LPM: low, HeadM: p.at(low), WantLM: want}, nil
}

// A Candidate is a pipe that a header may be, and what water does in it.
type Candidate struct {
	Pipe Pipe
	Loss Loss
}

// Headers are the pipes of one class among some sizes, with what water of 0 to 30 °C
// does in so many metres of each, out and back together. It proposes none: designers
// decide. Sizes of which no wall is known are left out. Errors wrap [ErrRange].
func Headers(sizes []int, sdr fusion.SDR, lengthM, lpm, celsius float64) (list []Candidate, err error) {
	for _, od := range sizes {
		pipe := Pipe{OdMM: od, SDR: sdr}
		if _, known := fusion.WallMM(od, sdr); !known {
			continue
		}
		l, err := Flow(Stretch{pipe, lengthM}, lpm, celsius)
		if err != nil {
			return nil, err
		}
		list = append(list, Candidate{pipe, l})
	}
	if len(list) == 0 {
		return nil, fmt.Errorf("SDR %s is %w: of none of the sizes a wall is known", sdr, ErrRange)
	}
	return list, nil
}
