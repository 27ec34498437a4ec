package register_test

import (
	"cmp"
	"compress/gzip"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/thedatashed/xlsxreader"
	"github.com/xuri/excelize/v2"

	"coolhold/fusion"
	"coolhold/logbook"
	"coolhold/logbook/audit"
	"coolhold/logbook/register"
	"coolhold/logbook/register/xlsx"
	"coolhold/logbook/store"
)

// corrie is the register of a log of four days, as it was in the middle of the last: several
// chambers, welds from paper, corrections of every kind, losses of pressure.
func corrie(t *testing.T) register.Report {
	t.Helper()
	packed, err := os.Open(filepath.Join("..", "..", "cmd", "coolhold", "testdata", "logs", "corrie", "format-2.coolhold.gz"))
	if err != nil {
		t.Fatal(err)
	}
	defer packed.Close()
	plain, err := gzip.NewReader(packed)
	if err != nil {
		t.Fatal(err)
	}
	data, err := io.ReadAll(plain)
	if err != nil {
		t.Fatal(err)
	}
	file := filepath.Join(t.TempDir(), "corrie.coolhold")
	if err := os.WriteFile(file, data, 0o600); err != nil {
		t.Fatal(err)
	}
	at := time.Date(2026, 3, 19, 11, 30, 0, 0, time.FixedZone("", 3600))
	shot, err := store.ReadSite(t.Context(), file, "", at)
	if err != nil {
		t.Fatal(err)
	}
	sites := shot.Book.Sites()
	if len(sites) != 1 {
		t.Fatalf("%d sites", len(sites))
	}
	res := audit.Run(shot.Book, sites[0].ID, fusion.Stamp{Wall: at.UTC(), Offset: 3600}, shot.Beat)
	return register.New(shot.Book, sites[0].ID, res, register.Query{AsOf: at, Logs: []register.Log{{ID: shot.ID, Tag: shot.Tag, Entries: shot.Entries}}})
}

// A corrected value is underlined itself: a border under its cell is one over the next weld.
func TestACorrectedValueIsUnderlined(t *testing.T) {
	rep := corrie(t)
	f, err := excelize.OpenFile(bookOnDisk(t, rep))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	column := slices.IndexFunc(register.Columns, func(c register.Column) bool { return c.Name == "seconds_run" })
	letter := ""
	for at, head := range workbook(t, rep)[xlsx.Register][0] {
		if head.Value == register.Columns[column].Heading() {
			letter = at
		}
	}
	marked := 0
	for i, row := range rep.Rows {
		id, err := f.GetCellStyle(xlsx.Register, fmt.Sprintf("%s%d", letter, i+2))
		if err != nil {
			t.Fatal(err)
		}
		style, err := f.GetStyle(id)
		if err != nil {
			t.Fatal(err)
		}
		under := style.Font != nil && style.Font.Underline != ""
		if corrected := row.Was("seconds_run") != ""; corrected != under || len(style.Border) > 0 {
			t.Errorf("%s: corrected %v, underlined %v, borders %v", row.Weld.ID, corrected, under, style.Border)
		} else if corrected {
			marked++
		}
	}
	if marked != 2 {
		t.Errorf("%d values are marked", marked)
	}
}

// A weld that was given up, or is in the walk still, was not welded: together they are the
// welds that were begun.
func TestWhatWasBegunIsNotAllWelded(t *testing.T) {
	rep := corrie(t)
	want := map[string]int{}
	for _, c := range rep.Counts {
		want["welded"] += c.InPlace() + c.CutOut
		want["given up"] += c.GivenUp
		want["being made"] += c.BeingMade
	}
	did := map[string]int{}
	for _, row := range named(workbook(t, rep)[xlsx.People]) {
		if row["name"].Value == "Wren Ashdown" && row["did"].Value != "see above" && !strings.HasPrefix(row["did"].Value, "welded 27, given up 2, being made 1, ") {
			t.Errorf("Wren did %q", row["did"].Value)
		}
		for what := range want {
			if m := regexp.MustCompile(`(?:^|, )` + what + ` (\d+)`).FindStringSubmatch(row["did"].Value); m != nil {
				n := 0
				fmt.Sscan(m[1], &n)
				did[what] += n
			}
		}
	}
	for what, n := range want {
		if did[what] != n || n == 0 {
			t.Errorf("%s: they did %d, the counts say %d", what, did[what], n)
		}
	}
}

