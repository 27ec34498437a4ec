package acts

import (
	"bytes"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
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
	in := csv.NewReader(bytes.NewReader(bytes.TrimPrefix(data, []byte("\xef\xbb\xbf"))))
	in.FieldsPerRecord = -1
	var lines []CodeLine
	var faults fault.List
	seen := map[string]int{}
	width := 0
	for n := 0; ; n++ {
		row, err := in.Read()
		if errors.Is(err, io.EOF) {
			break
		}
		line, _ := in.FieldPos(0)
		var why string
		switch {
		case err != nil:
			faults = append(faults, fault.Fault{Line: line, What: err.Error()})
			return nil, faults
		case n == 0 && strings.Join(row, ",") != strings.Join(codeColumns[:min(len(row), len(codeColumns))], ",") || n == 0 && len(row) < olderColumns:
			return nil, append(faults, fault.Fault{Line: line, What: fmt.Sprintf("the first line is %q, not %q: write it with coolhold codes export", strings.Join(row, ","), strings.Join(codeColumns, ","))})
		case n == 0:
			width = len(row)
			continue
		case len(row) != width:
			why = fmt.Sprintf("%s, not %d", logbook.Count(len(row), "value"), width)
		case fusion.ReadCode(row[0]).Form != fusion.FusionData:
			why = fmt.Sprintf("%q is no code of a fitting type: it has 24 digits; a spreadsheet may have made a number of it", row[0])
		case seen[row[0]] > 0:
			why = fmt.Sprintf("code %s stands in line %d already", row[0], seen[row[0]])
		}
		if why != "" {
			faults = append(faults, fault.Fault{Line: line, What: why})
			continue
		}
		seen[row[0]] = line
		lines = append(lines, CodeLine{line, row[0], row[1], row[2], strings.TrimSpace(strings.Join(row[olderColumns:], ""))})
	}
	if len(seen) == 0 && len(faults) == 0 {
		faults = append(faults, fault.Fault{Line: 1, What: "no code in it"})
	}
	if len(faults) > 0 {
		return nil, faults
	}
	return lines, nil
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
		shelf := logbook.ShelfOf(s)
		for _, l := range lines {
			row, err := shelf.Row(l.Fitting)
			if err != nil {
				return nil, fmt.Errorf("line %d: %w", l.Line, err)
			}
			if row.Ref.Hash != l.Table {
				return nil, logbook.Refuse("line %d: %s is in table %s there and in table %s here: take the same table, or teach it from the bag", l.Line, l.Fitting, l.Table, row.Ref.Hash)
			}
			was, had := s.TaughtAs(l.Code)
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
