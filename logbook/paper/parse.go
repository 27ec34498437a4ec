package paper

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
	"time"
	"unicode"

	"coolhold/fusion"
	"coolhold/logbook"
	"coolhold/logbook/acts"
	"coolhold/logbook/fault"
	"coolhold/logbook/paper/workbook"
)

// A Row is one row of the file as it was read.
type Row struct {
	No     int      // line of the file on which it begins
	Key    string   // the same for the same content, however it is written
	Blank  []string // columns left blank that are said with the weld
	Faulty bool     // something of it is among the faults
	Empty  bool     // a joint and nothing else: it was not welded
	page   *page
	weld   acts.LateWeld
}

// Where is where a column of the row stands in a workbook, "" in a text.
func (l Row) Where(column string) string {
	if l.page == nil {
		return ""
	}
	return l.page.where(l.No, column)
}

// Placed tells whether joint and start of a row are known, so that it can be
// held against the log though it is faulty.
func (l Row) Placed() bool { return !l.Empty && l.weld.Joint != "" && !l.weld.Started.IsZero() }

// Named tells whether the joint of a row is known, though its start may not be.
func (l Row) Named() bool { return l.weld.Joint != "" && !l.Empty }

// Weld is the weld of a row, of a file with that name.
func (l Row) Weld(file string) acts.LateWeld {
	w := l.weld
	w.Paper = &logbook.PaperRow{File: file, Line: l.No, Key: l.Key}
	w.Why = "nothing left blank"
	if len(l.Blank) > 0 {
		w.Why = "left blank: " + strings.Join(l.Blank, ", ")
	}
	return w
}

// A page is a file while it is read.
type page struct {
	zone   *time.Location
	sheet  string         // of a workbook; "" of a text
	at     map[string]int // the place of a column, from 1
	cols   []*Column      // nil for a column without a name
	former bool           // the head is that of a sheet printed before
	faults fault.List
	seen   map[string]int // line of a row by its key
}

func (p *page) fault(line int, column, format string, args ...any) {
	p.faults = append(p.faults, fault.Fault{Line: line, Where: p.where(line, column), Field: column, What: fmt.Sprintf(format, args...)})
}

// where is where a column stands in a workbook: sheet "Welds", cell K7.
func (p *page) where(line int, column string) string {
	if p.sheet == "" {
		return ""
	}
	if at := p.at[column]; at > 0 {
		return p.cellAt(line, at-1)
	}
	return fmt.Sprintf("sheet %q", fault.Brief(p.sheet))
}

func (p *page) cellAt(line, col int) string {
	return fmt.Sprintf("sheet %q, cell %s", fault.Brief(p.sheet), workbook.Name(col, line))
}

// faultIn is a fault of a column that has no name of its own.
func (p *page) faultIn(line, col int, format string, args ...any) {
	f := fault.Fault{Line: line, What: fmt.Sprintf(format, args...)}
	if p.sheet != "" {
		f.Where = p.cellAt(line, col)
	}
	p.faults = append(p.faults, f)
}

// Parse reads a sheet that was typed from paper. Times are of the clock on
// site, in zone. All faults come back at once, in the order of their lines;
// rows without one are read all the same.
func Parse(data []byte, zone *time.Location) ([]Row, fault.List) {
	t, faults := typingOf(data)
	if faults != nil {
		return nil, faults
	}
	p := &page{zone: zone, sheet: t.sheet, at: map[string]int{}, seen: map[string]int{}}
	rows := t.rows
	var lines []Row
	switch {
	case len(rows) > fault.MaxItems+1:
		p.fault(rows[0][0].line, "", "%d rows are too many, at most %d: split the file", len(rows)-1, fault.MaxItems)
	case len(rows) > 0 && p.head(rows[0]):
		filled := false
		for _, row := range rows[1:] {
			lines = append(lines, p.row(row))
			filled = filled || !lines[len(lines)-1].Empty
		}
		switch {
		case t.broken != nil || filled:
		case len(lines) > 0:
			p.fault(rows[0][0].line, "", "nothing but joints stands below the names of the columns: no weld is filled in")
		default:
			p.fault(rows[0][0].line, "", "no weld stands below the names of the columns")
		}
	}
	if t.broken != nil {
		p.faults = append(p.faults, *t.broken)
	}
	return lines, p.faults.InOrder(0)
}

