package audit_test

import (
	"errors"
	"slices"
	"strings"
	"testing"
	"time"

	"coolhold/logbook"
	"coolhold/logbook/acts"
	"coolhold/logbook/ahead"
	"coolhold/logbook/audit"
	"coolhold/logbook/crew"
)

// What is stated of a weld beside what its unit and the shifts say.
func TestEdgesOfWhatIsStated(t *testing.T) {
	from := func(before time.Duration) func(*acts.LateWeld) {
		return func(l *acts.LateWeld) { l.Started = l.Ended.Add(-before) }
	}
	tests := []struct {
		name, rule, says string
		seed             func(*team)
	}{
		{"two minutes off", "stated-times-unlike", "", late(from(2*time.Minute + 40*time.Second))},
		{"more", "stated-times-unlike", "is 85 min, its unit ran 40 s", late(from(85 * time.Minute))},
		{"too short", "stated-times-unlike", "is 0 min, its unit ran 190 s", late(func(l *acts.LateWeld) { l.Started, *l.Run = l.Ended, 190 })},
		{"not run, but set", "stated-times-unlike", "its unit was set to 40 s", late(func(l *acts.LateWeld) { from(time.Hour)(l); l.Run = nil })},
		{"neither is known", "stated-times-unlike", "", late(func(l *acts.LateWeld) { from(time.Hour)(l); l.Run, l.SecondsShown = nil, 0 })},
		{"stopped, and nobody said when", "stated-times-unlike", "", late(func(l *acts.LateWeld) {
			from(time.Hour)(l)
			l.Run, l.Outcome = nil, logbook.Stopped
		})},
		{"stopped at", "stated-times-unlike", "its unit stopped at 17 s", late(func(l *acts.LateWeld) {
			at := 17
			from(time.Hour)(l)
			l.Run, l.Outcome, l.StoppedAt = nil, logbook.Stopped, &at
		})},
		{"no end", "stated-times-unlike", "", late(func(l *acts.LateWeld) { from(time.Hour)(l); l.Ended, l.Released = time.Time{}, time.Time{} })},

		{"nobody knows him", "not-on-a-shift", `KM-0001: operator "Nobody Known" is on no shift of the site; unit "CU-999" is`, late(func(l *acts.LateWeld) { l.Operator, l.Unit = "Nobody Known", "CU-999" })},
		{"in other letters", "not-on-a-shift", "", late(func(l *acts.LateWeld) { l.Operator, l.Unit = " ada  INVENTED", "cu-1" })},
		{"a mark", "not-on-a-shift", `operator "ai" is on no shift of the site (ai is the mark of Ada Invented)`, func(c *team) {
			c.closed()
			c.marked("AI")
			c.late(func(l *acts.LateWeld) { l.Operator = "ai" })
		}},
		{"no shift was ever started", "not-on-a-shift", "", func(c *team) {
			c.late(func(l *acts.LateWeld) { l.Unit = "CU-999" })
			s, _ := c.Book.Site(c.H.Site)
			s.Shifts = nil
			c.Book.PutSite(s)
		}},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			c := onSite(t)
			tt.seed(c)
			c.says(tt.rule, tt.says)
		})
	}
}

// marked starts a shift on which Ada writes a mark.
func (c *team) marked(mark string) {
	c.T.Helper()
	c.Do(acts.StartShift(c.H, logbook.ShiftStarted{
		Day: "2026-03-09", Operators: []logbook.Operator{{Name: crew.Ada, Mark: mark}}, Units: []logbook.Unit{{Serial: crew.Unit}},
		Weather: logbook.Weather{Sky: "dry", Shelter: "none"},
	}))
}

// What comes to a day once it was signed is found until it is signed again.
func TestADayChangedAfterItsSignature(t *testing.T) {
	c := onSite(t)
	since := func(want string) {
		t.Helper()
		s, _ := c.run().SinceSigned("2026-03-09")
		if got := s.Line(); got != want || s.Any() != (want != "") {
			t.Errorf("%q, want %q", got, want)
		}
	}
	sign := func() { c.Do(acts.SignDay(c.foreman(), none, "2026-03-09", c.seen("2026-03-09"))) }
	if _, signed := c.run().SinceSigned("2026-03-09"); signed {
		t.Error("never signed, and signed")
	}
	id := c.made("1A", well())
	walk := c.begun("1B", well())
	sign()
	since("")
	c.says("day-changed-after-signing", "")
	c.Do(acts.StartFusion(c.H, walk, 0)) // begun before, and fused after
	c.says("day-changed-after-signing", "KM-0002 came to 2026-03-09 after "+hedda+" had signed that day on 9 Mar 08:")
	since("changed since: KM-0002 added")
	c.correct(id, logbook.ItemPipeBatch, "coil 8")
	since("changed since: KM-0002 added, KM-0001 corrected")
	sign()
	since("")
	c.says("day-changed-after-signing", "")
	c.Do(acts.EndFusion(c.H, walk, logbook.FusionEnded{Outcome: logbook.Completed}))
	c.Wait(24 * time.Hour)
	c.made(c.added("X1"), well())
	c.says("day-changed-after-signing", "") // of another day
	since("")
}