// The days of a control unit are all on which a weld names it; what a shift states of it stands
// beside the days of that shift alone, and of the others a word says that nothing is stated.
func TestTheDaysOfAControlUnit(t *testing.T) {
	rep := corrie(t)
	used := map[string][]string{}
	for _, row := range rep.Rows {
		if unit := row.Weld.Unit; unit != "" && !slices.Contains(used[unit], row.When().Format(time.DateOnly)) {
			used[unit] = append(used[unit], row.When().Format(time.DateOnly))
		}
	}
	book := workbook(t, rep)
	days, said := map[string]string{}, map[string][]string{}
	for _, row := range named(book[xlsx.Units]) {
		unit, of := row["control unit"].Value, strings.ReplaceAll(row["days"].Value, " (still the shift of 2026-03-18)", "")
		days[unit] += of + "; "
		said[of] = append(said[of], row["calibrated on"].Value+", corrects: "+row["corrects for temperature"].Value)
		if calibrated := row["calibrated on"]; strings.Contains(of, "(") != (calibrated.Value == "not stated") || !slices.Contains([]string{"not stated", "left blank"}, calibrated.Value) != (calibrated.Type == xlsxreader.TypeDateTime) {
			t.Errorf("%s on %s: calibrated %+v", unit, of, calibrated)
		}
	}
	for unit, all := range used {
		for _, day := range all {
			if strings.Count(days[unit], day) != 1 {
				t.Errorf("%s was used on %s: %s", unit, day, days[unit])
			}
		}
	}
	if got := said["2026-03-17 (no shift)"]; len(used) != 2 || len(got) != 2 || got[0] != "not stated, corrects: not stated" {
		t.Errorf("units used: %v; of 17 March: %q", used, got)
	}
}

// Of a weld whose welder or unit no shift names, the row says that nothing is stated and why;
// what a shift left blank is told otherwise.
func TestWhatIsNotStatedIsNoEmptyCell(t *testing.T) {
	rep := corrie(t)
	seen := map[string]int{}
	for i, row := range named(workbook(t, rep)[xlsx.Register]) {
		r := rep.Rows[i]
		_, named := r.Shift.Operator(r.Weld.Operator)
		u, held := r.Shift.Unit(r.Weld.Unit)
		cards := []string{row["welder's card, number"].Value, row["welder's card, valid until"].Value}
		switch calibrated := row["control unit calibrated on"].Value; {
		case r.Weld.Unit == "":
			if calibrated != "" {
				t.Errorf("%s names no unit: %q", r.Weld.ID, calibrated)
			}
		case !held && calibrated != "not stated: no shift", held && calibrated != cmp.Or(u.Calibrated, "left blank"):
			t.Errorf("%s, unit %s: calibrated %q", r.Weld.ID, r.Weld.Unit, calibrated)
		default:
			seen[calibrated]++
		}
		if r.Weld.Operator != "" && !named && cards[1] != "not stated: no shift" || r.Weld.Operator == "" && cards[1] != "" {
			t.Errorf("%s, welder %q: %q", r.Weld.ID, r.Weld.Operator, cards)
		}
	}
	if seen["not stated: no shift"] == 0 || seen["left blank"] == 0 || len(seen) < 3 {
		t.Errorf("calibrated: %v", seen)
	}
}

