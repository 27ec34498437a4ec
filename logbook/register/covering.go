package register

import (
	"slices"
	"strings"

	"coolhold/logbook"
	"coolhold/logbook/ahead"
	"coolhold/logbook/audit"
	"coolhold/logbook/chart"
)

// Coverings are the parts of the site as they stand towards being covered with ground, in the
// plan's order, chambers first.
func (rep Report) Coverings() []audit.Covering {
	if rep.covering == nil {
		return nil // of no records
	}
	return rep.covering()
}

func coveringsOf(r logbook.Reader, site string, res audit.Result) (out []audit.Covering) {
	for _, part := range ahead.Sections(r, site) {
		out = append(out, res.Covering(part))
	}
	return out
}

// The words for whether ground may be laid on a part. All say no more than the record does.
const (
	MayCover      = "yes, by the record"
	MayNotCover   = "no"
	IsCovered     = "is covered"
	CoveredInPart = "is covered in part"
)

// MaySay is whether ground may be laid on a part, in the few words by which a list is
// filtered.
func (rep Report) MaySay(c audit.Covering) string {
	switch {
	case c.Covered != nil && c.DugUp == nil:
		return IsCovered
	case c.Covered != nil && slices.ContainsFunc(rep.Joints, func(p chart.Place) bool {
		_, under := ahead.Under(rep.Site, p.Joint)
		return under && ahead.SectionOf(p.Joint) == c.Section
	}):
		return CoveredInPart
	case c.May:
		return MayCover
	}
	return MayNotCover
}

// A Grounds is what a list tells of ground over the joints of a site: made once for all of its
// rows.
type Grounds struct {
	rep    Report
	parts  map[string]audit.Covering
	places map[string]chart.Place
	open   map[string][]audit.Finding // by joint: those of the weld that stands there, and of the joint
	walks  map[string][]audit.Finding // by weld, of those that are in no joint
}

// Grounds are those of a report.
func (rep Report) Grounds() Grounds {
	g := Grounds{rep, map[string]audit.Covering{}, map[string]chart.Place{}, map[string][]audit.Finding{}, map[string][]audit.Finding{}}
	for _, c := range rep.Coverings() {
		g.parts[c.Section] = c
	}
	for _, p := range rep.Joints {
		g.places[p.Label] = p
	}
	for _, f := range rep.Open {
		switch {
		case f.Joint != "" && (f.Weld == "" || f.Weld == g.places[f.Joint].Stands):
			g.open[f.Joint] = append(g.open[f.Joint], f)
		case f.Weld != "":
			g.walks[f.Weld] = append(g.walks[f.Weld], f)
		}
	}
	return g
}

// Lacks is what keeps the ground away from a part, each joint in the words that a register has
// for it; "" for nothing.
func (g Grounds) Lacks(c audit.Covering) string {
	return c.LacksSaid(func(l audit.Lack) string { return g.rep.LackSays(l, g.places[l.Joint]) })
}

// Row is whether ground may be laid on the joint of a row, by what is recorded of its part, and
// what is missing there: at the joint itself, found as say tells it, else elsewhere. Nothing is
// said of a weld that is not in its joint and of a joint that is not built; of a joint in which
// no weld is yet the row of the walk says it.
func (g Grounds) Row(r Row, say func(audit.Finding) string) (may, lacks string) {
	c, is := g.parts[r.Part()]
	walk := r.Joint.Stands == "" && r.Joint.Walk == r.Weld.ID
	if !is || !r.Joint.Counts() || r.Factory != nil || r.Weld.ID != "" && !r.Weld.Stands() && !walk {
		return "", ""
	}
	var own []string
	if i := slices.IndexFunc(c.Missing, func(l audit.Lack) bool { return l.Joint == r.Joint.Label }); i >= 0 {
		own = g.lack(c.Missing[i], r, say)
	}
	if slices.Contains(c.Wanted, r.Joint.Label) {
		own = append(own, "the plan wants a pressure test, and none holds it")
	}
	switch {
	case len(own) > 0:
		lacks = strings.Join(own, "; ")
	case c.Lacking():
		lacks = "nothing at this joint; in " + c.Section + " there is"
	}
	switch {
	case r.Cover != nil:
		return IsCovered, lacks
	case c.Lacking():
		return MayNotCover, lacks
	}
	return MayCover, ""
}

// lack is all that keeps the ground away from the joint of a row: how it stands, where no finding
// says that, and what is found, of its walk too.
func (g Grounds) lack(l audit.Lack, r Row, say func(audit.Finding) string) (own []string) {
	open := g.open[l.Joint]
	if r.Weld.ID != "" && !r.Weld.Stands() {
		open = slices.Concat(g.walks[r.Weld.ID], open)
	}
	if !slices.ContainsFunc(open, func(f audit.Finding) bool { return f.Word() == l.State }) {
		own = append(own, g.rep.stateOf(l, g.places[l.Joint]))
	}
	for _, f := range open {
		own = append(own, f.Word()+": "+say(f))
	}
	if l.Beside {
		own = append(own, l.Says...)
	}
	return own
}
