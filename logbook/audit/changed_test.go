package audit_test

import (
	"strings"
	"testing"
	"time"

	"coolhold/fusion"
	"coolhold/logbook"
	"coolhold/logbook/acts"
	"coolhold/logbook/audit"
	"coolhold/logbook/crew"
)

const hotIndicators = "indicators after fusion (look 1)"

func flat() manner {
	m := well()
	m.hot.Indicators = []string{logbook.Flat, logbook.Up}
	return m
}

// What is corrected, ordered, asked, signed and covered: says is "" where the
// rule must be silent.
func TestEdgesOfChanges(t *testing.T) {
	tests := []struct {
		name, rule, says string
		seed             func(*team)
	}{
		{"old value, person, reason and fault are named", "corrected-away-fail",
			"KM-0001: " + hotIndicators + " corrected from flat, up to up, up by Ada Invented (misread); as recorded it failed: indicator flat after fusion",
			func(c *team) { c.correct(c.made("1A", flat()), hotIndicators, "up, up") }},
		{"in two steps", "corrected-away-fail", "corrected from flat, up to part, up",
			func(c *team) {
				id := c.made("1A", flat())
				c.correct(id, hotIndicators, "part, up")
				c.correct(id, hotIndicators, "up, up")
			}},
		{"corrected back", "corrected-away-fail", "", func(c *team) {
			id := c.made("1A", flat())
			c.correct(id, hotIndicators, "up, up")
			c.correct(id, hotIndicators, "flat, up")
		}},
		{"a fail that came by a correction and went", "corrected-away-fail", "corrected from flat, up to up, up", func(c *team) {
			id := c.made("1A", well())
			c.correct(id, hotIndicators, "flat, up")
			c.correct(id, hotIndicators, "up, up")
		}},
		{"another fail is left", "corrected-away-fail", "as recorded it failed: indicator flat after fusion", func(c *team) {
			m := flat()
			m.hot.Wire = "seen"
			c.correct(c.made("1A", m), hotIndicators, "up, up")
		}},
		{"a query was corrected", "corrected-away-fail", "", func(c *team) {
			m := well()
			m.ran = 39
			c.correct(c.made("1A", m), "seconds run", "40")
		}},
		{"seconds set, keyed unlike the table", "corrected-away-fail", "seconds set corrected from 44 to 40", func(c *team) {
			c.late(func(l *acts.LateWeld) { l.SecondsShown = 44 })
			c.correct("KM-0001", "seconds set", "40")
		}},
		{"a key struck in error", "corrected-away-fail", "disturbed corrected from 2 to no", func(c *team) {
			id := c.fused("1A", well())
			c.Do(acts.Disturb(c.H, id, 2, "", "digger"))
			c.correct(id, "disturbed", logbook.No)
		}},
		{"a port put right", "corrected-away-fail", "port corrected from 3 to 2", func(c *team) {
			made2(as, atPort("3"))(c)
			c.correct("KM-0002", logbook.ItemPort, "2")
		}},
		{"an order stays", "corrected-away-fail", "", func(c *team) {
			id := c.made("1A", well())
			c.Do(acts.OrderCut(c.H, id, "too deep"))
			c.correct(id, logbook.ItemPipeBatch, "coil 8")
		}},
		{"both values", "corrected", "KM-0001: batch of the coil or pipe corrected from coil 7 to coil 8 by Ada Invented (misread)",
			func(c *team) { c.correct(c.made("1A", well()), logbook.ItemPipeBatch, "coil 8") }},
		{"a joint is no value", "corrected", "", func(c *team) {
			c.Do(acts.MoveWeld(c.H, c.made("1A", well()), "1B", "taken for it", false))
		}},
		{"where from, where to", "weld-moved", "KM-0001: logged at 1A, made at 1B, as corrected by Ada Invented (taken for it)", func(c *team) {
			c.Do(acts.MoveWeld(c.H, c.made("1A", well()), "1B", "taken for it", false))
		}},

		{"corrected, then signed", "corrected-after-review", "", func(c *team) {
			c.correct(c.made("1A", well()), logbook.ItemPipeBatch, "coil 8")
			c.Do(c.sign("2026-03-09"))
		}},
		{"another day was signed", "corrected-after-review", "", func(c *team) {
			id := c.made("1A", well())
			c.Do(c.sign("2026-03-08"))
			c.correct(id, logbook.ItemPipeBatch, "coil 8")
		}},
		{"the clock was set back after signing", "corrected-after-review", "after Ada Invented had signed the day 2026-03-09", func(c *team) {
			id := c.made("1A", well())
			c.Do(c.sign("2026-03-09"))
			c.H.At.Wall = c.H.At.Wall.Add(-24 * time.Hour)
			c.correct(id, logbook.ItemPipeBatch, "coil 8")
		}},
		{"after a review", "corrected-after-review", "after Hedda Invented, foreman had reviewed it", func(c *team) {
			m := well()
			m.ran = 39
			id := c.made("1A", m)
			c.answer(only(c.T, c.run(), "run-unlike-set"), true)
			c.correct(id, logbook.ItemPipeBatch, "coil 8")
		}},
		{"a batch filled in that was missing", "corrected-after-review", "", func(c *team) {
			m := well()
			m.answers[logbook.ItemPipeBatch] = logbook.NotKnown
			id := c.made("1A", m)
			c.Do(c.sign("2026-03-09"))
			c.correct(id, logbook.ItemPipeBatch, "coil 8")
		}},
		{"after its old day was signed", "corrected-after-review", "had signed the day 2026-03-09", func(c *team) {
			c.late(func(*acts.LateWeld) {})
			c.Do(c.sign("2026-03-09"))
			c.correct("KM-0001", "started", "2026-03-08 07:00")
		}},

		{"who ordered it, and why", "cut-ordered", "KM-0001 was ordered cut out by Ada Invented (too deep)", func(c *team) { c.Do(acts.OrderCut(c.H, c.made("1A", well()), "too deep")) }},
		{"looked at again", "recheck-asked", "", func(c *team) {
			id := c.made("1A", well())
			c.Do(acts.AskRecheck(c.H, id, "shade"))
			c.again(c.foreman(), id, again(nil))
		}},
		{"looked at again by another who did not ask", "recheck-asked", "", func(c *team) {
			id := c.made("1A", well())
			c.Do(acts.AskRecheck(c.foreman(), id, "shade"))
			h := c.H
			h.By = "Tam Invented"
			c.again(h, id, again(nil))
		}},
		{"looked at again by its welder alone", "recheck-asked", "Hedda Invented, foreman asked for another look (shade)", func(c *team) {
			id := c.made("1A", well())
			c.Do(acts.AskRecheck(c.foreman(), id, "shade"))
			c.again(c.H, id, again(nil))
			c.round()
		}},
		{"its welder asked and looked", "recheck-asked", "Ada Invented asked for another look (shade)", func(c *team) {
			id := c.made("1A", well())
			c.Do(acts.AskRecheck(c.H, id, "shade"))
			c.again(c.H, id, again(nil))
		}},
		{"nobody could see anything at the other look", "recheck-asked", "Ada Invented asked for another look (shade)", func(c *team) {
			id := c.made("1A", well())
			c.Do(acts.AskRecheck(c.H, id, "shade"))
			c.again(c.foreman(), id, logbook.IndicatorsRead{Look: unseen})
		}},
		{"two orders, two reasons", "cut-ordered", "KM-0001 was ordered cut out by Hedda Invented, foreman (too deep), by Ada Invented (crooked)", func(c *team) {
			id := c.made("1A", well())
			c.Do(acts.OrderCut(c.foreman(), id, "too deep"), acts.OrderCut(c.H, id, "crooked"))
		}},
		{"two orders taken back", "cut-order-withdrawn", "the orders to cut it out, by Hedda Invented, foreman (too deep), by Ada Invented (crooked), were withdrawn by Tam Invented (the other leg)", func(c *team) {
			id := c.made("1A", well())
			c.Do(acts.OrderCut(c.foreman(), id, "too deep"), acts.OrderCut(c.H, id, "crooked"), acts.WithdrawCut(c.by("Tam Invented"), id, "the other leg"))
		}},
		{"one of two orders taken back by who gave it", "cut-ordered", "KM-0001 was ordered cut out by Hedda Invented, foreman (too deep)", func(c *team) {
			id := c.made("1A", well())
			c.Do(acts.OrderCut(c.foreman(), id, "too deep"), acts.OrderCut(c.by("Mona Invented"), id, "crooked"), acts.WithdrawCut(c.by("Invented, Mona"), id, "the other leg"))
		}},
		{"an order after a withdrawal", "cut-ordered", "KM-0001 was ordered cut out by Ada Invented (crooked)", func(c *team) {
			id := c.made("1A", well())
			c.Do(acts.OrderCut(c.foreman(), id, "too deep"), acts.WithdrawCut(c.H, id, "the other leg"), acts.OrderCut(c.H, id, "crooked"))
		}},
		{"looked at again after the shift", "round-not-done", "", func(c *team) {
			id := c.made("1A", well())
			c.Do(acts.CloseShift(c.H))
			c.again(c.H, id, again(nil))
		}},
		{"nobody could see anything after the shift", "round-not-done", "the end-of-shift check did not reach it", func(c *team) {
			id := c.made("1A", well())
			c.Do(acts.CloseShift(c.H))
			c.again(c.H, id, logbook.IndicatorsRead{Look: unseen})
		}},
		{"looked at before", "recheck-asked", "KM-0001: Ada Invented asked for another look (shade)", func(c *team) {
			id := c.made("1A", well())
			c.round()
			c.Do(acts.AskRecheck(c.H, id, "shade"))
		}},
		{"cut out since", "recheck-asked", "", func(c *team) {
			id := c.made("1A", well())
			c.Do(acts.AskRecheck(c.H, id, "shade"))
			c.Do(acts.Cut(c.H, id, "flat"))
		}},
		{"cut out and made again", "cut-not-replaced", "", func(c *team) {
			c.Do(acts.Cut(c.H, c.made("1A", well()), "flat"))
			c.made("1A", well())
		}},
		{"cut out and in the walk again", "cut-not-replaced", "", func(c *team) {
			c.Do(acts.Cut(c.H, c.made("1A", well()), "flat"))
			c.begun("1A", well())
		}},
		{"why it was cut out", "cut-not-replaced", "joint 1A: KM-0001 was cut out (flat) and not replaced", func(c *team) { c.Do(acts.Cut(c.H, c.made("1A", well()), "flat")) }},
		{"struck off since", "cut-not-replaced", "", func(c *team) {
			c.Do(acts.Cut(c.H, c.made("1A", well()), "flat"))
			c.Do(acts.StrikeJoint(c.H, "1A", "not needed"))
		}},
		{"from paper", "entered-later", "", late(func(l *acts.LateWeld) { l.Paper = &logbook.PaperRow{File: "s.csv", Line: 3} })},
		{"from memory", "transcribed", "", late(func(*acts.LateWeld) {})},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			c := onSite(t)
			tt.seed(c)
			c.says(tt.rule, tt.says)
		})
	}
}

