package desk

import (
	"fmt"
	"regexp"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/charmbracelet/x/ansi"

	"coolhold/fusion"
	"coolhold/logbook"
	"coolhold/logbook/acts"
	"coolhold/logbook/audit"
	"coolhold/logbook/crew"
	"coolhold/logbook/plan"
	"coolhold/tui/form"
	"coolhold/tui/shell"
)

// A sample is the worked example in memory, for the pages without their screens.
type sample struct {
	t    *testing.T
	log  *crew.Store
	book *logbook.Book
	h    acts.Head
}

var sampleNow = benchMonday

func sampleLog(t *testing.T) *sample {
	t.Helper()
	b := onBench(t)
	return &sample{t, b.log, b.log.Memory.Book, acts.Head{At: sampleNow, By: "Hedda Roan", Site: b.site().ID}}
}

func (b *sample) do(act acts.Act) {
	b.t.Helper()
	if _, err := b.log.Append(b.t.Context(), act); err != nil {
		b.t.Fatal(err)
	}
}

func (b *sample) env() shell.Env {
	site, _ := b.book.Site(b.h.Site)
	shift, _ := b.book.Shift(b.h.Site, site.Shift)
	return shell.Env{
		Now: b.h.At, Style: shell.NewStyle("plain"), Book: b.book, Site: site, Shift: shift, W: 80, H: 20,
		Shelf: logbook.ShelfOf(site), Audit: audit.Run(b.book, site.ID, b.h.At, fusion.Stamp{}), Do: &shell.Do{},
		NewID: func() string { return "id" },
	}
}

func (b *sample) weld(id string) logbook.Weld { return b.env().Weld(id) }

// read is a page as one line of words.
func (b *sample) read(id string, width int) string {
	return strings.Join(strings.Fields(strings.Join(page(b.env(), b.weld(id), width), " ")), " ")
}

func unspaced(s string) string { return strings.Join(strings.Fields(s), "") }

// Every page of the example holds its verdict and each entry whole, in every
// width.
func TestNothingOfAPageIsLost(t *testing.T) {
	b := sampleLog(t)
	b.do(acts.Enclose(b.h, "KM-0007", "1B", logbook.Enclosed{File: "3b.jpg", Hash: "0123456789abcdef", Bytes: 1, What: "photo of the indicators"}))
	b.do(acts.Enclose(b.h, "", "1B", logbook.Enclosed{File: "3b-open.jpg", Hash: "fedcba9876543210", Bytes: 1, What: "the joint before"}))
	for _, w := range b.book.Welds(b.h.Site) {
		for _, width := range []int{60, 80, 120} {
			for _, line := range page(b.env(), w, width) {
				if n := ansi.StringWidth(line); n > width {
					t.Errorf("%s at %d: %d columns: %q", w.ID, width, n, line)
				}
			}
			read := b.read(w.ID, width)
			holds := func(text string) bool { return strings.Contains(unspaced(read), unspaced(text)) } // a line may end at a hyphen
			for _, trace := range w.Trail {
				if !holds(logbook.TraceOf(trace).Line) {
					t.Errorf("%s at %d lacks %q", w.ID, width, logbook.TraceOf(trace).Line)
				}
			}
			for _, f := range b.env().Audit.OfWeld(w.ID) {
				if !holds(bare(w, f.Says)) || !holds(f.Basis) {
					t.Errorf("%s at %d lacks the finding %q", w.ID, width, f.Says)
				}
			}
			for _, a := range w.Answers {
				if !holds(logbook.NameOf(a.Item) + " " + a.Words()) {
					t.Errorf("%s at %d lacks the answer %+v", w.ID, width, a)
				}
			}
		}
	}
	read := b.read("KM-0007", 60)
	for _, want := range []string{"3b.jpg: photo of the indicators (Hedda Roan, 9 Mar 09:00; 0123456789ab)", "3b-open.jpg: the joint before", "start refused by the unit: contact"} {
		if !strings.Contains(read, want) {
			t.Errorf("the page lacks %q:\n%s", want, read)
		}
	}
	if strings.Contains(b.read("KM-0006", 60), "3b-open.jpg") {
		t.Error("a file of joint 1B stands on a weld of 5A")
	}
}

