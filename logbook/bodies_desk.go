package logbook

import (
	"cmp"
	"encoding/json"
	"fmt"
	"strings"
	"time"
)

// Correction puts one recorded value of a weld right. The old value stays in
// it, and every view says that the value was corrected.
type Correction struct {
	Field string `json:"field"` // the key of its Value
	Old   string `json:"old"`   // as stored until now: a code, a figure, a text; "" where nothing was
	New   string `json:"new"`
	Why   string `json:"why"`
	// What follows from the table for the new value, where the field decides
	// which row and band count.
	Settings *SettingsKeyed  `json:"settings,omitempty"`
	Ohms     *ResistanceRead `json:"ohms,omitempty"`
}

// Kind is "correction".
func (Correction) Kind() Kind { return "correction" }

// Line names the value before and after.
func (b Correction) Line() string {
	return fmt.Sprintf("corrected %s: %s, was %s (%s)", b.Name(), orDash(b.Now()), orDash(b.Before()), b.Why)
}

// Name is what the corrected value is called.
func (b Correction) Name() string { return NameOf(b.Field) }

// Before is the value before, in words; "" where nothing was recorded.
func (b Correction) Before() string { return Words(b.Field, b.Old) }

// Now is the value after, in words.
func (b Correction) Now() string { return Words(b.Field, b.New) }

// CutOrdered is the order of a named person to cut a weld out, or that such an
// order is withdrawn. That it was cut out is another entry.
type CutOrdered struct {
	Why       string `json:"why"`
	Withdrawn bool   `json:"withdrawn,omitempty"`
	// Of are by whom the orders were that are taken back, as written there; none: all that
	// stood.
	Of []string `json:"of,omitempty"`
}

// Kind is "cut-out ordered".
func (CutOrdered) Kind() Kind { return "cut-out ordered" }

// Line says why.
func (b CutOrdered) Line() string {
	if b.Withdrawn {
		return "cut-out no longer ordered: " + b.Why
	}
	return "cut-out ordered: " + b.Why
}

// RecheckAsked asks the crew to look at a weld once more.
type RecheckAsked struct {
	Why string `json:"why"`
}

// Kind is "re-check asked".
func (RecheckAsked) Kind() Kind { return "re-check asked" }

// Line says why.
func (b RecheckAsked) Line() string { return "re-check asked: " + b.Why }

// LogRestored says that the log was made anew, from what, and how far the
// entries before this one are those of the log as it was.
type LogRestored struct {
	From string `json:"from"` // a code: FromJournal, FromTwin or FromFile
	Last uint64 `json:"last"` // the newest entry that was there
	Root string `json:"root"` // of the tree over the entries up to it, base64
}

// The codes of what a log is made anew from: the longest of those that were there.
const (
	FromJournal = "journal"
	FromTwin    = "twin"
	FromFile    = "file" // the damaged one itself, which goes on behind the others
)

// Kind is "log restored".
func (LogRestored) Kind() Kind { return "log restored" }

// Line says how far.
func (b LogRestored) Line() string {
	return fmt.Sprintf("log made anew from its %s, up to entry %d, root %.12s…", b.From, b.Last, b.Root)
}

// TwinSetAside says that a person went on with the log though its twin on another
// disk was no copy of it: the twin's file was kept under another name, or where it was
// and is followed no more.
type TwinSetAside struct {
	From uint64 `json:"from,omitempty"` // the first entry that the twin had alone or otherwise, if that is known
	Last uint64 `json:"last,omitempty"` // its newest
	Why  string `json:"why"`
}

// Kind is "twin set aside".
func (TwinSetAside) Kind() Kind { return "twin set aside" }

// Line names what the twin had, and why.
func (b TwinSetAside) Line() string {
	if b.From == 0 {
		return "twin set aside: " + b.Why
	}
	return fmt.Sprintf("twin set aside, whose entries %d to %d are others or not in this log: %s", b.From, b.Last, b.Why)
}