// Who took a fail or a finding away from a weld of his own is known for it.
func TestWhoCorrectedHisOwnWeld(t *testing.T) {
	rep := corrie(t)
	made := map[string]string{}
	for _, row := range rep.Rows {
		made[row.Weld.ID] = row.Weld.Operator
	}
	seen, own := map[string]int{}, map[string]bool{}
	book := workbook(t, rep)
	for _, row := range named(book[xlsx.Corrections]) {
		weld, is := row["weld"].Value, row["who also made the weld"].Value
		if (is == "yes") != (made[weld] == row["corrected by"].Value) {
			t.Errorf("%s, made by %s, corrected by %s: %s", weld, made[weld], row["corrected by"].Value, is)
		}
		if seen[is]++; is == "yes" && row["removed a fail or finding"].Value != "no" {
			own[weld] = true
		}
	}
	if seen["yes"] == 0 || seen["no"] == 0 || len(own) == 0 {
		t.Fatalf("corrected by who made it: %v, of these a finding went: %v", seen, own)
	}
	says := readPage(t, pageOf(t, rep)).byID("corrections").says()
	_, list, is := strings.Cut(says, "By the person who had made the weld it was corrected so on ")
	list, _, _ = strings.Cut(list, ".")
	for weld := range own {
		if !is || !strings.Contains(list, weld) && !strings.Contains(list, " to ") {
			t.Errorf("%s is not among %q", weld, list)
		}
	}
}

// Who filters the findings by a chamber loses none: each says where it is, those without a joint
// by the section that they name.
func TestEachFindingSaysItsChamber(t *testing.T) {
	rep := corrie(t)
	seen := map[string]string{}
	for i, row := range named(workbook(t, rep)[xlsx.Findings]) {
		f := rep.Findings[i]
		where := row["chamber"].Value + "/" + row["circuit"].Value + "/" + row["part of the site"].Value
		if row["chamber"].Value == "" {
			t.Errorf("%s is in no chamber: %s", f.Says, where)
		}
		if f.Joint == "" && f.Weld == "" {
			seen[f.Rule] = where
		}
	}
	for rule, want := range map[string]string{"site-pressure-lost": "Loam//chamber Loam", audit.RepairUnseen: "Moss/2/circuit 2 of chamber Moss", "shift-open": "the whole site//the whole site"} {
		if seen[rule] != want {
			t.Errorf("%s is in %q, want %q", rule, seen[rule], want)
		}
	}
}

// A finding on a pressure test, on the flow or on what was purged is in the chamber of its
// section, or of the whole site where that was tested.
func TestAFindingOnATestSaysItsChamber(t *testing.T) {
	of := map[string]int{}
	for _, rep := range []register.Report{register.Pressed(t), register.Flowing(t)} {
		for i, row := range named(workbook(t, rep)[xlsx.Findings]) {
			f, want := rep.Findings[i], ""
			kind, _, _ := strings.Cut(f.Rule, "-")
			switch where := row["chamber"].Value; {
			case f.Joint != "" || !slices.Contains([]string{"pressure", "flow", "purge", "fluid"}, kind):
				continue
			case strings.Contains(f.Says, "KM-P3") || strings.Contains(f.Says, "in all"):
				want = register.TheSite
				fallthrough
			default:
				if want = cmp.Or(want, "A"); where != want {
					t.Errorf("%s is in %q, want %q", f.Says, where, want)
				}
				of[kind+" "+want]++
			}
		}
	}
	for _, want := range []string{"pressure A", "purge A"} {
		if of[want] == 0 {
			t.Errorf("none is on %s: %v", want, of)
		}
	}
}

// What is not open any more says how it ended; what is open says nothing of that.
func TestHowAFindingEnded(t *testing.T) {
	seen := map[string]int{}
	for i, row := range named(workbook(t, corrie(t))[xlsx.Findings]) {
		ended := row["how it ended"].Value
		seen[ended]++
		if (ended == "") != (row["still open"].Value == "yes") || (ended == "accepted") != (row["accepted by"].Value != "") || (ended == "only noted") != (row["kind"].Value == "note") {
			t.Errorf("finding %d: %v", i, row)
		}
	}
	for _, want := range []string{"", "accepted", "only noted", "weld cut out"} {
		if seen[want] == 0 {
			t.Errorf("none ended as %q: %v", want, seen)
		}
		delete(seen, want)
	}
	if delete(seen, "weld given up"); len(seen) > 0 {
		t.Errorf("they ended as %v", seen)
	}
}

