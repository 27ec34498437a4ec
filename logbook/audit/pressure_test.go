package audit_test

import (
	"slices"
	"strings"
	"testing"
	"time"

	"coolhold/logbook"
	"coolhold/logbook/acts"
	"coolhold/logbook/audit"
	"coolhold/logbook/crew"
)

// came is the newest test in one line.
func (c *team) came() string {
	tests := c.run().Tests()
	return tests[len(tests)-1].Line()
}

func (c *team) wantCame(want string) {
	c.T.Helper()
	if got := c.came(); got != "KM-P1, before cover, 9 March 2026: within what the method allows, as far as recorded"+want {
		c.T.Errorf("%q, want it to end in %q", got, want)
	}
}

// What changed after a test is not in it: a joint that was cut out, its new weld, one that
// lost pressure. A new test, or a witnessed look at the closing weld, holds it again.
func TestWhatATestHolds(t *testing.T) {
	c := onSite(t)
	c.made("1A", well())
	c.made("1B", well())
	c.Wait(time.Hour)
	c.Presses(crew.Pressing(crew.Circuit1), 6.1, 6.05)
	c.wantCame("")
	c.Do(acts.Cut(c.H, "KM-0002", "crooked"))
	c.wantCame("; without 1B")
	if isOpen(c.run(), "untested-since:1B") {
		t.Error("a joint without a weld is said to be untested too")
	}
	c.made("1B", well())
	c.wantCame("; without 1B")
	if !isOpen(c.run(), "untested-since:1B") {
		t.Error("the new weld is not said to be untested")
	}
	c.Do(acts.NameClosing(c.H, "KM-0003", "the last one"))
	if isOpen(c.run(), "untested-since:1B") || !isOpen(c.run(), "closing-weld-unseen:KM-0003") {
		t.Error("a closing weld waits for a look alone")
	}
	look := logbook.PressureLook{Bar: 3, Leaks: logbook.LeakNone, Witness: crew.Witness}
	for name, l := range map[string]struct {
		by   acts.Head
		look logbook.PressureLook
	}{
		"by its welder":              {c.H, look},
		"without a witness":          {c.foreman(), logbook.PressureLook{Bar: 3, Leaks: logbook.LeakNone}},
		"who is his own witness":     {c.foreman(), logbook.PressureLook{Bar: 3, Leaks: logbook.LeakNone, Witness: hedda}},
		"with its welder as witness": {c.foreman(), logbook.PressureLook{Bar: 3, Leaks: logbook.LeakNone, Witness: crew.Ada}},
		"who could not look":         {c.foreman(), logbook.PressureLook{Bar: 3, Leaks: logbook.LeakUnseen, Witness: crew.Witness}},
	} {
		l.by.ID, l.by.At = "look "+name, c.H.At
		c.Do(acts.LookUnderPressure(l.by, "KM-0003", l.look))
		if !isOpen(c.run(), "closing-weld-unseen:KM-0003") {
			t.Errorf("a look %s closes it", name)
		}
	}
	c.Do(acts.LookUnderPressure(c.foreman(), "KM-0003", look))
	if isOpen(c.run(), "closing-weld-unseen:KM-0003") {
		t.Error("a look by another with a witness leaves it open")
	}
	c.Do(acts.Happen(c.H, "1A", logbook.Happened{What: logbook.PressureLost, On: "2026-03-09", Text: "fell"}))
	c.wantCame("; without 1A, 1B")
	c.Wait(time.Hour)
	c.Presses(crew.Pressing(crew.Circuit1), 6.1, 6.1)
	if got := c.came(); strings.Contains(got, "without") || isOpen(c.run(), "untested-since:1A") {
		t.Errorf("tested again: %q", got)
	}
}

// The covers say what is tested there, keep a section open whose test fell, and where the
// plan wants a test one that has none.
func TestCoverSaysWhatIsTested(t *testing.T) {
	c := onSite(t)
	c.made("1A", well())
	c.made("1B", well())
	c.Wait(time.Hour)
	c.round()
	c.stands("chamber A", "may be covered; no pressure test is recorded here")
	c.wantsTests()
	c.stands("chamber A", "the plan wants a pressure test, and none holds 1A, 1B")
	c.Presses(crew.Pressing(crew.Circuit1), 6.1, 5.2)
	fell := "pressure test KM-P1 of circuit 1: not within what the method allows, as far as recorded"
	c.stands("chamber A", fell+"; the plan wants a pressure test, and none holds 1A, 1B; pressure test KM-P1, before cover, 9 March 2026: not within what the method allows, as far as recorded (circuit 1); no pressure test holds 1A, 1B")
	c.Presses(crew.Pressing(crew.Circuit1), 6.1, 6.05)
	for _, says := range []string{c.covering("chamber A").Lines()[0], c.covering("chamber A").Lines()[1]} {
		if !slices.Contains([]string{"may be covered", "pressure test KM-P2, before cover, 9 March 2026: within what the method allows, as far as recorded (circuit 1)"}, says) {
			t.Errorf("tested again: %q", says)
		}
	}
}

