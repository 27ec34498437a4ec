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
		return row, row.stopped()
	}
	return TableRow{}, fmt.Errorf("fitting %q is in no table of this site: %w", fitting, ErrUnknown)
}

// stopped refuses a row that a bag contradicts.
func (r TableRow) stopped() error {
	if bags := r.Ref.Stopped[r.Fitting.Name]; len(bags) > 0 {
		return stoppedRow{Refuse("row %q of table %q is stopped (%s): type its figures again from that bag, or take a corrected table", r.Fitting.Name, r.Ref.Title, bags[0].Line())}
	}
	return nil
}

// A stoppedRow is the refusal of a row that a bag contradicts.
type stoppedRow struct{ error }

func (e stoppedRow) Unwrap() error { return e.error }

// Known is Row where a row that is stopped will do: until the current all but its
// times may be used, and its bag may be read again.
func (s Shelf) Known(fitting string) (TableRow, error) {
	row, err := s.Row(fitting)
	if _, stopped := err.(stoppedRow); stopped {
		err = nil
	}
	return row, err
}

// StoppedBy is the bag that stops the row of a fitting, if one does.
func (r TableRow) StoppedBy() (BagRead, bool) {
	bags := r.Ref.Stopped[r.Fitting.Name]
	if len(bags) == 0 {
		return BagRead{}, false
	}
	return bags[0], true
}

// RowOf is the row of a weld's fitting, as Row finds it.
func RowOf(r Reader, w Weld) (TableRow, error) {
	site, _ := r.Site(w.Site)
	return ShelfOf(site).Row(w.Fitting())
}

// RowHad is the row of a weld's fitting in the table that the crew had: one that is
// taken later says nothing of what was made. Where that table has no such fitting it
// is the newest row, as Row finds it.
func RowHad(s Site, w Weld) TableRow {
	states := w.AsRecorded()
	if first := states[len(states)-1].Settings; first != nil {
		for _, t := range s.Tables {
			if t.Hash != first.Table || t.Table == nil {
				continue
			}
			if f, ok := t.Table.Find(w.Fitting()); ok {
				return TableRow{t, *t.Table, f}
			}
		}
	}
	row, _ := ShelfOf(s).Row(w.Fitting()) // a row that may not be used was used all the same
	return row
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

// BagBand is the band that the bag of a weld is read for: the one whose times will be
// used.
func (r TableRow) BagBand(w Weld) int {
	if w.Ambient != nil {
		if i, ok := r.Table.BandFor(w.Ambient.C); ok {
			return i
		}
	}
	return len(r.Table.Bands) / 2
}
