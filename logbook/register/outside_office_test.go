package register_test

import (
	"bytes"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/thedatashed/xlsxreader"

	"coolhold/logbook/crew"
	"coolhold/logbook/register"
	"coolhold/logbook/register/xlsx"
)

// Every weld has its day, whether it was fused, given up, or typed from paper without a shift;
// one that was cut out lies under no ground.
func TestTheRowsOfTheWorkbook(t *testing.T) {
	cut, dug, unfused, loose := 0, 0, 0, 0
	for name, rep := range map[string]register.Report{"sample": register.Sample(t), "open": register.Open(t), "typed": register.TypedSince(t)} {
		for i, row := range named(workbook(t, rep)[xlsx.Register]) {
			r, day := rep.Rows[i], row["day of the weld"]
			if r.Weld.ID == "" {
				if day.Value != "" {
					t.Errorf("%s: joint %s without a weld has the day %+v", name, r.Joint.Label, day)
				}
				continue
			}
			if want := r.When().Format(time.DateOnly); day.Type != xlsxreader.TypeDateTime || day.Value != want {
				t.Errorf("%s: the day of %s is %+v, want %s", name, r.Weld.ID, day, want)
			}
			if !r.Weld.Fused() {
				unfused++
			}
			if r.Shift.ID == "" {
				loose++
			}
			if r.Weld.CutOut != nil {
				cut++
				if r.Cover != nil || row["covered with ground"].Value != "" || !strings.HasPrefix(row["or cut out"].Value, "cut out") {
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
	}
	if cut < 2 || dug == 0 || unfused == 0 || loose == 0 {
		t.Errorf("cut out %d, dug up %d, not fused %d, without a shift %d", cut, dug, unfused, loose)
	}
}

// Of a weld whose cutting out nobody stated a time of no time is made up.
func TestWhenItWasCutOutIsNotMadeUp(t *testing.T) {
	cut := 0
	for _, row := range named(workbook(t, register.TypedSince(t))[xlsx.Register]) {
		if row["what stands in the joint"].Value == "cut out" {
			cut++
			if until, at := row["or cut out"].Value, row["cut out"].Value; until != "cut out, when: not stated" || at != "when: not stated" {
				t.Errorf("it was cut out %q, %q", at, until)
			}
		}
	}
	if cut != 1 {
		t.Errorf("%d were cut out", cut)
	}
}

// What is to be done stands before all else of a weld but its verdict.
func TestWhatIsToBeDoneStandsInFront(t *testing.T) {
	head := workbook(t, register.Sample(t))[xlsx.Register][0]
	for letter, want := range map[string]string{"C": "what stands in the joint", "D": "what the record shows", "E": "findings still open", "F": "who must act"} {
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
		for _, row := range pipeRows(t, rep) {
			before, lacking := row["no pressure before"], row["neither clear nor accepted"].Value != "" || row["without a weld"].Value != "0" || name == "buried" && row["circuit"].Value == "2" // pressure was lost there
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

// pipeRows are those of the sheet of pipes without the sum behind them.
func pipeRows(t testing.TB, rep register.Report) []map[string]xlsxreader.Cell {
	t.Helper()
	rows := named(workbook(t, rep)[xlsx.Pipes])
	sum := slices.IndexFunc(rows, func(row map[string]xlsxreader.Cell) bool { return row["chamber the pipe belongs to"].Value == "in all" })
	if sum < 0 {
		t.Fatalf("there is no sum: %v", rows)
	}
	return rows[:sum]
}

// A joint outside the chambers is with the pipe that it lies on.
func TestAJointOutsideIsWithItsPipe(t *testing.T) {
	rep, _ := register.Waiting(t)
	found := false
	for _, row := range pipeRows(t, rep) {
		has := slices.Contains(strings.Split(row["which joints"].Value, ", "), "E1")
		found = found || has
		if has != (row["circuit"].Value == "1") || row["chamber the pipe belongs to"].Value != "A" {
			t.Errorf("E1 lies on the pipe of 1A; a row is %v", row)
		}
	}
	if !found {
		t.Error("E1 is in no row")
	}
}

// What a person did is counted whole and once, however many cards that person had, and under
// the days on which it was done.
func TestWhatPeopleDid(t *testing.T) {
	did := ""
	for _, row := range named(workbook(t, register.Sample(t))[xlsx.People]) {
		did += row["did"].Value + "; "
	}
	for _, want := range []string{"welded 4", "ordered a cut-out 1", "corrected 2", "reported 1"} {
		if !strings.Contains(did, want) {
			t.Errorf("they did %s, not %s", did, want)
		}
	}
	var cards, counts []string
	for _, row := range named(workbook(t, register.TypedSince(t))[xlsx.People]) {
		if row["name"].Value == crew.Ada {
			cards, counts = append(cards, row["number"].Value+": "+row["days"].Value), append(counts, row["did"].Value)
		}
	}
	if want := []string{"Q-7: 2026-03-09", "Q-8: 2026-03-10", "not stated: 2026-03-07 (no shift)"}; !slices.Equal(cards, want) {
		t.Errorf("the cards are %q, want %q", cards, want)
	}
	if len(counts) != 3 || !strings.HasPrefix(counts[0], "welded 2") || counts[1] != "see above" || counts[2] != "see above" {
		t.Errorf("Ada did %q", counts)
	}
}

// Corrections are numbered, each with whether it took a fail or a finding away, and which; one
// that made a finding took none away.
func TestTheSheetOfCorrections(t *testing.T) {
	seen := map[string]int{}
	for name, rep := range map[string]register.Report{"sample": register.Sample(t), "concerned": register.Concerned(t), "mended": register.Mended(t), "unfailed": register.Unfailed(t)} {
		for i, row := range named(workbook(t, rep)[xlsx.Corrections]) {
			if row["no."].Value != fmt.Sprint(i+1) {
				t.Errorf("%s: correction %d has the number %q", name, i+1, row["no."].Value)
			}
			kind, what, _ := strings.Cut(row["removed a fail or finding"].Value, ": ")
			if seen[kind]++; (kind == "no") != (what == "") {
				t.Errorf("%s: correction %d removed %q", name, i+1, row["removed a fail or finding"].Value)
			}
		}
	}
	if seen["no"] == 0 || seen["a fail"] == 0 || seen["a finding"] == 0 || seen["a fail that a correction before it had made"] == 0 || len(seen) != 4 {
		t.Errorf("what they removed: %v", seen)
	}
}

// A finding has the weld that it names, and one at a joint the weld that stands there where it
// speaks of that.
func TestFindingsHaveTheirWeld(t *testing.T) {
	of, stood, none := 0, 0, 0
	for name, rep := range map[string]register.Report{"buried": register.Buried(t), "open": register.Open(t)} {
		stands := map[string]string{}
		for _, p := range rep.Joints {
			stands[p.Label] = p.Stands
		}
		for i, row := range named(workbook(t, rep)[xlsx.Findings]) {
			f := rep.Findings[i]
			want := f.Weld
			switch {
			case f.Weld != "":
				of++
			case f.Rule == "fail-not-cut-out" || f.Rule == "covered-before-accepted":
				want = stands[f.Joint]
				stood++
			default:
				none++
			}
			if got := row["weld"].Value; got != want {
				t.Errorf("%s: %s (%s) is of weld %q, want %q", name, f.Says, f.Rule, got, want)
			}
		}
	}
	if of == 0 || stood == 0 || none == 0 {
		t.Errorf("findings that name a weld %d, of one that stands %d, of none %d", of, stood, none)
	}
}

// The foreman is named, or it is said that nobody is.
func TestTheForemanInTheWorkbook(t *testing.T) {
	for want, rep := range map[string]register.Report{"nobody is named as foreman in this log": register.Sample(t), "Hedda Invented": register.Buried(t)} {
		got := "nothing"
		for _, row := range workbook(t, rep)[xlsx.Summary] {
			if row["A"].Value == "foreman" {
				got = row["B"].Value
			}
		}
		if got != want {
			t.Errorf("of the foreman it says %q, want %q", got, want)
		}
	}
}

// What is printed of all rows is what is filed: on A3, one page wide, the columns before all
// others; each of the sheet that tells the headings says so.
func TestTheRegisterIsPrintedAsItIsFiled(t *testing.T) {
	for name, rep := range map[string]register.Report{"sample": register.Sample(t), "pressed": register.Pressed(t)} {
		file := bookOnDisk(t, rep)
		at := slices.Index(sheetNames, xlsx.Register)
		data, names := unzip(t, file, fmt.Sprintf("xl/worksheets/sheet%d.xml", at+1)), unzip(t, file, "xl/workbook.xml")
		if !strings.Contains(data, `paperSize="8"`) || strings.Contains(data, `fitToPage="true"`) {
			t.Errorf("%s: it is not printed on A3, one page wide", name)
		}
		scale := 0
		if m := regexp.MustCompile(` scale="(\d+)"`).FindStringSubmatch(data); m != nil {
			fmt.Sscan(m[1], &scale)
		}
		if scale < 50 || scale > 75 { // letters of 11 points: five and a half can be read
			t.Errorf("%s: it is printed at %d %%", name, scale)
		}
		last := regexp.MustCompile(`localSheetId="` + fmt.Sprint(at) + `" name="_xlnm.Print_Area"[^>]*>[^<]*\$A\$1:\$([A-Z]+)\$` + fmt.Sprint(len(rep.Rows)+1) + `<`).FindStringSubmatch(names)
		if last == nil {
			t.Fatalf("%s: what is printed is not set: %s", name, names)
		}
		book := workbook(t, rep)
		printed, all := map[string]string{}, book[xlsx.Register][0]
		for _, row := range named(book[xlsx.Headings]) {
			if row["sheet"].Value == xlsx.Register {
				printed[row["heading"].Value] = row["printed"].Value
			}
		}
		for letter, head := range all {
			want := "no"
			if filled := slices.ContainsFunc(book[xlsx.Register][1:], func(row map[string]xlsxreader.Cell) bool { return row[letter].Value != "" }); !filled {
				want = "no: nothing stands in it"
			} else if len(letter) < len(last[1]) || len(letter) == len(last[1]) && letter <= last[1] {
				want = "yes"
			}
			if printed[head.Value] != want {
				t.Errorf("%s: column %s, %q, is printed: %q, want %q", name, letter, head.Value, printed[head.Value], want)
			}
		}
		if len(all) < 80 || len(last[1]) != 1 {
			t.Errorf("%s: %d columns, printed up to %s", name, len(all), last[1])
		}
	}
}

// A program that prints makes of each sheet as many pages as its rows take, none of them
// beside another: each has the first column and the last.
func TestThePrintedWorkbook(t *testing.T) {
	program, err := exec.LookPath("soffice")
	if err != nil {
		t.Skip("no soffice: what a spreadsheet prints is not looked at")
	}
	dir := t.TempDir()
	rep := register.Pressed(t)
	if out, err := exec.CommandContext(t.Context(), program, "-env:UserInstallation=file://"+dir+"/office", "--headless", "--convert-to", "pdf", "--outdir", dir, bookOnDisk(t, rep)).CombinedOutput(); err != nil {
		t.Fatalf("%v: %s", err, out)
	}
	ends := map[string][]string{
		xlsx.Register: {"weld", "joint", "who must act", "indicators", "pressure", "KM-0001", "KM-0004", "W-1", crew.Unit}, xlsx.Findings: {"joint", "why it was"},
		xlsx.Pipes: {"chamber", "waits of the"}, xlsx.Corrections: {"no.", "made a fail"}, xlsx.People: {"name", "did"}, xlsx.Units: {"control unit", "days"}, xlsx.Batches: {"batch of", "which joints"}, xlsx.Days: {"day", "which"}, xlsx.Ground: {"part of the site", "pressure tests"},
		xlsx.Tests: {"test", "readings"}, xlsx.Site: {"matter", "what was said"}, xlsx.Tables: {"table", "cooling"}, xlsx.Headings: {"sheet", "printed"},
	}
	pages := map[string]int{}
	for _, page := range strings.Split(output(t, "pdftotext", "-layout", filepath.Join(dir, "r.pdf"), "-"), "\f") {
		of := regexp.MustCompile(`Register of welds: (.+)\n`).FindStringSubmatch(page)
		if of == nil {
			continue
		}
		pages[of[1]]++
		for _, want := range ends[of[1]] {
			if !strings.Contains(page, want) {
				t.Errorf("a page of %s does not say %q:\n%s", of[1], want, page)
			}
		}
	}
	for _, name := range sheetNames { // of a list in which nothing stands there is no page
		if empty := name == xlsx.Corrections || name == xlsx.Enclosures || name == xlsx.Acceptances; empty != (pages[name] == 0) {
			t.Errorf("%s is printed on %d pages", name, pages[name])
		}
	}
	if pages[xlsx.Summary] != 1 || pages[xlsx.Register] != 1 {
		t.Errorf("the sheets are printed on %v", pages)
	}
}

// bookOnDisk is a workbook on disk.
func bookOnDisk(t *testing.T, rep register.Report) string {
	t.Helper()
	var out bytes.Buffer
	if err := xlsx.Write(&out, rep, nil); err != nil {
		t.Fatal(err)
	}
	file := filepath.Join(t.TempDir(), "r.xlsx")
	if err := os.WriteFile(file, out.Bytes(), 0o600); err != nil {
		t.Fatal(err)
	}
	return file
}