// Covered says that a part of the site was covered with ground, with what was
// missing at that moment.
type Covered struct {
	Section string   `json:"part"`
	Missing []string `json:"missing,omitempty"` // labels of joints that were not settled
	On      string   `json:"on,omitempty"`      // local date as stated, YYYY-MM-DD; "": when it was said
	// NotLooked are what the plan wants looked at before and was not, or was not as it
	// should be: codes of GroundLines.
	NotLooked []string `json:"not_looked_at,omitempty"`
}

// Kind is "covered".
func (Covered) Kind() Kind { return "covered" }

// Line names the part and what was missing.
func (b Covered) Line() string {
	line := b.Section + " covered"
	if b.On != "" {
		line += " on " + b.On
	}
	if len(b.Missing) > 0 {
		line += " while not settled: " + strings.Join(b.Missing, ", ")
	}
	if len(b.NotLooked) > 0 {
		line += "; not looked at before, or not as it should be: " + strings.Join(GroundLines.Words(b.NotLooked...), ", ")
	}
	return line
}

// CoverWithdrawn takes the newest cover of a part back: it was never covered. Both
// stay in the log.
type CoverWithdrawn struct {
	Section string `json:"part"`
	Why     string `json:"why"`
}

// Kind is "cover withdrawn".
func (CoverWithdrawn) Kind() Kind { return "cover withdrawn" }

// Line names the part and says why.
func (b CoverWithdrawn) Line() string {
	return b.Section + " was not covered, as was said: " + b.Why
}

// A Judged is a finding as a person answered it. What it binds is the digest:
// of the rule, of what the finding is about, and of the facts, which are typed
// values and no sentence. When they change it is another finding. The facts are
// kept beside it so that what was answered can be told.
type Judged struct {
	Key    string          `json:"key"`
	Digest string          `json:"digest,omitempty"`
	Facts  json.RawMessage `json:"facts,omitempty"`
}

// Same tells whether the facts are those that another answer is about.
func (j Judged) Same(o Judged) bool { return j.Key == o.Key && j.Digest == o.Digest }

// DaySigned closes a day by name. What was open is named in it.
type DaySigned struct {
	Day  string   `json:"day"`            // local date, YYYY-MM-DD
	Acks []Judged `json:"acks,omitempty"` // open fails, acknowledged one by one
	Open int      `json:"open"`           // other findings that were open
}

// Kind is "day signed".
func (DaySigned) Kind() Kind { return "day signed" }

// Line names the day and how much was open.
func (b DaySigned) Line() string {
	return fmt.Sprintf("day %s signed; %s acknowledged, %s open", b.Day, Count(len(b.Acks), "open fail"), Count(b.Open, "other finding"))
}

// Count says how many: "1 fail", "2 fails", "3 entries".
func Count(n int, what string) string {
	if n == 1 {
		return "1 " + what
	}
	if one, is := strings.CutSuffix(what, "ry"); is {
		return fmt.Sprintf("%d %sries", n, one)
	}
	return fmt.Sprintf("%d %ss", n, what)
}

// Sealed keeps the signed note that was made over all entries before it.
type Sealed struct {
	Entries int64  `json:"entries"`       // how many stood before this one
	Root    string `json:"root"`          // of their tree, base64
	Note    string `json:"note"`          // the signed note, as it left the log
	Day     string `json:"day,omitempty"` // that was signed with it
}

// Kind is "sealed".
func (Sealed) Kind() Kind { return "sealed" }

// Line says over how much.
func (b Sealed) Line() string {
	entries := "entries"
	if b.Entries == 1 {
		entries = "entry"
	}
	return fmt.Sprintf("sealed over %d %s, root %.12s…", b.Entries, entries, b.Root)
}

