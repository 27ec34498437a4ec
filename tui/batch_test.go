package tui

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"coolhold/logbook"
	"coolhold/logbook/acts"
	"coolhold/logbook/crew"
)

// The log of a driver's program.
func (d *driver) lastOf(log *memLog, kind logbook.Kind) (found logbook.Entry) {
	for _, e := range log.Memory.Entries {
		if e.Kind == kind {
			found = e
		}
	}
	return found
}

// driveBatch is the worked example with two joints of its high row set down: 3B and 4B.
func driveBatch(t *testing.T, w, h int) (*driver, *memLog) {
	t.Helper()
	log := exampleAt(t, monday)
	d := drive(t, log, monday, w, h)
	d.keys("6", "6", "4")
	d.sees("Prepare joints", "0: begin with the 2 marked")
	d.keys("0")
	d.sees("▸ who welds")
	d.keys("enter")
	return d, log
}

// Each card is one key, of one joint; nothing is stored before it.
func TestACardOfABatch(t *testing.T) {
	d, log := driveBatch(t, 80, 24)
	before := len(log.Memory.Entries)
	d.sees("3B   coupler 40", "One key says all of this, of 3B alone:", "as last time", "then 1 more of the batch", "▸ number of the port this leg goes to")
	if len(log.Memory.Entries) != before {
		t.Fatalf("%d entries for a card that is only shown", len(log.Memory.Entries)-before)
	}
	d.text("2")
	d.sees("the plan says", "3B   coupler 40")
	port := portOf(t, log, "3B")
	d.text(port)
	d.sees("4B   coupler 40", "of 4B alone")
	d.text(portOf(t, log, "4B"))
	d.sees("Batch: 2 joints prepared", "scraped 0 min ago", "Enter: fuse 3B")
	kinds := map[logbook.Kind]int{}
	for _, e := range log.Memory.Entries[before:] {
		kinds[e.Kind]++
	}
	if kinds["weld begun"] != 2 || kinds["step answered"] != 4 || kinds["walk left"] != 2 || len(kinds) != 3 {
		t.Errorf("two cards stored %v", kinds)
	}
	d.keys("esc")
	d.sees("3B stands prepared, scraped 0 min ago; 1 more after it: key 1.")
	d.pass(3 * time.Minute)
	d.sees("3B stands prepared, scraped 3 min ago", "KM-0011  prepared    scraped 3 min")
}

func portOf(t *testing.T, log *memLog, label string) string {
	t.Helper()
	j, ok := log.Memory.Book.Joint(log.Memory.Book.Sites()[0].ID, label)
	if !ok || j.Port == 0 {
		t.Fatalf("joint %s has port %d", label, j.Port)
	}
	return fmt.Sprint(j.Port)
}

// bothDown has 3B and 4B set down.
func bothDown(t *testing.T, w, h int) (*driver, *memLog) {
	d, log := driveBatch(t, w, h)
	d.text(portOf(t, log, "3B"))
	d.text(portOf(t, log, "4B"))
	return d, log
}

// One after the other without a question of the preparation; the key that takes the next
// one confirms the reading that is shown with it.
func TestABatchIsFusedOneAfterTheOther(t *testing.T) {
	d, log := bothDown(t, 80, 24)
	d.pass(5 * time.Minute)
	d.sees("With the key: it is still 8.5 °C, read 9 min ago", "Scraped 5 min ago.")
	d.keys("enter")
	if b, _ := d.lastOf(log, "ambient read").Open().(logbook.AmbientRead); b.Taken == nil || b.How != logbook.Offered {
		t.Errorf("the reading is stored as %+v", b)
	}
	if b, _ := d.lastOf(log, "walk resumed").Open().(logbook.WalkResumed); !b.Ready || b.Since != nil {
		t.Errorf("it is stored as %+v", b)
	}
	d.lacks("8.5 °C, read")
	d.lacks("untouched")
}

// What touched one is asked of that one, with a key of its own.
func TestATouchedJointOfABatch(t *testing.T) {
	d, log := bothDown(t, 80, 24)
	d.keys("2") // 4B
	d.sees("4B   ", "1  fuse it next", "2  it was touched")
	d.keys("2")
	d.sees("since it was set down: it was touched, moved or", "▸ the joint after the break")
	d.keys("1", "up")
	d.sees("Batch: 2 joints prepared")
	d.lacks("to ask")
	d.keys("enter")
	d.lacks("after the break")
	if b, _ := d.lastOf(log, "walk resumed").Open().(logbook.WalkResumed); b.Since != nil {
		t.Errorf("of the other it is asked as well: %+v", b)
	}
}

// A start of the program asks of each joint what is true, once it is taken up.
func TestABatchAfterAStart(t *testing.T) {
	first, log := bothDown(t, 80, 24)
	d := drive(t, log, first.now.Add(2*time.Minute), 80, 24)
	d.sees("3B stands prepared, scraped 2 min ago; 1 more after it: key 1.")
	d.keys("1")
	d.sees("Batch: 2 joints prepared", "to ask", "Asked first: coolhold was not running all the time.")
	d.lacks("With the key")
	before := len(log.Memory.Entries)
	d.keys("enter")
	d.sees("▸ the joint after the break", "1  fitting on, clamped, dry, untouched")
	for _, e := range log.Memory.Entries[before:] {
		if e.Kind != (logbook.WalkResumed{}).Kind() {
			t.Errorf("the start stored %s: %s", e.Kind, e.Open().Line())
		}
	}
}

