package a4

import (
	"bytes"
	"errors"
	"fmt"
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

var page = regexp.MustCompile(`/Type /Page\b[^s]`)

// Two joints a page, A4 across, and the same bytes each time.
func TestWrite(t *testing.T) {
	for joints, pages := range map[int]int{0: 1, 1: 1, 2: 1, 3: 2, 11: 6} {
		out := pdf(t, sheetOf(joints))
		if !bytes.HasPrefix(out, []byte("%PDF-")) || len(page.FindAll(out, -1)) != pages {
			t.Errorf("%d joints are on %d pages, want %d", joints, len(page.FindAll(out, -1)), pages)
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

type full struct{}

var errFull = errors.New("disk full")

func (full) Write([]byte) (int, error) { return 0, errFull }

func TestAFullDiskIsSaid(t *testing.T) {
	if err := Write(full{}, sheetOf(1), at); !errors.Is(err, errFull) {
		t.Errorf("got %v", err)
	}
}
