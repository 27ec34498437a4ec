package logbook

import (
	"slices"
	"strings"
	"time"

	"coolhold/fusion"
)

// A Signature says who stands behind an entry, when, and where it stands in
// the order of the log.
type Signature struct {
	By  string       `json:"by"`
	At  fusion.Stamp `json:"at"`
	Seq uint64       `json:"seq"`
}

func signature(e Entry) Signature { return Signature{e.By, e.At, e.Seq} }

// A Trace is one entry as it is shown: one line, in the words of today.
type Trace struct {
	Seq  uint64
	At   string // local time, RFC 3339
	By   string
	Kind Kind
	Line string
}

// TraceOf is an entry as one line.
func TraceOf(e Entry) Trace {
	return Trace{Seq: e.Seq, At: e.At.Local().Format(time.RFC3339), By: e.By, Kind: e.Kind, Line: e.Open().Line()}
}

// A Corrected is a correction as a record keeps it, with what the table said
// before.
type Corrected struct {
	Correction
	Signature
	Was Snapshot `json:"was"`
}

// A Snapshot is what a correction of one field can change beside it.
type Snapshot struct {
	Settings  *SettingsKeyed  `json:"settings,omitempty"`
	Ohms      *ResistanceRead `json:"ohms,omitempty"`
	Disturbed *Disturbed      `json:"disturbed,omitempty"`
}

// An Order is what a named person asked of the crew.
type Order struct {
	Signature
	Why string `json:"why"`
}

// A Noted is a note with its person.
type Noted struct {
	Signature
	Text string `json:"text"`
}

// A Move is a weld that was logged at one joint and made at another. Both
// joints keep it.
type Move struct {
	Signature
	Weld string `json:"weld"`
	From string `json:"from"`
	To   string `json:"to"`
	Why  string `json:"why"`
}

// A Cover is a part of the site under the ground.
type Cover struct {
	Covered
	Signature
}

// A SignedDay is a day closed by name.
type SignedDay struct {
	DaySigned
	Signature
}

// An Enclosure is a named file with who named it.
type Enclosure struct {
	Enclosed
	Signature
	Weld  string `json:"weld,omitempty"`
	Joint string `json:"joint,omitempty"`
}

// An Event is what happened later, with who said so.
type Event struct {
	Happened
	Signature
	Joint string `json:"joint,omitempty"`
}

// Touches tells whether an event happened to a joint: to itself, to its circuit
// or chamber, or to the whole site. Upper and lower case do not count in the
// name of a chamber.
func (e Event) Touches(j Joint) bool {
	if e.Joint != "" {
		return e.Joint == j.Label
	}
	return (e.Circuit == 0 || e.Circuit == j.Circuit) && (e.Chamber == "" || strings.EqualFold(e.Chamber, j.Chamber))
}

// RecheckDue tells whether another look was asked for and nobody looked since.
func (w Weld) RecheckDue() bool {
	return w.Recheck != nil && !slices.ContainsFunc(w.Looks, func(l Seen) bool { return l.Seq > w.Recheck.Seq })
}

// signedOff folds what the foreman and the office say of the site as a whole.
func (s Site) signedOff(e Entry, body Body) Site {
	switch b := body.(type) {
	case Covered:
		s.Covers = append(slices.Clone(s.Covers), Cover{b, signature(e)})
	case DaySigned:
		s.Signed = append(slices.Clone(s.Signed), SignedDay{b, signature(e)})
	case Enclosed:
		s.Enclosed = append(slices.Clone(s.Enclosed), Enclosure{b, signature(e), e.Weld, e.Joint})
	case Happened:
		s.Events = append(slices.Clone(s.Events), Event{b, signature(e), e.Joint})
	case CodeTaught:
		s.Codes = append(slices.Clone(s.Codes), Taught{b, signature(e)})
	case Reviewed:
		if e.Weld == "" && e.Joint == "" {
			s.Reviews = append(slices.Clone(s.Reviews), Review{b, e.By, e.At, e.Seq})
		}
	}
	return s
}

// judged folds what the foreman says of a weld.
func (w Weld) judged(e Entry, body Body) Weld {
	switch b := body.(type) {
	case Reviewed:
		w.Reviews = append(slices.Clone(w.Reviews), Review{b, e.By, e.At, e.Seq})
	case Note:
		w.Notes = append(slices.Clone(w.Notes), Noted{signature(e), b.Text})
	case CutOrdered:
		if w.CutOrdered = (&Order{signature(e), b.Why}); b.Withdrawn {
			w.CutOrdered, w.CutWithdrawn = nil, w.CutOrdered
		}
	case RecheckAsked:
		w.Recheck = &Order{signature(e), b.Why}
	case Correction:
		w = w.corrected(e, b)
	}
	return w
}

// corrected puts a value right and keeps what it was. An entry that a newer
// version wrote for a field this one does not know is kept all the same.
func (w Weld) corrected(e Entry, b Correction) Weld {
	was := Snapshot{w.Settings, w.Ohms, w.Disturbed}
	w.Corrections = append(slices.Clone(w.Corrections), Corrected{b, signature(e), was})
	if v, ok := ValueOf(b.Field); ok {
		w = v.Set(w, b.New)
	}
	if b.Settings != nil {
		w.Settings = b.Settings
	}
	if b.Ohms != nil {
		w.Ohms = b.Ohms
	}
	return w
}

// AsRecorded are the weld as it stands and as it stood before each correction,
// the newest first: the last one is as the crew recorded it.
func (w Weld) AsRecorded() []Weld {
	all := []Weld{w}
	for i := len(w.Corrections) - 1; i >= 0; i-- {
		c := w.Corrections[i]
		if v, ok := ValueOf(c.Field); ok {
			w = v.Set(w, c.Old)
		}
		w.Settings, w.Ohms, w.Disturbed = c.Was.Settings, c.Was.Ohms, c.Was.Disturbed
		w.Corrections = w.Corrections[:i:i]
		all = append(all, w)
	}
	return all
}

// moved folds the correction of a weld's joint into the joint it was logged at
// and into the one it was made at.
func (j Joint) moved(e Entry, b Correction) Joint {
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
