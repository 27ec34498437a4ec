package tui

import (
	"strings"
	"testing"
	"time"

	"coolhold/logbook/acts"
)

// first is what the board says first.
func (d *driver) first() string {
	d.t.Helper()
	lines := strings.Split(d.frame(), "\n")
	for i, l := range lines {
		if strings.HasPrefix(l, "───") {
			return strings.TrimSpace(lines[i+1]) + " " + strings.TrimSpace(lines[i+2])
		}
	}
	d.t.Fatalf("no rule under the head:\n%s", d.frame())
	return ""
}

func (d *driver) saysFirst(begin string) {
	d.t.Helper()
	if got := d.first(); !strings.HasPrefix(got, begin) {
		d.t.Fatalf("the board says first %q, want %q\n%s", got, begin, d.frame())
	}
}

// What waits for an answer is said before what is only to be begun: an ended fusion,
// then a hold that is over though it is older, then a fusion, then a table.
func TestTheBoardSaysTheMostUrgentFirst(t *testing.T) {
	log := exampleAt(t, monday)
	d := drive(t, log, monday, 80, 24)
	d.saysFirst("FG: KM-0008 failed.")
	d.pass(3*time.Minute + 40*time.Second)
	d.toStart("89")
	d.keys("1", "esc")
	d.saysFirst("E1 is fusing, 1:29 left: nothing moves. FG: KM-0008 failed.")
	d.pass(40 * time.Second)
	d.sees("2B hold over")
	d.saysFirst("2B: its hold is over.")
	c := ona(t)
	c.H.Site = log.Memory.Book.Sites()[0].ID
	if _, err := log.Append(t.Context(), acts.TakeTable(c.H, fileOf(t, "tables/valley.toml"))); err != nil {
		t.Fatal(err)
	}
	for range 10 {
		d.pass(0) // the log is read anew
	}
	d.saysFirst("2B: its hold is over.")
	d.pass(49 * time.Second)
	d.saysFirst("E1: say how its fusion ended: →")
	if strip := strings.Split(d.frame(), "\n")[1]; !strings.HasPrefix(strip, " E1 FUSION ENDED: → · 2B hold over") {
		t.Errorf("the strip is %q", strip)
	}
	d.keys("right", "enter", "1", "esc")
	d.saysFirst("2B: its hold is over.")
	d.keys("right", "1", "0", "1", "esc")
	d.saysFirst("A fusion table is not read back")
}

// A sentence that is longer than the window goes on below, and its end says what to do.
func TestTheFirstSentenceIsWhole(t *testing.T) {
	d := drive(t, exampleAt(t, monday), monday, 60, 20)
	if got, want := d.first(), "FG: KM-0008 failed. When it is cold, cut it out and say so: choose it, Enter."; !strings.HasPrefix(got, want) {
		t.Errorf("the board says %q, want %q", got, want)
	}
}

// What was released has no time to cool until.
func TestAReleasedJointHasNoTimeToCoolUntil(t *testing.T) {
	d := drive(t, exampleAt(t, monday), monday, 80, 24)
	d.pass(4*time.Minute + time.Second)
	d.keys("right", "1", "0", "1", "esc")
	for range 12 {
		d.keys("up")
	}
	for !chosenIs(d.frame(), "2B") {
		d.keys("down")
	}
	d.keys("enter")
	d.sees("1  go to KM-0010: what to write on the pipe")
	d.keys("1")
	d.sees("Write on the pipe", "2B  KM-0010", "Its hold is over, and it is released")
	d.lacks("cool until")
	d.lacks("Leave the joint alone")
}

// Who closes the shift is told what failed and stands, and a fusion that nobody
// answered for is no hold.
func TestClosingAShiftNamesWhatIsLeftBehind(t *testing.T) {
	d := drive(t, exampleAt(t, monday), monday, 80, 24)
	d.toStart("89")
	d.keys("1")
	d.pass(90 * time.Second)
	d.keys("esc", "3", "9")
	d.sees("Close shift", "Its fusion is not answered for: E1.", "Not released: 1 hold (2B).", "Failed, and not cut out: FG KM-0008.")
}
