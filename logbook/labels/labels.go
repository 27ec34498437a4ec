// Package labels says what to write or print for each joint, each leg of a
// circuit and each header of a site. What is written on a buried pipe stays
// there, so a label holds only what was recorded, and "flow" never stands on one.
package labels

import (
	"cmp"
	"fmt"
	"strings"

	"coolhold/fusion"
	"coolhold/logbook"
	"coolhold/logbook/ahead"
)

// A Purpose says what a label is for.
type Purpose string

// The kinds, in the order in which the labels of one joint stand.
const (
	Joint  Purpose = "joint"  // the weld: number, date, operator's mark
	Leg    Purpose = "leg"    // the pipe end: which circuit, which port
	Header Purpose = "header" // for the plumber: which way the water goes
)

// Query choose labels and say when they are read.
type Query struct {
	Chamber   string // only of this chamber, by its whole name; "" is all
	Joint     string // only of the joint with this label; "" is all
	Now, Beat fusion.Stamp
}

// A Label is one thing to write on a pipe or to print and fix there. It is
// written as JSON for other programs, so its keys never change. What is not
// known is empty.
type Label struct {
	Purpose Purpose `json:"kind"`
	Joint   string  `json:"joint"` // label of the joint
	Chamber string  `json:"chamber,omitempty"`
	Circuit int     `json:"circuit,omitempty"`
	Leg     string  `json:"leg,omitempty"`
	Tape    string  `json:"tape,omitempty"` // colour, where the plan gives one
	Probe   string  `json:"probe,omitempty"`
	Way     string  `json:"way,omitempty"` // of a header: "from ground" or "to ground"
	Port    int     `json:"port,omitempty"`
	Bar     string  `json:"bar,omitempty"` // "from ground" or "to ground"
	Where   string  `json:"where,omitempty"`
	Pipe    string  `json:"pipe,omitempty"`   // size and SDR, of a header
	Site    string  `json:"site,omitempty"`   // of a header
	Phone   string  `json:"phone,omitempty"`  // whom to call, of a header
	Copies  int     `json:"copies,omitempty"` // of a header: one for each of its ends
	Weld    string  `json:"weld,omitempty"`
	Date    string  `json:"date,omitempty"` // of the fusion, local, YYYY-MM-DD
	Mark    string  `json:"mark,omitempty"` // the operator's
	Hold    string  `json:"hold,omitempty"` // while a hold runs: "cool until HH:MM", rounded up
	Ink     string  `json:"ink"`            // short, for a marker
	Text    string  `json:"text"`           // long, in a sentence's worth of words
}

// Of is the labels of a site, those of one joint together, in the plan's order.
// A joint that was not being built, or replaced by a make-up piece, has none.
func Of(r logbook.Reader, site logbook.Site, o Query) []Label {
	running := map[string]ahead.Running{}
	for _, line := range ahead.RunningOn(r, site.ID, o.Now, o.Beat) {
		running[line.Weld.ID] = line
	}
	var out []Label
	for _, j := range r.Joints(site.ID) {
		if !j.Counts() || o.Chamber != "" && j.Chamber != o.Chamber || o.Joint != "" && j.Label != o.Joint {
			continue
		}
		j = asWelded(r, site, j)
		out = append(out, jointLabel(r, j, running))
		if j.Leg != "" {
			out = append(out, legLabel(j))
		}
		if j.Way != "" {
			out = append(out, headerLabel(site, j))
		}
	}
	return out
}

// asWelded is a joint at the port that its leg went to: a label must not say
// the plan's where the pipe is on another. What was answered in a walk counts already.
func asWelded(r logbook.Reader, site logbook.Site, j logbook.Joint) logbook.Joint {
	port := ahead.LegPort(r, j)
	if port == j.Port {
		return j
	}
	j.Port, j.Row, j.Bar = port, "", ""
	for _, p := range ahead.PortsOf(r, site, j.Chamber) {
		if p.No == j.Port {
			j.Row, j.Bar = p.Row, p.Bar
		}
	}
	return j
}

// at is what every label of a joint shares.
func at(kind Purpose, j logbook.Joint) Label {
	return Label{
		Purpose: kind, Joint: logbook.Clean(j.Label), Chamber: logbook.Clean(j.Chamber), Circuit: j.Circuit,
		Leg: logbook.Clean(j.Leg), Tape: logbook.Clean(j.Tape), Probe: logbook.Clean(j.Probe), Way: j.HeaderWay(), Port: j.Port, Bar: logbook.Clean(j.Bar), Where: logbook.Clean(j.Where),
	}
}

// waters are what the plumber must know of each way.
var waters = map[string]string{
	logbook.FromGround: "water comes from the loops here, into the heat pump's ground side",
	logbook.ToGround:   "water goes to the loops here, out of the heat pump's ground side",
}

func jointLabel(r logbook.Reader, j logbook.Joint, running map[string]ahead.Running) Label {
	l, day := at(Joint, j), ""
	if w, ok := r.Weld(j.Site, j.Stands); ok {
		l.Weld, l.Mark, l.Hold = w.ID, logbook.Clean(markOf(r, w)), holdOf(running[w.ID])
		if t, ok := w.EndedAt(); ok {
			l.Date, day = t.Format("2006-01-02"), t.Format("2 Jan 2006")
		}
	}
	ink, text := []string{l.Joint}, []string{"joint " + l.Joint, l.Place()}
	for _, f := range l.Pairs() {
		text = append(text, logbook.Joined(" ", f.Name, cmp.Or(f.Value, f.blank())))
		if f.Name == "date" {
			f.Value = day
		}
		ink = append(ink, cmp.Or(f.Value, f.Name+" "+f.blank()))
	}
	l.Ink, l.Text = logbook.Joined("  ", ink...), logbook.Joined(", ", text...)
	return l
}

