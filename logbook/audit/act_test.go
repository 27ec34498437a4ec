package audit_test

import (
	"errors"
	"reflect"
	"strings"
	"testing"
	"time"

	"coolhold/logbook"
	"coolhold/logbook/acts"
	"coolhold/logbook/ahead"
	"coolhold/logbook/audit"
)

// refused wants an act refused with one line.
func (c *crew) refused(act acts.Act, kind error, want string) {
	c.t.Helper()
	_, err := act(c.book)
	if !errors.Is(err, kind) || !strings.Contains(err.Error(), want) || strings.Contains(err.Error(), "\n") {
		c.t.Errorf("refused with %v, want %q", err, want)
	}
}

func (c *crew) covering(part string) audit.Covering {
	c.t.Helper()
	for _, s := range ahead.Sections(c.book, c.h.Site) {
		if s.Name == part {
			return audit.CoveringOf(c.book, c.run(), s)
		}
	}
	c.t.Fatalf("no section %s", part)
	return audit.Covering{}
}

// An act is made on what somebody saw. What else is stored before it is refuses
// the signature where a fail is new or is another now, and nothing else does.
func TestAFailBetweenSeeingAndSigning(t *testing.T) {
	const day = "2026-03-09"
	tests := []struct {
		name, want string // "": it is signed
		between    func(*crew)
	}{
		{"nothing", "", func(*crew) {}},
		{"a new fail", "not signed: 1 open fail to be seen first", func(c *crew) { c.made("1B", failing()) }},
		{"a fail of the same weld", "not signed: 1 open fail to be seen first", func(c *crew) {
			l := well().felt
			l.Felt = "moves"
			c.do(acts.ReadLook(c.h, "KM-0001", l))
		}},
		{"its facts are corrected", "not signed: 1 open fail to be seen first", func(c *crew) { c.correct("KM-0001", "disturbed", "3") }},
		{"a query", "", func(c *crew) {
			m := well()
			m.ran = 39
			c.made("1B", m)
		}},
		{"cut out", "", func(c *crew) { c.do(acts.Cut(c.h, "KM-0001", "moved")) }},
		{"a fail of the next day", "", func(c *crew) { c.wait(24 * time.Hour); c.made("1B", failing()) }},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			c := onSite(t)
			c.do(acts.Disturb(c.h, c.fused("1A", well()), 2, "digger"))
			h := c.foreman()
			act := acts.SignDay(h, none, day, c.seen(day))
			tt.between(c)
			if tt.want != "" {
				c.refused(act, logbook.ErrRule, tt.want)
				return
			}
			want := audit.Run(c.book, c.h.Site, h.At, none).Closing(day)
			c.do(act)
			if got, ok := c.last.Open().(logbook.DaySigned); !ok || !reflect.DeepEqual(got, want) || c.last.By != hedda {
				t.Errorf("signed %+v, want %+v", got, want)
			}
		})
	}
}

// A signature needs a day that has come, a name, and keys that are those of
// fails where they were written down.
func TestWhatIsNotSigned(t *testing.T) {
	c := onSite(t)
	const day = "2026-03-09"
	c.made("1A", failing())
	fails := c.run().OpenFails(day)
	nobody := c.h
	nobody.By = "x"
	c.refused(acts.SignDay(nobody, none, day, c.seen(day)), logbook.ErrRule, "signing a day needs a name")
	c.refused(acts.SignDay(c.h, none, "2026-03-10", c.seen(day)), logbook.ErrRule, `"2026-03-10" is no day up to today, 2026-03-09`)
	c.refused(acts.SignDay(c.h, none, "monday", c.seen(day)), logbook.ErrRule, `"monday" is no day`)
	c.refused(acts.SignDay(c.h, none, day, audit.Seen(fails, nil)), logbook.ErrRule, "1 open fail to be seen first")
	c.refused(acts.SignDay(c.h, none, day, audit.Seen(fails, []string{"wire-seen:KM-0001", "wet:KM-0001"})), logbook.ErrUnknown,
		`not signed: no open fail of 2026-03-09 or before has the key "wet:KM-0001"`)
	elsewhere := c.h
	elsewhere.Site = "nowhere"
	c.refused(acts.SignDay(elsewhere, none, day, nil), logbook.ErrUnknown, "nowhere")
	c.do(acts.SignDay(c.h, none, day, audit.Seen(fails, []string{"fail-not-cut-out:1A"}))) // the key of one for all that is seen at once
	if b := c.last.Open().(logbook.DaySigned); len(b.Acks) != 2 || audit.Tell(b.Acks[0]) != "KM-0001: heating wire visible after fusion" {
		t.Errorf("signed %+v", b)
	}
}

