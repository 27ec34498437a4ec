package register_test

import (
	"bytes"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/thedatashed/xlsxreader"

	"coolhold/logbook"
	"coolhold/logbook/audit"
	"coolhold/logbook/register"
	"coolhold/logbook/register/xlsx"
)

// Whoever opens the workbook meets words; the names of CSV and JSON stay what they are, and a
// sheet says which is which.
func TestTheHeadingsOfTheWorkbookAreWords(t *testing.T) {
	book := workbook(t, register.Sample(t))
	var seen []string
	for _, c := range book[xlsx.Register][0] {
		if strings.Contains(c.Value, "_") || slices.Contains(seen, c.Value) {
			t.Errorf("a heading is %q", c.Value)
		}
		seen = append(seen, c.Value)
	}
	said := named(book[xlsx.Headings])
	for i, c := range register.Columns {
		if got := said[i]; got["name in CSV and JSON"].Value != c.Name || !slices.Contains(seen, got["heading"].Value) {
			t.Errorf("%s is told as %v", c.Name, got)
		}
	}
	var out bytes.Buffer
	if err := register.CSV(&out, register.Report{}); err != nil || !strings.HasPrefix(out.String(), "weld,joint,state,chamber,") || !strings.Contains(out.String(), ",fitting_batch,") {
		t.Errorf("%v: the CSV begins %.60s", err, out.String())
	}
}

// A day or a time that a sentence names stands in a cell of its own, which can be sorted.
func TestDatesHaveTheirOwnCells(t *testing.T) {
	for name, rep := range map[string]register.Report{"sample": register.Sample(t), "later": register.Later(t), "pressed": register.Pressed(t), "signed": register.Signed(t)} {
		book := workbook(t, rep)
		rows := named(book[xlsx.Register])
		n := 0
		for i, row := range rep.Rows {
			for heading, has := range map[string]bool{
				"covered on": row.Cover != nil, "entered on, where later": row.Weld.LateBy != "", "last ordered to be cut out on": len(row.Weld.CutOrders) > 0,
				"pressure tested on": strings.Contains(row.Tested, "KM-P"),
			} {
				if cell := rows[i][heading]; has != (cell.Type == xlsxreader.TypeDateTime) {
					t.Errorf("%s, row %d: %s is %+v", name, i, heading, cell)
				} else if has {
					n++
				}
			}
		}
		if n == 0 && name != "signed" {
			t.Errorf("%s: no such day in any row", name)
		}
		for _, row := range named(book[xlsx.Site]) {
			if row["matter"].Value == "day signed" && (row["day or time it is about"].Type != xlsxreader.TypeDateTime || !strings.HasPrefix(row["what was said"].Value, "open then: ")) {
				t.Errorf("%s: a signed day is %v", name, row)
			}
		}
	}
}

// Of each finding stands who must act; of what is settled nobody must.
func TestWhoMustActStandsInTheWorkbook(t *testing.T) {
	rep := register.Buried(t)
	book := workbook(t, rep)
	seen := map[string]int{}
	for i, row := range named(book[xlsx.Findings]) {
		f, who := rep.Findings[i], row["who must act"].Value
		if (who == "") == f.Open() {
			t.Errorf("%s, open %v: to be done by %q", f.Says, f.Open(), who)
		}
		seen[who]++
		if f.Rule == "missing-weld" && who != "the crew" || f.Rule == audit.SelfAccepted && who != "somebody else than who did it" {
			t.Errorf("%s is for %q", f.Says, who)
		}
	}
	if seen["the foreman (Hedda Invented)"] == 0 || seen["the crew"] == 0 {
		t.Errorf("they are for %v", seen)
	}
	for i, row := range named(book[xlsx.Register]) {
		if rep.Rows[i].Weld.ID == "KM-0001" && (!strings.Contains(row["who must act"].Value, "the crew") || row["findings still open"].Value == "0") {
			t.Errorf("a failed weld is for %q, open %s", row["who must act"].Value, row["findings still open"].Value)
		}
	}
}

// Every rule that finds something says who must act on it.
func TestEveryRuleHasWhoMustAct(t *testing.T) {
	for _, r := range audit.Rules {
		who := audit.Finding{Rule: r.Slug, Severity: r.Severity}.Actor()
		if (who == audit.Nobody) != (r.Severity == audit.Note) {
			t.Errorf("%s, %s: %q", r.Slug, r.Severity, who)
		}
		want, known := map[string]audit.Actor{
			"recheck-asked": audit.Another, audit.RepairUnseen: audit.Another, audit.Transcribed: audit.Foreman, audit.RemarkToRead: audit.Foreman,
			"missing-weld": audit.Crew, "pressure-lost": audit.Crew, "indicator-flat": audit.Crew, "indicator-part": audit.Foreman,
		}[r.Slug]
		if known && who != want {
			t.Errorf("%s is for %q, want %q", r.Slug, who, want)
		}
	}
}

