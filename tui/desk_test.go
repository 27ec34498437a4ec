package tui

import (
	"strings"
	"testing"
	"time"

	"coolhold/logbook"
	"coolhold/logbook/acts"
	"coolhold/logbook/audit"
)

// foreman opens the day before on a laptop with the worked example.
func foreman(t *testing.T, w, h int) (*driver, *memLog) {
	t.Helper()
	log := exampleAt(t, monday)
	d := drive(t, log, monday, w, h)
	d.keys("9", "1")
	d.sees("Sun 8 Mar 2026")
	return d, log
}

// choose moves the cursor to the row that names what.
func (d *driver) choose(what string) {
	d.t.Helper()
	d.keys("pgup", "pgup", "pgup", "pgup", "pgup", "pgup", "pgup")
	for range 60 {
		if chosenIs(d.frame(), what) {
			return
		}
		d.keys("down")
	}
	d.t.Fatalf("no row %q to choose:\n%s", what, d.frame())
}

// whole is the page that is open, read to its end.
func (d *driver) whole() string {
	d.t.Helper()
	for range 12 {
		d.keys("pgup")
	}
	var all []string
	for range 40 {
		before := d.frame()
		all = append(all, before)
		d.keys("pgdown")
		if d.frame() == before {
			break
		}
	}
	return strings.Join(strings.Fields(strings.Join(all, "\n")), " ")
}

func (d *driver) reads(texts ...string) {
	d.t.Helper()
	whole := d.whole()
	for _, text := range texts {
		if !strings.Contains(whole, text) {
			d.t.Errorf("%q is not on the page:\n%s", text, whole)
		}
	}
}

func weldOf(t *testing.T, log *memLog, id string) logbook.Weld {
	t.Helper()
	w, ok := log.Memory.Book.Weld(log.Memory.Book.Sites()[0].ID, id)
	if !ok {
		t.Fatalf("no weld %s", id)
	}
	return w
}

func TestTheDayBeginsWithWhatIsOpen(t *testing.T) {
	d := drive(t, exampleAt(t, monday), monday, 80, 24)
	d.sees("9 day")
	d.keys("9")
	d.sees("Mon 9 Mar 2026   1 weld: 1 unfinished", "its hold is running")
	d.lacks("2 later")
	d.pass(15 * time.Minute) // nothing is recorded, and the hold is over all the same
	d.sees("its hold was not ended by a release")
	d.keys("1")
	d.sees("Sun 8 Mar 2026   9 welds: 4 clear, 1 accepted, 2 query, 1 fail, 1 cut out", "not signed")
	d.sees("Joints without a weld now: 4", "3B    coupler 40         open", "FG: disturbed 4 min after fusion, before its cooling time was over: digger")
	at := -1
	for _, id := range []string{"KM-0008", "KM-0006", "KM-0009", "KM-0001", "KM-0002", "KM-0003", "KM-0004", "KM-0005", "KM-0007"} {
		next := strings.Index(d.frame(), id)
		if next < at {
			t.Fatalf("%s stands too high:\n%s", id, d.frame())
		}
		at = next
	}
	d.keys("1")
	d.sees("no weld was made on an earlier day", "Sun 8 Mar 2026")
	d.keys("2", "2")
	d.sees("no weld was made on a later day", "Mon 9 Mar 2026")
	d.keys("esc")
	d.sees("9 day")
}

// The cursor stays on its weld when the weld's place in the list changes.
func TestTheCursorOfTheDayFollowsAWeld(t *testing.T) {
	d, log := foreman(t, 80, 24)
	d.choose("KM-0006")
	d.keys("enter", "1")
	d.text("Hedda Roan")
	d.text("seen")
	d.keys("esc")
	if !chosenIs(d.frame(), "KM-0006") || !chosenIs(d.frame(), "accepted by Hedda Roan") {
		t.Errorf("the cursor is elsewhere:\n%s", d.frame())
	}
	if len(weldOf(t, log, "KM-0006").Reviews) != 1 {
		t.Error("no review is stored")
	}
	d.sees("4 clear, 2 accepted, 1 query")
}

