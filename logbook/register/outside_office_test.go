package register_test

import (
	"slices"
	"strings"
	"testing"

	"github.com/thedatashed/xlsxreader"

	"coolhold/logbook/register"
	"coolhold/logbook/register/xlsx"
)

// Every weld has its day, one that was cut out lies under no ground, and what must be done
// stands in front.
func TestTheRowsOfTheWorkbook(t *testing.T) {
	rep := register.Sample(t)
	book := workbook(t, rep)
	cut, dug := 0, 0
	for i, row := range named(book[xlsx.Register]) {
		r := rep.Rows[i]
		if has := row["day of the weld"].Type == xlsxreader.TypeDateTime; has != (r.Weld.ID != "") {
			t.Errorf("%s: the day is %+v", r.Weld.ID, row["day of the weld"])
		}
		if r.Weld.CutOut != nil {
			cut++
			if r.Cover != nil || row["covered with ground"].Value != "" || !strings.HasPrefix(row["or cut out"].Value, "cut out ") {
				t.Errorf("%s, cut out, is covered %q, %q", r.Weld.ID, row["covered with ground"].Value, row["or cut out"].Value)
			}
		}
		if r.Dug != nil {
			dug++
			if !strings.HasPrefix(row["covered with ground"].Value, "dug up since, on 2026-03-09") {
				t.Errorf("%s was dug up: %q", r.Joint.Label, row["covered with ground"].Value)
			}
		}
	}
	if cut == 0 || dug == 0 {
		t.Errorf("cut out %d, dug up %d", cut, dug)
	}
	head := book[xlsx.Register][0]
	for letter, want := range map[string]string{"D": "what the record shows", "E": "findings still open", "F": "who must act"} {
		if head[letter].Value != want {
			t.Errorf("column %s is %q", letter, head[letter].Value)
		}
	}
}

// A time stands before a pressure test only where nothing but time is wanting; each joint is
// in one row.
func TestNoTimeWhereAJointIsNotSettled(t *testing.T) {
	not := 0
	for name, rep := range map[string]register.Report{"open": register.Open(t), "buried": register.Buried(t)} {
		var seen []string
		for _, row := range named(workbook(t, rep)[xlsx.Pipes]) {
			before, lacking := row["no pressure before"], row["neither clear nor accepted"].Value != "" || row["without a weld"].Value != "0"
			if lacking {
				not++
			}
			if lacking != strings.HasPrefix(before.Value, "not yet: ") {
				t.Errorf("%s, %v: %+v", name, row["which joints"].Value, before)
			}
			for _, label := range strings.Split(row["which joints"].Value, ", ") {
				if slices.Contains(seen, label) {
					t.Errorf("%s: %s is in two rows", name, label)
				}
				seen = append(seen, label)
			}
		}
	}
	if not == 0 {
		t.Error("every joint is settled")
	}
}

// What a person did is counted whole and once, findings have the weld that they name, and the
// foreman is told of, or that there is none.
func TestWhatTheOfficeAsksOfTheWorkbook(t *testing.T) {
	rep := register.Sample(t)
	book := workbook(t, rep)
	did := ""
	for _, row := range named(book[xlsx.People]) {
		did += row["did"].Value + "; "
	}
	for _, want := range []string{"ordered a cut-out 1", "corrected 2", "reported 1"} {
		if !strings.Contains(did, want) {
			t.Errorf("they did %s, not %s", did, want)
		}
	}
	for i, row := range named(book[xlsx.Corrections]) {
		if row["no."].Value == "" || row["removed a fail or finding"].Value == "" {
			t.Errorf("correction %d is %v", i, row)
		}
	}
	for _, row := range book[xlsx.Summary] {
		if row["A"].Value == "foreman" && row["B"].Value == "nobody is named as foreman in this log" {
			return
		}
	}
	t.Error("of the foreman nothing is said")
}