// A seal covers what stood before it: of each weld is told how much of it came after.
func TestWhatIsAfterTheSeal(t *testing.T) {
	rep := register.Sample(t)
	told := rep.Rows[1].Told
	seal := *rep.Logs[0].Seal
	seal.Entries = int64(told[0].Seq)
	rep.Logs[0].Seal = &seal
	book := workbook(t, rep)
	rows := named(book[xlsx.Register])
	want := []string{"", fmt.Sprintf("%d of its %d entries are after the seal", len(told)-1, len(told)), "all of it is after the seal", "all of it is after the seal"}
	for i, row := range rep.Rows[:4] {
		if got := rows[i]["after the seal"].Value; want[i] != "" && got != want[i] {
			t.Errorf("%s: %q, want %q", row.Weld.ID, got, want[i])
		}
	}
	summary := fmt.Sprint(book[xlsx.Summary])
	if !strings.Contains(summary, "welds after the seal") || !strings.Contains(summary, "KM-0001 to KM-0004") {
		t.Errorf("the summary says %s", summary)
	}
	rep.Logs[0].Seal = nil
	if got := named(workbook(t, rep)[xlsx.Register])[0]["after the seal"].Value; got != "no seal" {
		t.Errorf("without a seal it says %q", got)
	}
}

// A value that was corrected to nothing is no empty cell.
func TestAValueCorrectedToNothingIsBlank(t *testing.T) {
	rep := register.With(t, "W-1")
	w := &rep.Rows[0].Weld
	delete(w.Answers, logbook.ItemBatch)
	w.Corrections = []logbook.Corrected{{Correction: logbook.Correction{Field: logbook.ItemBatch, Old: "W-1", Why: "it was another bag"}}}
	book := workbook(t, rep)
	if got := named(book[xlsx.Register])[0]["batch of the fitting"].Value; got != "blank (corrected: was W-1)" {
		t.Errorf("the cell says %q", got)
	}
	if got := named(book[xlsx.Corrections])[0]; got["was"].Value != "W-1" || got["now"].Value != "blank" {
		t.Errorf("the correction says %v", got)
	}
	if says := readPage(t, pageOf(t, rep)).byID("corrections").says(); !strings.Contains(says, "was W-1, now blank.") {
		t.Errorf("the page says %s", says)
	}
}

// The sheet of findings is printed one page wide: what a person must read, and no more.
func TestFindingsArePrintedOnePageWide(t *testing.T) {
	file := filepath.Join(t.TempDir(), "r.xlsx")
	f, err := os.Create(file)
	if err != nil {
		t.Fatal(err)
	}
	if err := xlsx.Write(f, register.Sample(t), nil); err != nil {
		t.Fatal(err)
	}
	f.Close()
	at := slices.Index(sheetNames, xlsx.Findings)
	data, names := unzip(t, file, fmt.Sprintf("xl/worksheets/sheet%d.xml", at+1)), unzip(t, file, "xl/workbook.xml")
	if strings.Contains(data, `fitToPage="true"`) || !strings.Contains(data, ` scale="`) {
		t.Error("it is several pages wide")
	}
	if !strings.Contains(names, fmt.Sprintf(`localSheetId="%d"`, at)) || !strings.Contains(names, "_xlnm.Print_Area") || !strings.Contains(names, "$A$1:$K$") {
		t.Errorf("what is printed is not set: %s", names)
	}
}

// The sum of the work is the one of the register's sentence, of the pipes and of the rows: a
// joint in which a walk is open has no weld yet.
func TestTheSumOfTheWorkInTheWorkbook(t *testing.T) {
	for name, rep := range map[string]register.Report{"buried": register.Buried(t), "open": register.Open(t)} {
		book := workbook(t, rep)
		rows := named(book[xlsx.Work])
		sum := rows[len(rows)-1]
		made, bare := register.Made(rep.Joints)
		if sum["where"].Value != "in all" || sum["with a weld"].Value != fmt.Sprint(made) || sum["without a weld"].Value != fmt.Sprint(bare) {
			t.Errorf("%s: the sum is %v, want %d and %d", name, sum, made, bare)
		}
		pipes, without := 0, 0
		for _, row := range pipeRows(t, rep) {
			n := 0
			fmt.Sscan(row["without a weld"].Value, &n)
			pipes += n
		}
		for _, row := range named(book[xlsx.Register]) {
			if strings.HasPrefix(row["what stands in the joint"].Value, "without a weld") {
				without++
			}
		}
		if summary := fmt.Sprint(book[xlsx.Summary]); pipes != bare || without != bare || !strings.Contains(summary, fmt.Sprintf("%d: as many as in the sheets", bare)) {
			t.Errorf("%s: pipes have %d, rows %d, want %d; the summary says %s", name, pipes, without, bare, summary)
		}
	}
}