func TestADayIsFiltered(t *testing.T) {
	d, _ := foreman(t, 80, 24)
	d.keys("3", "4", "enter")
	d.text("")
	d.sees("shown 2 of 9: verdict query", "KM-0006", "KM-0009")
	d.lacks("KM-0008")
	d.lacks("Joints without a weld")
	d.keys("3")
	d.sees("4  query   (Enter)")
	d.keys("1", "2")
	d.text("lead pulled")
	d.sees(`shown 1 of 9: operator Ona Brill, "lead pulled"`, "KM-0003")
	d.lacks("KM-0006")
	d.keys("2")
	d.sees("Mon 9 Mar 2026", "shown 0 of 1", "No weld of this day is shown.")
	d.keys("enter", "0")
	d.sees("KM-0010", "Joints without a weld now: 4")
	d.lacks("shown")
	d.keys("3", "enter", "enter")
	d.text("e1")
	d.sees("shown 0 of 1", "E1    elbow 63")
}

func TestAWeldIsReadToItsEnd(t *testing.T) {
	for _, size := range [][2]int{{60, 20}, {80, 24}, {120, 40}} {
		d, _ := foreman(t, size[0], size[1])
		d.choose("KM-0006")
		d.keys("enter")
		d.sees("KM-0006   joint 5A, chamber A, circuit 5 leg A", "query: the foreman must decide", "Esc back")
		d.reads(
			"port 5, low row, rail from ground", "do: the foreman decides: accept by name with a reason, or cut it out",
			"basis: trade press on WIS 4-32-08:2016", "seconds 50 50 50", "volts 39.5 39.5", "band 5…14 °C", "8.5 °C (typed)",
			"2.43 Ω (typed), within its window 2.16…2.64 Ω", "scraped fusion hold released", "0:51", "hold needed: 6:00",
			"coupler 40 (default taken)", "could not: no access: chamber wall in the way (typed)", "at the end-of-shift check: indicators up, up",
			"TV weld begun by Tam Velding with unit CU-208", "TV released: not moved before",
		)
		d.keys("up", "pgup", "esc")
		d.sees("Sun 8 Mar 2026", "Esc back")
	}
}

func TestWhatStoodInTheJointBeforeIsOneKeyAway(t *testing.T) {
	d, _ := foreman(t, 80, 24)
	d.choose("KM-0004")
	d.keys("enter")
	d.sees("clear: no fault is recorded")
	d.reads("Else in joint 3A (key 6)", "KM-0003 of Sun 8 Mar 2026: fail; cut out 8 Mar")
	d.keys("6")
	d.sees("KM-0003   joint 3A", "fail, and cut out: nothing is left to do here")
	d.reads("stopped 17 s", "cut out")
	d.keys("2")
	d.sees("KM-0003 does not stand in 3A")
	d.keys("esc", "esc")
	d.choose("E1")
	d.keys("enter", "6")
	d.sees("Joint E1", "no weld stands in it: open", "no other weld was made in E1")
	d.keys("1")
	d.sees("joint E1: what is not done is not accepted: weld it, or say why it is not")
	d.keys("3")
	d.sees("no weld stands in E1")
	d.keys("9")
	d.sees("joint E1: nothing is ordered or accepted that could be taken back")
}

// No digit of the page acts by itself, and Enter alone signs nothing.
func TestADigitOnAPageOpensAForm(t *testing.T) {
	d, log := foreman(t, 80, 24)
	d.choose("KM-0009")
	d.keys("enter")
	before := len(log.Entries)
	for _, key := range []string{"0", "1", "2", "3", "4", "5", "6", "7", "8", "9"} {
		d.keys(key, "enter", "enter", "enter")
		for range 3 {
			if !strings.Contains(d.frame(), "7 circuit") {
				d.keys("esc")
			}
		}
		d.sees("KM-0009   joint TG")
	}
	if len(log.Entries) != before {
		t.Errorf("%d entries came of digits and Enter", len(log.Entries)-before)
	}
}

