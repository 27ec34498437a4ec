package account

import (
	"fmt"
	"slices"

	"coolhold/logbook"
	"coolhold/logbook/audit"
	"coolhold/logbook/register"
)

// openThen is what was open when a day was signed, and what of it is open now: neither may be
// taken for the other.
func (m maker) openThen(g logbook.SignedDay) []string {
	acks := onceOf(g.Acks)
	out := []string{fmt.Sprintf("Open WHEN IT WAS SIGNED: %s, each acknowledged and named here, and %d other findings, which were counted and not named.", logbook.Count(len(acks), "fail"), g.Open)}
	for _, a := range acks {
		out = append(out, stop(titled(audit.Tell(a)))+" "+m.now(a))
	}
	return out
}

// now is what became of a finding that somebody had seen.
func (m maker) now(a logbook.Judged) string {
	i := slices.IndexFunc(m.rep.Open, func(f audit.Finding) bool { return f.Key == a.Key })
	switch {
	case i < 0:
		return "Not open any more."
	case !m.rep.Open[i].Judged().Same(a):
		return "Open now too, with another figure than then."
	}
	return "Still open now."
}

// waitSays is until when the table of its fitting lets no pressure on a weld, or since when
// that is over.
func (m maker) waitSays(row register.Row) string {
	over, known := row.Weld.WaitOver()
	if !known || !row.Weld.Stands() {
		return ""
	}
	at := logbook.UpMinute(over)
	if at.After(m.rep.AsOf) {
		return "No pressure on it before " + at.Format(minute) + ", as the table of its fitting prints."
	}
	return "The wait before pressure that the table of its fitting prints is over since " + at.Format(minute) + "."
}

// each leads to everything that a group of findings is about, where that is more than one
// thing: who must decide on each must be able to go there.
func (m maker) each(g audit.Group) (out []Link) {
	if m.about(g) != nil {
		return nil
	}
	for _, f := range g.Findings {
		l := Link{}
		switch {
		case f.Weld != "":
			l = Link{m.anchors.weld[f.Weld], logbook.Joined(", ", f.Joint, f.Weld)}
		case f.Joint != "":
			l = Link{m.anchors.joint[f.Joint], f.Joint}
		}
		if l.Text != "" && !slices.Contains(out, l) {
			out = append(out, l)
		}
	}
	return out
}
