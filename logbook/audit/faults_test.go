package audit_test

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"coolhold/fusion"
	"coolhold/logbook"
	"coolhold/logbook/acts"
	"coolhold/logbook/audit"
	"coolhold/logbook/crew"
	"coolhold/logbook/plan"
)

// how is a case in which 1B was welded in one other manner.
func how(change func(*manner)) func(*team) {
	return func(c *team) {
		m := well()
		change(&m)
		c.made("1B", m)
	}
}

func answered(item, v string) func(*team) { return how(func(m *manner) { m.answers[item] = v }) }

func hot(change func(*logbook.Look)) func(*team) { return how(func(m *manner) { change(&m.hot) }) }

func refused(after time.Duration, run *int) func(*team) {
	return how(func(m *manner) { m.refusedAfter, m.refusedRun = after, run })
}

func said(item, v string) []logbook.Answer { return []logbook.Answer{crew.Say(item, v)} }

// inWalk is a case in which something is done once 1B is ready for the current.
func inWalk(do func(c *team, id string)) func(*team) {
	return how(func(m *manner) { m.ready = do })
}

// scrapedAgo is a weld fused so long after it was scraped, where the plan allows 20 min:
// a figure invented for the test.
func scrapedAgo(ago time.Duration) func(*team) {
	return func(c *team) {
		c.allowsScraped(20)
		how(func(m *manner) { m.idle = ago })(c)
	}
}

// allowsScraped makes the plan state a longest time from scraping to the current.
func (c *team) allowsScraped(most int) {
	site, _ := c.Book.Site(c.H.Site)
	opened := site.SiteOpened
	opened.ScrapedMin = most
	c.Do(crew.Raw(c.H, "", "", opened))
}

// stoppedAt is a fusion of 40 s that is said to have stopped later.
func stoppedAt(s int) func(*team) {
	return how(func(m *manner) { m.ended = logbook.FusionEnded{Outcome: logbook.Stopped, AtS: &s} })
}

// zones is a fitting of so many zones of which one is fused.
func zones(n int) func(*team) {
	return func(c *team) {
		text := strings.ReplaceAll(crew.TableText, "cooling_min", fmt.Sprintf("zones = %d\ncooling_min", n))
		c.Do(acts.TakeTable(c.H, acts.File{Name: "t2", Text: text}), acts.ReadBack(c.H, logbook.Hash(text)))
		m := well()
		id := c.begun("1B", m)
		c.Do(acts.StartFusion(c.H, id, 0))
		c.Wait(40 * time.Second)
		c.Do(acts.EndFusion(c.H, id, m.ended), acts.ReadRun(c.H, id, &m.ran))
	}
}

// twoIndicators is a case under a table that has two indicators for each fitting.
func twoIndicators(change func(*manner)) func(*team) {
	return func(c *team) {
		text := strings.ReplaceAll(crew.TableText, "cooling_min", "indicators = 2\ncooling_min")
		c.Do(acts.TakeTable(c.H, acts.File{Name: "t2", Text: text}), acts.ReadBack(c.H, logbook.Hash(text)))
		how(change)(c)
	}
}

// onTwoUnits is a fusion that its operator starts so long after another one, with
// another unit.
func onTwoUnits(apart time.Duration) func(*team) {
	return func(c *team) {
		m := well()
		second := c.begun(c.added("X1"), m)
		c.Do(crew.Raw(c.H, "X1", second, logbook.StepAnswered{Step: logbook.StepPeople, Answers: said(logbook.FieldUnit, "CU-2")}))
		c.Do(acts.KeySettings(c.H, second, logbook.ModeKeyed, 40, new(39.5)), acts.ReadOhms(c.H, second, &m.ohms))
		first := c.fused("1B", m)
		c.Wait(apart - 40*time.Second)
		c.Do(acts.StartFusion(c.H, second, 0))
		c.Wait(40 * time.Second)
		c.Do(acts.EndFusion(c.H, second, m.ended), acts.ReadRun(c.H, second, &m.ran), acts.ReadLook(c.H, second, m.hot))
		c.Wait(6 * time.Minute)
		c.Do(acts.Release(c.H, first, m.felt, none), acts.Release(c.H, second, m.felt, none))
	}
}