// A name is offered only once it was given on these screens: who is at the
// laptop has signed nothing.
func TestANameIsGivenBeforeItIsOffered(t *testing.T) {
	d, log := foreman(t, 80, 24)
	d.choose("KM-0009")
	d.keys("enter", "pgdown", "pgdown", "1")
	d.lacks("Enter: Ona Brill")
	d.keys("enter")
	d.sees("nothing is taken for granted")
	d.text("Hedda Roan")
	d.text("Tam showed me his note")
	d.sees("accepted: each query was accepted by name", "accepted by Hedda Roan, 9 Mar 09:00: Tam showed me his note")
	d.keys("4")
	d.sees("Enter: Hedda Roan")
	d.keys("enter")
	d.text("ask the office for the sheet")
	d.keys("esc")
	d.choose("KM-0001")
	d.keys("enter", "3")
	d.sees("Enter: Hedda Roan")
	w := weldOf(t, log, "KM-0009")
	if len(w.Notes) != 1 || w.Notes[0].By != "Hedda Roan" || w.Notes[0].Text != "ask the office for the sheet" {
		t.Errorf("notes %+v", w.Notes)
	}
	d.keys("esc", "esc", "esc", "9", "1", "enter", "2")
	d.lacks("Enter: Hedda Roan")
}

func TestACutOutIsOrderedAndALookAskedFor(t *testing.T) {
	d, log := foreman(t, 80, 24)
	d.choose("KM-0008")
	d.keys("enter", "2")
	d.sees("Order KM-0008 to be cut out of FG")
	d.text("Hedda Roan")
	d.text("it was moved")
	d.reads("cut-out ordered: it was moved (Hedda Roan, 9 Mar 09:00)")
	d.keys("esc")
	d.choose("KM-0001")
	d.keys("enter", "3", "enter")
	d.text("marks, they look short")
	d.keys("esc")
	d.sees("KM-0001  13:12 OB  CU-208 query      re-check asked", "cut-out ordered; disturbed")
	if i := strings.Index(d.frame(), "KM-0001"); i > strings.Index(d.frame(), "KM-0002") {
		t.Errorf("what was asked for does not come first:\n%s", d.frame())
	}
	w, v := weldOf(t, log, "KM-0008"), weldOf(t, log, "KM-0001")
	if w.CutOrdered == nil || w.CutOrdered.Why != "it was moved" || w.CutOut != nil || v.Recheck == nil || v.Recheck.By != "Hedda Roan" {
		t.Errorf("stored as %+v and %+v", w.CutOrdered, v.Recheck)
	}
	d.keys("enter", "8")
	d.sees("Look at KM-0001 in 1A again", "Hedda Roan asked for it: marks, they look short. Somebody else than Ona Brill")
	d.text("Ona Brill")
	d.keys("enter", "1", "1", "1", "1", "1", "1", "1", "esc")
	d.sees("KM-0001", "re-check asked") // its welder alone closes none
	d.keys("enter", "8")
	d.text("Tam Velding")
	d.keys("enter", "1", "1", "1", "1", "1", "1", "1")
	d.reads("at another look: indicators up, up; melt none; no wire; marks in place; straight yes; felt firm, cool (Tam Velding, typed)", "; looked at since")
	d.keys("esc")
	d.lacks("re-check asked")
}

func TestAFailIsNeverAccepted(t *testing.T) {
	d, log := foreman(t, 80, 24)
	d.choose("KM-0008")
	d.keys("enter", "1")
	d.sees("KM-0008: a fail is never accepted: cut it out", "KM-0008   joint FG")
	d.keys("esc")
	d.choose("KM-0006") // a query, and now a fail beside it
	d.keys("enter", "5")
	d.choose("melt after fusion")
	d.keys("enter", "1")
	d.text("Hedda Roan")
	d.text("Tam said so on the phone")
	d.sees("fail: cut it out and weld again with a new fitting")
	d.keys("1")
	d.sees("KM-0006: could not: clamped", "It has a fail too. A fail is never accepted: cut it out.")
	d.lacks("melt outside")
	d.keys("enter")
	d.text("looked at the clamp")
	d.sees("fail: cut it out")
	d.keys("1")
	d.sees("KM-0006: a fail is never accepted: cut it out")
	if w := weldOf(t, log, "KM-0006"); len(w.Reviews) != 1 || w.Reviews[0].Key != "preparation-could-not:KM-0006" {
		t.Errorf("reviews %+v", w.Reviews)
	}
}

