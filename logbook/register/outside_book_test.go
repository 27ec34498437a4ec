package register_test

import (
	"fmt"
	"regexp"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/thedatashed/xlsxreader"
	"github.com/xuri/excelize/v2"

	"coolhold/logbook/register"
	"coolhold/logbook/register/account"
	"coolhold/logbook/register/xlsx"
)

// Who filters the rows by whether ground may be laid has as many joints as are not ready: that in
// which a walk is open has a row too, the one of its weld, and each joint is in one row.
func TestEachJointSaysOnceWhetherItMayBeCovered(t *testing.T) {
	walks := 0
	for name, rep := range map[string]register.Report{"corrie": corrie(t), "open": register.Open(t), "sample": register.Sample(t)} {
		want, said := map[string]bool{}, map[string]int{}
		for _, p := range rep.Joints {
			want[p.Label] = p.Counts()
		}
		for i, row := range named(workbook(t, rep)[xlsx.Register]) {
			if row["may be covered"].Value == "" {
				continue
			}
			if said[row["joint"].Value]++; rep.Rows[i].Weld.ID != "" && rep.Rows[i].Weld.Walking() {
				if walks++; !strings.HasPrefix(row["what is missing before ground"].Value, "being made, no current yet; to do: ") {
					t.Errorf("%s: %s lacks %q", name, row["joint"].Value, row["what is missing before ground"].Value)
				}
			}
		}
		for label, counts := range want {
			if n := said[label]; counts != (n == 1) || n > 1 {
				t.Errorf("%s: %s is in %d rows", name, label, n)
			}
		}
	}
	if walks == 0 {
		t.Error("no walk is open")
	}
	no := 0
	for _, row := range named(workbook(t, corrie(t))[xlsx.Register]) {
		if row["may be covered"].Value == register.MayNotCover {
			no++
		}
	}
	if no != 30 { // 12 and 9 of two chambers and the four runs, with those in them that lack nothing, and one that was dug up
		t.Errorf("%d joints may not be covered", no)
	}
}

// The words for how a joint stands are those of the documents, in the sheet of ground and of each
// weld; and what is missing there is worded as the sheet of findings has it.
func TestTheWordsOfTheWorkbookAreThoseOfTheDocuments(t *testing.T) {
	rep := corrie(t)
	book := workbook(t, rep)
	said := map[string]bool{}
	for _, row := range named(book[xlsx.Findings]) {
		said[row["kind"].Value+": "+row["what is found"].Value] = true
		if stamp := regexp.MustCompile(`\dT\d\d:`).FindString(row["what is found"].Value); stamp != "" {
			t.Errorf("a finding is %q", row["what is found"].Value)
		}
	}
	states := regexp.MustCompile(`\b(hold|open again|open|in the walk|fusing)\b`)
	found := 0
	for i, row := range named(book[xlsx.Register]) {
		lacks := row["what is missing before ground"].Value
		if word := states.FindString(strings.ReplaceAll(lacks, "to do: "+rep.Rows[i].Weld.ID, "")); word != "" {
			t.Errorf("%s lacks %q: %s", row["joint"].Value, word, lacks)
		}
		for rest := lacks; rest != ""; { // state first, else a finding, whole
			at := regexp.MustCompile(`^(fail|query|to do): `).FindString(rest)
			if at == "" {
				_, rest, _ = strings.Cut(rest, "; ")
				continue
			}
			whole := ""
			for f := range said {
				if strings.HasPrefix(rest, f) && len(f) > len(whole) {
					whole = f
				}
			}
			if found++; whole == "" {
				t.Errorf("%s lacks what no finding says: %s", row["joint"].Value, rest)
				break
			}
			rest = strings.TrimPrefix(strings.TrimPrefix(rest, whole), "; ")
		}
	}
	if found < 60 {
		t.Errorf("%d findings are told of joints", found)
	}
	ground := fmt.Sprint(book[xlsx.Ground])
	for _, want := range []string{"Dew-6A (cooling over, not released)", "Dew-6B (being made, no current yet)", "Dew-4B (without a weld, one was cut out)", "Loam-FG without a weld", "T.1 end of fusion not recorded"} {
		if !strings.Contains(ground, want) {
			t.Errorf("the sheet of ground does not say %q: %s", want, ground)
		}
	}
	if word := states.FindString(ground); word != "" {
		t.Errorf("the sheet of ground says %q", word)
	}
	told := account.Of(rep, nil) // one word a state, in the documents as well
	var circuits []string
	for _, c := range told.Circuits() {
		circuits = append(circuits, c.Cover)
	}
	for _, want := range []string{"Dew-6A (cooling over, not released)", "Dew-4B (without a weld, one was cut out)"} {
		if !strings.Contains(strings.Join(circuits, "\n"), want) {
			t.Errorf("the documents do not say %q", want)
		}
	}
}

