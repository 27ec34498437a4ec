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

// Two joints a page, A4 across, and the same bytes each time.
func TestWrite(t *testing.T) {
	for joints, pages := range map[int]int{0: 1, 1: 1, 2: 1, 3: 2, 11: 6} {
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

// What is on the page stays on the page.
func TestBoxesFit(t *testing.T) {
	rows := float64(len(paper.Boxes()))
	if end := margin + headHigh + perPage*(jointHigh+rows*boxHigh+3) - 3; end > high-margin {
		t.Errorf("the last box ends at %.1f of %.0f mm", end, high)
	}
	for _, row := range paper.Boxes() {
		all, least := 0.0, 99.0
		for _, c := range row {
			all += weight(c)
			least = min(least, weight(c))
		}
		if w := (wide - 2*margin) * least / all; w < 17 {
			t.Errorf("a box beside %s is %.1f mm wide: too narrow for a cold hand", row[0].Name, w)
		}
	}
	for name := range weights {
		found := false
		for _, n := range paper.Names() {
			found = found || n == name
		}
		if !found {
			t.Errorf("%q has a weight and is no column", name)
		}
	}
}

// What each page must say, as other software reads it.
func TestWhatStandsOnEveryPage(t *testing.T) {
	s := sheetOf(3)
	s.Blocks[2].First = "dig it up"
	for i, page := range pages(t, s) {
		want := []string{
			"Invented Meadow | joints to weld, 2026-03-09", fmt.Sprintf("page %d of 2", i+1), paper.Caution, paper.How,
			fmt.Sprintf("J%d", 2*i+1), "planned: coupler 40 | far away in the trench", s.Blocks[0].Times(), s.Blocks[0].Supply(),
		}
		if i == 1 {
			want = append(want, "FIRST: dig it up")
		}
		for _, row := range paper.Boxes() {
			for _, c := range row {
				want = append(want, c.Name)
			}
		}
		for _, w := range want {
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
	if len(all) != 2 {
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
