package handover

import (
	"fmt"
	"slices"
	"strings"

	"coolhold/logbook"
	"coolhold/logbook/audit"
	"coolhold/logbook/labels"
)

// A matter is what several open findings are about, as a leaf tells it in one line.
type matter struct {
	key   string
	what  string // "fail" or "query"
	brief string // in a few words
	says  string // of the first, in full; "": the few words tell it
	at    []string
	n     int
	weld  string // of the first
}

// matters are the fails and queries that are open, those alike together: first a fail of a
// joint at which the plumber connects, then crossed legs, then all else as the audit has it, the queries on the loop before
// those on its welds.
func (g gathering) matters() (out []matter) {
	for _, group := range audit.Groups(g.res.Open()) {
		if word := group.First().Word(); word != toDo {
			for _, f := range group.Counted() {
				out = gathered(out, g.matterOf(f, word))
			}
		}
	}
	slices.SortStableFunc(out, func(a, b matter) int { return a.rank() - b.rank() })
	return out
}

// gathered puts a finding to what is alike.
func gathered(all []matter, m matter) []matter {
	i := slices.IndexFunc(all, func(o matter) bool { return o.key == m.key })
	if i < 0 {
		return append(all, m)
	}
	all[i].n++
	if m.what == audit.Fail.String() && m.says != "" {
		all[i].says += "; " + strings.TrimPrefix(m.says, m.weld+": ")
	}
	if !slices.Contains(all[i].at, m.at[0]) {
		all[i].at = append(all[i].at, m.at[0])
	}
	return all
}

const ownJoint, crossing = "own ", "crossed"

func (m matter) rank() int {
	switch {
	case strings.HasPrefix(m.key, ownJoint):
		return 0
	case m.key == crossing:
		return 1
	case m.what == audit.Fail.String():
		return 2
	case m.says == "":
		return 3
	}
	return 4
}

func (g gathering) matterOf(f audit.Finding, word string) matter {
	m := matter{key: word + " " + f.Rule, what: word, brief: f.Says, says: f.Says, at: []string{g.place(f)}, n: 1, weld: f.Weld}
	i := slices.IndexFunc(audit.Rules, func(r audit.Rule) bool { return r.Slug == f.Rule })
	if i >= 0 {
		m.brief = audit.Rules[i].Says
	}
	header := slices.ContainsFunc(g.labels, func(l labels.Label) bool { return l.Purpose == labels.Header && l.Joint == m.at[0] })
	brief, in, is := f.Brief()
	switch {
	case f.Rule == audit.FlowCrossed:
		m.key, m.brief, m.says = crossing, legsCrossed, ""
	case f.Severity == audit.Fail && header:
		m.key = ownJoint + m.at[0]
	case f.Severity == audit.Fail:
		m.key = word + " at " + m.at[0]
	case is:
		m.key, m.brief, m.says, m.at = word+" "+brief, brief, "", []string{g.name(in)}
	}
	return m
}

// line is a matter in words: "2 queries: no flow in circuit 1, circuit 2".
func (m matter) line() string {
	switch {
	case m.key == crossing:
		return m.what + ": " + m.short()
	case m.says == "":
		return logbook.Count(m.n, m.what) + ": " + m.short()
	case m.what == audit.Fail.String() || m.n == 1:
		return m.what + " at " + m.at[0] + ": " + m.says
	}
	return logbook.Count(m.n, m.what) + ": " + m.short()
}

// short is a matter with where it is.
func (m matter) short() string {
	switch {
	case m.key == crossing:
		return m.brief + ", at " + strings.Join(m.at, ", ")
	case m.what == audit.Fail.String() && m.says != "":
		return "at " + m.at[0] + ": " + m.says
	case m.says == "":
		return m.brief + " in " + listed(m.at)
	case m.at[0] == onSite && len(m.at) == 1:
		return m.brief
	}
	return m.brief + " (" + strings.Join(m.at, ", ") + ")"
}

// mostTold is how many lines of open findings the leaf has: the register has all in words.
// Our choice, so that it stays one page.
const mostTold = 6

// openLines are the open findings, by what they are about.
func (h Handover) openLines() (lines []string) {
	for _, o := range h.Open {
		if o.What == toDo {
			lines = append(lines, o.Line())
		}
	}
	room := mostTold - len(lines)
	told := h.matters
	if len(told) > room {
		told = told[:room-1]
	}
	var first []string
	for _, m := range told {
		first = append(first, m.line())
	}
	if rest := h.matters[len(told):]; len(rest) > 0 {
		n := 0
		for _, m := range rest {
			n += m.n
		}
		first = append(first, fmt.Sprintf("%d more, in words in the register%s", n, about(rest, func(at []string) string { return strings.Join(at, ", ") })))
	}
	if lines = append(first, lines...); len(lines) == 0 {
		return []string{"none"}
	}
	return lines
}

// about tells matters in a few words: those on the loop by what they are about, the others
// by where they are.
func about(all []matter, named func([]string) string) string {
	var says, at []string
	for _, m := range all {
		if m.says == "" {
			says = append(says, m.short())
			continue
		}
		for _, place := range m.at {
			if !slices.Contains(at, place) && place != onSite {
				at = append(at, place)
			}
		}
	}
	switch {
	case len(at) == 0 && len(says) == 0:
		return ", of the whole site"
	case len(at) > 0 && len(says) == 0:
		return ", at " + named(at)
	case len(at) > 0:
		says = append(says, "at "+named(at))
	}
	return ": " + strings.Join(says, "; ")
}

// of are the matters of a word.
func (h Handover) of(what string) []matter {
	return slices.DeleteFunc(slices.Clone(h.matters), func(m matter) bool { return m.what != what })
}
