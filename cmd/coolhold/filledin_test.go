//go:build unix

package main

import (
	"fmt"
	"path/filepath"
	"strings"
	"testing"

	"github.com/xuri/excelize/v2"
)

// fillsIn types into the row of a joint of a workbook that coolhold wrote, each value under
// the words of its column.
func fillsIn(t *testing.T, file, joint string, values map[string]any) {
	t.Helper()
	f, err := excelize.OpenFile(file)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	sheet := f.GetSheetName(0)
	rows, err := f.GetRows(sheet)
	if err != nil {
		t.Fatal(err)
	}
	head, typed := []string(nil), 0
	for no, row := range rows {
		if len(row) == 0 {
			continue
		}
		if row[0] == "joint" {
			head = row
		}
		if row[0] != joint || head == nil {
			continue
		}
		for i, words := range head {
			if v, is := values[words]; is {
				col, _ := excelize.ColumnNumberToName(i + 1)
				if err := f.SetCellValue(sheet, fmt.Sprintf("%s%d", col, no+1), v); err != nil {
					t.Fatal(err)
				}
				typed++
			}
		}
	}
	if typed != len(values) {
		t.Fatalf("%d of %d values have a column; the names are %q", typed, len(values), head)
	}
	if err := f.Save(); err != nil {
		t.Fatal(err)
	}
}

// A workbook that coolhold wrote is filled in with another program and taken back whole;
// and what is wrong on it is found: rain without a shelter, seconds on the bag unlike the
// table, which stops its fitting, a joint still hot at the end-of-shift check.
func TestAWorkbookFilledInComesBackWhole(t *testing.T) {
	s := larkrise(t)
	s.is("2026-03-10 18:00")
	file := filepath.Join(s.dir, "van.xlsx")
	s.done("sheet", "--out", file)
	common := map[string]any{
		"operator": "Ada Invented", "date": "2026-03-10", "outcome": "completed", "ambient c": 8.5, "fitting batch": "0042", "scraped": "x", "clamped": "x",
		"ohms": 2.43, "indicators": "up, up", "melt": "none", "wire": "no wire", "marks": "in place", "straight": "yes", "weather": "dry", "read back": "as in the table",
	}
	with := func(values map[string]any) map[string]any {
		for k, is := range common {
			if _, own := values[k]; !own {
				values[k] = is
			}
		}
		return values
	}
	fillsIn(t, file, "3B", with(map[string]any{"start": "14:05", "end": "14:06", "released at": "14:20", "weather": "rain or snow", "shelter": "none", "fitting": "coupler 40", "remarks": "first of the day"}))
	fillsIn(t, file, "4B", with(map[string]any{
		"fitting": "coupler 40", "start": "15:05", "end": "15:06", "released at": "15:20", "check at": "15:40", "check indicators": "up, up", "check felt": "firm, still hot",
	}))
	fillsIn(t, file, "E1", with(map[string]any{"start": "16:05", "end": "16:06", "released at": "16:20", "fitting": "elbow 63", "read back": 99}))
	s.done("transcribe", file, "--by", "Bo Invented")
	out, _ := s.verb("register", "--format", "csv")
	rows := rowsOf(t, out)
	rows["XM-0011"].shows(t, row{
		"joint": "3B", "operator": "Ada Invented", "fitting": "coupler 40", "fitting_batch": "0042", "weather": "rain or snow, shelter none", "ambient_c": "8.5", "ohms": "2.43", "outcome": "completed",
		"fused_at": "2026-03-10T14:05:00+01:00", "released_at": "2026-03-10T14:20:00+01:00", "indicators": "up up", "read_back": "as in the table", "notes": "first of the day (Bo Invented)",
	})
	rows["XM-0012"].shows(t, row{"joint": "4B", "weather": "dry, shelter not given", "fused_at": "2026-03-10T15:05:00+01:00", "read_back": "as in the table"})
	rows["XM-0013"].shows(t, row{"joint": "E1", "fitting": "elbow 63", "fused_at": "2026-03-10T16:05:00+01:00", "read_back": "99"})
	if looks := rows["XM-0012"]["looks"]; !strings.Contains(looks, "at the end-of-shift check, 2026-03-10 15:40 as stated") || !strings.Contains(looks, "felt firm, still hot") {
		t.Errorf("looks: %s", looks)
	}
	for weld, rules := range map[string]map[string]bool{
		"XM-0011": {"wet": true, "row-not-allowed": false}, "XM-0012": {"wet": false, "row-not-allowed": false}, "XM-0013": {"wet": false, "row-not-allowed": true},
	} {
		for rule, is := range rules {
			if got := strings.Contains(rows[weld]["findings"], "query "+rule); got != is {
				t.Errorf("%s: %s is found: %t, want %t (%s)", weld, rule, got, is, rows[weld]["findings"])
			}
		}
	}
	if sheet, _ := s.verb("sheet", "--format", "text", "--joints", "3B,E1"); strings.Count(sheet, "a bag printed other times than table") != 1 {
		t.Errorf("the fitting of the bag alone is stopped:\n%s", sheet)
	}
	if again, code := s.verb("transcribe", file, "--by", "Bo Invented"); code != exitDone || !strings.Contains(again, "3 rows stand in the log already") {
		t.Errorf("the same again: %d %s", code, again)
	}
}
