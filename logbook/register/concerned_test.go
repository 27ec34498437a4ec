package register_test

import (
	"fmt"
	"maps"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"coolhold/logbook"
	"coolhold/logbook/audit"
	"coolhold/logbook/register"
)

// What is recorded once is told wherever it concerns something, in both documents: an
// acceptance that lapsed, corrections of one minute with what they took away, ground that was
// dug up, where to dig for a fail, what was not recorded or enclosed.
func TestAMatterStandsWhereItConcernsSomething(t *testing.T) {
	rep := register.Concerned(t)
	rep.Rows[0].Shift.Units = nil
	for name, text := range map[string]string{"PDF": pageNamed.ReplaceAllString(drawn(t, rep).flow(), ""), "HTML": strings.NewReplacer(" ,", ",", " :", ":").Replace(flat(readPage(t, pageOf(t, rep)).says()))} {
		for _, want := range []string{
			"Accepted once, joint 1B, weld KM-0002: Indicator part at release.", "Why: looked at with the crew. The facts changed after it, so it is open again: KM-0002",
			"Ada Invented corrected 3 values within a minute, ", "MADE A FAIL: indicator flat after fusion", "TOOK BACK A FAIL that a correction before it had made: indicator flat after fusion", "By some of them something went that had been found, on KM-0002", "something came that the rules find, on KM-0002",
			"Dug up on 2026-03-09, circuit 1: a fence post beside it. Said by Ada Invented.", "It concerns joint 1A, weld KM-0001; joint 1B, weld KM-0002.",
			"Ground lies over it: Ada Invented, 2026-03-09 08:16, not settled then (UTC +01:00).", "Where to dig: chamber A, header to ground, pipe 40 mm SDR 11, no distances from fixed points are recorded.", "File tiny.jpg, KM-0002 in 1B: it has 20 bytes",
			"Photo spoken of and not enclosed, joint 1A, weld KM-0001: see the photo on my phone (Ada Invented).",
			"Control unit CU-1: date of the last calibration not stated for 2026-03-09, whose shift does not name it, of 1 weld: KM-0001; on other days:", "Which row counts: the reading as the nearest whole degree, a half as the colder one",
		} {
			if !strings.Contains(text, want) {
				t.Errorf("the %s does not say %q", name, want)
			}
		}
	}
}

// A fail that a correction made says so where it is told and where to dig, with who, when and
// what stood before; a finding that one took away and that nobody is asked about stands beside
// its weld.
func TestWhatACorrectionDidIsTold(t *testing.T) {
	rep := register.Mended(t)
	rests := "THIS FAIL RESTS ON A CORRECTION; before it there was none. By the correction of Hedda Invented, 2026-03-09 "
	for name, text := range map[string]string{"PDF": pageNamed.ReplaceAllString(drawn(t, rep).flow(), ""), "HTML": flat(readPage(t, pageOf(t, rep)).says())} {
		if n := strings.Count(text, rests); n < 3 { // where to dig, what is open, the weld
			t.Errorf("the %s says %d times that a fail rests on a correction", name, n)
		}
		for _, want := range []string{
			"MADE A FAIL: the unit shows 41 s", ": fusion time set was 40, now 41. Why: read again.",
			"REMOVED A FINDING: indicator part at release. By the correction of Hedda Invented, ", "was up, part, now up, up. Why: read again. No rule asks anybody else to look at that.",
		} {
			if !strings.Contains(text, want) {
				t.Errorf("the %s does not say %q", name, want)
			}
		}
	}
}