// What is stored as a code or under a key is shown in words.
func TestNoCodeIsOnAPage(t *testing.T) {
	b := sampleLog(t)
	codes := []string{logbook.CouldNot, logbook.NotYet, logbook.Unseen, logbook.NotKnown, "inplace", "noaccess", "notool"}
	for _, v := range logbook.WeldValues {
		if strings.Contains(v.Key, "_") {
			codes = append(codes, v.Key)
		}
	}
	all := ""
	for _, w := range b.book.Welds(b.h.Site) {
		all += " " + b.read(w.ID, 120) + " "
	}
	for _, word := range []string{"could not: no access: chamber wall", "not known", "marks in place", "pushed home", "keyed by hand (typed)", "default taken"} {
		if !strings.Contains(all, word) {
			t.Errorf("no page says %q", word)
		}
	}
	for _, code := range codes {
		if regexp.MustCompile(`\b` + code + `\b`).MatchString(all) {
			t.Errorf("a page shows %q", code)
		}
	}
}

// No page says more than the record shows.
func TestAVerdictInWords(t *testing.T) {
	b := sampleLog(t)
	for id, want := range map[string]string{
		"KM-0001": "clear: no fault is recorded", "KM-0003": "fail, and cut out", "KM-0005": "accepted: each query was accepted by name",
		"KM-0006": "query: the foreman must decide", "KM-0008": "fail: cut it out", "KM-0010": "unfinished: ",
	} {
		if read := b.read(id, 80); !strings.HasPrefix(read, want) {
			t.Errorf("%s reads %.60q, want %q", id, read, want)
		}
		if strings.Contains(strings.ToLower(b.read(id, 80)), " good") {
			t.Errorf("the page of %s says good", id)
		}
	}
	if got := seconds(0) + "; " + seconds(40); got != "no time: outside its bands; 40 s" {
		t.Errorf("seconds by the table: %q", got)
	}
	if got := inWords(audit.Queried, logbook.Weld{CutOut: &fusion.Stamp{}}); got != "query, and cut out: nothing is left to decide" {
		t.Errorf("a query cut out: %q", got)
	}
	// once beside the finding, once among the entries
	if n := strings.Count(b.read("KM-0005", 120), "looked at it with the operator"); n != 2 {
		t.Errorf("the accepted finding of KM-0005 is told %d times", n)
	}
	b.do(acts.BeginWeld(acts.Head{At: b.h.At, By: "Ona Brill", Site: b.h.Site, Shift: b.env().Site.Shift}, "3B", "Ona Brill", "CU-208"))
	b.do(acts.AbandonWalk(b.h, "KM-0011", "rain"))
	if read := b.read("KM-0011", 80); !strings.HasPrefix(read, "given up before any current") || !strings.Contains(read, "given up: rain") {
		t.Errorf("a weld given up reads %.80q", read)
	}
	if l := weldLine(b.env(), b.weld("KM-0011")); l.verdict != "given up" || l.says != "rain" || l.rank != rankRest {
		t.Errorf("its line is %+v", l)
	}
}

// From when a weld may be put under pressure is not said of one that must be
// cut out.
func TestNoPressureOnAFail(t *testing.T) {
	b := sampleLog(t)
	if read := b.read("KM-0006", 80); !strings.Contains(read, "under pressure not before 15:18, by the table") {
		t.Errorf("the wait is not on the page:\n%s", read)
	}
	if read := b.read("KM-0008", 80); strings.Contains(read, "under pressure") {
		t.Errorf("a fail is put under pressure:\n%s", read)
	}
}

func TestWhatSomebodyTypedNeverActsOnAPage(t *testing.T) {
	b := sampleLog(t)
	b.do(acts.NoteOn(b.h, "KM-0001", "red\x1b[31m alarm\x07 and\u202eback"))
	b.do(acts.Correct(b.h, "KM-0001", "operator", "Ida\x1b[2J Nord", "new\x9bm name"))
	b.do(acts.Cut(b.h, "KM-0002", "gone\x1b[2J"))
	if says := weldLine(b.env(), b.weld("KM-0002")).says; says != "gone·[2J" {
		t.Errorf("its line would act: %q", says)
	}
	for _, line := range append(page(b.env(), b.weld("KM-0001"), 80), weldLine(b.env(), b.weld("KM-0001")).says) {
		if line != logbook.Clean(line) {
			t.Errorf("it would act: %q", line)
		}
	}
	if read := b.read("KM-0001", 80); !strings.Contains(read, "note: red·[31m alarm· and·back (Hedda Roan, 9 Mar 09:00)") {
		t.Errorf("the note is lost:\n%s", read)
	}
}

