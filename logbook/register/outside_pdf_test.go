package register_test

import (
	"bytes"
	"encoding/base64"
	"fmt"
	"image"
	_ "image/png"
	"maps"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"sync"
	"testing"
	"time"

	qr "github.com/piglig/go-qr"

	"coolhold/fusion"
	"coolhold/logbook"
	"coolhold/logbook/audit"
	"coolhold/logbook/register"
	"coolhold/logbook/register/account"
	"coolhold/logbook/register/pdf"
	"coolhold/logbook/register/xlsx"
)

// A document is a PDF on disk with what poppler reads of it.
type document struct {
	file string
	text func() string // as laid out
	flow func() string // in the order it was drawn, blanks made one
}

func drawn(t testing.TB, rep register.Report) document {
	t.Helper()
	for _, tool := range []string{"pdftotext", "pdftoppm"} {
		if _, err := exec.LookPath(tool); err != nil {
			t.Skipf("%s of poppler is not installed: the PDF is not read back", tool)
		}
	}
	d := document{file: filepath.Join(t.TempDir(), "r.pdf")}
	f, err := os.Create(d.file)
	if err != nil {
		t.Fatal(err)
	}
	if err := pdf.Write(f, rep, nil); err != nil {
		t.Fatal(err)
	}
	if err := f.Close(); err != nil {
		t.Fatal(err)
	}
	d.text = sync.OnceValue(func() string { return output(t, "pdftotext", "-layout", d.file, "-") })
	d.flow = sync.OnceValue(func() string { return flat(output(t, "pdftotext", "-raw", d.file, "-")) })
	return d
}

func output(t testing.TB, name string, args ...string) string {
	t.Helper()
	var errs bytes.Buffer
	cmd := exec.Command(name, args...)
	cmd.Stderr = &errs
	out, err := cmd.Output()
	if err != nil || errs.Len() > 0 {
		t.Fatalf("%s: %v %s", name, err, errs.String())
	}
	return string(out)
}

func (d document) pages() []string { return strings.Split(strings.TrimSuffix(d.text(), "\f"), "\f") }

// flat is a text without its breaks, so that what wraps is found.
// ofWater is "flow" as the water's, by the words that tell it; for a header pipe, from or
// to ground, it must not stand.
var ofWater = regexp.MustCompile(`(?i)flow,? purge|flow-[a-z-]+|flow checks?|flow in (another|its own|any)|shows flow|without flow|a flow read|less flow|by their flow|flow gauge|flow is decided|at most flow pressure test|flow of each circuit`)

// furniture is what every page has above and below its text.
var furniture = regexp.MustCompile(`(?m)^\f?(Register of welds: .*|as of .*|.*page \d+ of \d+|log .* is sealed up to .*|its log is not sealed.*|"clear" means that no fault is recorded\. It does not .*)$`)

func flat(s string) string { return strings.Join(strings.Fields(s), " ") }

