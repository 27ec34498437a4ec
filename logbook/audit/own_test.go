package audit_test

import (
	"errors"
	"slices"
	"strings"
	"testing"
	"time"

	"coolhold/logbook"
	"coolhold/logbook/acts"
	"coolhold/logbook/audit"
	"coolhold/logbook/crew"
)

// as is the head of another person.
func (c *team) by(name string) acts.Head {
	h := c.H
	h.By = name
	return h
}

// correctedBy is 1B whose fail somebody corrects away, who then accepts what is left.
func (c *team) correctedBy(name string) {
	c.T.Helper()
	id := c.made("1B", flat())
	c.Do(acts.Correct(c.by(name), id, hotIndicators, "up, up", "misread"))
	c.Do(acts.Accept(c.by(name), none, only(c.T, c.run(), "corrected-away-fail").Judged(), "misread"))
}

func short() manner {
	m := well()
	m.ran = 39
	return m
}

// says an entry of somebody's, past any act.
func (c *team) named(b logbook.PersonNamed) {
	c.T.Helper()
	c.Do(crew.Raw(c.H, "", "", b))
}

// However the operator writes his name, what he accepts on his own weld stays open.
func TestOwnWorkUnderAnotherWriting(t *testing.T) {
	for _, name := range []string{
		crew.Ada, "Ada Invented.", "Invented, Ada", "A. Invented", "Adá Invented", "Аda Invented", "Ada In\u200bvented", "Ａｄａ Ｉｎｖｅｎｔｅｄ",
		"Ada Invented (foreman)", "Ada Invented, office", "ADA", "foreman Ada Invented", "AdaInvented", "Adа Іnvеntеd (client).",
	} {
		c := onSite(t)
		id := c.made("1A", short())
		c.Do(acts.Accept(c.by(name), none, only(t, c.run(), "run-unlike-set").Judged(), "read twice"))
		f := only(t, c.run(), "self-accepted")
		if f.Settled || c.run().Verdict(id) != audit.Queried {
			t.Errorf("%q passes Ada's work", name)
		}
		if _, err := acts.Accept(c.by(name), none, f.Judged(), "once more")(c.Book); !errors.Is(err, logbook.ErrRule) || !strings.Contains(err.Error(), "somebody else") {
			t.Errorf("%q: %v", name, err)
		}
		c.Do(acts.Accept(c.foreman(), none, f.Judged(), "looked at it"))
		if c.run().Verdict(id) != audit.Accepted {
			t.Errorf("%q: %q when another has looked", name, c.run().Verdict(id))
		}
	}
}

// Who was told apart from the operator is another person.
func TestWhoWasToldApartMayAccept(t *testing.T) {
	c := onSite(t)
	c.named(logbook.PersonNamed{Name: crew.Ada, Number: 2, Others: []string{crew.Ada}})
	id := c.made("1A", short())
	c.Do(acts.Accept(c.by(crew.Ada+" (2)"), none, only(t, c.run(), "run-unlike-set").Judged(), "his father's"))
	c.says("self-accepted", "")
	if v := c.run().Verdict(id); v != audit.Accepted {
		t.Error(v)
	}
}