// hoursBack is a weld stated for so many hours earlier.
func hoursBack(l *acts.LateWeld, n int) {
	by := -time.Duration(n) * time.Hour
	l.Started, l.Ended, l.Released = l.Started.Add(by), l.Ended.Add(by), l.Released.Add(by)
}

// inChamberC is a weld in another chamber, stated for two minutes about those of
// KM-0001, or so much later.
func inChamberC(unit string, later time.Duration) func(*team) {
	return func(c *team) {
		c.onPipe("C1", "spine", "C")
		c.Wait(15 * time.Minute)
		c.late(func(l *acts.LateWeld) {
			l.Joint, l.Unit = "C1", unit
			l.Started = c.fusedAt("KM-0001").Add(later - time.Minute)
			l.Ended, l.Released = l.Started.Add(2*time.Minute), l.Started.Add(10*time.Minute)
		})
	}
}

// daysBack is a weld stated for so many days earlier.
func daysBack(l *acts.LateWeld, n int) {
	l.Started, l.Ended, l.Released = l.Started.AddDate(0, 0, -n), l.Ended.AddDate(0, 0, -n), l.Released.AddDate(0, 0, -n)
}

// onSheet is a weld taken in from paper, changed as given.
func onSheet(change func(*acts.LateWeld)) func(*team) {
	return late(func(l *acts.LateWeld) {
		l.Paper = &logbook.PaperRow{File: "sheet.csv", Line: 7, Key: "k"}
		change(l)
	})
}

// byNobody is a row that names no welder, on a site whose foreman stands on the list.
func byNobody(operator string) func(*team) {
	return func(c *team) {
		c.Do(acts.NamePerson(c.H, hedda, logbook.PersonNamed{}, acts.Telling{}))
		onSheet(func(l *acts.LateWeld) { l.Operator = operator })(c)
	}
}

// unsaid leaves an answer blank.
func unsaid(item string) func(*acts.LateWeld) {
	return func(l *acts.LateWeld) {
		l.Answers = slices.DeleteFunc(l.Answers, func(a logbook.Answer) bool { return a.Item == item })
	}
}

// cutAndLate is the weld of 1A cut out on the board, and one in its place that is stated for an
// earlier time.
func cutAndLate(wait time.Duration) func(*team) {
	return func(c *team) {
		c.Wait(30*time.Minute + wait)
		c.Do(acts.Cut(c.H, "KM-0001", "crooked"))
		c.late(func(l *acts.LateWeld) { l.Joint = "1A" })
	}
}

// setBy is a weld whose unit got its time so, and ran as it was set.
func setBy(mode logbook.Mode, seconds int) func(*acts.LateWeld) {
	return func(l *acts.LateWeld) { l.Mode, l.SecondsShown, *l.Run = mode, seconds, seconds }
}

// coveredAndBack is a cover over joints not settled that its welder takes back.
func coveredAndBack(why string) func(*team) {
	return func(c *team) {
		c.cover("1B")
		k, _ := c.Site().CoverOf("chamber A")
		c.Do(acts.UncoverSection(c.H, k, why))
		c.made("1B", well())
	}
}

func late(change func(*acts.LateWeld)) func(*team) { return func(c *team) { c.late(change) } }

// heldByWord is a hold taken to another machine, where its welder states by a watch
// when it began.
func heldByWord(began, watch string) func(*team) {
	return func(c *team) {
		id := c.fused("1B", well())
		c.Wait(time.Minute)
		c.H.At.Machine = "office"
		c.Do(acts.SayHold(c.H, id, logbook.HoldSaid{Began: began, Watch: watch, Why: "looked at the watch"}, none))
		c.Wait(6 * time.Minute)
		c.Do(acts.Release(c.H, id, well().felt, none))
	}
}

