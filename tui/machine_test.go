package tui

import (
	"strings"
	"testing"
	"time"

	"coolhold/fusion"
	"coolhold/logbook"
	"coolhold/logbook/acts"
	"coolhold/logbook/audit"
	"coolhold/logbook/crew"
)

// another is a stamp of another machine, so long after one, which is on for days.
func another(at fusion.Stamp, later time.Duration) fusion.Stamp {
	at = at.Add(later)
	at.Machine, at.BootID, at.Boot = "office", "boot-far", 50*time.Hour
	return at
}

// A log that is opened on another laptop shows its hold at full length, from when it
// was opened. Of what the wall clocks say nothing is offered: the ink is.
func TestAHoldIsStatedByTheInk(t *testing.T) {
	log := exampleAt(t, monday)
	now := another(monday, time.Minute)
	now.Wall = now.Wall.Add(10 * time.Minute) // its clock goes fast
	d := opens(t, log, now)
	n := len(log.Entries)
	d.sees("2B hold 6:00")
	d.pass(30 * time.Second)
	d.sees("2B hold 5:30")
	d.keys("right")
	d.sees("other machine")
	d.keys("enter")
	d.sees("the log is on another machine", "2  "+heldBroken, "3  "+heldRead)
	d.lacks(heldGap)
	d.keys("3")
	d.sees("what tells it", readInk, readWatch)
	d.keys("1")
	d.text("2 pm")
	d.sees(`"2 pm" is no time; write 14:49, or 14:49:30`)
	d.keys("esc", "enter", "3", "1")
	d.text("09:04")
	d.sees("what the watch shows now")
	d.text("09:02:30")
	d.text("Hedda Roan")
	d.text("read on the pipe")
	if got := log.kinds(n); got != "clock doubted, hold stated" {
		t.Errorf("recorded: %s", got)
	}
	d.sees("2B hold 1:30", "stated")
	d.keys("enter")
	d.sees("hold counts 270 s as run: the ink on the pipe says cool until 09:04, the watch")
	d.keys("2")
	d.pass(91 * time.Second)
	d.sees("2B hold over")
	if f := foundOn(log, *d.now, audit.HoldByWord); !strings.Contains(f, "as Hedda Roan states") {
		t.Errorf("found: %q", f)
	}
}

// foundOn is what a rule says of the site, "" where it is silent.
func foundOn(log *memLog, now fusion.Stamp, rule string) string {
	for _, f := range audit.Run(log.Memory.Book, log.Memory.Book.Sites()[0].ID, now, fusion.Stamp{}).Findings {
		if f.Rule == rule {
			return f.Says
		}
	}
	return ""
}

// By a watch the same, and across a restart of this laptop beside the wall clock.
func TestAHoldIsStatedByAWatch(t *testing.T) {
	log := exampleAt(t, monday)
	after := monday.Add(time.Hour)
	after.Boot, after.BootID = 30*time.Second, "boot-2"
	d := drive(t, log, after, 80, 24)
	d.keys("right", "enter")
	d.sees("3  "+heldGap, "4  "+heldRead)
	d.keys("4", "2")
	d.text("09:50")
	d.text("09:46")
	d.text("Hedda Roan")
	d.text("saw it begin")
	d.sees("09:50 is still to come by a watch that shows 09:46")
	d.keys("enter", "4", "2")
	d.text("09:43:00")
	d.text("09:46:00")
	d.text("Hedda Roan")
	d.text("saw it begin")
	d.sees("2B hold 3:00", "stated")
}

// A hold that another machine records in the log that is shown runs here from when it
// is seen, is recorded once, and takes nothing from holds that began here.
func TestAHoldThatComesIntoAShownLog(t *testing.T) {
	log := exampleAt(t, monday)
	d := drive(t, log, monday, 80, 24)
	d.pass(time.Second)
	before := d.strip("2B")
	site := log.Memory.Book.Sites()[0]
	far := acts.Head{ID: "far", At: another(*d.now, 0), By: "Tam Velding", Site: site.ID, Shift: site.Shift}
	id := runningHold(t, log)
	if _, err := log.Append(t.Context(), crew.Raw(far, "2B", id, logbook.ClockDoubted{Why: string(fusion.Elsewhere)})); err != nil {
		t.Fatal(err)
	}
	n := len(log.Entries)
	d.ticks(11)
	if got := d.strip("2B"); got != before {
		t.Errorf("the first machine shows %q, before %q", got, before)
	}
	if got := log.kinds(n); got != "" {
		t.Errorf("recorded: %s", got)
	}
	far.ID, far.At = "far hold", another(*d.now, 0)
	if _, err := log.Append(t.Context(), heldThere(far)); err != nil {
		t.Fatal(err)
	}
	n = len(log.Entries)
	d.ticks(11)
	d.sees("FG hold 6:00")
	if got := log.kinds(n); got != "clock doubted" {
		t.Errorf("recorded: %s", got)
	}
	d.pass(time.Minute)
	d.ticks(30)
	d.sees("FG hold 5:00")
	if got := log.kinds(n); got != "clock doubted" {
		t.Errorf("recorded again: %s", got)
	}
}

