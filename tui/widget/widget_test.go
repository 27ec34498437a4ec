package widget

import (
	"slices"
	"strings"
	"testing"
)

// A label or a date that is broken at its hyphen would be read as two.
func TestWrapKeepsHyphens(t *testing.T) {
	got := Wrap("fits North-9A, North-10B, on 2026-03-09", 12)
	for i := range got {
		got[i] = strings.TrimSpace(got[i])
	}
	if want := []string{"fits", "North-9A,", "North-10B,", "on", "2026-03-09"}; !slices.Equal(got, want) {
		t.Errorf("wrapped as %q", got)
	}
	if got := Wrap("North-10B", 5); slices.Equal(got, []string{"North-10B"}) {
		t.Error("what is wider than the window is not broken")
	}
	if got := Wrap("any", 0); got != nil {
		t.Errorf("no width: %q", got)
	}
}

// What is cut on purpose has a mark; what Fit would take away is told.
func TestCutsAndLosses(t *testing.T) {
	lines := []string{"one", "two", "three"}
	for height, want := range map[int][]string{0: nil, 1: {"on…"}, 2: {"one", "tw…"}, 3: lines, 9: lines} {
		if got := CutBelow(lines, height, 3); !slices.Equal(got, want) {
			t.Errorf("below %d lines it is cut to %q, want %q", height, got, want)
		}
	}
	if lines[1] != "two" {
		t.Error("the lines that were given are changed")
	}
	for _, tt := range []struct {
		block         string
		width, height int
		want          []string
	}{
		{"one\ntwo", 3, 2, nil},
		{"one\ntwo", 2, 2, []string{"one", "two"}},
		{"one\ntwo\n \x1b[1m \x1b[0m\nfour", 4, 1, []string{"two", "four"}},
		{"\x1b[1mone\x1b[0m", 3, 1, nil},
	} {
		if got := Lost(tt.block, tt.width, tt.height); !slices.Equal(got, tt.want) {
			t.Errorf("%q loses %q in %d by %d, want %q", tt.block, got, tt.width, tt.height, tt.want)
		}
	}
}

// A block has just the rows and columns that it is given, also where these are none.
func TestFitIsExact(t *testing.T) {
	for _, height := range []int{-1, 0, 1, 2, 3, 5} {
		lines := Fit("one\ntwo\nthree", 4, height)
		if len(lines) != max(0, height) {
			t.Errorf("%d rows of %d", len(lines), height)
		}
		for _, l := range lines {
			if Width(l) != 4 {
				t.Errorf("%q is not 4 wide", l)
			}
		}
	}
}

// Who keys a figure into the unit must not take one digit for another: each differs
// from each in four places at least, and all are plain characters of one size.
func TestLargeDigits(t *testing.T) {
	want := []string{
		" ###   #####   ###",
		"#   #     #   #   #",
		"#   #    #     ###",
		"#   #   #     #   #",
		" ###    #      ###",
	}
	got := Big("078")
	for i := range got {
		got[i] = strings.TrimRight(got[i], " ")
	}
	if !slices.Equal(got, want) {
		t.Errorf("078 is drawn\n%s", strings.Join(got, "\n"))
	}
	for a := '0'; a <= '9'; a++ {
		one := strings.Join(Big(string(a)), "")
		if len(one) != 5*7 || strings.Trim(one, " #") != "" {
			t.Errorf("%c is drawn %q", a, one)
		}
		for b := '0'; b < a; b++ {
			unlike := 0
			for i, cell := range []byte(strings.Join(Big(string(b)), "")) {
				if cell != one[i] {
					unlike++
				}
			}
			if unlike < 4 {
				t.Errorf("%c and %c differ in %d places", a, b, unlike)
			}
		}
	}
}
