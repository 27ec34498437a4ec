package a4

import (
	"slices"
	"testing"

	"coolhold/logbook/paper"
)

// Each column of the file has its box on paper, and no box one that is not there. What
// another look is goes by words on the page of the day.
func TestEachColumnHasABox(t *testing.T) {
	var on []string
	for _, rows := range [][][]slot{sides, day} {
		for _, row := range rows {
			for _, s := range row {
				on = append(on, s.columns...)
			}
		}
	}
	for _, name := range paper.Names() {
		if !slices.Contains(on, name) && name != "look_again" && name != "felt" {
			t.Errorf("%s has no box", name)
		}
	}
	for _, name := range on {
		if !slices.Contains(paper.Names(), name) {
			t.Errorf("%s is no column", name)
		}
	}
}

// What is on a page stays on it, and no box is too narrow for a glove.
func TestBoxesFit(t *testing.T) {
	if end := margin + headHigh + capHigh + perPage*lineHigh; end > high-5 {
		t.Errorf("the last line ends at %.1f of %.0f mm", end, high)
	}
	for _, rows := range [][][]slot{sides, day} {
		for _, row := range rows {
			all := 0.0
			for _, s := range row {
				if all += s.wide; s.wide < 8.5 {
					t.Errorf("%s is %.1f mm wide", s.caption, s.wide)
				}
			}
			if all > across+0.01 || all < across-1 {
				t.Errorf("the boxes from %q on are %.1f mm wide, the page %.1f", row[0].caption, all, across)
			}
		}
	}
}
