package pdf

import (
	"errors"
	"strings"
	"testing"
	"time"

	"coolhold/fusion"
	"coolhold/logbook"
	"coolhold/logbook/audit"
	"coolhold/logbook/chart"
	"coolhold/logbook/plan"
	"coolhold/logbook/register"
	"coolhold/logbook/register/account"
)

func blank(t testing.TB) *doc {
	t.Helper()
	d, err := newDoc(register.Report{Query: register.Query{AsOf: time.Date(2026, 3, 9, 8, 0, 0, 0, time.UTC)}}, nil)
	if err != nil {
		t.Fatal(err)
	}
	d.page(false)
	d.font("", 8)
	return d
}

// from begins a page anew, so far down, with nothing told.
func from(d *doc, y float64) (page int) {
	d.step = nil
	d.page(false)
	d.font("", 8)
	d.down(y - d.f.GetY())
	return d.f.PageNo()
}

// Every line fits, and no letter is lost.
func TestLinesFitAndLoseNothing(t *testing.T) {
	d := blank(t)
	for _, text := range []string{
		"", "one", "several short words in a row", strings.Repeat("x", 300), "a " + strings.Repeat("long-hyphened-word-", 9), "äöü Ω 焊口 words", "two\nlines",
	} {
		for _, w := range []float64{5, 11, 40, 200} {
			lines := d.lines(text, w)
			for _, line := range lines {
				if got := d.f.GetStringWidth(line); got > w && len([]rune(line)) > 1 {
					t.Errorf("%q is %g mm wide, of %g", line, got, w)
				}
			}
			squeeze := func(s string) string { return strings.Join(strings.Fields(s), "") }
			if got, want := squeeze(strings.Join(lines, " ")), squeeze(d.say(strings.ReplaceAll(text, "\n", " "))); got != want {
				t.Errorf("%q in %g mm became %q", text, w, lines)
			}
		}
	}
	if got := d.lines("a-hyphened-word", d.f.GetStringWidth("a-hyphened-w")); len(got) != 2 || got[0] != "a-hyphened-" {
		t.Errorf("broken as %q", got)
	}
}

func TestFit(t *testing.T) {
	d := blank(t)
	long := strings.Repeat("word ", 50)
	if got := d.fit(long, 30); !strings.HasSuffix(got, "…") || d.f.GetStringWidth(got) > 30 || d.f.GetStringWidth(got) < 25 {
		t.Errorf("%q", got)
	}
	if got := d.fit("short", 30); got != "short" {
		t.Errorf("%q", got)
	}
}

// A row higher than a page goes on on the next one, all of it.
func TestARowHigherThanAPage(t *testing.T) {
	d := blank(t)
	g := d.grid(8, column{"a", 40}, column{"b", 0})
	before := d.f.PageNo()
	g.row("x", strings.Repeat("line\n", 199)+"line")
	d.settle()
	if got := d.f.PageNo() - before; got < 2 || got > 4 {
		t.Errorf("200 lines took %d further pages", got)
	}
	if y := d.f.GetY(); y > d.bottom() {
		t.Errorf("the row ends at %g, below %g", y, d.bottom())
	}
}

func TestCut(t *testing.T) {
	now, rest := cut([][]string{{"1", "2", "3"}, {"1"}, {}}, 2)
	if len(now[0]) != 2 || len(rest[0]) != 1 || len(now[1]) != 1 || len(rest[1]) != 0 || most(rest) != 1 {
		t.Errorf("%q, %q", now, rest)
	}
	if now, rest := cut([][]string{{"1", "2"}}, 0); len(now[0]) != 1 || len(rest[0]) != 1 {
		t.Errorf("no room must still end: %q, %q", now, rest)
	}
}

// A seal of the longest size still is a code; one that is none harms nothing.
func TestSealAsCode(t *testing.T) {
	for _, n := range []int{1, 400, 5000} {
		seal := &logbook.Sealed{Entries: 1, Note: "a\n1\nr\n\n" + strings.Repeat("s", n)}
		rep := register.Report{Query: register.Query{Logs: []register.Log{{Tag: "KM", Seal: seal}}}}
		var out strings.Builder
		if err := Write(&out, rep, nil); err != nil || !strings.HasPrefix(out.String(), "%PDF-") {
			t.Errorf("%d: %v", n, err)
		}
	}
}

