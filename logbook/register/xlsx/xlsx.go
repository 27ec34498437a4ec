// Package xlsx writes a register as a workbook: summary, register, findings and
// tables used, each value in a cell of its type.
package xlsx

import (
	"cmp"
	"fmt"
	"io"
	"time"

	"github.com/xuri/excelize/v2"

	"coolhold/logbook"
	"coolhold/logbook/register"
)

// The sheets, in their order.
const (
	Summary  = "Summary"
	Register = "Register"
	Findings = "Findings"
	Tables   = "Tables used"
)

// Write writes the report as a workbook. Texts that a spreadsheet would take
// for a formula are made harmless; codes are texts and keep their zeros. Times
// are local, as the clock on site showed them. step, where it is not nil, is
// told how many of all rows are written.
func Write(w io.Writer, rep register.Report, step func(done, of int)) error {
	b := &book{f: excelize.NewFile(), rep: rep, step: step}
	defer b.f.Close()
	if err := b.begin(); err != nil {
		return fmt.Errorf("the workbook is not made: %w", err)
	}
	for _, sheet := range []func() error{b.summary, b.register, b.findings, b.tables} {
		if err := sheet(); err != nil {
			return fmt.Errorf("the workbook is not made: %w", err)
		}
	}
	b.f.SetActiveSheet(0)
	return b.f.Write(w)
}

// A book is the workbook while it is written.
type book struct {
	f                                   *excelize.File
	rep                                 register.Report
	step                                func(done, of int)
	head, text, wrapped, moment, marked int // styles
}

func (b *book) begin() error {
	at := b.rep.AsOf.UTC().Format(time.RFC3339)
	if err := b.f.SetDocProps(&excelize.DocProperties{Title: "Register of welds: " + logbook.Clean(b.rep.Site.Name), Creator: cmp.Or(b.rep.Program, "coolhold"), Created: at, Modified: at}); err != nil {
		return err
	}
	stamp := "yyyy-mm-dd hh:mm:ss"
	for _, s := range []struct {
		into  *int
		style excelize.Style
	}{
		{&b.head, excelize.Style{Font: &excelize.Font{Bold: true}, Border: under(), Alignment: &excelize.Alignment{Vertical: "top", WrapText: true}}},
		{&b.text, excelize.Style{NumFmt: 49}}, // "@": a text stays one when it is edited
		{&b.wrapped, excelize.Style{NumFmt: 49, Alignment: &excelize.Alignment{Vertical: "top", WrapText: true}}},
		{&b.moment, excelize.Style{CustomNumFmt: &stamp}},
		{&b.marked, excelize.Style{Font: &excelize.Font{Italic: true, Bold: true}, Border: under()}},
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
	name string
	row  int
}

// sheet begins a sheet. Widths are in characters.
func (b *book) sheet(name string, widths ...float64) (*sheet, error) {
	if _, err := b.f.NewSheet(name); err != nil {
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
	}
	return &sheet{StreamWriter: w, name: name}, nil
}

func (s *sheet) add(cells ...any) error {
	s.row++
	at, err := excelize.CoordinatesToCellName(1, s.row)
	if err != nil {
		return err
	}
	return s.SetRow(at, cells)
}

// list begins a sheet that is one list: a frozen head and a filter over all
// rows.
func (b *book) list(name string, rows int, heads []string, widths []float64) (*sheet, error) {
	s, err := b.sheet(name, widths...)
	if err != nil {
		return nil, err
	}
	err = s.SetPanes(&excelize.Panes{Freeze: true, YSplit: 1, TopLeftCell: "A2", ActivePane: "bottomLeft"})
	if err != nil {
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
	return s, s.add(cells...)
}

// say is a text in a cell; nothing where there is none. A cell that is typed as text
// is never run, so it needs no mark before a sign.
func (b *book) say(text string) any {
	if text == "" {
		return nil
	}
	return excelize.Cell{StyleID: b.text, Value: logbook.Clean(text)}
}

func (b *book) long(text string) any {
	if text == "" {
		return nil
	}
	return excelize.Cell{StyleID: b.wrapped, Value: logbook.Clean(text)}
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
	v := c.Cell(row)
	style := 0
	switch x := v.(type) {
	case nil:
		v = nil
	case time.Time:
		v, style = local(x), b.moment
	case string:
		v, style = logbook.Clean(x), b.text
	}
	if was := row.Was(c.Name); was != "" {
		if text, ok := v.(string); ok {
			v = text + " (" + logbook.Clean(was) + ")"
		}
		style = b.marked
	}
	if v == nil && style == 0 {
		return nil
	}
	return excelize.Cell{StyleID: style, Value: v}
}