// A time that was corrected is a time; the end of a fusion is not the end of the waiting.
func TestCorrectedTimesAreTimes(t *testing.T) {
	seen := map[string]string{}
	for _, row := range named(workbook(t, corrie(t))[xlsx.Corrections]) {
		was, now := row["was"], row["now"]
		if strings.Contains(was.Value+now.Value, "+01:00") {
			t.Errorf("%v", row)
		}
		if was.Type == xlsxreader.TypeDateTime && now.Type == xlsxreader.TypeDateTime {
			seen[row["value"].Value] = minuteOf(t, was.Value) + " to " + minuteOf(t, now.Value)
		}
		if in := row["heading in the sheet Register"].Value; row["value"].Value == "ended" || row["value"].Value == "end of fusion" && in == "not to be moved until" {
			t.Errorf("%v", row)
		}
	}
	for value, want := range map[string]string{
		"started": "03-17 10:32 to 03-17 10:31", "end of fusion": "03-17 10:34 to 03-17 10:33", "released": "03-17 10:46 to 03-17 10:47",
	} {
		if seen[value] != want {
			t.Errorf("%s: %q, want %q", value, seen[value], want)
		}
	}
}

// minuteOf is a time of a cell, which is a fraction of a day, to the minute.
func minuteOf(t *testing.T, cell string) string {
	t.Helper()
	at, err := time.Parse(time.RFC3339, cell)
	if err != nil {
		t.Fatal(err)
	}
	return at.Round(time.Minute).Format("01-02 15:04")
}

// The summary says how much is open, and for whom, and how the plan's joints became those of now.
func TestTheSumsOfTheSummary(t *testing.T) {
	rep := corrie(t)
	book := workbook(t, rep)
	of, sum, at := map[string]string{}, []string{}, -1
	for i, row := range book[xlsx.Summary] {
		if of[row["A"].Value] = row["B"].Value; strings.HasPrefix(row["A"].Value, "findings still open") {
			at = i
		}
	}
	if at < 0 {
		t.Fatal("it says nothing of what is open")
	}
	n := [4]int{}
	for _, row := range book[xlsx.Summary][at+1:] {
		line := [4]int{}
		for k, letter := range []string{"B", "C", "D"} {
			fmt.Sscan(row[letter].Value, &line[k])
		}
		if row["A"].Value == "in all" {
			if line != n || line[0] != len(rep.Open) || line[2] != 3 {
				t.Errorf("in all %v, by who must act %v, open %d", line, n, len(rep.Open))
			}
			break
		}
		sum = append(sum, row["A"].Value)
		for k := range n {
			n[k] += line[k]
		}
	}
	if want := []string{"the crew", "the foreman (nobody is named)", "somebody else than who did it"}; !slices.Equal(sum, want) {
		t.Errorf("they are for %q", sum)
	}
	rows := named(book[xlsx.Work])
	if want := "in the plan 41, added to it 3, no longer built 2: now " + rows[len(rows)-1]["joints"].Value + ","; !strings.HasPrefix(of["joints counted"], want) {
		t.Errorf("%q, want %q", of["joints counted"], want)
	}
}

// In the sheet of pipes a column of numbers holds numbers, its metres have a sum, and no row is
// called as one of Work by chamber that counts otherwise.
func TestTheSheetOfPipes(t *testing.T) {
	rep := corrie(t)
	book := workbook(t, rep)
	metres, others := 0.0, 0
	rows := pipeRows(t, rep)
	for _, row := range rows {
		for _, head := range []string{"circuit", "pipe OD, mm", "pipe SDR", "length, m", "joints"} {
			if c, has := row[head]; has && c.Type != xlsxreader.TypeNumerical {
				t.Errorf("%s is %+v", head, c)
			}
		}
		n := 0.0
		fmt.Sscan(row["length, m"].Value, &n)
		metres += n
		if row["chamber the pipe belongs to"].Value == "of no chamber's pipe" {
			if others++; row["which joints"].Value != "T.1, X.1" || !strings.Contains(row["remark"].Value, "63 mm") {
				t.Errorf("%v", row)
			}
		}
		if row["chamber the pipe belongs to"].Value == register.Outside {
			t.Errorf("%v", row)
		}
	}
	all := named(book[xlsx.Pipes])[len(rows)]
	work := named(book[xlsx.Work])
	sum := work[len(work)-1]
	if all["length, m"].Value != fmt.Sprint(metres) || metres != 3001.5 || all["joints"].Value != sum["joints"].Value || all["with a weld"].Value != sum["with a weld"].Value || others != 1 {
		t.Errorf("the sum is %v, of %v m; by chamber %v; rows of no pipe %d", all, metres, sum, others)
	}
}

