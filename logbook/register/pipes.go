package register

import (
	"slices"

	"coolhold/logbook/chart"
)

// A PipeOf is a circuit or a header at its chamber, with its pipe and how far its joints
// are. A joint outside belongs to the pipe that it is on.
type PipeOf struct {
	Chamber, Header, Probe, Tape string
	Circuit, OdMM                int
	SDR, LengthM                 float64
	Labels                       []string
	Joints, Made, Open           int // those that count; those with a weld; findings open on them
}

// Pipes are the circuits and headers of the site, in the plan's order.
func (rep Report) Pipes() (out []PipeOf) {
	open := map[string]int{}
	for _, f := range rep.Open {
		open[f.Joint]++
	}
	for _, j := range rep.Joints {
		if !j.Counts() {
			continue
		}
		p := pipeOf(j)
		i := slices.IndexFunc(out, func(o PipeOf) bool { return o.Chamber == p.Chamber && o.Header == p.Header && o.Circuit == p.Circuit })
		if i < 0 {
			i, out = len(out), append(out, p)
		}
		out[i].Joints++
		out[i].Labels = append(out[i].Labels, j.Label)
		if j.Stands != "" {
			out[i].Made++
		}
		out[i].Open += open[j.Label]
	}
	return out
}

func pipeOf(j chart.Place) PipeOf {
	return PipeOf{
		Chamber: j.Chamber, Header: j.HeaderWay(), Probe: j.Probe, Tape: j.Tape, Circuit: j.Circuit,
		OdMM: j.OdMM, SDR: float64(j.SDR), LengthM: j.LengthM,
	}
}