// A loss of pressure stands on the first page, beside that no test is recorded, and at the
// joints that had their weld then; one made after it is said to be. What nobody recorded of it
// is said, and what else was seen there. A day without a signature is said on the first page.
func TestALossOfPressureIsTold(t *testing.T) {
	rep := register.Lost(t)
	d := drawn(t, rep)
	first, flow := flat(d.pages()[0]), pageNamed.ReplaceAllString(d.flow(), "")
	for _, want := range []string{
		"Pressure was on all the same: it was lost, as somebody said. NOT REPAIRED: 2026-03-09, circuit 1: the gauge fell by 0.3 bar.",
		"2026-03-09: 2 welds made, and no signature of that day is in the log.", "its log is not sealed",
	} {
		if !strings.Contains(first, want) {
			t.Errorf("the first page does not say %q:\n%s", want, first)
		}
	}
	for _, want := range []string{
		"noticed, how much was lost and on which gauge it was read: not recorded but in these words. It concerns joint 1A, weld KM-0001. Made after it, not under it: joint 1B, weld KM-0002.",
		"There too: dug up on 2026-03-09, joint 1A: wet ground at the stub.", "No pressure test is recorded. None in this log. Pressure was on all the same",
		"1A KM-0001 clear, pressure lost",
	} {
		if !strings.Contains(flow, want) {
			t.Errorf("the PDF does not say %q", want)
		}
	}
	if says := readPage(t, pageOf(t, rep)).byID("weld-KM-0002").says(); !strings.Contains(says, "the gauge fell by 0.3 bar. Said by Ada Invented. This weld was made after it, not under it.") {
		t.Errorf("the page of the weld says %s", says)
	}
	if strings.Contains(flow, "1B KM-0002 clear, pressure lost") {
		t.Error("a weld made after it is said to be under it")
	}
}

// A page that is named is the one on which the thing stands, whatever that moved: each weld in
// a list, each chapter in the contents on the first page.
func TestThePagesThatAreNamed(t *testing.T) {
	reports := map[string]register.Report{"concerned": register.Concerned(t), "many": register.Many(t, 90)}
	for n := range 12 { // a first page that is full before the contents are known
		rep := register.Concerned(t)
		for range 2 * n {
			rep.Shifts = append(rep.Shifts, logbook.Shift{ShiftStarted: logbook.ShiftStarted{Day: "2026-03-09"}})
		}
		reports[fmt.Sprintf("%d shifts more", 2*n)] = rep
	}
	for name, rep := range reports {
		pages := drawn(t, rep).pages()
		on := func(no string) string {
			n, _ := strconv.Atoi(no)
			if n < 1 || n > len(pages) {
				t.Fatalf("%s: page %s of %d", name, no, len(pages))
			}
			return flat(pages[n-1])
		}
		contents := regexp.MustCompile(`By page: (.*?)\. `).FindStringSubmatch(flat(pages[0]))
		if contents == nil {
			t.Fatalf("%s: the first page has no contents:\n%s", name, pages[0])
		}
		chapters := strings.Split(contents[1], " · ")
		for _, c := range chapters {
			at := strings.LastIndex(c, " ")
			if !strings.Contains(on(c[at+1:]), c[:at]) {
				t.Errorf("%s: %q does not stand on page %s", name, c[:at], c[at+1:])
			}
		}
		if len(chapters) < 15 {
			t.Errorf("%s: the contents are %q", name, chapters)
		}
		all := flat(strings.Join(pages, "\n"))
		named := regexp.MustCompile(`joint (\S+), weld (KM-\d+), page (\d+)`).FindAllStringSubmatch(all, -1)
		if len(named) == 0 {
			t.Errorf("%s: no page of a weld is named", name)
		}
		for _, m := range named {
			if page := on(m[3]); !strings.Contains(page, "Joint "+m[1]+", weld "+m[2]+": ") && !strings.Contains(page, "set and run") {
				t.Errorf("%s: %s does not stand on page %s:\n%s", name, m[2], m[3], page)
			}
		}
	}
}

// On whatever page a time stands that is not that of an entry, it has its offset from UTC.
func TestEveryPageSaysWhichTime(t *testing.T) {
	rep := register.Sample(t)
	for i, page := range drawn(t, rep).pages() {
		if want := "as of " + rep.AsOf.Format("2006-01-02 15:04 -07:00"); i > 0 && !strings.Contains(flat(page), want) {
			t.Errorf("page %d does not say %q", i+1, want)
		}
		if at := regexp.MustCompile(`(?i)as of \d{4}-\d\d-\d\d \d\d:\d\d(:\d\d)?[^ :\d]`).FindString(page); at != "" {
			t.Errorf("page %d: %q has no offset", i+1, at)
		}
	}
}

