package desk

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
	"time"

	"coolhold/logbook"
	"coolhold/logbook/audit"
	"coolhold/tui/shell"
)

const (
	dateLayout = "2006-01-02"
	cutOut     = "cut out"
)

// verdictWords are what a line of a day can say, in the order of the count.
var verdictWords = []string{
	string(audit.Clear), string(audit.Accepted), string(audit.Queried), string(audit.Failed),
	string(audit.Unfinished), cutOut, string(audit.NoHeat),
}

// dayOf is the local date that a weld belongs to: that of its fusion, else
// that of its begin.
func dayOf(w logbook.Weld) string {
	if t, ok := w.FusedAt(); ok {
		return t.Format(dateLayout)
	}
	return w.Begun.Local().Format(dateLayout)
}

// daysOf are the dates with welds, the oldest first, and today while a shift
// is open.
func daysOf(env shell.Env) []string {
	var days []string
	for _, w := range env.Book.Welds(env.Site.ID) {
		days = append(days, dayOf(w))
	}
	if env.Shift.ID != "" {
		days = append(days, env.Now.Local().Format(dateLayout))
	}
	slices.Sort(days)
	return slices.Compact(days)
}

// lastDay is the last date with welds; today where there is none.
func lastDay(env shell.Env) string {
	last := ""
	for _, w := range env.Book.Welds(env.Site.ID) {
		last = max(last, dayOf(w))
	}
	if last == "" {
		return env.Now.Local().Format(dateLayout)
	}
	return last
}

// The ranks of a line: what somebody must do something about comes first.
const (
	rankFail = iota
	rankQuery
	rankWork
	rankRest
)

// A dayLine is one weld of a day, or one joint that lacks a weld.
type dayLine struct {
	key     string // of the cursor: the weld's number, else the joint's label
	weld    logbook.Weld
	joint   logbook.Joint
	verdict string
	rank    int
	says    string // marks and the worst that is open, else what there is to know
}

// dayLines are the welds of a day, those with open findings first, each group
// in the order of the welds.
func dayLines(env shell.Env, day string) []dayLine {
	var lines []dayLine
	for _, w := range env.Book.Welds(env.Site.ID) {
		if dayOf(w) == day {
			lines = append(lines, weldLine(env, w))
		}
	}
	slices.SortStableFunc(lines, func(a, b dayLine) int { return cmp.Compare(a.rank, b.rank) })
	return lines
}

func weldLine(env shell.Env, w logbook.Weld) dayLine {
	l := dayLine{key: w.ID, weld: w, joint: env.Joint(w.Joint), verdict: verdictWord(env, w), rank: rankRest}
	worst, open := worstOf(env.Audit.OfWeld(w.ID))
	switch {
	case open && worst.Severity == audit.Fail:
		l.rank = rankFail
	case open && !worst.Work:
		l.rank = rankQuery
	case open || w.Stands() && (w.CutOrdered != nil || recheckDue(w)):
		l.rank = rankWork
	}
	parts := marksOf(w)
	switch {
	case open:
		parts = append(parts, bare(w, worst.Says))
	case w.CutOut != nil:
		parts = append(parts, w.CutWhy)
	case w.Abandoned != "":
		parts = append(parts, w.Abandoned)
	default:
		parts = append(parts, quietly(env, w)...)
	}
	l.says = logbook.Clean(strings.Join(parts, "; "))
	return l
}

// verdictWord is the verdict in a line; a weld that is cut out has no other.
func verdictWord(env shell.Env, w logbook.Weld) string {
	if w.CutOut != nil {
		return cutOut
	}
	return string(env.Audit.Verdict(w.ID))
}

// worstOf is the worst finding that is open: a fault before unfinished work.
// Notes are for the file.
func worstOf(findings []audit.Finding) (audit.Finding, bool) {
	var worst audit.Finding
	found := false
	for _, f := range findings {
		if f.Settled || f.Severity == audit.Note {
			continue
		}
		if !found || f.Severity < worst.Severity || f.Severity == worst.Severity && worst.Work && !f.Work {
			worst, found = f, true
		}
	}
	return worst, found
}

// quietly is what a line says of a weld about which nothing is open.
func quietly(env shell.Env, w logbook.Weld) []string {
	for _, f := range env.Audit.OfWeld(w.ID) {
		if f.Accepted != nil {
			return []string{"accepted by " + f.Accepted.By + ": " + bare(w, f.Says)}
		}
	}
	for _, f := range env.Audit.OfWeld(w.ID) {
		return []string{bare(w, f.Says)}
	}
	return nil
}

// bare is a finding without the number of its weld, where that stands beside.
func bare(w logbook.Weld, says string) string {
	return strings.TrimPrefix(strings.TrimPrefix(says, w.ID+": "), w.ID+" ")
}

// recheckDue tells whether another look was asked for and nobody looked since.
func recheckDue(w logbook.Weld) bool {
	return w.Recheck != nil && !slices.ContainsFunc(w.Looks, func(l logbook.Seen) bool { return l.Seq > w.Recheck.Seq })
}

// marksOf are what somebody did with the record of a weld or asked for.
func marksOf(w logbook.Weld) []string {
	var marks []string
	if w.Stands() && w.CutOrdered != nil {
		marks = append(marks, "cut-out ordered")
	}
	if w.Stands() && recheckDue(w) {
		marks = append(marks, "re-check asked")
	}
	for i := len(w.Corrections) - 1; i >= 0; i-- {
		if c := w.Corrections[i]; c.Field == logbook.FieldJoint {
			return append(marks, "corrected, logged at "+c.Old)
		}
	}
	if len(w.Corrections) > 0 {
		marks = append(marks, "corrected")
	}
	return marks
}

// countOf is how many welds have which verdict: "3 welds: 2 clear, 1 fail".
func countOf(lines []dayLine) string {
	n := map[string]int{}
	for _, l := range lines {
		n[l.verdict]++
	}
	var parts []string
	for _, word := range verdictWords {
		if n[word] > 0 {
			parts = append(parts, fmt.Sprintf("%d %s", n[word], word))
		}
	}
	switch len(lines) {
	case 0:
		return "no weld"
	case 1:
		return "1 weld: " + parts[0]
	}
	return fmt.Sprintf("%d welds: %s", len(lines), strings.Join(parts, ", "))
}

// lacking are the joints in which no weld stands now.
func lacking(env shell.Env) []dayLine {
	var lines []dayLine
	for _, j := range env.Book.Joints(env.Site.ID) {
		if j.Open() {
			lines = append(lines, dayLine{key: j.Label, joint: j, verdict: env.Audit.StateOf(j)})
		}
	}
	return lines
}

// dayName writes a date for a person: "Mon 9 Mar 2026".
func dayName(day string) string {
	t, err := time.Parse(dateLayout, day)
	if err != nil {
		return day
	}
	return t.Format("Mon 2 Jan 2006")
}
