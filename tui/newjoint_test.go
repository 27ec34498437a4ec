package tui

import (
	"strings"
	"testing"

	"coolhold/logbook"
	"coolhold/logbook/acts"
)

// weir is the invented site that has joints of several pipes, its table read back.
func weir(t *testing.T) *memLog {
	t.Helper()
	c := ona(t)
	table := fileOf(t, "tables/weir.toml")
	c.Opens(fileOf(t, "plans/weir.toml").Text, table.Text)
	c.Do(acts.ReadBack(c.H, logbook.Hash(table.Text)))
	return logOf(c.Memory)
}

func (l *memLog) joint(t *testing.T, label string) logbook.Joint {
	t.Helper()
	j, ok := l.Memory.Book.Joint("weir-cottages-invented", label)
	if !ok {
		t.Fatalf("there is no joint %s", label)
	}
	return j
}

// A piece let in is asked for its size, then each new joint for its fitting: none
// is offered, and only what fits both its ends can be chosen.
func TestSplittingAsksWhatThePieceIsFusedWith(t *testing.T) {
	log := weir(t)
	d := drive(t, log, monday, 80, 24)
	d.choose("1A ")
	d.keys("enter")
	d.sees("stub 40 mm SDR 11, pipe 32 mm SDR 11", "probe P1", "not ours: P1-foot, certificate RG-5512 (invented)")
	d.keys("3")
	d.sees("Make-up piece at 1A: joints 1A.1 and 1A.2", "the make-up piece: outside diameter as printed, mm")
	d.text("33")
	d.sees(`"33" is no size of PE pipe`)
	d.text("40")
	d.text("13,5")
	d.sees("SDR 13.5 is not known for loop pipe")
	d.text("11")
	d.sees("1A.1: stub 40 mm SDR 11, pipe 40 mm SDR 11", "1A.2: pipe 1A:piece 40 mm SDR 11, pipe W/1 32 mm SDR 11", "fitting of 1A.1", "not decided yet")
	d.lacks("reducer 40/32")
	was := d.frame()
	d.keys("enter")
	if d.frame() == was {
		t.Error("Enter alone is taken, or nothing is said of it")
	}
	d.keys("1") // no coupler of 40 mm is in the table
	d.sees("fitting of 1A.2", "1  reducer 40/32", "2  not decided yet")
	d.keys("1")
	d.text("Ona Brill")
	d.text("flat on one side")
	d.sees("1A   reducer 40/32   make-up piece")
	here, there := log.joint(t, "1A.1"), log.joint(t, "1A.2")
	if here.Fitting != "" || there.Fitting != "reducer 40/32" || there.Added != "make-up piece at 1A" || log.joint(t, "1A").Counts() {
		t.Errorf("stored %+v\n%+v", here.Joint, there.Joint)
	}
}

// In the walk what fits every end can be chosen, and the question for the print
// names both.
func TestTheWalkOffersWhatFitsEveryEnd(t *testing.T) {
	log := weir(t)
	log.does(t, func(h acts.Head) acts.Act {
		return acts.StartShift(h, logbook.ShiftStarted{Day: "2026-03-09", Operators: []logbook.Operator{{Name: "Ona Brill", Mark: "OB"}}, Units: []logbook.Unit{{Serial: "RG-7", Corrects: logbook.No}}, Weather: logbook.Weather{Sky: "dry", Shelter: "none"}})
	})
	d := drive(t, log, monday, 80, 24)
	d.choose("1A ")
	d.keys("enter", "1")
	d.sees("step 1 of", "reducer 40/32")
	d.lacks("coupler 32")
	d.lacks("cap 40")
}

// Of three ends it is asked at which one the piece goes in.
func TestSplittingATeeAsksWhere(t *testing.T) {
	log := weir(t)
	d := drive(t, log, monday, 80, 24)
	d.choose("T1 ")
	d.keys("enter", "3")
	d.sees("the make-up piece goes in at", "1  pipe W/FG 63 mm SDR 11", "2  pipe T1:2 63 mm SDR 11", "3  pipe T1:3 40 mm SDR 11")
	d.keys("3")
	d.text("40")
	d.text("11")
	d.sees("fitting of T1.1", "1  tee 63/40", "2  not decided yet")
	d.keys("1", "1")
	d.text("Ona Brill")
	d.text("branch too short")
	if j := log.joint(t, "T1.2"); j.PipeLine() != "pipe T1:piece 40 mm SDR 11, pipe T1:3 40 mm SDR 11" || j.Fitting != "" || log.joint(t, "T1.1").Fitting != "tee 63/40" {
		t.Errorf("stored %+v", j.Joint)
	}
}

