package tui

import (
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/charmbracelet/bubbletea"
	"pgregory.net/rapid"

	"coolhold/logbook"
	"coolhold/logbook/acts"
	"coolhold/logbook/audit"
	"coolhold/tui/shell"
)

// toStart walks from the board to the start step of the next joint.
func (d *driver) toStart(seconds string) {
	d.t.Helper()
	d.keys("1")
	d.sees("who welds")
	d.keys("enter")
	d.sees("step 1 of 9: fitting")
	d.keys("enter", "enter", "1", "enter")
	if strings.Contains(d.frame(), "▸ position") {
		d.text("2 m N")
	}
	d.sees("step 2 of 9: preparation")
	d.keys("0", "1")
	d.sees("step 3 of 9: ambient")
	d.keys("space")
	if strings.Contains(d.frame(), "this bag prints") {
		d.keys("1")
	}
	d.sees("step 4 of 9: settings")
	d.sees("Key into the unit")
	d.keys("enter")
	d.text(seconds)
	d.keys("1") // 39.5 V
	d.sees("step 5 of 9: resistance")
	d.keys("space")
	d.sees("step 6 of 9: start")
}

func TestAWeldByKeys(t *testing.T) {
	log := exampleAt(t, monday)
	d := drive(t, log, monday, 80, 24)
	d.sees("Larkrise cottage", "2B hold", "FG: KM-0008 failed", "Outside the chambers")
	d.toStart("89")
	d.keys("1")
	d.sees("Fusing: 1:29 left", "E1 fusing 1:29")
	d.pass(89 * time.Second)
	d.sees("E1 FUSION ENDED", "FUSION TIME IS OVER")
	bells := d.bells
	d.pass(time.Second)
	if d.bells <= bells {
		t.Error("the bell stopped before anybody acknowledged")
	}
	d.keys("1")
	d.sees("The hold runs", "E1 hold 12:00")
	bells = d.bells
	d.pass(time.Second)
	if d.bells != bells {
		t.Error("the bell rings on after the answer")
	}
	d.text("89")
	d.sees("Look, do not touch")
	d.keys("0", "1")
	d.sees("Write on the pipe", "E1  KM-0011  9 Mar  OB  cool until 09:14")
	d.keys("enter")
	d.sees("E1 hold 11:59")
}

// The same weld in every size of window: each frame fits, after every message.
func TestAWeldInEveryWindow(t *testing.T) {
	for _, size := range [][2]int{{80, 24}, {120, 40}, {60, 20}, {200, 60}} {
		d := drive(t, exampleAt(t, monday), monday, size[0], size[1])
		d.toStart("89")
		d.keys("1")
		d.pass(89 * time.Second)
		d.keys("1")
		d.text("89")
		d.keys("0", "1")
		d.sees("Write on the pipe", "E1  KM-0011  9 Mar  OB  cool until 09:14")
		d.keys("esc")
		d.sees("E1 hold 12:00")
	}
}

func TestEnterAloneAnswersNoObservation(t *testing.T) {
	d := drive(t, exampleAt(t, monday), monday, 80, 24)
	d.toStart("89")
	d.keys("enter")
	d.sees("step 6 of 9: start", "press a digit")
	d.keys("1")
	d.pass(90 * time.Second)
	d.keys("enter", "enter")
	d.sees("how the fusion ended")
	d.keys("1", "enter")
	d.sees("seconds the unit says it ran", "nothing is taken for granted")
	d.text("89")
	d.keys("enter")
	d.sees("0 says that it is so")
	for _, line := range []string{"1", "2", "3", "4"} {
		d.keys(line, "enter")
		d.sees("press a digit")
		d.keys("1")
	}
	d.keys("0", "enter")
	d.sees("press a digit")
	d.keys("1")
	d.sees("Write on the pipe")
}

func TestADisplayUnlikeTheTableStops(t *testing.T) {
	log := exampleAt(t, monday)
	d := drive(t, log, monday, 80, 24)
	d.keys("1", "enter", "enter", "enter", "1")
	d.text("2 m N")
	d.keys("0", "1", "space", "1", "enter")
	d.lacks("89 s")
	d.text("98")
	d.keys("1")
	d.sees("STOPPED: the unit shows 98 s, the fitting's table says 89 s for 5…14 °C", "Do not start")
	stops := 0
	for _, e := range log.Entries {
		if e.Kind == (logbook.StepStopped{}).Kind() {
			stops++
		}
	}
	if stops != 1 {
		t.Errorf("%d stops are stored, want the one that was tried", stops)
	}
	d.text("89")
	d.keys("1")
	d.sees("step 5 of 9: resistance")
}