func TestOneOfSeveralQueriesIsAccepted(t *testing.T) {
	d, log := foreman(t, 80, 24)
	d.choose("KM-0006")
	d.keys("enter", "5")
	d.choose("marks after fusion")
	d.keys("enter", "1")
	d.text("Hedda Roan")
	d.text("photo")
	d.keys("1")
	d.sees("which query", "1  could not: clamped", "2  insertion marks moved after fusion")
	d.keys("2", "enter")
	d.text("not by much")
	if w := weldOf(t, log, "KM-0006"); len(w.Reviews) != 1 || w.Reviews[0].Key != "marks-moved:KM-0006" {
		t.Errorf("reviews %+v", w.Reviews)
	}
	d.sees("query: the foreman must decide")
}

func TestAValueIsCorrected(t *testing.T) {
	d, log := foreman(t, 80, 24)
	d.choose("KM-0001")
	d.keys("enter", "5")
	d.sees("What is recorded wrongly of KM-0001 in 1A?", " 6  fitting batch                     W-4000-7")
	d.keys("2", "4", "6", "enter") // 24, then a 6 that makes no number with it
	d.sees("Correct fitting batch of KM-0001", "Recorded: W-4000-7")
	d.keys("enter")
	d.sees("nothing is taken for granted")
	d.text("W-4000-7")
	d.sees(`fitting batch of KM-0001 is "W-4000-7" already`)
	d.text("W-4000-8")
	d.text("Hedda Roan")
	d.text("read from the bag")
	d.reads("fitting batch: was W-4000-7, now W-4000-8 (Hedda Roan, 9 Mar 09:00): read from the bag", "W-4000-8 (typed) (corrected)")
	d.keys("5", "2", "enter")
	d.sees("1  Tam Velding", "2  another: type it")
	d.keys("2")
	d.text("Ida Nord")
	d.keys("enter")
	d.text("he was ill")
	d.keys("5", "2", "2", "enter")
	d.text("warm")
	d.sees(`ambient: "warm" is not a temperature`)
	d.text("16,5")
	d.keys("enter")
	d.text("the reading stood in the sun")
	d.reads("ambient: was 9.5, now 16.5", "by the table that is 48 s, was 50 s", "made by Ida Nord (corrected)")
	w := weldOf(t, log, "KM-0001")
	if w.Batch() != "W-4000-8" || w.Operator != "Ida Nord" || w.Ambient.C.String() != "16.5" || len(w.Corrections) != 3 {
		t.Errorf("stored as %+v", w)
	}
	d.keys("esc")
	d.sees("corrected; the unit shows 50 s")
}

func TestTheJointOfAWeldIsCorrected(t *testing.T) {
	d, log := foreman(t, 80, 24)
	d.choose("KM-0006")
	d.keys("enter", "5", "enter")
	d.text("9Z")
	d.sees("9Z: not in this log")
	d.text("3b")
	d.lacks("taken for each other")
	d.text("Hedda Roan")
	d.text("the ink says 3B")
	d.sees("KM-0006   joint 3B", "logged at 5A, made at 3B (corrected)")
	d.keys("esc")
	d.sees("corrected, logged at 5A; 3B on po")
	d.choose("5A ")
	d.sees("5A    coupler 40         open")
	d.keys("enter")
	d.sees("Joint 5A", "KM-0006: logged at 5A, made at 3B: the ink says 3B (Hedda Roan, 9 Mar 09:00)")
	if j, _ := log.Memory.Book.Joint(log.Memory.Book.Sites()[0].ID, "3B"); j.Stands != "KM-0006" {
		t.Errorf("%q stands in 3B", j.Stands)
	}
}