// A correction is always taken. What it would pass of the corrector's own work
// waits for somebody who neither made the weld nor corrected it.
func TestCorrectionsOfOwnWorkWaitForAnother(t *testing.T) {
	hedda := "Hedda Invented"
	couldNot := func() manner {
		m := well()
		m.answers["clamped"] = logbook.CouldNot
		return m
	}
	tests := []struct {
		name, rule, says string
		seed             func(c *team) string
		not              []string // who cannot accept it
	}{
		{"could not to done", audit.CorrectedOwn, "clamped corrected from could not to done by Ada Invented (misread), who made it; as recorded: could not: clamped", func(c *team) string {
			id := c.made("1A", couldNot())
			c.correct(id, "clamped", logbook.Done)
			return id
		}, []string{crew.Ada, "A. Invented"}},
		{"a figure", audit.CorrectedOwn, "seconds run corrected from 39 to 40", func(c *team) string {
			id := c.made("1A", short())
			c.Do(acts.Correct(c.by("Invented, Ada"), id, "seconds run", "40", "misread"))
			return id
		}, []string{crew.Ada}},
		{"a start, beside another weld", audit.CorrectedOwn, "started corrected", func(c *team) string {
			c.Wait(30 * time.Minute)
			c.made("1A", well())
			c.Wait(20 * time.Minute)
			c.late(func(l *acts.LateWeld) {
				l.Started = c.fusedAt("KM-0001").Add(-30 * time.Second)
				l.Ended, l.Released = l.Started.Add(2*time.Minute), l.Started.Add(10*time.Minute)
			})
			c.says("fusions-overlap", "KM-0002")
			c.correct("KM-0002", "started", c.fusedAt("KM-0001").Add(65*time.Second).Format(time.RFC3339))
			return "KM-0002"
		}, []string{crew.Ada}},
		{"from paper", audit.CorrectedOwn, "clamped corrected from could not to done", func(c *team) string {
			c.late(func(l *acts.LateWeld) {
				l.Paper = &logbook.PaperRow{File: "s.csv", Line: 2, Key: "k"}
				for i := range l.Answers {
					if l.Answers[i].Item == "clamped" {
						l.Answers[i].V = logbook.CouldNot
					}
				}
			})
			c.correct("KM-0001", "clamped", logbook.Done)
			return "KM-0001"
		}, []string{crew.Ada}},
		{"out of the weld", audit.CorrectedOwn, "operator corrected from Ada Invented to Bo Invented by Ada Invented (misread), who made it himself", func(c *team) string {
			id := c.made("1A", well())
			c.correct(id, logbook.FieldOperator, "Bo Invented")
			return id
		}, []string{crew.Ada, "Bo Invented"}},
		{"out of the weld, and then could not to done", audit.CorrectedOwn, "clamped corrected from could not to done", func(c *team) string {
			id := c.made("1A", couldNot())
			c.correct(id, logbook.FieldOperator, "Bo Invented")
			c.correct(id, "clamped", logbook.Done)
			return id
		}, []string{crew.Ada, "Bo Invented"}},
		{"out of the weld by another, then accepted", "self-accepted", "KM-0001 was made by Ada Invented, and Ada Invented accepted on it: seconds run, as the unit showed, unlike the seconds set", func(c *team) string {
			id := c.made("1A", short())
			c.Do(acts.Correct(c.by("Tam Okoro"), id, logbook.FieldOperator, "Bo Invented", "asked both"))
			c.Do(acts.Accept(c.H, none, only(c.T, c.run(), "run-unlike-set").Judged(), "read twice"))
			return id
		}, []string{crew.Ada, "Bo Invented"}},
		{"a fail, accepted by its operator", "self-accepted", "accepted on it: a weld that failed as it was recorded and no longer does, a value being corrected", func(c *team) string {
			id := c.made("1A", flat())
			c.correct(id, hotIndicators, "up, up")
			c.Do(acts.Accept(c.H, none, only(c.T, c.run(), "corrected-away-fail").Judged(), "misread"))
			return id
		}, []string{crew.Ada}},
		{"a fail, accepted by who corrected it", audit.CorrectorAccepted, "KM-0001: T. Okoro corrected a fail away and accepted it himself: a weld that failed as it was recorded and no longer does, a value being corrected", func(c *team) string {
			id := c.made("1A", flat())
			c.Do(acts.Correct(c.by("Tam Okoro"), id, hotIndicators, "up, up", "misread"))
			c.Do(acts.Accept(c.by("T. Okoro"), none, only(c.T, c.run(), "corrected-away-fail").Judged(), "misread"))
			return id
		}, []string{crew.Ada, "Tam Okoro", "Okoro, Tam"}},
		{"an order to cut it out", audit.OrderOwn, "KM-0001 was made by Ada Invented, and Ada Invented took the order to cut it out back (not so)", func(c *team) string {
			id := c.made("1A", well())
			c.Do(acts.OrderCut(c.foreman(), id, "crooked"), acts.WithdrawCut(c.H, id, "not so"))
			return id
		}, []string{crew.Ada}},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			c := onSite(t)
			id := tt.seed(c)
			c.says(tt.rule, tt.says)
			f := only(t, c.run(), tt.rule)
			for _, name := range tt.not {
				if _, err := acts.Accept(c.by(name), none, f.Judged(), "it is so")(c.Book); !errors.Is(err, logbook.ErrRule) || !strings.Contains(err.Error(), "somebody else must accept this") {
					t.Errorf("%s accepts it: %v", name, err)
				}
				h := c.by(name)
				c.Do(crew.Raw(h, "", id, logbook.Reviewed{Judged: f.Judged(), Accepted: true, Why: "past the act"}))
				if g := only(t, c.run(), tt.rule); g.Settled || c.run().Verdict(id) != audit.Queried {
					t.Errorf("settled by %s", name)
				}
			}
			c.Do(acts.Accept(c.by(hedda), none, f.Judged(), "asked both"))
			if g := only(t, c.run(), tt.rule); !g.Settled {
				t.Errorf("open when another has looked: %s", g.Says)
			}
		})
	}
}

