package tui

import (
	"strings"
	"testing"
	"time"

	"github.com/charmbracelet/bubbletea"

	"coolhold/fusion"
	"coolhold/logbook"
	"coolhold/logbook/acts"
	"coolhold/tui/shell"
)

// elsewhere is a log under a path of its own, as one on a stick has.
type elsewhere struct{ *memLog }

func (elsewhere) Path() string { return "stick" }

// onStick lets a driver open a log that was handed over, by its file.
func onStick(t *testing.T, files *[]string) func(*shell.Outside) {
	return func(o *shell.Outside) {
		o.OpenLog = func(file string) (shell.Log, error) {
			*files = append(*files, file)
			if strings.Trim(file, "'") != "/stick/monday.coolhold" { // the program takes quotes off
				return nil, errDisk
			}
			return elsewhere{exampleAt(t, monday)}, nil
		}
	}
}

func TestALogThatWasHandedOverIsOpened(t *testing.T) {
	for _, size := range [][2]int{{60, 20}, {80, 24}} {
		var files []string
		d := driveWith(t, nil, monday, size[0], size[1], onStick(t, &files))
		d.sees("4  open a log that was handed over")
		d.keys("4", "enter")
		d.sees("type it first")
		d.text("/stick/other")
		d.sees("no space left on device", "/stick/other") // what was typed is still there
		d.keys("backspace")
		d.lacks("no space left")
		d.keys("esc", "4")
		d.scan("'/stick/monday.coolhold'") // pasted, or dropped on the window
		d.sees("Larkrise cottage", "2B hold")
		if strings.Join(files, " ") != "/stick/other '/stick/monday.coolhold'" {
			t.Errorf("opened %q", files)
		}
	}
}

func TestAHandedOverLogFromTheSites(t *testing.T) {
	var files []string
	own := newMemLog()
	d := driveWith(t, own, monday, 80, 24, onStick(t, &files))
	d.keys("4")
	d.text("/stick/monday.coolhold")
	d.sees("2B hold")
	d.keys("8", "1")
	d.sees("0  open a log that was handed over", "Larkrise cottage")
	d.keys("0")
	d.text("/stick/other")
	d.sees("no space left on device", "/stick/other")
	d.keys("esc")
	d.sees("Sites in this log")
	d = drive(t, exampleAt(t, monday), monday, 80, 24)
	d.keys("8", "1", "0")
	d.sees("opening a log is not available here")
}

func TestTheRegisterByOneKey(t *testing.T) {
	log := exampleAt(t, monday)
	var of []string
	d := driveWith(t, log, monday, 60, 20, func(o *shell.Outside) {
		o.Documents = func() string { return "/home/ada/Documents" }
		o.WriteRegister = func(l shell.Log, site string) (string, error) {
			of = append(of, l.Path()+" "+site)
			if len(of) > 1 {
				return "", errDisk
			}
			return "register: /home/ada/Documents/larkrise.pdf\x1b[2J and .xlsx", nil
		}
	})
	d.sees("0 register")
	d.keys("0")
	d.sees("A PDF, an HTML file for a phone and a workbook, into", "/home/ada/Documents. What is there already")
	d.keys("2")
	if len(of) > 0 {
		t.Error("written though nobody said so")
	}
	d.keys("0", "1")
	d.sees("/home/ada/Documents/larkrise.pdf·[2J", "joints open.")
	d.lacks("writing the register …")
	d.keys("down")
	d.sees("/home/ada/Documents/larkrise.pdf")
	d.keys("6")
	d.sees("Plan ahead")
	d.lacks("larkrise.pdf") // it is the board's, and in nobody's way
	d.keys("esc")
	d.sees("joints open.")
	if d.quit {
		t.Error("the program ended with the register")
	}
	d.keys("0", "1")
	d.sees("no space left on device")
	want := "memory " + log.Memory.Book.Sites()[0].ID
	if len(of) != 2 || of[0] != want {
		t.Errorf("written of %q, want %q", of, want)
	}
	d = drive(t, exampleAt(t, monday), monday, 80, 24)
	d.keys("0")
	d.sees("writing the register is not available here")
}

