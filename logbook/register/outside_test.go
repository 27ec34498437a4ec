package register_test

import (
	"archive/zip"
	"bytes"
	"encoding/csv"
	"fmt"
	"html"
	"io"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/thedatashed/xlsxreader"

	"coolhold/logbook"
	"coolhold/logbook/register"
	"coolhold/logbook/register/xlsx"
)

// What was written is read back by software that did not write it.

var sheetNames = []string{
	xlsx.Summary, xlsx.Work, xlsx.Register, xlsx.Findings, xlsx.Acceptances, xlsx.Pipes, xlsx.Batches, xlsx.Ground, xlsx.Corrections, xlsx.Days, xlsx.People, xlsx.Units, xlsx.Tests, xlsx.Site, xlsx.Enclosures, xlsx.Tables, xlsx.Headings,
}

// workbook reads a workbook: sheet, row, column letter.
func workbook(t testing.TB, rep register.Report) map[string][]map[string]xlsxreader.Cell {
	t.Helper()
	var out bytes.Buffer
	if err := xlsx.Write(&out, rep, nil); err != nil {
		t.Fatal(err)
	}
	f, err := xlsxreader.NewReader(out.Bytes())
	if err != nil {
		t.Fatal(err)
	}
	if !slices.Equal(f.Sheets, sheetNames) {
		t.Fatalf("sheets %q", f.Sheets)
	}
	sheets := map[string][]map[string]xlsxreader.Cell{}
	for _, name := range f.Sheets {
		for row := range f.ReadRows(name) {
			if row.Error != nil {
				t.Fatal(row.Error)
			}
			cells := map[string]xlsxreader.Cell{}
			for _, c := range row.Cells {
				cells[c.Column] = c
			}
			sheets[name] = append(sheets[name], cells)
		}
	}
	return sheets
}

// named are the rows below the head, by the head's names.
func named(rows []map[string]xlsxreader.Cell) []map[string]xlsxreader.Cell {
	var out []map[string]xlsxreader.Cell
	for _, row := range rows[1:] {
		m := map[string]xlsxreader.Cell{}
		for letter, head := range rows[0] {
			if c, ok := row[letter]; ok {
				m[head.Value] = c
			}
		}
		out = append(out, m)
	}
	return out
}

func TestWorkbookReadBack(t *testing.T) {
	rep := register.Sample(t)
	book := workbook(t, rep)
	rows := named(book[xlsx.Register])
	if len(rows) != len(rep.Rows) {
		t.Fatalf("%d rows, want %d", len(rows), len(rep.Rows))
	}
	seen := map[register.ColumnKind]int{}
	for i, row := range rep.Rows {
		for _, c := range register.Columns {
			cell, ok := rows[i][c.Heading()]
			v := c.Cell(row)
			if v == nil && c.Name == "covered" && row.Dug != nil {
				continue // a person is told that it was dug up
			}
			if ok != (v != nil) {
				t.Errorf("row %d, %s: a cell is there: %v, a value: %v", i, c.Name, ok, v)
			}
			if v == nil {
				continue
			}
			if seen[c.Kind]++; v == register.NoWeld { // in the words of the other sheets
				if cell.Value != "without a weld" {
					t.Errorf("row %d: %+v stands for no weld", i, cell)
				}
				continue
			}
			checkCell(t, row, c, cell)
		}
	}
	if seen[register.Text] < 50 || seen[register.Number] < 20 || seen[register.Time] < 6 {
		t.Errorf("cells seen: %v", seen)
	}
	if got := rows[1]["batch of the fitting"]; got.Value != "007" || got.Type != xlsxreader.TypeString {
		t.Errorf("a code lost its zeros: %+v", got)
	}
	if len(named(book[xlsx.Findings])) != len(rep.Findings) || len(named(book[xlsx.Tables])) != 3 {
		t.Errorf("%d findings, %d table rows", len(book[xlsx.Findings]), len(book[xlsx.Tables]))
	}
	text := fmt.Sprint(book)
	for _, want := range []string{rep.Site.Name, rep.Site.Contract, "Ada Invented", "coil-0042.pdf", "misread the thermometer", "chamber A covered", register.Caveat} {
		if !strings.Contains(text, want) {
			t.Errorf("the summary does not say %q", want)
		}
	}
}

