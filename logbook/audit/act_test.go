package audit_test

import (
	"reflect"
	"strings"
	"testing"
	"time"

	"coolhold/logbook"
	"coolhold/logbook/acts"
	"coolhold/logbook/ahead"
	"coolhold/logbook/audit"
	"coolhold/logbook/crew"
)

// refused wants an act refused with one line.
func (c *team) covering(part string) audit.Covering {
	c.T.Helper()
	for _, s := range ahead.Sections(c.Book, c.H.Site) {
		if s.Name == part {
			return audit.CoveringOf(c.Book, c.run(), s)
		}
	}
	c.T.Fatalf("no section %s", part)
	return audit.Covering{}
}

// An act is made on what somebody saw. What else is stored before it is refuses
// the signature where a fail is new or is another now, and nothing else does.
func TestAFailBetweenSeeingAndSigning(t *testing.T) {
	const day = "2026-03-09"
	tests := []struct {
		name, want string // "": it is signed
		between    func(*team)
	}{
		{"nothing", "", func(*team) {}},
		{"a new fail", "not signed: 1 open fail to be seen first", func(c *team) { c.made("1B", failing()) }},
		{"a fail of the same weld", "not signed: 1 open fail to be seen first", func(c *team) {
			l := well().felt
			l.Felt = "moves"
			c.Do(acts.ReadLook(c.H, "KM-0001", l))
		}},
		{"its facts are corrected", "not signed: 1 open fail to be seen first", func(c *team) { c.correct("KM-0001", "disturbed", "3") }},
		{"a query", "", func(c *team) {
			m := well()
			m.ran = 39
			c.made("1B", m)
		}},
		{"cut out", "", func(c *team) { c.Do(acts.Cut(c.H, "KM-0001", "moved")) }},
		{"a fail of the next day", "", func(c *team) { c.Wait(24 * time.Hour); c.made("1B", failing()) }},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			c := onSite(t)
			c.Do(acts.Disturb(c.H, c.fused("1A", well()), 2, "", "digger"))
			h := c.foreman()
			act := acts.SignDay(h, none, day, c.seen(day))
			tt.between(c)
			if tt.want != "" {
				c.Refused(act, logbook.ErrRule, tt.want)
				return
			}
			want := audit.Run(c.Book, c.H.Site, h.At, none).Closing(day)
			c.Do(act)
			if got, ok := c.Newest().Open().(logbook.DaySigned); !ok || !reflect.DeepEqual(got, want) || c.Newest().By != hedda {
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
	nobody := c.H
	nobody.By = "x"
	c.Refused(acts.SignDay(nobody, none, day, c.seen(day)), logbook.ErrRule, "signing a day needs a name")
	c.Refused(acts.SignDay(c.H, none, "2026-03-10", c.seen(day)), logbook.ErrRule, `"2026-03-10" is no day up to today, 2026-03-09`)
	c.Refused(acts.SignDay(c.H, none, "monday", c.seen(day)), logbook.ErrRule, `"monday" is no day`)
	c.Refused(acts.SignDay(c.H, none, day, audit.Seen(fails, nil)), logbook.ErrRule, "1 open fail to be seen first")
	c.Refused(acts.SignDay(c.H, none, day, audit.Seen(fails, []string{"wire-seen:KM-0001", "wet:KM-0001"})), logbook.ErrUnknown,
		`not signed: no open fail of 2026-03-09 or before has the key "wet:KM-0001"`)
	elsewhere := c.H
	elsewhere.Site = "nowhere"
	c.Refused(acts.SignDay(elsewhere, none, day, nil), logbook.ErrUnknown, "nowhere")
	c.Do(acts.SignDay(c.H, none, day, audit.Seen(fails, []string{"fail-not-cut-out:1A"}))) // the key of one for all that is seen at once
	if b := c.Newest().Open().(logbook.DaySigned); len(b.Acks) != 2 || audit.Tell(b.Acks[0]) != "KM-0001: heating wire visible after fusion" {
		t.Errorf("signed %+v", b)
	}
}

// What is missing in a section is what somebody saw, or it is not covered so.
func TestAJointBetweenSeeingAndCovering(t *testing.T) {
	tests := []struct {
		name       string
		allTheSame bool
		want       string
		between    func(*team)
	}{
		{"nothing missing, nothing between", false, "", func(*team) {}},
		{"a joint of it is open", false, "run spine: not recorded: 1 joint missing: X1 recheck asked", func(c *team) { c.Do(acts.AskRecheck(c.foreman(), "KM-0001", "the melt")) }},
		{"pressure lost, nobody knows where", false, "not recorded: pressure lost on 2026-03-09, the whole site, and not repaired", func(c *team) {
			c.Do(acts.Happen(c.H, "", logbook.Happened{What: logbook.PressureLost, On: "2026-03-09", Text: "gauge"}))
		}},
		{"all the same, a joint more", true, "what is missing there has changed meanwhile", func(c *team) { c.Do(acts.AskRecheck(c.foreman(), "KM-0001", "the melt")) }},
		{"all the same, lost meanwhile", true, "what is missing there has changed meanwhile", func(c *team) {
			c.Do(acts.Happen(c.H, "", logbook.Happened{What: logbook.PressureLost, On: "2026-03-09", Text: "gauge"}))
		}},
		{"all the same, elsewhere", true, "", func(c *team) { c.made("1B", failing()) }},
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
				c.Refused(act, logbook.ErrRule, tt.want)
				return
			}
			c.Do(act)
			if b, ok := c.Newest().Open().(logbook.Covered); !ok || b.Section != "run spine" || (strings.Join(b.Missing, " ") == "X2") != tt.allTheSame {
				t.Errorf("covered as %+v", b)
			}
		})
	}
}

