package a4

import (
	"bytes"
	"errors"
	"fmt"
	"os/exec"
	"regexp"
	"strings"
	"testing"
	"time"

	"coolhold/fusion"
	"coolhold/logbook/paper"
)

var at = time.Date(2026, 3, 9, 7, 0, 0, 0, time.UTC)

// sheetOf is an invented sheet with so many joints.
func sheetOf(joints int) paper.Sheet {
	s := paper.Sheet{Site: "Invented Meadow", Day: "2026-03-09"}
	for i := range joints {
		s.Blocks = append(s.Blocks, paper.Block{
			Joint: fmt.Sprintf("J%d", i+1), Place: strings.Repeat("far away in the trench, ", 12), Fitting: "coupler 40",
			Table: "invented table, read back by Ada Invented", Volts: 39.5,
			Figures: []paper.Figure{{Band: fusion.Band{Low: 5, High: 14}, Seconds: 40, CoolingMin: 6}},
		})
	}
	return s
}

func pdf(t *testing.T, s paper.Sheet) []byte {
	t.Helper()
	var out bytes.Buffer
	if err := Write(&out, s, at); err != nil {
		t.Fatal(err)
	}
	return out.Bytes()
}

var onePage = regexp.MustCompile(`/Type /Page\b[^s]`)

// A page for the day and two sides for nine joints, A4 across, and the same bytes each time.
func TestWrite(t *testing.T) {
	for joints, pages := range map[int]int{0: 3, 1: 3, 9: 3, 10: 5, 19: 7} {
		out := pdf(t, sheetOf(joints))
		if !bytes.HasPrefix(out, []byte("%PDF-")) || len(onePage.FindAll(out, -1)) != pages {
			t.Errorf("%d joints are on %d pages, want %d", joints, len(onePage.FindAll(out, -1)), pages)
		}
		if !bytes.Contains(out, []byte("/MediaBox [0 0 841.89 595.28]")) {
			t.Errorf("no A4 across: %s", regexp.MustCompile(`/MediaBox[^\]]*`).Find(out))
		}
		if !bytes.Equal(out, pdf(t, sheetOf(joints))) {
			t.Errorf("%d joints: other bytes the second time", joints)
		}
	}
}

// What each page must say, as other software reads it.
func TestWhatStandsOnEveryPage(t *testing.T) {
	s := sheetOf(9)
	s.Blocks[2].First = "dig it up"
	own := [][]string{
		{"the day", "coupler 40: " + s.Blocks[0].Times(), s.Blocks[0].Supply(), "J3 FIRST: dig it up", "card number", "weather from (time)", "rain or snow", "heated tent", "signature", "read back against the bags by"},
		{"1: made ready", "J1", "J9", "coupler 40; far away in the"},
		{"2: fused, looked at", "J1", "J9", "completed", "nobody saw", "firm, cool"},
	}
	for i, page := range pages(t, s) {
		for _, w := range append(own[i], "Invented Meadow | ", fmt.Sprintf("page %d of 3", i+1), paper.Caution) {
			if !strings.Contains(page, flat(w)) {
				t.Errorf("%q does not stand on page %d:\n%s", w, i+1, page)
			}
		}
	}
}

func flat(text string) string { return strings.Join(strings.Fields(text), " ") }

// pages are what poppler reads, a page each. As laid out, lines that are drawn
// over one another are mixed up.
func pages(t *testing.T, s paper.Sheet) []string {
	t.Helper()
	tool, err := exec.LookPath("pdftotext")
	if err != nil {
		t.Skip("no pdftotext")
	}
	cmd := exec.CommandContext(t.Context(), tool, "-layout", "-", "-")
	cmd.Stdin = bytes.NewReader(pdf(t, s))
	out, err := cmd.Output()
	if err != nil {
		t.Fatal(err)
	}
	all := strings.Split(strings.TrimSuffix(string(out), "\f"), "\f")
	if len(all) != 3 {
		t.Fatalf("%d pages are read", len(all))
	}
	for i := range all {
		all[i] = flat(all[i])
	}
	return all
}

type full struct{}

var errFull = errors.New("disk full")

func (full) Write([]byte) (int, error) { return 0, errFull }

func TestAFullDiskIsSaid(t *testing.T) {
	if err := Write(full{}, sheetOf(1), at); !errors.Is(err, errFull) {
		t.Errorf("got %v", err)
	}
}