// Looks at sections stand in the workbook as they were said, with what is left of what the
// plan wants, and what was taken back.
func TestLooksReadBack(t *testing.T) {
	text := fmt.Sprint(workbook(t, register.Looked(t))[xlsx.Site])
	for _, want := range []string{
		"chamber A looked at before welding: lid height: yes, 102.51 m", "the look at chamber A: it was chamber B",
		"chamber A, before the cover: bed", "chamber A, before the cover: cover level 0.8 m, at least 0.9 m", "chamber A, before the cover: photo",
	} {
		if !strings.Contains(text, want) {
			t.Errorf("the workbook does not say %q", want)
		}
	}
	for _, done := range []string{"before welding: lid height 102", "before the cover: offsets", "before the cover: marker tape"} {
		if strings.Contains(text, "chamber A, "+done) {
			t.Errorf("the workbook lists %q as left", done)
		}
	}
}

// The one who said that unlike plans are of one site stands in the workbook and in the
// PDF.
func TestOneSiteReadBack(t *testing.T) {
	rep := register.Unlike(t, false)
	var found []string
	for _, row := range workbook(t, rep)[xlsx.Summary] {
		if row["A"].Value == "KM (a1b2), KM (e5f6), VN" {
			found = append(found, strings.Join([]string{row["B"].Value, row["C"].Value, row["D"].Value, row["E"].Value}, "|"))
		}
	}
	if want := []string{"one site|the van had another drawing|Ada Invented|2026-03-09T09:07:00Z"}; !slices.Equal(found, want) {
		t.Errorf("the workbook says %q, want %q", found, want)
	}
	const want = "One site KM (a1b2), KM (e5f6), VN: one site, said by Ada Invented on 2026-03-09 09:07 in log VN: the van had another drawing"
	if !strings.Contains(drawn(t, rep).flow(), want) {
		t.Errorf("the document does not say %q", want)
	}
}

func checkCell(t *testing.T, row register.Row, c register.Column, cell xlsxreader.Cell) {
	t.Helper()
	switch v := c.Cell(row).(type) {
	case string:
		if _, err := time.Parse(time.DateOnly, v); c.Kind == register.Date && err == nil {
			if cell.Type != xlsxreader.TypeDateTime || cell.Value != v {
				t.Errorf("%s: %+v, want the day %s", c.Name, cell, v)
			}
			return
		}
		if cell.Type != xlsxreader.TypeString || cell.Value != v { // corrected or not: it is looked for by what it is
			t.Errorf("%s: %+v, want %q", c.Name, cell, v)
		}
	case time.Time: // a spreadsheet counts days in a float: half a second is what is left
		got, err := time.Parse(time.RFC3339, cell.Value)
		want := time.Date(v.Year(), v.Month(), v.Day(), v.Hour(), v.Minute(), v.Second(), 0, time.UTC)
		if cell.Type != xlsxreader.TypeDateTime || err != nil || got.Sub(want).Abs() > time.Second {
			t.Errorf("%s: %+v, want %v", c.Name, cell, v)
		}
	default:
		n, err := strconv.ParseFloat(cell.Value, 64)
		if cell.Type != xlsxreader.TypeNumerical || err != nil || fmt.Sprint(n) != fmt.Sprint(v) {
			t.Errorf("%s: %+v, want %v", c.Name, cell, v)
		}
	}
}