func TestAFailedSaveGoesBackToItsStep(t *testing.T) {
	log := exampleAt(t, monday)
	d := drive(t, log, monday, 80, 24)
	d.keys("1", "enter")
	log.Fail = errDisk
	d.keys("enter")
	d.sees("NOT STORED", "no space left on device", "fitting, as printed on the bag")
	log.Fail = nil
	d.keys("esc")
	d.lacks("NOT STORED")
	d.sees("fitting, as printed on the bag") // Esc was meant for what stuck
	d.keys("esc")
	d.lacks("fitting, as printed on the bag")
	d.keys("1")
	d.keys("enter")
	d.sees("batch of the fitting")
}

func TestAScanIsSwallowedAndSaid(t *testing.T) {
	log := exampleAt(t, monday)
	d := drive(t, log, monday, 80, 24)
	before := len(log.Entries)
	d.scan("132435465768798012345678")
	d.sees("scan ignored here: 1324… (24 characters)", "Enter open")
	if len(log.Entries) != before {
		t.Error("a scan on the board stored something")
	}
	d.keys("1", "enter")
	d.scan("132435465768798012345678")
	d.sees("132435465768798012345678  (kept as scanned)")
	w, _ := log.Memory.Book.Weld(log.Memory.Book.Sites()[0].ID, "KM-0011")
	if a := w.Answers[logbook.ItemCode]; a.V != "132435465768798012345678" || a.How != logbook.Scanned {
		t.Errorf("the code is kept as %+v", a)
	}
}

func TestHoldsOnEveryScreenAndReleased(t *testing.T) {
	log := exampleAt(t, monday)
	d := drive(t, log, monday, 80, 24)
	for _, key := range []string{"2", "3", "4", "5", "6", "8"} {
		d.keys(key)
		d.sees("2B hold")
		d.keys("esc")
	}
	d.keys("right")
	d.keys("enter")
	d.sees("Leave it alone", "it was moved or unclamped before")
	d.lacks("held to the end")
	d.keys("esc", "esc")
	bells := d.bells
	d.pass(4 * time.Minute)
	d.pass(time.Second)
	if d.bells != bells+1 {
		t.Errorf("%d bells at the end of a hold, want 1", d.bells-bells)
	}
	d.sees("2B hold over: release")
	d.keys("right", "1")
	d.keys("0", "1")
	d.sees("What runs and what waits", "Nothing")
	d.keys("esc")
	d.lacks("2B hold over")
}

func TestAClosedLidAndASetClock(t *testing.T) {
	log := exampleAt(t, monday)
	d := drive(t, log, monday, 80, 24)
	d.sees("2B hold 3:5")
	d.now.Wall = d.now.Wall.Add(-2 * time.Hour)
	d.pass(time.Minute)
	d.sees("2B hold 2:5", "the wall clock moved by -2h0m0s")
	d.now.Wall = d.now.Wall.Add(3 * time.Hour)
	d.pass(time.Minute)
	d.sees("2B hold 1:5")
}

func TestARestartOfTheMachineNeverShortensAHold(t *testing.T) {
	log := exampleAt(t, monday)
	d := drive(t, log, monday, 80, 24)
	d.pass(20 * time.Second)
	after := monday.Add(time.Hour)
	after.Boot, after.BootID = 30*time.Second, "boot-2"
	d = drive(t, log, after, 80, 24)
	d.sees("2B hold 3:0")
	d.keys("right")
	d.sees("restarted")
	d.keys("enter")
	d.sees("the machine was restarted while it ran", "accept the time of the wall clock")
	d.keys("3")
	d.text("Hedda Roan")
	d.text("laptop clock is set by radio")
	d.keys("esc")
	d.sees("2B hold over")
}

func TestFusionFoundOpenAfterARestart(t *testing.T) {
	log := exampleAt(t, monday)
	d := drive(t, log, monday, 80, 24)
	d.toStart("89")
	d.keys("1")
	d.pass(10 * time.Second)
	d = drive(t, log, d.now.Add(2*time.Minute), 80, 24)
	d.sees("E1 fusion end not watched")
	d.keys("right", "enter")
	d.sees("The program was not running", "nobody saw")
	d.keys("1")
	d.sees("E1 hold 12:00")
}

