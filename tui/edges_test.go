package tui

import (
	"fmt"
	"os"
	"strings"
	"testing"
	"time"

	"github.com/charmbracelet/bubbletea"

	"coolhold/logbook"
	"coolhold/logbook/acts"
	"coolhold/logbook/plan"
)

// A value that is chosen from what the site knows is tried on the record at once,
// not only when name and reason are typed.
func TestAKnownValueIsTriedWhenChosen(t *testing.T) {
	d := drive(t, exampleAt(t, monday), monday, 80, 24)
	d.keys("1", "enter", "esc", "9") // begun, and left in its walk
	d.choose("KM-0011")
	d.keys("enter", "5", "2", "enter")
	d.sees("1  Tam Velding", "2  another: type it")
	d.keys("1")
	d.sees("the walk of KM-0011 is open")
	d.lacks("▸ your name")
	d.keys("2")
	d.text("Ida Nord")
	d.sees("the walk of KM-0011 is open")
}

// A page goes to its top where something was signed of its own weld: not for
// another weld, and not for what the crew said of it.
func TestAPageStaysWhereItWasRead(t *testing.T) {
	scrolled := func(id string) (*driver, string) {
		d := drive(t, exampleAt(t, monday), monday, 80, 24)
		d.keys("9", "1")
		if id == "KM-0010" {
			d.keys("2")
		}
		d.choose(id)
		d.keys("enter", "pgdown", "down")
		place, _, _ := strings.Cut(strings.Fields(strings.SplitAfterN(d.frame(), " leg ", 2)[1])[1], "-")
		if place == "1" {
			t.Fatalf("the page is not scrolled:\n%s", d.frame())
		}
		return d, " " + place + "-"
	}
	d, place := scrolled("KM-0004")
	d.keys("6", "4")
	d.text("Hedda Roan")
	d.text("ask for the cut-out piece")
	d.sees("KM-0003   joint 3A")
	d.keys("esc")
	d.sees("KM-0004   joint 3A", place)
	d.keys("4")
	d.text("Hedda Roan")
	d.text("and this one?")
	d.sees("KM-0004   joint 3A", "clear: no fault is recorded")

	d, place = scrolled("KM-0010")
	d.keys("right", "1", "2")
	d.text("2")
	d.text("kicked")
	d.keys("esc")
	d.sees("KM-0010   joint 2B", place)
}

// Settings are shown as far as they were given.
func TestAPageOfAWeldWithAnAmbientOnly(t *testing.T) {
	d := drive(t, exampleAt(t, monday), monday, 80, 24)
	page := func() string {
		d.keys("9")
		d.choose("KM-0011")
		d.keys("enter")
		text := d.whole()
		d.keys("esc", "esc")
		return text
	}
	d.keys("1", "enter", "enter", "enter", "1")
	d.text("2 m N")
	d.keys("esc")
	if text := page(); strings.Contains(text, "Settings") {
		t.Errorf("there are no settings yet:\n%s", text)
	}
	d.keys("1", "0", "1")
	d.sees("step 3 of 9: ambient")
	d.keys("space")
	d.sees("this bag prints for 5…14 °C")
	d.keys("1")
	d.sees("step 4 of 9: settings")
	d.keys("esc")
	if text := page(); !strings.Contains(text, "Settings ambient 8.5 °C (reading of 08:55 confirmed)") {
		t.Errorf("the ambient is not on the page:\n%s", text)
	}
}

// Under the list of a day the chosen row stands in full; what is longer than a third of
// the window ends with a mark, and a key on it is read to its end.
func TestALongRowOfTheDayIsCutWithAMark(t *testing.T) {
	log := exampleAt(t, monday)
	log.does(t, func(h acts.Head) acts.Act {
		return acts.Cut(h, "KM-0001", strings.Repeat("the digger came too near and ", 12)+"that was that")
	})
	d := drive(t, log, monday, 60, 20)
	d.keys("9", "1")
	d.choose("KM-0001")
	d.sees(" 1A: the digger came too near and the digger came too near  ", " and the digger came too near and the digger came too near… ")
	d.lacks("that was that")
	d.keys("enter")
	d.reads("too near and that was that")
}

