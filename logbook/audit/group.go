package audit

import (
	"cmp"
	"fmt"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"time"

	"coolhold/logbook"
)

// Forty formalities of one sheet would bury the one indicator that is half up. So
// findings are read in groups: what is one thing to a person is one line, and real
// faults come first. Nothing is hidden by it: each finding stands behind its group.

// GroupLeast is from how many on findings of one kind, each to be decided by
// itself, are read together: our choice.
const GroupLeast = 4

// failStands is the rule that a failed weld still stands in its joint.
const failStands = "fail-not-cut-out"

// A Group is what a person reads as one thing: one finding; a fail with the joint
// in which its weld still stands; formalities of one cause, which are accepted
// once; or findings alike that are decided one by one.
type Group struct {
	Findings []Finding // the first tells
	Once     bool      // of one cause: one name and one reason settle all of it
	together bool      // only read together
}

// What is told first. A formality goes behind work, since it can wait; what nobody
// said goes behind the formalities only in this list, never in its weight.
const (
	rankFail = iota
	rankQuery
	rankWork
	rankFormal
	rankUnsaid
	rankNote
)

func (f Finding) rank() int {
	switch {
	case f.Severity == Fail:
		return rankFail
	case f.Severity == Note:
		return rankNote
	case f.Work:
		return rankWork
	case f.Cause != "":
		return rankFormal
	case f.unsaid:
		return rankUnsaid
	}
	return rankQuery
}

// Groups are findings as they are read, real faults first, each rank in the order
// of the findings.
func Groups(findings []Finding) []Group {
	var out []Group
	at := map[string]int{}
	for _, f := range findings {
		key := f.together()
		if i, had := at[key]; had && key != "" {
			out[i].Findings = append(out[i].Findings, f)
			continue
		}
		at[key] = len(out)
		out = append(out, Group{Findings: []Finding{f}, Once: f.Cause != ""})
	}
	out = few(withJoints(out))
	slices.SortStableFunc(out, func(a, b Group) int { return cmp.Compare(a.First().rank(), b.First().rank()) })
	return out
}

// Singly are findings as groups of one, in their order.
func Singly(findings []Finding) []Group {
	out := make([]Group, len(findings))
	for i, f := range findings {
		out[i] = Group{Findings: []Finding{f}}
	}
	return out
}

// together names what a finding is read with; "" is nothing.
func (f Finding) together() string {
	switch {
	case f.Cause != "" && f.Accepted != nil:
		return fmt.Sprintf("%s accepted by %q: %q", f.Cause, f.Accepted.By, f.Accepted.Why)
	case f.Cause != "":
		return fmt.Sprintf("%s %v", f.Cause, f.Settled)
	case f.facts == hold{Running: true}: // not left undone
	case f.many != "" && f.Open():
		return f.Rule
	}
	return ""
}

// few takes groups apart that are too few to be read together.
func few(groups []Group) (out []Group) {
	for _, g := range groups {
		if g.together = !g.Once && g.First().many != "" && len(g.Findings) >= GroupLeast; g.together || g.Once || g.First().many == "" {
			out = append(out, g)
			continue
		}
		out = append(out, Singly(g.Findings)...)
	}
	return out
}

// withJoints puts the line of a joint, that its failed weld still stands, to the
// fail of the weld where that is in the list: a person reads them as one.
func withJoints(groups []Group) []Group {
	failed := map[string]int{}
	for i, g := range groups {
		f := g.First()
		if _, had := failed[f.Joint]; !had && f.Weld != "" && f.Severity == Fail && f.Open() && !f.Work {
			failed[f.Joint] = i
		}
	}
	return slices.DeleteFunc(groups, func(g Group) bool {
		i, is := failed[g.First().Joint]
		if is = is && g.First().Rule == failStands; is {
			groups[i].Findings = append(groups[i].Findings, g.Findings...)
		}
		return is
	})
}

// First is the finding that tells.
func (g Group) First() Finding { return g.Findings[0] }

// Counts is how many a person reads of it.
func (g Group) Counts() int { return len(g.Counted()) }

// Counted are those that a person reads of it: a fail, and that it still stands in its
// joint, is one.
func (g Group) Counted() (out []Finding) {
	for i, f := range g.Findings {
		if i == 0 || f.Rule != failStands || g.Findings[0].Rule == failStands {
			out = append(out, f)
		}
	}
	return out
}

// Judged are all of it as a person answers them.
func (g Group) Judged() []logbook.Judged {
	out := make([]logbook.Judged, len(g.Findings))
	for i, f := range g.Findings {
		out[i] = f.Judged()
	}
	return out
}

// Says is the group in words: "2 more" only of what is alike.
func (g Group) Says() string { return g.says(Runs) }

// Whole is the same with every one named: for what is kept and not only looked at.
func (g Group) Whole() string { return g.says(AllRuns) }

func (g Group) says(runs func([]string) string) string {
	f := g.First()
	about := make([]string, len(g.Findings))
	for i, f := range g.Findings {
		about[i] = cmp.Or(f.Weld, f.Joint, f.Part)
	}
	switch {
	case g.together:
		return fmt.Sprintf("%d %s: %s", len(g.Findings), f.many, runs(about))
	case g.Once && len(g.Findings) > 1:
		return fmt.Sprintf("%s; and so %d more: %s", f.Says, len(g.Findings)-1, runs(about[1:]))
	}
	return f.Says
}