// Something that waits to be stored belongs to the log it was said in.
func TestNoOtherLogWhileSomethingIsNotStored(t *testing.T) {
	var files []string
	d := driveWith(t, exampleAt(t, monday), monday, 80, 24, onStick(t, &files))
	d.keys("6", "5")
	d.text("E9")
	d.choose("pipe A/FG")
	d.keys("enter")
	d.sees("pipe 63 mm SDR 11", "2  elbow 63")
	d.keys("2")
	d.text("at the wall")
	for _, r := range "one more" {
		d.keys(string(r))
	}
	*d.mono += time.Second
	m, storing := d.m.Update(tea.KeyMsg{Type: tea.KeyEnter})
	d.m = m
	d.sees("storing 1")
	d.keys("8", "1", "0")
	d.text("/stick/monday.coolhold")
	d.sees("not opened: something is not stored yet")
	d.run(storing)
	d.lacks("storing 1")
	if len(files) != 0 {
		t.Fatalf("opened %q", files)
	}
	d.keys("0")
	d.text("/stick/monday.coolhold")
	d.lacks("E9")
	if len(files) != 1 {
		t.Errorf("opened %q", files)
	}
}

// midFusion is the example with a fusion at E1 that began 30 s ago.
func midFusion(t *testing.T) (*memLog, fusion.Stamp) {
	t.Helper()
	log := exampleAt(t, monday)
	d := drive(t, log, monday, 80, 24)
	d.toStart("89")
	d.keys("1")
	d.pass(30 * time.Second)
	return log, *d.now
}

// opens a log that was handed over, from the first screen of a machine.
func opens(t *testing.T, log *memLog, at fusion.Stamp) *driver {
	t.Helper()
	d := driveWith(t, nil, at, 80, 24, func(o *shell.Outside) {
		o.OpenLog = func(string) (shell.Log, error) { return elsewhere{log}, nil }
	})
	d.keys("4")
	d.text("/stick/monday.coolhold")
	return d
}

func (l *memLog) kinds(from int) string {
	var kinds []string
	for _, e := range l.Entries[from:] {
		kinds = append(kinds, string(e.Kind))
	}
	return strings.Join(kinds, ", ")
}

// A log of another machine is read without a trace: no entry, no heartbeat. The
// screens ask all the same what somebody must say who did not watch, and what
// was found is recorded before what is said.
func TestAHandedOverLogIsReadWithoutATrace(t *testing.T) {
	log, now := midFusion(t)
	before, beats := len(log.Entries), len(log.Beats)
	now.BootID, now.Boot = "boot-of-another", 5*time.Second
	d := opens(t, log, now)
	d.pass(time.Second)
	d.sees("E1 fusing")
	d.now.Wall = d.now.Wall.Add(time.Minute) // its clock is set
	d.pass(2 * time.Minute)
	d.sees("the wall clock moved", "E1 fusion end not watched")
	d.keys("esc", "9", "esc", "right", "enter")
	d.sees("The program was not running all through this fusion", "nobody saw")
	if got := log.kinds(before); got != "" || len(log.Beats) != beats {
		t.Fatalf("only read, and written: %s; %d heartbeats", got, len(log.Beats)-beats)
	}
	log.Fail = errDisk
	d.keys("4")
	d.sees("NOT STORED: what was found at the opening", "The program was not running all through this fusion")
	log.Fail = nil
	d.keys("4")
	if got := log.kinds(before); got != "clock doubted, walk resumed, fusion ended" {
		t.Errorf("recorded: %s", got)
	}
	d.pass(time.Minute)
	if len(log.Beats) == beats {
		t.Error("no heartbeat once it is recorded in")
	}
	d.keys("esc", "esc")
	n := len(log.Entries)
	d.keys("2", "1", "1")
	if got := log.kinds(n); strings.Contains(got, "resumed") {
		t.Errorf("found once more: %s", got)
	}
}

// A log whose newest entry was made since this machine started is its own: who
// watched it did so here, and no longer does.
func TestALogOfThisMachineIsMarkedAtOnce(t *testing.T) {
	log, now := midFusion(t)
	before := len(log.Entries)
	d := opens(t, log, now)
	if got := log.kinds(before); got != "walk resumed" {
		t.Errorf("recorded: %q", got)
	}
	d.pass(2 * time.Minute)
	d.sees("E1 FUSION ENDED") // this program saw it
	d.lacks("not watched")

	log, now = midFusion(t)
	now = now.Add(2 * time.Minute)
	d = opens(t, log, now)
	d.sees("E1 fusion end not watched")

	log, now = midFusion(t)
	log.Fail = errDisk // read only, as a stick can be
	d = opens(t, log, now.Add(2*time.Minute))
	d.sees("E1 fusion end not watched")
	d.lacks("no space left")
}

