package register

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
	"sync"
	"time"

	"coolhold/fusion"
	"coolhold/logbook"
	"coolhold/logbook/audit"
	"coolhold/logbook/chart"
	"coolhold/logbook/handover"
)

// A Log is one log that a register was made from.
type Log struct {
	ID      string `json:"id"`
	Tag     string `json:"tag"`            // two letters, in its weld numbers
	Name    string `json:"name,omitempty"` // the tag with the first letters of the id, where another log has that tag
	Entries int    `json:"entries"`        // as of the register's time

	// Seal is the last one that the log held at that time; nil for none.
	Seal *logbook.Sealed `json:"seal,omitempty"`

	// What an office knows of the log that it gave. Course says which way was read of one
	// that went on in two, nil where nothing is known of another; Heard up to when the office
	// had heard of it, nil where that was now; Waiting how many parcels wait to be admitted.
	Course  *Course    `json:"course,omitempty"`
	Heard   *time.Time `json:"heard,omitempty"`
	Waiting int        `json:"waiting,omitempty"`
}

// A Course is one of the ways in which a log went on.
type Course struct {
	Branch int   `json:"branch"`
	Parted int64 `json:"parted"` // the first entry that the other has otherwise
}

// AtOffice says what an office knows of the log that it gave, "" for nothing.
func (l Log) AtOffice() string {
	var parts []string
	if c := l.Course; c != nil {
		parts = append(parts, fmt.Sprintf("branch %d of a log that went on in two ways: from entry %d on another branch has other entries, and a weld number may mean two pipes", c.Branch, c.Parted))
	}
	if l.Heard != nil {
		parts = append(parts, "read at an office that had last heard of it "+l.Heard.Format("2006-01-02 15:04 -07:00")+": what was recorded since is not in this")
	}
	if l.Waiting > 0 {
		parts = append(parts, fmt.Sprintf("more of it (%s) waited at the office to be admitted, and is not in this", logbook.Count(l.Waiting, "parcel")))
	}
	return strings.Join(parts, "; ")
}

// Called is the log as a person is told of it.
func (l Log) Called() string { return cmp.Or(l.Name, l.Tag) }

// Query say what a report is made from and what of it is listed.
type Query struct {
	Logs     []Log
	AsOf     time.Time // local, stands in the document
	Day      string    // YYYY-MM-DD: only welds fused, or else begun, on that local day
	Since    time.Time // only welds fused, or else begun, at or after this; zero: all
	Verdicts []string  // only welds of these verdicts, or NoWeld; none: all
}

// NoWeld is the word for a joint in which nothing stands, beside the verdicts.
const NoWeld = "no weld"

// InTheWalk is the state of a weld whose walk is open: no current was on yet.
const InTheWalk = "in the walk"

// NotOurs is the state of a joint that came fused from a works.
const NotOurs = "not ours"

// Verdicts are the words that a report can be filtered by, the worst first.
var Verdicts = []string{
	string(audit.Failed), string(audit.Queried), string(audit.Unfinished), string(audit.NoHeat),
	string(audit.OwnOnly), string(audit.Accepted), string(audit.Clear), NoWeld,
}

// A Report is all that a register shows, in whatever format. It holds no time
// but those handed in: the same log and the same options give the same report.
type Report struct {
	Query
	Site     logbook.Site
	Joints   []chart.Place // every joint of the site, in the plan's order
	Rows     []Row         // those that the options let through
	All      int           // rows before that
	Counts   []Count       // of all welds, by verdict
	Shifts   []logbook.Shift
	People   []Person
	Named    []Named   // on the list of the site
	Deciders []Decider // who accepted, signed or closed something
	Units    []Device
	Findings []audit.Finding // of the rows, and of joints and site where nothing is left out
	Open     []audit.Finding // everything that is open on the site, whatever is listed
	Spares   []chart.Place   // ports of the chambers without a joint
	Tables   []Table
	Tests    []audit.Tested // pressure tests, oldest first, those that were taken back too
	Tested   []string       // what they come to for the joints that count, in lines
	Loop     []LoopReading  // flow checks, purges and fillings, oldest first
	Ground   []GroundLook   // looks at sections before they were welded or covered
	Parts    []GroundPart   // sections with what their plan wants looked at, and what was
	Unlike   string         // what its logs do not have the same of it, and who accepted that; "": nothing
	Program  string         // what wrote it, and which version; "": not said
	Pictures Pictures       // of the photos among the enclosures; nil: no folder was given to find them in
	Proof    any            // what lets the JSON be checked without the log; nil: none

	handed   func() handover.Handover
	standing func() []Standing
	covering func() []audit.Covering
	removed  func() map[string][]audit.Removal
	judged   audit.Result
	unended  map[string]Unended // by weld
	doers    []Decider          // also who only corrected or reported
}