// What was accepted opens again when a further value is corrected, not when a
// further day is signed.
func TestALaterCorrectionOpensTheQueryAgain(t *testing.T) {
	c := onSite(t)
	id := c.made("1A", well())
	c.Do(c.sign("2026-03-09"))
	c.correct(id, logbook.ItemPipeBatch, "coil 8")
	c.answer(only(t, c.run(), "corrected-after-review"), true)
	c.Do(c.sign("2026-03-09"))
	if f := only(t, c.run(), "corrected-after-review"); !f.Settled {
		t.Errorf("signed again, it is open again: %s", f.Says)
	}
	c.correct(id, logbook.ItemStubBatch, "stub 4")
	if f := only(t, c.run(), "corrected-after-review"); f.Settled || !strings.Contains(f.Says, "stub 4") {
		t.Errorf("a further correction is taken as accepted: %+v", f)
	}
}

func (c *team) cover(missing ...string) {
	c.Do(crew.Raw(c.H, "", "", logbook.Covered{Section: "chamber A", Missing: missing}))
}

func TestEdgesOfCovering(t *testing.T) {
	query := well()
	query.ran = 39
	both := func(c *team) { c.made("1A", well()); c.made("1B", well()) }
	accept := func(c *team) { c.answer(only(c.T, c.run(), "run-unlike-set"), true) }
	tests := []struct {
		name, says string
		seed       func(*team)
	}{
		{"all settled", "", func(c *team) { both(c); c.cover() }},
		{"looked at once more since", "", func(c *team) { both(c); c.cover(); c.round() }},
		{"named as missing", "joint 1B was not settled when chamber A was covered on 9 Mar 08:", func(c *team) { both(c); c.cover("1B") }},
		{"covered again without it", "joint 1B was not settled when", func(c *team) { both(c); c.cover("1B"); c.cover() }},
		{"not settled now", "joint 1B is not settled and chamber A was covered", func(c *team) { c.made("1A", well()); c.made("1B", query); c.cover() }},
		{"accepted before", "", func(c *team) { c.made("1A", well()); c.made("1B", query); accept(c); c.cover() }},
		{"accepted after, by the order of the log", "joint 1B was settled only after chamber A was covered", func(c *team) {
			c.made("1A", well())
			c.made("1B", query)
			c.cover()
			c.H.At.Wall = c.H.At.Wall.Add(-time.Hour)
			accept(c)
		}},
		{"made after", "joint 1B was settled only after", func(c *team) { c.made("1A", well()); c.cover(); c.made("1B", well()) }},
		{"struck off", "", func(c *team) { c.made("1A", well()); c.cover("1B"); c.Do(acts.StrikeJoint(c.H, "1B", "not needed")) }},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			c := onSite(t)
			tt.seed(c)
			c.says("covered-before-accepted", tt.says)
		})
	}
}