// The plan's longest time stops the walk, lets a current that is on be recorded, and is
// said beside the joint.
func TestScrapedTooLongAgoOnScreen(t *testing.T) {
	log := exampleAt(t, monday)
	site := log.Memory.Book.Sites()[0]
	opened := site.SiteOpened
	opened.ScrapedMin = 20 // invented
	c := ona(t)
	c.Memory, c.H.Site = log.Memory, site.ID
	c.Do(crew.Raw(c.H, "", "", opened))
	d := drive(t, log, monday, 80, 24)
	d.keys("6", "6", "4", "0", "enter")
	d.text(portOf(t, log, "3B"))
	d.text(portOf(t, log, "4B"))
	d.sees("Scraped 0 min ago; the plan allows 20.")
	d.pass(20*time.Minute + time.Second)
	d.sees("scraped 20 min: STOP", "Scraped 20 min ago: the plan allows 20. Scrape it again.")
	d.keys("enter")
	d.sees("STOPPED: scraped 20 min ago, and the plan allows 20 min until the current is", "1  scraped by hand once more", "2  cut back and prepared anew", "3  give this weld up")
	d.lacks("the current is on already") // what the unit shows is not recorded yet
	d.keys("1")
	d.lacks("STOPPED")
	d.sees("▸ ambient temperature")
}

// Every frame of a batch keeps its words in a small window and a large one.
func TestABatchInEveryWindow(t *testing.T) {
	for _, size := range [][2]int{{60, 20}, {80, 24}, {120, 40}, {200, 60}} {
		d, log := driveBatch(t, size[0], size[1])
		d.sees("3B   coupler 40")
		d.text(portOf(t, log, "3B"))
		d.text(portOf(t, log, "4B"))
		d.sees("Batch: 2 joints prepared", "scraped 0 min ago")
		d.keys("1", "esc", "enter", "esc")
		d.sees("in hand")
	}
}

// Enter goes on with the joint that is marked, and the mark stands on what is next: what is
// in hand before what stands prepared. The board says the same.
func TestEnterGoesOnWithWhatIsMarkedOfABatch(t *testing.T) {
	d, log := bothDown(t, 80, 24)
	d.sees("▸ 1  3B", "Enter: fuse 3B")
	d.keys("down")
	d.sees("▸ 2  4B", "Enter: fuse 4B", "Scraped 0 min ago.")
	d.keys("enter")
	if w, _ := log.Memory.Book.Weld(log.Memory.Book.Sites()[0].ID, d.lastOfWeld(log)); w.Joint != "4B" || w.Ready != nil {
		t.Fatalf("taken up: %s %+v", w.Joint, w.Ready)
	}
	d.keys("esc")
	d.sees("▸ 2  4B", "in hand", "Enter: go on with", "in 4B")
	d.keys("esc")
	d.sees("4B is in hand, 1 joint stands prepared: key 1.")
	d.keys("1")
	d.sees("3B", "▸ 2  4B", "in 4B")
}

// lastOfWeld is the weld of the newest entry.
func (d *driver) lastOfWeld(log *memLog) string {
	return log.Memory.Entries[len(log.Memory.Entries)-1].Weld
}

// A preparation of a batch that a start of the program broke off is one of the batch still:
// it is set down like the others.
func TestABrokenOffPreparationStaysInItsBatch(t *testing.T) {
	first, log := driveBatch(t, 80, 24)
	first.text(portOf(t, log, "3B")) // set down; the card of 4B is open, and nothing of it stored
	c := ona(t)
	c.Memory, c.H.Site = log.Memory, log.Memory.Book.Sites()[0].ID
	c.H.At = first.now.Add(time.Minute)
	c.H.Shift = log.Memory.Book.Sites()[0].Shifts[len(log.Memory.Book.Sites()[0].Shifts)-1]
	down, _ := c.Book.Weld(c.H.Site, log.Memory.Entries[len(log.Memory.Entries)-1].Weld)
	c.Do(acts.BeginWeld(c.H, "4B", down.Operator, down.Unit))
	d := drive(t, log, first.now.Add(2*time.Minute), 80, 24)
	d.keys("1")
	d.sees("▸ 2  4B", "in hand", "Enter: go on with")
	d.keys("enter")
	for range 12 {
		switch f := d.frame(); {
		case strings.Contains(f, "is prepared and clamped"):
		case strings.Contains(f, "port this leg goes to"):
			d.text(portOf(t, log, "4B"))
		case strings.Contains(f, "0  all done"):
			d.keys("0")
		case strings.Contains(f, "as last time"):
			d.keys("enter")
		default:
			d.keys("1")
		}
	}
	d.sees("4B is prepared and clamped", "1  set it down")
}