// Each value that was corrected is marked where it stands.
func TestCorrectedValuesAreMarked(t *testing.T) {
	for _, c := range []struct{ field, value, want string }{
		{"control unit", "CU-9", "with unit CU-9 (corrected)"},
		{"fitting", "coupler 63", "fitting coupler 63 (default taken) (corrected)"},
		{"ambient", "2", "2 °C (typed) (corrected)"},
		{"time from", string(logbook.ModeSelf), "unit corrects for temperature (typed) (corrected); set and table need not agree"},
		{"seconds set", "51", "seconds 51 50 50 (corrected)"},
		{"seconds run", "51", "seconds 50 50 51 (corrected)"},
		{"volts set", "40", "volts 40 39.5 (corrected)"},
		{"ohms", "9", "9 Ω (typed), OUTSIDE its window 2.16…2.64 Ω: printed tolerance ±10 % (corrected)"},
		{"melt after fusion (look 1)", "outside", "melt outside; no wire; marks in place; straight yes (Ona Brill, typed) (corrected)"},
	} {
		b := sampleLog(t)
		b.do(acts.Correct(b.h, "KM-0001", c.field, c.value, "it was so"))
		read := b.read("KM-0001", 120)
		if !strings.Contains(read, c.want) || !strings.Contains(read, c.field+": was ") {
			t.Errorf("%s: %q is not on the page:\n%s", c.field, c.want, read)
		}
		if l := weldLine(b.env(), b.weld("KM-0001")); !strings.HasPrefix(l.says, "corrected") {
			t.Errorf("%s: the line says %q", c.field, l.says)
		}
	}
}

func TestTheTimeLine(t *testing.T) {
	b := sampleLog(t)
	words := func(id string) (out []string) {
		for _, m := range marksOn(b.weld(id), b.env()) {
			out = append(out, m.what)
		}
		return out
	}
	for id, want := range map[string][]string{
		"KM-0001": {"scraped", "fusion", "hold", "released"},
		"KM-0003": {"scraped", "fusion", "stopped 17 s", "cut out"},
		"KM-0008": {"scraped", "fusion", "hold", "disturbed"},
		"KM-0009": {"fusion", "hold", "released"}, // entered later: when it was scraped, nobody said
		"KM-0010": {"scraped", "fusion", "hold", "now"},
	} {
		if got := words(id); !slices.Equal(got, want) {
			t.Errorf("%s: %q, want %q", id, got, want)
		}
	}
	read := b.read("KM-0010", 80)
	for _, want := range []string{"━━ 0:51 ━", "── 2:09 ─", "hold needed: 6:00, until", "3:51 left"} {
		if !strings.Contains(read, want) {
			t.Errorf("the page lacks %q:\n%s", want, read)
		}
	}
	b.do(acts.Cut(b.h, "KM-0001", "for the school"))
	if read := b.read("KM-0001", 60); !strings.Contains(read, "cut out 9 Mar 09:00 ┃") || !strings.Contains(read, "clear: no fault is recorded made by Ona Brill with unit CU-208 on Sun 8 Mar 2026; cut out 9 Mar 09:00: for the school") {
		t.Errorf("the cut-out is not on it:\n%s", read)
	}
	for d, want := range map[time.Duration]string{0: "0:00", 41 * time.Second: "0:41", 61 * time.Minute: "1 h 01", 26 * time.Hour: "26 h 00"} {
		if got := lasted(d); got != want {
			t.Errorf("%v is written %q", d, got)
		}
	}
}

// Work that is still to be done and a fail are not among what can be accepted.
func TestWhatCanBeAccepted(t *testing.T) {
	onJoint := audit.Finding{Key: "k:5A", Severity: audit.Query, Joint: "5A", Says: "something at the joint"}
	onWeld := onJoint
	onWeld.Weld = "KM-0006"
	settled, work := onWeld, onWeld
	settled.Settled, work.Work = true, true
	fail := audit.Finding{Key: "f", Severity: audit.Fail}
	if got := audit.Acceptable([]audit.Finding{fail, settled, work, onJoint}); len(got) != 1 || got[0].Key != "k:5A" {
		t.Errorf("acceptable: %+v", got)
	}
	if !failed([]audit.Finding{fail}) || failed([]audit.Finding{settled}) {
		t.Error("a fail is not told from a query")
	}
}

