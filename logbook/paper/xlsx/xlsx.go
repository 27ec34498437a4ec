// Package xlsx writes the sheet for the van as a workbook to type into: a row a joint,
// the columns that are taken in again, and the words to choose from in lists.
package xlsx

import (
	"fmt"
	"io"
	"time"

	"github.com/xuri/excelize/v2"

	"coolhold/logbook"
	"coolhold/logbook/paper"
)

// The sheets of the workbook. Only the first is read again.
const (
	Welds  = "Welds"
	Joints = "Joints to weld"
	Words  = "Words"
)

// spare are the rows below the joints, for a second weld in a joint or another look at
// one: our choice.
const spare = 20

// Write writes the sheet as a workbook that says it was made at at.
func Write(w io.Writer, s paper.Sheet, at time.Time) error {
	b := &book{f: excelize.NewFile(), s: s}
	defer b.f.Close()
	for _, step := range []func() error{func() error { return b.begin(at) }, b.welds, b.lists, b.joints} {
		if err := step(); err != nil {
			return fmt.Errorf("the workbook is not made: %w", err)
		}
	}
	b.f.SetActiveSheet(0)
	if err := b.f.Write(w); err != nil {
		return fmt.Errorf("the workbook is not made: %w", err)
	}
	return nil
}

// A book is the workbook while it is written.
type book struct {
	f                                     *excelize.File
	s                                     paper.Sheet
	head, hint, text, day, clock, wrapped int // styles
}

func (b *book) begin(at time.Time) error {
	made := at.UTC().Format(time.RFC3339)
	if err := b.f.SetDocProps(&excelize.DocProperties{Title: "Sheet for the van: " + b.s.Site, Creator: "coolhold", Created: made, Modified: made}); err != nil {
		return err
	}
	day, clock := "yyyy-mm-dd", "hh:mm"
	top := &excelize.Alignment{Vertical: "top", WrapText: true}
	for _, s := range []struct {
		into  *int
		style excelize.Style
	}{
		{&b.head, excelize.Style{Font: &excelize.Font{Bold: true}, Border: []excelize.Border{{Type: "bottom", Color: "000000", Style: 1}}, NumFmt: 49}},
		{&b.hint, excelize.Style{Font: &excelize.Font{Italic: true, Size: 9}, Alignment: top}},
		{&b.text, excelize.Style{NumFmt: 49}}, // "@": what is typed keeps its noughts and all its digits
		{&b.wrapped, excelize.Style{NumFmt: 49, Alignment: top}},
		{&b.day, excelize.Style{CustomNumFmt: &day}},
		{&b.clock, excelize.Style{CustomNumFmt: &clock}},
	} {
		id, err := b.f.NewStyle(&s.style)
		if err != nil {
			return err
		}
		*s.into = id
	}
	if err := b.f.SetSheetName("Sheet1", Welds); err != nil {
		return err
	}
	for _, name := range []string{Joints, Words} {
		if _, err := b.f.NewSheet(name); err != nil {
			return err
		}
	}
	return nil
}

// Rows of the first sheet: what to write, the names, then a row a weld.
const (
	hintRow  = 1
	headRow  = 2
	firstRow = 3
)

func (b *book) last() int { return headRow + len(b.s.Blocks) + spare }

func (b *book) welds() error {
	for i, c := range paper.Printed() {
		name, err := excelize.ColumnNumberToName(i + 1)
		if err != nil {
			return err
		}
		for _, cell := range []struct {
			row, style int
			text       string
		}{{hintRow, b.hint, c.Hint()}, {headRow, b.head, c.Words()}} {
			at := fmt.Sprintf("%s%d", name, cell.row)
			if err := b.f.SetCellStr(Welds, at, cell.text); err != nil {
				return err
			}
			if err := b.f.SetCellStyle(Welds, at, at, cell.style); err != nil {
				return err
			}
		}
		if style := b.styleOf(c); style > 0 {
			if err := b.f.SetCellStyle(Welds, fmt.Sprintf("%s%d", name, firstRow), fmt.Sprintf("%s%d", name, b.last()), style); err != nil {
				return err
			}
		}
		if err := b.f.SetColWidth(Welds, name, name, 17); err != nil {
			return err
		}
	}
	for i, block := range b.s.Blocks {
		if err := b.f.SetCellStr(Welds, fmt.Sprintf("A%d", firstRow+i), block.Joint); err != nil {
			return err
		}
	}
	if err := b.f.SetRowHeight(Welds, hintRow, 62); err != nil {
		return err
	}
	return b.f.SetPanes(Welds, &excelize.Panes{Freeze: true, XSplit: 1, YSplit: headRow, TopLeftCell: "B3", ActivePane: "bottomRight"})
}

// styleOf keeps what is typed as it is typed: a text with its noughts, a day, a time.
func (b *book) styleOf(c paper.Column) int {
	switch {
	case c.Day:
		return b.day
	case c.Kind == logbook.AsMoment:
		return b.clock
	case c.Kind == logbook.AsText:
		return b.text
	}
	return 0
}

// lists puts the words to choose from on a sheet of their own, since a word may have a
// comma in it, and offers them in their columns.
func (b *book) lists() error {
	list := 0
	for i, c := range paper.Printed() {
		name, err := excelize.ColumnNumberToName(i + 1)
		if err != nil {
			return err
		}
		dv := excelize.NewDataValidation(true)
		dv.SetSqref(fmt.Sprintf("%s%d:%s%d", name, firstRow, name, b.last()))
		if len(c.Choices) == 0 {
			continue
		}
		list++
		words, err := excelize.ColumnNumberToName(list)
		if err != nil {
			return err
		}
		for k, word := range c.Choices {
			if err := b.f.SetCellStr(Words, fmt.Sprintf("%s%d", words, k+1), word); err != nil {
				return err
			}
		}
		dv.SetSqrefDropList(fmt.Sprintf("%s!$%s$1:$%s$%d", Words, words, words, len(c.Choices)))
		if !c.Free {
			dv.SetError(excelize.DataValidationErrorStyleStop, c.Words(), "Choose one from the list, or leave it blank.")
		}
		if err := b.f.AddDataValidation(Welds, dv); err != nil {
			return err
		}
	}
	return nil
}

// joints tells what is to be welded, and how the first sheet is filled in. None of it is
// read again.
func (b *book) joints() error {
	rows := [][]string{{b.s.Site + ", " + b.s.Day}, {paper.Caution}, {paper.How}, {paper.HowTyped}, nil, {"to weld", "planned with", "where it is", "times", "supply, and whose times", "first"}}
	for _, k := range b.s.Blocks {
		rows = append(rows, []string{k.Joint, k.Fitting, k.Place, k.Times(), k.Supply(), k.First})
	}
	for i, row := range rows {
		for k, text := range row {
			at, err := excelize.CoordinatesToCellName(k+1, i+1)
			if err != nil {
				return err
			}
			if text == "" {
				continue
			}
			if err := b.f.SetCellStr(Joints, at, text); err != nil {
				return err
			}
			style := b.wrapped
			if len(row) == 1 {
				style = b.text
			} else if i == 5 {
				style = b.head
			}
			if err := b.f.SetCellStyle(Joints, at, at, style); err != nil {
				return err
			}
		}
	}
	for i, width := range []float64{12, 20, 44, 60, 44, 40} {
		name, err := excelize.ColumnNumberToName(i + 1)
		if err != nil {
			return err
		}
		if err := b.f.SetColWidth(Joints, name, name, width); err != nil {
			return err
		}
	}
	return nil
}