// faults holds one seeded fault for each rule: 1A is well made, 1B as said.
// with are the further rules that must speak up with it, and no others may.
var faults = []struct {
	rule string
	with []string
	seed func(*team)
}{
	{"newer-entry", []string{"newer-entry-site"}, future("KM-0002", "1B")},
	{"newer-entry-site", []string{"newer-entry"}, future("KM-0002", "1B")},
	{"unscraped", failed, answered("scraped", logbook.CouldNot)},
	{"keyed-unlike-table", failedLate, late(func(l *acts.LateWeld) { l.SecondsShown, *l.Run = 44, 44 })},
	{"settings-far-from-table", []string{"entered-later"}, late(setBy(logbook.ModeCode, 95))},
	{"correction-contradicted", []string{"entered-later"}, late(setBy(logbook.ModeSelf, 41))},
	{"stopped-in-fusion", failed, how(func(m *manner) {
		m.ended = logbook.FusionEnded{Outcome: logbook.Stopped, Said: "voltage lost"}
	})},
	{"indicator-flat", failed, how(func(m *manner) { m.felt.Indicators = []string{logbook.Up, logbook.Flat} })},
	{"indicator-flat-then-up", nil, hot(func(l *logbook.Look) { l.Indicators = []string{logbook.Up, logbook.Flat} })},
	{"melt-outside", failed, hot(func(l *logbook.Look) { l.Melt = logbook.MeltOutside })},
	{"wire-seen", failed, hot(func(l *logbook.Look) { l.Wire = logbook.WireSeen })},
	{"moves", failed, how(func(m *manner) { m.felt.Felt = "moves" })},
	{"disturbed", failed, func(c *team) { c.Do(acts.Disturb(c.H, c.fused("1B", well()), 5, "", "digger")) }},
	{"released-early", failedLate, late(func(l *acts.LateWeld) { l.Released = l.Ended.Add(6*time.Minute - time.Second) })},
	{"preparation-could-not", nil, answered("clamped", logbook.CouldNot)},
	{"preparation-unsaid", nil, answered("wiped", logbook.NotYet)},
	{"scraping-method", nil, answered(logbook.ItemMethod, logbook.HandTool)},
	{"scraping-method", nil, answered(logbook.ItemMethod2, logbook.HandTool)}, // of the other end alone
	{"fitting-unlike-plan", nil, answered(logbook.ItemFitting, "elbow 40")},
	{"fitting-unfit", []string{"bag-not-read", "entered-later", "fail-not-cut-out", "fitting-unlike-plan", "keyed-unlike-table"}, late(fitting("coupler 63"))},
	{"code-unlike-fitting", nil, func(c *team) {
		m := well()
		m.answers[logbook.ItemCode] = "123456789012345678901234"
		c.made("1B", m)
		c.Do(acts.TeachCode(c.H, "123456789012345678901234", "elbow 40", ""))
	}},
	{"after-break", nil, inWalk(func(c *team, id string) {
		c.Do(acts.LeaveWalk(c.H, id, logbook.StepStart), acts.ResumeWalk(c.H, id, logbook.StepStart), acts.AnswerStep(c.H, id, logbook.StepBreak, said(logbook.BreakItem(1), logbook.NotPutRight)))
	})},
	{"beside-hold", nil, inWalk(func(c *team, id string) {
		c.Do(acts.AnswerStep(c.H, id, logbook.StepBeside, said(logbook.BesideItem("KM-0001"), logbook.No)))
	})},
	{"moved-unsure", nil, func(c *team) {
		id := c.fused("1B", well())
		c.Wait(7 * time.Minute)
		c.Do(acts.Disturb(c.H, id, 5, logbook.Unsure, "digger"))
	}},
	{"doubtful-figure", append([]string{"stopped-in-fusion"}, failed...), stoppedAt(124)},
	{"indicators-unlike", nil, twoIndicators(func(m *manner) { m.hot.Indicators = []string{logbook.None} })},
	{"zone-not-fused", nil, zones(2)},
	{"operator-on-two-units", []string{"not-on-a-shift"}, onTwoUnits(50 * time.Second)},
	{"pipe-unlike-plan", nil, answered(logbook.ItemPrint, logbook.UnlikePlan)},
	{"wet", nil, func(c *team) {
		c.Do(acts.ChangeWeather(c.H, logbook.Weather{Sky: logbook.SkyWet, Shelter: "none"}))
		c.made("1B", well())
	}},
	{"ambient-outside", []string{"ambient-leaping", "entered-later"}, late(func(l *acts.LateWeld) { l.Ambient = 25_51 })},
	{"resistance-outside", nil, how(func(m *manner) { m.ohms = 2.1 })},
	{"refused-late", nil, refused(45*time.Second, new(0))},
	{"row-not-allowed", []string{"entered-later", "fitting-unlike-plan", "ambient-outside"}, late(func(l *acts.LateWeld) {
		i := slices.IndexFunc(l.Answers, func(a logbook.Answer) bool { return a.Item == logbook.ItemFitting })
		l.Answers[i].V = "odd one"
	})},
	{"run-unlike-set", nil, how(func(m *manner) { m.ran = 39 })},
	{"nobody-saw", nil, how(func(m *manner) { m.ended.Outcome = logbook.NotSeen })},
	{"indicator-part", nil, hot(func(l *logbook.Look) { l.Indicators = []string{logbook.Part, logbook.Up} })},
	{"not-seen", nil, hot(func(l *logbook.Look) { l.Marks = logbook.Unseen })},
	{"marks-moved", nil, hot(func(l *logbook.Look) { l.Marks = logbook.MarksMoved })},
	{"not-straight", nil, hot(func(l *logbook.Look) { l.Straight = "no" })},
	{"hold-across-restart", nil, func(c *team) {
		id := c.fused("1B", well())
		c.restart()
		c.Wait(6 * time.Minute)
		c.Do(acts.Release(c.H, id, well().felt, fusion.Stamp{}))
	}},
	{"clock-doubted", []string{"hold-across-restart"}, func(c *team) {
		id := c.fused("1B", well())
		c.restart()
		c.Do(acts.AcceptGap(c.H, id, "sat beside it"))
		c.Do(acts.Release(c.H, id, well().felt, fusion.Stamp{}))
	}},
	{audit.HoldByWord, []string{"hold-across-restart"}, heldByWord("07:22", "07:25")},
	{"entered-later", nil, late(func(*acts.LateWeld) {})},
	{"batch-shortened", nil, answered(logbook.ItemPipeBatch, "1.23457E+17")},
	{"batch-missing", nil, answered(logbook.ItemBatch, logbook.NotKnown)},
	{"walk-open", nil, func(c *team) { c.begun("1B", well()) }},
	{"end-unsaid", nil, func(c *team) { c.Do(acts.StartFusion(c.H, c.begun("1B", well()), 0)) }},
	{"unread", []string{"unreleased", "round-not-done"}, func(c *team) {
		id := c.begun("1B", well())
		c.Do(acts.StartFusion(c.H, id, 0))
		c.Do(acts.EndFusion(c.H, id, logbook.FusionEnded{Outcome: logbook.Completed}))
		c.Do(acts.CloseShift(c.H)) // without the round, in which it would be looked at
	}},
	{"unreleased", nil, func(c *team) { c.fused("1B", well()) }},
	{"round-not-done", nil, func(c *team) {
		c.round()
		c.made("1B", well())
		c.Do(acts.CloseShift(c.H))
	}},
	{"missing-weld", nil, func(*team) {}},
	{"fail-not-cut-out", []string{"wire-seen"}, hot(func(l *logbook.Look) { l.Wire = logbook.WireSeen })},
	{"shift-open", nil, func(c *team) { c.made("1B", well()); c.Wait(24 * time.Hour) }},
	{"legs-on-one-bar", failed, answered(logbook.ItemPort, "3")},
	{"leg-on-wrong-port", nil, answered(logbook.ItemPort, "4")},
	{"small-header", []string{"missing-weld"}, func(c *team) { c.made("1B", well()); c.circuits(63, 7) }},
	{"two-in-joint", []string{"two-in-joint"}, func(c *team) {
		c.made("1B", well())
		other := teamOf(c.T, "KN")
		other.Wait(time.Hour)
		other.made("1B", well())
		c.closed()
		other.closed()
		c.merged(other)
	}},
	{"two-on-port", []string{"joint-in-some-logs", "joint-in-some-logs", "joint-in-some-logs", "joint-in-some-logs", "logs-differ", "missing-weld", "two-on-port"}, func(c *team) {
		c.made("1B", well())
		c.mergedUnlike("no = 1\nod_mm", "no = 2\nod_mm", func(o *team) { o.Wait(time.Hour); o.made("2B", well()) })
	}},
	{"logs-differ", nil, func(c *team) { c.made("1B", well()); c.mergedUnlike(`"invented client"`, `"another client"`) }},
	{"joint-in-some-logs", nil, func(c *team) {
		c.made("1B", well())
		c.made(c.added("X1"), well())
		c.closed()
		other := teamOf(c.T, "KN")
		other.closed()
		c.merged(other)
	}},
	{"ended-with-weld", []string{"joint-in-some-logs"}, func(c *team) {
		c.made("1B", well())
		c.closed()
		other := teamOf(c.T, "KN")
		other.Do(acts.StrikeJoint(other.H, "1B", "not needed"))
		other.closed()
		c.merged(other)
	}},
	{"operator-out-of-date", nil, func(c *team) { c.closed(); c.shift("2026-03-08", ""); c.made("1B", well()) }},
	{"unit-out-of-date", nil, func(c *team) { c.closed(); c.shift("", "2025-03-08"); c.made("1B", well()) }},
	{"scraped-long-ago", nil, scrapedAgo(21 * time.Minute)},
	{"ambient-stale", nil, how(func(m *manner) { m.idle = 30*time.Minute + time.Second })},
	{"ambient-leaping", nil, how(func(m *manner) { m.air = 14_01 })},
	{"resistance-unlike-sisters", nil, func(c *team) { c.batch(2.4, 2.41, 2.39, 2.6) }},
	{"bag-not-read", nil, how(func(m *manner) { m.answers[logbook.ItemBatch], m.noBag = "W-2", true })},
	{"fusions-overlap", []string{"entered-later"}, func(c *team) {
		c.Wait(5 * time.Minute)
		c.late(func(l *acts.LateWeld) {
			l.Started = c.fusedAt("KM-0001").Add(-time.Minute)
			l.Ended, l.Released = l.Started.Add(2*time.Minute), l.Started.Add(10*time.Minute)
		})
	}},
	{"stated-times-unlike", []string{"entered-later"}, late(func(l *acts.LateWeld) { l.Started = l.Ended.Add(-2*time.Minute - 41*time.Second) })},
	{"not-on-a-shift", []string{"entered-later"}, late(func(l *acts.LateWeld) { l.Unit = "CU-999" })},
	{"day-changed-after-signing", []string{"entered-later"}, func(c *team) {
		c.Do(c.sign("2026-03-09"))
		c.late(func(*acts.LateWeld) {})
	}},
	{"cut-order-withdrawn", nil, func(c *team) {
		id := c.made("1B", well())
		c.Do(acts.OrderCut(c.H, id, "sits too deep"))
		c.Do(acts.WithdrawCut(c.foreman(), id, "it was another one"))
	}},
	{audit.OrderOwn, []string{"cut-order-withdrawn"}, func(c *team) {
		id := c.made("1B", well())
		c.Do(acts.OrderCut(c.foreman(), id, "sits too deep"))
		c.Do(acts.WithdrawCut(c.H, id, "it was another one"))
	}},
	{audit.CorrectedOwn, []string{"corrected"}, func(c *team) {
		how(func(m *manner) { m.ran = 39 })(c)
		c.correct("KM-0002", "seconds run", "40")
	}},
	{audit.CorrectorAccepted, []string{"corrected", "corrected-away-fail"}, func(c *team) { c.correctedBy("Tam Okoro") }},
	{audit.OwnWelder, []string{"run-unlike-set"}, func(c *team) {
		how(func(m *manner) { m.ran = 39 })(c)
		c.Do(acts.WorksAlone(c.H, true), acts.Accept(c.H, none, only(c.T, c.run(), "run-unlike-set").Judged(), "read twice"))
	}},
	{audit.ToldApart, nil, func(c *team) {
		c.made("1B", well())
		c.Do(acts.NamePerson(c.H, "A. Invented", logbook.PersonNamed{}, acts.Telling{Other: true}))
	}},
	{"self-accepted", []string{"run-unlike-set"}, func(c *team) {
		how(func(m *manner) { m.ran = 39 })(c)
		c.Do(acts.Accept(c.H, none, only(c.T, c.run(), "run-unlike-set").Judged(), "read twice"))
	}},
	{"leads-too-quick", nil, how(func(m *manner) { m.ago = 6*60 - 19 })},
	{"transcribed", nil, late(func(l *acts.LateWeld) { l.Paper = &logbook.PaperRow{File: "sheet.csv", Line: 7, Key: "k"} })},
	{"cut-ordered", failed, func(c *team) { c.Do(acts.OrderCut(c.H, c.made("1B", well()), "sits too deep")) }},
	{"corrected-away-fail", []string{"corrected"}, func(c *team) {
		m := well()
		m.hot.Indicators = []string{logbook.Flat, logbook.Up}
		c.correct(c.made("1B", m), "indicators after fusion (look 1)", "up, up")
	}},
	{"corrected-after-review", []string{"corrected"}, func(c *team) {
		id := c.made("1B", well())
		c.Do(c.sign("2026-03-09"))
		c.correct(id, logbook.ItemPipeBatch, "coil 8")
	}},
	{"corrected", nil, func(c *team) { c.correct(c.made("1B", well()), logbook.ItemPipeBatch, "coil 8") }},
	{"weld-moved", nil, func(c *team) {
		id := c.made(c.added("X1"), well())
		c.Do(acts.MoveWeld(c.H, id, "1B", "taken for the other", false))
		c.Do(acts.StrikeJoint(c.H, "X1", "not needed"))
	}},
	{"recheck-asked", nil, func(c *team) {
		id := c.made("1B", well())
		c.closed()
		c.Do(acts.AskRecheck(c.H, id, "one side was in the shade"))
	}},
	{"cut-not-replaced", nil, func(c *team) { c.Do(acts.Cut(c.H, c.made("1B", well()), "crooked")) }},
	{"covered-before-accepted", nil, func(c *team) {
		c.Do(crew.Raw(c.H, "", "", logbook.Covered{Section: "chamber A", Missing: []string{"1B"}}))
		c.made("1B", well())
	}},
	{"pressure-lost", nil, func(c *team) {
		c.made("1B", well())
		c.Do(acts.Happen(c.H, "1B", logbook.Happened{What: logbook.PressureLost, On: "2026-03-09", Text: "0.3 bar in a day"}))
	}},
	{"site-pressure-lost", nil, func(c *team) {
		c.made("1B", well())
		c.Do(acts.Happen(c.H, "", logbook.Happened{What: logbook.PressureLost, On: "2026-03-09", Text: "0.3 bar in a day"}))
	}},
	{audit.LegStruck, nil, func(c *team) { c.Do(acts.StrikeJoint(c.H, "1B", "not needed")) }},
	{audit.DugUpUnseen, nil, coveredAndDug("looked for the pipe")},
	{audit.CoverTakenBack, nil, coveredAndBack("it was chamber B")},
	{audit.RepairUnseen, nil, func(c *team) {
		lost("1B")(c)
		c.Do(acts.Happen(c.H, "1B", logbook.Happened{What: logbook.Repaired, On: "2026-03-09", Text: "a sleeve"}))
	}},
	{"qualification-unknown", nil, func(c *team) { c.closed(); c.asked(crew.Ada, "", "2026-01-02"); c.made("1B", well()) }},
	{"calibration-unknown", nil, func(c *team) { c.closed(); c.asked(crew.Ada, "2027-01-02", ""); c.made("1B", well()) }},
	{"outside-shift", []string{"entered-later"}, late(func(l *acts.LateWeld) { hoursBack(l, 2) })},
	{"operator-in-two-places", []string{"entered-later", "missing-weld", "not-on-a-shift"}, inChamberC("CU-2", 0)},
	{"clock-jumped", nil, func(c *team) { c.made("1B", well()); c.setClock(-32 * time.Hour) }},
	{"answered-out-of-time", []string{"clock-jumped"}, func(c *team) {
		c.made("1B", well())
		c.setClock(-10 * time.Minute)
		c.Do(c.sign("2026-03-09"))
	}},
	{"told-before-opening", nil, func(c *team) {
		c.made("1B", well())
		c.Do(acts.Happen(c.H, "1B", logbook.Happened{What: logbook.DugUp, On: "2026-03-08", Text: "looked for the pipe"}))
	}},
	{"pressure-lost-before-welding", []string{"pressure-lost", "missing-weld"}, func(c *team) {
		c.Do(acts.Happen(c.H, "1B", logbook.Happened{What: logbook.PressureLost, On: "2026-03-09", Text: "0.3 bar in a day"}))
	}},
	{audit.LookUnsaid, []string{"transcribed"}, onSheet(func(l *acts.LateWeld) { l.Look.Marks = "" })},
	{"unsaid-on-paper", []string{"transcribed"}, onSheet(unsaid(logbook.ItemPrint))},
	{audit.WelderUnnamed, []string{"transcribed", "not-on-a-shift"}, byNobody("not known")},
	{audit.RemarkToRead, []string{"transcribed"}, onSheet(func(l *acts.LateWeld) { l.Remarks = "the clamp slipped" })},
	{"welded-before-cut-out", []string{"entered-later", "missing-weld"}, cutAndLate(0)},
	{"made-before-opening", []string{"entered-later"}, late(func(l *acts.LateWeld) { daysBack(l, 1) })},
	{audit.LeaksUnder, []string{"fail-not-cut-out"}, func(c *team) {
		c.made("1B", well())
		c.Do(acts.LookUnderPressure(c.foreman(), "KM-0002", logbook.PressureLook{Bar: 3, Leaks: logbook.LeakThere, Witness: crew.Witness}))
	}},
	{audit.ClosingUnseen, []string{audit.PressureUnsettled}, closes("the last one")},
	{audit.UntestedSince, nil, func(c *team) {
		pressed(6.1, 6.05)(c)
		c.Do(acts.Cut(c.H, "KM-0002", "crooked"))
		c.made("1B", well())
	}},
	{audit.TestMissing, nil, func(c *team) {
		c.wantsTests()
		c.made("1B", well())
	}},
	{audit.PressureFailed, nil, pressed(6.1, 5.5)},
	{audit.PressureOverlap, nil, overlapping(10)},
	{audit.PressureOpen, nil, func(c *team) {
		c.made("1B", well())
		c.Wait(time.Hour)
		c.Begins(crew.Pressing(crew.Circuit1))
	}},
	{audit.PressureEarly, nil, func(c *team) {
		c.made("1B", well())
		c.Presses(crew.Pressing(crew.Circuit1), 6.1, 6.05)
	}},
	{audit.PressureUnsettled, []string{"missing-weld"}, func(c *team) {
		c.Wait(time.Hour)
		c.Presses(crew.Pressing(crew.Circuit1), 6.1, 6.05)
	}},
	{audit.PressureAbove, nil, given(func(b *logbook.PressureBegun) { *b.WeakestBar = 6.15 })},
	{audit.PressureGauge, nil, given(func(b *logbook.PressureBegun) { *b.Gauge.RangeBar = 5.9 })},
	{audit.PressureOpenTo, nil, given(func(b *logbook.PressureBegun) { b.Shut[logbook.ShutVents] = logbook.OpenToIt })},
	{audit.PressureUnsaid, nil, given(func(b *logbook.PressureBegun) { b.Gauge.Calibrated = "" })},
	{audit.PressureFixed, nil, fixed(6.05)},
	{audit.PressureBack, nil, tookBack("it was circuit 2")},
	{audit.PressureUndecided, nil, given(func(b *logbook.PressureBegun) { *b.Gauge.ResolutionBar = 0.5 })},
	{"clock-drifted", nil, func(c *team) { c.made("1B", well()); c.Do(acts.DoubtDrift(c.H, time.Hour)) }},
}