// Who is told that of ten acceptances seven stand finds all of them, with what became of the
// others and when.
func TestTheAcceptancesInTheWorkbook(t *testing.T) {
	rep := corrie(t)
	book := workbook(t, rep)
	given, stand, gone := map[string]int{}, map[string]int{}, map[string]string{}
	for _, row := range named(book[xlsx.Acceptances]) {
		by := row["accepted by"].Value
		if given[by]++; row["accepted on"].Type != xlsxreader.TypeDateTime || row["what was accepted"].Value == "" || row["why it was accepted"].Value == "" {
			t.Errorf("%v", row)
		}
		switch row["stands"].Value {
		case "yes":
			if stand[by]++; row["why it stands no more"].Value+row["since"].Value+row["through"].Value != "" {
				t.Errorf("it stands: %v", row)
			}
		case "no":
			if row["since"].Type != xlsxreader.TypeDateTime {
				t.Errorf("since when? %v", row)
			}
			gone[row["weld"].Value] = minuteOf(t, row["since"].Value) + ", " + row["through"].Value + ": " + row["why it stands no more"].Value
		default:
			t.Errorf("it stands: %v", row["stands"])
		}
	}
	for weld, want := range map[string]string{
		"CL-0002": "03-18 14:00, a correction of scraping method: the record shows it no more: what it was found by was changed since",
		"CL-0004": "03-18 14:00, a correction of clamped: the facts changed after it, so it is open again: CL-0004: could not: undamaged (other: a scratch)",
		"CL-0015": "03-16 17:30, taken back: taken back by Bryn Calder: it was another weld that I asked of",
	} {
		if gone[weld] != want {
			t.Errorf("%s: %q, want %q", weld, gone[weld], want)
		}
	}
	if len(gone) != 3 || len(rep.Lapsed()) != 3 {
		t.Errorf("%v stand no more", gone)
	}
	for _, row := range named(book[xlsx.People]) {
		m := regexp.MustCompile(`accepted (\d+)(?:, of which (\d+) stand)?`).FindStringSubmatch(row["did"].Value)
		if m == nil {
			continue
		}
		by := row["name"].Value
		if m[2] == "" {
			m[2] = m[1]
		}
		if fmt.Sprint(given[by]) != m[1] || fmt.Sprint(stand[by]) != m[2] {
			t.Errorf("%s accepted %d, %d stand; the people have %s", by, given[by], stand[by], m[0])
		}
		delete(given, by)
	}
	if len(given) != 0 || stand["Bryn Calder"] != 7 {
		t.Errorf("left are %v", given)
	}
}

// An acceptance of which no correction of the weld took the facts away names none.
func TestNoCorrectionIsMadeUpForAnAcceptance(t *testing.T) {
	lapsed := 0
	for name, rep := range map[string]register.Report{"concerned": register.Concerned(t), "mended": register.Mended(t), "accepted": register.Accepted(t), "unfailed": register.Unfailed(t), "corrie": corrie(t)} {
		corrected := map[string][]string{}
		for _, row := range rep.Rows {
			for _, c := range row.Weld.Corrections {
				corrected[row.Weld.ID] = append(corrected[row.Weld.ID], "a correction of "+c.Name())
			}
		}
		for _, row := range named(workbook(t, rep)[xlsx.Acceptances]) {
			if row["stands"].Value == "no" {
				lapsed++
			}
			through := row["through"].Value
			if through != "" && through != "taken back" && !slices.Contains(corrected[row["weld"].Value], through) {
				t.Errorf("%s: %v, corrected was %q", name, row, corrected[row["weld"].Value])
			}
			if (through == "") != (row["since"].Value == "") {
				t.Errorf("%s: %v", name, row)
			}
		}
	}
	if lapsed < 4 {
		t.Errorf("%d stand no more", lapsed)
	}
}