// A weld from paper says so plainly, who entered it and when stand in cells of their own, and
// what its row left blank is in words.
func TestAWeldFromPaperInTheWorkbook(t *testing.T) {
	rep := corrie(t)
	paper, blank := 0, 0
	for i, row := range named(workbook(t, rep)[xlsx.Register]) {
		if (rep.Rows[i].Weld.Paper != nil) != (row["how it was entered"].Value == "from paper") {
			t.Errorf("%s: %q", row["weld"].Value, row["how it was entered"].Value)
		}
		if by := row["entered by, where later"].Value; by != rep.Rows[i].Weld.LateBy {
			t.Errorf("%s was entered by %q", row["weld"].Value, by)
		}
		if rep.Rows[i].Weld.Paper != nil {
			if paper++; row["entered on, where later"].Type != xlsxreader.TypeDateTime {
				t.Errorf("%s: %+v", row["weld"].Value, row["entered on, where later"])
			}
		}
		why := row["why it was entered later"].Value
		for _, word := range []string{"_", "ohms", "ended", "left blank"} {
			if strings.Contains(why, word) {
				t.Errorf("%s was entered later: %q", row["weld"].Value, why)
			}
		}
		if why == "its row has no answer for: end of fusion, indicators, released" {
			blank++
		}
	}
	if paper < 20 || blank != 1 {
		t.Errorf("from paper %d, with that blank %d", paper, blank)
	}
}

// What only a sheet of paper says is headed so: its column is empty where the fact stands
// elsewhere.
func TestWhatOnlyPaperSaysIsHeadedSo(t *testing.T) {
	said := map[string]map[string]xlsxreader.Cell{}
	for _, row := range named(workbook(t, corrie(t))[xlsx.Headings]) {
		said[row["name in CSV and JSON"].Value] = row
	}
	for _, key := range []string{logbook.ItemBagRead, logbook.ItemMark, logbook.ItemSigned} {
		if row := said[key]; row["sheet"].Value != xlsx.Register || !strings.HasPrefix(row["heading"].Value, "sheet of paper: ") || !strings.HasPrefix(row["what is meant"].Value, "as the sheet has it") {
			t.Errorf("%s is %v", key, row)
		}
	}
}

// A list in which nothing stands is no page and no row, and a short one goes on A4 where it can
// be read there.
func TestShortListsTakeLittlePaper(t *testing.T) {
	rep := corrie(t)
	file := bookOnDisk(t, rep)
	hidden := regexp.MustCompile(`<sheet [^>]*name="([^"]+)"[^>]*state="hidden"`).FindAllStringSubmatch(unzip(t, file, "xl/workbook.xml"), -1)
	if len(hidden) != 1 || hidden[0][1] != xlsx.Tests {
		t.Errorf("hidden are %q", hidden)
	}
	if rows := workbook(t, rep)[xlsx.Tests]; len(rows) != 1 {
		t.Errorf("the tests are %v", rows)
	}
	for _, name := range []string{xlsx.People, xlsx.Enclosures} {
		data, scale := unzip(t, file, fmt.Sprintf("xl/worksheets/sheet%d.xml", slices.Index(sheetNames, name)+1)), 0
		if m := regexp.MustCompile(` scale="(\d+)"`).FindStringSubmatch(data); m != nil {
			fmt.Sscan(m[1], &scale)
		}
		if !strings.Contains(data, `paperSize="9"`) || scale < 70 {
			t.Errorf("%s is printed at %d %%", name, scale)
		}
	}
}
