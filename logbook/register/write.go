package register

import (
	"encoding/csv"
	"encoding/json"
	"fmt"
	"io"
	"strconv"
	"strings"
	"time"

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

// harmless guards a text cell against being run: a spreadsheet takes what
// begins with one of these for a formula. Tab and CR are gone by Clean, and
// what stood behind them is guarded too.
func harmless(s string) string {
	head := strings.TrimLeft(s, " ")
	if head != "" && strings.IndexByte("=+-@", head[0]) >= 0 {
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
	enc := json.NewEncoder(w)
	enc.SetIndent("", "  ")
	enc.SetEscapeHTML(false)
	return enc.Encode(doc)
}
