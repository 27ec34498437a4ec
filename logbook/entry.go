// Package logbook holds what a fusion crew said and did and what follows from
// it: entries, the records folded from them, and the steps a weld needs. It
// reads no file and knows no screen; times are handed in.
//
// An Entry is a fact with a time and is never changed. The records (Site,
// Joint, Weld, Shift) are the state: each has a method After that takes one
// more entry, and that fold is the only way a record comes about. A record
// holds no verdict: verdicts come from the rules in logbook/audit.
package logbook

import (
	"encoding/json"
	"fmt"
	"maps"
	"slices"
	"strings"

	"coolhold/fusion"
)

// A Kind names what an entry is about, in the words of the trade.
type Kind string

// An Entry is one thing somebody said or did. Seq orders the log; the wall
// time never does.
type Entry struct {
	Seq   uint64          `json:"seq"`
	N     uint64          `json:"n,omitempty"` // its number within its site, from 1; 0: of no site that was opened
	ID    string          `json:"id"`          // given when the key arrived, before it was saved
	At    fusion.Stamp    `json:"at"`
	By    string          `json:"by,omitempty"`
	Site  string          `json:"site,omitempty"`
	Shift string          `json:"shift,omitempty"`
	Weld  string          `json:"weld,omitempty"`
	Joint string          `json:"joint,omitempty"`
	Kind  Kind            `json:"kind"`
	V     int             `json:"v"` // version of the body
	Body  json.RawMessage `json:"body"`

	body Body    // Body as it was read, once; nil: not yet
	from *Origin // which of several logs it came from; nil: there is one
}

// ReadEntry reads the line of an entry with its body, which is decoded here and
// nowhere else.
func ReadEntry(line []byte) (e Entry, err error) {
	if e, ok := readPlain(line); ok {
		return e, nil
	}
	return readAny(line)
}

// readAny reads a line however its fields stand. It is apart because what it hands
// to encoding/json is put on the heap, which most lines need not be.
func readAny(line []byte) (e Entry, err error) {
	if err := json.Unmarshal(line, &e); err != nil {
		return Entry{}, err
	}
	return e.Opened(), nil
}

// A Body is the part of an entry that its kind gives meaning to. Line is the
// entry as one line for a person. Bodies only ever gain optional fields.
type Body interface {
	Kind() Kind
	Line() string
}

// A Draft is an entry before it has its place in the log.
type Draft struct {
	ID                           string
	At                           fusion.Stamp
	By, Site, Shift, Weld, Joint string
	Body                         Body
}

// Entry gives the draft its place: the sequence number and, as one save may
// hold several drafts, an id that ends in its position among them.
func (d Draft) Entry(seq uint64, pos int) (Entry, error) {
	body, err := json.Marshal(d.Body)
	if err != nil {
		return Entry{}, fmt.Errorf("entry %q cannot be written down: %w", d.Body.Kind(), err)
	}
	return Entry{
		Seq: seq, ID: fmt.Sprintf("%s.%d", d.ID, pos), At: d.At.Cut(), By: d.By,
		Site: d.Site, Shift: d.Shift, Weld: d.Weld, Joint: d.Joint,
		Kind: d.Body.Kind(), V: 1, Body: body,
	}, nil
}

// act is what the ids of all entries of one save begin with.
func (e *Entry) act() string {
	if dot := strings.LastIndexByte(e.ID, '.'); dot >= 0 {
		return e.ID[:dot]
	}
	return e.ID
}

// Unknown stands for a body that this version cannot read: written by a newer
// one. It is shown and kept, never written.
type Unknown struct {
	Of  Kind
	Raw json.RawMessage
}

// Kind is the kind that was read.
func (u Unknown) Kind() Kind { return u.Of }

// Line says that the entry is there and not understood.
func (u Unknown) Line() string { return string(u.Of) + " (written by a newer coolhold)" }

// Opened is the entry with its body read.
func (e Entry) Opened() Entry {
	if e.body == nil {
		e.body = e.read()
	}
	return e
}

// Open is the body of an entry. One that is not known comes back as Unknown.
func (e Entry) Open() Body { return e.Opened().body }