// Do is what to do about it.
func (g Group) Do() string {
	if g.together && !g.First().Work && !g.First().newer() {
		return "each is decided by itself"
	}
	if g.Once && len(g.Findings) > 1 && g.First().Open() {
		return g.First().Do + "; one answer does for all of them"
	}
	return g.First().Do
}

var numbered = regexp.MustCompile(`^(.*?)(\d+)$`)

// runsMost is how many stretches a line names.
const runsMost = 8

// Runs names many in few words: "KM-0003 to KM-0012, KM-0014", of very many the first.
func Runs(names []string) string { return runsOf(names, runsMost) }

// AllRuns names all of them.
func AllRuns(names []string) string { return runsOf(names, len(names)) }

func runsOf(names []string, most int) string {
	type run struct {
		from, to, head string
		no, n          int
	}
	var runs []run
	for _, name := range names {
		m := numbered.FindStringSubmatch(name)
		if m == nil {
			runs = append(runs, run{from: name, to: name, n: 1})
			continue
		}
		no, _ := strconv.Atoi(m[2])
		if last := len(runs) - 1; last >= 0 && runs[last].head == m[1] && runs[last].no+1 == no && m[1] != "" {
			runs[last].to, runs[last].no, runs[last].n = name, no, runs[last].n+1
			continue
		}
		runs = append(runs, run{name, name, m[1], no, 1})
	}
	var parts []string
	left := 0
	for i, r := range runs {
		switch {
		case i >= most:
			left += r.n
		case r.n == 1:
			parts = append(parts, r.from)
		case r.n == 2:
			parts = append(parts, r.from, r.to)
		default:
			parts = append(parts, r.from+" to "+r.to)
		}
	}
	if left > 0 {
		return strings.Join(parts, ", ") + fmt.Sprintf(" and %d more", left)
	}
	return strings.Join(parts, ", ")
}

// Alike are the findings that one answer settles with this one: of its cause, and
// open. Of one that is no formality it is alone.
func (res Result) Alike(f Finding) []Finding {
	if f.Cause == "" {
		return []Finding{f}
	}
	return res.where(func(o Finding) bool { return o.Cause == f.Cause && o.Unanswerable() == "" })
}

// A Cause says what makes a finding of a rule a formality, if it is one here: card
// or date, batch, weather, the version of a table. Those of one shift or sheet whose
// cause is the same are one thing. What nobody said of preparation, settings,
// cooling or indicators is never a formality.
type Cause func(c Case, facts any) (cause any, formal bool)

// byFacts: the facts themselves are the cause.
func byFacts(_ Case, facts any) (any, bool) { return facts, true }

// causeOf is empty for what is no formality. It names rule, shift or sheet, and
// the cause.
func causeOf(rule Rule, c Case, facts any) string {
	if rule.Cause == nil || c.Weld.ID == "" {
		return ""
	}
	cause, formal := rule.Cause(c, facts)
	if !formal {
		return ""
	}
	where := c.Weld.Shift
	if p := c.Weld.Paper; p != nil { // taken in at one go: the same name may come again
		where = p.File + " " + c.Weld.Begun.Wall.UTC().Format(time.RFC3339)
	}
	return rule.Slug + "@" + where + "#" + digest(rule.Slug+":"+where, written(cause))
}

// said tells whether a weld taken in afterwards says what is never a formality:
// each item of its preparation, what the unit was set to, its cooling, and what its
// indicators did.
func said(c Case) bool {
	w := c.Weld
	if _, unsaid := prepUnsaid(c); unsaid || w.Ambient == nil || w.Settings == nil || w.Settings.SecondsUnsaid || w.Settings.VoltsShown == nil {
		return false
	}
	looked := slices.ContainsFunc(w.Looks, func(l logbook.Seen) bool { return len(l.Indicators) > 0 })
	if _, unseen := notSeen(c); unseen {
		return false
	}
	if _, unsaid := lookUnsaid(c); unsaid {
		return false
	}
	cooled := w.Disturbed != nil || w.ReleasedStated != nil && w.EndedStated != nil
	return w.Outcome != logbook.NotSeen && (w.Outcome == logbook.Stopped || looked && cooled)
}

// afterwards is the cause of an entry made afterwards: what it says beside, if it
// says all that must be said.
func afterwards(c Case, facts any) (any, bool) { return facts, said(c) }

// unreadRow: the version of a table that nobody read back is a formality, a row
// that a bag stopped is none.
func unreadRow(_ Case, facts any) (any, bool) {
	f := facts.(rowFault)
	return f, f.Fault == rowUnread
}

// unreadBag: a batch whose bag nobody read is a formality, one that prints
// otherwise is none.
func unreadBag(_ Case, facts any) (any, bool) {
	f := facts.(bag)
	return f, !f.Unlike
}

// ownFormality: who accepted formalities of his own work is answered once too, of
// anything else weld by weld.
func ownFormality(c Case, facts any) (any, bool) {
	f := facts.(ownAnswer)
	for _, other := range c.found.Findings {
		if other.Weld == c.Weld.ID && other.Cause == "" && slices.Contains(f.Rules, other.Rule) {
			return nil, false
		}
	}
	return f, true
}
