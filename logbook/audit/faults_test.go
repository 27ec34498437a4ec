package audit_test

import (
	"slices"
	"time"

	"coolhold/fusion"
	"coolhold/logbook"
	"coolhold/logbook/acts"
)

// how is a case in which 1B was welded in one other manner.
func how(change func(*manner)) func(*crew) {
	return func(c *crew) {
		m := well()
		change(&m)
		c.made("1B", m)
	}
}

func answered(item, v string) func(*crew) { return how(func(m *manner) { m.answers[item] = v }) }

func hot(change func(*logbook.Look)) func(*crew) { return how(func(m *manner) { change(&m.hot) }) }

func late(change func(*acts.LateWeld)) func(*crew) { return func(c *crew) { c.late(change) } }

// faults holds one seeded fault for each rule: 1A is well made, 1B as said.
// with are the further rules that must speak up with it, and no others may.
var faults = []struct {
	rule string
	with []string
	seed func(*crew)
}{
	{"unscraped", failed, answered("scraped", logbook.CouldNot)},
	{"keyed-unlike-table", failedLate, late(func(l *acts.LateWeld) { l.SecondsShown, *l.Run = 44, 44 })},
	{"stopped-in-fusion", failed, how(func(m *manner) {
		m.ended = logbook.FusionEnded{Outcome: logbook.Stopped, Said: "voltage lost"}
	})},
	{"indicator-flat", failed, hot(func(l *logbook.Look) { l.Indicators = []string{logbook.Up, logbook.Flat} })},
	{"melt-outside", failed, hot(func(l *logbook.Look) { l.Melt = logbook.MeltOutside })},
	{"wire-seen", failed, hot(func(l *logbook.Look) { l.Wire = logbook.WireSeen })},
	{"moves", failed, how(func(m *manner) { m.felt.Felt = "moves" })},
	{"disturbed", failed, func(c *crew) { c.do(acts.Disturb(c.h, c.fused("1B", well()), 5, "digger")) }},
	{"released-early", failedLate, late(func(l *acts.LateWeld) { l.Released = l.Ended.Add(6*time.Minute - time.Second) })},
	{"preparation-could-not", nil, answered("clamped", logbook.CouldNot)},
	{"preparation-unsaid", nil, answered("wiped", logbook.NotYet)},
	{"scraping-method", nil, answered(logbook.ItemMethod, logbook.HandTool)},
	{"fitting-unlike-plan", nil, answered(logbook.ItemFitting, "elbow 40")},
	{"code-unlike-fitting", nil, func(c *crew) {
		m := well()
		m.answers[logbook.ItemCode] = "123456789012345678901234"
		c.made("1B", m)
		c.do(acts.TeachCode(c.h, "123456789012345678901234", "elbow 40", ""))
	}},
	{"pipe-unlike-plan", nil, answered(logbook.ItemPrint, logbook.UnlikePlan)},
	{"wet", nil, func(c *crew) {
		c.do(acts.ChangeWeather(c.h, logbook.Weather{Sky: logbook.SkyWet, Shelter: "none"}))
		c.made("1B", well())
	}},
	{"ambient-outside", []string{"entered-later"}, late(func(l *acts.LateWeld) { l.Ambient = 25_51 })},
	{"resistance-outside", nil, how(func(m *manner) { m.ohms = 2.1 })},
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
	{"hold-across-restart", nil, func(c *crew) {
		id := c.fused("1B", well())
		c.restart()
		c.wait(6 * time.Minute)
		c.do(acts.Release(c.h, id, well().felt, fusion.Stamp{}))
	}},
	{"clock-doubted", []string{"hold-across-restart"}, func(c *crew) {
		id := c.fused("1B", well())
		c.restart()
		c.do(acts.AcceptGap(c.h, id, "sat beside it"))
		c.do(acts.Release(c.h, id, well().felt, fusion.Stamp{}))
	}},
	{"entered-later", nil, late(func(*acts.LateWeld) {})},
	{"batch-missing", nil, answered(logbook.ItemBatch, logbook.NotKnown)},
	{"walk-open", []string{"missing-weld"}, func(c *crew) { c.begun("1B", well()) }},
	{"end-unsaid", nil, func(c *crew) { c.do(acts.StartFusion(c.h, c.begun("1B", well()), 0)) }},
	{"unread", []string{"unreleased", "round-not-done"}, func(c *crew) {
		id := c.begun("1B", well())
		c.do(acts.StartFusion(c.h, id, 0))
		c.do(acts.EndFusion(c.h, id, logbook.FusionEnded{Outcome: logbook.Completed}))
		c.do(acts.CloseShift(c.h)) // without the round, in which it would be looked at
	}},
	{"unreleased", nil, func(c *crew) { c.fused("1B", well()) }},
	{"round-not-done", nil, func(c *crew) {
		c.round()
		c.made("1B", well())
		c.do(acts.CloseShift(c.h))
	}},
	{"missing-weld", nil, func(*crew) {}},
	{"fail-not-cut-out", []string{"wire-seen"}, hot(func(l *logbook.Look) { l.Wire = logbook.WireSeen })},
	{"shift-open", nil, func(c *crew) { c.made("1B", well()); c.wait(24 * time.Hour) }},
	{"legs-on-one-bar", failed, answered(logbook.ItemPort, "3")},
	{"leg-on-wrong-port", nil, answered(logbook.ItemPort, "4")},
	{"small-header", []string{"missing-weld"}, func(c *crew) { c.made("1B", well()); c.circuits(63, 7) }},
	{"two-in-joint", []string{"two-in-joint"}, func(c *crew) {
		c.made("1B", well())
		other := crewOf(c.t, "KN")
		other.wait(time.Hour)
		other.made("1B", well())
		c.closed()
		other.closed()
		c.merged(other)
	}},
	{"operator-out-of-date", nil, func(c *crew) { c.closed(); c.shift("2026-03-08", ""); c.made("1B", well()) }},
	{"unit-out-of-date", nil, func(c *crew) { c.closed(); c.shift("", "2025-03-08"); c.made("1B", well()) }},
	{"ambient-stale", nil, how(func(m *manner) { m.idle = 30*time.Minute + time.Second })},
	{"ambient-leaping", nil, how(func(m *manner) { m.air = 14_01 })},
	{"resistance-unlike-sisters", nil, func(c *crew) { c.batch(2.4, 2.41, 2.39, 2.6) }},
	{"bag-not-read", nil, how(func(m *manner) { m.answers[logbook.ItemBatch], m.noBag = "W-2", true })},
	{"fusions-overlap", []string{"entered-later"}, func(c *crew) {
		c.wait(5 * time.Minute)
		c.late(func(l *acts.LateWeld) {
			l.Started = c.fusedAt("KM-0001").Add(-time.Minute)
			l.Ended, l.Released = l.Started.Add(2*time.Minute), l.Started.Add(10*time.Minute)
		})
	}},
	{"stated-times-unlike", []string{"entered-later"}, late(func(l *acts.LateWeld) { l.Started = l.Ended.Add(-2*time.Minute - 41*time.Second) })},
	{"not-on-a-shift", []string{"entered-later"}, late(func(l *acts.LateWeld) { l.Unit = "CU-999" })},
	{"day-changed-after-signing", []string{"entered-later"}, func(c *crew) {
		c.do(c.sign("2026-03-09"))
		c.late(func(*acts.LateWeld) {})
	}},
	{"cut-order-withdrawn", nil, func(c *crew) {
		id := c.made("1B", well())
		c.do(acts.OrderCut(c.h, id, "sits too deep"))
		c.do(acts.WithdrawCut(c.h, id, "it was another one"))
	}},
	{"self-accepted", []string{"run-unlike-set"}, func(c *crew) {
		how(func(m *manner) { m.ran = 39 })(c)
		c.do(acts.Accept(c.h, none, only(c.t, c.run(), "run-unlike-set").Judged(), "read twice"))
	}},
	{"leads-too-quick", nil, how(func(m *manner) { m.ago = 6*60 - 19 })},
	{"transcribed", nil, late(func(l *acts.LateWeld) { l.Paper = &logbook.PaperRow{File: "sheet.csv", Line: 7, Key: "k"} })},
	{"cut-ordered", failed, func(c *crew) { c.do(acts.OrderCut(c.h, c.made("1B", well()), "sits too deep")) }},
	{"corrected-away-fail", []string{"corrected"}, func(c *crew) {
		m := well()
		m.hot.Indicators = []string{logbook.Flat, logbook.Up}
		c.correct(c.made("1B", m), "indicators after fusion (look 1)", "up, up")
	}},
	{"corrected-after-review", []string{"corrected"}, func(c *crew) {
		id := c.made("1B", well())
		c.do(c.sign("2026-03-09"))
		c.correct(id, logbook.ItemPipeBatch, "coil 8")
	}},
	{"corrected", nil, func(c *crew) { c.correct(c.made("1B", well()), logbook.ItemPipeBatch, "coil 8") }},
	{"weld-moved", nil, func(c *crew) {
		id := c.made(c.added("X1"), well())
		c.do(acts.MoveWeld(c.h, id, "1B", "taken for the other", false))
		c.do(acts.StrikeJoint(c.h, "X1", "not needed"))
	}},
	{"recheck-asked", nil, func(c *crew) {
		id := c.made("1B", well())
		c.closed()
		c.do(acts.AskRecheck(c.h, id, "one side was in the shade"))
	}},
	{"cut-not-replaced", nil, func(c *crew) { c.do(acts.Cut(c.h, c.made("1B", well()), "crooked")) }},
	{"covered-before-accepted", nil, func(c *crew) {
		c.do(raw(c.h, "", "", logbook.Covered{Section: "chamber A", Missing: []string{"1B"}}))
		c.made("1B", well())
	}},
	{"pressure-lost", nil, func(c *crew) {
		c.made("1B", well())
		c.do(acts.Happen(c.h, "1B", logbook.Happened{What: logbook.PressureLost, On: "2026-03-09", Text: "0.3 bar in a day"}))
	}},
	{"site-pressure-lost", nil, func(c *crew) {
		c.made("1B", well())
		c.do(acts.Happen(c.h, "", logbook.Happened{What: logbook.PressureLost, On: "2026-03-09", Text: "0.3 bar in a day"}))
	}},
	{"clock-drifted", nil, func(c *crew) { c.made("1B", well()); c.do(acts.DoubtDrift(c.h, time.Hour)) }},
}
