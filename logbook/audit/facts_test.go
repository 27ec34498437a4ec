package audit_test

import (
	"encoding/json"
	"slices"
	"strings"
	"testing"
	"time"

	"coolhold/logbook"
	"coolhold/logbook/acts"
	"coolhold/logbook/audit"
	"coolhold/logbook/crew"
	"coolhold/logbook/plan"
)

// of is the first finding of a rule.
func (c *team) of(rule string) audit.Finding {
	c.T.Helper()
	all := c.run().Findings
	i := slices.IndexFunc(all, func(f audit.Finding) bool { return f.Rule == rule })
	if i < 0 {
		c.T.Fatalf("%s is silent", rule)
	}
	return all[i]
}

// otherwise rewords every rule until the test is over.
func otherwise(t *testing.T) {
	was := slices.Clone(audit.Rules)
	t.Cleanup(func() { copy(audit.Rules, was) })
	for i := range audit.Rules {
		r := &audit.Rules[i]
		r.Says, r.Do, r.Basis = "says otherwise", "do otherwise", "based otherwise"
		audit.Reword(r, func(told string) string {
			return "said otherwise: " + strings.ToUpper(strings.Join(strings.Fields(told), " ... "))
		})
	}
}

// Whatever a rule is worded like: the finding is the same, its verdict too, and
// what was accepted and acknowledged of it stands.
func TestNoWordBinds(t *testing.T) {
	for _, tt := range faults {
		t.Run(tt.rule, func(t *testing.T) {
			c := seeded(t, tt.rule, tt.seed)
			for _, f := range audit.Acceptable(c.run().Findings) {
				c.Do(acts.Accept(c.foreman(), none, f.Judged(), "seen on site"))
			}
			before := c.run()
			day := c.H.At.Local().Format(time.DateOnly)
			act := acts.SignDay(c.foreman(), none, day, c.seen(day))
			otherwise(t)
			after := c.run()
			for i, f := range after.Findings {
				b := before.Findings[i]
				if f.Says == b.Says || !strings.HasPrefix(f.Says, "said otherwise: ") {
					t.Errorf("%s is not reworded: %q", f.Key, f.Says)
				}
				if is, was := f.Judged(), b.Judged(); !is.Same(was) || string(is.Facts) != string(was.Facts) {
					t.Errorf("%s: %s %s, then %s %s", f.Key, was.Digest, was.Facts, is.Digest, is.Facts)
				}
				if f.Settled != b.Settled || (f.Accepted == nil) != (b.Accepted == nil) || before.Verdict(f.Weld) != after.Verdict(f.Weld) {
					t.Errorf("%s: settled %v, verdict %q; then %v, %q", f.Key, b.Settled, before.Verdict(f.Weld), f.Settled, after.Verdict(f.Weld))
				}
			}
			if _, err := act(c.Book); err != nil {
				t.Errorf("what was seen is to be seen again: %v", err)
			}
		})
	}
}

