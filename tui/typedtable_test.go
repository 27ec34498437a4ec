package tui

import (
	"os"
	"path/filepath"
	"reflect"
	"strings"
	"testing"

	"coolhold/fusion"
	"coolhold/logbook"
	logtable "coolhold/logbook/table"
)

// types types a line and Enter.
func (d *driver) types(lines ...string) {
	d.t.Helper()
	for _, l := range lines {
		d.text(l)
	}
}

// digitOf is the digit under which a line that names what stands on the screen.
func (d *driver) digitOf(what string) string {
	d.t.Helper()
	for _, l := range strings.Split(d.frame(), "\n") {
		l = strings.TrimLeft(l, " ▸")
		if len(l) > 3 && l[0] >= '0' && l[0] <= '9' && l[1] == ' ' && strings.HasPrefix(strings.TrimLeft(l[1:], " "), what) {
			return l[:1]
		}
	}
	d.t.Fatalf("%q has no digit on the screen:\n%s", what, d.frame())
	return ""
}

// picks presses the digit of a line, or types its figure where it has none.
func (d *driver) picks(what string) {
	d.t.Helper()
	if figure := strings.TrimPrefix(what, "SDR "); strings.Trim(figure, "0123456789.") == "" {
		d.text(figure)
		return
	}
	d.keys(d.digitOf(what))
}

// typesFirst types the first fitting of the invented table: its bands come with it.
func typesFirst(d *driver) {
	d.t.Helper()
	d.picks("coupler")
	d.types("40")
	d.sees("Enter: coupler 40")
	d.keys("enter")
	d.picks("SDR 11 and 17")
	d.types("39.5", "2.4", "10")
	d.types("-10", "-1", "4", "14", "24", "40", "")
	d.sees("fusion time at -10…-1 °C, s")
	d.types("44", "42", "40", "38", "36", "6")
	d.picks("nothing more")
}

// A table of three fittings and five bands is typed from the bags with at most 160
// keys, and is the same as one that was typed into a file.
func TestATableTypedFromTheBags(t *testing.T) {
	log := weir(t)
	d := drive(t, log, monday, 80, 24)
	d.keys("5", "9")
	d.picks("type it")
	from := d.hits
	d.types("Valley", "")
	typesFirst(d)
	d.sees("every figure is as on the bag", "44 s", "36 s", "40 mm, SDR 11 or 17, 39.5 V, cooling 6 min, 2.4 Ω, ±10 %")
	d.keys("1")
	d.picks("reducer")
	d.types("40x32", "")
	d.picks("SDR 11")
	d.types("39.5", "2.6", "")
	d.lacks("44") // no figure of another fitting is offered
	d.types("44", "42", "40", "38", "36", "6")
	d.picks("nothing more")
	d.keys("1")
	d.picks("coupler")
	d.types("63", "")
	d.picks("SDR 11 and 17")
	d.types("39.5", "1.5", "8", "92", "88", "84", "80", "76", "9 9 10 10 11")
	d.picks("nothing more")
	d.keys("1")
	d.picks("no further fitting")
	keys := d.hits - from
	t.Logf("a table of three fittings and five bands: %d keys", keys)
	if keys > 160 {
		t.Errorf("%d keys, 160 are the most", keys)
	}
	d.sees("Valley", "NOT read back")
	got := log.typedTable(t)
	want := valley(t)
	want.Title, want.Source, want.Fittings = "Valley", "typed from the bags", want.Fittings[:3]
	for i := range want.Fittings { // what was not typed: "nothing more is printed"
		f := &want.Fittings[i]
		f.Indicators, f.PinMM, f.PressureWaitMin, f.PressureWaitFrom = nil, nil, nil, ""
	}
	if !reflect.DeepEqual(got, want) {
		t.Errorf("typed\n%+v\nwant\n%+v", got, want)
	}
}

// valley is the invented table as its file has it.
func valley(t *testing.T) fusion.Table {
	t.Helper()
	data, err := os.ReadFile(filepath.Join("..", "testdata", "tables", "valley.toml"))
	if err != nil {
		t.Fatal(err)
	}
	table, err := logtable.Parse(data)
	if err != nil {
		t.Fatal(err)
	}
	return table
}

// typedTable is the table that was taken last.
func (l *memLog) typedTable(t *testing.T) fusion.Table {
	t.Helper()
	s := l.site(t)
	got := s.Tables[len(s.Tables)-1].Table
	if got == nil {
		t.Fatal("the table that was taken cannot be read")
	}
	return *got
}

func (l *memLog) site(t *testing.T) logbook.Site {
	t.Helper()
	all := l.Memory.Book.Sites()
	s, ok := l.Memory.Book.Site(all[len(all)-1].ID)
	if !ok {
		t.Fatal("no site is open")
	}
	return s
}

// What is wrong in a row is said before it is taken, nothing that was typed is lost, one
// line is mended, and no figure is ever offered.
func TestARowThatIsWrongIsMended(t *testing.T) {
	d := drive(t, weir(t), monday, 80, 24)
	d.keys("5", "9")
	d.picks("type it")
	d.types("Valley", "")
	d.picks("coupler")
	d.text("41")
	d.sees(`"41" is no size of PE pipe`)
	d.keys("backspace")
	d.lacks("is no size") // an old error goes when the field is changed
	d.types("0", "")
	d.picks("SDR 11 and 17")
	d.keys("enter")
	d.sees("type it first: nothing is taken for granted here")
	d.types("395")
	d.sees(`"395" is outside 8…80 V`)
	d.types("39.5", "", "-10", "-1", "4", "")
	d.types("44", "83")
	d.text("6 7 8")
	d.sees("3 figures are given, 1 or 2 are needed")
	d.keys("backspace", "backspace", "enter") // what was typed is still there
	d.picks("nothing more")
	d.sees("83 s at 0…4 °C is longer than 44 s at -10…-1 °C", "change the line that is wrong")
	d.keys("1")
	d.sees("not taken: 83 s")
	if !chosenIs(d.frame(), "fusion time at 0…4") {
		t.Errorf("the cursor is not at the wrong line:\n%s", d.frame())
	}
	d.keys("enter")
	d.text("38")
	d.sees("1: every figure is as on the bag", "38 s")
	d.keys("1")
	d.sees("Valley: fitting 2")
}

// A change of the first line that asks more is asked; Esc is needed twice to drop what
// was typed, and any other key goes on.
func TestALineThatIsChangedAsksWhatItNeeds(t *testing.T) {
	d := drive(t, weir(t), monday, 60, 20)
	d.keys("5", "9")
	d.picks("type it")
	d.types("Valley", "")
	typesFirst(d)
	for range 30 {
		d.keys("up")
	}
	for range 30 {
		if !chosenIs(d.frame(), "besides") {
			d.keys("down")
		}
	}
	d.keys("enter")
	d.picks("more is printed")
	d.sees("wait before a pressure test, min")
	d.types("60")
	d.picks("the end of cooling")
	d.types("4", "2", "", "")
	d.sees("1: every figure is as on the bag")
	d.keys("esc")
	d.sees("Esc again drops what is typed here")
	d.keys("enter")
	d.sees("1: every figure is as on the bag")
	d.keys("1", "esc")
	d.sees("Esc again drops the table, with 1 fitting.")
	d.keys("enter")
	d.picks("reducer")
	d.text("63 32")
	d.keys("esc", "esc")
	d.sees("Valley: fitting 2", "kind")
	d.keys("esc", "esc")
	d.sees("9 take a further table")
}