// A Count is how many welds have a verdict.
type Count struct {
	Verdict   audit.Verdict `json:"verdict"`
	Standing  int           `json:"standing"`           // not cut out: in their joints, still in the walk, or given up
	GivenUp   int           `json:"given_up,omitempty"` // of those: in no joint
	BeingMade int           `json:"-"`                  // of those: in no joint yet
	CutOut    int           `json:"cut_out"`
}

// A Person is one operator with the days of the shifts.
type Person struct {
	logbook.Operator
	Days     []string `json:"days"`                     // YYYY-MM-DD
	OffShift bool     `json:"not_on_a_shift,omitempty"` // only welds name them
	loose    []string // of Days, those on which no shift has them: only in Everybody
	still    still    // of Days, those of a shift that began on another: only in Everybody
}

// A Device is one control unit with the days of the shifts.
type Device struct {
	logbook.Unit
	Corrects string   `json:"corrects"` // for temperature, by itself, in words
	Days     []string `json:"days"`
	OffShift bool     `json:"not_on_a_shift,omitempty"` // only welds name it
	loose    []string // of Days, those on which no shift has it: only in Devices
	still    still    // of Days, those of a shift that began on another: only in Devices
}

// A Table is a fusion table taken for the site, with its figures.
type Table struct {
	logbook.TableRef
	fusion.Table
}

// New makes the report of a site from the records and what the audit found.
func New(r logbook.Reader, site string, res audit.Result, o Query) Report {
	s, _ := r.Site(site)
	rep := Report{Query: o, Site: s, Joints: chart.Places(r, site, res), Tables: tablesOf(s)}
	all := Rows(r, site, res)
	rep.All, rep.Counts = len(all), counts(all)
	rep.Rows = slices.DeleteFunc(all, func(row Row) bool { return !o.lets(row) })
	rep.Findings = o.findings(res, rep.Rows)
	rep.Tests, rep.Tested = testsOf(s, res), res.TestedLines(counting(r, site))
	rep.Loop = loopOf(r, s)
	rep.Ground, rep.Parts = groundLooks(s), groundParts(r, s)
	rep.Open, rep.Spares = stillOpen(res), chart.Spares(r, site, rep.Joints)
	for _, id := range s.Shifts {
		if sh, ok := r.Shift(site, id); ok {
			rep.Shifts = append(rep.Shifts, sh)
		}
	}
	rep.People, rep.Units = crewOf(rep.Shifts)
	rep.offShift(r.Welds(site))
	rep.Named, rep.Unlike = NamedOf(s), unlikeLine(res)
	rep.doers = doersOf(r, s, res.Findings, res.Lapsed())
	rep.Deciders = slices.DeleteFunc(slices.Clone(rep.doers), func(d Decider) bool { return !d.decided })
	rep.judged, rep.removed = res, sync.OnceValue(res.Removals)
	rep.handed = func() handover.Handover {
		return handover.Of(r, site, res, handover.Query{Now: stampOf(o.AsOf)})
	}
	pipes := map[string]string{}
	for _, p := range rep.Joints {
		pipes[p.Label] = p.On
	}
	rep.unended = unendedOf(r.Welds(site), o.AsOf)
	rep.covering = sync.OnceValue(func() []audit.Covering { return coveringsOf(r, site, res) })
	rep.standing = sync.OnceValue(func() []Standing { return standings(r, rep, res) })
	for i, row := range rep.Rows {
		rep.Rows[i].On = pipes[row.Joint.Label]
	}
	return rep
}

