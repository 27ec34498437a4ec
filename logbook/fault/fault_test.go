package fault

import (
	"reflect"
	"strings"
	"testing"
)

func TestFaultString(t *testing.T) {
	for _, tc := range []struct {
		fault Fault
		want  string
	}{
		{Fault{12, "coupler 40", "seconds", "is empty"}, "12: coupler 40: seconds: is empty"},
		{Fault{3, "", "bands", "is empty"}, "3: bands: is empty"},
		{Fault{3, "coupler 40", "", "kind is missing"}, "3: coupler 40: kind is missing"},
		{Fault{What: "too large"}, "too large"},
	} {
		if got := tc.fault.String(); got != tc.want {
			t.Errorf("got %q, want %q", got, tc.want)
		}
	}
	two := List{{Line: 1, What: "a"}, {Line: 2, What: "b"}}
	if got := two.Error(); got != "1: a\n2: b" {
		t.Errorf("two faults print %q", got)
	}
}

// The list comes in the order of the lines, faults of one line as they were
// noted, and is cut at a length that somebody may still read.
func TestInOrder(t *testing.T) {
	few := List{{Line: 3, What: "c"}, {Line: 1, What: "a"}, {Line: 3, What: "b"}}
	if got := few.InOrder(0).Error(); got != "1: a\n3: c\n3: b" {
		t.Errorf("got %q", got)
	}
	if few[0].Line != 3 {
		t.Error("the list itself was put in order")
	}
	if got := few.InOrder(2).Error(); !strings.HasSuffix(got, "\n3: and 2 more: is it the right file?") {
		t.Errorf("got %q", got)
	}
	if got := List(nil).InOrder(0); len(got) != 0 {
		t.Errorf("out of nothing came %q", got)
	}
	var many List
	for i := range MaxFaults + 5 {
		many = append(many, Fault{Line: i + 1, What: "x"})
	}
	for more, last := range map[int]string{0: "1000: and 5 more", 2: "1000: and 7 more"} {
		got := many.InOrder(more)
		if len(got) != MaxFaults+1 || got[MaxFaults].String() != last+": is it the right file?" {
			t.Errorf("%d faults, the last %q", len(got), got[len(got)-1])
		}
	}
	if got := many[:MaxFaults].InOrder(0); len(got) != MaxFaults || strings.Contains(got.Error(), "more") {
		t.Errorf("just %d faults became %d", MaxFaults, len(got))
	}
}

func TestBriefAndQuote(t *testing.T) {
	long := strings.Repeat("ü", 41)
	for in, want := range map[string]string{
		"ab": "ab", long[2:]: long[2:], long: strings.Repeat("ü", 39) + "…",
	} {
		if got := Brief(in); got != want {
			t.Errorf("%q became %q", in, got)
		}
	}
	if got := Quote("a\x1b[2J"); got != `"a\x1b[2J"` {
		t.Errorf("got %s", got)
	}
}

func TestNearest(t *testing.T) {
	known := []string{"coupler 40", "coupler 63", "cap 40", "elbow 63"}
	for _, tc := range []struct {
		word  string
		limit int
		want  []string
	}{
		{"Coupler 41", 1, []string{"coupler 40"}},
		{"coupler 63", 2, []string{"coupler 63", "coupler 40"}},
		{"cup 40", 9, []string{"cap 40"}},
		{"manifold", 3, nil},
		{strings.Repeat("x", 1000), 3, nil},
		{"", 3, nil},
	} {
		if got := Nearest(tc.word, known, tc.limit); !reflect.DeepEqual(got, tc.want) {
			t.Errorf("%.20s: got %q, want %q", tc.word, got, tc.want)
		}
	}
}