// Nothing is asked where nobody passes his own work.
func TestCorrectionsThatPassNothing(t *testing.T) {
	for name, seed := range map[string]func(*team){
		"a value without a query": func(c *team) { c.correct(c.made("1A", well()), logbook.ItemPipeBatch, "coil 8") },
		"by the foreman": func(c *team) {
			c.Do(acts.Correct(c.foreman(), c.made("1A", short()), "seconds run", "40", "misread"))
		},
		"his own name written better": func(c *team) { c.correct(c.made("1A", well()), logbook.FieldOperator, "Ada M. Invented") },
		"corrected back": func(c *team) {
			id := c.made("1A", short())
			c.correct(id, "seconds run", "40")
			c.correct(id, "seconds run", "39")
		},
		"an order given anew": func(c *team) {
			id := c.made("1A", well())
			c.Do(acts.OrderCut(c.foreman(), id, "crooked"), acts.WithdrawCut(c.H, id, "not so"), acts.OrderCut(c.foreman(), id, "it is"))
		},
	} {
		t.Run(name, func(t *testing.T) {
			c := onSite(t)
			seed(c)
			for _, rule := range []string{audit.CorrectedOwn, audit.CorrectorAccepted, audit.OrderOwn, audit.OwnWelder} {
				c.says(rule, "")
			}
		})
	}
}

// Who works alone finishes; what he passed is counted apart, until another looks.
func TestWorksAlone(t *testing.T) {
	c := onSite(t)
	id := c.made("1A", short())
	c.made("1B", well())
	c.closed()
	c.Do(acts.Accept(c.H, none, only(t, c.run(), "run-unlike-set").Judged(), "read twice"))
	want := func(v audit.Verdict, tally string, settled bool) {
		t.Helper()
		res, j := c.run(), c.Joint("1A")
		if res.Verdict(id) != v || res.Settled(j) != settled || res.Tally(c.Book.Welds(c.H.Site)) != tally {
			t.Errorf("%q, %q, settled %v; want %q, %q, %v", res.Verdict(id), res.Tally(c.Book.Welds(c.H.Site)), res.Settled(j), v, tally, settled)
		}
	}
	want(audit.Queried, "2 welds: 1 clear, 1 query", false)
	c.Do(acts.WorksAlone(c.by("A. Invented"), true))
	c.says("self-accepted", "")
	c.says(audit.OwnWelder, "KM-0001: accepted by its own welder, Ada Invented, who works alone; nobody else looked: seconds run, as the unit showed, unlike the seconds set")
	want(audit.OwnOnly, "2 welds: 1 clear, 1 own welder only", true)
	if audit.OwnOnly == audit.Accepted || !slices.Contains(audit.Words, string(audit.OwnOnly)) {
		t.Error("it is no word of its own")
	}
	c.Do(acts.WorksAlone(c.H, false))
	want(audit.Queried, "2 welds: 1 clear, 1 query", false)
	c.Do(acts.WorksAlone(c.H, true))
	want(audit.OwnOnly, "2 welds: 1 clear, 1 own welder only", true)
	c.Do(acts.Withdraw(c.H, none, c.opensAgain("run-unlike-set"), "leave it to another"))
	want(audit.Queried, "2 welds: 1 clear, 1 query", false)
	c.Do(acts.Accept(c.foreman(), none, c.opensAgain("run-unlike-set"), "looked at it"))
	want(audit.Accepted, "2 welds: 1 clear, 1 accepted", true)
}

func (c *team) opensAgain(rule string) logbook.Judged { return only(c.T, c.run(), rule).Judged() }

// What a person who works alone corrects of his own is his own word too.
func TestAloneCorrectsHisOwn(t *testing.T) {
	c := onSite(t)
	c.Do(acts.WorksAlone(c.H, true))
	id := c.made("1A", flat())
	c.correct(id, hotIndicators, "up, up")
	c.Do(acts.Accept(c.H, none, c.opensAgain("corrected-away-fail"), "misread"))
	if v := c.run().Verdict(id); v != audit.OwnOnly {
		t.Error(v)
	}
	c.says(audit.CorrectorAccepted, "")
	id = c.made("1B", short())
	c.correct(id, "seconds run", "40")
	if v := c.run().Verdict(id); v != audit.Queried {
		t.Error(v)
	}
	c.Do(acts.Accept(c.H, none, c.opensAgain(audit.CorrectedOwn), "misread"))
	if v := c.run().Verdict(id); v != audit.OwnOnly {
		t.Error(v)
	}
}

