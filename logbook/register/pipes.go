package register

import (
	"cmp"
	"slices"
	"strings"

	"coolhold/logbook"
	"coolhold/logbook/audit"
	"coolhold/logbook/chart"
)

// A PipeOf is a circuit or a header at its chamber, with its pipe and how far its joints
// are. A joint outside the chambers is with the pipe that it is on; those of which that is not
// one pipe of a chamber are together outside. Each joint is in one of them.
type PipeOf struct {
	Chamber, Header, Probe, Tape string
	Circuit, OdMM                int
	SDR, LengthM                 float64
	Labels                       []string
	Joints, Made, Open           int       // those that count; those with a weld; findings open on them
	Bare, Unsettled              []string  // of its labels and of those that it shares: without a weld; with one that is neither clear nor accepted
	Sizes                        []int     // outside diameters of its joints
	Unsized                      []string  // of its labels: those of which no size is stated
	Standing                     *Standing // as a whole; nil for what lies outside
	Leak                         string    // LeakOpen or LeakUnseen; "": none that is known
}

// Pipes are the circuits and headers of the site, in the plan's order.
func (rep Report) Pipes() (out []PipeOf) {
	open := map[string]int{}
	for _, f := range rep.Open {
		open[f.Joint]++
	}
	standings := rep.Standings()
	for _, j := range rep.Joints {
		if !j.Counts() {
			continue
		}
		p := pipeOf(j, standings)
		i := slices.IndexFunc(out, func(o PipeOf) bool { return o.Chamber == p.Chamber && o.Header == p.Header && o.Circuit == p.Circuit })
		if i < 0 {
			i, out = len(out), append(out, p)
		}
		out[i].Joints++
		switch {
		case j.OdMM == 0:
			out[i].Unsized = append(out[i].Unsized, j.Label)
		case !slices.Contains(out[i].Sizes, j.OdMM):
			out[i].Sizes = append(out[i].Sizes, j.OdMM)
		}
		out[i].Labels = append(out[i].Labels, j.Label)
		if j.Stands != "" {
			out[i].Made++
		}
		out[i].Open += open[j.Label]
		if out[i].Standing == nil {
			out[i].lacks(j)
		}
	}
	for i := range out {
		if s := out[i].Standing; s != nil {
			for _, j := range s.Joints {
				if slices.Contains(s.Testing.NotAccepted, j.Label) {
					out[i].lacks(j)
				}
			}
			out[i].Leak = rep.leakAt(s.Joints)
		}
	}
	return out
}

// The words for a loss of pressure that stands in the way of a test.
const (
	LeakOpen   = "pressure was lost there, and nobody repaired it"
	LeakUnseen = "pressure was lost there, and nobody else looked at what was repaired"
)

// leakAt says of joints that pressure was lost there, or somewhere that may be there.
func (rep Report) leakAt(places []chart.Place) string {
	joints := make([]logbook.Joint, len(places))
	for i, p := range places {
		joints[i] = p.Joint
	}
	switch {
	case slices.ContainsFunc(rep.OpenLosses(), func(e logbook.Event) bool { return slices.ContainsFunc(joints, e.Touches) }):
		return LeakOpen
	case len(rep.judged.RepairsUnseen(joints)) > 0:
		return LeakUnseen
	}
	return ""
}

// lacks takes a joint down that keeps a pipe from its pressure test.
func (p *PipeOf) lacks(j chart.Place) {
	switch {
	case j.Stands == "":
		p.Bare = append(p.Bare, j.Label)
	case !j.State.Is(audit.Clear) && !j.State.Is(audit.Accepted) && !j.State.Is(audit.OwnOnly):
		p.Unsettled = append(p.Unsettled, j.Label)
	}
}

// NotYet says why a pipe is not put under pressure yet; "" where every joint is settled.
func (p PipeOf) NotYet() string {
	says := logbook.Joined("; ", p.Leak, thoseThat("without a weld: ", p.Bare), thoseThat("neither clear nor accepted: ", p.Unsettled))
	if says == "" {
		return ""
	}
	return "not yet: " + says
}

func thoseThat(what string, labels []string) string {
	if len(labels) == 0 {
		return ""
	}
	return what + strings.Join(labels, ", ")
}

// pipeOf is the row of a joint: its own, or that of the one pipe of a chamber on which a joint
// outside lies. What lies outside has no pipe of its own: its sizes and lengths are those of
// the other rows.
func pipeOf(j chart.Place, standings []Standing) PipeOf {
	p := PipeOf{
		Chamber: j.Chamber, Header: j.HeaderWay(), Probe: j.Probe, Tape: j.Tape, Circuit: j.Circuit,
		OdMM: j.OdMM, SDR: float64(j.SDR), LengthM: j.LengthM,
	}
	var on []Standing
	for _, s := range standings {
		if id := s.Section.ID; j.Chamber == "" && s.Section.Has(j.Label) || j.Chamber != "" && id.Chamber == p.Chamber && id.Circuit == p.Circuit && logbook.WayMark(p.Header) == id.Way {
			on = append(on, s)
		}
	}
	switch {
	case len(on) == 1 && j.Chamber == "":
		for _, own := range on[0].Joints {
			if own.Chamber != "" {
				return pipeOf(own, standings)
			}
		}
		fallthrough
	case j.Chamber == "":
		return PipeOf{}
	case len(on) > 0:
		p.Standing = &on[0]
	}
	return p
}

// Together tells whether it is no pipe: the joints that lie on no one pipe of a chamber.
func (p PipeOf) Together() bool { return p.Chamber == "" && p.Circuit == 0 && p.Header == "" }

// A PipeSize is what there is of pipes of one outside diameter and SDR.
type PipeSize struct {
	OdMM           int
	SDR, LengthM   float64
	Pipes, Unknown int // how many; of those, of how many the plan has no length
}

// Sizes are those of some pipes, the thinnest first.
func Sizes(pipes []PipeOf) (out []PipeSize) {
	for _, p := range pipes {
		if p.Together() {
			continue
		}
		i := slices.IndexFunc(out, func(s PipeSize) bool { return s.OdMM == p.OdMM && s.SDR == p.SDR })
		if i < 0 {
			i, out = len(out), append(out, PipeSize{OdMM: p.OdMM, SDR: p.SDR})
		}
		if out[i].Pipes++; p.LengthM == 0 {
			out[i].Unknown++
		}
		out[i].LengthM += p.LengthM
	}
	slices.SortFunc(out, func(x, y PipeSize) int { return cmp.Or(cmp.Compare(x.OdMM, y.OdMM), cmp.Compare(x.SDR, y.SDR)) })
	return out
}