// wantsTests makes the plan want pressure tests.
func (c *team) wantsTests() {
	site, _ := c.Book.Site(c.H.Site)
	opened := site.SiteOpened
	opened.PressureTest = plan.BeforeCover
	c.Do(crew.Raw(c.H, "", "", opened))
}

// pressed is circuit 1 welded and tested once its waits are over, with these readings.
func pressed(bars ...float64) func(*team) { return given(func(*logbook.PressureBegun) {}, bars...) }

// given is the same with something else given before the test.
func given(change func(*logbook.PressureBegun), bars ...float64) func(*team) {
	if len(bars) == 0 {
		bars = []float64{6.1, 6.05}
	}
	return func(c *team) {
		c.made("1B", well())
		c.Wait(time.Hour)
		c.Presses(crew.Pressing(crew.Circuit1, change), bars...)
	}
}

// overlapping is a test from paper, begun so many minutes before the one before it ended.
func overlapping(minutes int) func(*team) {
	return func(c *team) {
		pressed(6.1, 6.05)(c)
		at := c.H.At.Local().Add(-time.Duration(minutes) * time.Minute)
		c.Presses(crew.Pressing(crew.Circuit1, func(b *logbook.PressureBegun) { b.Stated, b.Why = &at, "it stood on paper" }), 6.1, 6.05)
	}
}

// fixed is a test whose second reading is put right.
func fixed(bar float64) func(*team) {
	return func(c *team) {
		pressed(6.1, 5.1)(c)
		c.Do(acts.ReadPressure(c.H, "", logbook.PressureRead{Test: "KM-P1", Bar: &bar, Instead: 2, Why: "mistyped"}))
	}
}

// tookBack is a test that fell and that who made it takes back.
func tookBack(why string) func(*team) {
	return func(c *team) {
		pressed(6.1, 5.1)(c)
		c.Do(acts.WithdrawPressure(c.H, "KM-P1", why))
	}
}

// closes is the weld of 1B made after the test of its circuit, and named as the closing
// one.
func closes(why string) func(*team) {
	return func(c *team) {
		c.Wait(time.Hour)
		c.Presses(crew.Pressing(crew.Circuit1), 6.1, 6.05)
		c.made("1B", well())
		c.Do(acts.NameClosing(c.H, "KM-0002", why))
	}
}