// Handover is what the site is handed over with; it is made where a form shows it.
func (rep Report) Handover() handover.Handover {
	if rep.handed == nil {
		return handover.Handover{} // of no records
	}
	return rep.handed()
}

// Lapsed are the acceptances that settle nothing now, on all of the site.
func (rep Report) Lapsed() []audit.Lapse { return rep.judged.Lapsed() }

// Removals are the corrections by which something went that the rules had found, by weld. The
// rules are run again for each of them, and that once for all lists of a document.
func (rep Report) Removals() map[string][]audit.Removal {
	if rep.removed == nil {
		return nil // of no records
	}
	return rep.removed()
}

// OpenLosses are the losses of pressure that nobody repaired.
func (rep Report) OpenLosses() []logbook.Event { return rep.judged.OpenLosses() }

// stampOf is a local time as a stamp.
func stampOf(at time.Time) fusion.Stamp {
	_, offset := at.Zone()
	return fusion.Stamp{Wall: at.UTC(), Offset: offset}
}

// Filtered tells whether anything may be left out.
func (o Query) Filtered() bool {
	return o.Day != "" || !o.Since.IsZero() || len(o.Verdicts) > 0
}

// Sealed are the logs that hold a seal.
func (o Query) Sealed() []Log {
	return slices.DeleteFunc(slices.Clone(o.Logs), func(l Log) bool { return l.Seal == nil })
}

// SealLine says which entries of which logs are sealed: "not sealed", or the
// number of entries, how many came since, and the first letters of the root. The
// seal stands in the log as the next entry and is not counted among those since; that
// is said, since the log has one entry more than both together.
func (o Query) SealLine() string {
	var parts []string
	for _, l := range o.Sealed() {
		parts = append(parts, fmt.Sprintf("log %s, its first %s (the next is the seal, %s), root %.12s", l.Called(), logbook.Count(int(l.Seal.Entries), "entry"), l.since(), l.Seal.Root))
	}
	switch {
	case len(parts) == 0:
		return "not sealed"
	case len(parts) < len(o.Logs):
		parts = append(parts, "the others not")
	}
	return "sealed: " + strings.Join(parts, "; ")
}

// since says how many entries came after the last seal.
func (l Log) since() string {
	switch n := int64(l.Entries) - l.Seal.Entries - 1; {
	case n <= 0:
		return "none since"
	default:
		return logbook.Count(int(n), "entry") + " since"
	}
}

// FilterLine says in words what is listed.
func (o Query) FilterLine() string {
	var parts []string
	if o.Day != "" {
		parts = append(parts, "welds of "+o.Day)
	}
	if !o.Since.IsZero() {
		parts = append(parts, "welds since "+o.Since.Format("2006-01-02 15:04"))
	}
	if len(o.Verdicts) > 0 {
		parts = append(parts, "verdict "+strings.Join(o.Verdicts, " or "))
	}
	return strings.Join(parts, "; ")
}

func (o Query) lets(row Row) bool {
	verdict := string(row.Verdict)
	if row.Weld.ID == "" && row.Factory == nil {
		verdict = NoWeld
	}
	if len(o.Verdicts) > 0 && !slices.Contains(o.Verdicts, verdict) {
		return false
	}
	if row.Weld.ID == "" {
		return o.Day == "" && o.Since.IsZero()
	}
	at := row.When()
	return (o.Day == "" || at.Format(time.DateOnly) == o.Day) && !at.Before(o.Since)
}

// When is the local time of a weld: of its fusion, or else of its beginning.
func (r Row) When() time.Time {
	if at, ok := r.Weld.FusedAt(); ok {
		return at
	}
	return r.Weld.Begun.Local()
}

func (o Query) findings(res audit.Result, rows []Row) []audit.Finding {
	if !o.Filtered() {
		return res.Findings
	}
	welds := map[string]bool{}
	for _, row := range rows {
		welds[row.Weld.ID] = true
	}
	var out []audit.Finding
	for _, f := range res.Findings {
		if f.Weld != "" && welds[f.Weld] {
			out = append(out, f)
		}
	}
	return out
}

