package register

import (
	"slices"
	"strings"
	"time"

	"coolhold/logbook"
)

// columnOf maps the fields of a weld that can be corrected to the columns that
// show them, where the names differ.
var columnOf = map[string]string{
	"control unit": "unit", logbook.ItemCode: "fitting_code", logbook.ItemPort: "port_welded", logbook.FieldAmbient: "ambient_c",
	"stopped at": "seconds_run", "started": "fused_at", "ended": "hold_until", "released": "released_at",
}

// ColumnOf is the name of the column that shows a field of logbook.Fields.
func ColumnOf(field string) string {
	name := strings.ReplaceAll(field, " ", "_")
	is := func(c Column) bool { return c.Name == name }
	switch {
	case columnOf[field] != "":
		return columnOf[field]
	case slices.ContainsFunc(Columns, is):
		return name
	case slices.ContainsFunc(logbook.PrepItems, func(p logbook.PrepItem) bool { return p.Item == field }):
		return "preparation"
	case strings.HasPrefix(field, "indicators "):
		return "indicators"
	}
	return "looks"
}

// Corrected are the corrections of what a column shows, the oldest first.
func (r Row) Corrected(column string) []logbook.Corrected {
	var out []logbook.Corrected
	for _, c := range r.Weld.Corrections {
		if ColumnOf(c.Field) == column {
			out = append(out, c)
		}
	}
	return out
}

// Was says what stood in a column before it was corrected: "corrected: was
// 8.5", or nothing.
func (r Row) Was(column string) string {
	var parts []string
	for _, c := range r.Corrected(column) {
		was := c.Old
		if was == "" {
			was = "not recorded"
		}
		if field := c.Field; ColumnOf(field) == "preparation" || ColumnOf(field) == "looks" {
			was = field + " " + was
		}
		parts = append(parts, "was "+was)
	}
	if len(parts) == 0 {
		return ""
	}
	return "corrected: " + strings.Join(parts, ", then ")
}

// A Correction is one corrected value, for lists of all of them.
type Correction struct {
	Weld   string `json:"weld"`
	Field  string `json:"field"`
	Column string `json:"column"`
	Old    string `json:"old"` // "" where nothing was recorded
	New    string `json:"new"`
	Why    string `json:"why"`
	By     string `json:"by"`
	At     string `json:"at"` // RFC 3339
}

// Corrections are those of all rows.
func (rep Report) Corrections() []Correction {
	var out []Correction
	for _, row := range rep.Rows {
		for _, c := range row.Weld.Corrections {
			out = append(out, Correction{row.Weld.ID, c.Field, ColumnOf(c.Field), c.Old, c.New, c.Why, c.By, c.At.Local().Format(time.RFC3339)})
		}
	}
	return out
}

func corrections(r Row) Value {
	var parts []string
	for _, c := range r.Weld.Corrections {
		was := c.Old
		if was == "" {
			was = "not recorded"
		}
		parts = append(parts, c.Field+": "+c.New+", corrected: was "+was+" ("+c.Why+"; "+signed(c.Signature)+")")
	}
	return text(strings.Join(parts, "; "))
}