// others has for each rule a fault that is another by one value. A rule that
// judges by none but what it is about has none.
var others = map[string]func(*team){
	"unscraped":               how(func(m *manner) { m.answers["scraped"], m.why = logbook.CouldNot, "no tool" }),
	"keyed-unlike-table":      late(func(l *acts.LateWeld) { l.SecondsShown, *l.Run = 45, 45 }),
	"settings-far-from-table": late(setBy(logbook.ModeCode, 96)),
	"correction-contradicted": late(func(l *acts.LateWeld) {
		setBy(logbook.ModeSelf, 41)(l)
		l.Corrects = logbook.Yes
	}),
	audit.LeaksUnder: func(c *team) {
		c.made("1B", well())
		c.Do(acts.LookUnderPressure(c.foreman(), "KM-0002", logbook.PressureLook{Bar: 3, Leaks: logbook.LeakThere, Text: "drops"}))
	},
	audit.ClosingUnseen: closes("the header's last one"),
	audit.UntestedSince: func(c *team) {
		pressed(6.1, 6.05)(c)
		c.Do(acts.Happen(c.H, "1B", logbook.Happened{What: logbook.PressureLost, On: "2026-03-09", Text: "fell"}))
	},
	audit.TestMissing: func(c *team) {
		c.wantsTests()
		c.made("1B", well())
		c.made(c.added("X1"), well())
	},
	audit.PressureOverlap: overlapping(20),
	audit.PressureFailed:  pressed(6.1, 5.4),
	audit.PressureOpen: func(c *team) {
		c.made("1B", well())
		c.Wait(time.Hour)
		c.Begins(crew.Pressing(logbook.SectionID{}))
	},
	audit.PressureEarly: func(c *team) {
		c.made("1B", well())
		c.Wait(time.Minute)
		c.Presses(crew.Pressing(logbook.SectionID{}), 6.1, 6.05)
	},
	audit.PressureUnsettled: func(c *team) {
		c.Wait(time.Hour)
		c.added("X1")
		c.Presses(crew.Pressing(logbook.SectionID{}), 6.1, 6.05)
	},
	audit.PressureAbove:     given(func(b *logbook.PressureBegun) { *b.WeakestBar = 6.1 }),
	audit.PressureGauge:     given(func(b *logbook.PressureBegun) { *b.Gauge.RangeBar = 4 }),
	audit.PressureOpenTo:    given(func(b *logbook.PressureBegun) { b.Caps = logbook.No }),
	audit.PressureUnsaid:    given(func(b *logbook.PressureBegun) { b.Gauge.AboveM = nil }),
	audit.PressureFixed:     fixed(6.1),
	audit.PressureBack:      tookBack("it was the header"),
	audit.PressureUndecided: given(func(b *logbook.PressureBegun) { *b.Gauge.ResolutionBar = 0.4 }),
	"stopped-in-fusion": how(func(m *manner) {
		m.ended = logbook.FusionEnded{Outcome: logbook.Stopped, Said: "lead off"}
	}),
	"indicator-flat":         how(func(m *manner) { m.felt.Indicators = []string{logbook.Flat, logbook.Flat} }),
	"indicator-flat-then-up": hot(func(l *logbook.Look) { l.Indicators = []string{logbook.Flat, logbook.Flat} }),
	"melt-outside":           how(func(m *manner) { m.felt.Melt = "outside" }),
	"wire-seen":              how(func(m *manner) { m.felt.Wire = "seen" }),
	"moves":                  hot(func(l *logbook.Look) { l.Felt = "moves" }),
	"disturbed":              func(c *team) { c.Do(acts.Disturb(c.H, c.fused("1B", well()), 4, "", "digger")) },
	"released-early":         late(func(l *acts.LateWeld) { l.Released = l.Ended.Add(6*time.Minute - 2*time.Second) }),
	"preparation-could-not":  how(func(m *manner) { m.answers["clamped"], m.why = logbook.CouldNot, "no access" }),
	"preparation-unsaid":     answered("pushed_home", logbook.NotYet),
	"scraping-method":        answered(logbook.ItemMethod, "chisel"),
	"fitting-unlike-plan":    late(fitting("odd one")),
	"fitting-unfit": func(c *team) {
		c.Do(acts.AddJoint(c.H, plan.Joint{Label: "X9", OdMM: 90, SDR: 11}, "needed"))
		late(func(l *acts.LateWeld) { fitting("coupler 63")(l); l.Joint = "X9" })(c)
	},
	"code-unlike-fitting": func(c *team) {
		m := well()
		m.answers[logbook.ItemFitting], m.answers[logbook.ItemCode] = "elbow 40", "123456789012345678901234"
		c.made("1B", m)
		c.Do(acts.TeachCode(c.H, "123456789012345678901234", "coupler 40", ""))
	},
	"ambient-outside":    late(func(l *acts.LateWeld) { l.Ambient = 26_00 }),
	"resistance-outside": how(func(m *manner) { m.ohms = 2.05 }),
	"refused-late":       refused(45*time.Second, nil),
	"after-break": inWalk(func(c *team, id string) {
		c.Do(acts.LeaveWalk(c.H, id, logbook.StepStart), acts.ResumeWalk(c.H, id, logbook.StepStart), acts.AnswerStep(c.H, id, logbook.StepBreak, said(logbook.BreakItem(1), logbook.HandAgain)))
	}),
	"beside-hold": inWalk(func(c *team, id string) {
		c.Do(acts.AnswerStep(c.H, id, logbook.StepBeside, said(logbook.BesideItem("KM-0001"), logbook.Unsure)))
	}),
	"moved-unsure": func(c *team) {
		id := c.fused("1B", well())
		c.Wait(7 * time.Minute)
		c.Do(acts.Disturb(c.H, id, 6, logbook.Unsure, "digger"))
	},
	"doubtful-figure":       stoppedAt(125),
	"indicators-unlike":     twoIndicators(func(m *manner) { m.felt.Indicators = []string{logbook.None} }),
	"zone-not-fused":        zones(3),
	"operator-on-two-units": onTwoUnits(45 * time.Second),
	"row-not-allowed": func(c *team) {
		c.Do(acts.TakeTable(c.H, acts.File{Name: "t2", Text: strings.Replace(crew.TableText, "invented table", "another", 1)}))
		c.late(func(*acts.LateWeld) {})
	},
	"run-unlike-set": how(func(m *manner) { m.ran = 38 }),
	"nobody-saw": func(c *team) {
		id := c.begun("1B", well())
		c.Do(acts.StartFusion(c.H, id, 0))
		c.Wait(40 * time.Second)
		c.Do(acts.FoundAtStart(c.H, none))
		c.Do(acts.EndFusion(c.H, id, logbook.FusionEnded{Outcome: logbook.Completed}))
	},
	"indicator-part": hot(func(l *logbook.Look) { l.Indicators = []string{logbook.Part, logbook.Part} }),
	"not-seen":       hot(func(l *logbook.Look) { l.Wire = logbook.Unseen }),
	"marks-moved":    how(func(m *manner) { m.felt.Marks = "moved" }),
	"not-straight":   how(func(m *manner) { m.felt.Straight = "no" }),
	"hold-across-restart": func(c *team) {
		id := c.fused("1B", well())
		c.Wait(time.Minute)
		c.restart()
		c.Wait(6 * time.Minute)
		c.Do(acts.Release(c.H, id, well().felt, none))
	},
	"clock-doubted": func(c *team) {
		id := c.fused("1B", well())
		c.restart()
		c.Do(acts.AcceptGap(c.foreman(), id, "sat beside it"))
		c.Do(acts.Release(c.H, id, well().felt, none))
	},
	audit.HoldByWord:    heldByWord("07:22", "07:24"),
	audit.WelderUnnamed: byNobody("nobody knows"),
	"entered-later":     late(func(l *acts.LateWeld) { l.Why = "battery flat" }),
	"batch-shortened":   answered(logbook.ItemPipeBatch, "1.23456E+17"),
	"batch-missing":     answered(logbook.ItemPipeBatch, logbook.NotKnown),
	"walk-open":         func(c *team) { c.Wait(time.Minute); c.begun("1B", well()) },
	"unreleased":        func(c *team) { c.fused("1B", well()); c.Wait(time.Hour) },
	"fail-not-cut-out":  func(c *team) { c.Do(acts.AbandonWalk(c.H, c.begun("1B", well()), "rain")); c.made("1B", failing()) },
	"shift-open":        func(c *team) { c.closed(); c.shift("", ""); c.made("1B", well()); c.Wait(24 * time.Hour) },

	"legs-on-one-bar":   answered(logbook.ItemPort, "1"),
	"leg-on-wrong-port": answered(logbook.ItemPort, "9"),
	"small-header":      func(c *team) { c.made("1B", well()); c.circuits(63, 8) },
	"two-in-joint": func(c *team) {
		c.made("1B", well())
		other := teamOf(c.T, "KQ")
		other.Wait(time.Hour)
		other.made("1B", well())
		c.closed()
		other.closed()
		c.merged(other)
	},
	"two-on-port": func(c *team) {
		c.made("1B", well())
		rest := "\nod_mm = 40\nsdr = 11\nlength_m = 200\nports = "
		c.mergedUnlike("no = 1"+rest+"[1, 2]", "no = 2"+rest+"[2, 1]", func(o *team) { o.made("2A", well()) })
	},
	"logs-differ": func(c *team) { c.made("1B", well()); c.mergedUnlike("no = 1\nod_mm", "tape = \"blue\"\nno = 1\nod_mm") },
	"joint-in-some-logs": func(c *team) {
		c.made("1B", well())
		c.made(c.added("X1"), well())
		c.closed()
		other := teamOf(c.T, "KQ")
		other.Do(acts.StrikeJoint(other.H, other.added("X1"), "not needed"))
		other.closed()
		c.merged(other)
	},
	"ended-with-weld": func(c *team) {
		c.made("1B", well())
		c.closed()
		other := teamOf(c.T, "KQ")
		other.Do(acts.StrikeJoint(other.H, "1B", "not needed"))
		other.closed()
		c.merged(other)
	},
	"operator-out-of-date":      func(c *team) { c.closed(); c.shift("2026-03-07", ""); c.made("1B", well()) },
	"unit-out-of-date":          func(c *team) { c.closed(); c.shift("", "2025-03-07"); c.made("1B", well()) },
	"scraped-long-ago":          scrapedAgo(22 * time.Minute),
	"ambient-stale":             how(func(m *manner) { m.idle = 30*time.Minute + 2*time.Second }),
	"ambient-leaping":           how(func(m *manner) { m.air = 14_02 }),
	"resistance-unlike-sisters": func(c *team) { c.batch(2.4, 2.41, 2.39, 2.61) },
	"bag-not-read":              how(func(m *manner) { m.answers[logbook.ItemBatch], m.noBag = "W-3", true }),
	"fusions-overlap": func(c *team) {
		c.Wait(5 * time.Minute)
		c.late(func(l *acts.LateWeld) {
			l.Started = c.fusedAt("KM-0001").Add(-30 * time.Second)
			l.Ended, l.Released = l.Started.Add(2*time.Minute), l.Started.Add(10*time.Minute)
		})
	},
	"stated-times-unlike": late(func(l *acts.LateWeld) { l.Started = l.Ended.Add(-2*time.Minute - 42*time.Second) }),
	"not-on-a-shift":      late(func(l *acts.LateWeld) { l.Unit = "CU-998" }),
	"day-changed-after-signing": func(c *team) {
		c.Do(acts.SignDay(c.foreman(), none, "2026-03-09", nil))
		c.late(func(*acts.LateWeld) {})
	},
	"cut-order-withdrawn": func(c *team) {
		id := c.made("1B", well())
		c.Do(acts.OrderCut(c.H, id, "sits too deep"))
		c.Do(acts.WithdrawCut(c.foreman(), id, "taken for the other leg"))
	},
	audit.OrderOwn: func(c *team) {
		id := c.made("1B", well())
		c.Do(acts.OrderCut(c.foreman(), id, "sits too deep"))
		c.Do(acts.WithdrawCut(c.H, id, "taken for the other leg"))
	},
	audit.CorrectedOwn: func(c *team) {
		how(func(m *manner) { m.ran = 38 })(c)
		c.correct("KM-0002", "seconds run", "40")
	},
	audit.CorrectorAccepted: func(c *team) { c.correctedBy("Bo Okoro") },
	audit.OwnWelder: func(c *team) {
		how(func(m *manner) { m.ran = 39 })(c)
		c.Do(acts.WorksAlone(c.H, true), acts.Accept(c.by("A. Invented"), none, only(c.T, c.run(), "run-unlike-set").Judged(), "read twice"))
	},
	audit.ToldApart: func(c *team) {
		c.made("1B", well())
		c.Do(acts.NamePerson(c.H, "Ada M. Invented", logbook.PersonNamed{}, acts.Telling{Other: true}))
	},
	"self-accepted": func(c *team) {
		how(func(m *manner) { m.ran = 39 })(c)
		own := c.H
		own.By = crew.Ada + ", welder"
		c.Do(acts.Accept(own, none, only(c.T, c.run(), "run-unlike-set").Judged(), "read twice"))
	},
	"leads-too-quick": how(func(m *manner) { m.ago = 6*60 - 18 }),
	"transcribed": late(func(l *acts.LateWeld) {
		l.Paper, l.Why = &logbook.PaperRow{File: "sheet.csv", Line: 7, Key: "k"}, "left blank: ohms"
	}),
	"cut-ordered": func(c *team) { c.Do(acts.OrderCut(c.H, c.made("1B", well()), "the client wants it")) },
	"corrected-away-fail": func(c *team) {
		m := well()
		m.hot.Indicators = []string{logbook.Flat, logbook.Flat} // what it failed by, the correction being the same
		c.correct(c.made("1B", m), hotIndicators, "up, up")
	},
	"corrected-after-review": func(c *team) {
		id := c.made("1B", well())
		c.Do(acts.SignDay(c.foreman(), none, "2026-03-09", nil))
		c.correct(id, logbook.ItemPipeBatch, "coil 8")
	},
	"corrected": func(c *team) { c.correct(c.made("1B", well()), logbook.ItemPipeBatch, "coil 9") },
	"weld-moved": func(c *team) {
		id := c.made(c.added("X2"), well())
		c.Do(acts.MoveWeld(c.H, id, "1B", "taken for the other", false))
	},
	"recheck-asked": func(c *team) {
		id := c.made("1B", well())
		c.closed()
		c.Do(acts.AskRecheck(c.foreman(), id, "one side was in the shade"))
	},
	"cut-not-replaced":        func(c *team) { c.Do(acts.Cut(c.H, c.made("1B", well()), "too short")) },
	"covered-before-accepted": func(c *team) { c.cover(); c.made("1B", well()) },
	"pressure-lost":           lost("1B"),
	"site-pressure-lost":      lost(""),
	audit.LegStruck:           func(c *team) { c.Do(acts.StrikeJoint(c.H, "1B", "no pipe there")) },
	audit.DugUpUnseen:         coveredAndDug("the trench caved in"),
	audit.CoverTakenBack:      coveredAndBack("it was chamber C"),
	audit.RepairUnseen: func(c *team) {
		lost("1B")(c)
		c.Do(acts.Happen(c.H, "1B", logbook.Happened{What: logbook.Repaired, On: "2026-03-09", Text: "a coupler"}))
	},
	"qualification-unknown": func(c *team) {
		c.closed()
		c.asked("Bo Invented", "", "2026-01-02")
		m := well()
		m.operator = "Bo Invented"
		c.made("1B", m)
	},
	"calibration-unknown": func(c *team) {
		c.closed()
		c.H.Shift = ""
		c.Do(acts.StartShift(c.H, logbook.ShiftStarted{
			Day: "2026-03-09", Operators: []logbook.Operator{{Name: crew.Ada, Expiry: "2027-01-02"}}, DatesAsked: true,
			Units: []logbook.Unit{{Serial: "CU-2", Corrects: logbook.No}}, Weather: logbook.Weather{Sky: "dry", Shelter: "none"},
		}))
		m := well()
		m.unit = "CU-2"
		c.made("1B", m)
	},
	"outside-shift":          late(func(l *acts.LateWeld) { hoursBack(l, 3) }),
	"operator-in-two-places": inChamberC("CU-2", -30*time.Second),
	"clock-jumped": func(c *team) {
		c.made("1B", well())
		c.Wait(time.Hour)
		c.setClock(-33 * time.Hour)
	},
	"answered-out-of-time": func(c *team) {
		c.made("1B", well())
		c.setClock(-10 * time.Minute)
		c.Do(acts.SignDay(c.foreman(), none, "2026-03-09", nil))
	},
	"told-before-opening": func(c *team) {
		c.made("1B", well())
		c.Do(acts.Happen(c.H, "1B", logbook.Happened{What: logbook.DugUp, On: "2026-03-07", Text: "looked for the pipe"}))
	},
	"pressure-lost-before-welding": func(c *team) {
		c.Do(acts.Happen(c.H, "", logbook.Happened{What: logbook.PressureLost, On: "2026-03-09", Circuit: 2, Text: "0.3 bar in a day"}))
	},
	"newer-entry":           future("", "1B"),
	"newer-entry-site":      future("", "1B"),
	audit.LookUnsaid:        onSheet(func(l *acts.LateWeld) { l.Look.Wire = "" }),
	"unsaid-on-paper":       onSheet(unsaid(logbook.ItemMethod)),
	audit.RemarkToRead:      onSheet(func(l *acts.LateWeld) { l.Remarks = "rain at noon" }),
	"welded-before-cut-out": cutAndLate(time.Minute),
	"made-before-opening":   late(func(l *acts.LateWeld) { daysBack(l, 2) }),
	"clock-drifted":         func(c *team) { c.made("1B", well()); c.Wait(time.Minute); c.Do(acts.DoubtDrift(c.H, time.Hour)) },

	"pipe-unlike-plan": nil, "wet": nil, "end-unsaid": nil, "unread": nil, "round-not-done": nil, "missing-weld": nil,
}