// Whatever keys come, at whatever size, the frame fits and nothing panics.
func TestAnyKeysAtAnySize(t *testing.T) {
	sizes := [][2]int{{80, 24}, {120, 40}, {60, 20}, {200, 60}, {30, 8}, {1, 1}}
	keys := []string{
		"enter", "esc", "up", "down", "left", "right", "pgdown", "backspace",
		"0", "1", "2", "3", "4", "5", "6", "7", "8", "9", "a", "é", ".",
	}
	rapid.Check(t, func(rt *rapid.T) {
		size := rapid.SampledFrom(sizes).Draw(rt, "size")
		d := drive(t, exampleAt(t, monday), monday, size[0], size[1])
		for range rapid.IntRange(1, 25).Draw(rt, "keys") {
			if d.quit {
				return
			}
			switch k := rapid.SampledFrom(append(keys, "tick", "scan", "resize")).Draw(rt, "key"); k {
			case "tick":
				d.pass(time.Duration(rapid.IntRange(1, 200).Draw(rt, "s")) * time.Second)
			case "scan":
				d.scan("400612345678")
			case "resize":
				size := rapid.SampledFrom(sizes).Draw(rt, "new size")
				d.send(tea.WindowSizeMsg{Width: size[0], Height: size[1]})
			default:
				d.keys(k)
			}
		}
	})
}

func TestAStoppedFusionIsCutOutWhenCold(t *testing.T) {
	log := exampleAt(t, monday)
	d := drive(t, log, monday, 80, 24)
	d.toStart("89")
	d.keys("1")
	d.pass(31 * time.Second)
	d.keys("2")
	d.text("31")
	d.text("voltage lost")
	d.sees("Let it cool, then cut it out", "E1 cools 12:00")
	d.keys("enter")
	d.choose("E1")
	d.sees("fail, cools")
	d.pass(12 * time.Minute)
	d.sees("E1 is cold: cut it out")
	d.keys("right", "2")
	d.sees("was cut out of E1")
	d.text("stopped at 31 s")
	d.keys("esc")
	d.lacks("E1 is cold")
	d.sees("open again")
	w, _ := log.Memory.Book.Weld(log.Memory.Book.Sites()[0].ID, "KM-0011")
	if *w.StoppedAt != 31 || w.Said != "voltage lost" || w.CutOut == nil {
		t.Errorf("stored as %+v", w)
	}
}

// What another program writes comes up by itself, and never over a save that is
// under way.
func TestAnotherProgramWrites(t *testing.T) {
	log := exampleAt(t, monday)
	d := drive(t, log, monday, 80, 24)
	site := log.Memory.Book.Sites()[0].ID
	h := acts.Head{ID: "other", At: monday, By: "Hedda Roan", Site: site}
	if _, err := log.Append(t.Context(), acts.StrikeJoint(h, "3B", "not needed")); err != nil {
		t.Fatal(err)
	}
	d.lacks("not being built")
	for range 10 {
		d.pass(time.Second)
	}
	d.sees("not being built")
}

// A key that bounces ends no fusion that has just begun.
func TestABouncedKeyEndsNoFusion(t *testing.T) {
	log := exampleAt(t, monday)
	d := drive(t, log, monday, 80, 24)
	d.toStart("89")
	d.keys("1", "1", "1", "1")
	d.sees("E1 fusing 1:29")
	w, _ := log.Memory.Book.Weld(log.Memory.Book.Sites()[0].ID, "KM-0011")
	if w.Ended != nil {
		t.Error("the fusion is recorded as ended")
	}
	d.pass(89 * time.Second)
	d.keys("1")
	d.sees("The hold runs")
}

// While somebody waits on the release of a running hold, no digit turns into
// its opposite, and a disturbance then is early whatever minute is typed.
func TestARunningHoldIsBrokenNotEnded(t *testing.T) {
	log := exampleAt(t, monday)
	d := drive(t, log, monday, 80, 24)
	d.keys("right", "1")
	d.sees("1  leave it alone and go back", "2  it was moved or unclamped before")
	d.pass(5 * time.Minute)
	d.keys("1")
	d.sees("What runs and what waits", "hold over")
	d.keys("1", "1")
	d.sees("1  held to the end", "2  it was moved or unclamped before")
	d = drive(t, exampleAt(t, monday), monday, 80, 24)
	d.keys("right", "1", "2")
	d.text("1")
	d.text("kicked")
	d.keys("esc")
	d.sees("2B: KM-0010 failed")
}

