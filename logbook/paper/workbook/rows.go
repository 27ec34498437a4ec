package workbook

import (
	"archive/zip"
	"encoding/xml"
	"fmt"
	"strconv"
	"strings"
	"unicode"
)

type xmlRow struct {
	R      int       `xml:"r,attr"`
	Hidden string    `xml:"hidden,attr"`
	Cells  []xmlCell `xml:"c"`
}

type xmlCell struct {
	R  string    `xml:"r,attr"`
	T  string    `xml:"t,attr"`
	S  int       `xml:"s,attr"`
	V  *string   `xml:"v"`
	F  *struct{} `xml:"f"`
	Is *xmlText  `xml:"is"`
}

type xmlCols struct {
	Min    int    `xml:"min,attr"`
	Max    int    `xml:"max,attr"`
	Hidden string `xml:"hidden,attr"`
}

type xmlMerge struct {
	Ref string `xml:"ref,attr"`
}

// rows reads the rows of a sheet in which something stands.
func (b *book) rows(f *zip.File) ([]Row, error) {
	var rows []Row
	var hidden []xmlCols
	last := 0
	err := each(f, map[string]func(*xml.Decoder, xml.StartElement) error{
		"col": decoded(func(c xmlCols) error {
			if isTrue(c.Hidden) {
				hidden = append(hidden, c)
			}
			return nil
		}),
		"row": decoded(func(x xmlRow) error {
			if x.R == 0 {
				x.R = last + 1
			}
			last = x.R
			row := Row{No: x.R, Cells: b.row(x, hidden)}
			if b.cells += len(row.Cells); b.cells > mostCells {
				return errLarge
			}
			if len(row.Cells) > 0 {
				rows = append(rows, row)
			}
			return nil
		}),
		"mergeCell": decoded(func(m xmlMerge) error { merge(rows, m.Ref); return nil }),
	})
	return rows, err
}

func (b *book) row(x xmlRow, hidden []xmlCols) (cells []Cell) {
	col := -1
	for _, c := range x.Cells {
		if at, _, ok := place(c.R); ok {
			col = at
		} else {
			col++
		}
		text, bad := b.cell(c)
		if strings.TrimSpace(text) == "" && bad == "" {
			continue
		}
		out := Cell{col, text, bad}
		for _, h := range hidden {
			if col+1 >= h.Min && col+1 <= h.Max {
				out.Bad = "stands in a hidden column: show the column, look at it, and save again"
			}
		}
		if isTrue(x.Hidden) {
			out.Bad = "stands in a hidden row: show the row (take the filter off), look at it, and save again"
		}
		cells = append(cells, out)
	}
	return cells
}

// cell is what stands in a cell, and why it cannot be taken as it is.
func (b *book) cell(c xmlCell) (text, bad string) {
	v := ""
	if c.V != nil {
		v = strings.TrimSpace(*c.V)
	}
	switch {
	case c.Is != nil:
		return c.Is.text(), ""
	case c.F != nil && v == "" && c.T != "str":
		return "=", "is a formula without its result: open the file in the spreadsheet, or write the value, and save again"
	case v == "":
		return "", ""
	}
	switch c.T {
	case "s":
		i, err := strconv.Atoi(v)
		if err != nil || i < 0 || i >= len(b.strings) {
			return v, "is a text that the workbook does not have: save it again"
		}
		return b.strings[i], ""
	case "str", "inlineStr":
		return unescaped(*c.V), ""
	case "b":
		return map[bool]string{true: "TRUE", false: "FALSE"}[isTrue(v)], ""
	case "e":
		return v, "is a spreadsheet's error: write the value"
	case "d":
		return isoText(v), ""
	}
	return b.number(v, c.S)
}

// merge marks what is written over several cells: of which of them it was said is not
// known.
func merge(rows []Row, ref string) {
	from, to, ok := strings.Cut(ref, ":")
	col, no, first := place(from)
	if !ok || !first || from == to {
		return
	}
	for _, r := range rows {
		for i := range r.Cells {
			if r.No == no && r.Cells[i].Col == col {
				r.Cells[i].Bad = fmt.Sprintf("stands over the merged cells %s: part them, write it into each, and save again", ref)
			}
		}
	}
}

// place is where a cell is: "K7" is column 10 of row 7.
func place(ref string) (col, row int, ok bool) {
	letters := strings.TrimRight(ref, "0123456789")
	row, err := strconv.Atoi(ref[len(letters):])
	if err != nil || letters == "" || len(letters) > 3 {
		return 0, 0, false
	}
	for _, c := range letters {
		if c < 'A' || c > 'Z' {
			return 0, 0, false
		}
		col = col*26 + int(c-'A') + 1
	}
	return col - 1, row, true
}

// Name is what a spreadsheet calls a cell.
func Name(col, row int) string {
	letters := ""
	for n := col + 1; n > 0; n = (n - 1) / 26 {
		letters = string(rune('A'+(n-1)%26)) + letters
	}
	return letters + strconv.Itoa(row)
}

// unescaped takes back how a workbook writes a control character: _x000D_.
func unescaped(s string) string {
	for from := 0; ; {
		i := strings.Index(s[from:], "_x")
		if i < 0 {
			return s
		}
		i += from
		from = i + 2
		if len(s) < i+7 || s[i+6] != '_' {
			continue
		}
		n, err := strconv.ParseUint(s[i+2:i+6], 16, 16)
		if r := rune(n); err == nil && (unicode.IsControl(r) || r == '_') {
			s = s[:i] + string(r) + s[i+7:]
			from = i + 1
		}
	}
}
