package workbook

import (
	"archive/zip"
	"bytes"
	"reflect"
	"testing"
)

// packed is a workbook of these parts. They are stored as they are, so that a change of
// one byte is a change of the part and not of its packing.
func packed(t testing.TB, parts map[string]string) []byte {
	t.Helper()
	var out bytes.Buffer
	z := zip.NewWriter(&out)
	for _, name := range []string{"xl/workbook.xml", "xl/_rels/workbook.xml.rels", "xl/sharedStrings.xml", "xl/styles.xml", "xl/worksheets/sheet1.xml"} {
		w, err := z.CreateHeader(&zip.FileHeader{Name: name, Method: zip.Store})
		if err == nil {
			_, err = w.Write([]byte(parts[name]))
		}
		if err != nil {
			t.Fatal(err)
		}
	}
	if err := z.Close(); err != nil {
		t.Fatal(err)
	}
	return out.Bytes()
}

const (
	seedBook = `<workbook xmlns:r="r"><workbookPr date1904="0"/><sheets><sheet name="Welds" r:id="r1"/></sheets></workbook>`
	seedRels = `<Relationships><Relationship Id="r1" Target="worksheets/sheet1.xml"/></Relationships>`
	seedText = `<sst><si><t>joint</t></si><si><r><t>1</t></r><r><t>A</t></r></si></sst>`
	seedLook = `<styleSheet><numFmts><numFmt numFmtId="164" formatCode="yyyy\-mm\-dd"/><numFmt numFmtId="165" formatCode="[h]:mm"/><numFmt numFmtId="166" formatCode="0000"/></numFmts><cellXfs><xf numFmtId="0"/><xf numFmtId="164"/><xf numFmtId="165"/><xf numFmtId="166"/><xf numFmtId="9"/></cellXfs></styleSheet>`
	seedRows = `<worksheet><cols><col min="3" max="3" hidden="1"/></cols><sheetData><row r="1"><c r="A1" t="s"><v>0</v></c><c r="B1" t="inlineStr"><is><t>date</t></is></c></row><row r="2" hidden="1"><c r="A2" t="s"><v>1</v></c><c r="B2" s="1"><v>46090</v></c><c r="C2" s="2"><v>0.5866</v></c><c r="D2" s="3"><v>42</v></c><c r="E2" t="b"><v>1</v></c><c r="F2" t="e"><v>#N/A</v></c><c r="G2"><f>1+1</f></c><c r="H2"><v>1e15</v></c></row></sheetData><mergeCells><mergeCell ref="A4:B5"/></mergeCells></worksheet>`
)

// Whatever a workbook holds, it is read within its bounds or refused: no cell without a
// text or a reason, none twice in a row, rows that go up; and the same again.
func FuzzWorkbook(f *testing.F) {
	f.Add(seedBook, seedRels, seedText, seedLook, seedRows)
	f.Add(`<workbook xmlns:r="r"><workbookPr date1904="true"/><sheets><sheet name="a" r:id="r1"/><sheet name="b" r:id="r1"/></sheets></workbook>`, seedRels, "", seedLook, seedRows)
	f.Add(seedBook, seedRels, seedText, "", `<worksheet><sheetData><row><c><v>1</v></c><c r="A0"/><c r="ZZZZZZZ1"><v>2</v></c><c r="A1" t="s"><v>-1</v></c></row><row r="-1"><c s="-9"><v>NaN</v></c></row></sheetData></worksheet>`)
	f.Fuzz(func(t *testing.T, book, rels, text, look, rows string) {
		data := packed(t, map[string]string{
			"xl/workbook.xml": book, "xl/_rels/workbook.xml.rels": rels, "xl/sharedStrings.xml": text, "xl/styles.xml": look, "xl/worksheets/sheet1.xml": rows,
		})
		sheets, err := Read(data)
		if err != nil {
			if len(sheets) > 0 {
				t.Errorf("refused (%v), and yet %d sheets", err, len(sheets))
			}
			return
		}
		holds(t, sheets)
		if again, err := Read(data); err != nil || !reflect.DeepEqual(again, sheets) {
			t.Errorf("read again it is another: %v", err)
		}
	})
}

// holds is what the readers of the rows rely on.
func holds(t *testing.T, sheets []Sheet) {
	t.Helper()
	cells := 0
	for _, s := range sheets {
		for _, r := range s.Rows {
			if cells += len(r.Cells); len(r.Cells) == 0 || r.No < 1 {
				t.Errorf("row %d has %d cells", r.No, len(r.Cells))
			}
			for _, c := range r.Cells {
				if c.Col < 0 || c.Text == "" && c.Bad == "" {
					t.Errorf("row %d: %+v", r.No, c)
				}
			}
		}
	}
	if cells > mostCells || len(sheets) > mostSheets {
		t.Errorf("%d cells on %d sheets", cells, len(sheets))
	}
}
