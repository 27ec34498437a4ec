package register

import (
	"cmp"
	"slices"
	"strings"
	"time"

	"coolhold/logbook/audit"
)

// An Acceptance is one that a named person gave on a site, whether it settles anything still or
// not.
type Acceptance struct {
	Weld, Joint string // what it was given on; both "": the site
	Was         string // what was accepted, in the words of today
	By, Why     string
	At          time.Time
	Stands      bool
	Now         string    // of one that stands no more, why that is
	Since       time.Time // of such a one, when that came; zero where no one entry did it
	Through     string    // what came then: "taken back", "a correction"
}

// Acceptances are all of the site, whatever is listed: as many as its people gave, but those
// that were given again. The oldest come first.
func (rep Report) Acceptances() (out []Acceptance) {
	for _, f := range rep.judged.Findings {
		if a := f.Accepted; a != nil {
			out = append(out, Acceptance{Weld: f.Weld, Joint: f.Joint, Was: SaidOf(f), By: a.Who(), Why: a.Why, At: a.At.Local(), Stands: true})
		}
	}
	removed := rep.Removals()
	for _, l := range rep.Lapsed() {
		a := Acceptance{Weld: l.Weld, Joint: l.Joint, Was: OnSheet(l.Was), By: l.By, Why: l.Why, At: l.At.Local(), Now: OnSheet(l.Now)}
		if a.Through = "taken back"; l.Back != nil {
			a.Since = l.Back.Local()
		} else {
			a.Through, a.Since = rep.changedBy(l, removed[l.Weld])
		}
		out = append(out, a)
	}
	slices.SortStableFunc(out, func(x, y Acceptance) int {
		return cmp.Or(x.At.Compare(y.At), cmp.Compare(x.Weld, y.Weld), cmp.Compare(x.Joint, y.Joint))
	})
	return out
}

// changedBy is the correction by which the facts of an acceptance went or changed: what it was
// given on was found before it, and is not since. Where no correction of its weld did that
// nothing is told of it.
func (rep Report) changedBy(l audit.Lapse, removed []audit.Removal) (through string, since time.Time) {
	was := strings.TrimLeft(strings.TrimPrefix(l.Was, l.Weld), ": ")
	i := slices.IndexFunc(removed, func(r audit.Removal) bool {
		return r.Seq > l.Seq && (slices.Contains(slices.Concat(r.Found, r.Back), was) || slices.ContainsFunc(r.Changed, func(d audit.Differs) bool { return d.Was == was }))
	})
	if i < 0 {
		return "", since
	}
	for _, row := range rep.Rows {
		for _, c := range row.Weld.Corrections {
			if c.Seq == removed[i].Seq {
				return "a correction of " + c.Name(), c.At.Local()
			}
		}
	}
	return "", since
}
