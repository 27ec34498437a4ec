package acts

import (
	"fmt"
	"slices"

	"coolhold/fusion"
	"coolhold/logbook"
	"coolhold/logbook/plan"
)

// AddJoint adds a joint that turned out to be needed. Its fitting must go on the
// pipe that it is on.
func AddJoint(h Head, j plan.Joint, why string) Act {
	return func(r logbook.Reader) ([]logbook.Draft, error) {
		if err := newLabel(r, h.Site, j.Label); err != nil {
			return nil, err
		}
		if err := goesThere(r, h.Site, j); err != nil {
			return nil, err
		}
		return []logbook.Draft{h.joint(j.Label, logbook.JointAdded{Joint: j, Why: why})}, nil
	}
}

// goesThere refuses a joint whose fitting does not fit what meets there, as far as
// some table has it.
func goesThere(r logbook.Reader, site string, j plan.Joint) error {
	s, _ := r.Site(site)
	row, _ := logbook.ShelfOf(s).Row(j.Fitting) // be it read back or not
	if row.Fitting.Name == "" {
		return nil
	}
	if err := j.Fits(row.Fitting); err != nil {
		return logbook.Refuse("joint %s: %v", j.Label, err)
	}
	return nil
}

// A Piece is a make-up piece of pipe at a joint, and what it is fused with.
type Piece struct {
	OdMM     int // 0 where not stated
	SDR      fusion.SDR
	At       int       // the end where it goes in, from 1; 0 is the last
	Fittings [2]string // of the two new joints; "" where not decided
}

// Into are the two joints that a joint becomes: the first has its other ends and
// the piece, the second the piece and the end where it goes in. Of a joint of
// which one pipe alone is known, the first has the piece alone. Both still move
// with whatever moved with the joint: the piece joins them.
func (p Piece) Into(j plan.Joint) [2]plan.Joint {
	ends := slices.Clone(j.Meet())
	at := p.At - 1
	if at < 0 || at >= len(ends) {
		at = len(ends) - 1
	}
	piece := plan.End{OdMM: p.OdMM, SDR: p.SDR, Pipe: j.Label + ":piece"}
	here, there := j, j
	here.Ends = append(slices.Delete(slices.Clone(ends), at, at+1), piece)
	there.Ends = []plan.End{piece, ends[at]}
	out := [2]plan.Joint{here, there}
	for i := range out {
		out[i].Label, out[i].Fitting = fmt.Sprintf("%s.%d", j.Label, i+1), p.Fittings[i]
	}
	return out
}

// SplitJoint replaces an open joint by two: a make-up piece of pipe goes in after
// a cut-out, with a fitting at each of its ends.
func SplitJoint(h Head, label, why string, p Piece) Act {
	return onJoint(h, label, func(r logbook.Reader, j logbook.Joint) ([]logbook.Draft, error) {
		if err := named(h, "a make-up piece"); err != nil {
			return nil, err
		}
		if !j.Open() || j.Walk != "" {
			return nil, logbook.Refuse("joint %s is not open: cut out the weld in it first", label)
		}
		pieces := p.Into(j.Joint)
		drafts := []logbook.Draft{h.joint(label, logbook.JointSplit{Into: []string{pieces[0].Label, pieces[1].Label}, Why: why})}
		for _, piece := range pieces {
			if err := newLabel(r, h.Site, piece.Label); err != nil {
				return nil, err
			}
			if err := goesThere(r, h.Site, piece); err != nil {
				return nil, err
			}
			drafts = append(drafts, h.joint(piece.Label, logbook.JointAdded{Joint: piece, Why: "make-up piece at " + label}))
		}
		return drafts, nil
	})
}
