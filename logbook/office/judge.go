package office

import (
	"bytes"
	"fmt"

	"golang.org/x/mod/sumdb/tlog"
)

// A Standing is how a laptop's log stands to what the office holds of it.
type Standing string

// The standings.
const (
	Level  Standing = "level"  // the office holds all of it
	Ahead  Standing = "ahead"  // the laptop has entries that the office lacks: send them
	Behind Standing = "behind" // the laptop lacks entries that the office holds of it
	Parted Standing = "parted" // laptop and office went on in two ways from one entry
)

// A Branch is one course of a log. There is one, numbered 0, until a laptop that was set
// up anew from an older copy went on by itself: what it wrote is kept as a branch of its
// own, from the entry that is not the same, and never merged.
type Branch struct {
	No     int
	Parent int   // the branch that it leaves; of branch 0 itself
	Parted int64 // its first entry that is not its parent's; of branch 0 it is 1
	After  Edge  // over all of its entries, those of its parents included
}

// Entries is how many it has.
func (b Branch) Entries() int64 { return b.After.N }

// A Mark is the root over the first N entries of a branch.
type Mark struct {
	Branch  int       `json:"branch"`
	Entries int64     `json:"entries"`
	Root    tlog.Hash `json:"root"`
}

// A Shelf is what an office holds of one log.
type Shelf interface {
	// Branches are all courses, by their numbers; none: nothing was taken yet.
	Branches() ([]Branch, error)
	// EdgeAt is the edge over the first n entries of a branch that has as many.
	EdgeAt(branch int, n int64) (Edge, error)
	// Lines are the entries first to last of a branch that has as many.
	Lines(branch int, first, last int64) ([][]byte, error)
	// Marks are roots at some of its ends, for a laptop to find what it shares.
	Marks() ([]Mark, error)
}

// A Judgement is what becomes of a parcel.
type Judgement struct {
	Standing Standing
	Branch   Branch   // that it belongs to, as it is with what is new; ahead: the longest that ends before it
	IsNew    bool     // the branch begins with this parcel
	First    int64    // the entry that the first new line is
	New      [][]byte // the lines to be kept; none: all were there
	From     int64    // where the laptop is ahead: the entry from which to send
	Marks    []Mark   // with From: what the office has, should the laptop not share it
}

// Judge says what is new in a parcel and where it belongs. Only what the office lacks is
// kept, however the parcel was cut and how often it came.
func Judge(p Parcel, held Shelf) (j Judgement, err error) {
	branches, err := held.Branches()
	if err != nil {
		return j, err
	}
	if len(branches) == 0 && p.First() == 1 {
		return Judgement{Standing: Level, Branch: Branch{Parted: 1, After: p.After}, IsNew: true, First: 1, New: p.Lines}, nil
	}
	best, same := -1, int64(-1) // the branch that the parcel shares most with, and how much of it
	for i, b := range branches {
		n, err := shared(p, b, held)
		if err != nil {
			return j, err
		}
		if n > same {
			best, same = i, n
		}
	}
	if same < 0 {
		return notYet(p, branches, held)
	}
	b := branches[best]
	j = Judgement{Branch: b, First: same + 1, New: p.Lines[same-p.Before.N:]}
	switch {
	case len(j.New) == 0 && p.Entries < b.Entries():
		j.Standing = Behind
	case len(j.New) == 0:
		j.Standing = Level
	case same == b.Entries():
		j.Standing, j.Branch.After = Level, p.After
	default:
		j.Standing, j.IsNew = Parted, true
		j.Branch = Branch{No: branches[len(branches)-1].No + 1, Parent: b.No, Parted: j.First, After: p.After}
	}
	if j.Branch.No > 0 {
		j.Standing = Parted
	}
	return j, nil
}

// shared is up to which entry a branch holds just what a parcel and the log before it do;
// -1 where it is another log before that, or not so long.
func shared(p Parcel, b Branch, held Shelf) (int64, error) {
	before := p.Before.N
	if before > b.Entries() {
		return -1, nil
	}
	e := b.After
	if before < b.Entries() {
		var err error
		if e, err = held.EdgeAt(b.No, before); err != nil {
			return -1, err
		}
	}
	if e.Root() != p.Before.Root() {
		return -1, nil
	}
	upto := min(p.Entries, b.Entries())
	if upto == before {
		return before, nil
	}
	lines, err := held.Lines(b.No, p.First(), upto)
	if err != nil {
		return -1, err
	}
	if len(lines) != int(upto-before) {
		return -1, fmt.Errorf("%w: %d of the entries %d to %d", ErrUnproven, len(lines), p.First(), upto)
	}
	same := 0
	for same < len(lines) && bytes.Equal(lines[same], p.Lines[same]) {
		same++
	}
	return before + int64(same), nil
}

// notYet asks for what comes before a parcel: there is a gap, or it parted earlier.
func notYet(p Parcel, branches []Branch, held Shelf) (j Judgement, err error) {
	j = Judgement{Standing: Ahead, From: 1}
	if len(branches) == 0 {
		return j, nil
	}
	if j.Marks, err = held.Marks(); err != nil {
		return j, err
	}
	for _, b := range branches {
		if b.Entries() < p.Before.N {
			if j.From <= b.Entries() {
				j.From, j.Branch = b.Entries()+1, b
			}
		}
	}
	return j, nil
}

// From is the entry from which a laptop that shares some of the marks has to send: after
// the last that it shares.
func From(marks []Mark, shares func(Mark) bool) int64 {
	from := int64(1)
	for _, m := range marks {
		if m.Entries+1 > from && shares(m) {
			from = m.Entries + 1
		}
	}
	return from
}

// Thin leaves of the ends of a branch's parcels, in their order, those that are one, two,
// four … from the last: a laptop sends at most twice what parted.
func Thin(ends []Mark) (few []Mark) {
	for back := 1; back <= len(ends); back *= 2 {
		few = append(few, ends[len(ends)-back])
	}
	return few
}