// Welds and joints are counted in sums that add up: what is in place is what the joints have.
func TestTheCountsAddUp(t *testing.T) {
	for name, rep := range map[string]register.Report{"sample": register.Sample(t), "open": register.Open(t), "concerned": register.Concerned(t)} {
		var joints, settled, rest, without, own int
		if _, err := fmt.Sscanf(strings.NewReplacer(" with a weld", " a weld").Replace(rep.JointLine()), "Of %d joints: a weld that is clear or accepted %d, with one that is not %d, without a weld %d.", &joints, &settled, &rest, &without); err != nil {
			t.Fatalf("%s: %q: %v", name, rep.JointLine(), err)
		}
		var begun, place, made, given, cut int
		if _, err := fmt.Sscanf(rep.WeldLine(), "Of %d welds begun: in place %d, being made %d, given up %d, cut out %d.", &begun, &place, &made, &given, &cut); err != nil {
			t.Fatalf("%s: %q: %v", name, rep.WeldLine(), err)
		}
		if joints != settled+rest+without+own || begun != place+made+given+cut || place != settled+rest {
			t.Errorf("%s: %q and %q do not add up", name, rep.JointLine(), rep.WeldLine())
		}
		sum := 0
		for _, k := range rep.Counts {
			sum += k.InPlace()
		}
		if sum != place {
			t.Errorf("%s: %d by their verdicts, %d in place", name, sum, place)
		}
	}
}

// The entries after the seal are named with their numbers, times and names, and none is left
// out; how the seal is checked is said.
func TestTheEntriesAfterTheSeal(t *testing.T) {
	rep := register.Sample(t)
	flow := pageNamed.ReplaceAllString(drawn(t, rep).flow(), "")
	at := strings.Index(flow, "After the seal Of log KM the seal covers entries 1 to 31; entry 32 is the seal.")
	if at < 0 {
		t.Fatal("what came after the seal has no chapter")
	}
	flow = flow[at:]
	flow = flow[:strings.Index(flow, "Seal of log KM")]
	var named []int
	for _, m := range regexp.MustCompile(`[Nn]o\. (\d+)(?: to (?:no\. )?(\d+))?`).FindAllStringSubmatch(flow, -1) {
		from, _ := strconv.Atoi(m[1])
		to := from
		if m[2] != "" {
			to, _ = strconv.Atoi(m[2])
		}
		for n := from; n <= to; n++ {
			named = append(named, n)
		}
	}
	slices.Sort(named)
	var want []int
	for n := 33; n <= rep.Logs[0].Entries; n++ {
		want = append(want, n)
	}
	if !slices.Equal(named, want) {
		t.Errorf("named are the entries %v, want %v:\n%s", named, want, flow)
	}
	rep.Site.Signed = nil // what is not told one by one is named by its number
	if flow := drawn(t, rep).flow(); !strings.Contains(flow, "or of another site: no. 66; the log has them") {
		t.Error("an entry that is not told is not named")
	}
	for _, want := range []string{"coolhold verify --seal FILE", "weld KM-0001: 2026-03-09 ", "correction, 2 times", "by Ada Invented"} {
		if !strings.Contains(flow, want) {
			t.Errorf("it does not say %q:\n%s", want, flow)
		}
	}
}

// Nothing is hidden behind a number: every kind that was not read stands on the first page,
// every joint of many in the list of what is open.
func TestNothingIsHiddenBehindANumber(t *testing.T) {
	rep := register.Concerned(t)
	for n := range 5 {
		rep.Site.Unread = append(rep.Site.Unread, logbook.Unread{Kind: logbook.Kind(fmt.Sprintf("kind-%d", n))})
	}
	var many []audit.Finding
	labels := []string{"A", "C", "E", "G", "I", "K", "M", "O", "Q", "S", "U"}
	for _, f := range rep.Open {
		if f.Rule == "missing-weld" {
			continue
		}
		many = append(many, f)
	}
	for _, f := range rep.Open {
		if f.Rule != "covered-before-accepted" {
			continue
		}
		for _, label := range labels {
			f.Joint, f.Key = label, f.Rule+":"+label
			many = append(many, f)
		}
	}
	rep.Open = many
	d := drawn(t, rep)
	for n := range 5 {
		if want := fmt.Sprintf("%q", fmt.Sprintf("kind-%d", n)); !strings.Contains(flat(d.pages()[0]), want) {
			t.Errorf("the first page does not name %s", want)
		}
	}
	if want := strings.Join(labels, ", ") + "."; !strings.Contains(d.flow(), want) {
		t.Errorf("the document does not name %s", want)
	}
	if at := regexp.MustCompile(`.{40} and \d+ more.{20}`).FindString(d.flow()); at != "" {
		t.Errorf("somebody is hidden: %q", at)
	}
}

