package register_test

import (
	"io"
	"testing"

	"coolhold/logbook/register"
	"coolhold/logbook/register/xlsx"
)

// A sheet that was written as a stream is not read back: it was, and that took most of the
// time. Counted are the allocations a row: 25 a cell
// where it is, 5 where not, some more with the race detector.
func TestNoSheetIsReadBack(t *testing.T) {
	rep := register.Sample(t)
	allocated := func(rep register.Report) float64 {
		return testing.AllocsPerRun(1, func() {
			if err := xlsx.Write(io.Discard, rep, nil); err != nil {
				t.Fatal(err)
			}
		})
	}
	few := allocated(rep)
	rows := rep.Rows
	for range 20 {
		rep.Rows = append(rep.Rows, rows...)
	}
	a := (allocated(rep) - few) / float64(len(rep.Rows)-len(rows))
	if t.Logf("%.0f allocations a row", a); a > 12*float64(len(register.Columns)) {
		t.Errorf("%.0f allocations a row of %d cells", a, len(register.Columns))
	}
}

// The rules are run on what stood before each correction once for all lists of the workbook, and
// for that of a document as well.
func TestCorrectionsAreJudgedOnce(t *testing.T) {
	rep := register.Mended(t)
	first := rep.Removals()
	if len(first) == 0 {
		t.Fatal("nothing was corrected")
	}
	if n := testing.AllocsPerRun(5, func() { rep.Removals() }); n != 0 {
		t.Errorf("asked again it makes %.0f allocations", n)
	}
}

func BenchmarkWorkbook(b *testing.B) {
	rep := register.Sample(b)
	rows := rep.Rows
	for range 120 {
		rep.Rows = append(rep.Rows, rows...)
	}
	for b.Loop() {
		if err := xlsx.Write(io.Discard, rep, nil); err != nil {
			b.Fatal(err)
		}
	}
}