func TestPressureLostUntilRepaired(t *testing.T) {
	lost := func(joint string, circuit int) func(*team) {
		return func(c *team) {
			e := logbook.Happened{What: logbook.PressureLost, On: "2026-03-09", Circuit: circuit, Text: "fell"}
			c.Do(acts.Happen(c.H, joint, e))
		}
	}
	repaired := func(joint string, circuit int) func(*team) {
		return func(c *team) {
			e := logbook.Happened{What: logbook.Repaired, On: "2026-03-09", Circuit: circuit, Text: "sleeve"}
			c.Do(acts.Happen(c.H, joint, e))
		}
	}
	tests := []struct {
		name string
		seed []func(*team)
		want string // keys
	}{
		{"on a circuit", []func(*team){lost("", 1)}, "pressure-lost:1A pressure-lost:1B"},
		{"on a joint", []func(*team){lost("1B", 0)}, "pressure-lost:1B"},
		{"on another circuit", []func(*team){lost("", 2)}, ""},
		{"on the site", []func(*team){lost("", 0)}, "site-pressure-lost:meadow"},
		{"circuit repaired", []func(*team){lost("", 1), repaired("", 1)}, ""},
		{"the joint of the circuit repaired", []func(*team){lost("", 1), repaired("1B", 0)}, "pressure-lost:1A pressure-lost:1B"},
		{"another circuit repaired", []func(*team){lost("", 1), repaired("", 2)}, "pressure-lost:1A pressure-lost:1B"},
		{"lost again", []func(*team){lost("", 1), repaired("", 1), lost("1A", 0)}, "pressure-lost:1A"},
		{"repaired before", []func(*team){repaired("1B", 0), lost("1B", 0)}, "pressure-lost:1B"},
		{"site, a circuit repaired", []func(*team){lost("", 0), repaired("", 1)}, "site-pressure-lost:meadow"},
		{"joint, its circuit repaired", []func(*team){lost("1B", 0), repaired("", 1)}, ""},
		{"all of it, the site repaired", []func(*team){lost("", 0), lost("", 1), lost("1B", 0), repaired("", 0)}, ""},
	}
	for _, tt := range tests {
		c := onSite(t)
		for _, step := range tt.seed {
			step(c)
		}
		var keys []string
		for _, f := range c.run().Open() {
			if strings.Contains(f.Rule, "pressure") && f.Work {
				keys = append(keys, f.Key)
			}
		}
		if got := strings.Join(keys, " "); got != tt.want {
			t.Errorf("%s: %q, want %q", tt.name, got, tt.want)
		}
	}
}

