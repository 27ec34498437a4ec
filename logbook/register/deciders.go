package register

import (
	"fmt"
	"slices"
	"strings"

	"coolhold/logbook"
	"coolhold/logbook/audit"
)

// A Decider is somebody whose name stands under a decision on the site.
type Decider struct {
	Name string
	Did  []string // "accepted 3", "signed 2", "corrected 4", "reported 1"
	// Unlisted is set where the name is on no shift and on no list of people: nobody
	// else on the site has said who that is.
	Unlisted bool
	decided  bool // not only acted: corrected, reported
}

// Line is a decider in words.
func (d Decider) Line() string {
	line := d.Name + ": " + strings.Join(d.Did, ", ")
	if d.Unlisted {
		line += " (ON NO SHIFT AND NO LIST OF PEOPLE)"
	}
	return line
}

// decided are the words for a decision, in the order they are told.
var decided = []string{"accepted", "signed", "covered", "said repaired", "withdrew a cut-out"}

// acted are the words for what else a person did, by the kind of entry on a weld.
var acted = []struct {
	kind logbook.Kind
	word string
}{
	{logbook.CutOrdered{}.Kind(), "ordered a cut-out"}, {logbook.Correction{}.Kind(), "corrected"},
	{logbook.RecheckAsked{}.Kind(), "asked for another look"}, {logbook.EnteredLater{}.Kind(), "transcribed"},
}

// lapsedSince counts, of what a person accepted, what settles nothing any more.
const lapsedSince = "lapsed"

// enteredLater is what an entry is called by which a weld came into the log that is not from
// paper, and saidOf is that for what happened on the site.
const enteredLater, saidOf = "entered later", "reported"

// doersOf are the persons who decided or did something of a site beside welding, in the order
// of their first decision of each kind.
func doersOf(r logbook.Reader, s logbook.Site, found []audit.Finding, lapsed []audit.Lapse) (out []Decider) {
	var names []string
	did := map[string]map[string]int{}
	add := func(name, what string) {
		if name == "" {
			return
		}
		if at := slices.IndexFunc(names, func(k string) bool { return s.SameName(k, name) }); at >= 0 {
			name = names[at]
		}
		if did[name] == nil {
			names, did[name] = append(names, name), map[string]int{}
		}
		did[name][what]++
	}
	for _, f := range found {
		if f.Accepted != nil {
			add(f.Accepted.By, decided[0])
		}
	}
	for _, l := range lapsed {
		add(l.By, decided[0])
		add(l.By, lapsedSince)
	}
	for _, d := range s.Signed {
		add(d.By, decided[1])
	}
	for _, k := range s.Covers {
		add(k.By, decided[2])
	}
	for _, e := range s.Events {
		if e.What == logbook.Repaired {
			add(e.By, decided[3])
		}
	}
	welds := r.Welds(s.ID)
	for _, w := range welds {
		if w.CutWithdrawn != nil {
			add(w.CutWithdrawn.By, decided[4])
		}
	}
	words := slices.Clone(decided)
	for _, k := range acted {
		words = append(words, k.word)
		for _, w := range welds {
			for _, e := range w.Trail {
				switch {
				case e.Kind != k.kind || withdrawn(e):
				case k.kind == (logbook.EnteredLater{}).Kind() && w.Paper == nil:
					add(e.By, enteredLater)
				default:
					add(e.By, k.word)
				}
			}
		}
	}
	words = append(words, enteredLater, saidOf)
	for _, e := range s.Events {
		if e.What != logbook.Repaired {
			add(e.By, saidOf)
		}
	}
	for _, name := range names {
		d := Decider{Name: name, Unlisted: !isNamed(r, s, name)}
		for _, what := range words {
			if n := did[name][what]; n > 0 {
				says := fmt.Sprintf("%s %d", what, n)
				if off := did[name][lapsedSince]; what == decided[0] && off > 0 {
					says += fmt.Sprintf(", of which %d stand", n-off)
				}
				d.Did = append(d.Did, says)
				d.decided = d.decided || slices.Contains(decided, what)
			}
		}
		out = append(out, d)
	}
	return out
}

// withdrawn tells whether an entry takes an order back: that is told by itself.
func withdrawn(e *logbook.Entry) bool {
	b, is := e.Open().(logbook.CutOrdered)
	return is && b.Withdrawn
}

// isNamed tells whether a name is that of a person on a shift or on the list of the site.
func isNamed(r logbook.Reader, s logbook.Site, name string) bool {
	people := logbook.PeopleOf(r, s.ID)
	on := func(label string) bool { return people.Same(label, name) }
	for _, id := range s.Shifts {
		sh, _ := r.Shift(s.ID, id)
		if slices.ContainsFunc(sh.Operators, func(o logbook.Operator) bool { return on(o.Name) }) {
			return true
		}
	}
	return slices.ContainsFunc(s.People, func(p logbook.Person) bool { return on(p.Label()) })
}