// Garbled tells whether the body is of a kind and version that is known, and
// cannot be read all the same.
func (e Entry) Garbled() bool {
	_, unknown := e.Open().(Unknown)
	return unknown && bodies[e.Kind] != nil && e.V <= 1
}

func (e Entry) read() Body {
	read, known := bodies[e.Kind]
	if !known || e.V > 1 {
		return Unknown{e.Kind, e.Body}
	}
	body, err := read(e.Body)
	if err != nil {
		return Unknown{e.Kind, e.Body}
	}
	return body
}

// Joints are the joints that the entry is about: its own, and where it says
// that a weld was made elsewhere that one too.
func (e Entry) Joints() []string {
	if e.Joint == "" {
		return nil
	}
	if e.Kind == (Correction{}).Kind() {
		if c, ok := e.Open().(Correction); ok && c.Field == FieldJoint {
			return []string{c.Old, c.New}
		}
	}
	return []string{e.Joint}
}

// bodies maps each kind to its reader.
var bodies = map[Kind]func(json.RawMessage) (Body, error){}

// Every body stands here once; one that is missing would be written and not read
// back, which TestEveryBodyIsReadBack guards.
func init() {
	known[TableTaken]()
	known[TableReadBack]()
	known[PlanTaken]()
	known[KitTaken]()
	known[SiteOpened]()
	known[JointPlanned]()
	known[JointAdded]()
	known[JointStruck]()
	known[JointTakenUp]()
	known[JointSplit]()
	known[ShiftStarted]()
	known[ShiftClosed]()
	known[WeatherChanged]()
	known[WeldBegun]()
	known[StepAnswered]()
	known[BagRead]()
	known[AmbientRead]()
	known[SettingsKeyed]()
	known[StepStopped]()
	known[ResistanceRead]()
	known[AttemptRefused]()
	known[FusionStarted]()
	known[FusionEnded]()
	known[RunRead]()
	known[IndicatorsRead]()
	known[Released]()
	known[Disturbed]()
	known[CutOut]()
	known[WalkLeft]()
	known[WalkResumed]()
	known[WalkAbandoned]()
	known[EnteredLater]()
	known[Note]()
	known[ClockDoubted]()
	known[GapAccepted]()
	known[HoldSaid]()
	known[Reviewed]()
	known[Correction]()
	known[CutOrdered]()
	known[RecheckAsked]()
	known[Covered]()
	known[CoverWithdrawn]()
	known[DaySigned]()
	known[Sealed]()
	known[LogRestored]()
	known[TwinSetAside]()
	known[Enclosed]()
	known[Happened]()
	known[CodeTaught]()
	known[PersonNamed]()
	known[SameSite]()
	known[PressureBegun]()
	known[PressurePhased]()
	known[PressureRead]()
	known[PressureEnded]()
	known[PressureWithdrawn]()
	known[ClosingNamed]()
	known[PressureLook]()
	known[FlowChecked]()
	known[Purged]()
	known[FluidFilled]()
	known[LoopWithdrawn]()
	known[GroundChecked]()
	known[GroundWithdrawn]()
	known[LeftAs]()
}

func known[B Body]() {
	var zero B
	bodies[zero.Kind()] = func(raw json.RawMessage) (Body, error) {
		var b B
		err := json.Unmarshal(raw, &b)
		return b, err
	}
}

// How says how a stored value came to be known.
type How string

// The ways a value can come.
const (
	Typed    How = "typed"
	Scanned  How = "scanned"
	Computed How = "computed"
	Offered  How = "offered"
	Later    How = "later"
	Carried  How = "carried" // as at the last weld of its kind, taken with a card and not by itself
)

// An Answer is one value given at one step.
type Answer struct {
	Item   string        `json:"item"`
	V      string        `json:"v"` // a code, a figure, or what was typed
	How    How           `json:"how"`
	Reason string        `json:"reason,omitempty"` // of those offered
	Why    string        `json:"why,omitempty"`    // in words
	Was    string        `json:"was,omitempty"`    // what was answered before; set where an answer was changed
	At     *fusion.Stamp `json:"at,omitempty"`     // filled in by the fold
}

// Kinds are all kinds of entry that are known.
func Kinds() []Kind { return slices.Sorted(maps.Keys(bodies)) }
