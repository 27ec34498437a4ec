// Package handover is what a site is handed over with: what a plumber must know of the
// loop before a pipe is connected or opened, what stands in the lid of a chamber, and
// what goes into the file. Every form of it, on a screen, on paper, on a phone or for
// other programs, is drawn from one Handover, so that none says otherwise. It says what is
// recorded. What is not recorded is said to be so, and never guessed; whether a heat pump
// may run is nowhere decided here.
package handover

import (
	_ "embed"
	"time"

	"coolhold/fusion"
	"coolhold/logbook"
	"coolhold/logbook/ahead"
	"coolhold/logbook/audit"
	"coolhold/logbook/labels"
)

// Schema is the JSON Schema (2020-12) of a Handover. Within a version it only ever gains.
//
//go:embed handover.schema.json
var Schema []byte

// Query says when a hand-over is read, and by which program.
type Query struct {
	Now     fusion.Stamp
	Program string
}

// A Handover is all that is handed over of a site. It is written as JSON for other
// programs, so its keys never change and only ever gain. What is not recorded is not
// there, or is said to be so.
type Handover struct {
	Format   string    `json:"format"`
	Version  int       `json:"version"`
	Program  string    `json:"program,omitempty"`
	Site     string    `json:"site"`
	Address  string    `json:"address"`
	Client   string    `json:"client"`
	Firm     string    `json:"firm"`
	Contract string    `json:"contract,omitempty"`
	AsOf     string    `json:"as_of"` // local time, RFC 3339
	Says     string    `json:"says"`
	Headers  []Header  `json:"headers"`
	Circuits []Circuit `json:"circuits"`
	Chambers []Chamber `json:"chambers"`
	LitresL  *float64  `json:"litres,omitempty"` // of all pipes, an upper figure
	Unstated []string  `json:"unstated_pipes,omitempty"`
	In       []Content `json:"in_the_pipe"`
	Running  Running   `json:"running"`
	Pressure []Said    `json:"pressure_standing"`
	Valves   []Said    `json:"valves"`
	Caps     []Said    `json:"caps"`
	Fill     []Said    `json:"fill_ports"`
	Purge    []Said    `json:"purge_ports"`
	Remarks  []Said    `json:"remarks"`
	Call     *Calling  `json:"call,omitempty"`
	Tests    []Tested  `json:"pressure_tests"`
	Untested []string  `json:"untested_joints"` // labels of joints that no pressure test holds, with a weld or without
	NoWeld   []string  `json:"joints_without_weld"`
	Open     []Open    `json:"open"` // what is open on the site, the worst first
	// Elsewhere are where joints lie that are named by no leg and no header's stub.
	Elsewhere []string `json:"joints_elsewhere,omitempty"`

	at       time.Time
	sections []ahead.TestSection
	file     File
	matters  []matter // what the fails and queries among Open are about
}

// A Header is one of the pipes between chamber and plant room. Which way the water goes in
// it is said in full: the shorter words of the trade are used both ways.
type Header struct {
	Way     string   `json:"way"` // "from ground" or "to ground"
	Mark    string   `json:"mark"`
	Goes    string   `json:"goes"` // what a plumber does with it
	Chamber string   `json:"chamber,omitempty"`
	Joint   string   `json:"joint"`
	Label   string   `json:"label"` // what is to be written on it
	Pipe    string   `json:"pipe"`  // size, class and length
	LitresL *float64 `json:"litres,omitempty"`
	End     *Said    `json:"end,omitempty"`
	Marked  *Said    `json:"marked,omitempty"`
	Test    string   `json:"pressure_test"`
}

// A Circuit is one loop of pipe.
type Circuit struct {
	Name    string   `json:"circuit"`
	Chamber string   `json:"chamber,omitempty"`
	No      int      `json:"no"`
	Tape    string   `json:"tape,omitempty"`
	Probe   string   `json:"probe,omitempty"`
	Ports   []Leg    `json:"ports"`
	Pipe    string   `json:"pipe"`
	LitresL *float64 `json:"litres,omitempty"`
	LPM     *float64 `json:"lpm,omitempty"`
	Flow    string   `json:"flow"` // with how it is known
	set     bool     // by hand
	alone   string   // what it showed opened alone, short
	against string   // what stands against that, short
	Test    string   `json:"pressure_test"`
}

// A Leg is an end of a circuit at its port, as it was welded.
type Leg struct {
	Joint string `json:"joint"`
	Port  int    `json:"port,omitempty"`
	Rail  string `json:"rail,omitempty"` // "from ground" or "to ground"
}

// A Chamber is one with its ports.
type Chamber struct {
	Name  string `json:"chamber"`
	Lid   string `json:"lid,omitempty"`
	Year  string `json:"welded_in,omitempty"` // of its newest weld
	Ports []Port `json:"ports"`
}