// What is missing in a section is what somebody saw, or it is not covered so.
func TestAJointBetweenSeeingAndCovering(t *testing.T) {
	tests := []struct {
		name       string
		allTheSame bool
		want       string
		between    func(*crew)
	}{
		{"nothing missing, nothing between", false, "", func(*crew) {}},
		{"a joint of it is open", false, "run spine: not recorded: 1 joint missing: X1 recheck asked", func(c *crew) { c.do(acts.AskRecheck(c.foreman(), "KM-0001", "the melt")) }},
		{"pressure lost, nobody knows where", false, "not recorded: pressure lost on 2026-03-09, the whole site, and not repaired", func(c *crew) {
			c.do(acts.Happen(c.h, "", logbook.Happened{What: logbook.PressureLost, On: "2026-03-09", Text: "gauge"}))
		}},
		{"all the same, a joint more", true, "what is missing there has changed meanwhile", func(c *crew) { c.do(acts.AskRecheck(c.foreman(), "KM-0001", "the melt")) }},
		{"all the same, lost meanwhile", true, "what is missing there has changed meanwhile", func(c *crew) {
			c.do(acts.Happen(c.h, "", logbook.Happened{What: logbook.PressureLost, On: "2026-03-09", Text: "gauge"}))
		}},
		{"all the same, elsewhere", true, "", func(c *crew) { c.made("1B", failing()) }},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			c := onSite(t)
			c.onPipe("X1", "spine", "")
			c.made("X1", well())
			if tt.allTheSame {
				c.onPipe("X2", "spine", "")
			}
			act := acts.CoverSection(c.foreman(), none, c.covering("run spine"), tt.allTheSame)
			tt.between(c)
			if tt.want != "" {
				c.refused(act, logbook.ErrRule, tt.want)
				return
			}
			c.do(act)
			if b, ok := c.last.Open().(logbook.Covered); !ok || b.Section != "run spine" || (strings.Join(b.Missing, " ") == "X2") != tt.allTheSame {
				t.Errorf("covered as %+v", b)
			}
		})
	}
}

func TestWhatIsNotCovered(t *testing.T) {
	c := onSite(t)
	nobody := c.h
	nobody.By = ""
	c.refused(acts.CoverSection(nobody, none, c.covering("chamber A"), true), logbook.ErrRule, "covering needs a name")
	c.refused(acts.CoverSection(c.h, none, c.covering("chamber A"), false), logbook.ErrRule, "2 joints missing: 1A open, 1B open")
	c.refused(acts.CoverSection(c.h, none, audit.Covering{Section: "chamber Z"}, true), logbook.ErrUnknown, "chamber Z")
}

// A query is accepted as it was read, and only while it stands.
func TestAFindingBetweenReadingAndAccepting(t *testing.T) {
	m := well()
	m.ran = 39
	tests := []struct {
		name, want string
		between    func(*crew, audit.Finding)
	}{
		{"nothing", "", func(*crew, audit.Finding) {}},
		{"its facts are corrected", "run-unlike-set:KM-0001: its facts have changed meanwhile: read it again", func(c *crew, _ audit.Finding) { c.correct("KM-0001", "seconds run", "38") }},
		{"it is corrected away", "run-unlike-set:KM-0001: it is found no longer", func(c *crew, _ audit.Finding) { c.correct("KM-0001", "seconds run", "40") }},
		{"another accepted it", "accepted by " + ada + " already", func(c *crew, f audit.Finding) { c.do(acts.Accept(c.h, none, f.Judged(), "read twice")) }},
		{"its weld is cut out", "settled: its weld no longer stands", func(c *crew, _ audit.Finding) { c.do(acts.Cut(c.h, "KM-0001", "short")) }},
		{"another query", "", func(c *crew, _ audit.Finding) { c.correct("KM-0001", logbook.ItemBatch, "W-9") }},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			c := onSite(t)
			c.made("1A", m)
			f := only(t, c.run(), "run-unlike-set")
			act := acts.Accept(c.foreman(), none, f.Judged(), "seen on site")
			tt.between(c, f)
			if tt.want != "" {
				c.refused(act, logbook.ErrRule, tt.want)
				return
			}
			c.do(act)
			if b := c.last.Open().(logbook.Reviewed); !b.Same(f.Judged()) || c.last.Weld != "KM-0001" || c.last.Joint != "1A" {
				t.Errorf("accepted as %+v of %s", b, c.last.Weld)
			}
		})
	}
}

func TestAnAnswerBetweenReadingAndWithdrawing(t *testing.T) {
	c := onSite(t)
	m := well()
	m.ran = 39
	c.made("1A", m)
	c.answer(only(t, c.run(), "run-unlike-set"), true)
	f := only(t, c.run(), "run-unlike-set")
	act := acts.Withdraw(c.foreman(), none, f.Judged(), "it was another weld")
	c.do(acts.Withdraw(c.h, none, f.Judged(), "not so sure"))
	c.refused(act, logbook.ErrRule, "it is not accepted: there is nothing to withdraw")
	c.answer(f, true)
	c.correct("KM-0001", "seconds run", "38")
	c.refused(act, logbook.ErrRule, "its facts have changed meanwhile")
}

// The file for the client bears no answer without a name or a reason.
func TestAReviewNeedsNameAndReason(t *testing.T) {
	c := onSite(t)
	m := well()
	m.ran = 39
	c.made("1A", m)
	f := only(t, c.run(), "run-unlike-set").Judged()
	for _, by := range []string{"x", ".", "1 2 3", "  "} {
		h := c.h
		h.By = by
		c.refused(acts.Accept(h, none, f, "seen on site"), logbook.ErrRule, "a review needs a name")
	}
	for _, why := range []string{".", "ok", "- - -", " "} {
		c.refused(acts.Accept(c.h, none, f, why), logbook.ErrRule, "a review needs a reason")
	}
	c.do(acts.Accept(c.h, none, f, "4 °C, dry"))
}