// A weld belongs to the day its fusion began, by the clock on site; one without
// current to the day of its walk.
func TestTheDayOfAWeld(t *testing.T) {
	late := fusion.Stamp{Wall: time.Date(2026, 3, 8, 23, 30, 0, 0, time.UTC), Offset: 3600}
	stated := time.Date(2026, 3, 7, 9, 0, 0, 0, time.UTC)
	for _, c := range []struct {
		w    logbook.Weld
		want string
	}{
		{logbook.Weld{Begun: late}, "2026-03-09"},
		{logbook.Weld{Begun: sampleNow, Started: &late}, "2026-03-09"},
		{logbook.Weld{Begun: sampleNow, Started: &sampleNow, StartedStated: &stated}, "2026-03-07"},
	} {
		if got := c.w.Day(); got != c.want {
			t.Errorf("%+v belongs to %s, want %s", c.w.Begun, got, c.want)
		}
	}
	env := sampleLog(t).env()
	for _, c := range []struct {
		day  string
		by   int
		want string
	}{{"2026-03-01", 1, "2026-03-08"}, {"2026-03-01", -1, ""}, {"2026-03-08", 1, "2026-03-09"}, {"2026-03-20", -1, "2026-03-09"}, {"2026-03-20", 1, ""}} {
		if got, ok := (Day{day: c.day}).beside(env, c.by); got != c.want || ok != (c.want != "") {
			t.Errorf("%+d from %s is %q, want %q", c.by, c.day, got, c.want)
		}
	}
	if days := daysOf(sampleLog(t).env()); !slices.Equal(days, []string{"2026-03-08", "2026-03-09"}) {
		t.Errorf("days %q", days)
	}
}

func TestAFilter(t *testing.T) {
	b := sampleLog(t)
	env := b.env()
	all := dayLines(env, "2026-03-08")
	for _, c := range []struct {
		f    filter
		want int
	}{
		{filter{}, 9},
		{filter{operator: "Tam Velding"}, 4},
		{filter{unit: "CU-9"}, 0},
		{filter{chamber: noChamber}, 0},
		{filter{chamber: "A", verdict: audit.CutOut}, 1},
		{filter{text: "w-6312"}, 2},
		{filter{text: "CHAMBER WALL"}, 1},
		{filter{text: "battery"}, 1},
	} {
		if got := len(c.f.sift(env, all)); got != c.want {
			t.Errorf("%s: %d lines, want %d", c.f, got, c.want)
		}
	}
	if got := (filter{operator: "Ona", chamber: noChamber, text: "x"}).String(); got != `operator Ona, outside the chambers, "x"` {
		t.Errorf("the filter reads %s", got)
	}
	if got := fmt.Sprint(len((filter{chamber: noChamber}).sift(env, lacking(env))), len((filter{verdict: "clear"}).sift(env, lacking(env)))); got != "1 0" {
		t.Errorf("joints that pass: %s", got)
	}
}

// A value that the site has already is chosen; only who wants another types it.
func TestAnotherValueIsTyped(t *testing.T) {
	b := sampleLog(t)
	f, _ := logbook.FieldOf(b.weld("KM-0001"), logbook.ItemFitting)
	fields := valueFields(b.env(), b.weld("KM-0001"), f)
	if len(fields) != 2 || fields[0].Item == fields[1].Item || fields[1].Manner != form.Text {
		t.Fatalf("asked for are %+v", fields)
	}
	for v, skipped := range map[string]bool{other: false, "elbow 63": true} {
		if got := fields[1].Skip(form.Answers{fields[0].Item: logbook.Answer{V: v}}); got != skipped {
			t.Errorf("with %q chosen the typing is skipped: %v", v, got)
		}
	}
}

// What was said of a joint stands on its page while no weld stands in it.
func TestThePageOfAJointWithoutAWeld(t *testing.T) {
	b := sampleLog(t)
	j := logbook.Joint{}
	for _, open := range b.book.Joints(b.h.Site) {
		if open.Open() && len(open.Welds) == 0 {
			j = open
		}
	}
	note := logbook.Draft{ID: "said", At: b.h.At, By: b.h.By, Site: b.h.Site, Joint: j.Label, Body: logbook.Note{Text: "the stub is bent"}}
	b.do(func(logbook.Reader) ([]logbook.Draft, error) { return []logbook.Draft{note}, nil })
	j, _ = b.book.Joint(b.h.Site, j.Label)
	read := strings.Join(jointPage(b.env(), j, 80), "\n")
	for _, want := range []string{"no weld stands in it", "the stub is bent", "Hedda Roan"} {
		if !strings.Contains(read, want) {
			t.Errorf("the page of %s lacks %q:\n%s", j.Label, want, read)
		}
	}
}

// A joint in words: what the plan says of it, and no more.
func TestAJointInWords(t *testing.T) {
	for want, j := range map[string]logbook.Joint{
		"planned: elbow 63": {Joint: plan.Joint{Fitting: "elbow 63"}},
		"planned: coupler 40; pipe 32 mm SDR 11; port 1, low row, rail from ground; red tape": {Joint: plan.Joint{
			Fitting: "coupler 40", OdMM: 32, SDR: 11, Port: 1, Row: "low", Bar: "from ground", Tape: "red",
		}},
	} {
		if got := jointText(j); got != want {
			t.Errorf("%q, want %q", got, want)
		}
	}
}
