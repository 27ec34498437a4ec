package desk

import (
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"coolhold/logbook"
	"coolhold/logbook/acts"
	"coolhold/logbook/crew"
	"coolhold/logbook/plan"
	"coolhold/tui/shell"
)

// saysAll is a look of which nothing was left blank.
var saysAll = logbook.Look{
	When: logbook.LookHot, Indicators: []string{logbook.Up, logbook.Up}, Melt: "none", Wire: "none", Marks: "inplace", Straight: logbook.Yes, Felt: "firm", How: logbook.Typed,
}

// sheet takes in welds of one sheet that say all; the first of them leave one line
// of the card out.
func (b *bench) sheet(n, unsaid int) {
	b.t.Helper()
	for i := range n {
		label := fmt.Sprintf("X%d", i+1)
		b.does(acts.AddJoint(b.head("Ida Nord"), plan.Joint{Label: label, Fitting: "coupler 40", OdMM: 40, SDR: 11}, "needed"))
		start := b.now.Local().Add(-2*time.Hour - time.Duration(i)*3*time.Minute)
		l := acts.LateWeld{
			Joint: label, Operator: "Ona Brill", Unit: "CU-208", Corrects: logbook.No, Answers: append(crew.Fitting("coupler 40", "W-4000-7"), crew.Card()...),
			Ambient: 9_00, Mode: logbook.ModeKeyed, SecondsShown: 50, VoltsShown: new(39.5), Started: start, Ended: start.Add(time.Minute),
			Outcome: logbook.Completed, Run: new(50), Look: saysAll, HoldStated: true, Released: start.Add(10 * time.Minute),
			Paper: &logbook.PaperRow{File: "van.csv", Line: i + 2, Key: label},
		}
		if i < unsaid {
			l.Answers = slices.DeleteFunc(l.Answers, func(a logbook.Answer) bool { return a.Item == "clamped" })
		}
		b.does(acts.EnterLater(b.head("Ida Nord"), l))
	}
}

// chooses moves the cursor down to the line that says what.
func (b *bench) chooses(what string) {
	b.t.Helper()
	for range 40 {
		for _, l := range strings.Split(b.m.View(), "\n") {
			if strings.Contains(l, "▸") && strings.Contains(l, what) {
				return
			}
		}
		b.keys("down")
	}
	b.t.Fatalf("no line %q to choose:\n%s", what, b.m.View())
}

// A formality of many welds is one line and answered once; what is alike but decided
// one by one opens into its list, and from there into the weld.
func TestWhatIsOpenIsReadInGroups(t *testing.T) {
	b := onBench(t)
	b.sheet(9, 4)
	b.show(80, 24, func(shell.Env) shell.Screen { return newOpen("") })
	b.sees("What is open on the site:", " in ", "KM-0008: disturbed 4 min after fusion")
	b.chooses("KM-0015 was transcribed")
	b.sees("one answer does for all of them")
	b.keys("enter")
	b.sees("Accept a formality on 5 welds", "KM-0015 was transcribed from paper by Ida Nord", "The same holds of KM-0015 to KM-0019.")
	b.text("Hedda Roan")
	b.text("compared with the sheet")
	b.lacks("and so 4 more")
	for i := range 5 {
		id := fmt.Sprintf("KM-%04d", 15+i)
		w, _ := b.log.Memory.Book.Weld(b.site().ID, id)
		if n := len(w.Reviews); n != 1 || w.Reviews[0].By != "Hedda Roan" || w.Reviews[0].Key != "transcribed:"+id {
			t.Errorf("%s: %d reviews", id, n)
		}
	}
	b.chooses("4 welds with an item of preparation not answered: KM-0011 to KM-0014")
	b.sees("To do: each is decided by itself")
	b.keys("enter")
	b.sees("4 of one kind, each decided by itself", "KM-0011: not answered:", "KM-0014: not answered:")
	b.keys("down", "enter")
	b.sees("KM-0012 joint X2")
	b.keys("esc", "esc", "pgup", "pgup")
	b.chooses("4 joints in which no weld stands: 3B, 4B, 5B, E1")
	b.keys("enter", "down", "enter")
	b.sees("Joint 4B")
}

// A finding on the site as a whole has no page: it is answered from the list.
func TestAJumpOfTheClockIsAnsweredFromTheList(t *testing.T) {
	b := onBench(t)
	h := b.head("Ida Nord")
	h.At.Wall = h.At.Wall.Add(-32 * time.Hour)
	b.does(crew.Raw(h, "", "", logbook.Note{Text: "by a clock set back"}))
	b.show(80, 24, func(shell.Env) shell.Screen { return newOpen("") })
	b.chooses("the clock was set back by 32 h")
	b.keys("enter")
	b.sees("Accept a finding on the site", "the clock was set back by 32 h 0 min between two entries")
	b.text("Hedda Roan")
	b.text("the battery of its clock was flat")
	got, is := b.last().(logbook.Reviewed)
	if !is || !got.Accepted || !strings.HasPrefix(got.Key, "clock-jumped:") {
		t.Errorf("stored as %+v", b.last())
	}
	b.lacks("the clock was set back")
}
