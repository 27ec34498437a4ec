package register

import (
	"bytes"
	"encoding/csv"
	"encoding/json"
	"fmt"
	"io"
	"strconv"
	"strings"
	"time"
	"unicode"
	"unicode/utf16"
	"unicode/utf8"

	"coolhold/logbook"
)

// CSV writes the rows by RFC 4180, UTF-8, a header of column names first.
// Times are RFC 3339 with their offset; a text that a spreadsheet would take
// for a formula is made harmless by a leading apostrophe.
func CSV(w io.Writer, rows []Row) error {
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
	for _, row := range rows {
		for i, c := range Columns {
			cells[i] = cell(c, c.Cell(row))
		}
		if err := out.Write(cells); err != nil {
			return err
		}
	}
	out.Flush()
	return out.Error()
}

func cell(c Column, v Value) string {
	s := plain(v)
	if c.Kind == Text {
		return harmless(logbook.Clean(s))
	}
	return s
}

func plain(v Value) string {
	switch v := v.(type) {
	case nil:
		return ""
	case time.Time:
		return v.Format(time.RFC3339)
	case float64:
		return strconv.FormatFloat(v, 'f', -1, 64)
	default:
		return fmt.Sprint(v)
	}
}

// formula are the characters, narrow and wide, at which a spreadsheet takes a
// text for a formula.
const formula = "=+-@\uff1d\uff0b\uff0d\uff20"

// harmless guards a text cell against being run. Tab and CR are gone by Clean;
// what stands behind blanks of any kind is guarded too.
func harmless(s string) string {
	head, size := utf8.DecodeRuneInString(strings.TrimLeftFunc(s, unicode.IsSpace))
	if size > 0 && strings.ContainsRune(formula, head) {
		return "'" + s
	}
	return s
}

// A Document is the register as JSON, the lossless form.
type Document struct {
	Format  string           `json:"format"`
	Version int              `json:"version"`
	Site    string           `json:"site"`
	Client  string           `json:"client"`
	Firm    string           `json:"firm"`
	Address string           `json:"address"`
	Log     string           `json:"log"`
	AsOf    string           `json:"as_of"`
	Says    string           `json:"says"`
	Columns []string         `json:"columns"`
	Rows    []map[string]any `json:"rows"`
}

// Caveat stands in every register: what the list is and is not.
const Caveat = "The list says what was recorded. \"clear\" means that no fault is recorded; it does not say that a weld is good."

// JSON writes the rows with the site they belong to. Every row has every
// column; what is not known is null.
func JSON(w io.Writer, site logbook.Site, log string, asOf time.Time, rows []Row) error {
	doc := Document{
		Format: "coolhold register", Version: 1, Site: site.Name, Client: site.Client, Firm: site.Firm,
		Address: site.Address, Log: log, AsOf: asOf.Format(time.RFC3339), Says: Caveat, Rows: []map[string]any{},
	}
	for _, c := range Columns {
		doc.Columns = append(doc.Columns, c.Name)
	}
	for _, row := range rows {
		m := map[string]any{}
		for _, c := range Columns {
			v := c.Cell(row)
			if t, ok := v.(time.Time); ok {
				v = t.Format(time.RFC3339)
			}
			m[c.Name] = v
		}
		doc.Rows = append(doc.Rows, m)
	}
	var text bytes.Buffer
	enc := json.NewEncoder(&text)
	enc.SetIndent("", "  ")
	enc.SetEscapeHTML(false)
	if err := enc.Encode(doc); err != nil {
		return err
	}
	_, err := io.WriteString(w, Shown(text.String()))
	return err
}

// Shown writes as \u escapes what encoding/json leaves as it is and what would
// act on a terminal or turn the direction of writing. Such can stand in JSON
// only within its strings, so every reader gives the same text.
func Shown(text string) string {
	acts := func(r rune) bool { return r >= 0x7f && (unicode.IsControl(r) || unicode.Is(unicode.Cf, r)) }
	if strings.IndexFunc(text, acts) < 0 {
		return text
	}
	var out strings.Builder
	for _, r := range text {
		if !acts(r) {
			out.WriteRune(r)
			continue
		}
		for _, unit := range utf16.Encode([]rune{r}) {
			fmt.Fprintf(&out, `\u%04x`, unit)
		}
	}
	return out.String()
}