func TestPDFReadBack(t *testing.T) {
	rep := register.Sample(t)
	d := drawn(t, rep)
	text := d.flow()
	for _, want := range []string{
		rep.Site.Name, rep.Site.Client, rep.Site.Firm, rep.Site.Contract, rep.Site.Address, "2026-03-09", "Ada Invented", "Q-7", "CU-1",
		"coil-0042.pdf", "Certificate of the coil", "What this document is and is not", "Chamber A", "rail from ground", "rail to ground", "Under each joint: its weld and the state of its record",
		"Joints outside the chambers", "bend in the trench", "Cut-outs and their replacements", "moved by the digger", "misread the thermometer",
		"corrected: was 9", "Covered with ground: said by Ada Invented", "KM-0002 failed and still stands in joint 1B", "a fence post beside it", "Fusion table invented table", "Accepted queries", "Where this comes from", "Signed with the key",
		"Signatures", "Cautions", "AzX3m0invented0signature", fmt.Sprintf("sealed: log KM, its first 31 entries (the next is the seal, %d entries since), root q83vEjRWeJCr", rep.Logs[0].Entries-32), "Seal of log KM",
	} {
		if !strings.Contains(text, want) {
			t.Errorf("the document does not say %q", want)
		}
	}
	for _, row := range rep.Rows {
		if n := strings.Count(text, row.Weld.ID); row.Weld.ID != "" && n < 2 {
			t.Errorf("%s stands %d times", row.Weld.ID, n)
		}
	}
	body := flat(furniture.ReplaceAllString(output(t, "pdftotext", "-raw", d.file, "-"), ""))
	for _, r := range audit.Rules {
		if !strings.Contains(body, flat(account.Plainly(r.Says))) {
			t.Errorf("what rule %s looks for is not named", r.Slug)
		}
		if strings.Contains(r.Slug, "-") && strings.Contains(text, r.Slug) && !strings.Contains(r.Says, r.Slug) {
			t.Errorf("the name that the program has for a rule stands there: %s", r.Slug)
		}
	}
	if at := regexp.MustCompile(`(?i)not sealed|\bgood weld|.{30}\bflow\b.{30}`).FindString(ofWater.ReplaceAllString(text, "")); at != "" {
		t.Errorf("a word that must not stand there: %q", at)
	}
	plain := rep
	plain.Logs = []register.Log{{Tag: "KM"}}
	if text := drawn(t, plain).flow(); !strings.Contains(text, "not sealed") || strings.Contains(text, "sealed: log") {
		t.Error("a document without a seal must say so")
	}
}

// That the logs' plans are unlike stands on the first page, with who accepted it and why,
// also where only a part is listed.
func TestTheFirstPageSaysThatPlansAreUnlike(t *testing.T) {
	const differ = "The logs of this site do not have the same of it: client invented client / another client (KM (a1b2) / VN); joint 1A port 1 / 3"
	for _, tt := range []struct {
		rep  register.Report
		want string
	}{
		{register.Unlike(t, true), "Accepted by Hedda Invented on 2026-03-09: the newer drawing counts."},
		{register.Unlike(t, false), "Nobody has accepted that."},
		{onlyClear(register.Unlike(t, true)), "Accepted by Hedda Invented on 2026-03-09: the newer drawing counts."},
	} {
		if first := flat(drawn(t, tt.rep).pages()[0]); !strings.Contains(first, differ) || !strings.Contains(first, tt.want) {
			t.Errorf("the first page does not say %q and %q:\n%s", differ, tt.want, first)
		}
	}
	if first := drawn(t, register.Sample(t)).pages()[0]; strings.Contains(first, "do not have the same") {
		t.Error("one log is unlike nothing")
	}
}

// The first page tells what is open besides the welds, and nothing of what is not recorded.
func TestTheFirstPageTellsOfTestsAndLooks(t *testing.T) {
	for _, tt := range []struct {
		rep  register.Report
		want []string
	}{
		{register.Flowing(t), []string{"Flow checks: 2 recorded: nothing of it is open.", "Purges and fillings: 3 recorded: open: fails 0, queries 1, to do 0.", "Pressure tests: none recorded."}},
		{register.Looked(t), []string{"Looks before welding and cover: 3 recorded: open: fails 0, queries 1, to do 1."}},
	} {
		first := flat(drawn(t, tt.rep).pages()[0])
		for _, want := range tt.want {
			if !strings.Contains(first, want) {
				t.Errorf("the first page does not say %q:\n%s", want, first)
			}
		}
	}
	if first := drawn(t, register.Sample(t)).pages()[0]; strings.Contains(first, "Flow checks") {
		t.Error("no flow check is recorded there")
	}
}

// onlyClear is a report as the option for a verdict leaves it.
func onlyClear(rep register.Report) register.Report {
	rep.Verdicts, rep.Findings = []string{"clear"}, nil
	return rep
}

