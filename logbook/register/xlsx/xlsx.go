// Package xlsx writes a register as a workbook: a summary, then a sheet for each list, each
// value in a cell of its type.
package xlsx

import (
	"cmp"
	"fmt"
	"io"
	"math"
	"slices"
	"strings"
	"time"
	"unicode/utf8"

	"github.com/xuri/excelize/v2"

	"coolhold/logbook"
	"coolhold/logbook/register"
)

// The sheets, in their order.
const (
	Summary     = "Summary"
	Work        = "Work by chamber"
	Register    = "Register"
	Findings    = "Findings"
	Acceptances = "Acceptances"
	Pipes       = "Pipes"
	Batches     = "Batches"
	Ground      = "Ground"
	Corrections = "Corrections"
	Days        = "Welders by day"
	People      = "People"
	Units       = "Control units"
	Tests       = "Pressure tests"
	Site        = "Site"
	Enclosures  = "Enclosures"
	Tables      = "Tables used"
	Headings    = "Headings"
)

// Write writes the report as a workbook. Texts that a spreadsheet would take
// for a formula are made harmless; codes are texts and keep their zeros. Times
// are local, as the clock on site showed them. step, where it is not nil, is
// told how many of all rows are written.
func Write(w io.Writer, rep register.Report, step func(done, of int)) error {
	b := &book{f: excelize.NewFile(), rep: rep, step: step, open: rep.Opens(), over: rep.Grounds(), paper: map[[2]string]string{}}
	defer b.f.Close()
	if err := b.begin(); err != nil {
		return fmt.Errorf("the workbook is not made: %w", err)
	}
	// What is written as a stream is not touched again: any call that looks at a sheet behind
	// it (SetActiveSheet does) would read all of them back and write them anew.
	for _, sheet := range []func() error{
		b.summary, b.work, b.register, b.findings, b.acceptances, b.pipes, b.batches, b.ground, b.corrections, b.days, b.people, b.units, b.tests, b.site, b.enclosures, b.tables, b.headings,
	} {
		if err := sheet(); err != nil {
			return fmt.Errorf("the workbook is not made: %w", err)
		}
	}
	return b.f.Write(w)
}

// A book is the workbook while it is written.
type book struct {
	f    *excelize.File
	rep  register.Report
	step func(done, of int)
	open register.Opens

	over  register.Grounds     // the ground over its joints
	paper map[[2]string]string // by sheet and heading: whether that is printed

	hidden map[int]bool // columns of the sheet that is begun in which nothing stands, from 0
	across []float64    // widths of the columns that are printed, where not all are
	a3     bool         // of the sheet that is begun: it is printed on A3
	high   float64      // of the sheet that is begun, in points: it goes on one page; 0: on as many as it takes

	head, text, number, moment, day                   int // styles
	markedText, markedNumber, markedMoment, markedDay int // of a value that was corrected
}