// Queries on a joint are accepted there; work on joint or site is done, not
// accepted.
func TestReviewsOfJointAndSite(t *testing.T) {
	c := onSite(t)
	c.made("1A", well())
	c.made("1B", well())
	c.cover("1B")
	c.Do(acts.Happen(c.H, "", logbook.Happened{What: logbook.PressureLost, On: "2026-03-09", Text: "fell"}))
	for rule, joint := range map[string]string{"covered-before-accepted": "1B", "site-pressure-lost": ""} {
		f := only(t, c.run(), rule)
		c.Do(crew.Raw(c.foreman(), joint, "", logbook.Reviewed{Judged: f.Judged(), Accepted: true, Why: "dug up and seen"}))
		if f = only(t, c.run(), rule); f.Settled == f.Work || (f.Accepted == nil) != f.Work {
			t.Errorf("%s: settled %v, accepted %+v", f.Key, f.Settled, f.Accepted)
		}
	}
	c.cover("1A", "1B")
	if f := only(t, audit.Result{Findings: c.run().OfJoint("1B")}, "covered-before-accepted"); !f.Settled {
		t.Error("the facts of 1B are the same and it is open again")
	}
}

// A query on the site, as a later rule may have one, is accepted there.
func TestReviewsOfTheSite(t *testing.T) {
	rule := audit.Rule{Slug: "any", Severity: audit.Query, Scope: audit.OnSite}
	s := logbook.Site{ID: "meadow"}
	rule.Check = audit.CheckOf(func(audit.Case) (string, bool) { return "", true }, func(_, f string) string { return f })
	so := audit.FindingOf(rule, audit.Case{Matter: &audit.Matter{Site: s}}, "so").Judged()
	s.Reviews = []logbook.Review{{Reviewed: logbook.Reviewed{Judged: so, Accepted: true}, By: crew.Ada}}
	if f := audit.FindingOf(rule, audit.Case{Matter: &audit.Matter{Site: s}}, "so"); f.Accepted == nil || !f.Settled || f.Key != "any:meadow" {
		t.Errorf("%+v", f)
	}
	if f := audit.FindingOf(rule, audit.Case{Matter: &audit.Matter{Site: s}}, "otherwise"); f.Accepted != nil || f.Settled {
		t.Errorf("other facts: %+v", f)
	}
}