func fitting(name string) func(*acts.LateWeld) {
	return func(l *acts.LateWeld) {
		i := slices.IndexFunc(l.Answers, func(a logbook.Answer) bool { return a.Item == logbook.ItemFitting })
		l.Answers[i].V = name
	}
}

func lost(joint string) func(*team) {
	return func(c *team) {
		c.made("1B", well())
		c.Do(acts.Happen(c.H, joint, logbook.Happened{What: logbook.PressureLost, On: "2026-03-09", Text: "0.4 bar in a day"}))
	}
}

// Another value is another finding: what was accepted of the one leaves the
// other open.
func TestEveryValueBinds(t *testing.T) {
	for _, tt := range faults {
		t.Run(tt.rule, func(t *testing.T) {
			f := seeded(t, tt.rule, tt.seed).of(tt.rule)
			was := f.Judged()
			seed, listed := others[tt.rule]
			if seed == nil {
				if !listed || string(was.Facts) != "{}" {
					t.Fatalf("no other fault is seeded for the facts %s", was.Facts)
				}
				return
			}
			c := seeded(t, tt.rule, seed)
			o := c.of(tt.rule)
			is := o.Judged()
			if is.Key != was.Key || is.Digest == was.Digest {
				t.Errorf("%q and %q are one finding: %s, %s", f.Says, o.Says, was.Facts, is.Facts)
			}
			if unread(tt.rule) {
				return // nobody accepts it, of whatever facts
			}
			if f.Severity != audit.Query || f.Work {
				return
			}
			for _, j := range []logbook.Judged{was, is} {
				c.Do(crew.Raw(c.foreman(), o.Joint, o.Weld, logbook.Reviewed{Judged: j, Accepted: true, Why: "seen on site"}))
				if got := c.of(tt.rule); (got.Accepted != nil) != j.Same(is) {
					t.Errorf("accepted as %s, it is found with %s: settled %v", j.Facts, is.Facts, got.Settled)
				}
			}
		})
	}
}

