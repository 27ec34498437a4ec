package paper

import (
	"fmt"
	"strings"

	"coolhold/logbook/fault"
	"coolhold/logbook/paper/workbook"
)

// A typing is a file as rows of cells, the names of the columns first.
type typing struct {
	sheet  string // of a workbook; "" of a text
	rows   [][]cell
	broken *fault.Fault // after which nothing was read
}

// typingOf reads a file, be it a text with separators or a workbook.
func typingOf(data []byte) (typing, fault.List) {
	if len(data) > fault.MaxBytes {
		return typing{}, fault.List{{Line: 1, What: "the file is larger than 1 MiB: is it the right file?"}}
	}
	if workbook.Is(data) {
		return ofWorkbook(data)
	}
	text, faults := decode(data)
	if faults != nil {
		return typing{}, faults
	}
	rows, broken := cells(text)
	return typing{rows: fromHead(rows), broken: broken}, nil
}

// ofWorkbook finds the sheet of a workbook that has the columns. Others may hold what
// they will.
func ofWorkbook(data []byte) (typing, fault.List) {
	sheets, err := workbook.Read(data)
	if err != nil {
		return typing{}, fault.List{{Line: 1, What: err.Error()}}
	}
	var found, with []typing
	for _, s := range sheets {
		t := typing{s.Name, fromHead(wide(s.Rows)), nil}
		if len(t.rows) == 0 {
			continue
		}
		if with = append(with, t); named(texts(t.rows[0])) >= enough {
			found = append(found, t)
		}
	}
	if filled := filledOf(found); len(filled) > 0 {
		found = filled
	}
	switch {
	case len(found) > 1:
		var names []string
		for _, t := range found {
			names = append(names, fmt.Sprintf("%q", fault.Brief(t.sheet)))
		}
		return typing{}, fault.List{{Line: 1, What: "the sheets " + strings.Join(names, " and ") + " both have the columns: leave one of them in the file, and take the other in from a file of its own"}}
	case len(found) == 1:
		return found[0], nil
	case len(with) == 1:
		return with[0], nil // its first row is told of as that with the names
	}
	return typing{}, fault.List{{Line: 1, What: "no sheet of the workbook has a row with the names of the columns (see --template)"}}
}

// filledOf are those in which more stands than the names and the joints.
func filledOf(all []typing) (out []typing) {
	for _, t := range all {
		joint := -1
		for i, c := range t.rows[0] {
			if col, known := columnOf(c.text); known && col.Name == colJoint {
				joint = i
			}
		}
		for _, row := range t.rows[1:] {
			if !onlyAt(row, joint) {
				out = append(out, t)
				break
			}
		}
	}
	return out
}

// onlyAt tells whether a row has nothing but its joint.
func onlyAt(row []cell, joint int) bool {
	for i, c := range row {
		if i != joint && c.text != "" {
			return false
		}
	}
	return true
}

// wide are rows as a table: every row as wide as the widest.
func wide(rows []workbook.Row) [][]cell {
	width := 0
	for _, r := range rows {
		width = max(width, r.Cells[len(r.Cells)-1].Col+1)
	}
	if width > mostColumns {
		width = mostColumns
	}
	out := make([][]cell, len(rows))
	for i, r := range rows {
		out[i] = make([]cell, width)
		for k := range out[i] {
			out[i][k].line = r.No
		}
		for _, c := range r.Cells {
			if c.Col < width {
				out[i][c.Col].text, out[i][c.Col].bad = bare(c.Text), c.Bad
			} else {
				out[i][width-1] = cell{r.No, bare(c.Text), "stands far to the right of the columns: take it out"}
			}
		}
	}
	return out
}

// mostColumns is how wide a table may be: our choice.
const mostColumns = 256

func texts(row []cell) []string {
	out := make([]string, len(row))
	for i, c := range row {
		out[i] = c.text
	}
	return out
}