// A page of a part says so, whichever of them is handed on; what is open is
// listed all the same, each fail with its weld.
func TestEveryPageOfAPartSaysSo(t *testing.T) {
	rep := register.Open(t)
	rep.Verdicts = []string{"clear"}
	rep.Rows = slices.DeleteFunc(rep.Rows, func(r register.Row) bool { return r.Verdict != audit.Clear })
	rep.Findings = nil
	pages := drawn(t, rep).pages()
	for i, page := range pages {
		if !strings.Contains(flat(page), "only a part: verdict clear") {
			t.Errorf("page %d of %d does not say that it is a part", i+1, len(pages))
		}
	}
	text := flat(strings.Join(pages, "\n"))
	if !strings.Contains(text, "Everything that is open on the site, also of welds that this document leaves out.") || len(rep.Open) < 3 {
		t.Errorf("%d open, and it is not said that all are listed", len(rep.Open))
	}
	if !regexp.MustCompile(`Fail, joint 1B, weld KM-0002: `).MatchString(text) {
		t.Error("a failed weld is not named beside its joint")
	}
	whole := register.Open(t)
	if strings.Contains(drawn(t, whole).flow(), "only a part") {
		t.Error("the whole says that it is a part")
	}
	for _, want := range []string{"It cannot be accepted: cut out", "What to do: "} {
		if !strings.Contains(drawn(t, whole).flow(), want) {
			t.Errorf("the document does not say %q", want)
		}
	}
}

func TestEveryPageIsCounted(t *testing.T) {
	pages := drawn(t, register.Many(t, 160)).pages()
	if len(pages) < 10 {
		t.Fatalf("%d pages", len(pages))
	}
	heads := 0
	for i, page := range pages {
		if want := fmt.Sprintf("page %d of %d", i+1, len(pages)); !strings.Contains(flat(page), want) {
			t.Errorf("page %d does not say %q", i+1, want)
		}
		table := strings.Contains(page, "set and run")
		if table {
			heads++
		}
		if !table && strings.Count(page, "reducer") > 3 {
			t.Errorf("page %d has rows of the register without its head", i+1)
		}
	}
	if heads < 10 {
		t.Errorf("the head of the register stands on %d pages", heads)
	}
}

// All is told of a weld that failed or that nobody has decided on; of one that is clear or
// accepted a line, and who accepted it and why in one list.
func TestAllIsToldOnlyOfWhatMustBeRead(t *testing.T) {
	rep := register.Open(t)
	told := map[string]bool{}
	d := drawn(t, rep)
	for _, m := range regexp.MustCompile(`(?m)^ *Joint \S+, weld (KM-\d+): `).FindAllStringSubmatch(d.text(), -1) {
		told[m[1]] = true
	}
	must, lines, accepted := 0, 0, 0
	causes := map[string]int{}
	for _, f := range rep.Findings {
		if f.Cause != "" && !f.Settled {
			causes[f.Cause]++
		}
	}
	for _, row := range rep.Rows {
		if row.Weld.ID == "" {
			continue
		}
		open := row.Verdict == audit.Failed ||
			slices.ContainsFunc(row.Findings, func(f audit.Finding) bool {
				return !f.Settled && !f.Work && f.Severity != audit.Note && causes[f.Cause] < 2
			}) ||
			row.Verdict == audit.Queried && len(row.Weld.Corrections) > 0
		if open {
			must++
		} else {
			lines++
		}
		if told[row.Weld.ID] != open {
			t.Errorf("%s is %s; all of it is told: %v", row.Weld.ID, row.Verdict, told[row.Weld.ID])
		}
		for _, f := range row.Findings {
			if a := f.Accepted; a != nil {
				accepted++
				if want := flat("Accepted by " + a.Who()); !strings.Contains(d.flow(), want) || !strings.Contains(d.flow(), flat(a.Why)) {
					t.Errorf("%s: %q and why, %q, do not stand there", row.Weld.ID, want, a.Why)
				}
			}
		}
	}
	if must == 0 || lines == 0 {
		t.Errorf("%d must be read, %d not, %d accepted: the test shows little", must, lines, accepted)
	}
}

