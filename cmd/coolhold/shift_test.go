//go:build unix

package main

import (
	"strings"
	"testing"
	"time"
)

// A whole shift on a clock that only the test moves, with the program killed
// in a hold, in a fusion and in a walk. The figures are those of the invented
// table valley.toml.
func TestWholeShift(t *testing.T) {
	t.Parallel()
	c := newCrew(t, holdClock(t))
	c.opens()
	c.readsTableBack()
	c.startsShift()
	firstWeld(c)
	secondWeld(c)
	thirdWeld(c)
	stoppedAndRedone(c)
	endOfDay(c)
	whatTheRegisterSays(c)
	whatTheAuditSays(c)
}

// The first weld is stopped twice before its current, by the air and by the
// unit's display; then the program is killed in its hold.
func firstWeld(c *crew) {
	c.t.Helper()
	c.begins("1A")
	c.fits("1", "B1")
	c.prepares()
	c.reads("45")
	c.waitFor("45 °C is outside the bands of the table")
	c.reads("8.5")
	c.keysIn()
	c.display("42", "39.5")
	c.waitFor("Do not start.")
	c.display("40", "39.5")
	c.resistance("2.6")
	c.current()
	c.waitFor("1A fusing 0:40")
	c.passes(41 * time.Second)
	c.waitFor("FUSION TIME IS OVER")
	c.fuses("40")
	c.waitFor("1A hold 6:00")
	c.dies(75 * time.Second)
	c.waitFor("1A hold 4:45")
}

// The unit refuses the second weld once; then the program is killed while its
// current is on.
func secondWeld(c *crew) {
	c.t.Helper()
	c.begins("TG")
	c.fits("", "B2")
	c.prepares()
	c.reads("")
	c.keysIn()
	c.display("84", "39.5")
	c.resistance("1.5")
	c.answers("start", "3")
	c.types("what the unit said", "lead")
	c.waitFor("The unit refused: lead.")
	c.resistance("1.5")
	c.current()
	c.waitFor("TG fusing 1:24")
	c.passes(30 * time.Second)
	c.waitFor("TG fusing 0:54")
	c.dies(70 * time.Second)
	c.waitFor("TG fusion end not watched")
	c.waitFor("1A hold 3:05")
	c.press("right")
	c.waitFor("What runs and what waits")
	c.press("enter")
	c.waitFor("4  nobody saw")
	c.fuses("84")
	c.waitFor("TG hold 10:00")
}

// The program is killed in the third walk after scraping: it is asked what is true of
// the joint now, and nothing else again.
func thirdWeld(c *crew) {
	c.t.Helper()
	c.begins("E1")
	c.answers("fitting, as printed on the bag", "enter")
	c.types("batch of the fitting", "B3")
	c.answers("print on the pipe", "1")
	c.answers("batch of the coil or pipe", "enter")
	c.types("position", "N2")
	c.prepares()
	c.reads("")
	c.bagged()
	c.waitFor("Enter: it is in the unit")
	c.dies(60 * time.Second)
	c.waitFor("1A hold 2:05")
	c.waitFor("TG hold 9:00")
	c.waitFor("E1: go on with HF-0003: key 1.")
	c.press("1")
	c.waitFor("Scraped 1 min ago; the walk was left since")
	c.answers("the joint after the break", "1")
	c.keysIn()
	c.display("90", "39.5")
	c.resistance("1.4")
	c.current()
	c.passes(91 * time.Second)
	c.waitFor("FUSION TIME IS OVER")
	c.fuses("90")
	for _, hold := range []string{"1A hold 0:34", "TG hold 7:29", "E1 hold 11:00"} {
		c.waitFor(hold)
	}
}