// A start that was seen late counts from then; within the hour, and not from before
// the last answer of the walk.
func TestAStartSomeSecondsAgo(t *testing.T) {
	for said, left := range map[string]string{"1": "Fusing: 1:28 left", "20": "Fusing: 1:09 left", "3600": "FUSION TIME IS OVER"} {
		d := drive(t, exampleAt(t, monday), monday, 80, 24)
		d.toStart("89")
		d.keys("2")
		d.text("3600")
		d.sees("3600 s ago lies before the last answer of this walk: at most 0 s")
		d.pass(time.Hour)
		d.keys("2")
		for _, no := range []string{"0", "3601"} {
			d.text(no)
			d.sees("no whole number from 1 to 3600 s", "▸ seconds ago")
		}
		d.text(said)
		d.sees(left)
	}
}

// A refusal that is said once the current was on asks what the display shows as run:
// only at once and with nothing run is there nothing to cut.
func TestARefusalAfterTheCurrent(t *testing.T) {
	begun := func(after time.Duration, keys ...string) *driver {
		d := drive(t, exampleAt(t, monday), monday, 80, 24)
		d.toStart("89")
		d.keys("1")
		d.sees("Fusing: 1:29 left")
		d.pass(after)
		d.keys("3")
		d.sees("the time run, as its display shows", "1  nothing has run", "2  some seconds have run", "3  no figure")
		d.keys(keys...)
		return d
	}
	d := begun(4*time.Second, "1")
	d.text("lead")
	d.sees("The unit refused: lead. Nothing is to be cut")
	for _, d := range []*driver{begun(45*time.Second, "1"), begun(4*time.Second, "3")} {
		d.text("lead")
		d.sees("step 5 of 9: resistance", "The unit refused: lead. It is not known that no current went in.")
		d.lacks("Nothing is to be cut")
		d.text("2.4")
		d.keys("1", "esc")
		d.choose("E1")
		d.sees("fusing 1:29 its start was sa")
	}
	d = begun(45*time.Second, "2")
	d.text("7")
	d.text("")
	d.sees("E1 cools", "Let it cool, then cut it out.")
}

// A unit that says nothing is not quoted.
func TestARefusalWithoutWords(t *testing.T) {
	d := drive(t, exampleAt(t, monday), monday, 80, 24)
	d.toStart("89")
	d.keys("3", "enter")
	d.sees("The unit refused and said nothing. Nothing is to be cut")
}

// An hour is written as one.
func TestAHoldOfAnHour(t *testing.T) {
	d := drive(t, exampleAt(t, monday), monday, 80, 24)
	d.enterLater("45", "60", "81")
	d.sees("E1 hold 1:00:00")
	d.pass(time.Second)
	d.sees("E1 hold 59:59")
}

// Where nothing lies outside the chambers nothing is said of it.
func TestADrawingWithNothingOutside(t *testing.T) {
	d := drive(t, bigSite(t, 4), monday, 80, 24)
	d.keys("7")
	d.sees("port 4", "rail to ground")
	d.lacks("Outside the chambers")
}

// A window without columns, as some terminals begin with, is drawn as nothing.
func TestAWindowWithoutColumns(t *testing.T) {
	d := drive(t, exampleAt(t, monday), monday, 80, 24)
	for _, size := range []tea.WindowSizeMsg{{Width: 0, Height: 24}, {Width: 80, Height: 0}, {}} {
		if m, _ := d.m.Update(size); m.View() != "" {
			t.Errorf("a window of %d by %d is drawn as %q", size.Width, size.Height, m.View())
		}
	}
}