// Two things said one right after the other: what was found goes before both,
// once.
func TestWhatWasFoundIsRecordedOnce(t *testing.T) {
	log, now := midFusion(t)
	before := len(log.Entries)
	now.BootID, now.Boot = "boot-of-another", 5*time.Second
	d := opens(t, log, now)
	d.keys("2", "1")
	*d.mono += time.Second
	m, storing := d.m.Update(tea.KeyMsg{Type: tea.KeyEnter}) // no shelter, as before
	d.m = m
	d.sees("storing 2")
	d.keys("2", "2", "1")
	d.sees("storing 3")
	d.run(storing)
	if got := log.kinds(before); got != "clock doubted, walk resumed, weather changed, weather changed" {
		t.Errorf("recorded: %s", got)
	}
}

// The digit before a site's name opens it.
func TestSitesByTheirDigits(t *testing.T) {
	log := exampleAt(t, monday)
	second := logbook.Draft{ID: "second", At: monday, By: "Hedda Roan", Site: "fell-end", Body: logbook.SiteOpened{Name: "Fell End (invented)", Address: "the far lane"}}
	if _, err := log.Append(t.Context(), func(logbook.Reader) ([]logbook.Draft, error) { return []logbook.Draft{second}, nil }); err != nil {
		t.Fatal(err)
	}
	d := drive(t, log, monday, 80, 24)
	for digit, name := range map[string]string{"1": "Larkrise cottage", "2": "Fell End (invented)"} {
		d.keys("8", "1")
		d.sees("1  Larkrise cottage", "2  Fell End (invented), the far lane")
		d.keys(digit)
		if top, _, _ := strings.Cut(d.frame(), "\n"); !strings.Contains(top, name) {
			t.Errorf("%s opens\n%s", digit, d.frame())
		}
	}
}

// What the program has to say at its first screen stands apart from what it is.
func TestTheNoticeOfTheFirstScreen(t *testing.T) {
	view := welcome{notice: "the log was moved away"}.View(shell.Env{W: 80, H: 24, Style: shell.NewStyle("plain")})
	if !strings.Contains(view, "\n the log was moved away\n\n It walks you") {
		t.Errorf("the first screen:\n%s", view)
	}
}

// Who was on a shift that is closed says nothing any more, and who typed a sheet was at
// no walk. What nobody says by itself asks for a name.
func TestNobodySpeaksForAnother(t *testing.T) {
	log := exampleAt(t, monday)
	site := log.Memory.Book.Sites()[0]
	tam := acts.Head{ID: "sheet", At: monday, By: "Tam Velding", Site: site.ID, Shift: site.Shift}
	start := monday.Local().Add(-30 * time.Minute)
	if _, err := log.Append(t.Context(), acts.EnterLater(tam, acts.LateWeld{
		Joint: "3B", Operator: "Tam Velding", Unit: "CU-208", Started: start, Outcome: logbook.Completed, Why: "typed", Paper: &logbook.PaperRow{File: "van.csv", Line: 2, Key: "k"},
	})); err != nil {
		t.Fatal(err)
	}
	d := drive(t, log, monday, 80, 24)
	d.sees("shift 2026-03-09  Ona Brill")

	ona := acts.Head{ID: "close", At: monday, By: "Ona Brill", Site: site.ID, Shift: site.Shift}
	if _, err := log.Append(t.Context(), acts.CloseShift(ona)); err != nil {
		t.Fatal(err)
	}
	d = drive(t, log, monday, 80, 24)
	d.lacks("Ona Brill")
	d.choose("4B ")
	d.keys("enter")
	(&meadow{driver: d}).picks("it is not being built")
	d.sees("your name")
	d.text("Hedda Roan")
	d.text("9")                                                               // none of the usual ones has that digit
	d.sees("needs a reason", "4B is not being built", "Hedda Roan", "now: 9") // the form stays, with what was given
	d.text("the loop was dropped")
	d.lacks("needs a reason")
	d.sees("4B", "not being built")
}
