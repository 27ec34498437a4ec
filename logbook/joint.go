package logbook

import (
	"slices"

	"coolhold/fusion"
	"coolhold/logbook/plan"
)

// A Joint is a place in the plan where a fitting must be fused.
type Joint struct {
	plan.Joint
	Site   string
	Order  int
	Added  string   // why, where it was not in the plan
	Struck string   // why it was struck off
	Split  []string // what replaced it
	Welds  []string // every attempt, oldest first
	Stands string   // the weld that stands in it
	Walk   string   // the weld whose walk is open
	Since  fusion.Stamp
	// Moves are welds logged here and made elsewhere, or the other way round.
	Moves    []Move
	Placings []Placing // as each of several logs has it; nil: there is one
	EndedIn  *Origin   // the one of them in which it was struck off or split
	Reviews  []Review
	Trail    []*Entry // what was said of the joint itself
}

// Counts tells whether the joint must still be made or stand.
func (j Joint) Counts() bool { return j.Struck == "" && len(j.Split) == 0 }

// Open tells whether a fitting must still be fused here.
func (j Joint) Open() bool { return j.Counts() && j.Stands == "" }

// After is the joint after one more entry.
func (j Joint) After(e *Entry) Joint {
	body := e.Open()
	if e.Weld == "" {
		j.Trail = append(slices.Clip(j.Trail), e)
	}
	switch b := body.(type) {
	case JointPlanned:
		j = j.placed(e, b.Joint, j.Added)
	case JointAdded:
		j = j.placed(e, b.Joint, b.Why)
	case JointStruck:
		j.Struck, j.EndedIn = b.Why, e.from
	case JointTakenUp:
		j.Struck, j.EndedIn = "", nil
	case JointSplit:
		j.Split, j.EndedIn = b.Into, e.from
	case WeldBegun:
		j.Welds, j.Walk = append(slices.Clone(j.Welds), e.Weld), e.Weld
	case FusionStarted:
		j.Stands = e.Weld
		j = j.walkOver(e.Weld)
	case AttemptRefused:
		if j.Stands == e.Weld {
			j.Stands, j.Walk = "", e.Weld
		}
	case WalkAbandoned:
		j = j.walkOver(e.Weld)
	case CutOut:
		if j.Stands == e.Weld {
			j.Stands = ""
		}
	case Correction:
		j = j.moved(e, b)
	case Reviewed:
		if e.Weld == "" {
			j.Reviews = append(slices.Clone(j.Reviews), Review{b, e.By, e.At, e.Seq})
		}
	}
	return j
}

// walkOver ends the walk of one weld; that of another goes on.
func (j Joint) walkOver(weld string) Joint {
	if j.Walk == weld {
		j.Walk = ""
	}
	return j
}

// moved folds the correction of a weld's joint into the joint it was logged at
// and into the one it was made at.
func (j Joint) moved(e *Entry, b Correction) Joint {
	if b.Field != FieldJoint {
		return j
	}
	j.Moves = append(slices.Clone(j.Moves), Move{signature(e), e.Weld, b.Old, b.New, b.Why})
	switch j.Label {
	case b.Old:
		j.Welds = slices.DeleteFunc(slices.Clone(j.Welds), func(id string) bool { return id == e.Weld })
		if j.Stands == e.Weld {
			j.Stands = ""
		}
		j = j.walkOver(e.Weld)
	case b.New:
		if !slices.Contains(j.Welds, e.Weld) {
			j.Welds = append(slices.Clone(j.Welds), e.Weld)
		}
	}
	return j
}