func (b *book) begin() error {
	at := b.rep.AsOf.UTC().Format(time.RFC3339)
	if err := b.f.SetDocProps(&excelize.DocProperties{Title: "Register of welds: " + logbook.Clean(b.rep.Site.Name), Creator: cmp.Or(b.rep.Program, "coolhold"), Created: at, Modified: at}); err != nil {
		return err
	}
	stamp, day, top := "yyyy-mm-dd hh:mm:ss", "yyyy-mm-dd", &excelize.Alignment{Vertical: "top"}
	wrapped := &excelize.Alignment{Horizontal: "left", Vertical: "top", Indent: 1, WrapText: true}
	font, err := b.f.GetDefaultFont() // a font that is not named is another one than that of all other cells
	if err != nil {
		return err
	}
	head, marked := &excelize.Font{Bold: true, Family: font, Size: 11}, &excelize.Font{Italic: true, Bold: true, Underline: "single", Family: font, Size: 11}
	for _, s := range []struct {
		into  *int
		style excelize.Style
	}{
		{&b.head, excelize.Style{Font: head, Border: under(), Alignment: wrapped}},
		{&b.text, excelize.Style{NumFmt: 49, Alignment: wrapped}}, // "@": a text stays one when it is edited
		{&b.number, excelize.Style{Alignment: top}},
		{&b.moment, excelize.Style{CustomNumFmt: &stamp, Alignment: top}},
		{&b.day, excelize.Style{CustomNumFmt: &day, Alignment: top}},
		// A line under the text is that of its own cell: a border would be read as one over the next weld.
		{&b.markedText, excelize.Style{NumFmt: 49, Font: marked, Alignment: wrapped}},
		{&b.markedNumber, excelize.Style{Font: marked, Alignment: top}},
		{&b.markedMoment, excelize.Style{CustomNumFmt: &stamp, Font: marked, Alignment: top}},
		{&b.markedDay, excelize.Style{CustomNumFmt: &day, Font: marked, Alignment: top}},
	} {
		id, err := b.f.NewStyle(&s.style)
		if err != nil {
			return err
		}
		*s.into = id
	}
	return b.f.SetSheetName("Sheet1", Summary)
}

func under() []excelize.Border {
	return []excelize.Border{{Type: "bottom", Color: "000000", Style: 1}}
}

// A sheet is written row by row.
type sheet struct {
	*excelize.StreamWriter
	name   string
	row    int
	widths []float64 // of the columns that say how high a row is
}

// sheet begins a sheet. Widths are in characters.
func (b *book) sheet(name string, widths ...float64) (*sheet, error) {
	if _, err := b.f.NewSheet(name); err != nil {
		return nil, err
	}
	across := widths
	if b.across != nil {
		across = b.across
	}
	seen := slices.Clone(across)
	for i := range seen {
		if b.hidden[i] {
			seen[i] = 0
		}
	}
	if err := b.printed(name, seen); err != nil {
		return nil, err
	}
	w, err := b.f.NewStreamWriter(name)
	if err != nil {
		return nil, err
	}
	for i, width := range widths {
		if err := w.SetColWidth(i+1, i+1, width); err != nil {
			return nil, err
		}
		if b.hidden[i] {
			if err := w.SetColVisible(i+1, i+1, false); err != nil {
				return nil, err
			}
		}
	}
	return &sheet{StreamWriter: w, name: name, widths: seen}, nil
}

// fullWidth is about how many characters one page (A4, landscape) takes across as they are,
// fullWidthA3 the same of A3.
const fullWidth, fullWidthA3 = 98.0, 144.0

// The sizes of paper, by the numbers that a workbook has for them.
const (
	paperA3 = 8
	paperA4 = 9
)

// pageWidth is about how many characters are read on one page across (A4, landscape, made
// smaller by a third).
const pageWidth = 190

// readWidth is about how many characters stand on that page made smaller by no more than three
// tenths.
const readWidth = fullWidth / 0.7

// pageHigh is about how many points of rows are on a page (A4, landscape) as they are; what is
// smaller than least, in hundredths, is not read: it goes on another page.
const pageHigh, least = 480.0, 50

// printed says how a sheet is printed: landscape, one page wide, on A3 where that could not be
// read on A4, with the site, the time and the page on each.
func (b *book) printed(name string, widths []float64) error {
	all := 0.0
	for _, w := range widths {
		all += w
	}
	paper, full, across := paperA4, fullWidth, "landscape"
	if b.a3 || all > pageWidth {
		paper, full = paperA3, fullWidthA3
	}
	scale := uint(min(100, 100*full/all)) // one page wide is what is left out of the file, and then read as any number
	if b.high > 0 {
		scale = max(min(scale, uint(100*pageHigh/b.high)), least)
	}
	layout := excelize.PageLayoutOptions{Size: &paper, Orientation: &across, AdjustTo: &scale}
	if err := b.f.SetPageLayout(name, &layout); err != nil {
		return err
	}
	return b.f.SetHeaderFooter(name, &excelize.HeaderFooterOptions{
		OddHeader: "&L" + inHeader(b.rep.Site.Name) + "&RRegister of welds: &A",
		OddFooter: "&Las of " + b.rep.AsOf.Format("2006-01-02 15:04 -07:00") + "&RPage &P of &N",
	})
}

