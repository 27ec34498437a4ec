package handover

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"coolhold/logbook"
	"coolhold/logbook/ahead"
)

// A Leaf is one page to hand over, before it is drawn. Screen, paper and phone draw the
// same one.
type Leaf struct {
	Kind  string   // what it is, over the title
	Title string   // the largest words
	Under []string // below the title
	Parts []Part
	Foot  []string
	Loud  bool   // to be read at arm's length, in a lid
	By    string // what wrote it, and which version; "": not said
}

// A Part is one matter of a leaf, in the manner that it has.
type Part struct {
	Name    string // in the file of a page; no person reads it
	Title   string
	Loud    []string // in a heavy frame, the first in large letters
	Columns []Column // side by side, where there is room
	Rows    []Row
	Table   *Table
	Lines   []string
	Ports   []Port // to be drawn, where it is drawn
}

// A Column is a box of its own with a large title.
type Column struct {
	Title string
	Lines []string
}

// A Row is a thing with what is recorded of it.
type Row struct {
	Name string
	Says []string
}

// A Table has a head over each column; the first names the row.
type Table struct {
	Heads []string
	Rows  [][]string
}

// The words for what nobody recorded, by what must be asked before what.
const (
	askEnd    = "end in the plant room: " + NotRecorded + ", look before you cut or connect"
	askMark   = "mark on it there: " + NotRecorded + ", trace it before you connect"
	askValves = NotRecorded + ": look at each before you open or run anything"
	askBar    = NotRecorded + ": take it for pressurised, look at a gauge before you open anything"
	askCaps   = NotRecorded + ": look before you open or connect"
	askFill   = NotRecorded + ": ask before you fill"
	askPurge  = NotRecorded + ": ask before you purge"
)

// cautions stand on the leaf. Pressure: HSE GS4, as restated; the rest is common practice,
// no source.
var cautions = []string{
	"For licensed trades. The heat pump's maker, the designer, local codes and the site's rules go before anything here.",
	"Pressure may stand in any of these pipes, whatever is written: let it off slowly at a valve, with nobody before the opening, and only then cut or open. Caps and plugs fly off.",
	"Before a pipe is connected, see for yourself which is from ground: a mark can be wrong. Catch what runs out; it may be antifreeze.",
}

// Leaf is the plumber's page.
func (h Handover) Leaf() Leaf {
	return Leaf{
		Kind: "Ground loop: hand-over to the plumber", Title: h.Site,
		Under: []string{logbook.Joined("; ", h.Address, "firm: "+h.Firm, "client: "+h.Client), "As recorded up to " + h.at.Format(dayOf+", 15:04") + "."},
		Parts: slices.Concat([]Part{h.runningPart(), {Name: "caution", Title: "Caution", Lines: cautions}}, h.headerParts(), []Part{h.contentPart(), h.leftPart(), h.callPart()}, h.circuitParts(), []Part{h.testPart()}),
		Foot:  []string{Caveat},
		By:    h.Program,
	}
}

func (h Handover) runningPart() Part {
	p := Part{Name: "run", Title: "May it run?", Loud: []string{h.Running.Heading}}
	if len(h.Running.Against) > 0 {
		p.Loud = append(p.Loud, "Recorded against running it:")
	}
	for _, a := range h.Running.Against {
		p.Loud = append(p.Loud, "– "+a)
	}
	p.Loud = append(p.Loud, h.Running.Decides)
	return p
}

// headerParts are the headers, the two of a chamber side by side.
func (h Handover) headerParts() []Part {
	if len(h.Headers) == 0 {
		return []Part{{Name: "headers", Title: "Which pipe goes where", Loud: []string{"WHICH PIPE IS FROM GROUND IS NOT RECORDED", "No header is in the plan of this site: ask, and trace both pipes before you connect one."}}}
	}
	var parts []Part
	for i := 0; i < len(h.Headers); {
		k := i
		for k < len(h.Headers) && h.Headers[k].Chamber == h.Headers[i].Chamber {
			k++
		}
		parts = append(parts, h.pairOf(h.Headers[i:k]))
		i = k
	}
	return parts
}