// What of the pipes there is of one size stands behind their sum, and adds up to it.
func TestThePipesBySize(t *testing.T) {
	book := workbook(t, corrie(t))
	metres, pipes, sum := map[string]string{}, 0, 0.0
	var rows []map[string]xlsxreader.Cell
	for _, row := range named(book[xlsx.Pipes]) {
		if row["chamber the pipe belongs to"].Value != "of these" {
			if row["circuit"].Value+row["header"].Value != "" {
				pipes++
			}
			rows = append(rows, row)
			continue
		}
		m, n := 0.0, 0
		fmt.Sscan(row["length, m"].Value, &m)
		fmt.Sscan(row["remark"].Value, &n)
		metres[row["pipe OD, mm"].Value+" SDR "+row["pipe SDR"].Value], sum, pipes = row["length, m"].Value, sum+m, pipes-n
	}
	if want := map[string]string{"32 SDR 11": "1080", "40 SDR 11": "1787.5", "63 SDR 11": "134"}; fmt.Sprint(metres) != fmt.Sprint(want) || pipes != 0 {
		t.Errorf("%v, want %v; pipes left out %d", metres, want, pipes)
	}
	if all := inAll(rows, "chamber the pipe belongs to"); all["length, m"].Value != fmt.Sprint(sum) || rows[len(rows)-1]["joints"].Value != all["joints"].Value {
		t.Errorf("the sizes have %g m, all have %v", sum, all)
	}
	if remark := rows[len(rows)-2]["remark"].Value; !strings.Contains(remark, "of 63 mm; the size of X.1 is not stated;") {
		t.Errorf("the remark is %q", remark)
	}
}

// The welds of a day, by who made them and with which unit, are those of the rows, each in one;
// their sums are what the people did.
func TestTheWeldsOfEachDay(t *testing.T) {
	for name, rep := range map[string]register.Report{"corrie": corrie(t), "sample": register.Sample(t), "typed": register.TypedSince(t)} {
		book := workbook(t, rep)
		of := map[string]string{}
		for _, row := range named(book[xlsx.Register]) {
			if row["weld"].Value != "" {
				of[row["weld"].Value] = row["day of the weld"].Value + " " + row["welded by"].Value + " " + row["control unit"].Value
			}
		}
		did, last, cut := map[string]int{}, "", 0
		for _, row := range named(book[xlsx.Days]) {
			key := row["day"].Value + " " + row["welder"].Value + " " + row["control unit"].Value
			if key < last {
				t.Errorf("%s: %s stands behind %s", name, key, last)
			}
			sum := 0
			for _, what := range []string{"welded", "given up", "being made"} {
				n := 0
				fmt.Sscan(row[what].Value, &n)
				did[row["welder"].Value+" "+what], sum = did[row["welder"].Value+" "+what]+n, sum+n
			}
			n := 0
			fmt.Sscan(row["of these cut out since"].Value, &n)
			cut += n
			welds := strings.Split(row["which"].Value, ", ")
			for _, id := range welds {
				if strings.TrimSpace(of[id]) != strings.TrimSpace(strings.ReplaceAll(key, " not recorded", "")) {
					t.Errorf("%s: %s is of %q, in the row of %q", name, id, of[id], key)
				}
				delete(of, id)
			}
			if last = key; len(welds) != sum {
				t.Errorf("%s: %v", name, row)
			}
		}
		if len(of) != 0 {
			t.Errorf("%s: in no row are %v", name, of)
		}
		for _, row := range named(book[xlsx.People]) {
			for _, what := range []string{"welded", "given up", "being made"} {
				n := 0
				if m := regexp.MustCompile(`(?:^|, )` + what + ` (\d+)`).FindStringSubmatch(row["did"].Value); m != nil {
					fmt.Sscan(m[1], &n)
				}
				if key := row["name"].Value + " " + what; row["did"].Value != "see above" && did[key] != n {
					t.Errorf("%s: %s %d by day, %d of the person", name, key, did[key], n)
				}
			}
		}
		for _, c := range rep.Counts {
			cut -= c.CutOut
		}
		if cut != 0 {
			t.Errorf("%s: %d more are cut out by day", name, cut)
		}
	}
}