// inHeader is a text for the head of a page, where & begins an order and 255 characters are
// all there is.
func inHeader(text string) string {
	text = logbook.Clean(text)
	if cut := []rune(text); len(cut) > 60 {
		text = string(cut[:59]) + "…"
	}
	return strings.ReplaceAll(text, "&", "&&")
}

// hide hides a sheet in which nothing stands: it would be printed as a page. The file's own
// call for that reads back all sheets that are written as streams.
func (b *book) hide(name string) {
	for i, s := range b.f.WorkBook.Sheets.Sheet {
		if s.Name == name {
			b.f.WorkBook.Sheets.Sheet[i].State = "hidden"
		}
	}
}

// printArea leaves columns behind the first few out of what is printed.
func (b *book) printArea(name string, columns, rows int) error {
	last, err := excelize.CoordinatesToCellName(columns, rows, true)
	if err != nil {
		return err
	}
	return b.f.SetDefinedName(&excelize.DefinedName{Name: "_xlnm.Print_Area", Scope: name, RefersTo: fmt.Sprintf("'%s'!$A$1:%s", name, last)})
}

// repeated are the first row of a sheet, and the columns that say which row it is, on every
// page.
func (b *book) repeated(name string, columns int) error {
	last, err := excelize.ColumnNumberToName(columns)
	if err != nil {
		return err
	}
	return b.f.SetDefinedName(&excelize.DefinedName{
		Name: "_xlnm.Print_Titles", Scope: name, RefersTo: fmt.Sprintf("'%[1]s'!$A:$%[2]s,'%[1]s'!$1:$1", name, last),
	})
}

// The height of a line of a cell in points, and of the highest row that a program takes.
const lineHigh, mostHigh = 15.0, 409.0

// high is the height of a row in which texts wrap: some programs draw a row without one a
// line high, over those below it.
func (s *sheet) high(cells []any) float64 { return high(cells, s.widths) }

func high(cells []any, widths []float64) float64 {
	most := 1
	for i, c := range cells {
		cell, _ := c.(excelize.Cell)
		text, said := cell.Value.(string)
		if !said || i >= len(widths) || widths[i] == 0 { // nobody sees it
			continue
		}
		lines := 0
		for _, part := range strings.Split(text, "\n") {
			lines += 1 + int(float64(utf8.RuneCountInString(part))/(0.9*widths[i]))
		}
		most = max(most, lines)
	}
	return min(lineHigh*float64(most), mostHigh)
}

func (s *sheet) add(cells ...any) error { return s.addHigh(s.high(cells), cells) }

func (s *sheet) addHigh(points float64, cells []any) error {
	s.row++
	at, err := excelize.CoordinatesToCellName(1, s.row)
	if err != nil {
		return err
	}
	return s.SetRow(at, cells, excelize.RowOpts{Height: points})
}

// inHead is how many bold letters of a head a column takes across, and wide the column for
// so many.
func inHead(width float64) int { return max(1, int(0.9*(width-2))) }

func wide(letters int) float64 { return math.Ceil(float64(letters)/0.9) + 2 }

// headHigh makes columns as wide as the longest word of their heads, so that none is broken, and
// is the height of a row in which no line of them is cut. Of those that are hidden nobody sees it.
func headHigh(heads []string, widths []float64, hidden map[int]bool) float64 {
	most := 1
	for i, head := range heads {
		words := strings.Fields(head)
		for _, word := range words {
			widths[i] = max(widths[i], wide(utf8.RuneCountInString(word)))
		}
		lines, on := 0, 0
		for _, word := range words {
			n := utf8.RuneCountInString(word)
			if lines == 0 || on+1+n > inHead(widths[i]) {
				lines, on = lines+1, n
				continue
			}
			on += 1 + n
		}
		if !hidden[i] {
			most = max(most, lines)
		}
	}
	return lineHigh * float64(most)
}