// A weld's work is never accepted away either.
func TestWorkIsNotAccepted(t *testing.T) {
	c := onSite(t)
	id := c.fused("1A", well())
	f := only(t, c.run(), "unreleased")
	c.answer(f, true)
	if f = only(t, c.run(), "unreleased"); f.Settled || f.Accepted != nil {
		t.Errorf("the hold of %s was accepted away: %+v", id, f)
	}
}

// The same log gives the same findings from its records as from its entries.
func TestFindingsOfALoadedBook(t *testing.T) {
	c := onSite(t)
	made2(as, atPort("3"))(c)
	c.correct("KM-0001", logbook.ItemPipeBatch, "coil 8")
	loaded := audit.Run(logbook.Load(c.Book, c.H.Site), c.H.Site, c.H.At, fusion.Stamp{})
	if got, want := strings.Join(rulesOf(loaded), " "), strings.Join(rulesOf(c.run()), " "); got != want || !strings.Contains(got, "legs-on-one-bar") {
		t.Errorf("found %s, then %s", want, got)
	}
}

// newerTable takes a table in which a text stands for another, and reads it back.
func (c *team) newerTable(old, now string) {
	c.T.Helper()
	text := strings.Replace(strings.ReplaceAll(crew.TableText, old, now), "invented table", "a newer one", 1)
	c.Do(acts.TakeTable(c.H, acts.File{Name: "t2", Text: text}), acts.ReadBack(c.H, logbook.Hash(text)))
}

// What counts is what was recorded against the table that the crew had: a table that
// is taken later and a correction that makes no difference leave a fail as it is.
func TestANewerTableSavesNoWeld(t *testing.T) {
	shown := func(l *acts.LateWeld) { l.SecondsShown, *l.Run = 44, 44 }
	for name, does := range map[string]func(*team){
		"within the band": func(c *team) { c.correct("KM-0001", "ambient", "9.1") },
		"there and back":  func(c *team) { c.correct("KM-0001", "ambient", "20"); c.correct("KM-0001", "ambient", "9") },
		"another fitting and back": func(c *team) {
			c.correct("KM-0001", "fitting", "elbow 40")
			c.correct("KM-0001", "fitting", "coupler 40")
		},
		"as a former program stored it": func(c *team) {
			w := c.Weld("KM-0001")
			s := *w.Settings
			s.Table, s.SecondsTable = c.Site().Tables[1].Hash, 44
			c.Do(crew.Raw(c.H, "1B", w.ID, logbook.Correction{Field: logbook.FieldAmbient, Old: "9", New: "9.1", Why: "misread", Settings: &s}))
		},
	} {
		t.Run(name, func(t *testing.T) {
			c := onSite(t)
			c.late(shown)
			c.newerTable("44, 40, 36", "50, 44, 36")
			does(c)
			if v := c.run().Verdict("KM-0001"); v != audit.Failed {
				t.Errorf("verdict %q", v)
			}
			c.says("keyed-unlike-table", "the unit shows 44 s, the fitting's table says 40 s")
			c.says("corrected-away-fail", "")
		})
	}
}

// The longer cooling time that a bag prints is not corrected away by a temperature.
func TestALongerCoolingTimeStays(t *testing.T) {
	c := onSite(t)
	c.late(func(l *acts.LateWeld) { l.CoolingMin = 10 })
	c.says("released-early", "its cooling time is 10 min")
	c.correct("KM-0001", "ambient", "9.1")
	c.says("released-early", "its cooling time is 10 min")
}

// Where a correction alone makes the difference it is named.
func TestACorrectionOfTheBandIsNamed(t *testing.T) {
	c := onSite(t)
	c.late(func(l *acts.LateWeld) { l.SecondsShown, *l.Run = 44, 44 })
	c.newerTable("44, 40, 36", "44, 44, 36")
	c.correct("KM-0001", "ambient", "3")
	c.says("keyed-unlike-table", "")
	c.says("corrected-away-fail", "ambient corrected from 9 to 3 by Ada Invented (misread); as recorded it failed: the unit shows 44 s, the fitting's table says 40 s")
}