// Enclosed names a file that belongs to the warranty file, a certificate or a
// photo, by its hash. The file itself is kept elsewhere. What it shows is a weld or a
// joint, as the entry names it, or one of the three below; none: the site.
type Enclosed struct {
	File    string     `json:"file"` // its name without folder
	Hash    string     `json:"hash"` // SHA-256, hex
	Bytes   int64      `json:"bytes"`
	What    string     `json:"what"`
	Part    string     `json:"part,omitempty"`    // what is covered with ground in one go, as in Covered
	Section *SectionID `json:"section,omitempty"` // a circuit, header or chamber, as it is tested
	Test    string     `json:"test,omitempty"`    // a pressure test, "KM-P1"
	Taken   *Taken     `json:"taken,omitempty"`   // nil: nobody looked for a time in it
}

// Kind is "enclosed".
func (Enclosed) Kind() Kind { return "enclosed" }

// Line names the file, what it is and shows, and when it says that it was taken.
func (b Enclosed) Line() string {
	line := fmt.Sprintf("enclosed %s: %s (%.12s, %d bytes)", b.File, b.What, b.Hash, b.Bytes)
	if shows := b.Shows(); shows != "" {
		line += "; shows " + shows
	}
	if b.Taken != nil {
		line += "; " + b.Taken.String()
	}
	return line
}

// Shows is the part, section or test that the file shows; "" where it names none.
func (b Enclosed) Shows() string {
	switch {
	case b.Part != "":
		return b.Part
	case b.Section != nil && *b.Section == SectionID{}:
		return "the whole site"
	case b.Section != nil:
		return b.Section.String()
	case b.Test != "":
		return "pressure test " + b.Test
	}
	return ""
}

// Taken is what the EXIF of a photo says of its time, as it stands there: the clock of
// the camera, which is not ours. No time of the record is computed from it.
type Taken struct {
	Local  string `json:"local,omitempty"`  // "2026:03:09 10:14:02"
	Offset string `json:"offset,omitempty"` // "+01:00"; "": not written
	None   string `json:"none,omitempty"`   // why there is no time, a code of NoTimes
}

// Why a photo has no time.
const (
	TimeAbsent = "absent"
	TimeBroken = "broken"
	TimeUnread = "unread"
)

// NoTimes say why a photo has no time.
var NoTimes = options("why a photo has no time", TimeAbsent, "no time in the file", TimeBroken, "the time in the file cannot be read", TimeUnread, "a time in this kind of file is not read")

// String is the time in the file, in words.
func (t Taken) String() string {
	if t.Local == "" {
		return NoTimes.Word(cmp.Or(t.None, TimeAbsent))
	}
	return "time in the file " + t.Clock()
}

// TakenLayout is how EXIF writes a time.
const TakenLayout = "2006:01:02 15:04:05"

// Time is when a photo was taken as its file says, and whether that says the offset too;
// without one it is read in loc. It is zero where none is known.
func (t Taken) Time(loc *time.Location) (at time.Time, exact bool) {
	if t.Local == "" {
		return time.Time{}, false
	}
	if at, err := time.Parse(TakenLayout+"-07:00", t.Local+t.Offset); err == nil {
		return at, true
	}
	at, _ = time.ParseInLocation(TakenLayout, t.Local, loc)
	return at, false
}

// Clock is the time as it stands in the file, its date with dashes; "" where there is
// none.
func (t Taken) Clock() string {
	date, clock, _ := strings.Cut(t.Local, " ")
	return Joined(" ", strings.ReplaceAll(date, ":", "-"), clock, t.Offset)
}

// Happened is something that happened to a site, a circuit or a joint later.
type Happened struct {
	What    Happening `json:"what"`
	On      string    `json:"on"` // local date as stated, YYYY-MM-DD
	Chamber string    `json:"chamber,omitempty"`
	Circuit int       `json:"circuit,omitempty"` // 0: no single one
	Text    string    `json:"text"`
}

// Kind is "happened".
func (Happened) Kind() Kind { return "happened" }

// Line says what, when and to what.
func (b Happened) Line() string {
	line := b.On + ": " + b.What.String()
	if b.Circuit > 0 {
		line += fmt.Sprintf(", circuit %d", b.Circuit)
	}
	if b.Chamber != "" {
		line += ", chamber " + b.Chamber
	}
	if b.Text != "" {
		line += ": " + b.Text
	}
	return line
}