// What can never be accepted does not look as if it had been left undone.
func TestAccepted(t *testing.T) {
	for _, c := range []struct {
		f    audit.Finding
		want string
	}{
		{audit.Finding{Severity: audit.Note}, "nothing to accept"}, {audit.Finding{Severity: audit.Fail}, "cannot be: cut out"},
		{audit.Finding{Severity: audit.Query, Work: true}, "cannot be: work to do"}, {audit.Finding{Severity: audit.Query}, "not yet"},
		{audit.Finding{Severity: audit.Fail, Settled: true}, "settled: cut out or given up"},
	} {
		if got := register.AcceptedAs(c.f); got != c.want {
			t.Errorf("%+v: %q, want %q", c.f, got, c.want)
		}
	}
}

// Of a weld that was given up it is said that what was set never ran.
func TestWhatWasSetAndNeverRan(t *testing.T) {
	set := &logbook.SettingsKeyed{SecondsShown: 46, VoltsShown: new(39.5)}
	for _, c := range []struct {
		w    logbook.Weld
		want string
	}{
		{logbook.Weld{Settings: set, Abandoned: "rain"}, "46 s, 39.5 V, set, never run"},
		{logbook.Weld{Settings: set}, "46 s, 39.5 V"},
		{logbook.Weld{Abandoned: "rain"}, ""},
	} {
		if got := (cells{register.Row{Weld: c.w}}).set(); got != c.want {
			t.Errorf("got %q, want %q", got, c.want)
		}
	}
}

// What was let go after the end of its hold reads so, also within one minute.
func TestLetGoInTheMinuteOfItsEnd(t *testing.T) {
	began := time.Date(2026, 3, 9, 7, 40, 20, 0, time.UTC)
	for _, c := range []struct {
		after time.Duration // from the end of the hold, at 08:00:20, to the release
		want  string
	}{
		{10 * time.Second, "held until 08:00:20, released 08:00:30"},
		{40 * time.Second, "held until 08:01, released 08:01"},
		{-10 * time.Second, "held until 08:01, released 08:00"},
	} {
		w := logbook.Weld{Started: &fusion.Stamp{Wall: began}, Hold: &fusion.Span{Began: fusion.Stamp{Wall: began}, Want: 20 * time.Minute}}
		until, _ := w.HoldUntil()
		let := until.Add(c.after)
		w.ReleasedStated = &let
		want := strings.NewReplacer("08:00", until.Format("15:04"), "08:01", until.Add(time.Minute).Format("15:04")).Replace(c.want)
		if _, got, _ := strings.Cut((cells{register.Row{Weld: w}}).times(), "not recorded, "); got != want {
			t.Errorf("let go %s after the end: %q, want %q", c.after, got, want)
		}
	}
}

// A joint that came fused from a works has its certificate in place of a verdict.
func TestFactoryJointInTheTable(t *testing.T) {
	for certificate, want := range map[string]string{"C-1": "not ours\ncertificate C-1", "": "not ours\ncertificate not given"} {
		c := cells{register.Row{Factory: &plan.NotOurs{Certificate: certificate}}}
		if got := c.state(); got != want {
			t.Errorf("got %q, want %q", got, want)
		}
	}
}

// A section goes on where there is room, on a page that lies the same way.
func TestSection(t *testing.T) {
	d := blank(t)
	d.section(false, 100, "below")
	d.text("", 9, "words")
	if d.f.PageNo() != 1 {
		t.Error("a section left a page with room")
	}
	d.section(true, 10, "lying")
	if d.f.PageNo() != 2 || !d.lying() {
		t.Error("a lying section went onto an upright page")
	}
	d.section(true, 1000, "no room")
	if d.f.PageNo() != 3 {
		t.Error("a section went on where there was no room")
	}
}