// heldThere is a weld in the joint FG whose fusion has ended just now, as far as a log
// must hold it. The cooling time is common practice, no source.
func heldThere(h acts.Head) acts.Act {
	return func(logbook.Reader) (drafts []logbook.Draft, err error) {
		for _, b := range []logbook.Body{
			logbook.WeldBegun{Operator: h.By}, logbook.SettingsKeyed{SecondsShown: 40, CoolingMin: 6},
			logbook.FusionStarted{AgoS: 40}, logbook.FusionEnded{Outcome: logbook.Completed},
		} {
			drafts = append(drafts, acts.Drafted(h, "FG", "KM-0099", b)...)
		}
		return drafts, nil
	}
}

// A log that cannot be written to is told so once, not at each tick.
func TestAHoldThatCannotBeRecordedHere(t *testing.T) {
	log := exampleAt(t, monday)
	d := drive(t, log, monday, 80, 24)
	site := log.Memory.Book.Sites()[0]
	if _, err := log.Append(t.Context(), heldThere(acts.Head{ID: "far hold", At: another(*d.now, 0), By: "Tam Velding", Site: site.ID, Shift: site.Shift})); err != nil {
		t.Fatal(err)
	}
	log.Fail = errDisk
	n := len(log.Entries)
	d.ticks(11)
	d.sees("FG hold 6:00", "NOT STORED")
	d.keys("esc")
	d.ticks(30)
	d.lacks("NOT STORED")
	if len(log.Entries) != n {
		t.Errorf("recorded: %s", log.kinds(n))
	}
}

// runningHold is the weld of 2B.
func runningHold(t *testing.T, log *memLog) string {
	t.Helper()
	j, ok := log.Memory.Book.Joint(log.Memory.Book.Sites()[0].ID, "2B")
	if !ok || j.Stands == "" {
		t.Fatalf("no weld in %+v", j)
	}
	return j.Stands
}

// ticks lets the program tick without a second passing.
func (d *driver) ticks(n int) {
	d.t.Helper()
	for range n {
		d.pass(0)
	}
}

// strip is what the strip says of a joint.
func (d *driver) strip(joint string) string {
	d.t.Helper()
	_, rest, found := strings.Cut(d.frame(), joint+" hold ")
	if !found {
		d.t.Fatalf("no hold of %s:\n%s", joint, d.frame())
	}
	return strings.Fields(rest)[0]
}

// A wall clock that is set a day on takes "not before" away from no board and no page.
func TestAClockSetOnLeavesThePressureWait(t *testing.T) {
	log := exampleAt(t, monday)
	site := log.Memory.Book.Sites()[0]
	fg, _ := log.Memory.Book.Joint(site.ID, "FG") // its weld failed: before it is cut out no test is forecast
	if _, err := log.Append(t.Context(), acts.Cut(acts.Head{ID: "cut", At: monday, By: "Ona Brill", Site: site.ID, Shift: site.Shift}, fg.Stands, "indicator flat")); err != nil {
		t.Fatal(err)
	}
	d := drive(t, log, monday, 120, 40)
	told := d.line("Pressure test:")
	if !strings.Contains(told, "not before 10:04 and not before ") {
		t.Fatalf("told %q", told)
	}
	d.now.Wall = d.now.Wall.Add(24 * time.Hour)
	d.ticks(2)
	if got := d.line("Pressure test:"); got != told {
		t.Errorf("the board says %q, before %q", got, told)
	}
}

// line is the line of the frame that holds a text.
func (d *driver) line(text string) string {
	d.t.Helper()
	for l := range strings.Lines(d.frame()) {
		if strings.Contains(l, text) {
			return strings.TrimSpace(l)
		}
	}
	d.t.Fatalf("no %q:\n%s", text, d.frame())
	return ""
}