// What no test holds and what is not made are told apart, joint by joint.
func TestWhatIsNotMadeIsNotUntested(t *testing.T) {
	c := onSite(t)
	c.made("1A", well())
	c.made("1B", well())
	c.Wait(time.Hour)
	c.Presses(crew.Pressing(crew.Circuit1), 6.1, 6.05)
	c.Do(acts.Cut(c.H, "KM-0002", "crooked"))
	lines := func() string { return strings.Join(c.covering("chamber A").Lines(), "; ") }
	if got := lines(); !strings.HasSuffix(got, "; without a weld, so in no test: 1B") || strings.Contains(got, "no pressure test holds") {
		t.Errorf("a joint without a weld: %q", got)
	}
	c.made("1B", well())
	if got := lines(); !strings.HasSuffix(got, "; no pressure test holds 1B") || strings.Contains(got, "in no test") {
		t.Errorf("a weld made after the test: %q", got)
	}
}

// A test that is entered later goes by the times that were stated: a weld of the day
// after is not in it, whatever the log has first.
func TestATestOfLastWeek(t *testing.T) {
	c := onSite(t)
	c.made("1A", well())
	c.made("1B", well())
	at := c.H.At.Local().Add(-26 * time.Hour)
	b := crew.Pressing(crew.Circuit1, func(b *logbook.PressureBegun) { b.Stated, b.Why = &at, "the laptop was elsewhere" })
	id := c.Begins(b)
	for i, bar := range []float64{6.1, 6.1} {
		read := at.Add(time.Duration(30*i) * time.Minute)
		c.Do(acts.ReadPressure(c.H, "", logbook.PressureRead{Test: id, Bar: &bar, Stated: &read}))
	}
	end := at.Add(31 * time.Minute)
	c.Do(acts.EndPressure(c.H, logbook.PressureEnded{Test: id, Ending: logbook.RanToEnd, Leaks: logbook.LeakNone, Stated: &end}))
	if got := c.came(); got != "KM-P1, before cover, 8 March 2026: within what the method allows, as far as recorded; without 1A, 1B" {
		t.Errorf("%q", got)
	}
	early := at.Add(-time.Hour)
	c.Refused(acts.ReadPressure(c.H, "", logbook.PressureRead{Test: id, Bar: new(6.0), Stated: &early}), logbook.ErrRule, "has ended")
}

// A site without a test hears nothing of tests, also after everything else that can
// happen to one.
func TestNoTestNoFinding(t *testing.T) {
	for _, tt := range faults {
		if slices.Contains([]string{audit.LeaksUnder, audit.ClosingUnseen, audit.UntestedSince, audit.TestMissing}, tt.rule) || strings.HasPrefix(tt.rule, "pressure-") && tt.rule != "pressure-lost" {
			continue
		}
		for _, rule := range rulesOf(seeded(t, tt.rule, tt.seed).run()) {
			if strings.HasPrefix(rule, "pressure-") && rule != "pressure-lost" || rule == audit.UntestedSince || rule == audit.ClosingUnseen {
				t.Errorf("%s finds %s", tt.rule, rule)
			}
		}
	}
}

// A joint that is moved in its hold after the test of its section is not in it.
func TestATestBeforeAJointWasMoved(t *testing.T) {
	c := onSite(t)
	c.made("1A", well())
	id := c.fused("1B", well())
	c.Presses(crew.Pressing(crew.Circuit1, func(b *logbook.PressureBegun) { b.Minutes = 2 }), 6.1, 6.1)
	c.wantCame("")
	c.Do(acts.Disturb(c.H, id, 4, "", "digger"))
	c.wantCame("; without 1B")
}

// Of a begin that was stated it counts what is known now of that time: no weld yet, one in
// its hold, one whose query was accepted later.
func TestNotAcceptedAtAStatedBegin(t *testing.T) {
	c := onSite(t)
	before := c.H.At.Local()
	weld := c.made("1A", well())
	held := c.Weld(weld).Ended.Local().Add(time.Second)
	c.correct(c.made("1B", flat()), hotIndicators, "up, up")
	c.Wait(5 * time.Hour)
	queried := c.H.At.Local()
	c.Wait(5 * time.Hour)
	for _, f := range audit.Acceptable(c.run().OfWeld("KM-0002")) {
		c.Do(acts.Accept(c.foreman(), none, f.Judged(), "the paper has it"))
	}
	c.Wait(time.Minute)
	for _, tt := range []struct {
		name string
		at   time.Time
		want []string
	}{
		{"before the welding", before, []string{"1A", "1B"}},
		{"in the hold of one, before the other", held, []string{"1A", "1B"}},
		{"before the query was accepted", queried, []string{"1B"}},
		{"once it was", c.H.At.Local(), nil},
	} {
		c.Begins(crew.Pressing(crew.Circuit1, func(b *logbook.PressureBegun) { b.Stated, b.Why = &tt.at, "the laptop was elsewhere" }))
		tests := c.run().Tests()
		if got := tests[len(tests)-1].Missing; !slices.Equal(got, tt.want) {
			t.Errorf("%s: %v, want %v", tt.name, got, tt.want)
		}
	}
}