// signed is a seal's text with a signature that has the form of one: its key has the
// fingerprint of the first four bytes. It is invented.
func signed(note string) string {
	text, _, _ := strings.Cut(note, "\n\n")
	return text + "\n\n— KM-laptop " + base64.StdEncoding.EncodeToString(append([]byte{1, 2, 0xab, 0xcd}, make([]byte, 64)...)) + "\n"
}

func pageOneOf(d document) string { return flat(d.pages()[0]) }

// What the fittings' tables say stands there in figures, the plan by its number and hash, the
// key of the seal, the program, and both ends of a fusion by their names.
func TestWhatAnEngineerLooksFor(t *testing.T) {
	rep := register.Sample(t)
	rep.Program = "coolhold 0.0 (invented)"
	sealed := *rep.Logs[0].Seal
	sealed.Note = signed(sealed.Note)
	rep.Logs[0].Seal = &sealed
	keys := rep.Logs[0].SignedBy()
	if len(keys) != 1 || !regexp.MustCompile(`^KM-laptop\+[0-9a-f]{8}$`).MatchString(keys[0]) {
		t.Fatalf("the seal is signed by %q: name and fingerprint are wanted", keys)
	}
	d := drawn(t, rep)
	if !strings.Contains(pageOneOf(d), keys[0]) || !strings.Contains(d.flow(), "log KM: "+keys[0]) {
		t.Errorf("the first page does not name the key %s", keys[0])
	}
	for _, k := range rep.Tables {
		for _, f := range k.Fittings {
			for i, band := range k.Bands {
				if want := fmt.Sprintf("%v %s %d %d", band, fusion.Figure(f.Volts), f.Seconds[i], f.CoolingMin[i]); !strings.Contains(d.flow(), want) {
					t.Errorf("the table's row %q of %s does not stand there", want, f.Name)
				}
			}
		}
	}
	for _, p := range register.Plans(rep.Site) {
		if !strings.Contains(d.flow(), flat(p.String())) {
			t.Errorf("the plan %q is not named", p)
		}
	}
	for _, want := range []string{rep.Program, "started 2026-03-09", " ended ", "Times are local: UTC +", "No pressure test is recorded. None in this log.", "Everybody whose name stands in this document"} {
		if !strings.Contains(d.flow(), want) {
			t.Errorf("the document does not say %q", want)
		}
	}
	for _, p := range rep.Everybody() {
		if !strings.Contains(d.flow(), p.Name+": Role: ") {
			t.Errorf("%s is not among everybody", p.Name)
		}
	}
}

var word = regexp.MustCompile(`<word xMin="([\d.-]+)" yMin="([\d.-]+)" xMax="([\d.-]+)" yMax="([\d.-]+)">(.*)</word>`)
var sheet = regexp.MustCompile(`<page width="([\d.]+)" height="([\d.]+)">`)

// No word lies outside the margins, however long the texts are.
func TestNothingRunsOffThePage(t *testing.T) {
	long := strings.Repeat("averylongwordwithoutanyblank", 40) + " " + strings.Repeat("many short words ", 200)
	rep := register.With(t, long)
	rep.Site.Name, rep.Site.Client = long, long
	rep.Joints[0].Label = strings.Repeat("W", 60)
	d := drawn(t, rep)
	var w, h float64
	words := 0
	for _, line := range strings.Split(output(t, "pdftotext", "-bbox", d.file, "-"), "\n") {
		if m := sheet.FindStringSubmatch(line); m != nil {
			w, h = number(m[1]), number(m[2])
		}
		m := word.FindStringSubmatch(line)
		if m == nil {
			continue
		}
		words++
		const edge = 12 * 72 / 25.4 // 12 mm
		if number(m[1]) < edge || number(m[3]) > w-edge || number(m[2]) < edge/2 || number(m[4]) > h-edge/2 {
			t.Fatalf("%q lies at %s, %s to %s, %s on a page of %g by %g", m[5], m[1], m[2], m[3], m[4], w, h)
		}
	}
	if words < 1000 {
		t.Errorf("%d words read", words)
	}
	if n := strings.Count(d.flow(), "many short words"); n < 200 {
		t.Errorf("a long text was cut: %d of 200", n)
	}
}