// A finding that was accepted says when, to the minute; what a correction made stands beside
// what it removed, the fails apart.
func TestWhenItWasAcceptedAndWhatACorrectionMade(t *testing.T) {
	book := workbook(t, corrie(t))
	f, err := excelize.OpenFile(bookOnDisk(t, corrie(t)))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	letter := ""
	for at, head := range book[xlsx.Findings][0] {
		if head.Value == "accepted on" {
			letter = at
		}
	}
	accepted := 0
	for i, row := range book[xlsx.Findings][1:] {
		if row[letter].Value == "" {
			continue
		}
		if says, err := f.GetCellValue(xlsx.Findings, fmt.Sprintf("%s%d", letter, i+2)); err != nil || !regexp.MustCompile(`^2026-03-\d\d \d\d:\d\d:\d\d$`).MatchString(says) {
			t.Errorf("it shows %q, %v", says, err)
		}
		accepted++
	}
	made := map[string]string{}
	for _, row := range named(book[xlsx.Corrections]) {
		made[row["weld"].Value+" "+row["value"].Value] = row["made a fail or finding"].Value
	}
	for what, want := range map[string]string{
		"CL-0016 wire after fusion (look 1)": "a fail: heating wire visible after fusion",
		"CL-0022 seconds set":                "a fail: the unit shows 41 s, the fitting's table says 40 s for 5…14 °C; a finding: ran 40 s, its unit was set to 41 s",
		"CL-0015 seconds set":                "a finding: ran 86 s, its unit was set to 88 s",
		"CL-0027 stopped at":                 "a finding is another: it was fusion stopped at 31 s (nobody gave a reason when it stopped), it is fusion stopped at 33 s (nobody gave a reason when it stopped)",
		"CL-0002 scraping method":            "no",
	} {
		if made[what] != want {
			t.Errorf("%s made %q, want %q", what, made[what], want)
		}
	}
	if accepted != 9 {
		t.Errorf("%d are accepted", accepted)
	}
}

// What is printed says of a joint that was dug up that it was covered before.
func TestDugUpIsPrinted(t *testing.T) {
	dug, covered := 0, 0
	for name, rep := range map[string]register.Report{"corrie": corrie(t), "sample": register.Sample(t), "buried": register.Buried(t)} {
		for i, row := range named(workbook(t, rep)[xlsx.Register]) {
			r, on := rep.Rows[i], row["covered on"]
			switch {
			case r.Dug != nil:
				if dug++; on.Value != "dug up since, on "+r.Dug.On || on.Type == xlsxreader.TypeDateTime {
					t.Errorf("%s: %s is covered %+v", name, r.Joint.Label, on)
				}
			case r.Cover != nil:
				if covered++; on.Type != xlsxreader.TypeDateTime {
					t.Errorf("%s: %s is covered %+v", name, r.Joint.Label, on)
				}
			case on.Value != "":
				t.Errorf("%s: %s is covered %+v", name, r.Joint.Label, on)
			}
		}
	}
	if dug < 2 || covered == 0 {
		t.Errorf("dug up %d, covered %d", dug, covered)
	}
}

// The sheet that tells the headings tells those of other lists too, each one that is there, all
// of two lists; of none that is hidden it says that it is printed.
func TestTheHeadingsOfOtherSheets(t *testing.T) {
	all := 0
	for name, rep := range map[string]register.Report{"corrie": corrie(t), "sample": register.Sample(t)} {
		book := workbook(t, rep)
		f, err := excelize.OpenFile(bookOnDisk(t, rep))
		if err != nil {
			t.Fatal(err)
		}
		defer f.Close()
		told := map[string]bool{}
		for _, row := range named(book[xlsx.Headings]) {
			sheet, heading := row["sheet"].Value, row["heading"].Value
			told[sheet+": "+heading] = row["what is meant"].Value != "" || sheet == xlsx.Batches
			letter := ""
			for at, head := range book[sheet][0] {
				if head.Value == heading {
					letter = at
				}
			}
			if letter == "" {
				t.Errorf("%s: %s has no column %q", name, sheet, heading)
				continue
			}
			seen, err := f.GetColVisible(sheet, letter)
			if err != nil {
				t.Fatal(err)
			}
			if seen = seen && len(book[sheet]) > 1; seen == strings.HasPrefix(row["printed"].Value, "no: ") || !seen && row["printed"].Value == "yes" {
				t.Errorf("%s: %s, %s is seen %v, and printed: %q", name, sheet, heading, seen, row["printed"].Value)
			}
			if row["printed"].Value == "" {
				t.Errorf("%s: whether %s, %s is printed is not told", name, sheet, heading)
			}
			all++
		}
		for _, sheet := range []string{xlsx.Batches, xlsx.Ground} {
			for _, head := range book[sheet][0] {
				if !told[sheet+": "+head.Value] {
					t.Errorf("%s: %s, %s is not told", name, sheet, head.Value)
				}
			}
		}
		for _, of := range []string{"no pressure before", "waits of the fittings"} {
			if !told[xlsx.Pipes+": "+of] {
				t.Errorf("%s: %s is not told", name, of)
			}
		}
	}
	if all < 200 {
		t.Errorf("%d headings", all)
	}
}

