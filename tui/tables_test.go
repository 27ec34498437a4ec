package tui

import (
	"fmt"
	"os"
	"strings"
	"testing"

	"coolhold/logbook"
	"coolhold/logbook/acts"
)

func fileOf(t testing.TB, name string) acts.File {
	t.Helper()
	text, err := os.ReadFile("../testdata/" + name)
	if err != nil {
		t.Fatal(err)
	}
	return acts.File{Name: name, Text: string(text)}
}

// A table is compared with its print only once all of it was on the screen.
func TestATableIsReadBackToItsEnd(t *testing.T) {
	d := drive(t, hillfoot(t), monday, 60, 20)
	d.keys("5")
	d.sees("NOT read back", "more: ↓")
	d.keys("enter")
	d.sees("first read to the end of the table")
	d.lacks("every figure is as printed")
	for range 80 {
		d.keys("down")
	}
	d.lacks("more: ↓")
	d.keys("up")
	d.sees("2 more: ↓") // it stops at the end and does not count on
	d.keys("pgup", "pgdown", "pgdown", "enter")
	d.sees("every figure is as printed")
	d.keys("1")
	d.text("Ada")
	d.sees("(read back by")
}

// The figures of a table stand under their bands.
func TestFiguresStandUnderTheirBands(t *testing.T) {
	site := hillfoot(t).Memory.Book.Sites()[0]
	row := logbook.ShelfOf(site).Rows()[0]
	lines := printed(row, 200)
	for i, b := range row.Table.Bands {
		at := len([]rune(lines[1][:strings.Index(lines[1], strings.TrimSuffix(b.String(), " °C"))]))
		for n, f := range row.Table.Fittings[:1] {
			figure := fmt.Sprintf("%d s", f.Seconds[i])
			if rest := []rune(lines[2+n])[at:]; !strings.HasPrefix(string(rest), figure) {
				t.Errorf("under %s stands %q, want %q", b, string(rest), figure)
			}
		}
	}
}