func TestAQueryIsAcceptedByName(t *testing.T) {
	log := exampleAt(t, monday)
	d := drive(t, log, monday, 80, 24)
	for !strings.Contains(d.frame(), "▸ 5A ") {
		d.keys("up")
	}
	d.keys("enter")
	d.sees("accept by name: could not: clamped")
	d.keys("3")
	d.keys("enter")
	d.sees("nothing is taken for granted")
	d.text("Hedda Roan")
	d.text("seen with Tam")
	d.sees("5A   coupler 40   accepted")
}

// The cursor of the list stops at the first joint and at the last; where there is
// none it stands nowhere.
func TestTheCursorStopsAtBothEnds(t *testing.T) {
	log := siteOf(t, 1, "A")
	all := log.Memory.Book.Joints(log.Memory.Book.Sites()[0].ID)
	d := drive(t, log, monday, 80, 24)
	for _, tt := range []struct {
		key  string
		want int
	}{{"up", 0}, {"pgdown", len(all) - 1}, {"down", len(all) - 1}, {"up", len(all) - 2}, {"pgup", 0}, {"down", 1}} {
		if d.keys(tt.key); !chosenIs(d.frame(), all[tt.want].Label+" ") {
			t.Errorf("after %s the cursor is not at %s:\n%s", tt.key, all[tt.want].Label, d.frame())
		}
	}
	book := logbook.NewBook("KM", 1)
	none := shell.Env{Now: monday, Book: book, Sight: shell.SightOf(book, logbook.Site{}, audit.Result{})}
	if got := newBoard("").beside(none, 1); got != "" {
		t.Errorf("without a joint the cursor is at %q", got)
	}
}

// At every question of a walk: an answer that could not be stored is asked for again,
// and given again it goes on.
func TestWhatWasNotStoredIsAskedAgain(t *testing.T) {
	log := exampleAt(t, monday)
	d := drive(t, log, monday, 80, 24)
	d.keys("1", "enter")
	questions := []struct {
		sight string
		lead  string // keys before the one that stores
		last  string
		again string // keys before it is given again
	}{
		{"▸ fitting, as printed", "", "enter", ""},
		{"▸ fitting batch", "", "enter", ""},
		{"▸ batch of the fitting", "", "enter", ""},
		{"▸ batch of the coil", "", "enter", ""},
		{"▸ print on the pipe", "", "1", ""},
		{"▸ position", "2 space m", "enter", ""},
		{"0  all done", "0", "1", "0"},
		{"step 3 of 9", "", "space", ""},
		{"▸ this bag prints", "", "1", ""},
		{"step 4 of 9", "enter 8 9 enter", "1", "8 9 enter"},
		{"step 5 of 9", "", "space", ""},
		{"▸ start", "", "1", ""},
		{"▸ how the fusion ended", "", "1", ""},
		{"▸ seconds the unit says it ran", "8 9", "enter", ""},
		{"▸ indicators", "", "1", ""},
	}
	asked := map[string]bool{}
	for range 20 {
		frame := d.frame()
		at := slices.IndexFunc(questions, func(q struct{ sight, lead, last, again string }) bool { return strings.Contains(frame, q.sight) })
		if strings.Contains(frame, "▸ melt, wire") {
			d.keys("0")
			continue
		}
		if at < 0 {
			break
		}
		q := questions[at]
		asked[q.sight] = true
		if d.keys(strings.Fields(q.lead)...); q.sight == "▸ how the fusion ended" {
			d.pass(97 * time.Second)
		}
		before := len(log.Entries)
		log.Fail = errDisk
		d.keys(q.last)
		d.sees("NOT STORED")
		log.Fail = nil
		d.keys("esc") // hides what is said of it
		d.keys(append(strings.Fields(q.again), q.last)...)
		if len(log.Entries) == before {
			t.Fatalf("%s: given again and not stored\n%s", q.sight, d.frame())
		}
	}
	d.sees("Write on the pipe")
	if len(asked) < 12 {
		t.Errorf("only %d questions were asked: %v", len(asked), asked)
	}
}
