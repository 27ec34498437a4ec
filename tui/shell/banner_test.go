package shell

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"coolhold/tui/widget"
)

// Of many banners the newest three stand there.
func TestTheNewestBannersStand(t *testing.T) {
	r := Root{w: 40, h: 24}
	for i := range 5 {
		r = r.banner(fmt.Sprint("banner ", i), false)
		if want := min(3, i+1); len(r.lines) != want || r.lines[want-1].text != fmt.Sprint("banner ", i) {
			t.Errorf("after %d: %+v", i+1, r.lines)
		}
	}
}

// What is said over and over takes nobody's place, and what sticks goes last.
func TestWhatSticksIsNotPushedAway(t *testing.T) {
	r := Root{}.banner("NOT STORED: the bag", true)
	for range 4 {
		r = r.banner("the log cannot be read", true)
	}
	for i := range 4 {
		r = r.banner(fmt.Sprint("in passing ", i), false)
	}
	var says []string
	for _, b := range r.lines {
		says = append(says, b.text)
	}
	if want := []string{"NOT STORED: the bag", "the log cannot be read", "in passing 3"}; !slices.Equal(says, want) {
		t.Errorf("%q stand there, want %q", says, want)
	}
}

// A banner that is cut ends within the window.
func TestABannerEndsWithinTheWindow(t *testing.T) {
	long := strings.Repeat("an error that says at its end what to do ", 20)
	for width := 20; width <= 90; width++ {
		for n := 1; n <= 3; n++ {
			r := Root{w: width, h: 24}
			for range n {
				r.lines = append(r.lines, banner{text: long})
			}
			lines := r.bannerLines()
			if len(lines) != n*bannerRows[n] {
				t.Errorf("%d banners take %d rows", n, len(lines))
			}
			for _, l := range lines {
				if w := widget.Width(l); w >= width {
					t.Errorf("%d of %d columns: %q", w, width, l)
				}
			}
			if last := lines[len(lines)-1]; !strings.HasSuffix(last, "…") {
				t.Error(fmt.Sprint("what is cut has no mark: ", last))
			}
		}
	}
}

// What was scanned is told in short, once it is longer than a word.
func TestAScanInShort(t *testing.T) {
	for s, want := range map[string]string{"": "", "12345678": "12345678", "123456789": "1234… (9 characters)", "äöüßäöüßä": "äöüß… (9 characters)"} {
		if got := short(s); got != want {
			t.Errorf("%q is told as %q, want %q", s, got, want)
		}
	}
}