// list begins a sheet that is one list: head and first columns frozen and on every page, a
// filter over all rows.
func (b *book) list(name string, rows, first int, heads []string, widths []float64) (*sheet, error) {
	high := headHigh(heads, widths, b.hidden)
	s, err := b.sheet(name, widths...)
	if err != nil {
		return nil, err
	}
	below, err := excelize.CoordinatesToCellName(first+1, 2)
	if err != nil {
		return nil, err
	}
	err = s.SetPanes(&excelize.Panes{Freeze: true, XSplit: first, YSplit: 1, TopLeftCell: below, ActivePane: "bottomRight"})
	if err != nil {
		return nil, err
	}
	if err := b.repeated(name, first); err != nil {
		return nil, err
	}
	last, err := excelize.CoordinatesToCellName(len(heads), rows+1)
	if err != nil {
		return nil, err
	}
	if err := b.f.AutoFilter(name, "A1:"+last, nil); err != nil {
		return nil, err
	}
	cells := make([]any, len(heads))
	for i, h := range heads {
		cells[i] = excelize.Cell{StyleID: b.head, Value: h}
	}
	return s, s.addHigh(high, cells)
}

// say is a text in a cell; nothing where there is none. A cell that is typed as text
// is never run, so it needs no mark before a sign.
func (b *book) say(text string) any {
	if text == "" {
		return nil
	}
	return excelize.Cell{StyleID: b.text, Value: logbook.Clean(text)}
}

// at is a time in a cell of its kind.
func (b *book) at(t time.Time) any { return excelize.Cell{StyleID: b.moment, Value: local(t)} }

// counted is a number in a cell.
func (b *book) counted(n any) any { return excelize.Cell{StyleID: b.number, Value: n} }

// date is what was written as a day or a time, in a cell of that kind; what is neither stays
// as it was written.
func (b *book) date(text string) any {
	if t, err := time.Parse(time.DateOnly, text); err == nil {
		return excelize.Cell{StyleID: b.day, Value: t}
	}
	for _, layout := range []string{time.RFC3339, "2006-01-02 15:04", time.DateTime} {
		if t, err := time.Parse(layout, text); err == nil {
			return b.at(t)
		}
	}
	return b.say(text)
}

func (b *book) says(texts ...string) []any {
	var cells []any
	for _, t := range texts {
		cells = append(cells, b.say(t))
	}
	return cells
}

// local is a time as a spreadsheet holds it: without zone, so as the clock on
// site showed it.
func local(t time.Time) time.Time {
	return time.Date(t.Year(), t.Month(), t.Day(), t.Hour(), t.Minute(), t.Second(), 0, time.UTC)
}

// cell is a value in a cell of its type; one that was corrected is marked.
func (b *book) cell(row register.Row, c register.Column) any {
	v, style, marked := c.Cell(row), b.number, b.markedNumber
	if day, ok := v.(string); ok && c.Kind == register.Date {
		if t, err := time.Parse(time.DateOnly, day); err == nil {
			v, style, marked = t, b.day, b.markedDay
		}
	} else if t, ok := v.(time.Time); ok {
		v, style, marked = local(t), b.moment, b.markedMoment
	}
	if text, said := v.(string); said {
		v, style, marked = logbook.Clean(text), b.text, b.markedText
	}
	if len(row.Weld.Corrections) > 0 {
		if was := row.Was(c.Name); was != "" {
			if style = marked; v == nil { // else it is found by what it is
				v = logbook.Clean(cmp.Or(row.Now(c.Name), "blank") + " (" + was + ")")
			}
			return excelize.Cell{StyleID: style, Value: v}
		}
	}
	if v == nil {
		return nil
	}
	return excelize.Cell{StyleID: style, Value: v}
}