// A weld of a day on which no shift began bears one of a day before: the days of who made it say
// so, and only there.
func TestADayThatHasTheShiftOfTheDayBefore(t *testing.T) {
	rep := corrie(t)
	book := workbook(t, rep)
	const still = "2026-03-19 (still the shift of 2026-03-18)"
	for sheet, name := range map[string]string{xlsx.People: "name", xlsx.Units: "control unit"} {
		of := map[string]string{}
		for _, row := range named(book[sheet]) {
			of[row[name].Value] += row["days"].Value + "; "
		}
		for who, days := range of {
			used := slices.ContainsFunc(rep.Rows, func(r register.Row) bool {
				return (r.Weld.Operator == who || r.Weld.Unit == who) && r.Weld.ID != "" && r.Shift.Day == "2026-03-18" && r.When().Day() == 19
			})
			if used != strings.Contains(days, still) || strings.Count(days, "still") > 1 {
				t.Errorf("%s: %s", who, days)
			}
		}
	}
	for name, rep := range map[string]register.Report{"sample": register.Sample(t), "typed": register.TypedSince(t)} {
		if book := workbook(t, rep); strings.Contains(fmt.Sprint(book[xlsx.People], book[xlsx.Units]), "still the shift") {
			t.Errorf("%s: a shift goes on for no other day", name)
		}
	}
	paper := 0
	for i, row := range named(book[xlsx.Register]) {
		if rep.Rows[i].Weld.Paper != nil && row["shift"].Value != "" {
			paper++
		}
	}
	for _, row := range named(book[xlsx.Headings]) {
		if row["sheet"].Value == xlsx.Register && row["heading"].Value == "shift" && (paper == 0 || strings.Contains(row["what is meant"].Value, "empty of a weld from paper")) {
			t.Errorf("of %d from paper the shift is named: %v", paper, row)
		}
	}
}

// No head of a list is broken within a word, and none is cut.
func TestHeadsAreNeitherBrokenNorCut(t *testing.T) {
	f, err := excelize.OpenFile(bookOnDisk(t, corrie(t)))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	heads := 0
	for _, sheet := range sheetNames {
		rows, err := f.GetRows(sheet)
		if err != nil || sheet == xlsx.Summary {
			continue
		}
		high, err := f.GetRowHeight(sheet, 1)
		if err != nil {
			t.Fatal(err)
		}
		for i, head := range rows[0] {
			letter, _ := excelize.ColumnNumberToName(i + 1)
			width, err := f.GetColWidth(sheet, letter)
			if err != nil {
				t.Fatal(err)
			}
			seen, err := f.GetColVisible(sheet, letter)
			if err != nil {
				t.Fatal(err)
			}
			lines, on := 1, 0
			for _, word := range strings.Fields(head) { // a bold letter is wider than the common one, and a cell has edges
				n := len([]rune(word))
				if float64(n)*1.1+1.5 > width {
					t.Errorf("%s: %q is broken: %g wide", sheet, head, width)
				}
				if on += n + 1; on > n+1 && float64(on-1)*1.1+1.5 > width {
					lines, on = lines+1, n+1
				}
			}
			if heads++; seen && float64(lines)*lineOfHead > high {
				t.Errorf("%s: %q is cut: %d lines, %g high", sheet, head, lines, high)
			}
		}
	}
	if heads < 200 {
		t.Errorf("%d heads", heads)
	}
}

// lineOfHead is how high a line of 11 points is.
const lineOfHead = 14.5

// Where not all rows are listed the welds at the ends of a pipe may not be among them: no metres
// are told.
func TestMetresOfAFilteredListAreNotTold(t *testing.T) {
	rep := corrie(t)
	rep.Day = "2026-03-16"
	for _, row := range named(workbook(t, rep)[xlsx.Batches]) {
		if row["length in the plan, m"].Value+row["which pipes, where not of this coil alone"].Value != "" || row["batch of"].Value == "pipes in the plan" {
			t.Errorf("%v", row)
		}
	}
}

// Where pressure was lost no time stands before a test, though every joint is settled.
func TestALossStandsBeforeThePressureInTheWorkbook(t *testing.T) {
	for name, k := range map[string]struct {
		rep  register.Report
		lost bool
	}{"lost": {register.AllMadeAndLost(t), true}, "none lost": {register.AllMade(t, 12*time.Hour), false}} {
		rows := 0
		for _, row := range named(workbook(t, k.rep)[xlsx.Pipes]) {
			if row["circuit"].Value+row["header"].Value == "" {
				continue
			}
			rows++
			if before := row["no pressure before"]; (before.Value == "not yet: "+register.LeakOpen) != k.lost || (before.Type == xlsxreader.TypeDateTime) == k.lost {
				t.Errorf("%s: circuit %q, header %q: no pressure before %+v", name, row["circuit"].Value, row["header"].Value, before)
			}
		}
		if rows != 3 {
			t.Errorf("%s: %d pipes", name, rows)
		}
	}
}