// Wherever on a page it begins, a heading stands with what follows it, the heads of a table
// with its first rows, its last four rows together, and no line of a text alone.
func TestNothingStandsAlone(t *testing.T) {
	d := blank(t)
	for y := 20.0; y < 285; y += 1.3 {
		from(d, y)
		var at []int
		here := func() { at = append(at, d.f.PageNo()) }
		d.heading("heading")
		d.hold(0, here)
		d.text("", 9, "one line")
		if here(); at[0] != at[1] {
			t.Fatalf("from %g mm on: the heading is on page %d, its text on page %d", y, at[0], at[1])
		}
		at = nil
		from(d, y)
		d.heading("heading")
		d.hold(0, here)
		g := d.grid(8, column{"a", 40}, column{"b", 0})
		g.tell = true
		d.step = func(int, int) { here() }
		for range 30 {
			g.row("x", "two\nlines")
		}
		d.settle()
		if n := len(at); n != 31 || at[0] != at[1] || at[1] != at[2] || at[n-4] != at[n-1] {
			t.Fatalf("from %g mm on: heading and rows are on pages %d", y, at)
		}
		for _, rows := range []int{2, 5} { // too few to be parted
			at = nil
			from(d, y)
			g := d.grid(8, column{"a", 40}, column{"b", 0})
			g.tell, d.step = true, func(int, int) { here() }
			for range rows {
				g.row("x", "two\nlines")
			}
			d.settle()
			if len(at) != rows || at[0] != at[rows-1] {
				t.Fatalf("from %g mm on: %d rows are on pages %d", y, rows, at)
			}
		}
		page := from(d, y)
		d.text("", 9, "a\nb\nc")
		if d.f.PageNo() > page && d.f.GetY() < d.begins()+2.9*lineHigh(9) {
			t.Fatalf("from %g mm on: one of three lines stands alone", y)
		}
	}
}

// What stands over several lines never leaves one of them alone on a page: an item, names
// with values, a row of a table, wherever on the page it begins.
func TestNoLastLineStandsAlone(t *testing.T) {
	long := strings.TrimSuffix(strings.Repeat("line\n", 21), "\n")
	for name, k := range map[string]struct {
		draw func(d *doc)
		high float64
	}{
		"item":  {func(d *doc) { d.put(toldSize, 0, d.lay(toldSize, 20, run{"", strings.Repeat("a-long-word ", 21)})) }, lineHigh(toldSize)},
		"pairs": {func(d *doc) { d.pairs(30, []account.Pair{{Name: "name", Says: strings.Split(long, "\n")}}) }, 4.5},
		"row": {func(d *doc) {
			g := d.grid(8, column{"a", 40}, column{"b", 0})
			g.plain = true
			g.row("x", long)
			d.settle()
		}, 8 * 0.43},
	} {
		d := blank(t)
		for y := 180.0; y < 285; y++ {
			page := from(d, y)
			k.draw(d)
			if got := d.f.GetY() - d.begins(); d.f.PageNo() > page && got < 1.9*k.high {
				t.Fatalf("%s from %g mm on: %g mm stand on the next page", name, y, got)
			}
		}
	}
}

var errFull = errors.New("disk full")

type full struct{}

func (full) Write([]byte) (int, error) { return 0, errFull }

func TestAFullDiskIsSaid(t *testing.T) {
	if err := Write(full{}, register.Report{}, nil); !errors.Is(err, errFull) {
		t.Errorf("%v", err)
	}
}

// What is done is told once for each row as it is told, and twice as it is drawn and for each weld
// of which all is told, to the end: the second time the pages are known.
func TestSteps(t *testing.T) {
	rep := register.Report{Rows: []register.Row{
		{Weld: logbook.Weld{ID: "KM-0001"}, Verdict: "clear"}, {Weld: logbook.Weld{ID: "KM-0002"}, Verdict: "fail"}, {},
	}}
	var told []int
	err := Write(&strings.Builder{}, rep, func(done, of int) {
		if of != 11 {
			t.Errorf("%d in all", of)
		}
		told = append(told, done)
	})
	if err != nil || len(told) != 11 || told[10] != 11 {
		t.Errorf("%v, %v", told, err)
	}
}

// However high or wide a drawing is, it stays on its page and leaves room for
// what stands below it.
func TestADrawingStaysOnThePage(t *testing.T) {
	for _, size := range [][2]int{{10, 10}, {unitsAcross, 40}, {60, 200}, {400, 400}} {
		d := blank(t)
		d.page(true)
		left, at := d.f.GetX(), d.f.PageNo()
		d.drawing(chart.Drawing{
			W: size[0], H: size[1], Boxes: []chart.Box{{X: size[0] - 1, Y: size[1] - 1, W: 1, H: 1}},
			Strokes: []chart.Stroke{{X1: 0, Y1: 0, X2: 0, Y2: size[1]}, {X1: 0, Y1: 0, X2: size[0], Y2: 0}},
		})
		if d.f.PageNo() != at || d.f.GetY() > d.bottom()-10 || d.f.GetX() != left {
			t.Errorf("%v ends on page %d at %g, %g; the page ends at %g", size, d.f.PageNo(), d.f.GetX(), d.f.GetY(), d.bottom())
		}
	}
}