func (h Handover) pairOf(headers []Header) Part {
	p := Part{Name: "headers", Title: "Which pipe goes where"}
	if len(h.Chambers) > 1 && headers[0].Chamber != "" {
		p.Title += ": chamber " + headers[0].Chamber
	}
	for _, k := range headers {
		c := Column{Title: k.Mark + ": " + strings.ToUpper(k.Way), Lines: []string{k.Goes, k.Pipe}}
		c.Lines = append(c.Lines, litresWords(k.LitresL), endWords(k), markWords(k), "pressure test: "+k.Test)
		p.Columns = append(p.Columns, c)
	}
	if len(headers) == 1 {
		other := map[string]string{logbook.FG: logbook.ToGround, logbook.TG: logbook.FromGround}[headers[0].Mark]
		p.Columns = append(p.Columns, Column{Title: logbook.WayMark(other) + ": " + strings.ToUpper(other), Lines: []string{NotRecorded + ": no header " + other + " is in the plan; ask which pipe it is before you connect"}})
	}
	return p
}

func endWords(k Header) string {
	if k.End == nil {
		return askEnd
	}
	return "end in the plant room: " + k.End.told()
}

func markWords(k Header) string {
	if k.Marked == nil {
		return askMark + " (its label is to read " + k.Label + ", joint " + k.Joint + ")"
	}
	return "mark on it there: " + k.Marked.told()
}

// told is what was said, by whom and when.
func (s Said) told() string {
	line := s.Words + " (" + logbook.Joined(", ", s.By, s.On) + ")"
	if len(s.Since) > 0 {
		line += "; MAY BE OTHERWISE NOW, after it came: " + strings.Join(s.Since, "; ")
	}
	return line
}

func litresWords(l *float64) string {
	if l == nil {
		return "litres not known: size, class or length is not stated"
	}
	return fmt.Sprintf("holds at most %.1f L", *l)
}

// contentPart is what is in the pipes now, with frost.
func (h Handover) contentPart() Part {
	p := Part{Name: "content", Title: "In the pipe now"}
	for _, c := range h.In {
		says := []string{c.Words, "frost: " + c.Freezing}
		if c.By != "" {
			says[0] += " (" + c.By + ", " + c.On + ")"
		}
		p.Rows = append(p.Rows, Row{listed(c.Where), says})
	}
	all := "not known: size, class or length is not stated of " + cmp.Or(strings.Join(h.Unstated, ", "), "any pipe")
	if h.LitresL != nil {
		all = fmt.Sprintf("at most %.1f L in all pipes together; an upper figure, by the least wall, without heat pump, hoses and valves", *h.LitresL)
	}
	return h.with(p, Row{"litres in all", []string{all}})
}

func (Handover) with(p Part, rows ...Row) Part { p.Rows = append(p.Rows, rows...); return p }

// leftPart is how it was left: what a hand on a valve must know.
func (h Handover) leftPart() Part {
	p := Part{Name: "left", Title: "As it was left", Rows: []Row{
		{"pressure standing", of(h.Pressure, askBar)}, {"valves", of(h.Valves, askValves)}, {"caps and plugs", of(h.Caps, askCaps)},
		{"fill port", of(h.Fill, askFill)}, {"purge ports", of(h.Purge, askPurge)},
	}}
	if len(h.Remarks) > 0 {
		p.Rows = append(p.Rows, Row{"remarks", of(h.Remarks, "")})
	}
	return p
}

// of is what was said of a matter, a line for all sections of which the same was said, or
// what must be asked.
func of(said []Said, ask string) []string {
	var alike told
	for _, s := range said {
		alike.add(s.Section, s.told())
	}
	if len(alike.says) == 0 {
		return []string{ask}
	}
	return alike.lines()
}

// A told is what is told of several sections, what is alike of all of them once.
type told struct {
	says  []string
	where [][]string
}

func (t *told) add(section, says string) {
	i := slices.Index(t.says, says)
	if i < 0 {
		i, t.says, t.where = len(t.says), append(t.says, says), append(t.where, nil)
	}
	t.where[i] = append(t.where[i], section)
}

func (t *told) lines() (lines []string) {
	for i, says := range t.says {
		where := listed(t.where[i]) + ": "
		if slices.Contains(t.where[i], logbook.Whole) {
			where = ""
		}
		lines = append(lines, where+says)
	}
	return lines
}

func (h Handover) callPart() Part {
	return Part{Name: "call", Title: "Whom to call", Loud: []string{h.callWords()}}
}

func (h Handover) callWords() string {
	if h.Call == nil {
		return NotRecorded + ": ask " + cmp.Or(h.Firm, "the firm") + " before you begin; who and on which number is not recorded"
	}
	line := h.Call.Line()
	if h.Call.Phone == "" {
		line += "; the number is not recorded"
	}
	return line
}

