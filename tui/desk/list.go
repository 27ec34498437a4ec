package desk

import (
	"cmp"
	"slices"
	"strings"
	"time"

	"coolhold/logbook"
	"coolhold/logbook/audit"
	"coolhold/tui/shell"
)

// daysOf are the dates with welds, the oldest first, and today while a shift
// is open.
func daysOf(env shell.Env) []string {
	var days []string
	for _, w := range env.Book.Welds(env.Site.ID) {
		days = append(days, w.Day())
	}
	if env.Shift.ID != "" {
		days = append(days, env.Now.Local().Format(time.DateOnly))
	}
	slices.Sort(days)
	return slices.Compact(days)
}

// lastDay is the last date with welds; today where there is none.
func lastDay(env shell.Env) string {
	last := ""
	for _, w := range env.Book.Welds(env.Site.ID) {
		last = max(last, w.Day())
	}
	return cmp.Or(last, env.Now.Local().Format(time.DateOnly))
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
	for _, w := range env.Audit.WeldsOn(day, day) {
		lines = append(lines, weldLine(env, w))
	}
	slices.SortStableFunc(lines, func(a, b dayLine) int { return cmp.Compare(a.rank, b.rank) })
	return lines
}

func weldLine(env shell.Env, w logbook.Weld) dayLine {
	l := dayLine{key: w.ID, weld: w, joint: env.Joint(w.Joint), verdict: env.Audit.Word(w), rank: rankRest}
	worst, open := env.Audit.Worst(w.ID)
	switch {
	case open && worst.Severity == audit.Fail:
		l.rank = rankFail
	case open && !worst.Work:
		l.rank = rankQuery
	case open || w.Stands() && (w.CutOrdered != nil || env.Audit.RecheckDue(w)):
		l.rank = rankWork
	}
	parts := marksOf(env, w)
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

// quietly is what a line says of a weld about which nothing is open.
func quietly(env shell.Env, w logbook.Weld) []string {
	var who []string
	says := ""
	for _, f := range env.Audit.OfWeld(w.ID) {
		if f.Accepted == nil {
			continue
		}
		says = cmp.Or(says, bare(w, f.Says))
		if by := f.Accepted.Who(); !slices.Contains(who, by) {
			who = append(who, by)
		}
	}
	if len(who) > 0 {
		return []string{"accepted by " + strings.Join(who, " and ") + ": " + says}
	}
	for _, f := range env.Audit.OfWeld(w.ID) {
		return []string{bare(w, f.Says)}
	}
	return nil
}

// bare is a finding without the number of its weld, where that stands beside.
func bare(w logbook.Weld, says string) string { return shell.WithoutNumber(says, w.ID) }

// marksOf are what somebody did with the record of a weld or asked for.
func marksOf(env shell.Env, w logbook.Weld) []string {
	var marks []string
	if w.Stands() && w.CutOrdered != nil {
		marks = append(marks, "cut-out ordered")
	}
	if w.Stands() && env.Audit.RecheckDue(w) {
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

// lacking are the joints in which no weld stands now.
func lacking(env shell.Env) []dayLine {
	var lines []dayLine
	for _, j := range env.Book.Joints(env.Site.ID) {
		if j.Open() {
			lines = append(lines, dayLine{key: j.Label, joint: j, verdict: string(env.Audit.StateOf(j))})
		}
	}
	return lines
}

// dayName writes a date for a person: "Mon 9 Mar 2026".
func dayName(day string) string {
	t, err := time.Parse(time.DateOnly, day)
	if err != nil {
		return day
	}
	return t.Format("Mon 2 Jan 2006")
}