// A Port is a stub of a chamber, with the joint that is on it.
type Port struct {
	No    int    `json:"port"`
	Row   string `json:"row,omitempty"`
	Rail  string `json:"rail,omitempty"`
	Joint string `json:"joint,omitempty"` // "": nothing is on it
}

// A Content is what is in some of the pipes.
type Content struct {
	Where      []string        `json:"sections"` // "all" where nothing else is in any
	Content    string          `json:"content"`  // a code: "water", "ready", "dosed", or "" where it is not recorded
	Words      string          `json:"says"`
	Freezing   string          `json:"freezing"` // in words
	FreezingC  *fusion.Celsius `json:"freezing_c,omitempty"`
	Instrument string          `json:"instrument,omitempty"`
	MeantFor   string          `json:"instrument_meant_for_it,omitempty"` // "yes", "no", "unknown"
	By         string          `json:"by,omitempty"`
	On         string          `json:"on,omitempty"`
	doubts     []string        // why that may not be all that is in there
}

// A Said is something that was said of a section, with who and when, and what came after
// it, so that it may be otherwise by now.
type Said struct {
	Section string   `json:"section"`
	Words   string   `json:"says"`
	By      string   `json:"by,omitempty"`
	On      string   `json:"on,omitempty"`
	Since   []string `json:"since,omitempty"`
}

// Calling is who is to be called, as it was said last.
type Calling struct {
	logbook.Call
	By string `json:"said_by"`
	On string `json:"on"`
}

// A Tested is the newest pressure test of a section.
type Tested struct {
	Section string `json:"section"`
	Line    string `json:"says"`
	short   string // without its number, so that those alike are told together
}

// An Open is how many findings of one severity are open, and where.
type Open struct {
	What  string   `json:"what"` // "fail", "query" or "to do"
	Count int      `json:"count"`
	At    []string `json:"at"`             // labels of joints; "the site" for what is on none
	Says  []string `json:"says,omitempty"` // of a fail or a query, each in words
}

// Running is what is recorded against running the heat pump on this loop. An empty list
// says that nothing is, and no more.
type Running struct {
	Heading string   `json:"heading"`
	Against []string `json:"against"`
	Decides string   `json:"decides"`
}

// A File is what goes into the warranty file besides.
type File struct {
	Tests, Flows, Purges, Labels, Enclosed, Open []string
}

// Of is the hand-over of a site, from the records and what the audit found.
func Of(r logbook.Reader, site string, res audit.Result, q Query) Handover {
	s, _ := r.Site(site)
	g := gathering{r: r, s: s, res: res, sections: sectionsOf(r, s), labels: labels.Of(r, s, labels.Query{Now: q.Now})}
	h := Handover{
		Format: "coolhold hand-over", Version: 1, Program: q.Program, Site: s.Name, Address: s.Address, Client: s.Client, Firm: s.Firm, Contract: s.Contract,
		AsOf: q.Now.Local().Format(time.RFC3339), Says: Caveat, at: q.Now.Local(), sections: g.sections,
		Headers: g.headers(), Circuits: g.circuits(), Chambers: g.chambers(), In: g.contents(),
		Pressure: g.pressure(), Valves: g.valves(), Caps: g.said(func(l logbook.LeftAs) string { return l.Caps }, false),
		Fill: g.said(func(l logbook.LeftAs) string { return l.Fill }, false), Purge: g.said(func(l logbook.LeftAs) string { return l.Purge }, false),
		Remarks: g.said(func(l logbook.LeftAs) string { return l.Text }, false),
		Call:    g.call(), Tests: g.tests(), Untested: g.untested(), NoWeld: g.openJoints(), Open: g.open(), Elsewhere: g.elsewhere(), file: g.file(), matters: g.matters(),
	}
	if all, found := g.section(logbook.SectionID{}); found {
		h.Unstated = all.Unstated()
		if litres, known := all.Litres(); known {
			h.LitresL = tenth(litres)
		}
	}
	h.Running = g.running(h)
	return h
}

// sectionsOf are the sections of a site. Where it has several chambers each is told with
// its own: a plumber has no plan beside him.
func sectionsOf(r logbook.Reader, s logbook.Site) []ahead.TestSection {
	sections := ahead.TestSections(r, s.ID)
	for i := range sections {
		if len(s.Chambers) > 1 {
			sections[i].Name = sections[i].ID.String()
		}
	}
	return sections
}

// Caveat stands in every form.
const Caveat = "As recorded, no more. Nothing here says that a weld is good, that a pipe is tight, or that anything may run."

// File is what the register prints besides the leaf.
func (h Handover) File() File { return h.file }
