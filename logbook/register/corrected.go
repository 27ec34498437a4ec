package register

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
	"time"

	"coolhold/logbook"
	"coolhold/logbook/audit"
)

// ColumnOf is the name of the column that shows the value with that key; of one
// that a newer version wrote there is none.
func ColumnOf(key string) string {
	v, _ := logbook.ValueOf(key)
	return v.InRegister()
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

// Worded is a column as show has it, with the words of a format around it and what stood
// there before it was corrected; "" where neither is.
func (r Row) Worded(column, format string, show func(Value) string) string {
	v, was := show(r.Cell(column)), r.Was(column)
	if v != "" {
		v = fmt.Sprintf(format, v)
	}
	if was != "" {
		v = strings.TrimSpace(v + " (" + was + ")")
	}
	return v
}

// Was says what stood in a column before it was corrected: "corrected: was 8.5", or nothing.
// Of one that was corrected again it says in which order, since it may be back at the first.
func (r Row) Was(column string) string {
	var parts []string
	all := r.Corrected(column)
	one := !slices.ContainsFunc(all, func(c logbook.Corrected) bool { return c.Field != all[0].Field })
	for i, c := range all {
		was := before(c)
		if field := c.Field; ColumnOf(field) == "preparation" || ColumnOf(field) == "looks" {
			was = c.Name() + " " + was
		}
		switch {
		case one && len(all) > 1 && i == 0:
			was = "first " + was
		case one && len(all) > 1:
			was = "then " + was
		default:
			was = "was " + was
		}
		parts = append(parts, was)
	}
	switch {
	case len(parts) == 0:
		return ""
	case one && len(parts) > 1:
		return fmt.Sprintf("corrected %d times: %s, then this", len(parts), strings.Join(parts, ", "))
	}
	return "corrected: " + strings.Join(parts, ", ")
}

// before is what stood in a value, in words.
func before(c logbook.Corrected) string { return cmp.Or(c.Before(), "not recorded") }

// OwnCorrection tells whether who corrected a weld is who made it.
func (rep Report) OwnCorrection(r Row, c logbook.Corrected) bool {
	return rep.Site.SameName(r.Weld.Operator, c.By)
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
	Own    bool   `json:"-"`  // by who made the weld
	Seq    uint64 `json:"-"`
	Key    string `json:"-"` // of the value: two may stand in one column
}

// Corrections are those of all rows.
func (rep Report) Corrections() []Correction {
	var out []Correction
	for _, row := range rep.Rows {
		for _, c := range row.Weld.Corrections {
			out = append(out, Correction{row.Weld.ID, c.Name(), ColumnOf(c.Field), c.Before(), c.Now(), c.Why, c.By, c.At.Local().Format(time.RFC3339), rep.OwnCorrection(row, c), c.Seq, c.Field})
		}
	}
	return out
}

func corrections(r Row) Value {
	var parts []string
	for _, c := range r.Weld.Corrections {
		parts = append(parts, c.Name()+": "+c.Now()+", corrected: was "+before(c)+" ("+c.Why+"; "+signed(c.Signature)+")")
	}
	return text(strings.Join(parts, "; "))
}

// Now is what the last correction of a column put there: also where that is no more than a
// "no", for which the column itself is empty. "" where nothing was put there.
func (r Row) Now(column string) string {
	all := r.Corrected(column)
	if len(all) == 0 {
		return ""
	}
	return all[len(all)-1].Now()
}

// Went is what went by a correction: whole, in part, or what one before it had made. What it
// made is no part of that.
func Went(k audit.Removal) string {
	kind, what := "a finding", slices.Clone(k.Found)
	if k.Fail {
		kind = "a fail"
	}
	for _, d := range k.Changed {
		if d.Part {
			what = append(what, "a part of: "+d.Was)
		}
	}
	if k.Felt != "" {
		what = append(what, "what was felt: "+k.Felt)
	}
	switch {
	case len(what) > 0:
		return kind + ": " + strings.Join(what, "; ")
	case len(k.Back) > 0:
		return kind + " that a correction before it had made: " + strings.Join(k.Back, "; ")
	}
	return "no"
}

// Came is what came by a correction: what the rules find since, the fails first and by
// themselves; then what they find otherwise.
func Came(k audit.Removal) string {
	var says []string
	for _, of := range []struct {
		kind  string
		found []string
	}{{"a fail: ", k.Made[:len(k.MadeFail)]}, {"a finding: ", k.Made[len(k.MadeFail):]}} {
		if len(of.found) > 0 {
			says = append(says, of.kind+strings.Join(of.found, "; "))
		}
	}
	for _, d := range k.Changed {
		if !d.Part {
			says = append(says, "a finding is another: it was "+d.Was+", it is "+d.Now)
		}
	}
	return cmp.Or(strings.Join(says, "; "), "no")
}
