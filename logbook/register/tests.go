package register

import (
	"fmt"
	"strings"

	"coolhold/logbook"
	"coolhold/logbook/ahead"
	"coolhold/logbook/audit"
)

// testsOf are the pressure tests of a site, those that were taken back too.
func testsOf(s logbook.Site, res audit.Result) []audit.Tested {
	counts := map[string]audit.Tested{}
	for _, t := range res.Tests() {
		counts[t.ID] = t
	}
	var out []audit.Tested
	for _, t := range s.Tests {
		k, ok := counts[t.ID]
		if !ok {
			of := ahead.TestSection{ID: t.Section, Name: t.Section.String()}
			k = audit.Tested{PressureTest: t, Of: of, Result: ahead.ResultOf(of, t)}
		}
		out = append(out, k)
	}
	return out
}

// counting are the joints that must be made or stand.
func counting(r logbook.Reader, site string) []logbook.Joint {
	var out []logbook.Joint
	for _, j := range r.Joints(site) {
		if j.Counts() {
			out = append(out, j)
		}
	}
	return out
}

// pressureTested is the newest pressure test that holds the weld as it stands, or that
// none does though its section was tested.
func pressureTested(r Row) Value { return text(r.Tested) }

// testedAs says what the newest test of a weld as it stands came to: "KM-P1 2026-03-12:
// within what the method allows", or that it changed after one.
func testedAs(res audit.Result, j logbook.Joint, w logbook.Weld) string {
	if !w.Stands() {
		return ""
	}
	says := ""
	for _, t := range res.Tests() {
		if e := t.Ended; e != nil && e.Ending != logbook.CalledOff && t.Stage.Welds() && t.Holding(j.Label) {
			says = fmt.Sprintf("%s %s: %s", t.ID, t.Day(), t.Result.Outcome)
		}
	}
	if says == "" && res.Untested(j.Label) {
		return "none: it changed after the test of its section"
	}
	return says
}

func documentTests(rep Report) []audit.TestRecord {
	out := []audit.TestRecord{}
	for _, t := range rep.Tests {
		out = append(out, t.Record())
	}
	return out
}

// TestLine is a test in one line, also of one that was taken back.
func TestLine(t audit.Tested) string {
	if w := t.Withdrawn; w != nil {
		return fmt.Sprintf("taken back by %s: %s", w.By, w.Why)
	}
	return strings.TrimSpace(t.Came())
}