// A fusion stops, is cut out and made anew with a new fitting; there the clamp
// cannot be set.
func stoppedAndRedone(c *crew) {
	c.t.Helper()
	c.begins("2A")
	c.fits("2", "B4")
	c.prepares()
	c.reads("")
	c.keysIn()
	c.display("40", "39.5")
	c.resistance("2.6")
	c.current()
	c.passes(17 * time.Second)
	c.answers("how the fusion ended", "2")
	c.types("stopped at how many seconds", "17")
	c.types("what the unit said", "volts")
	c.waitFor("Let it cool, then cut it out.")
	c.press("enter")
	c.waitFor("2A cools 6:00")
	c.passes(6 * time.Minute)
	c.opensJoint("2A")
	c.waitFor("2  record that HF-0004 was cut out")
	c.press("2")
	c.types("why it was cut out", "stop")
	c.waitFor("1  weld it")
	c.press("esc")
	c.begins("2A")
	c.fits("2", "B5")
	c.waitFor("0  all done")
	c.press("7")
	c.asked("7  clamped")
	c.press("3", "2", "enter") // could not, no access, no more words
	c.waitFor("could not (no access)")
	c.prepares()
	c.reads("")
	c.keysIn()
	c.display("40", "39.5")
	c.resistance("2.6")
	c.current()
	c.passes(41 * time.Second)
	c.fuses("40")
}

func endOfDay(c *crew) {
	c.t.Helper()
	c.releases("1A", "HF-0001")
	c.passes(6 * time.Minute)
	c.releases("TG", "HF-0002")
	c.releases("E1", "HF-0003")
	c.releases("2A", "HF-0005")
	c.goesRound(4)
	c.leaves()
}

func whatTheRegisterSays(c *crew) {
	c.t.Helper()
	rows := c.register()
	if len(rows) != 5+7 {
		c.t.Errorf("%d rows, want five welds and seven open joints", len(rows))
	}
	every := row{"operator": "Ada", "unit": "U7", "ambient_c": "8.5", "band": "5…14 °C", "scraping_method": "rotary scraper", "volts_set": "39.5"}
	for id, want := range map[string]row{
		"HF-0001": {"joint": "1A", "state": "stands", "fitting": "reducer 40x32", "fitting_batch": "B1", "seconds_set": "40", "seconds_run": "40", "cooling_min": "6", "preparation": "all done", "verdict": "clear"},
		"HF-0002": {"joint": "TG", "state": "stands", "fitting": "coupler 63", "fitting_batch": "B2", "seconds_set": "84", "seconds_run": "84", "cooling_min": "10", "preparation": "all done", "verdict": "query"},
		"HF-0003": {"joint": "E1", "state": "stands", "fitting": "elbow 63", "position": "N2", "seconds_set": "90", "seconds_run": "90", "cooling_min": "11", "preparation": "all done", "verdict": "clear"},
		"HF-0004": {"joint": "2A", "state": "cut out", "outcome": "stopped", "seconds_run": "17", "verdict": "fail"},
		"HF-0005": {"joint": "2A", "state": "stands", "fitting_batch": "B5", "outcome": "completed", "verdict": "query"},
	} {
		rows[id].shows(c.t, every)
		rows[id].shows(c.t, want)
	}
	if got := rows["HF-0005"]["preparation"]; !strings.Contains(got, "clamped: could not (no access)") {
		c.t.Errorf("preparation of HF-0005: %q", got)
	}
	rows["1B"].shows(c.t, row{"state": "no weld", "verdict": ""})
}

func whatTheAuditSays(c *crew) {
	c.t.Helper()
	out := c.runs(exitFindings, "audit")
	for _, want := range []string{
		"7 joints in which no weld stands: 1B, 2B, 3A, 3B, 4A, 4B, FG;",
		"HF-0002: its fusion was not watched to the end", "HF-0005: could not: clamped (no access)",
	} {
		if !strings.Contains(out, want) {
			c.t.Errorf("the audit says nothing of %s:\n%s", want, out)
		}
	}
	for _, settled := range []string{"HF-0001", "HF-0003", "HF-0004", "shift"} {
		if strings.Contains(out, settled) {
			c.t.Errorf("the audit still speaks of %s:\n%s", settled, out)
		}
	}
}
