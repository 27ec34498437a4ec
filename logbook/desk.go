package logbook

import (
	"cmp"
	"fmt"
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

func signature(e *Entry) Signature { return Signature{e.By, e.At, e.Seq} }

// A Trace is one entry as it is shown: one line, in the words of today.
type Trace struct {
	Seq  uint64
	At   string // local time, RFC 3339
	By   string
	Kind Kind
	Line string
}

// TraceOf is an entry as one line.
func TraceOf(e *Entry) Trace {
	return Trace{Seq: e.Seq, At: e.At.Local().Format(time.RFC3339), By: e.By, Kind: e.Kind, Line: e.Open().Line()}
}

// A Request is what a named person asked of the crew.
type Request struct {
	Signature
	Why string
}

// A Noted is a note with its person.
type Noted struct {
	Signature
	Text   string
	Remark bool // from the sheet
}

// A Move is a weld that was logged at one joint and made at another. Both
// joints keep it.
type Move struct {
	Signature
	Weld string
	From string
	To   string
	Why  string
}

// A Cover is a part of the site under the ground.
type Cover struct {
	Covered
	Signature
	Withdrawn *Withdrawal `json:"withdrawn,omitempty"`
}

// A Withdrawal says who took something back, and why.
type Withdrawal struct {
	Signature
	Why string `json:"why"`
}

// WithdrawnLine says that it was taken back and why, where it was.
func (c Cover) WithdrawnLine() string {
	if c.Withdrawn == nil {
		return ""
	}
	return CoverWithdrawn{Section: c.Section, Why: c.Withdrawn.Why}.Line()
}

// When is the day on which it was covered, as stated, else when that was said.
func (c Cover) When(layout string) string { return cmp.Or(c.On, c.At.Local().Format(layout)) }

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

// Of says what the file is of: a weld in its joint, a joint, what it shows, or the site.
func (e Enclosure) Of() string {
	switch {
	case e.Weld != "":
		return Joined(" in ", e.Weld, e.Joint)
	case e.Joint != "":
		return "joint " + e.Joint
	}
	return cmp.Or(e.Shows(), "the site")
}

// Same tells whether another names the same content for the same thing, whatever its name.
func (e Enclosure) Same(o Enclosure) bool {
	return e.Hash == o.Hash && e.Weld == o.Weld && (e.Weld != "" || e.Joint == o.Joint) && e.Part == o.Part && e.Test == o.Test &&
		(e.Section == nil) == (o.Section == nil) && (e.Section == nil || *e.Section == *o.Section)
}

// An Event is what happened later, with who said so.
type Event struct {
	Happened
	Signature
	Joint string `json:"joint,omitempty"`
}

// A Told is an event with the word for what happened, as it is handed out.
type Told struct {
	What string `json:"what"`
	Event
}

// Told is the event in words.
func (e Event) Told() Told { return Told{e.What.String(), e} }

// Touches tells whether an event happened to a joint: to itself, to its circuit
// or chamber, or to the whole site. Upper and lower case do not count in the
// name of a chamber.
func (e Event) Touches(j Joint) bool {
	if e.Joint != "" {
		return e.Joint == j.Label
	}
	return (e.Circuit == 0 || e.Circuit == j.Circuit) && (e.Chamber == "" || strings.EqualFold(e.Chamber, j.Chamber))
}

// Place says what was lost or repaired, when and where: "pressure lost on
// 2027-01-14, circuit 3".
func (e Event) Place() string {
	line := e.What.String() + " on " + e.On
	switch {
	case e.Joint != "":
		return line + ", joint " + e.Joint
	case e.Circuit == 0 && e.Chamber == "":
		return line + ", the whole site"
	case e.Circuit > 0:
		line += fmt.Sprintf(", circuit %d", e.Circuit)
	}
	if e.Chamber != "" {
		line += ", chamber " + e.Chamber
	}
	return line
}

// About says what an event happened to: "joint 3A", "circuit 3 of chamber A",
// "chamber A", "the whole site".
func (e Event) About() string {
	switch {
	case e.Joint != "":
		return "joint " + e.Joint
	case e.Circuit > 0 && e.Chamber != "":
		return fmt.Sprintf("circuit %d of chamber %s", e.Circuit, e.Chamber)
	case e.Circuit > 0:
		return fmt.Sprintf("circuit %d", e.Circuit)
	case e.Chamber != "":
		return "chamber " + e.Chamber
	}
	return "the whole site"
}

// CoverOf is the last entry that a part was covered, of those that were not taken
// back.
func (s Site) CoverOf(part string) (Cover, bool) {
	for i := len(s.Covers) - 1; i >= 0; i-- {
		if s.Covers[i].Section == part && s.Covers[i].Withdrawn == nil {
			return s.Covers[i], true
		}
	}
	return Cover{}, false
}

// SignatureOf is the last signature under a day.
func (s Site) SignatureOf(day string) (SignedDay, bool) {
	for i := len(s.Signed) - 1; i >= 0; i-- {
		if s.Signed[i].Day == day {
			return s.Signed[i], true
		}
	}
	return SignedDay{}, false
}
