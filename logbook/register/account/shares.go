package account

import (
	"fmt"
	"slices"

	"coolhold/logbook"
	"coolhold/logbook/audit"
)

// What is open is told in shares: of one matter, or of one word for one who must act. The
// front counts each and leads to it; under "Still open" it stands with the same number, so
// that who counts the lines below it comes to the same.

// A shareKind is what a share is of.
type shareKind int

const (
	lossShare shareKind = iota // losses of pressure
	testShare                  // pressure tests that were not within
	failShare                  // faults on welds
	bareShare                  // joints in which no weld stands or is being made
	restShare                  // all else
)

type share struct {
	kind   shareKind
	id     string
	who    audit.Actor
	word   string
	after  bool // queries on welds that are to be cut out first
	groups []audit.Group
}

// kindOf is of which kind a finding is.
func kindOf(f audit.Finding) shareKind {
	switch {
	case slices.Contains([]string{"pressure-lost", "site-pressure-lost"}, f.Rule):
		return lossShare
	case f.Rule == audit.PressureFailed:
		return testShare
	case slices.Contains([]string{"missing-weld", "cut-not-replaced"}, f.Rule):
		return bareShare
	case f.Severity == audit.Fail && f.Weld != "":
		return failShare
	}
	return restShare
}

// sharesOf are those of all that is open, in the order in which a person reads it.
func (m maker) sharesOf(open []audit.Finding) (out []share) {
	for _, g := range m.grouped(open) {
		f := g.First()
		k := share{kind: kindOf(f), who: m.mustActOn(f), word: f.Word(), after: m.cutFirst(f)}
		i := slices.IndexFunc(out, func(o share) bool {
			return o.kind == k.kind && (k.kind != restShare || o.who == k.who && o.word == k.word && o.after == k.after)
		})
		if i < 0 {
			k.id = shareID(k)
			i, out = len(out), append(out, k)
		}
		out[i].groups = append(out[i].groups, g)
	}
	return out
}

// grouped are findings as they are read, those apart that ask something of a weld that is to be
// cut out: whoever must act on these is not who answers the others of one cause.
func (m maker) grouped(open []audit.Finding) []audit.Group {
	var stay, cut []audit.Finding
	for _, f := range open {
		if m.cutFirst(f) {
			cut = append(cut, f)
		} else {
			stay = append(stay, f)
		}
	}
	out := audit.Groups(stay)
	behind := slices.IndexFunc(out, func(g audit.Group) bool { return g.First().Word() == toDo })
	if behind < 0 {
		behind = len(out)
	}
	return slices.Insert(out, behind, audit.Groups(cut)...)
}

// cutFirst tells whether a finding only asks something of a weld that is to be cut out.
func (m maker) cutFirst(f audit.Finding) bool { return m.opens.CutFirst(f) }

// mustActOn is who must act on a finding.
func (m maker) mustActOn(f audit.Finding) audit.Actor { return m.opens.MustActOn(f) }

// actorIDs name who must act in an anchor.
var actorIDs = map[audit.Actor]string{audit.Crew: "crew", audit.Foreman: "foreman", audit.Another: "another", audit.Office: "office", audit.Nobody: "nobody"}

func shareID(k share) string {
	switch k.kind {
	case lossShare:
		return "open-pressure-lost"
	case testShare:
		return "open-pressure-tests"
	case failShare:
		return "open-faults"
	case bareShare:
		return "open-without-weld"
	}
	if k.after {
		return "open-query-cut-first"
	}
	return "open-" + map[string]string{audit.Fail.String(): "fail", audit.Query.String(): "query", toDo: "to-do"}[k.word] + "-" + actorIDs[k.who]
}

// counts is how many a person reads in it.
func (k share) counts() (n int) {
	for _, g := range k.groups {
		n += g.Counts()
	}
	return n
}

// what is a share in words, with how many it has.
func (k share) what() string {
	n := k.counts()
	one := func(one, many string) string {
		if n == 1 {
			return "1 " + one
		}
		return fmt.Sprintf("%d %s", n, many)
	}
	switch k.kind {
	case lossShare:
		return one("thing to do about pressure that was lost", "things to do about pressure that was lost")
	case testShare:
		return one("pressure test that was not within", "pressure tests that were not within")
	case failShare:
		return one("fault", "faults") + " on " + logbook.Count(len(k.welds()), "weld")
	case bareShare:
		return one("joint in which no weld stands or is being made", "joints in which no weld stands or is being made")
	}
	switch k.word {
	case audit.Fail.String():
		return one("other fault", "other faults")
	case audit.Query.String():
		if k.after {
			return one("query on a weld that is to be cut out first", "queries on welds that are to be cut out first")
		}
		return one("query to decide", "queries to decide")
	}
	return one("other thing to do", "other things to do")
}

// findings are all of a share.
func (k share) findings() (out []audit.Finding) {
	for _, g := range k.groups {
		out = append(out, g.Findings...)
	}
	return out
}

// welds are those that a share is about.
func (k share) welds() (ids []string) {
	for _, g := range k.groups {
		for _, f := range g.Counted() {
			if f.Weld != "" && !slices.Contains(ids, f.Weld) {
				ids = append(ids, f.Weld)
			}
		}
	}
	return ids
}