// What is stored of an answer is told as the finding was, and holds nothing that
// somebody might word otherwise.
func TestFactsAreTold(t *testing.T) {
	for _, tt := range faults {
		for _, seed := range []func(*team){tt.seed, others[tt.rule]} {
			if seed == nil {
				continue
			}
			c := seeded(t, tt.rule, seed)
			var lines []string
			for _, e := range c.Entries {
				lines = append(lines, e.Open().Line())
			}
			for _, f := range c.run().Findings {
				if got := audit.Tell(f.Judged()); got != f.Says {
					t.Errorf("%s is told as %q, was %q", f.Key, got, f.Says)
				}
				for _, leaf := range leaves(t, f.Judged().Facts) {
					if i := slices.IndexFunc(append(lines, f.Says, f.Do, f.Basis), func(l string) bool { return l != "" && strings.Contains(leaf, l) }); i >= 0 {
						t.Errorf("%s judges by the words %q", f.Key, leaf)
					}
				}
			}
		}
	}
	for _, j := range []logbook.Judged{{Key: "of-tomorrow:KM-0001", Digest: "d"}, {Key: "run-unlike-set:KM-0001", Facts: json.RawMessage(`"39 s"`)}} {
		if got := audit.Tell(j); got != j.Key {
			t.Errorf("what is not known is told as %q", got)
		}
	}
}

// leaves are all texts in facts.
func leaves(t *testing.T, facts json.RawMessage) (out []string) {
	t.Helper()
	var v any
	if err := json.Unmarshal(facts, &v); err != nil {
		t.Fatal(err)
	}
	var walk func(any)
	walk = func(v any) {
		switch v := v.(type) {
		case string:
			out = append(out, v)
		case []any:
			for _, e := range v {
				walk(e)
			}
		case map[string]any:
			for _, e := range v {
				walk(e)
			}
		}
	}
	walk(v)
	return out
}