// columnOf finds a column by its name, however its words are joined.
func columnOf(name string) (*Column, bool) {
	name = strings.ReplaceAll(fusion.Folded(strings.NewReplacer("_", " ", "-", " ").Replace(name)), " ", "_")
	for i := range Columns {
		if Columns[i].Name == name {
			return &Columns[i], true
		}
	}
	return nil, false
}

// head reads the names of the columns. Without sound names no row is read.
func (p *page) head(row []cell) bool {
	at := p.at
	for i, c := range row {
		col, known := columnOf(c.text)
		switch {
		case c.bad != "":
			p.faultIn(c.line, i, "%s %s", fault.Quote(c.text), c.bad)
		case c.text == "":
		case !known:
			p.faultIn(c.line, i, "%s is no column of the sheet%s", fault.Quote(c.text), nearest(c.text))
		case at[col.Name] > 0:
			p.fault(c.line, col.Name, "stands twice, in columns %d and %d: leave one of them", at[col.Name], i+1)
		default:
			at[col.Name] = i + 1
		}
		p.cols = append(p.cols, col)
		p.former = p.former || col != nil && col.Retired
	}
	for _, c := range Columns {
		if c.Must && at[c.Name] == 0 {
			p.fault(row[0].line, c.Name, "the column is missing: name one so in this line")
		}
	}
	return len(p.faults) == 0
}

func nearest(name string) string {
	near := fault.Nearest(strings.ReplaceAll(fusion.Folded(name), " ", "_"), Names(), 2)
	if len(near) == 0 {
		return "; take the names from --template"
	}
	return "; is " + either(near) + " meant?"
}

// row reads one row, in the order of the columns and not of the file: a time
// needs its date.
func (p *page) row(row []cell) Row {
	before := len(p.faults)
	no := row[0].line
	given, sound := p.given(row)
	if !sound {
		return Row{No: no, Faulty: true}
	}
	if len(p.faults) == before && onlyAt(row, p.at[colJoint]-1) {
		return Row{No: no, Empty: true}
	}
	r, again := reading{zone: p.zone}, isAgain(given)
	line := Row{No: no}
	if p.sheet != "" {
		line.page = p
	}
	var key []string
	for i := range Columns {
		col := &Columns[i]
		c, ok := given[col.Name]
		if !ok {
			c.line = no
		}
		if again && c.text == "" && col.Name == logbook.FieldOutcome {
			continue
		}
		kept := p.value(&r, col, c)
		if kept != "" {
			key = append(key, col.Name+"="+kept)
		} else if col.Say && !again && p.due(r.w, col.Name) {
			line.Blank = append(line.Blank, col.Name)
		}
	}
	note := func(column, what string) { p.fault(cmp.Or(given[column].line, no), column, "%s", what) }
	r.inOrder(note)
	contradicts(r.w, note)
	p.asALook(&r, given, no)
	p.checkWhole(&r, given, no)
	line.Key, line.weld = logbook.Hash(strings.ToLower(strings.Join(key, "\x1f"))), r.done()
	line.weld.FormerCard = p.former
	if twin := p.seen[line.Key]; twin > 0 && len(p.faults) == before {
		p.fault(no, "", "joint %s, the same as line %d: take one of them out", line.weld.Joint, twin)
	}
	p.seen[line.Key] = cmp.Or(p.seen[line.Key], no)
	line.Faulty = len(p.faults) > before
	return line
}

// given are the cells of a row by column. A row of another length than the
// head was cut wrongly, so nothing in it is where it should be.
func (p *page) given(row []cell) (map[string]cell, bool) {
	last := len(row)
	for last > len(p.cols) && row[last-1].text == "" {
		last--
	}
	given := map[string]cell{}
	if last != len(p.cols) {
		why := "cells are missing, or another separator stands between them"
		if last > len(p.cols) {
			why = "a cell with the separator in it must stand in quotation marks"
		}
		p.fault(row[0].line, "", "%s, and the head names %d columns: %s", logbook.Count(last, "cell"), len(p.cols), why)
		return given, false
	}
	for i, c := range row[:last] {
		switch {
		case p.cols[i] != nil:
			given[p.cols[i].Name] = c
		case c.text != "":
			p.faultIn(c.line, i, "column %d has no name, and %s stands in it: name the column, or take that out", i+1, fault.Quote(c.text))
		}
	}
	return given, true
}