func number(s string) float64 { f, _ := strconv.ParseFloat(s, 64); return f }

// Texts that a person or a scanner may bring in are drawn harmless, and what
// the font has no letter for is still told apart.
func TestHostileTextsInThePDF(t *testing.T) {
	texts := [][2]string{
		{"\u202ecba", "·cba"}, {"\x1b[2Jx", "·[2Jx"}, {"焊口", "[U+710A][U+53E3]"}, {"\U0001f525", "[U+1F525]"}, {"Ωμ°…", "Ωμ°…"},
		{`(x)\`, `(x)\`}, {"\ue000", "[U+E000]"}, {"{pages}", "{pages}"}, {"a\tb", "a b"},
	}
	all := ""
	for _, text := range texts {
		all += text[0] + " / "
	}
	flow := drawn(t, register.With(t, all)).flow()
	for _, text := range texts {
		if !strings.Contains(flow, text[1]+" /") {
			t.Errorf("%q is not shown as %q", text[0], text[1])
		}
	}
}

func TestSameReportSameText(t *testing.T) {
	a, b := drawn(t, register.Sample(t)), drawn(t, register.Sample(t))
	if a.text() != b.text() {
		t.Error("two drawings of one report differ")
	}
	if info := output(t, "pdfinfo", a.file); !strings.Contains(info, "A4") || !strings.Contains(info, "coolhold") {
		t.Errorf("the file says %s", info)
	}
}

// What is drawn has no colour, and the picture of the seal reads as the seal.
func TestPictures(t *testing.T) {
	rep := register.Sample(t)
	d := drawn(t, rep)
	seal := slices.IndexFunc(d.pages(), func(p string) bool { return strings.Contains(p, "AzX3m0invented") }) + 1
	base := strings.TrimSuffix(d.file, ".pdf")
	output(t, "pdftoppm", "-r", "24", "-png", d.file, base)
	output(t, "pdftoppm", "-r", "150", "-f", fmt.Sprint(seal), "-l", fmt.Sprint(seal), "-singlefile", "-png", d.file, base+"-seal")
	pages, err := filepath.Glob(base + "-[0-9]*.png")
	if err != nil || len(pages) != len(d.pages()) {
		t.Fatalf("%d pictures of %d pages, %v", len(pages), len(d.pages()), err)
	}
	for _, page := range pages {
		if x, y, grey := colour(picture(t, page)); !grey {
			t.Errorf("%s has a colour at %d, %d", filepath.Base(page), x, y)
		}
	}
	got, err := qr.Decode(picture(t, base+"-seal.png"))
	if err != nil || got != rep.Logs[0].Seal.Note {
		t.Errorf("the seal's picture reads as %q, %v", got, err)
	}
}

func picture(t testing.TB, file string) image.Image {
	t.Helper()
	f, err := os.Open(file)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	img, _, err := image.Decode(f)
	if err != nil {
		t.Fatal(err)
	}
	return img
}

func colour(img image.Image) (x, y int, grey bool) {
	for y := img.Bounds().Min.Y; y < img.Bounds().Max.Y; y++ {
		for x := img.Bounds().Min.X; x < img.Bounds().Max.X; x++ {
			if r, g, b, _ := img.At(x, y).RGBA(); r != g || g != b {
				return x, y, false
			}
		}
	}
	return 0, 0, true
}

// A box of the drawing has one weld; what else stands in the joint is said beside it.
func TestTheDrawingNamesASecondWeld(t *testing.T) {
	for _, page := range drawn(t, register.Unlike(t, true)).pages() {
		if strings.Contains(page, "Chamber A") && regexp.MustCompile(`In joint 1A stands KM-0001 \((a1b2|e5f6)\) too\.`).MatchString(flat(page)) {
			return
		}
	}
	t.Error("the drawing shows one of two welds and does not say so")
}

// Of a log that an office gave it is said which branch that is, and what the office did not
// have, where it says what the document was made from.
func TestWhatAnOfficeKnewOfALogIsSaid(t *testing.T) {
	rep := register.Sample(t)
	want := "branch 1 of a log that went on in two ways: from entry 158 on another branch has other entries, and a weld number may mean two pipes; " +
		"read at an office that had last heard of it 2026-03-09 08:46 +00:00: what was recorded since is not in this; more of it (2 parcels) waited at the office to be admitted, and is not in this"
	says := func() (pdf, book bool) {
		for _, row := range workbook(t, rep)[xlsx.Summary] {
			for _, c := range row {
				book = book || strings.Contains(c.Value, want)
			}
		}
		return strings.Contains(drawn(t, rep).flow(), want), book
	}
	if pdf, book := says(); pdf || book {
		t.Error("it is said of a log that did not part")
	}
	heard := time.Date(2026, 3, 9, 8, 46, 0, 0, time.UTC)
	rep.Logs[0].Course, rep.Logs[0].Heard, rep.Logs[0].Waiting = &register.Course{Branch: 1, Parted: 158}, &heard, 2
	if pdf, book := says(); !pdf || !book {
		t.Errorf("said in the PDF %t, in the workbook %t", pdf, book)
	}
}

// Two laptops that drew one tag are told apart wherever a log is named.
func TestLogsOfOneTagAreToldApart(t *testing.T) {
	rep := register.Sample(t)
	one := rep.Logs[0]
	one.ID, one.Name = "a1b2c3d4", "KM (a1b2)"
	rep.Logs = []register.Log{one, {ID: "e5f60718", Tag: "KM", Name: "KM (e5f6)"}}
	d := drawn(t, rep)
	for _, want := range []string{"Made from log KM (a1b2): ", "log KM (e5f6): ", "Seal of log KM (a1b2)", "the seal of log KM (a1b2)", "sealed: log KM (a1b2), its first"} {
		if !strings.Contains(d.flow(), want) {
			t.Errorf("the document does not say %q", want)
		}
	}
	var names []string
	for _, row := range workbook(t, rep)[xlsx.Summary] {
		if v := row["B"].Value; v == "a1b2c3d4" || v == "e5f60718" {
			names = append(names, row["A"].Value)
		}
	}
	if want := []string{"KM (a1b2)", "KM (e5f6)"}; !slices.Equal(names, want) {
		t.Errorf("the workbook names %q, want %q", names, want)
	}
}

// The pressure tests stand in the document with their readings, drawn and told, what was
// given before, and what a later weld took out of them; where there is none that is said.
func TestPressureTestsInThePDF(t *testing.T) {
	d := drawn(t, register.Pressed(t))
	text := d.flow()
	apart := slices.IndexFunc(d.pages(), func(p string) bool { return strings.Contains(p, "Not within its pressure test: header to ground") })
	if apart < 0 {
		t.Fatal("the section that was not within has no page")
	}
	page := flat(d.pages()[apart])
	for _, want := range []string{"What stands in it: TG, KM-0003, coupler 40, clear", "KM-P2: header to ground", "NOT WITHIN AND NOT REPEATED. Not within what the method allows"} {
		if !strings.Contains(page, want) {
			t.Errorf("its page does not say %q:\n%s", want, page)
		}
	}
	if strings.Contains(page, "KM-P1: ") || strings.Contains(page, "KM-P3: ") || strings.Contains(text, "Not within its pressure test: circuit 1") {
		t.Error("a section that was within has a page, or stands on that of another")
	}
	for _, want := range []string{
		"Pressure tests", "KM-P1: circuit 1, before cover, 2026-03-09", "within what the method allows, as far as recorded; without 1B", "Not in it: 1B, its weld was made after it.",
		"1. 6.1 bar", "3. 6.05 bar", "lowest allowed", "to be reached", "30 min", "weakest part flow gauge; its rating 10 bar; gauge, serial G-1",
		"KM-P2: header to ground", "not within what the method allows, as far as recorded", "KM-P3: all", "Taken back by Ada Invented: it was circuit 1", "No pressure test holds",
	} {
		if !strings.Contains(text, want) {
			t.Errorf("the document does not say %q", want)
		}
	}
	if none := drawn(t, register.Sample(t)).flow(); !strings.Contains(none, "No pressure test is recorded.") {
		t.Error("where there is none it is not said")
	}
}

// What a test came to is not parted from its chart, wherever on a page it begins.
func TestAPressureTestStaysWithItsChart(t *testing.T) {
	for n := range 12 {
		rep := register.Pressed(t)
		for range 4 * n {
			rep.Unlike += "A line that stands on the first page and moves all that comes behind it, more and more of them. "
		}
		for _, page := range drawn(t, rep).pages() {
			if at := strings.Index(page, "KM-P1: circuit 1, before cover"); at >= 0 && !strings.Contains(page[at:], "lowest allowed") {
				t.Fatalf("%d lines more: what a test came to is parted from its chart:\n%s", 4*n, page)
			}
		}
	}
}

// Flow checks, purges and fillings stand in the document with what they come to, those
// that do not count too; where there is none that is said.
func TestTheLoopInThePDF(t *testing.T) {
	text := drawn(t, register.Flowing(t)).flow()
	for _, want := range []string{
		"Flow, purge and fluid", "28.5 L/min", "no crossing seen", "a newer one counts; this was: cannot decide", "it went on for 10 of 15 min after the last bubble",
		"taken back by Ada Invented: it was circuit 1", "invented fluid", "nothing is missing in what was said",
	} {
		if !strings.Contains(text, want) {
			t.Errorf("the document does not say %q", want)
		}
	}
	if none := drawn(t, register.Sample(t)).flow(); !strings.Contains(none, "No flow check, no purge and no filling is recorded.") {
		t.Error("where there is none it is not said")
	}
}

// What the plan wants looked at stands in the document with what is recorded of it, and
// each look; where there is neither that is said.
func TestLooksInThePDF(t *testing.T) {
	text := drawn(t, register.Looked(t)).flow()
	for _, want := range []string{
		"Looked at before welding and cover", "yes, 102.51 m, set out 102.5 m", "yes, 0.8 m, at least 0.9 m", "marker tape: could not look. Not wanted by the plan.", "nobody looked",
		"4.35 m from house corner to lid", "Taken back by Ada Invented", "it was chamber B", "not looked at then, or not as it should be: bed, photo",
	} {
		if !strings.Contains(text, want) {
			t.Errorf("the document does not say %q", want)
		}
	}
	if none := drawn(t, register.Sample(t)).flow(); !strings.Contains(none, "The plan asks for no such look, and none is recorded.") {
		t.Error("where the plan wants nothing and nobody looked it is not said")
	}
}

// pageNamed is a page named behind a weld or a joint.
var pageNamed = regexp.MustCompile(`, page \d+`)

// A weld stands under the port that it was welded to: who looks for it must not open another
// pipe. That it was ordered cut out once, and that nobody is named as foreman, is said.
func TestWhatMustNotMislead(t *testing.T) {
	rep := register.TakenBack(t)
	at := slices.IndexFunc(rep.Rows, func(r register.Row) bool { return r.Weld.ID == "KM-0001" })
	answers := maps.Clone(rep.Rows[at].Weld.Answers)
	answers[logbook.ItemPort] = logbook.Answer{Item: logbook.ItemPort, V: "3", How: logbook.Typed}
	rep.Rows[at].Weld.Answers, rep.Rows[at].Joint.Port = answers, 9
	for name, text := range map[string]string{"PDF": pageNamed.ReplaceAllString(drawn(t, rep).flow(), ""), "HTML": strings.NewReplacer(" ,", ",", " :", ":").Replace(flat(readPage(t, pageOf(t, rep)).says()))} {
		for _, want := range []string{
			"port 3 (in the plan 9)", "Ordered, and the order taken back, joint 1A, weld KM-0001: It was another weld.",
			"Nobody is named as foreman of this site: whether those who decided something had the right to is not in this log.",
		} {
			if !strings.Contains(text, want) {
				t.Errorf("the %s does not say %q", name, want)
			}
		}
	}
}