// What the log refuses, because another program was there first, is a refusal and
// says why; only what could not be written is said as not stored.
func TestARefusalOfTheLogIsNoFailedSave(t *testing.T) {
	for _, c := range []struct {
		err    error
		failed bool
	}{
		{fmt.Errorf("%w: another weather was recorded", logbook.ErrRule), false},
		{fmt.Errorf("site Larkrise: %w", logbook.ErrUnknown), false},
		{fmt.Errorf("shift 2026-03-09: %w", logbook.ErrExists), false},
		{errDisk, true},
	} {
		log := exampleAt(t, monday)
		d := drive(t, log, monday, 80, 24)
		log.Fail = c.err
		d.keys("2", "1", "1")
		d.sees(c.err.Error())
		if failed := strings.Contains(d.frame(), "NOT STORED"); failed != c.failed {
			t.Errorf("%v is shown as failed: %v\n%s", c.err, failed, d.frame())
		}
		log.Fail = nil
		d.keys("esc")
		d.lacks(c.err.Error())
	}
}

// The questions before a weld keep to the room that banners and holds leave.
func TestManyToChooseFromInLittleRoom(t *testing.T) {
	log := siteOf(t, 4, "Uplawn", "North")
	held := weldLegs(t, log, 6, 0)
	log.does(t, func(h acts.Head) acts.Act {
		h.Shift = log.Memory.Book.Sites()[0].Shift
		return acts.CloseShift(h)
	})
	log.does(t, func(h acts.Head) acts.Act {
		return acts.StartShift(h, logbook.ShiftStarted{
			Day: "2026-03-09", Weather: logbook.Weather{Sky: "dry", Shelter: "none"},
			Operators: []logbook.Operator{{Name: "Ona Brill"}, {Name: "Tam Velding"}, {Name: "Ida Nord"}, {Name: "Bo Hale"}},
			Units:     []logbook.Unit{{Serial: "CU-1", Corrects: logbook.No}, {Serial: "CU-2", Corrects: logbook.No}},
		})
	})
	d := drive(t, log, monday, 60, 20)
	d.sees(held[5] + " hold")
	log.Fail = errDisk
	for range 3 {
		d.keys("2", "1", "1")
	}
	log.Fail = nil
	d.choose("Uplawn-1B")
	d.keys("enter", "1")
	d.sees("NOT STORED", "shares its pipe with Uplawn-1A", "not move")
	d.keys("2")
	d.sees("▸ who welds", "4  Bo Hale")
	d.keys("4")
	d.sees("▸ control unit")
	d.keys("2")
	d.sees("step 1 of 9: fitting")
}

// A drawing that is higher than the window says so, until its end is reached.
func TestAHighDrawingSaysThatItGoesOn(t *testing.T) {
	log := exampleAt(t, monday)
	for i := range 20 {
		log.does(t, func(h acts.Head) acts.Act {
			return acts.AddJoint(h, plan.Joint{Label: fmt.Sprint("X", i), Fitting: "elbow 63", AskPlace: true}, "needed")
		})
	}
	d := drive(t, log, monday, 80, 24)
	d.choose("1A ")
	d.keys("7")
	d.sees("▸1A", "more: ↓")
	for range 60 {
		d.keys("right")
	}
	d.sees("[▸X19")
	d.lacks("more: ↓")
}

// How the time comes into the unit decides what is shown at the settings: the
// figure to key, or whose instructions to follow.
func TestTheTimeComesFromTheUnit(t *testing.T) {
	for mode, want := range map[string][]string{
		"keyed by hand":    {"Key into the unit, in seconds:"},
		"read from a code": {"The unit reads its time from the fitting's code.", "the time it shows is recorded."},
	} {
		d := drive(t, exampleAt(t, monday), monday, 80, 24)
		d.keys("1", "enter", "enter", "enter", "1")
		d.text("2 m N")
		d.keys("0", "1", "space", "1")
		d.sees("step 4 of 9: settings")
		if mode != "keyed by hand" {
			d.keys("2")
		}
		d.sees(append(want, "Enter: it is in the unit")...)
		if mode != "keyed by hand" {
			d.lacks("Key into the unit")
		}
	}
}

