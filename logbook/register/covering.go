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

// MayCoverRow is whether ground may be laid on the joint of a row, by what is recorded of its
// part, and what is missing there: at the joint itself, else elsewhere. Nothing is said of a
// weld that is not in its joint, nor of a joint that is not built.
func (r Row) MayCoverRow(all map[string]audit.Covering) (may, lacks string) {
	c, is := all[r.Part()]
	if !is || !r.Joint.Counts() || r.Factory != nil || r.Weld.ID != "" && !r.Weld.Stands() {
		return "", ""
	}
	var own []string
	if i := slices.IndexFunc(c.Missing, func(l audit.Lack) bool { return l.Joint == r.Joint.Label }); i >= 0 {
		l := c.Missing[i]
		if own = l.Says; !slices.ContainsFunc(own, func(s string) bool { return strings.HasPrefix(s, l.State+": ") }) {
			own = append([]string{l.State}, own...)
		}
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