// Who made a weld and passed it himself is named, by name or by mark, and
// cannot answer that either; another can, and what is withdrawn is open again.
func TestAcceptedByItsOwnOperator(t *testing.T) {
	c := onSite(t)
	c.closed()
	c.marked("AI")
	m := well()
	m.ran = 39
	id := c.made("1A", m)
	own := c.H
	own.By = "ai"
	c.Do(acts.Accept(own, none, only(t, c.run(), "run-unlike-set").Judged(), "read twice"))
	c.says("self-accepted", "KM-0001 was made by Ada Invented, and ai accepted on it: seconds run, as the unit showed, unlike the seconds set")
	f := only(t, c.run(), "self-accepted")
	own.By = "ADA Invented, welder"
	if _, err := acts.Accept(own, none, f.Judged(), "still mine")(c.Book); !errors.Is(err, logbook.ErrRule) || !strings.Contains(err.Error(), "somebody else") {
		t.Errorf("the operator accepts it: %v", err)
	}
	c.Do(crew.Raw(c.H, "", id, logbook.Reviewed{Judged: f.Judged(), Accepted: true, Why: "past the act"}))
	if f = only(t, c.run(), "self-accepted"); f.Settled || c.run().Verdict(id) != audit.Queried {
		t.Errorf("settled by himself: %+v", f)
	}
	c.Do(acts.Accept(c.foreman(), none, f.Judged(), "looked at it too"))
	if f = only(t, c.run(), "self-accepted"); !f.Settled || c.run().Verdict(id) != audit.Accepted {
		t.Errorf("%+v", f)
	}
	c.Do(acts.Withdraw(c.foreman(), none, only(t, c.run(), "run-unlike-set").Judged(), "it was another weld"))
	c.says("self-accepted", "")
	f = only(t, c.run(), "run-unlike-set")
	if f.Settled || c.run().Verdict(id) != audit.Queried {
		t.Errorf("withdrawn: %+v", f)
	}
	if _, err := acts.Withdraw(c.foreman(), none, f.Judged(), "once more")(c.Book); !errors.Is(err, logbook.ErrRule) {
		t.Errorf("withdrawn twice: %v", err)
	}
	c.Do(acts.Accept(c.foreman(), none, f.Judged(), "read it myself"))
	c.says("self-accepted", "")
}

// While the foreman waits for an answer nothing is clear, and a circuit that
// lost its pressure is not either.
func TestNothingIsClearThatWaits(t *testing.T) {
	c := onSite(t)
	id := c.made("1A", well())
	c.made("1B", well())
	state := func(want audit.State, v audit.Verdict, settled bool) {
		t.Helper()
		j, _ := c.Book.Joint(c.H.Site, "1A")
		res := c.run()
		if got := res.StateOf(j); got != want || res.Verdict(id) != v || res.Settled(j) != settled {
			t.Errorf("%q, %q, settled %v; want %q, %q, %v", got, res.Verdict(id), res.Settled(j), want, v, settled)
		}
	}
	state("clear", audit.Clear, true)
	c.Do(acts.AskRecheck(c.foreman(), id, "the melt"))
	state("query", audit.Queried, false)
	c.Do(acts.ReadLook(c.foreman(), id, well().felt))
	state("clear", audit.Clear, true)
	c.Do(acts.Happen(c.H, "", logbook.Happened{What: logbook.PressureLost, On: "2026-03-09", Circuit: 1, Text: "fell"}))
	state("pressure lost", audit.Clear, false)
	c.Do(acts.OrderCut(c.foreman(), id, "leaks"))
	state("fail", audit.Failed, false)
	c.Do(acts.WithdrawCut(c.foreman(), id, "it was the other leg"))
	if _, err := acts.WithdrawCut(c.foreman(), id, "once more")(c.Book); !errors.Is(err, logbook.ErrRule) {
		t.Errorf("withdrawn twice: %v", err)
	}
	state("pressure lost", audit.Clear, false)
	c.Do(acts.Happen(c.H, "", logbook.Happened{What: logbook.Repaired, On: "2026-03-09", Circuit: 1, Text: "sleeve"}))
	state("clear", audit.Clear, true)
}

// What is not settled is counted once, and as the sections count it.
func TestUnsettledAsTheSectionsSay(t *testing.T) {
	c := onSite(t)
	c.onPipe("X1", "spine", "")
	c.onPipe("X2", "spine", "")
	c.made("1A", well())
	c.made("X1", well())
	c.closed() // X1 and 1A settled
	c.shift("", "")
	c.made("1B", failing())
	c.Do(crew.Raw(c.H, "", "", logbook.Covered{Section: "run spine", Missing: []string{"X1", "X2"}}))
	c.Do(acts.StrikeJoint(c.H, "X2", "not needed"))
	var got, want []string
	res := c.run()
	for _, l := range res.Unsettled() {
		got = append(got, l.Joint+" "+l.State)
	}
	for _, s := range ahead.Sections(c.Book, c.H.Site) {
		for _, l := range audit.Missing(c.Book, res, s) {
			want = append(want, l.Joint+" "+l.State)
		}
	}
	slices.Sort(want)
	if !slices.Equal(got, want) || strings.Join(got, ", ") != "1B fail, X1 covered before accepted" {
		t.Errorf("%q, the sections %q", got, want)
	}
	for _, j := range c.Book.Joints(c.H.Site) {
		if lacking := slices.ContainsFunc(got, func(s string) bool { return strings.HasPrefix(s, j.Label+" ") }); res.Settled(j) == lacking {
			t.Errorf("%s: settled and missing, or neither", j.Label)
		}
	}
}

// Findings are in the order of the plan, not of letters.
func TestFindingsInTheOrderOfThePlan(t *testing.T) {
	c := onSite(t)
	c.made("1A", well())
	c.made("1B", well())
	c.added("N-10A")
	c.added("N-2A")
	c.added("A1")
	var got []string
	for _, f := range c.run().Findings {
		got = append(got, f.Joint)
	}
	if want := []string{"N-10A", "N-2A", "A1"}; !slices.Equal(got, want) {
		t.Errorf("%q, want %q", got, want)
	}
}
