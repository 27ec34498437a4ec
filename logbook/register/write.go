package register

import (
	"encoding/csv"
	"fmt"
	"io"
	"regexp"
	"strings"
	"time"
	"unicode"
	"unicode/utf8"

	"coolhold/fusion"
	"coolhold/logbook"
)

// BOM is what tells a spreadsheet that a CSV is UTF-8; other readers take it for a part of
// the first name.
const BOM = "\ufeff"

// CSV writes the rows by RFC 4180, UTF-8, a header of column names first.
// Times are RFC 3339 with their offset; a text that a spreadsheet would run as a
// formula is made harmless by a leading apostrophe. A plain number such as -42 is no
// formula, so it stands as it is. The file has no types, so a text such as +W1, which
// a spreadsheet would read as a reference to a cell, needs the apostrophe.
func CSV(w io.Writer, rep Report) error {
	out := csv.NewWriter(w)
	out.UseCRLF = true
	names := make([]string, len(Columns))
	for i, c := range Columns {
		names[i] = c.Name
	}
	if err := out.Write(names); err != nil {
		return err
	}
	cells := make([]string, len(Columns))
	for _, row := range rep.Rows {
		for i, c := range Columns {
			cells[i] = Safe(c, c.Cell(row))
		}
		if err := out.Write(cells); err != nil {
			return err
		}
	}
	out.Flush()
	return out.Error()
}

// Safe is a cell as text for a spreadsheet: cleaned, and a text that would be
// taken for a formula made harmless.
func Safe(c Column, v Value) string {
	if c.Kind == Text || c.Kind == Date {
		return Harmless(Plain(v))
	}
	return Plain(v)
}

// Plain is a value as text: times as RFC 3339 with their offset, "" where
// nothing is known.
func Plain(v Value) string {
	switch v := v.(type) {
	case nil:
		return ""
	case time.Time:
		return v.Format(time.RFC3339)
	case float64:
		return fusion.Figure(v)
	default:
		return fmt.Sprint(v)
	}
}

// formula are the characters, narrow and wide, at which a spreadsheet takes a
// text for a formula.
const formula = "=+-@\uff1d\uff0b\uff0d\uff20"

// number is a text that a spreadsheet takes for a number and shows as it is: of +1 it
// would drop the sign.
var number = regexp.MustCompile(`^-?[0-9]+([.,][0-9]+)?$`)

// Harmless guards a text cell against being run: it is cleaned, and what stands
// behind blanks of any kind is guarded too.
func Harmless(s string) string {
	s = logbook.Clean(s)
	if number.MatchString(s) {
		return s
	}
	head, size := utf8.DecodeRuneInString(strings.TrimLeftFunc(s, unicode.IsSpace))
	if size > 0 && strings.ContainsRune(formula, head) {
		return "'" + s
	}
	return s
}
