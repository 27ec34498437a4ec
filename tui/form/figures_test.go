package form

import (
	"strings"
	"testing"

	"coolhold/logbook"
	"coolhold/tui/shell"
)

// classes is a list of figures as bags print them, with the field for another one.
func classes(other string, placed bool, figures ...string) Form {
	of := func(o string) string {
		if strings.Trim(o, "0123456789. ") != "" {
			return ""
		}
		return o
	}
	own := Field{Item: "own", Label: "own", Manner: Text}.Unless(func(a Answers) bool { return a.V("sdr") != "other" })
	return New([]Field{{Item: "sdr", Label: "sdr", Manner: Choice, Options: figures, Figures: &Figures{Of: of, Else: other, Placed: placed}}, own, {Item: "then", Label: "then", Manner: Number}})
}

// A figure that is typed out is that figure, whatever place its first digit would be, and
// nothing of it falls into the next question. A digit chooses by its place only where no
// figure of the list begins with it.
func TestAFigureTypedOutIsThatFigure(t *testing.T) {
	bags := []string{"11", "17", "11 17", "9 11", "other"}
	for _, tt := range []struct {
		placed    bool
		figures   []string
		keys      string
		want, own string
	}{
		{false, bags, "11\r", "11", ""},
		{false, bags, "17\r", "17", ""},
		{false, bags, "3", "11 17", ""},
		{false, bags, "4", "9 11", ""},
		{false, bags, "9 11\r", "9 11", ""},
		{false, bags, "26\r", "other", "26"},
		{false, bags, "7,4\r", "other", "7,4"},
		{false, bags, "5", "other", ""},
		{true, []string{"39.5", "40", "48", "80", "other"}, "1", "39.5", ""},
		{true, []string{"39.5", "40", "48", "80", "other"}, "39.5\r", "39.5", ""},
		{true, []string{"39.5", "40", "48", "80", "other"}, "48\r", "48", ""},
		{true, []string{"39.5", "40", "48", "80", "other"}, "2", "40", ""},
		{true, []string{"39.5", "40", "48", "80", "other"}, "36\r", "other", "36"},
	} {
		f := strike(classes("other", tt.placed, tt.figures...), tt.keys)
		if f.Given.V("sdr") != tt.want || f.Given.V("own") != tt.own || f.Given["sdr"].How != logbook.Typed || !f.Empty() {
			t.Errorf("%q of %q gives %v, with %q left behind it", tt.keys, tt.figures, f.Given, f.input.Value())
		}
	}
}

// Where a list has no line for others, a figure that is none of them is refused with a
// word; a figure begun alone gives nothing.
func TestAFigureOfNoLineIsRefused(t *testing.T) {
	f := strike(classes("", false, "9", "11", "13.6", "17"), "2")
	if len(f.Given) > 0 || f.Takes() != shell.FigureField || !strings.Contains(f.seen(), "2█") {
		t.Fatalf("2 gave %v\n%s", f.Given, f.seen())
	}
	if f = strike(f, "6\r"); len(f.Given) > 0 || !strings.Contains(f.Fault, "26 is none of these") {
		t.Errorf("26 gave %v: %q", f.Given, f.Fault)
	}
	if f = strike(f, "1\r"); len(f.Given) > 0 || !strings.Contains(f.Fault, "1 is none of these") {
		t.Errorf("1 gave %v: %q", f.Given, f.Fault)
	}
	if f = strike(f, "13,6\r"); f.Given.V("sdr") != "13.6" {
		t.Errorf("13,6 gave %v", f.Given)
	}
}

// A blank in a figure is no slip of a key: two figures where one is asked belong to
// another question, and are refused with a word and not joined.
func TestABlankInAFigureIsRefused(t *testing.T) {
	for _, text := range []string{"40 63\r", "4 0\r"} {
		f := strike(New([]Field{{Item: "sets", Label: "sets", Manner: Number, Blank: true}}), text)
		if len(f.Given) > 0 || !strings.Contains(f.Fault, "one figure is asked here") {
			t.Errorf("%q gave %v: %q", text, f.Given, f.Fault)
		}
	}
	if f := strike(New([]Field{{Item: "sets", Label: "sets", Manner: Number}}), "40 \r"); f.Given.V("sets") != "40" {
		t.Errorf("a blank behind it gave %v: %q", f.Given, f.Fault)
	}
}