// An added joint is asked for its pipe. On one that is known, its size is taken
// from there; on a pipe of its own it is asked.
func TestAddingAJointAsksItsPipe(t *testing.T) {
	log := weir(t)
	d := drive(t, log, monday, 80, 24)
	d.keys("6", "5")
	d.text("X1")
	d.sees("the pipe it is on", "1  a pipe of its own", "pipe W/1 32 mm SDR 11, with 1A, 1B", "What is on one pipe moves together")
	d.choose("pipe S1:2")
	d.keys("enter")
	d.sees("Add X1: what is fused there", "pipe 90 mm SDR 17", "1  reducer 90/63", "2  coupler 90", "3  not decided yet")
	d.lacks("coupler 63")
	d.keys("2")
	d.text("towpath, second bend")
	d.text("pipe was cut short")
	if j := log.joint(t, "X1"); j.OdMM != 90 || j.SDR != 17 || !j.Shares(log.joint(t, "M1").Joint) || j.Fitting != "coupler 90" || j.Where != "towpath, second bend" || j.Added != "pipe was cut short" || !j.AskPlace {
		t.Errorf("stored %+v", j)
	}
	d.keys("6", "5")
	d.text("X2")
	d.keys("1")
	d.sees("its pipe: outside diameter as printed, mm")
	d.text("32")
	d.text("13.6")
	d.sees("pipe 32 mm SDR 13.6", "1  coupler 32")
	d.lacks("reducer 40/32")
	d.keys("1")
	d.text("behind the wall")
	d.text("3") // by a digit, as on any form that asks why
	if got := log.joint(t, "X2").Added; got != "a length of pipe was too short" {
		t.Errorf("added because %q", got)
	}
	if j := log.joint(t, "X2"); j.OdMM != 32 || j.SDR != 13.6 || j.Pipe != "X2" {
		t.Errorf("stored %+v", j.Joint)
	}
	d.keys("6", "5")
	d.text("X3")
	d.keys("1", "enter", "enter")
	d.sees("nothing of its pipe is stated", "7  coupler 90")
}

// With no shift running nobody is known: who records a cut-out or a make-up piece says his
// name, as for a joint that is not being built.
func TestWithNoShiftACutOutAsksAName(t *testing.T) {
	log := exampleAt(t, monday)
	site := log.Memory.Book.Sites()[0]
	ona := acts.Head{ID: "close", At: monday, By: "Ona Brill", Site: site.ID, Shift: site.Shift}
	if _, err := log.Append(t.Context(), acts.CloseShift(ona)); err != nil {
		t.Fatal(err)
	}
	d := drive(t, log, monday, 80, 24)
	m := &meadow{driver: d}
	d.choose("1A ")
	d.keys("enter")
	m.picks("record that KM-0001 was cut out")
	d.sees("your name")
	d.text("Hedda Roan")
	d.text("for the school")
	if by := log.Memory.Newest().By; by != "Hedda Roan" {
		t.Errorf("cut out by %q", by)
	}
	m.picks("make-up piece")
	d.keys("enter", "enter")
	d.sees("the fitting at each of its ends")
	d.keys("1", "1")
	d.sees("your name")
	d.text("Hedda Roan")
	d.sees("1  the stub is too short to be prepared once more")
	d.text("1")
	if by := log.Memory.Newest().By; by != "Hedda Roan" {
		t.Errorf("make-up piece by %q", by)
	}
}

// A sign names no operator of a shift: it is refused where it is asked.
func TestAShiftAsksANameThatIsOne(t *testing.T) {
	for _, sign := range []string{"?", "-", "C"} {
		if _, err := operatorFields(0, logbook.Shift{})[0].Check(sign); err == nil {
			t.Errorf("%q is taken", sign)
		}
	}
	if _, err := operatorFields(0, logbook.Shift{})[0].Check("Ona Brill"); err != nil {
		t.Error(err)
	}
}

// The position of a joint outside the chambers need not be typed before it is welded:
// Enter takes where the plan has it, and that it was taken so is stored.
func TestAPositionNeedNotBeTyped(t *testing.T) {
	log := hillfoot(t)
	s := log.site(t)
	log.does(t, func(h acts.Head) acts.Act { return acts.ReadBack(h, s.Tables[0].Hash) })
	log.does(t, func(h acts.Head) acts.Act {
		return acts.StartShift(h, logbook.ShiftStarted{Day: "2026-03-09", Operators: []logbook.Operator{{Name: "Ona Brill", Mark: "OB"}}, Units: []logbook.Unit{{Serial: "RG-7", Corrects: logbook.No}}, Weather: logbook.Weather{Sky: "dry", Shelter: "none"}})
	})
	d := drive(t, log, monday, 60, 20)
	d.choose("E1 ")
	d.keys("enter", "1", "enter", "enter")
	for range 4 { // batches and print, in whatever order they are asked
		if strings.Contains(d.frame(), "▸ print") {
			d.keys("1")
		} else if !strings.Contains(d.frame(), "▸ position") {
			d.keys("enter")
		}
	}
	d.sees("▸ position", "Enter: header from ground, bend before the plant ro")
	d.keys("enter")
	w, _ := log.Memory.Book.Weld(s.ID, "KM-0001")
	if a := w.Answers[logbook.ItemPlace]; a.V != "header from ground, bend before the plant room wall" || a.How != logbook.Offered {
		t.Errorf("stored %+v", a)
	}
}
