package logbook

import (
	"crypto/sha256"
	"encoding/hex"
	"fmt"

	"coolhold/fusion"
)

// Hash names a text by its SHA-256, first 12 hex digits.
func Hash(text string) string {
	sum := sha256.Sum256([]byte(text))
	return hex.EncodeToString(sum[:])[:12]
}

// A TableRow is one fitting of one table taken for a site.
type TableRow struct {
	Ref     TableRef
	Table   fusion.Table
	Fitting fusion.Fitting
}

// A Shelf is the fusion tables of a site, newest first: a corrected table comes before the one it corrects.
type Shelf struct {
	tables []fusion.Table
	refs   []TableRef
}

// ShelfOf is a site's tables. One that cannot be read is left out, and its rows
// are not found.
func ShelfOf(s Site) Shelf {
	var shelf Shelf
	for i := len(s.Tables) - 1; i >= 0; i-- {
		if t := s.Tables[i].Table; t != nil {
			shelf.tables, shelf.refs = append(shelf.tables, *t), append(shelf.refs, s.Tables[i])
		}
	}
	return shelf
}

// Row finds the row of a fitting that may be used: its newest table, read back
// by a named person and not stopped by a bag that prints otherwise.
func (s Shelf) Row(fitting string) (TableRow, error) {
	for i, t := range s.tables {
		f, ok := t.Find(fitting)
		if !ok {
			continue
		}
		row := TableRow{s.refs[i], t, f}
		if row.Ref.ReadBack == "" {
			return row, Refuse("table %q is not read back yet: let somebody compare it with its print", row.Ref.Title)
		}
		if why := row.Ref.Stopped[fitting]; why != "" {
			return row, Refuse("row %q of table %q is stopped (%s): take a corrected table", fitting, row.Ref.Title, why)
		}
		return row, nil
	}
	return TableRow{}, fmt.Errorf("fitting %q is in no table of this site: %w", fitting, ErrUnknown)
}

// RowOf is the row of a weld's fitting, as Row finds it.
func RowOf(r Reader, w Weld) (TableRow, error) {
	site, _ := r.Site(w.Site)
	return ShelfOf(site).Row(w.Fitting())
}

// Rows are the rows to choose from, one a fitting name, newest table first.
func (s Shelf) Rows() []TableRow {
	var rows []TableRow
	seen := map[string]bool{}
	for i, t := range s.tables {
		for _, f := range t.Fittings {
			if !seen[f.Name] {
				seen[f.Name] = true
				rows = append(rows, TableRow{s.refs[i], t, f})
			}
		}
	}
	return rows
}

// Tables are the tables as rows without a fitting, newest first.
func (s Shelf) Tables() []TableRow {
	var rows []TableRow
	for i, t := range s.tables {
		rows = append(rows, TableRow{Ref: s.refs[i], Table: t})
	}
	return rows
}

// BagBand is the band a bag is read for: that of the last ambient reading,
// else the middle one.
func (r TableRow) BagBand(last *LastAmbient) int {
	if last != nil {
		if i, ok := r.Table.BandFor(last.C); ok {
			return i
		}
	}
	return len(r.Table.Bands) / 2
}
