package audit_test

import (
	"strings"
	"testing"
	"time"

	"coolhold/fusion"
	"coolhold/logbook"
	"coolhold/logbook/acts"
	"coolhold/logbook/crew"
)

// The reasons of rules that have more than one, and what is just no fault.
// says is "" where the rule must be silent.
func TestEdgesOfRules(t *testing.T) {
	stop, volts := 17, 40.0
	other := strings.Replace(crew.TableText, "invented table", "another invented table", 1)
	tests := []struct {
		name, rule, says string
		seed             func(*team)
	}{
		{"released just in time", "released-early", "", late(func(l *acts.LateWeld) { l.Released = l.Ended.Add(6 * time.Minute) })},
		{"not released", "released-early", "", late(func(l *acts.LateWeld) { l.Released = time.Time{} })},
		{"released in time, the end not written down", "released-early", "", late(func(l *acts.LateWeld) {
			l.Ended, l.Released = time.Time{}, l.Started.Add(40*time.Second+6*time.Minute)
		})},
		{"released early, the end not written down", "released-early", "at most 5 min after fusion", late(func(l *acts.LateWeld) {
			l.Ended, l.Released = time.Time{}, l.Started.Add(40*time.Second+5*time.Minute)
		})},
		{"seconds not written down", "keyed-unlike-table", "", late(func(l *acts.LateWeld) { l.SecondsShown = 0 })},
		{"seconds not written down, those run were", "run-unlike-set", "", late(func(l *acts.LateWeld) { l.SecondsShown = 0 })},
		{"a stop ran less than was set", "run-unlike-set", "", late(func(l *acts.LateWeld) {
			l.Outcome, l.StoppedAt, l.Run, l.Paper = logbook.Stopped, &stop, &stop, &logbook.PaperRow{File: "van.csv", Line: 2, Key: "k"}
		})},
		{"a walk is open there", "missing-weld", "", func(c *team) { c.made("1A", well()); c.begun("1B", well()) }},
		{"how the time came not written down", "keyed-unlike-table", "44 s", late(func(l *acts.LateWeld) { l.Mode, l.SecondsShown = "", 44 })},
		{"from paper", "transcribed", "was transcribed from paper by " + crew.Ada + " (left blank: ohms)", late(func(l *acts.LateWeld) {
			l.Paper, l.Why = &logbook.PaperRow{File: "van.csv", Line: 2, Key: "k"}, "left blank: ohms"
		})},
		{"other volts", "keyed-unlike-table", "40 V", late(func(l *acts.LateWeld) { l.VoltsShown = &volts })},
		{"time by a code", "keyed-unlike-table", "", late(func(l *acts.LateWeld) { l.Mode, l.SecondsShown = logbook.ModeCode, 44 })},
		{"time by a code, as far as the bands next to it", "settings-far-from-table", "", late(func(l *acts.LateWeld) { l.Mode, l.SecondsShown = logbook.ModeCode, 44 })},
		{"time by a code, a tenth more than those", "settings-far-from-table", "", late(setBy(logbook.ModeCode, 48))},
		{"time by a code, more than that", "settings-far-from-table", "its unit was set to 49 s, its table says 40 s for 5…14 °C (read from a code)", late(setBy(logbook.ModeCode, 49))},
		{"time by a code, a tenth less", "settings-far-from-table", "", late(setBy(logbook.ModeCode, 33))},
		{"time by a code, less than that", "settings-far-from-table", "set to 32 s", late(setBy(logbook.ModeCode, 32))},
		{"corrected, and far", "settings-far-from-table", "set to 95 s, its table says 40 s for 5…14 °C (unit corrects for temperature)", corrects(95)},
		{"corrected, and no fail", "keyed-unlike-table", "", corrects(95)},
		{"corrected by a unit that does not, and far", "keyed-unlike-table", "the unit shows 95 s, the fitting's table says 40 s", late(setBy(logbook.ModeSelf, 95))},
		{"corrected by a unit that does not, and near", "keyed-unlike-table", "", late(setBy(logbook.ModeSelf, 41))},
		{"corrected by a unit that does not", "correction-contradicted", "corrected for temperature, and the weld's own entry says", late(setBy(logbook.ModeSelf, 41))},
		{"corrected by one of which the shift says that it does not", "correction-contradicted", "unit CU-1 corrected for temperature, and the shift says", late(func(l *acts.LateWeld) {
			setBy(logbook.ModeSelf, 41)(l)
			l.Corrects = ""
		})},
		{"corrected by one that does", "correction-contradicted", "", corrects(41)},
		{"keyed into one that does not", "correction-contradicted", "", late(func(*acts.LateWeld) {})},
		{"volts by a code, as a display rounds them", "settings-far-from-table", "", late(func(l *acts.LateWeld) { l.Mode, l.VoltsShown = logbook.ModeCode, &volts })},
		{"volts by a code, far", "settings-far-from-table", "its unit showed 24 V, its table says 39.5 V (read from a code)", late(func(l *acts.LateWeld) { l.Mode, l.VoltsShown = logbook.ModeCode, new(24.0) })},
		{"ran far, nobody wrote down what was set", "keyed-unlike-table", "the unit ran 3 s, the fitting's table says 40 s for 5…14 °C", late(func(l *acts.LateWeld) { l.SecondsShown, *l.Run = 0, 3 })},
		{"ran far by a code, nobody wrote down what was set", "settings-far-from-table", "its unit ran 3 s, its table says 40 s", late(func(l *acts.LateWeld) { l.Mode, l.SecondsShown, *l.Run = logbook.ModeCode, 0, 3 })},
		{"ran otherwise, nobody wrote down what was set", "settings-far-from-table", "its unit ran 39 s, its table says 40 s", late(func(l *acts.LateWeld) { l.SecondsShown, *l.Run = 0, 39 })},
		{"ran as the table says, nobody wrote down what was set", "settings-far-from-table", "", late(func(l *acts.LateWeld) { l.SecondsShown = 0 })},
		{"stopped early, nobody wrote down what was set", "settings-far-from-table", "", late(func(l *acts.LateWeld) {
			l.SecondsShown, l.Outcome, l.StoppedAt, *l.Run, l.Paper = 0, logbook.Stopped, &stop, 17, &logbook.PaperRow{File: "van.csv", Line: 2, Key: "k"}
		})},
		{"no temperature, and far from the whole row", "settings-far-from-table", "its unit was set to 3 s, its table gives 33 s to 48 s at any temperature", late(func(l *acts.LateWeld) { l.NoAmbient, l.SecondsShown, *l.Run = true, 3, 3 })},
		{"no temperature, and in the row", "settings-far-from-table", "", late(func(l *acts.LateWeld) { l.NoAmbient, l.SecondsShown, *l.Run = true, 36, 36 })},
		{"by a code in the walk, far", "settings-far-from-table", "set to 95 s", func(c *team) {
			id := c.begun("1B", well())
			c.Do(acts.KeySettings(c.H, id, logbook.ModeCode, 95, new(39.5)), acts.StartFusion(c.H, id, 0))
		}},
		{"by a code in the walk, near", "settings-far-from-table", "", func(c *team) {
			id := c.begun("1B", well())
			c.Do(acts.KeySettings(c.H, id, logbook.ModeCode, 41, new(39.5)), acts.StartFusion(c.H, id, 0))
		}},
		{"stopped at a known second", "stopped-in-fusion", "stopped at 17 s (voltage lost)", how(func(m *manner) {
			m.ended = logbook.FusionEnded{Outcome: logbook.Stopped, AtS: &stop, Said: "voltage lost"}
		})},
		{"low end of the window", "resistance-outside", "", how(func(m *manner) { m.ohms = 2.16 })},  // Rn×0.90, from memory
		{"high end of the window", "resistance-outside", "", how(func(m *manner) { m.ohms = 2.74 })}, // Rn×1.10+0.1, from memory
		{"above the window", "resistance-outside", "2.75 Ω", how(func(m *manner) { m.ohms = 2.75 })},
		{"found in mid-fusion, and watched to its end", "nobody-saw", "", func(c *team) {
			id := c.begun("1B", well())
			c.Do(acts.StartFusion(c.H, id, 0))
			c.Wait(25 * time.Second)
			c.Do(acts.FoundAtStart(c.H, fusion.Stamp{}))
			c.Wait(14 * time.Second)
			c.Do(acts.EndFusion(c.H, id, logbook.FusionEnded{Outcome: logbook.Completed}))
		}},
		{"unwatched and said to be completed", "nobody-saw", "not watched", func(c *team) {
			id := c.begun("1B", well())
			c.Do(acts.StartFusion(c.H, id, 0))
			c.Wait(40 * time.Second)
			c.Do(acts.FoundAtStart(c.H, fusion.Stamp{}))
			c.Do(acts.EndFusion(c.H, id, logbook.FusionEnded{Outcome: logbook.Completed}))
		}},
		{"table not read back", "row-not-allowed", "was not read back", func(c *team) {
			c.Do(acts.TakeTable(c.H, acts.File{Name: "t2", Text: other}))
			c.late(func(*acts.LateWeld) {})
		}},
		{"row stopped by a bag", "row-not-allowed", "stopped by a bag", func(c *team) {
			c.Do(acts.BeginWeld(c.H, "1A", crew.Ada, crew.Unit))
			id := c.Newest().Weld
			c.Do(acts.AnswerStep(c.H, id, logbook.StepFitting, well().given()))
			c.Do(acts.ReadBag(c.H, id, false))
			c.late(func(*acts.LateWeld) {})
		}},
		{"marks seen at a later look", "not-seen", "", func(c *team) {
			m := well()
			m.hot.Marks, m.felt.Marks = logbook.Unseen, "inplace"
			c.made("1B", m)
		}},
		{"indicators hidden at the last look", "not-seen", "indicators", how(func(m *manner) { m.felt.Indicators = []string{logbook.Unseen} })},
		{"not seen whether it is straight", "not-seen", "could not be looked at: wire, straightness", hot(func(l *logbook.Look) { l.Wire, l.Straight = logbook.Unseen, logbook.Unseen })},
		{"indicators hidden, and not looked at later", "not-seen", "indicators", how(func(m *manner) { m.hot.Indicators, m.felt.Indicators = []string{logbook.Unseen}, nil })},
		{"flat at the first look only", "indicator-flat", "", hot(flatLook)},
		{"flat when hot and up when cold", "indicator-flat-then-up", "KM-0001: indicator flat after fusion, up at release", hot(flatLook)},
		{"flat when hot, and not looked at since", "indicator-flat", "after fusion", func(c *team) {
			m := well()
			flatLook(&m.hot)
			c.fused("1B", m)
		}},
		{"flat when hot and part up when cold", "indicator-flat", "after fusion", func(c *team) {
			m := well()
			flatLook(&m.hot)
			m.felt.Indicators = []string{logbook.Part, logbook.Up}
			c.made("1B", m)
		}},
		{"flat when hot and one side not seen when cold", "indicator-flat", "after fusion", func(c *team) {
			m := well()
			flatLook(&m.hot)
			m.felt.Indicators = []string{logbook.Up, logbook.Unseen}
			c.made("1B", m)
		}},
		{"flat when hot and one of two told when cold", "indicator-flat", "after fusion", func(c *team) {
			m := well()
			flatLook(&m.hot)
			m.felt.Indicators = []string{logbook.Up}
			c.made("1B", m)
		}},
		{"flat when cold, up since", "indicator-flat", "at release", func(c *team) {
			m := well()
			flatLook(&m.felt)
			c.again(c.foreman(), c.made("1B", m), again(nil))
		}},
		{"flat when cold is no query too", "indicator-flat-then-up", "", func(c *team) {
			m := well()
			flatLook(&m.hot)
			flatLook(&m.felt)
			c.again(c.foreman(), c.made("1B", m), again(nil))
		}},
		{"flat at another look", "indicator-flat", "at another look", func(c *team) {
			c.again(c.foreman(), c.made("1B", well()), again(flatLook))
		}},
		{"flat only as corrected, and corrected back", "corrected-away-fail", "to up, up by Ada Invented (misread); as it had been corrected before it failed: indicator flat after fusion", func(c *team) {
			id := c.made("1B", well())
			c.correct(id, hotIndicators, "flat, up")
			c.correct(id, hotIndicators, "up, up")
		}},
		{"flat as recorded, and something else corrected between", "corrected-away-fail", "to up, up by Ada Invented (misread); as recorded it failed: indicator flat after fusion", func(c *team) {
			m := well()
			m.hot.Indicators = []string{logbook.Flat, logbook.Up}
			id := c.made("1B", m)
			c.correct(id, logbook.ItemPipeBatch, "coil 8")
			c.correct(id, hotIndicators, "up, up")
		}},
		{"flat when hot, and corrected", "corrected-away-fail", "as recorded it failed: indicator flat after fusion", func(c *team) {
			m := well()
			flatLook(&m.hot)
			c.correct(c.made("1B", m), "indicators after fusion (look 1)", "up, up")
		}},
		{"fitting without indicators", "indicator-flat", "", hot(func(l *logbook.Look) { l.Indicators = []string{logbook.None} })},
		{"unscraped, not fused", "unscraped", "", func(c *team) {
			m := well()
			m.answers["scraped"] = logbook.CouldNot
			c.begun("1B", m)
		}},
		{"stopped, and nothing is to be released", "unreleased", "", how(func(m *manner) { m.ended.Outcome = logbook.Stopped })},
		{"refused at once", "refused-late", "", refused(15*time.Second, new(0))},
		{"refused late", "refused-late", "refused 16 s after the current was on; 0 s run were shown", refused(16*time.Second, new(0))},
		{"refused without a figure", "refused-late", "refused 4 s after the current was on; no seconds run were seen", refused(4*time.Second, nil)},
		{"the dates were not asked", "qualification-unknown", "", how(func(*manner) {})},
		{"nor that of the unit", "calibration-unknown", "", how(func(*manner) {})},
		{"the unit's date was given", "calibration-unknown", "", func(c *team) { c.closed(); c.asked(crew.Ada, "", "2026-01-02"); c.made("1B", well()) }},
		{"the operator's date was given", "qualification-unknown", "", func(c *team) { c.closed(); c.asked(crew.Ada, "2027-01-02", ""); c.made("1B", well()) }},
		{"asked and not answered", "qualification-unknown", "how long the qualification of " + crew.Ada + " holds is not known", func(c *team) { c.closed(); c.asked(crew.Ada, "", ""); c.made("1B", well()) }},
		{"an hour before the shift", "outside-shift", "", late(func(l *acts.LateWeld) {
			l.Started = crew.Morning.Local().Add(-time.Hour)
			l.Ended, l.Released = l.Started.Add(40*time.Second), l.Started.Add(9*time.Minute)
		})},
		{"more than an hour before it", "outside-shift", "KM-0001 is said to be made at 06:59; the shift of that day was open from 08:00 on", late(func(l *acts.LateWeld) {
			l.Started = crew.Morning.Local().Add(-time.Hour - time.Minute)
			l.Ended, l.Released = l.Started.Add(40*time.Second), l.Started.Add(9*time.Minute)
		})},
		{"more than an hour after it was closed", "outside-shift", "KM-0001 is said to be made at 11:39; the shift of that day was open from 08:00 to 08:00", func(c *team) {
			c.Do(acts.CloseShift(c.H))
			c.Wait(4 * time.Hour)
			c.late(func(*acts.LateWeld) {})
		}},
		{"in a second shift of the day", "outside-shift", "", func(c *team) {
			c.Do(acts.CloseShift(c.H))
			c.Wait(4 * time.Hour)
			c.H.Shift = ""
			c.shift("", "")
			c.late(func(*acts.LateWeld) {})
		}},
		{"a day without a shift", "outside-shift", "", late(func(l *acts.LateWeld) { daysBack(l, 1) })},
		{"a paper sheet is its own shift", "outside-shift", "", late(func(l *acts.LateWeld) {
			hoursBack(l, 2)
			l.Paper = &logbook.PaperRow{File: "van.csv", Line: 2, Key: "k"}
		})},
		{"in two chambers at one time", "operator-in-two-places", "KM-0002 ran while KM-0001 of the same operator ran in chamber A", func(c *team) { c.made("1A", well()); inChamberC("CU-2", 0)(c) }},
		{"in two chambers one after the other", "operator-in-two-places", "", func(c *team) { c.made("1A", well()); inChamberC("CU-2", 5*time.Minute)(c) }},
		{"two in one chamber", "operator-in-two-places", "", onTwoUnits(30 * time.Second)},
		{"one unit in two chambers", "operator-in-two-places", "", func(c *team) { c.made("1A", well()); inChamberC(crew.Unit, 0)(c) }},
		{"an ambient stated far from the one read", "ambient-leaping", "KM-0002: 14.01 °C was read", func(c *team) {
			c.made("1A", well())
			c.Wait(20 * time.Minute)
			c.late(func(l *acts.LateWeld) { l.Ambient = 14_01 })
		}},
		{"five degrees are none", "ambient-leaping", "", func(c *team) {
			c.made("1A", well())
			c.Wait(20 * time.Minute)
			c.late(func(l *acts.LateWeld) { l.Ambient = 14_00 })
		}},
		{"one stated the day before", "ambient-leaping", "", func(c *team) {
			c.made("1A", well())
			c.late(func(l *acts.LateWeld) { daysBack(l, 1); l.Ambient = 20_00 })
		}},
		{"one read after a stated one", "ambient-leaping", "KM-0001: 20 °C was said for it, 22 min before 9 °C was read for KM-0002", func(c *team) {
			c.late(func(l *acts.LateWeld) { l.Ambient = 20_00; l.Started = l.Started.Add(-time.Minute) })
			m := well()
			m.air = 9_00
			c.made("1A", m)
			c.Wait(5 * time.Minute)
		}},
		{"one read long after a stated one", "ambient-leaping", "", func(c *team) {
			c.late(func(l *acts.LateWeld) { l.Ambient = 20_00 })
			c.Wait(10 * time.Minute)
			c.made("1A", well())
		}},
		{"one corrected, and another read after it", "ambient-leaping", "KM-0001: 14.01 °C was said for it, 7 min before 9 °C was read for KM-0002", func(c *team) {
			made2(as, as)(c)
			c.correct("KM-0001", "ambient", "14.01")
		}},
		{"one corrected, and another read before it", "ambient-leaping", "KM-0002: 14.01 °C was read, 7 min after 9 °C for KM-0001", func(c *team) {
			made2(as, as)(c)
			c.correct("KM-0002", "ambient", "14.01")
		}},
		{"one confirmed and then corrected", "ambient-leaping", "KM-0002: 14.01 °C was read, 7 min after 9 °C for KM-0001", func(c *team) {
			c.made("1A", well())
			m := well()
			m.ready = func(c *team, id string) {
				c.Do(acts.ReadAmbient(c.H, id, 9_00, logbook.Typed, new(c.H.At)), acts.KeySettings(c.H, id, logbook.ModeKeyed, 40, new(39.5)), acts.ReadOhms(c.H, id, &m.ohms))
			}
			c.made("1B", m)
			c.correct("KM-0002", "ambient", "14.01")
		}},
		{"the start was refused", "end-unsaid", "", func(c *team) {
			id := c.begun("1B", well())
			c.Do(acts.StartFusion(c.H, id, 0))
			c.Do(acts.RefuseStart(c.H, id, "contact fault", nil))
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

// corrects is a weld whose time the unit corrected, as the shift says that it does.
func corrects(seconds int) func(*team) {
	return func(c *team) {
		c.closed()
		c.H.Shift = ""
		c.Do(acts.StartShift(c.H, logbook.ShiftStarted{
			Day: "2026-03-09", Operators: []logbook.Operator{{Name: crew.Ada}}, Units: []logbook.Unit{{Serial: "CU-9", Corrects: logbook.Yes}},
			Weather: logbook.Weather{Sky: "dry", Shelter: "none"},
		}))
		c.late(func(l *acts.LateWeld) {
			setBy(logbook.ModeSelf, seconds)(l)
			l.Unit, l.Corrects = "CU-9", logbook.Yes
		})
	}
}