func TestTwoWeldsTakenForEachOther(t *testing.T) {
	for _, c := range []struct{ answer, inA, inB string }{{"1", "KM-0007", "KM-0006"}, {"2", "KM-0006", "KM-0007"}} {
		d, log := foreman(t, 80, 24)
		d.choose("KM-0006")
		d.keys("enter", "5", "enter")
		d.text("1B")
		d.sees("were the two taken for each other", "KM-0007 stands in 1B, made on 8 Mar 14:21 by Tam Velding.", "KM-0006 goes to 1B, KM-0007 to 5A.")
		d.keys("enter")
		d.sees("press a digit")
		d.keys(c.answer)
		if c.answer == "1" {
			d.text("Hedda Roan")
			d.text("asked both")
		}
		site := log.Memory.Book.Sites()[0].ID
		a, _ := log.Memory.Book.Joint(site, "5A")
		b, _ := log.Memory.Book.Joint(site, "1B")
		if a.Stands != c.inA || b.Stands != c.inB {
			t.Errorf("after %s: %s stands in 5A and %s in 1B", c.answer, a.Stands, b.Stands)
		}
		if c.answer == "2" {
			d.sees("two welds cannot stand in one joint")
			continue
		}
		d.keys("esc")
		d.sees("corrected, logged at 5A", "corrected, logged at 1B")
	}
}

func TestTheJointMenuLeadsToTheWeld(t *testing.T) {
	d := drive(t, exampleAt(t, monday), monday, 80, 24)
	d.choose("3A ")
	d.keys("enter")
	d.sees("3  everything known of KM-0004")
	d.keys("3")
	d.sees("KM-0004   joint 3A, chamber A, circuit 3 leg A")
	d.keys("left")
	d.sees("everything known of KM-0004")
}

// The foreman's screens in the smallest window, with every hint to be seen.
func TestTheDeskInEveryWindow(t *testing.T) {
	for _, size := range [][2]int{{60, 20}, {80, 24}, {120, 40}} {
		d, _ := foreman(t, size[0], size[1])
		d.sees("KM-0008", "9 welds", "5 sign", "Esc back")
		d.keys("3", "5", "enter")
		d.text("")
		d.sees("shown 1 of 9: verdict fail", "0 show all", "5 sign", "Esc back")
		d.keys("enter")
		d.sees("1 accept", "2 order cut-out", "3 re-check", "4 note", "5 correct", "7 circuit", "8 look", "Esc back")
		for _, key := range []string{"2", "3", "4"} {
			d.keys(key)
			d.sees("your name", "Esc leave")
			d.keys("esc")
		}
		d.keys("5", "3", "0")
		if !chosenIs(d.frame(), "indicators after fusion (look 1)") {
			t.Errorf("number 30 is not chosen:\n%s", d.frame())
		}
		d.keys("enter")
		d.sees("One a side, with a comma between")
	}
}

// What changed in a day after it was signed stands behind the signature.
func TestASignedDayThatChanged(t *testing.T) {
	log := exampleAt(t, monday)
	log.does(t, func(h acts.Head) acts.Act {
		return func(r logbook.Reader) ([]logbook.Draft, error) {
			fails := audit.Run(r, h.Site, h.At, h.At).OpenFails("2026-03-08")
			return acts.SignDay(h, h.At, "2026-03-08", audit.Seen(fails, []string{"disturbed:KM-0008"}))(r)
		}
	})
	d := drive(t, log, monday, 80, 24)
	d.keys("9", "1")
	d.sees("signed by ")
	d.lacks("changed since")
	log.does(t, func(h acts.Head) acts.Act {
		return acts.Correct(h, "KM-0001", logbook.ItemBatch, "W-9", "misread on the bag")
	})
	d = drive(t, log, monday, 80, 24)
	d.keys("9", "1")
	d.sees("changed since: KM-0001 corrected")
}