// One person would have two names: who told himself apart from another waits for
// somebody who is neither.
func TestWhoToldHimselfApartWaitsForAnother(t *testing.T) {
	c := onSite(t)
	c.made("1A", well())
	c.Do(acts.NamePerson(c.H, "A. Invented", logbook.PersonNamed{}, acts.Telling{Other: true}))
	c.says(audit.ToldApart, "A. Invented and Ada Invented are two people, as Ada Invented says, who is one of them")
	f := only(t, c.run(), audit.ToldApart)
	for _, name := range []string{crew.Ada, "A. Invented", "Ada"} {
		if _, err := acts.Accept(c.by(name), none, f.Judged(), "it is so")(c.Book); !errors.Is(err, logbook.ErrRule) || !strings.Contains(err.Error(), "one of them") {
			t.Errorf("%s accepts it: %v", name, err)
		}
		c.Do(crew.Raw(c.by(name), "", "", logbook.Reviewed{Judged: f.Judged(), Accepted: true, Why: "past the act"}))
		if only(t, c.run(), audit.ToldApart).Settled {
			t.Errorf("settled by %s", name)
		}
	}
	c.Do(acts.Accept(c.foreman(), none, f.Judged(), "I know both"))
	if f := only(t, c.run(), audit.ToldApart); !f.Settled {
		t.Error("open when another said so")
	}

	c = onSite(t)
	c.Do(acts.NamePerson(c.foreman(), "A. Invented", logbook.PersonNamed{}, acts.Telling{Other: true}))
	c.says(audit.ToldApart, "")
}

// fromPaper is a row of a sheet that somebody typed.
func (c *team) fromPaper(typist string, change func(*acts.LateWeld)) {
	c.T.Helper()
	own := c.H
	c.H = c.by(typist)
	c.late(func(l *acts.LateWeld) {
		l.Paper, l.Why = &logbook.PaperRow{File: "van.csv", Line: 2, Key: "k"}, "nothing left blank"
		change(l)
	})
	c.H.By = own.By
}

// That a sheet was typed rightly is seen by somebody who neither typed it nor made
// the weld, however he writes his name.
func TestWhoTypedASheetDoesNotPassIt(t *testing.T) {
	for _, name := range []string{"Odile Typist", "Typist, Odile", "odile typist (office)", crew.Ada} {
		c := onSite(t)
		c.made("1A", well())
		c.fromPaper("Odile Typist", func(*acts.LateWeld) {})
		f := only(t, c.run(), "transcribed")
		if _, err := acts.Accept(c.by(name), none, f.Judged(), "typed with care")(c.Book); !errors.Is(err, logbook.ErrRule) || !strings.Contains(err.Error(), "somebody else must accept this") {
			t.Errorf("%s accepts it: %v", name, err)
		}
		c.Do(crew.Raw(c.by(name), "", "KM-0002", logbook.Reviewed{Judged: f.Judged(), Accepted: true, Why: "past the act"}))
		if v := c.run().Verdict("KM-0002"); v != audit.Queried {
			t.Errorf("%s when %s answered", v, name)
		}
		rule := "transcribed"
		if name == crew.Ada {
			rule = "self-accepted" // as it was told before an operator was refused
		}
		c.Do(acts.Accept(c.foreman(), none, only(t, c.run(), rule).Judged(), "held against the paper"))
		if v := c.run().Verdict("KM-0002"); v != audit.Accepted {
			t.Errorf("%s, when another has looked", v)
		}
	}
}

// Who works alone finishes what he welded, whoever typed it; a typist who states to
// work alone is none, since somebody else welded.
func TestWhoWorksAlonePassesHisSheet(t *testing.T) {
	c := onSite(t)
	c.made("1A", well())
	c.fromPaper(crew.Ada, func(*acts.LateWeld) {})
	c.Do(acts.WorksAlone(c.H, true), acts.Accept(c.H, none, only(t, c.run(), "transcribed").Judged(), "typed with care"))
	if v := c.run().Verdict("KM-0002"); v != audit.OwnOnly {
		t.Errorf("his own: %s", v)
	}
	c = onSite(t)
	c.fromPaper("Odile Typist", func(*acts.LateWeld) {})
	odile := c.by("Odile Typist")
	c.Do(acts.WorksAlone(odile, true))
	if err := c.Try(acts.Accept(odile, none, only(t, c.run(), "transcribed").Judged(), "typed with care")); err == nil {
		t.Error("a typist who works alone passes another's")
	}
}
