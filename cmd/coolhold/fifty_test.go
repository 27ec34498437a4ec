//go:build unix

package main

import (
	"archive/zip"
	"bytes"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// Sheets as spreadsheets really write them, through the door of the verb: each is taken
// in as the plain one is, or refused with a line for each fault and nothing stored.

const (
	fiftyHead = "joint,operator,date,start,end,outcome,fitting_batch,scraped,clamped,ohms,remarks"
	fiftyRow  = "1A,Ada Invented,2026-03-09,14:05,14:06,completed,0042,done,done,2.43,rain at noon"
)

// A sheetCase is a sheet: of a text its bytes, of a workbook its cells. said is what the
// answer holds where it is refused; else it is taken in, and the row is the plain one.
type sheetCase struct{ name, text, cells, said string }

// cell is one of a workbook, its place from its name; extra are attributes.
func xc(ref, extra, inner string) string {
	return fmt.Sprintf(`<c r="%s" %s>%s</c>`, ref, extra, inner)
}

// inline is a text in a cell.
func inline(ref, text string) string {
	return xc(ref, `t="inlineStr"`, "<is><t>"+text+"</t></is>")
}

// rowOf writes cells as inline texts.
func rowOfCells(no int, csv string) string {
	var b strings.Builder
	for i, text := range strings.Split(csv, ",") {
		if text != "" {
			b.WriteString(inline(fmt.Sprintf("%c%d", 'A'+i, no), text))
		}
	}
	return fmt.Sprintf(`<row r="%d">%s</row>`, no, b.String())
}

// with puts a cell in the place of one of the plain second row.
func with(ref, cell string) string {
	row := rowOfCells(2, fiftyRow)
	from := strings.Index(row, `<c r="`+ref+`"`)
	to := from + strings.Index(row[from:], "</c>") + len("</c>")
	return "<sheetData>" + rowOfCells(1, fiftyHead) + row[:from] + cell + row[to:] + "</sheetData>"
}

const fiftyStyles = `<styleSheet><numFmts count="3"><numFmt numFmtId="164" formatCode="dd/mm/yyyy"/><numFmt numFmtId="165" formatCode="0000"/><numFmt numFmtId="166" formatCode="&quot;TRUE&quot;;&quot;TRUE&quot;;&quot;FALSE&quot;"/></numFmts>` +
	`<cellXfs><xf numFmtId="0"/><xf numFmtId="14"/><xf numFmtId="20"/><xf numFmtId="22"/><xf numFmtId="164"/><xf numFmtId="165"/><xf numFmtId="166"/><xf numFmtId="10"/></cellXfs></styleSheet>`

// workbookOf is a workbook of sheets, the parts as some spreadsheet writes them.
func workbookOf(t *testing.T, props string, sheets ...string) string {
	t.Helper()
	var out bytes.Buffer
	z := zip.NewWriter(&out)
	part := func(name, text string) {
		w, err := z.Create(name)
		if err == nil {
			_, err = w.Write([]byte(`<?xml version="1.0" encoding="UTF-8"?>` + text))
		}
		if err != nil {
			t.Fatal(err)
		}
	}
	list, links := "", ""
	for i, s := range sheets {
		list += fmt.Sprintf(`<sheet name="Tab %d" sheetId="%d" r:id="rId%d"/>`, i+1, i+1, i+1)
		links += fmt.Sprintf(`<Relationship Id="rId%d" Target="worksheets/sheet%d.xml"/>`, i+1, i+1)
		part(fmt.Sprintf("xl/worksheets/sheet%d.xml", i+1), "<worksheet>"+s+"</worksheet>")
	}
	part("xl/workbook.xml", `<workbook xmlns:r="r">`+props+"<sheets>"+list+"</sheets></workbook>")
	part("xl/_rels/workbook.xml.rels", "<Relationships>"+links+"</Relationships>")
	part("xl/styles.xml", fiftyStyles)
	part("xl/sharedStrings.xml", `<sst><si><t>Ada Invented</t></si><si><r><t>Ada </t></r><r><rPr><b/></rPr><t>Invented</t></r><rPh sb="0" eb="1"><t>eda</t></rPh></si></sst>`)
	if err := z.Close(); err != nil {
		t.Fatal(err)
	}
	return out.String()
}

func fifty(t *testing.T) []sheetCase {
	plain := fiftyHead + "\n" + fiftyRow + "\n"
	re := func(pairs ...string) string { return strings.NewReplacer(pairs...).Replace(plain) }
	wide := func(csv, sep string) string { return strings.ReplaceAll(csv, ",", sep) }
	table := "<sheetData>" + rowOfCells(1, fiftyHead) + rowOfCells(2, fiftyRow) + "</sheetData>"
	num := func(ref, style, v string) string { return with(ref, xc(ref, `s="`+style+`"`, "<v>"+v+"</v>")) }
	return []sheetCase{
		{"plain", plain, "", ""},
		{"byte order mark", "\ufeff" + plain, "", ""},
		{"semicolons, decimal comma", wide(re("2.43", "2#43"), ";"), "", `"2#43" is no number`},
		{"semicolons and a comma in a number", strings.ReplaceAll(wide(plain, ";"), "2.43", "2,43"), "", ""},
		{"tabs", wide(plain, "\t"), "", ""},
		{"sep line and CRLF", "sep=;\r\n" + strings.ReplaceAll(wide(plain, ";"), "\n", "\r\n"), "", ""},
		{"old line ends", strings.ReplaceAll(plain, "\n", "\r"), "", ""},
		{"a line break in a cell", re("rain at noon", "\"rain\r\nat noon\""), "", ""},
		{"blanks that do not break", re("Ada Invented", "Ada\u00a0Invented"), "", ""},
		{"an apostrophe before a number", re("0042", "'0042"), "", ""},
		{"trailing blank rows and columns", strings.ReplaceAll(plain, "\n", ",,,\n") + ",,,,,,,,,,,,,\n,,,,,,,,,,,,,\n", "", ""},
		{"names in words", re("fitting_batch", "Fitting batch"), "", ""},
		{"a title above the names", "Hillfoot barn,,,,,,,,,,\n,,,,,,,,,,\n" + plain, "", ""},
		{"ticks", re("done,done", "x,✓"), "", ""},
		{"truth in German", re("done,done", "WAHR,WAHR"), "", ""},
		{"dots in a day", re("2026-03-09", "09.03.2026"), "", ""},
		{"the year first", re("2026-03-09", "2026/03/09"), "", ""},
		{"a day with midnight", re("2026-03-09", "2026-03-09 00:00:00"), "", ""},
		{"seconds in a time", re("14:05", "14:05:00"), "", ""},
		{"a time with the first day of the count", re("14:05,14:06", "1899-12-30 14:05:00,1899-12-30 14:06:00"), "", ""},
		{"joints that were not welded", plain + "2A,,,,,,,,,,\n3A,,,,,,,,,,\n", "", ""},
		{"strokes in a day", re("2026-03-09", "09/03/2026"), "", `2: date: "09/03/2026" can mean two days: write 2026-03-09 or 2026-09-03`},
		{"a count of days", re("2026-03-09", "46090"), "", `2: date: "46090" looks like a spreadsheet's count of days: write 2026-03-09 if that is the day`},
		{"a part of a day", re(",14:05,", ",0.586805555555556,"), "", `2: start: "0.586805555555556" is no time: write 14:05 if that is meant`},
		{"afternoon", re(",14:05,", ",02:05:00 PM,"), "", ""},
		{"an hour alone", re(",14:05,", ",2 PM,"), "", `2: start: "2 PM" is no time: write 14:05`},
		{"a day and a time", re("2026-03-09", "2026-03-09 14:05"), "", `2: date: "2026-03-09 14:05" has a time of day, which stands in a column of its own: write 2026-03-09`},
		{"a long number shortened", re("0042", `"1,23E+15"`), "", `2: fitting_batch: "1,23E+15" is a long number as a spreadsheet shortens it: type all its digits from the print, the cell as text`},
		{"thousands", re("2.43", `"1.234,50"`), "", `2: ohms: "1.234,50" is no number from 0 to 1000 Ω: write it as 2.43 (as the display showed, Ω), or leave it blank`},
		{"an error", re("2.43", "#REF!"), "", `2: ohms: "#REF!" is a spreadsheet's error: write it as 2.43`},
		{"a formula", re("2.43", "=A1*2"), "", `2: ohms: "=A1*2" is a formula: write it as 2.43`},
		{"the sign for the line above", re("Ada Invented", `""""`), "", `2: operator: "\"" stands for the line above: write it as Ada Invented (who welded)`},
		{"a cross in a box", re("done,done", "☒,done"), "", `2: scraped: "☒" can say yes or no: write`},
		{"a name of a column changed", re("ohms", "resistance"), "", `1: "resistance" is no column of the sheet; take the names from --template`},
		{"one row of two is wrong", plain + strings.Replace(fiftyRow, "1A,Ada Invented,2026-03-09,14:05", "2A,Ada Invented,2026-03-09,25:05", 1) + "\n", "", `3: start: "25:05": there is no such time: write it as 14:05`},
		{"nothing filled in", fiftyHead + "\n1A,,,,,,,,,,\n", "", "1: nothing but joints stands below the names of the columns"},
		{"an older workbook", "\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1", "", "1: it is an older workbook (XLS), or one with a password: save it as XLSX"},
		{"a zip that is no workbook", "PK\x03\x04 and more", "", "1: the workbook is damaged"},

		{"a workbook of texts", "", table, ""},
		{"a day as a number", "", num("C2", "1", "46090"), ""},
		{"a day in a format of its own", "", num("C2", "4", "46090"), ""},
		{"a time as a part of a day", "", num("D2", "2", "0.586805555555556"), ""},
		{"a day and a time in one number", "", num("D2", "3", "46090.586805555555556"), ""},
		{"a shared text", "", with("B2", xc("B2", `t="s"`, "<v>0</v>")), ""},
		{"a shared text in two looks", "", with("B2", xc("B2", `t="s"`, "<v>1</v>")), ""},
		{"a number with its noughts", "", num("G2", "5", "42"), ""},
		{"a number as it is computed", "", num("J2", "0", "2.4300000000000002"), ""},
		{"a truth", "", with("H2", xc("H2", `t="b"`, "<v>1</v>")), ""},
		{"a truth as a number", "", num("H2", "6", "1"), ""},
		{"a formula with its result", "", with("J2", xc("J2", "", "<f>A1</f><v>2.43</v>")), ""},
		{"a formula of a text", "", with("B2", xc("B2", `t="str"`, "<f>X</f><v>Ada Invented</v>")), ""},
		{"a day as a text of its kind", "", with("C2", xc("C2", `t="d"`, "<v>2026-03-09T00:00:00</v>")), ""},
		{"an escaped sign", "", with("K2", inline("K2", "rain_x000D_ at noon")), ""},
		{"a merged title above the names", "", "<sheetData>" + rowOfCells(1, "Hillfoot barn") + rowOfCells(3, fiftyHead) + rowOfCells(4, fiftyRow) + `</sheetData><mergeCells><mergeCell ref="A1:K1"/></mergeCells>`, ""},
		{"a hidden row that is blank", "", strings.Replace(table, "</sheetData>", `<row r="9" hidden="1"><c r="A9"/></row></sheetData>`, 1), ""},
		{"a count of days without a format", "", num("C2", "0", "46090"), `2: sheet "Tab 1", cell C2: date: "46090" looks like a spreadsheet's count of days: write 2026-03-09 if that is the day`},
		{"more digits than it keeps", "", num("G2", "0", "1.23456789012346E+15"), `2: sheet "Tab 1", cell G2: fitting_batch: "1.23456789012346E+15" is a number of more than 15 digits`},
		{"a share", "", num("J2", "7", "0.5"), `cell J2: ohms: "50%" is no number from 0 to 1000 Ω`},
		{"a formula without its result", "", with("J2", xc("J2", "", "<f>A1</f>")), `cell J2: ohms: "=" is a formula without its result: open the file in the spreadsheet`},
		{"an error in a cell", "", with("J2", xc("J2", `t="e"`, "<v>#N/A</v>")), `cell J2: ohms: "#N/A" is a spreadsheet's error: write the value`},
		{"a hidden row", "", strings.Replace(table, `<row r="2">`, `<row r="2" hidden="1">`, 1), `cell A2: joint: "1A" stands in a hidden row: show the row`},
		{"a hidden column", "", `<cols><col min="10" max="10" hidden="1"/></cols>` + table, `1: sheet "Tab 1", cell J1: "ohms" stands in a hidden column: show the column`},
		{"merged cells", "", table + `<mergeCells><mergeCell ref="B2:B3"/></mergeCells>`, `cell B2: operator: "Ada Invented" stands over the merged cells B2:B3: part them`},
		{"merged names", "", table + `<mergeCells><mergeCell ref="D1:E1"/></mergeCells>`, `1: sheet "Tab 1", cell D1: "start" stands over the merged cells D1:E1`},
		{"a blank that must be there", "", with("D2", ""), `2: sheet "Tab 1", cell D2: start: is blank; without it the weld cannot be taken in: write it as 14:05`},
		{"a joint that is none", "", strings.Replace(table, ">1A<", ">9Z<", 1), `2: sheet "Tab 1", cell A2: joint: "9Z" is no joint of this site; open are`},
	}
}

func TestFiftySheets(t *testing.T) {
	cases := fifty(t)
	if len(cases) < 50 {
		t.Fatalf("%d sheets", len(cases))
	}
	v := newVan(t)
	v.runs(exitDone, "transcribe", v.file("plain.csv", fiftyHead+"\n"+fiftyRow+"\n"), "--by", "Bo Invented")
	want := v.bytes() // another sheet that says the same changes nothing
	clean := newVan(t)
	empty := clean.bytes()
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			data, name := c.text, "sheet.csv"
			if c.cells != "" {
				data, name = workbookOf(t, "", c.cells), "sheet.xlsx"
			}
			if c.said == "" {
				got := v.run("transcribe", v.file(name, data), "--by", "Bo Invented")
				if got.code != exitDone || !strings.Contains(got.out, "its row stands in the log already") || v.bytes() != want {
					t.Errorf("%d\n%s%s", got.code, got.out, got.err)
				}
				return
			}
			got := clean.run("transcribe", clean.file(name, data), "--by", "Bo Invented")
			if got.code != exitInput || !strings.Contains(got.out, c.said) || strings.Count(got.err, "\n") != 1 {
				t.Errorf("%d\n%s%swant %s", got.code, got.out, got.err, c.said)
			}
			if clean.bytes() != empty {
				t.Error("something of it was stored")
			}
		})
	}
}