// The head stays in sight and every list can be filtered.
func TestWorkbookHeads(t *testing.T) {
	dir := t.TempDir()
	file := filepath.Join(dir, "r.xlsx")
	f, err := os.Create(file)
	if err != nil {
		t.Fatal(err)
	}
	if err := xlsx.Write(f, register.Sample(t), nil); err != nil {
		t.Fatal(err)
	}
	f.Close()
	names := html.UnescapeString(unzip(t, file, "xl/workbook.xml"))
	for sheet, name := range sheetNames {
		sheet++
		data := unzip(t, file, fmt.Sprintf("xl/worksheets/sheet%d.xml", sheet))
		for _, want := range []string{`orientation="landscape"`, `Page &amp;P of &amp;N`, "&amp;L" + register.Sample(t).Site.Name} {
			if !strings.Contains(data, want) {
				t.Errorf("%s is printed without %s", name, want)
			}
		}
		scale := 0
		if m := regexp.MustCompile(` scale="(\d+)"`).FindStringSubmatch(data); m != nil {
			fmt.Sscan(m[1], &scale)
		}
		if scale < 50 { // of letters of 11 points
			t.Errorf("%s is printed at %d %%", name, scale)
		}
		if name == xlsx.Summary {
			continue
		}
		first, last := 1, "A" // joint and weld say which row it is
		if slices.Contains([]string{xlsx.Register, xlsx.Findings, xlsx.Acceptances, xlsx.Days, xlsx.Headings}, name) {
			first, last = 2, "B"
		}
		if !strings.Contains(names, fmt.Sprintf(">'%[1]s'!$A:$%[2]s,'%[1]s'!$1:$1<", name, last)) {
			t.Errorf("%s: head and first columns are not on every page", name)
		}
		pane := regexp.MustCompile(`<pane [^>]*>`).FindString(data)
		if !strings.Contains(pane, `ySplit="1"`) || !strings.Contains(pane, fmt.Sprintf(`xSplit="%d"`, first)) || !strings.Contains(pane, `state="frozen"`) {
			t.Errorf("%s: head and first columns are not frozen", name)
		}
		if !regexp.MustCompile(fmt.Sprintf(`<autoFilter ref="\$A\$1:\$[A-Z]+\$%d"`, strings.Count(data, "<row "))).MatchString(data) {
			t.Errorf("%s: no filter over all rows", name)
		}
		if n, high := strings.Count(data, "<row "), strings.Count(data, " ht="); n != high {
			t.Errorf("%s: %d of %d rows have a height", name, high, n)
		}
	}
}

var dangerous = []string{"=1+1", "+1", "-1", "-42", "+W1", "@x", "\t=1", "\u3000=1", "\uff1d1"}

// A text in the workbook is typed, so it is read as it was given. The CSV has no types:
// there all but a plain number has its mark.
func TestNoTextIsAFormula(t *testing.T) {
	for _, text := range dangerous {
		rep := register.With(t, text)
		var out bytes.Buffer
		if err := register.CSV(&out, rep); err != nil {
			t.Fatal(err)
		}
		lines, err := csv.NewReader(&out).ReadAll()
		if err != nil {
			t.Fatal(err)
		}
		batch := slices.Index(lines[0], "fitting_batch")
		cell := named(workbook(t, rep)[xlsx.Register])[0]["batch of the fitting"]
		is, marked := logbook.Clean(text), "'"+logbook.Clean(text)
		if text == "-1" || text == "-42" {
			marked = is
		}
		if cell.Value != is || cell.Type != xlsxreader.TypeString || lines[1][batch] != marked {
			t.Errorf("%q is %q in the workbook, %q in the CSV", text, cell.Value, lines[1][batch])
		}
	}
}

func unzip(t testing.TB, file, part string) string {
	t.Helper()
	z, err := zip.OpenReader(file)
	if err != nil {
		t.Fatal(err)
	}
	defer z.Close()
	f, err := z.Open(part)
	if err != nil {
		t.Fatal(err)
	}
	data, err := io.ReadAll(f)
	if err != nil {
		t.Fatal(err)
	}
	return string(data)
}
