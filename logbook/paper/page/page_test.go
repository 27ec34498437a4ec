package page

import (
	"bytes"
	"strings"
	"testing"
	"time"
)

var at = time.Date(2026, 3, 9, 7, 0, 0, 0, time.UTC)

func upright(t *testing.T) PDF {
	t.Helper()
	s, err := New("P", "invented \x1b title", 10, at)
	if err != nil {
		t.Fatal(err)
	}
	s.AddPage()
	return s
}

// What the font has no letter for is written as its number; what would harm a
// reader is taken out.
func TestSay(t *testing.T) {
	s := upright(t)
	for in, want := range map[string]string{
		"joint 3A": "joint 3A", "Łódź, 5…14 °C": "Łódź, 5…14 °C", "two\nlines": "two lines",
		"井 pit": "[U+4E95] pit", "a\x1b[2Jb": "a·[2Jb",
	} {
		if got := s.glyphs.Say(in); got != want {
			t.Errorf("%q is drawn as %q, want %q", in, got, want)
		}
	}
	if _, err := NewGlyphs([]byte("no font")); err == nil {
		t.Error("anything is a font")
	}
}

// A line is made smaller until it fits, and no smaller than can be read.
func TestLineFits(t *testing.T) {
	s := upright(t)
	for _, tt := range []struct {
		text string
		fits bool
	}{{"FG", true}, {strings.Repeat("North ", 8), true}, {strings.Repeat("North ", 60), false}} {
		s.Line(10, 10, 80, 30, "B", tt.text)
		size, _ := s.GetFontSize()
		if fits := s.GetStringWidth(tt.text) <= 80; fits != tt.fits || size < smallest || size > 30 {
			t.Errorf("%.20q: %g pt, fits: %v", tt.text, size, fits)
		}
	}
	if s.Line(10, 10, 80, 30, "", "FG"); s.GetX() != 90 || s.GetY() != 10 {
		t.Errorf("the line ends at %g, %g", s.GetX(), s.GetY())
	}
}

// A text of several lines is made smaller until all of it fits.
func TestBlockFits(t *testing.T) {
	s := upright(t)
	for _, n := range []int{1, 10, 20} {
		text := strings.TrimSpace(strings.Repeat("in the lawn ", n))
		s.Block(10, 10, 80, 9, 10, "", text)
		size, _ := s.GetFontSize()
		if lines := len(s.SplitText(text, 80)); float64(lines)*size*0.5 > 9 || s.GetY()+size*0.5 > 19.01 {
			t.Errorf("%d words: %d lines of %g pt end at %g", 3*n, lines, size, s.GetY()+size*0.5)
		}
	}
}

func TestTheSameBytes(t *testing.T) {
	var one, two bytes.Buffer
	for _, out := range []*bytes.Buffer{&one, &two} {
		s := upright(t)
		s.Line(10, 10, 80, 30, "B", "FROM GROUND (FG)")
		if err := s.Output(out); err != nil {
			t.Fatal(err)
		}
	}
	if !bytes.HasPrefix(one.Bytes(), []byte("%PDF-")) || !bytes.Equal(one.Bytes(), two.Bytes()) {
		t.Error("other bytes the second time")
	}
	for _, date := range []string{"/CreationDate (D:20260309070000)", "/ModDate (D:20260309070000)"} {
		if !bytes.Contains(one.Bytes(), []byte(date)) {
			t.Errorf("%s is not in it: it would be the time of drawing", date)
		}
	}
}
