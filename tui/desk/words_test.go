package desk

import (
	"strings"
	"testing"
	"time"

	"coolhold/logbook"
	"coolhold/logbook/acts"
	"coolhold/logbook/audit"
	"coolhold/tui/shell"
)

// A day that was signed just now says so and asks nothing; who comes again is asked.
func TestASignatureAsksForNoSecond(t *testing.T) {
	b := onBench(t)
	b.show(80, 24, signSunday)
	b.keys("enter")
	b.pass(time.Second)
	b.keys("1", "enter")
	b.text("Hedda Roan")
	b.sees("Signed by Hedda Roan", "Enter back to the day")
	b.lacks("Sign it again?")
	b.keys("enter")
	b.sees("below")
	b.keys("o")
	b.sees("Sign it again?")
}

// query is a weld that stands with a query nobody has answered.
func (b *bench) query() (logbook.Weld, audit.Finding) {
	b.t.Helper()
	w, _ := b.log.Memory.Book.Weld(b.site().ID, b.joint("5A").Stands)
	open := audit.Acceptable(b.env().Audit.At(w))
	if len(open) == 0 {
		b.t.Fatal("no query is open in 5A")
	}
	return w, open[0]
}

// Where a weld is ordered to be cut out nothing of it is left to decide.
func TestAnOrderLeavesNothingToDecide(t *testing.T) {
	b := onBench(t)
	w, f := b.query()
	if !strings.Contains(f.Do, "the foreman decides") {
		t.Fatalf("before: %q", f.Do)
	}
	b.does(acts.OrderCut(b.head("Hedda Roan"), w.ID, "not this one"))
	if _, f := b.query(); f.Do != "cut it out, as Hedda Roan ordered" {
		t.Errorf("after the order: %q", f.Do)
	}
}

// Everybody who accepted something on a weld is named in its line of the day.
func TestALineNamesAllWhoAccepted(t *testing.T) {
	b := onBench(t)
	w, f := b.query()
	b.does(acts.Accept(b.head(w.Operator), b.now, f.Judged(), "seen"))
	_, f = b.query() // that its own welder accepted it
	b.does(acts.Accept(b.head("Hedda Roan"), b.now, f.Judged(), "seen too"))
	w, _ = b.log.Memory.Book.Weld(b.site().ID, w.ID)
	if got, want := weldLine(b.env(), w).says, "accepted by "+w.Operator+" and Hedda Roan: could not"; !strings.HasPrefix(got, want) {
		t.Errorf("the line says %q, want %q", got, want)
	}
}

// Who made a weld is not offered as the name that orders it cut out.
func TestTheMakerIsNotOffered(t *testing.T) {
	b := onBench(t)
	w, _ := b.query()
	b.show(80, 24, func(shell.Env) shell.Screen { return Weld{id: w.ID, by: w.Operator} })
	b.keys("2")
	b.sees("your name")
	b.lacks("Enter: " + w.Operator)
	b.show(80, 24, func(shell.Env) shell.Screen { return Weld{id: w.ID, by: "Hedda Roan"} })
	b.keys("2")
	b.sees("Enter: Hedda Roan")
}

// On the page of an open joint it can be said that it is not built, as its finding asks.
func TestAJointIsTakenOffOnItsPage(t *testing.T) {
	b := onBench(t)
	b.show(80, 24, func(shell.Env) shell.Screen { return Weld{label: "3B", by: "Hedda Roan"} })
	b.sees("weld it, or say why it is not being built", "2 not being built")
	b.keys("2", "enter")
	b.text("left out by the client")
	if got := b.joint("3B").Struck; got != "left out by the client" {
		t.Errorf("struck: %q", got)
	}
}

// A cooling time that stands in the table was typed from the bag: nothing was computed.
func TestACoolingTimeIsNotComputed(t *testing.T) {
	for how, want := range map[logbook.How]string{logbook.Computed: "from the table", logbook.Later: logbook.Later.String()} {
		if got := coolingHow(logbook.SettingsKeyed{CoolingHow: how}); got != want {
			t.Errorf("%s is told as %q, want %q", how, got, want)
		}
	}
}

// A fail and that its weld still stands are one thing to a person, and counted so.
func TestAFailCountsOnce(t *testing.T) {
	b := onBench(t)
	n := 0
	for _, g := range audit.Groups(b.env().Audit.Open()) {
		n += g.Counts()
	}
	if all := len(b.env().Audit.Open()); n != all-1 {
		t.Errorf("%d counted of %d with one fail", n, all)
	}
}