// What the fitting's table has stands beside what was set, on one line.
func TestWhatWasSetStandsBesideTheTable(t *testing.T) {
	coded := register.Concerned(t)
	for i, row := range coded.Rows { // a value more before
		if row.Weld.ID != "" {
			coded.Rows[i].Weld.Answers = maps.Clone(row.Weld.Answers)
			coded.Rows[i].Weld.Answers[logbook.ItemCode] = logbook.Answer{Item: logbook.ItemCode, V: "4711", How: logbook.Typed}
		}
	}
	for name, rep := range map[string]register.Report{"concerned": register.Concerned(t), "with a code": coded} {
		text := drawn(t, rep).text()
		told := strings.Count(text, "Every value that is recorded of it")
		for _, want := range []string{"voltage in the .*voltage set", "fusion time in the .*fusion time set"} {
			if n := len(regexp.MustCompile(want).FindAllString(text, -1)); n != told {
				t.Errorf("%s: %q stands on %d lines of %d welds:\n%s", name, want, n, told, text)
			}
		}
	}
}

// A correction stands beside the value that it corrected, and not a second time among the
// values; one of a value that only a newer version knows is not lost by that.
func TestACorrectionStandsOnceAmongTheValues(t *testing.T) {
	rep := register.Concerned(t)
	const again = ", corrected: was "
	values := func() string {
		var out []string
		for _, dd := range readPage(t, pageOf(t, rep)).byID("welds").all("dd") {
			out = append(out, dd.says())
		}
		return strings.Join(out, "\n")
	}
	if says := values(); strings.Contains(says, again) || !strings.Contains(says, "corrected: ambient was 9") {
		t.Errorf("the values are\n%s", says)
	}
	w := &rep.Rows[0].Weld
	w.Corrections = append(slices.Clone(w.Corrections), logbook.Corrected{Correction: logbook.Correction{Field: "newer-field", Old: "a", New: "b", Why: "why"}})
	if says := values(); !strings.Contains(says, "newer-field: b"+again+"a") {
		t.Errorf("a correction is lost:\n%s", says)
	}
}

// That pressure was lost, somewhere on the site, is a word in both drawings and in the row of
// each circuit: at the welds that were there then, and at none that was made after it.
func TestALossOfPressureIsAWordInDrawingsAndCircuits(t *testing.T) {
	rep := register.LostSomewhere(t)
	d := drawn(t, rep)
	if row := regexp.MustCompile(`(?m)^ *Circuit 1 .*$`).FindString(d.text()); !strings.Contains(row, "PRESSURE LOST: 1A,") {
		t.Errorf("the row of the circuit says %q", row)
	}
	if row := regexp.MustCompile(`(?m)^ *Header to ground .*$`).FindString(d.text()); row == "" || strings.Contains(row, "LOST") {
		t.Errorf("a header welded after it says %q", row)
	}
	besides := "Joint 1B: pressure lost, besides that it failed."
	root := readPage(t, pageOf(t, rep)).byID("drawing")
	if !strings.Contains(d.flow(), besides) || !strings.Contains(root.says(), besides) {
		t.Error("of a joint that failed it is not said")
	}
	want := map[string]string{"1A": "pressure lost", "1B": "fail", "TG": "clear"}
	got := map[string]string{}
	for _, a := range root.all("a") {
		if words := a.all("text"); a.within.name == "svg" {
			got[words[0].says()] = words[2].says()
		}
	}
	if !maps.Equal(got, want) {
		t.Errorf("the drawing of the page says %v, want %v", got, want)
	}
	at := slices.IndexFunc(d.pages(), func(p string) bool { return strings.Contains(p, "Drawn so that no lines cross") })
	box := regexp.MustCompile(`pressure lost\b`).FindAllString(strings.Split(d.pages()[at], besides)[1], -1)
	if len(box) != 2 { // one box, and the legend
		t.Errorf("the drawing of the PDF says it %d times:\n%s", len(box), d.pages()[at])
	}
}