// stillOpen are the findings that somebody must still do something about.
func stillOpen(res audit.Result) []audit.Finding {
	return slices.DeleteFunc(slices.Clone(res.Findings), func(f audit.Finding) bool { return !f.Open() })
}

func counts(rows []Row) []Count {
	var out []Count
	for _, word := range Verdicts[:len(Verdicts)-1] {
		c := Count{Verdict: audit.Verdict(word)}
		for _, row := range rows {
			switch {
			case row.Weld.ID == "" || row.Verdict != c.Verdict:
			case row.Weld.CutOut != nil:
				c.CutOut++
			default:
				c.Standing++
				c.GivenUp += given(row.Weld.Abandoned)
				if row.Weld.Walking() {
					c.BeingMade++
				}
			}
		}
		if c.Verdict == audit.OwnOnly && c == (Count{Verdict: c.Verdict}) {
			continue // of those who work alone only
		}
		out = append(out, c)
	}
	return out
}

// given is 1 for a reason that was given.
func given(why string) int { return min(len(why), 1) }

// InPlace is how many of them are in a joint.
func (c Count) InPlace() int { return c.Standing - c.GivenUp - c.BeingMade }

// crewOf lists the people and units of the shifts, each once with its days. One
// whose number or date differs is listed again: both were said.
func crewOf(shifts []logbook.Shift) (people []Person, units []Device) {
	for _, s := range shifts {
		for _, o := range s.Operators {
			i := slices.IndexFunc(people, func(p Person) bool { return p.Operator == o })
			if i < 0 {
				i, people = len(people), append(people, Person{Operator: o})
			}
			people[i].Days = day(people[i].Days, s.Day)
		}
		for _, u := range s.Units {
			i := slices.IndexFunc(units, func(d Device) bool { return d.Unit == u })
			if i < 0 {
				i, units = len(units), append(units, Device{Unit: u, Corrects: u.Corrects.String()})
			}
			units[i].Days = day(units[i].Days, s.Day)
		}
	}
	return people, units
}

// offShift adds the people and units that welds name and no shift does, such as
// those of a sheet from another day: a list without them would look complete.
func (rep *Report) offShift(welds []logbook.Weld) {
	for _, w := range welds {
		at := Row{Weld: w}.When().Format(time.DateOnly)
		i := slices.IndexFunc(rep.People, func(p Person) bool { return p.Name == w.Operator })
		if i < 0 && w.Operator != "" {
			i, rep.People = len(rep.People), append(rep.People, Person{Operator: logbook.Operator{Name: w.Operator}, OffShift: true})
		}
		if i >= 0 && rep.People[i].OffShift {
			rep.People[i].Days = day(rep.People[i].Days, at)
		}
		i = slices.IndexFunc(rep.Units, func(d Device) bool { return d.Serial == w.Unit })
		if i < 0 && w.Unit != "" {
			i, rep.Units = len(rep.Units), append(rep.Units, Device{Unit: logbook.Unit{Serial: w.Unit}, OffShift: true})
		}
		if i >= 0 && rep.Units[i].OffShift {
			rep.Units[i].Days = day(rep.Units[i].Days, at)
		}
	}
}

func day(days []string, d string) []string {
	if d == "" || slices.Contains(days, d) {
		return days
	}
	return append(days, d)
}

func tablesOf(s logbook.Site) []Table {
	var out []Table
	for _, ref := range s.Tables {
		if slices.ContainsFunc(out, func(t Table) bool { return t.Hash == ref.Hash }) {
			continue // taken on each of two laptops
		}
		t := Table{TableRef: ref}
		if ref.Table != nil {
			t.Table = *ref.Table
		}
		out = append(out, t)
	}
	return out
}

// UnreadLine says what of the log this program cannot read; "" where it read all.
func (rep Report) UnreadLine() string { return logbook.UnreadWhole(rep.Site.Unread) }
