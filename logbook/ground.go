package logbook

import (
	"slices"

	"coolhold/fusion"
)

// A GroundStage is before what a part of the site is looked at.
type GroundStage string

// The stages.
const (
	GroundWelding GroundStage = "welding"
	GroundCovered GroundStage = "cover"
)

// GroundStages are the two, in the order of the work.
var GroundStages = options("before what the ground is looked at", string(GroundWelding), "before welding", string(GroundCovered), "before the cover")

// String is the word.
func (s GroundStage) String() string { return GroundStages.Word(string(s)) }

// What is looked at before a part of the site is welded or covered.
const (
	GroundBed     = "bed"
	GroundCover   = "cover"
	GroundTape    = "tape"
	GroundCapped  = "capped"
	GroundLagged  = "lagged"
	GroundLevel   = "level"
	GroundLid     = "lid"
	GroundOffsets = "offsets"
	GroundRoutes  = "routes"
	GroundPhoto   = "photo"
)

var (
	// GroundLines are all of it, in the order of the work.
	GroundLines = options("what is looked at before the cover", GroundBed, "bed", GroundCover, "cover level", GroundTape, "marker tape", GroundCapped, "ducts capped", GroundLagged, "ducts lagged",
		GroundLevel, "chamber level", GroundLid, "lid height", GroundOffsets, "offsets", GroundRoutes, "loop routes", GroundPhoto, "photo")
	// GroundFacts answer whether a line is as it should be.
	GroundFacts = options("seen before the cover", Yes, "yes", No, "no", NotFitted, "none there", Unseen, couldNotLook, NotKnown, UnknownWord)
)

// A GroundLine is a line that is answered by whether it is as it should be.
type GroundLine struct {
	Code    string
	Ask     string         // as it should be
	Figure  string         // what is measured; "": nothing
	In      *fusion.Bounds // of the figure: they catch a slipped digit, our choice
	None    bool           // there may be none of it
	Chamber bool           // only a chamber has it
	Hidden  bool           // nobody sees it once ground lies on it
}

var (
	coverBounds  = fusion.Bounds{Low: 0, High: 20, Unit: "m"}
	heightBounds = fusion.Bounds{Low: -500, High: 9000, Unit: "m"}
)

// GroundAsked are those lines. What they should be the plan and the site's drawings say.
var GroundAsked = []GroundLine{
	{Code: GroundBed, Ask: "bed as it should be", Hidden: true},
	{Code: GroundCover, Ask: "cover over the pipe as it should be", Figure: "cover over the pipe", In: &coverBounds, Hidden: true},
	{Code: GroundTape, Ask: "marker tape laid", Hidden: true},
	{Code: GroundCapped, Ask: "ducts capped", None: true, Hidden: true},
	{Code: GroundLagged, Ask: "ducts lagged", None: true, Hidden: true},
	{Code: GroundLevel, Ask: "chamber at its level as set out", Figure: "level of the chamber", In: &heightBounds, Chamber: true},
	{Code: GroundLid, Ask: "lid at its height as set out", Figure: "height of the lid", In: &heightBounds, Chamber: true},
}

// GroundLineOf is a line by its code; false for what is not answered so.
func GroundLineOf(code string) (GroundLine, bool) {
	at := slices.IndexFunc(GroundAsked, func(l GroundLine) bool { return l.Code == code })
	if at < 0 {
		return GroundLine{}, false
	}
	return GroundAsked[at], true
}

// OnlyChamber tells whether a line is one that only a chamber has.
func OnlyChamber(code string) bool {
	l, _ := GroundLineOf(code)
	return l.Chamber
}

// Answers are the codes that a line can be answered by.
func (l GroundLine) Answers() []string {
	if l.None {
		return GroundFacts.Codes()
	}
	return slices.DeleteFunc(GroundFacts.Codes(), func(code string) bool { return code == NotFitted })
}

// OffsetBounds are those of an offset, our choice.
var OffsetBounds = fusion.Bounds{Low: 0, High: 2000, Unit: "m"}

// OffsetsWanted is from how many fixed points a part is measured: two lay a place down
// (geometry).
const OffsetsWanted = 2

// Says tells whether somebody saw it, be it as it should be or not.
func (s GroundSeen) Says() bool { return s.State == Yes || s.State == No || s.State == NotFitted }

// A GroundCheck is a look at a part of the site with who looked.
type GroundCheck struct {
	GroundChecked
	Signature
	Withdrawn *Withdrawal
}

// When is when it was seen.
func (g GroundCheck) When() Timed { return Timed{g.At, g.Stated, g.Seq} }

// Of is what it says of a line.
func (g GroundCheck) Of(line string) (GroundSeen, bool) {
	at := slices.IndexFunc(g.Seen, func(s GroundSeen) bool { return s.Line == line })
	if at < 0 {
		return GroundSeen{}, false
	}
	return g.Seen[at], true
}

// GroundOf is the newest look at a part that counts, as it stands in the log.
func (s Site) GroundOf(part string) (GroundCheck, bool) {
	return newest(s.Ground, func(g GroundCheck) (string, *Withdrawal) { return g.Section, g.Withdrawn }, part)
}