func TestWhatIsNotCovered(t *testing.T) {
	c := onSite(t)
	nobody := c.H
	nobody.By = ""
	c.Refused(acts.CoverSection(nobody, none, c.covering("chamber A"), true), logbook.ErrRule, "covering needs a name")
	c.Refused(acts.CoverSection(c.H, none, c.covering("chamber A"), false), logbook.ErrRule, "2 joints missing: 1A open, 1B open")
	c.Refused(acts.CoverSection(c.H, none, audit.Covering{Section: "chamber Z"}, true), logbook.ErrUnknown, "chamber Z")
}

// A query is accepted as it was read, and only while it stands.
func TestAFindingBetweenReadingAndAccepting(t *testing.T) {
	m := well()
	m.ran = 39
	tests := []struct {
		name, want string
		between    func(*team, audit.Finding)
	}{
		{"nothing", "", func(*team, audit.Finding) {}},
		{"its facts are corrected", "run-unlike-set:KM-0001: its facts have changed meanwhile: read it again", func(c *team, _ audit.Finding) { c.correct("KM-0001", "seconds run", "38") }},
		{"it is corrected away", "run-unlike-set:KM-0001: it is found no longer", func(c *team, _ audit.Finding) { c.correct("KM-0001", "seconds run", "40") }},
		{"another accepted it", "accepted by " + crew.Ada + " already", func(c *team, f audit.Finding) { c.Do(acts.Accept(c.H, none, f.Judged(), "read twice")) }},
		{"its weld is cut out", "settled: its weld no longer stands", func(c *team, _ audit.Finding) { c.Do(acts.Cut(c.H, "KM-0001", "short")) }},
		{"another query", "", func(c *team, _ audit.Finding) { c.correct("KM-0001", logbook.ItemBatch, "W-9") }},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			c := onSite(t)
			c.made("1A", m)
			f := only(t, c.run(), "run-unlike-set")
			act := acts.Accept(c.foreman(), none, f.Judged(), "seen on site")
			tt.between(c, f)
			if tt.want != "" {
				c.Refused(act, logbook.ErrRule, tt.want)
				return
			}
			c.Do(act)
			if b := c.Newest().Open().(logbook.Reviewed); !b.Same(f.Judged()) || c.Newest().Weld != "KM-0001" || c.Newest().Joint != "1A" {
				t.Errorf("accepted as %+v of %s", b, c.Newest().Weld)
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
	c.Do(acts.Withdraw(c.H, none, f.Judged(), "not so sure"))
	c.Refused(act, logbook.ErrRule, "it is not accepted: there is nothing to withdraw")
	c.answer(f, true)
	c.correct("KM-0001", "seconds run", "38")
	c.Refused(act, logbook.ErrRule, "its facts have changed meanwhile")
}

// The file for the client bears no answer without a name or a reason.
func TestAReviewNeedsNameAndReason(t *testing.T) {
	c := onSite(t)
	m := well()
	m.ran = 39
	c.made("1A", m)
	f := only(t, c.run(), "run-unlike-set").Judged()
	for _, by := range []string{"x", ".", "1 2 3", "  "} {
		h := c.H
		h.By = by
		c.Refused(acts.Accept(h, none, f, "seen on site"), logbook.ErrRule, "a review needs a name")
	}
	for _, why := range []string{".", "ok", "- - -", " "} {
		c.Refused(acts.Accept(c.H, none, f, why), logbook.ErrRule, "a review needs a reason")
	}
	c.Do(acts.Accept(c.H, none, f, "4 °C, dry"))
}