// On the menu of a joint Enter goes on to questions only: where a weld stands it
// does nothing.
func TestEnterOnAJointThatIsDone(t *testing.T) {
	d := drive(t, exampleAt(t, monday), monday, 80, 24)
	d.choose("1A")
	d.keys("enter")
	d.sees("go to KM-0001")
	was := d.frame()
	d.keys("enter")
	if d.frame() != was {
		t.Errorf("Enter did something:\n%s", d.frame())
	}
}

// After the last operator and the last unit that a shift has room for, no more are
// asked for.
func TestTheLastOfAShift(t *testing.T) {
	for i := range mostUnits {
		if has := len(unitFields(i, logbook.Shift{})) == 4; has != (i < mostUnits-1) {
			t.Errorf("after unit %d another is asked for: %v", i+1, has)
		}
	}
	for i := range mostOperators {
		if has := len(operatorFields(i, logbook.Shift{})) == 4; has != (i < mostOperators-1) {
			t.Errorf("after operator %d another is asked for: %v", i+1, has)
		}
	}
}

// While its walk is open a joint is neither left unbuilt nor made with a make-up piece: the weld is
// finished or given up first.
func TestAJointInHandIsNotStruckOff(t *testing.T) {
	d := drive(t, exampleAt(t, monday), monday, 80, 24)
	d.choose("E1")
	d.keys("enter")
	d.sees("weld it", "make-up piece: two joints instead of one", "it is not being built")
	d.keys("esc", "1", "enter", "esc")
	d.choose("E1")
	d.keys("enter")
	d.sees("go on with KM-0011", "give KM-0011 up")
	d.lacks("strike it off")
	d.lacks("make-up piece")
	d.lacks("weld it")
}

// From the list of what runs a weld opens at what is still to be said of it, and
// only then at its release.
func TestWhatRunsOpensAtItsNextQuestion(t *testing.T) {
	d := drive(t, exampleAt(t, monday), monday, 80, 24)
	d.toStart("89")
	d.keys("1")
	d.sees("Fusing: 1:29 left")
	d.keys("right")
	d.choose("E1")
	d.keys("enter")
	d.sees("Fusing: ")
	d.pass(89 * time.Second)
	d.keys("1")
	d.sees("The hold runs")
	d.keys("esc")
	d.keys("right")
	d.choose("E1")
	d.keys("enter")
	d.sees("The hold runs")
	d.lacks("Leave it alone")
}

// Where nothing runs the key to it says so.
func TestNothingRuns(t *testing.T) {
	d := drive(t, siteOf(t, 1, "A"), monday, 80, 24)
	d.keys("right")
	d.sees("nothing runs and nothing waits")
}

// A new shift offers who was there and with what at the last.
func TestANewShiftOffersTheLast(t *testing.T) {
	log := exampleAt(t, monday)
	log.does(t, func(h acts.Head) acts.Act { h.Shift = "2026-03-09"; return acts.CloseShift(h) })
	d := drive(t, log, monday, 80, 24)
	d.keys("3")
	for range 12 {
		if strings.Contains(d.frame(), "operator 1: name") {
			break
		}
		d.keys("enter")
	}
	d.sees("operator 1: name", "Ona Brill")
}

// A device that is no terminal shows no screens.
func TestWhatIsATerminal(t *testing.T) {
	null, err := os.Open(os.DevNull)
	if err != nil {
		t.Fatal(err)
	}
	defer null.Close()
	for what, f := range map[string]any{"the empty device": null, "a buffer": &strings.Builder{}, "nothing": nil} {
		if IsTerminal(f) {
			t.Errorf("%s is taken for a terminal", what)
		}
	}
}