// A count of days may begin in 1904, and of two sheets with the columns none is chosen.
func TestOfWorkbooks(t *testing.T) {
	v := newVan(t)
	v.runs(exitDone, "transcribe", v.file("plain.csv", fiftyHead+"\n"+fiftyRow+"\n"), "--by", "Bo Invented")
	early := workbookOf(t, `<workbookPr date1904="1"/>`, with("C2", xc("C2", `s="1"`, "<v>44628</v>")))
	if out := v.runs(exitDone, "transcribe", v.file("early.xlsx", early), "--by", "Bo Invented"); !strings.Contains(out, "its row stands") {
		t.Error(out)
	}
	table := with("A2", inline("A2", "2A"))
	two := v.runs(exitInput, "transcribe", v.file("two.xlsx", workbookOf(t, "", table, table)), "--by", "Bo Invented")
	if !strings.Contains(two, `the sheets "Tab 1" and "Tab 2" both have the columns: leave one of them`) {
		t.Error(two)
	}
}

// Sheets that LibreOffice wrote; how they were made stands beside them.
func TestSheetsOfLibreOffice(t *testing.T) {
	files, err := filepath.Glob("../../testdata/sheets/*.[xc]*s*")
	if err != nil || len(files) < 5 {
		t.Fatalf("%d files, %v", len(files), err)
	}
	for _, file := range files {
		t.Run(filepath.Base(file), func(t *testing.T) {
			data, err := os.ReadFile(file)
			if err != nil {
				t.Fatal(err)
			}
			v := newVan(t)
			before := v.bytes()
			got := v.run("transcribe", v.file(filepath.Base(file), string(data)), "--by", "Bo Invented")
			if strings.Contains(file, "refused") {
				if got.code != exitInput || v.bytes() != before || !strings.Contains(got.out, "write ") {
					t.Errorf("%d\n%s%s", got.code, got.out, got.err)
				}
				return
			}
			if got.code != exitDone || !strings.Contains(got.out, "2 welds transcribed") {
				t.Fatalf("%d\n%s%s", got.code, got.out, got.err)
			}
			rows := rowsOf(t, v.runs(exitDone, "register"))
			rows["HF-0002"].shows(t, row{
				"joint": "1A", "operator": "Ada Invented", "operator_number": "C-17", "weather": "rain or snow, shelter tent", "fitting_batch": "0042", "ohms": "2.43",
				"fused_at": "2026-03-09T14:05:00Z", "released_at": "2026-03-09T14:15:00Z", "pipe_mark": "1A AI", "signed": "Ada Invented", "read_back": "as in the table",
			})
			rows["HF-0003"].shows(t, row{"joint": "2A", "fused_at": "2026-03-09T15:05:00Z"})
			if !strings.Contains(rows["HF-0002"]["looks"], "at the end-of-shift check") {
				t.Errorf("looks %s", rows["HF-0002"]["looks"])
			}
		})
	}
}
