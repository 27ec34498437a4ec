package plan

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"coolhold/fusion"
)

// An End is one of the ends that meet at a joint: of a pipe, or the stub of a
// chamber.
type End struct {
	OdMM int        `json:"od_mm,omitempty"` // 0 where not stated
	SDR  fusion.SDR `json:"sdr,omitempty"`
	Pipe string     `json:"pipe,omitempty"` // joints on the same pipe move together
	Stub bool       `json:"stub,omitempty"`
}

// Meet are the ends that meet at the joint as far as they are known: those that
// are listed, else the one pipe.
func (j Joint) Meet() []End {
	if len(j.Ends) > 0 {
		return j.Ends
	}
	return []End{{OdMM: j.OdMM, SDR: j.SDR, Pipe: j.Pipe}}
}

// Pipes are the pipes that the joint is on, each once.
func (j Joint) Pipes() []string {
	var pipes []string
	for _, p := range append([]End{{Pipe: j.Pipe}}, j.Ends...) {
		if p.Pipe != "" && !slices.Contains(pipes, p.Pipe) {
			pipes = append(pipes, p.Pipe)
		}
	}
	return pipes
}

// On tells whether the joint is on a pipe.
func (j Joint) On(pipe string) bool { return slices.Contains(j.Pipes(), pipe) }

// Shares tells whether some pipe is on both joints, so that they move together.
func (j Joint) Shares(o Joint) bool { return slices.ContainsFunc(j.Pipes(), o.On) }

// Fits tells whether a fitting fits every end that is stated; the error is the
// reason why not, in one plain line that names the end.
func (j Joint) Fits(f fusion.Fitting) error { return f.Fits(j.named()...) }

// Stated tells whether the size and class of all its ends are known, as far as
// the plan names them.
func (j Joint) Stated() bool {
	return !slices.ContainsFunc(j.named(), func(e fusion.End) bool { return !e.Stated() })
}

// StubStated tells whether the stub of a chamber that the joint is on, if it is
// on one, is known.
func (j Joint) StubStated() bool {
	onStub := j.Chamber != "" && (j.Port > 0 || j.Way != "")
	return !onStub || slices.ContainsFunc(j.Ends, func(e End) bool { return e.Stub })
}

// PipeLine is what meets at the joint in words: "pipe 32 mm SDR 11", or each end
// of several. It is "" where nothing is stated.
func (j Joint) PipeLine() string {
	var parts []string
	for _, e := range j.named() {
		if len(j.Ends) > 0 || e.OdMM != 0 || e.SDR != 0 {
			parts = append(parts, e.String())
		}
	}
	return strings.Join(parts, ", ")
}

// named are the ends as a person calls them: where two pipes meet, each by its
// name.
func (j Joint) named() []fusion.End {
	var ends []fusion.End
	pipes := slices.DeleteFunc(slices.Clone(j.Meet()), func(e End) bool { return e.Stub })
	for _, e := range j.Meet() {
		name := "pipe"
		switch {
		case e.Stub:
			name = "stub"
		case len(pipes) > 1:
			name = strings.TrimSpace("pipe " + e.Pipe)
		}
		ends = append(ends, fusion.End{Name: name, OdMM: e.OdMM, SDR: e.SDR})
	}
	return ends
}

// onStub is a joint between its pipe and a stub of the chamber, where the stub is
// stated.
func (j Joint) onStub(odMM int, sdr fusion.SDR) Joint {
	if odMM != 0 || sdr != 0 {
		j.Ends = []End{{OdMM: odMM, SDR: sdr, Stub: true}, {OdMM: j.OdMM, SDR: j.SDR, Pipe: j.Pipe}}
	}
	return j
}

// joint expands an extra joint. One that shares a pipe has that pipe's size
// and length; any other is on a pipe of its own, called by its label.
func (e Extra) joint(before map[string]Joint) Joint {
	j := Joint{Label: e.Label, Fitting: e.Fitting, Where: e.Where, AskPlace: true}
	if len(e.Ends) > 0 {
		return j.withEnds(e.Ends, before)
	}
	end := End{OdMM: e.OdMM, SDR: e.SDR, Pipe: e.Pipe}.resolved(e.Label, before)
	j.OdMM, j.SDR, j.Pipe = end.OdMM, end.SDR, end.Pipe
	return j.alike(e.Pipe, before)
}

// withEnds is the joint with the ends of a file, each on a pipe that stands above
// or on one that begins here, called by label and place.
func (j Joint) withEnds(ends []End, before map[string]Joint) Joint {
	for i, e := range ends {
		j.Ends = append(j.Ends, e.resolved(fmt.Sprintf("%s:%d", j.Label, i+1), before))
	}
	if len(ends) > 0 {
		first := j.Ends[0]
		j.OdMM, j.SDR, j.Pipe = first.OdMM, first.SDR, first.Pipe
		j = j.alike(ends[0].Pipe, before)
	}
	return j
}

// alike gives a joint the length and tape of the pipe that it is on.
func (j Joint) alike(ref string, before map[string]Joint) Joint {
	if ref != "" {
		on := before[fold(labelIn(ref))]
		if on.Pipe == j.Pipe { // the length is that of its first pipe
			j.LengthM, j.Tape = on.LengthM, on.Tape
		}
	}
	return j
}

// resolved is an end of a file with the pipe that it names; without one it is on
// a pipe of its own.
func (e End) resolved(own string, before map[string]Joint) End {
	if e.Pipe == "" {
		e.Pipe = own
		return e
	}
	on, _ := pipeNamed(before, e.Pipe)
	e.Pipe = on.Pipe
	if e.OdMM == 0 {
		e.OdMM = on.OdMM
	}
	if e.SDR == 0 {
		e.SDR = on.SDR
	}
	return e
}

// labelIn is the label in the name of a pipe.
func labelIn(ref string) string {
	label, _, _ := strings.Cut(ref, ":")
	return label
}

// pipeNamed finds a pipe by the label of a joint on it, or where several meet
// there by LABEL:PLACE. The string is why not; "" with an End that has no pipe: no
// such joint.
func pipeNamed(joints map[string]Joint, ref string) (End, string) {
	j, ok := joints[fold(labelIn(ref))]
	if !ok {
		return End{}, ""
	}
	_, place, placed := strings.Cut(ref, ":")
	pipes := slices.DeleteFunc(slices.Clone(j.Meet()), func(e End) bool { return e.Stub })
	n, err := strconv.Atoi(place)
	switch {
	case !placed && len(pipes) == 1:
		n = 1
	case !placed:
		return End{}, fmt.Sprintf("%d ends meet at %s: say which, %s:1 to %s:%d", len(pipes), j.Label, j.Label, j.Label, len(pipes))
	case err != nil || n < 1 || n > len(pipes):
		return End{}, fmt.Sprintf("%q is no end of %s: it has %s:1 to %s:%d", ref, j.Label, j.Label, j.Label, len(pipes))
	}
	return pipes[n-1], ""
}