// value reads one cell and gives it as it is kept, "" where nothing was given.
func (p *page) value(r *reading, col *Column, c cell) string {
	if col.Tick != "" && isOne(noTicks, c.text) {
		c.text = ""
	}
	switch {
	case c.bad != "":
		p.fault(c.line, col.Name, "%s %s", fault.Quote(c.text), c.bad)
		return c.text
	case c.text == "" && col.Must:
		p.fault(c.line, col.Name, "is blank; without it the weld cannot be taken in: %s", col.writes())
		return ""
	case c.text == "":
		return ""
	case isError(c.text):
		p.fault(c.line, col.Name, "%s is a spreadsheet's error: %s", fault.Quote(c.text), col.writes())
		return c.text
	case strings.HasPrefix(c.text, "="):
		p.fault(c.line, col.Name, "%s is a formula: %s", fault.Quote(c.text), col.writes())
		return c.text
	case isOne(dittos, c.text):
		p.fault(c.line, col.Name, "%s stands for the line above: %s", fault.Quote(c.text), col.writes())
		return c.text
	case col.Tick != "" && isOne(crosses, c.text):
		p.fault(c.line, col.Name, "%s can say yes or no: %s", fault.Quote(c.text), col.writes())
		return c.text
	case col.Tick != "" && isOne(ticks, c.text):
		c.text = col.Tick
	}
	for _, x := range c.text {
		if !unicode.IsGraphic(x) || x == unicode.ReplacementChar {
			p.fault(c.line, col.Name, "%s holds the character %U, which cannot be read: take it out", fault.Quote(c.text), x)
			return ""
		}
	}
	kept, err := col.read(r, c.text)
	if err != nil {
		p.fault(c.line, col.Name, "%s", col.mend(c.text, err))
		return c.text // it is not blank
	}
	return kept
}

// mend is what is wrong with a cell: what was typed, why it is not taken, and what to
// write.
func (c Column) mend(said string, err error) string {
	what := err.Error()
	if !strings.Contains(what, fault.Quote(said)) {
		what = fault.Quote(said) + ": " + what
	}
	if strings.Contains(what, "too many") {
		return what + ": shorten it"
	}
	if !strings.Contains(what, "write ") && !strings.Contains(what, "type ") {
		what += ": " + c.writes()
	}
	return what
}

// writes is what to write in a column.
func (c Column) writes() string {
	s := fmt.Sprintf("write it as %s (%s)", c.Example, c.Hint())
	if len(c.Choices) > 0 && !c.Free {
		s = "write " + either(c.Choices)
	}
	if !c.Must {
		s += ", or leave it blank"
	}
	return s
}

// due tells whether a blank column would have had something to say: no seconds run after
// a fusion that was not completed, no method where there was no scraping, no line of a
// card that was not asked.
func (p *page) due(w logbook.Weld, column string) bool {
	card := logbook.Weld{Card: logbook.ThisCard}
	if p.former {
		card.Card = 0
	}
	onCard := func(i logbook.PrepItem) bool { return i.Item == column }
	switch {
	case column == logbook.FieldRun:
		return w.Outcome == logbook.Completed
	case column == colStopped:
		return w.Outcome == logbook.Stopped
	case column == colMethod:
		return w.Answers[logbook.ItemScraped].V != logbook.CouldNot
	case slices.ContainsFunc(cards, onCard):
		return slices.ContainsFunc(card.PrepItems(), onCard)
	}
	return w.Outcome != logbook.Stopped || !ofALook(column)
}

// cards are the lines of all cards that there were.
var cards = slices.Concat(logbook.PrepItems, logbook.Weld{}.PrepItems())

// contradicts notes cells of a row that cannot both be so.
func contradicts(w logbook.Weld, note func(column, what string)) {
	if w.Outcome == logbook.Completed && w.StoppedAt != nil {
		note(colStopped, fmt.Sprintf("is filled in, and the outcome is %s: one of them is wrong", w.Outcome))
	}
}

// done is the weld of a row. What is left blank of a look is not said; where all is,
// the look is still to come.
func (r *reading) done() acts.LateWeld {
	if r.again {
		return r.looked()
	}
	l := acts.LateOf(r.w)
	l.Look.When = logbook.LookHot
	l.Started, l.Ended, l.Released, l.CutOut, l.Remarks = r.started, r.ended, r.released, r.cutOut, r.remarks
	l.HoldStated = !l.Ended.IsZero()
	l.Check = r.theCheck()
	return l
}
