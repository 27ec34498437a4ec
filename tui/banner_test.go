package tui

import (
	"errors"
	"strings"
	"testing"
)

// A long error is read to its end, which says what to do; one that is longer
// still is cut with a mark, and the screen below keeps its place.
func TestALongErrorIsWrapped(t *testing.T) {
	for _, size := range [][2]int{{60, 20}, {80, 24}} {
		log := exampleAt(t, monday)
		d := drive(t, log, monday, size[0], size[1])
		d.keys("1", "enter")
		fails := func(text string) {
			log.Fail = errors.New(text)
			d.keys("enter")
			d.sees("fitting, as printed on the bag")
		}
		fails("the file of the log has no room left\x1b[2J; give the disk more and END")
		if flat := strings.Join(strings.Fields(d.frame()), " "); !strings.Contains(flat, "room left·[2J; give the disk more and END (try again; Esc hides this)") {
			t.Errorf("at %v:\n%s", size, d.frame())
		}
		d.keys("esc")
		d.lacks("END")
		fails(strings.Repeat("a long story ", 30) + "END")
		d.sees("…")
		d.lacks("END")
		rows := 0
		for _, l := range strings.Split(d.frame(), "\n") {
			if strings.Contains(l, "long story") {
				rows++
			}
		}
		if rows != 3 {
			t.Errorf("at %v it takes %d rows:\n%s", size, rows, d.frame())
		}
	}
}

// Esc takes away what stuck and does nothing else; what does not stick is in
// nobody's way.
func TestEscTakesAwayWhatStuckFirst(t *testing.T) {
	log := exampleAt(t, monday)
	d := drive(t, log, monday, 80, 24)
	d.keys("8", "1", "0")
	d.sees("opening a log is not available here", "Sites in this log")
	d.keys("esc")
	d.lacks("Sites in this log")
	d.keys("esc", "1", "enter")
	log.Fail = errDisk
	d.keys("enter")
	d.sees("NOT STORED")
	d.keys("up")
	d.sees("NOT STORED") // another key leaves it
	d.keys("esc")
	d.lacks("NOT STORED")
	d.sees("fitting, as printed on the bag")
	d.keys("esc")
	d.lacks("fitting, as printed on the bag")
}
