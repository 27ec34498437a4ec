package acts

import (
	"bytes"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"

	"coolhold/fusion"
	"coolhold/logbook"
	"coolhold/logbook/fault"
)

// codeColumns head the file by which one crew teaches another. Files of an older
// coolhold end before who taught.
var codeColumns = []string{"code", "fitting", "table", "taught_by"}

const olderColumns = 3

// WriteCodes writes codes as CSV: the digits, the fitting's name, the hash of the
// table whose row it is, and who taught it.
func WriteCodes(w io.Writer, codes []logbook.Taught) error {
	out := csv.NewWriter(w)
	if err := out.Write(codeColumns); err != nil {
		return err
	}
	for _, c := range codes {
		if err := out.Write([]string{c.Code, c.Fitting, c.Table, c.Teacher()}); err != nil {
			return err
		}
	}
	out.Flush()
	return out.Error()
}

// A CodeLine is one code of a file.
type CodeLine struct {
	Line                 int
	Code, Fitting, Table string
	TaughtBy             string // "": the file does not say
}

// Misread tells whether the last digit is not the check digit of the others. It is
// from memory that it is meant as one, so that nothing is refused for it.
func (l CodeLine) Misread() bool { return fusion.ReadCode(l.Code).Check == fusion.CheckDiffers }

// ReadCodes reads what WriteCodes wrote. The error is a fault.List.
func ReadCodes(data []byte) ([]CodeLine, error) {
	rows, end, err := codeRows(data)
	if err != nil {
		return nil, err
	}
	var lines []CodeLine
	var faults fault.List
	seen := map[string]int{}
	for _, row := range rows[1:] {
		code := fusion.ReadCode(row.cells[0])
		if why := row.wrong(code, len(rows[0].cells), seen[code.Raw]); why != "" {
			faults = append(faults, fault.Fault{Line: row.line, What: why})
			continue
		}
		seen[code.Raw] = row.line
		by := strings.TrimSpace(strings.Join(row.cells[olderColumns:], ""))
		lines = append(lines, CodeLine{row.line, code.Raw, row.cells[1], row.cells[2], by})
	}
	if len(lines) == 0 && len(faults) == 0 && end == nil {
		faults = append(faults, fault.Fault{Line: 1, What: "no code in it"})
	}
	if faults = append(faults, end...); len(faults) > 0 {
		return nil, faults.InOrder(0)
	}
	return lines, nil
}

// A codeRow is a row of the file with the line it begins on.
type codeRow struct {
	line  int
	cells []string
}

// wrong says why a row is no code, "" where it is one; before is the line in which the
// code stands already.
func (r codeRow) wrong(code fusion.Code, width, before int) string {
	switch {
	case len(r.cells) != width:
		return fmt.Sprintf("%s, not %d", logbook.Count(len(r.cells), "value"), width)
	case code.Form != fusion.FusionData:
		return fmt.Sprintf("%s is no code of a fitting type: it has 24 digits; a spreadsheet may have made a number of it", fault.Quote(r.cells[0]))
	case before > 0:
		return fmt.Sprintf("code %s stands in line %d already", code.Raw, before)
	}
	return ""
}

// codeRows splits the file into its rows, of which the first names the columns. What
// follows a fault of the quotation marks cannot be read: that is end.
func codeRows(data []byte) (rows []codeRow, end fault.List, err error) {
	if len(data) > fault.MaxBytes {
		return nil, nil, fault.List{{Line: 1, What: "the file is larger than 1 MiB: split it; nothing of it was read"}}
	}
	in := csv.NewReader(bytes.NewReader(bytes.TrimPrefix(data, []byte("\xef\xbb\xbf"))))
	in.FieldsPerRecord = -1
	cells, stop := in.Read()
	for ; stop == nil; cells, stop = in.Read() {
		line, _ := in.FieldPos(0)
		rows = append(rows, codeRow{line, cells})
	}
	if at := new(csv.ParseError); errors.As(stop, &at) {
		end = fault.List{{Line: at.StartLine, What: "a quotation mark stands inside a value or is not closed; the rest was not read"}}
	}
	if len(rows) == 0 && end != nil {
		return nil, nil, end
	}
	return rows, end, headed(rows)
}

// headed refuses a file that does not begin as WriteCodes does.
func headed(rows []codeRow) error {
	first := codeRow{line: 1}
	if len(rows) > 0 {
		first = rows[0]
	}
	n := len(first.cells)
	if n < olderColumns || !slices.Equal(first.cells, codeColumns[:min(n, len(codeColumns))]) {
		return fault.List{{Line: first.line, What: fmt.Sprintf("the first line is %s, not %q: write it with coolhold codes export",
			fault.Quote(strings.Join(first.cells, ",")), strings.Join(codeColumns, ","))}}
	}
	return nil
}

// TakeCodes teaches all codes of a file, or none. Those that are taught alike
// already are passed over. Each must name a table that the site uses, text for
// text: another print may have other times under the same name.
func TakeCodes(h Head, lines []CodeLine) Act {
	return func(r logbook.Reader) ([]logbook.Draft, error) {
		s, ok := r.Site(h.Site)
		if !ok {
			return nil, fmt.Errorf("site %q: %w", h.Site, logbook.ErrUnknown)
		}
		if err := named(h, "teaching codes"); err != nil {
			return nil, err
		}
		var drafts []logbook.Draft
		shelf, taught := logbook.ShelfOf(s), map[string]logbook.Taught{}
		for t := range s.Codes.All() {
			taught[t.Code] = t
		}
		for _, l := range lines {
			row, err := shelf.Row(l.Fitting)
			if err != nil {
				return nil, fmt.Errorf("line %d: %w", l.Line, err)
			}
			if row.Ref.Hash != l.Table {
				return nil, logbook.Refuse("line %d: %s is in table %s there and in table %s here: take the same table, or teach it from the bag", l.Line, l.Fitting, l.Table, row.Ref.Hash)
			}
			was, had := taught[l.Code]
			switch {
			case had && was.Fitting == l.Fitting && was.Table == l.Table:
				continue
			case had && was.Fitting != l.Fitting:
				return nil, logbook.Refuse("line %d: code %s is taught as %s here and as %s there: look at the bag, then coolhold codes teach", l.Line, l.Code, was.Fitting, l.Fitting)
			}
			drafts = append(drafts, h.draft(logbook.CodeTaught{Code: l.Code, Fitting: l.Fitting, Table: l.Table, Imported: true, TaughtBy: l.TaughtBy}))
		}
		return drafts, nil
	}
}