// What was ordered or accepted on the page is taken back there; each order has its own
// reason.
func TestOrdersAndAcceptancesAreTakenBack(t *testing.T) {
	d, log := foreman(t, 80, 24)
	d.choose("KM-0001")
	d.keys("enter", "9")
	d.sees("KM-0001: nothing is ordered or accepted that could be taken back")
	d.lacks("9 take back")
	d.keys("2")
	d.text("Hedda Roan")
	d.text("sits too deep")
	d.keys("2")
	d.text("Nils Amber")
	d.text("the client wants it")
	d.reads("was ordered cut out by Hedda Roan (sits too deep), by Nils Amber (the client wants it)",
		"cut-out ordered: sits too deep (Hedda Roan, 9 Mar 09:00)", "cut-out ordered: the client wants it (Nils Amber, 9 Mar 09:00)")
	d.sees("9 take back")
	d.keys("9")
	d.sees("Take back on KM-0001 in 1A", "cut-out: sits too deep (Hedda Roan); the client wants it (Nils Amber)", "both stay in the log")
	d.sees("Who ordered it takes his own order back")
	d.text("Ina Reed")
	d.text("it was KM-0007")
	d.sees("clear: no fault is recorded")
	d.reads("the orders to cut it out, by Hedda Roan (sits too deep), by Nils Amber (the client wants it), were withdrawn by Ina Reed (it was KM-0007)")
	if w := weldOf(t, log, "KM-0001"); w.CutOrdered != nil || len(w.CutTaken) != 2 || w.CutWithdrawn.Why != "it was KM-0007" {
		t.Errorf("%+v", w.CutWithdrawn)
	}
	d.keys("esc")
	d.choose("KM-0005")
	d.keys("enter")
	d.sees("accepted: each query was accepted by name")
	d.keys("2")
	d.text("Hedda Roan")
	d.text("crooked")
	d.keys("9")
	d.sees("what is taken back", "1  cut-out: crooked (Hedda Roan)", "3  accepted by Hedda Roan, foreman: indicator part")
	d.keys("3", "enter")
	d.text("it was another one")
	d.reads("not accepted: indicator part")
	if w := weldOf(t, log, "KM-0005"); len(w.Reviews) < 2 || w.Reviews[len(w.Reviews)-1].Accepted || w.CutOrdered == nil {
		t.Errorf("%+v", w.Reviews)
	}
}

// A weld of an earlier day, on no shift, at the joint and by who is there: what the
// end-of-shift check missed is made up for. Nothing of it is taken for granted.
func TestAWeldIsLookedAtAgainFromTheBoard(t *testing.T) {
	log := exampleAt(t, monday)
	d := drive(t, log, monday, 80, 24)
	d.choose("3A ")
	d.keys("enter")
	d.sees("4  look at KM-0004 again")
	d.keys("4")
	d.sees("Look at KM-0004 in 3A again", "It is kept beside what was seen before, and takes no fail away.")
	d.keys("enter", "2")
	d.text("lunch")
	d.sees("is no time: write 14:05, 2026-03-09 14:05 or 2026-03-09")
	d.text("2026-03-10")
	d.sees("still to come")
	d.text("2026-03-08")
	d.sees("felt by hand")
	d.keys("enter")
	d.sees("press a digit")
	d.keys("1", "3", "1", "1", "1", "1", "1")
	w := weldOf(t, log, "KM-0004")
	l := w.Looks[len(w.Looks)-1]
	if l.When != logbook.LookAgain || !l.DayOnly || l.By != "Ona Brill" || l.How != logbook.Later || l.Indicators[0] != logbook.Flat {
		t.Errorf("%+v", l)
	}
	d.sees("KM-0004: fail", "fail: KM-0004: indicator flat at another look")
}

// While a weld is held there is no other look: its release asks for one.
func TestAHeldWeldIsLookedAtWhenItIsReleased(t *testing.T) {
	log := exampleAt(t, monday)
	d := drive(t, log, monday, 80, 24)
	d.choose("2B ")
	d.keys("enter")
	d.sees("go to KM-")
	d.lacks("again")
}