// circuitParts is the table of the circuits.
func (h Handover) circuitParts() []Part {
	if len(h.Circuits) == 0 {
		return []Part{{Name: "circuits", Title: "Circuits", Lines: []string{"No circuit is in the plan of this site."}}}
	}
	t := &Table{Heads: []string{"circuit", "ports", "pipe", "litres, at most", "flow", "pressure test"}}
	for _, c := range h.Circuits {
		t.Rows = append(t.Rows, []string{c.called(), c.ports(), c.Pipe, shortLitres(c.LitresL), c.Flow, c.Test})
	}
	return []Part{{Name: "circuits", Title: "Circuits", Table: t}}
}

// called is a circuit with what tells its pipe from others.
func (c Circuit) called() string {
	says := []string{c.Name}
	if c.Tape != "" {
		says = append(says, c.Tape+" tape")
	}
	if c.Probe != "" {
		says = append(says, "probe "+c.Probe)
	}
	return strings.Join(says, ", ")
}

// ports are its legs: "FG port 1 (1A), TG port 6 (1B)". The pieces of one leg are at one port.
func (c Circuit) ports() string {
	var says []string
	for i := 0; i < len(c.Ports); {
		l, port, pieces := c.Ports[i], "port not stated", []string{c.Ports[i].Joint}
		for i++; i < len(c.Ports) && l.Port > 0 && c.Ports[i].Port == l.Port; i++ {
			pieces = append(pieces, c.Ports[i].Joint)
		}
		if l.Port > 0 {
			port = fmt.Sprintf("port %d", l.Port)
		}
		says = append(says, logbook.Joined(" ", logbook.WayMark(l.Rail), port, "("+strings.Join(pieces, " and ")+")"))
	}
	return cmp.Or(strings.Join(says, ", "), "not stated")
}

func shortLitres(l *float64) string {
	if l == nil {
		return "not known"
	}
	return fmt.Sprintf("%.1f", *l)
}

const testsTitle = "Tests and open items"

// testPart are the pressure tests of what is neither circuit nor header, the joints that
// none holds, and what is open.
func (h Handover) testPart() Part {
	p := Part{Name: "tests", Title: testsTitle}
	for _, t := range h.Tests {
		own := func(name string) bool { return name == t.Section }
		if slices.ContainsFunc(h.Circuits, func(c Circuit) bool { return own(c.Name) }) || h.isHeader(t.Section) {
			continue // it stands there
		}
		p.Rows = append(p.Rows, Row{t.Section, []string{t.Line}})
	}
	if len(h.Tests) == 0 {
		p.Rows = append(p.Rows, Row{"pressure tests", []string{"none is recorded of any section"}})
	}
	if len(h.NoWeld) > 0 {
		p.Rows = append(p.Rows, Row{"joints without a weld", []string{strings.Join(h.NoWeld, ", ")}})
	}
	p.Rows = append(p.Rows, Row{"welded and untested", []string{cmp.Or(strings.Join(h.MadeUntested(), ", "), h.noneUntested())}})
	p.Lines = []string{wordsUsed}
	p = h.with(p, Row{"open findings", h.openLines()})
	if len(h.Elsewhere) > 0 {
		p = h.with(p, Row{"other joints", []string{strings.Join(h.Elsewhere, "; ")}})
	}
	return p
}

// noneUntested says why no weld is untested.
func (h Handover) noneUntested() string {
	if len(h.Untested) > 0 {
		return "none; a joint without a weld has nothing to be tested"
	}
	return "none: a test holds each, as far as recorded"
}

// wordsUsed tell the words that the crew has of its own.
const wordsUsed = "FG is from ground, TG is to ground. A joint is named by circuit and leg: 1A is leg A of circuit 1. Fail: a fault is recorded: a weld is to be cut out, crossed legs are to be found. Query: a named person must decide. To do: work that is not done. A weld is untested where no pressure test holds it as it stands."

func (h Handover) isHeader(section string) bool {
	return slices.ContainsFunc(h.sections, func(t ahead.TestSection) bool { return t.ID.Way != "" && t.Name == section })
}

// Line is how many, and where: "2 queries, at 1A, 3B".
func (o Open) Line() string {
	what := fmt.Sprintf("%d %s", o.Count, toDo)
	if o.What != toDo {
		what = logbook.Count(o.Count, o.What)
	}
	return what + ", at " + strings.Join(o.At, ", ")
}