// CoolUntil stands on the pipe in ink beside the joint: it is not moved before.
const CoolUntil = "cool until"

// A Pair is one thing that a joint's label says of its weld. An empty value is
// room to write; an empty name means that the value says it all.
type Pair struct{ Name, Value string }

// Pairs are what a joint's label says of its weld; none on other labels. Of a
// weld whose hold is over nothing is said of it.
func (l Label) Pairs() []Pair {
	if l.Purpose != Joint {
		return nil
	}
	fields := []Pair{{"weld", l.Weld}, {"date", l.Date}, {"by", l.Mark}}
	switch {
	case l.Hold != "":
		return append(fields, Pair{"", l.Hold})
	case l.Date == "":
		return append(fields, Pair{CoolUntil, ""})
	}
	return fields
}

// blank is room for what a marker writes.
func (f Pair) blank() string { return strings.Repeat("_", 6) }

// holdOf is the end of a hold that runs, by the clock that counts it.
func holdOf(line ahead.Running) string {
	switch {
	case line.Weld.ID == "" || line.Fusing || line.Over():
		return ""
	case !line.Known:
		return "cooling: no time known"
	}
	return CoolUntil + " " + logbook.UpMinute(line.Ends).Format("15:04")
}

// markOf is the mark of a weld's operator, as the shift has it; the name where
// none was given.
func markOf(r logbook.Reader, w logbook.Weld) string {
	sh, _ := r.Shift(w.Site, w.Shift)
	if o, ok := sh.Operator(w.Operator); ok && o.Mark != "" {
		return o.Mark
	}
	return cmp.Or(w.Answered(logbook.ItemMark), w.Operator)
}

func legLabel(j logbook.Joint) Label {
	l := at(Leg, j)
	l.Ink, l.Text = logbook.Joined("  ", l.Joint, l.AtPort(), railMark(l.Bar), l.tape()), l.Place()
	return l
}

// tape is the colour of the tape on a pipe.
func (l Label) tape() string {
	if l.Tape == "" {
		return ""
	}
	return l.Tape + " tape"
}

// railMark is a rail as a marker writes it.
func railMark(bar string) string {
	mark := logbook.WayMark(bar)
	if mark != "" {
		mark += " rail"
	}
	return mark
}

func headerLabel(site logbook.Site, j logbook.Joint) Label {
	l := at(Header, j)
	l.Pipe, l.Site, l.Phone, l.Copies = logbook.Clean(j.PipeLine()), logbook.Clean(site.Name), logbook.Clean(callOf(site)), len(Ends)
	l.Ink, l.Text = logbook.Joined("  ", l.Title(), l.chamber()), logbook.Joined(", ", l.Title()+": "+l.Water(), l.chamber(), l.Pipe, l.Site, l.Phone)
	return l
}

// Ends are the two of a header; each gets its copy of the label.
var Ends = []string{"at the chamber", "in the plant room"}

// callOf is whom to call, as it was said last; room to write where nobody did.
func callOf(site logbook.Site) string {
	var last *logbook.Left
	for _, l := range site.Loop.Lefts {
		if l.Call != nil && l.Withdrawn == nil && (last == nil || !l.When().Before(last.When())) {
			last = &l
		}
	}
	if last == nil {
		return ""
	}
	return "call " + last.Call.Line()
}

// Title is the largest words of a label: the joint, "circuit 3, leg A", or a
// header's way in full, "FROM GROUND (FG)".
func (l Label) Title() string {
	switch l.Purpose {
	case Leg:
		return fmt.Sprintf("%s: circuit %d, leg %s", l.Joint, l.Circuit, l.Leg)
	case Header:
		return strings.ToUpper(l.Way) + " (" + logbook.WayMark(l.Way) + ")"
	}
	return l.Joint
}

// Water says for the plumber which way the water goes in a header; it is true
// at either end. It is empty on other labels.
func (l Label) Water() string {
	if l.Purpose != Header {
		return ""
	}
	return waters[l.Way]
}

// Place is where a joint or pipe end is: "chamber A, circuit 3, leg A, from
// ground rail, port 3".
func (l Label) Place() string {
	circuit, leg, tape, probe, bar := "", "", "", "", ""
	if l.Circuit > 0 {
		circuit = fmt.Sprintf("circuit %d", l.Circuit)
	}
	if l.Leg != "" {
		leg = "leg " + l.Leg
	}
	if l.Tape != "" {
		tape = l.Tape + " tape"
	}
	if l.Probe != "" {
		probe = "probe " + l.Probe
	}
	switch {
	case l.Way != "":
		bar = "header " + l.Way
	case l.Bar != "":
		bar = l.Bar + " rail"
	}
	return logbook.Joined(", ", l.chamber(), circuit, leg, tape, probe, bar, l.AtPort(), l.Where)
}

// AtPort is "port 3", or nothing where there is none.
func (l Label) AtPort() string {
	if l.Port == 0 {
		return ""
	}
	return fmt.Sprintf("port %d", l.Port)
}

func (l Label) chamber() string {
	if l.Chamber == "" {
		return ""
	}
	return "chamber " + l.Chamber
}
