package account

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"coolhold/logbook"
	"coolhold/logbook/audit"
	"coolhold/logbook/chart"
	"coolhold/logbook/handover"
	"coolhold/logbook/register"
)

// A Front is what a document says before all else: what is wrong, who must do what, and how
// far the work is.
type Front struct {
	Verdict string // in one sentence
	Wrong   Chapter
	Work    handover.Table // a row a chamber
	Last    string         // the newest entry, by whom
}

// Front is that of the site as a whole, whatever part of it is listed.
func (a Account) Front() Front {
	m := a.maker
	return Front{Verdict: m.verdict(), Wrong: m.wrong(), Work: m.work(), Last: m.last()}
}

// verdict is what the run comes to, the worst first. It says what is open, never that
// something is good.
func (m maker) verdict() string {
	says := []string{}
	add := func(n int, one, many string) {
		switch {
		case n == 1:
			says = append(says, "1 "+one)
		case n > 1:
			says = append(says, fmt.Sprintf("%d %s", n, many))
		}
	}
	lost, failed, buried := m.lost(), m.failed(), m.buried()
	add(len(lost), "loss of pressure that is not repaired", "losses of pressure that are not repaired")
	if n := len(failed); n > 0 {
		add(n, "failed weld in its joint", "failed welds in their joints")
		if k := len(buried); k > 0 {
			says[len(says)-1] += fmt.Sprintf(" (%d under the ground)", k)
		}
	}
	_, bare := register.Made(m.rep.Joints)
	add(bare, "joint without a weld", "joints without a weld")
	n := map[string]int{}
	for _, k := range m.shares {
		if k.kind == restShare {
			n[k.word] += k.counts()
		}
	}
	add(n[audit.Fail.String()], "other fault", "other faults")
	add(n[audit.Query.String()], "query", "queries")
	add(n[toDo], "other thing to do", "other things to do")
	if len(says) == 0 {
		return "Nothing is open: as far as this record goes nobody has anything left to do."
	}
	return "Not settled: " + strings.Join(says, ", ") + "."
}

// toDo is the word of the audit for work that nobody did.
const toDo = "to do"

// A loss is one loss of pressure that nobody repaired, with where it may be.
type loss struct {
	audit.Finding
	says string
	at   []Link
}

// lost are those of the site: each once, though a rule finds it at each joint.
func (m maker) lost() (out []loss) {
	for _, f := range m.rep.Open {
		if f.Rule != "pressure-lost" && f.Rule != "site-pressure-lost" {
			continue
		}
		says := strings.TrimPrefix(strings.TrimPrefix(f.Says, m.rep.Site.Name+": "), f.Joint+": ")
		i := slices.IndexFunc(out, func(l loss) bool { return l.says == says })
		if i < 0 {
			i, out = len(out), append(out, loss{Finding: f, says: says, at: m.lostIn(f)})
		}
		out[i].at = append(out[i].at, m.joint(f.Joint)...)
	}
	return out
}

// lostIn leads to the circuit or the chamber in which pressure was lost.
func (m maker) lostIn(f audit.Finding) []Link {
	i := slices.IndexFunc(m.losses, func(e logbook.Event) bool {
		return e.What == logbook.PressureLost && (strings.Contains(f.Says, e.Place()) || strings.Contains(f.Says, stripped(e)))
	})
	if i < 0 || m.losses[i].Joint != "" {
		return nil
	}
	e := m.losses[i]
	for _, s := range m.rep.Standings() {
		if id := s.Section.ID; e.Circuit > 0 && id.Circuit == e.Circuit && (e.Chamber == "" || e.Chamber == id.Chamber) {
			return []Link{{circuitAnchor(s), s.Section.Name}}
		}
	}
	if e.Circuit == 0 && slices.ContainsFunc(m.rep.Joints, func(p chart.Place) bool { return p.Chamber != "" && p.Chamber == e.Chamber }) {
		return []Link{{ChamberAt(e.Chamber), "chamber " + e.Chamber}}
	}
	return []Link{{CircuitsID, strings.ToLower(CircuitsTitle)}}
}

// CircuitsID names the place at which the circuits are told.
const CircuitsID = "circuits"

// ChamberAt names the place at which a chamber is drawn.
func ChamberAt(chamber string) string { return "drawing-of-" + strings.ToLower(fit(chamber)) }

// failed are the joints in which a failed weld stands.
func (m maker) failed() []chart.Place {
	return slices.DeleteFunc(slices.Clone(m.rep.Joints), func(p chart.Place) bool { return !p.State.Is(audit.Failed) })
}

// buried are those of them over which ground lies.
func (m maker) buried() []chart.Place {
	return slices.DeleteFunc(m.failed(), func(p chart.Place) bool { return !p.Covered })
}

// wrong is what is open by who must act on it, the worst first. Whom to call stands behind what
// cannot wait, in few lines, so that it is in sight as a phone shows it; what is a matter of
// form comes last.
func (m maker) wrong() Chapter {
	c := Chapter{ID: "now", Title: "What is open, and who must act"}
	for _, l := range m.lost() {
		c.Items = append(c.Items, Item{Head: "Pressure lost", About: l.at, Says: stop(titled(l.says)), More: []string{m.mustAct(l.Finding)}})
	}
	if buried := m.buried(); len(buried) > 0 {
		c.Items = append(c.Items, Item{Head: logbook.Count(len(buried), "failed weld") + " under the ground", About: m.places(buried), Says: "Dig up, and cut out: " + m.actor(audit.Crew) + ". Where to dig stands below."})
	}
	for _, f := range m.rep.Open {
		if f.Rule == audit.PressureFailed {
			c.Items = append(c.Items, Item{Head: "Pressure test", About: []Link{{"pressure", "pressure tests"}}, Says: stop(titled(f.Says)), More: []string{m.mustAct(f)}})
		}
	}
	c = c.with([]Item{m.toCall(), m.running()}).with(m.mayTest()).with(m.toDig())
	if failed := m.failed(); len(failed) > 0 {
		it := Item{Head: logbook.Count(len(failed), "failed weld"), About: m.places(failed), Says: "Cut out, and weld again with a new fitting: " + m.actor(audit.Crew) + "."}
		for _, k := range m.shares {
			if k.kind == failShare {
				see := "the fault that was found"
				if n := k.counts(); n > 1 {
					see = fmt.Sprintf("all %d faults that were found", n)
				}
				it.About = append(it.About, Link{k.id, see})
			}
		}
		c.Items = append(c.Items, it)
	}
	if bare := m.withoutWeld(); len(bare) > 0 {
		it := Item{Head: logbook.Count(len(bare), "joint") + " without a weld", About: m.places(bare), Says: "Weld it, or say why it is not being built: " + m.actor(audit.Crew) + "."}
		if n := begunIn(bare); n > 0 {
			it.More = append(it.More, fmt.Sprintf("In %d of them a weld was begun and no current was on yet: what is left to do there stands among the other things to do.", n))
		}
		c.Items = append(c.Items, it)
	}
	return c.with(m.rest()).with(m.unsigned())
}

func (c Chapter) with(items []Item) Chapter { c.Items = append(c.Items, items...); return c }

// begunIn counts the joints in which a weld is begun and none stands.
func begunIn(places []chart.Place) (n int) {
	for _, p := range places {
		if p.Walk != "" {
			n++
		}
	}
	return n
}

// rest is what else is open: how much of it who must answer, each with a way to it.
func (m maker) rest() (out []Item) {
	for _, k := range m.shares {
		if k.kind == restShare {
			see := "see it"
			if k.counts() > 1 {
				see = fmt.Sprintf("see these %d", k.counts())
			}
			it := Item{Head: k.what(), About: []Link{{k.id, see}}, Says: titled(m.actor(k.who)) + "."}
			if labels, _ := m.under(k.findings()); len(labels) > 0 {
				it.More = append(it.More, "Under the ground, and to be dug up first: "+strings.Join(labels, ", ")+".")
			}
			out = append(out, it)
		}
	}
	return out
}

// toCall is whom to call about the site: with the number and the role, as far as they are
// recorded.
func (m maker) toCall() Item {
	it := Item{Head: "Whom to call", About: []Link{{"handover-call", "hand-over"}}}
	if c := m.hand.Call; c != nil {
		role := ""
		for _, p := range m.people {
			if p.Name == c.Name || m.rep.Site.SameName(p.Name, c.Name) {
				role = p.Role
			}
		}
		it.Says = stop(titled(logbook.Joined(", ", c.Name, cmp.Or(role, "role not recorded"), cmp.Or(prefixed("phone ", c.Phone), "NUMBER NOT RECORDED"), c.Firm)))
		return it
	}
	it.Says = "NOT RECORDED, neither who nor a number: ask " + cmp.Or(m.rep.Site.Firm, "the firm") + "."
	if names := m.rep.Foremen(); len(names) > 0 {
		it.Says += " Named as foreman: " + strings.Join(names, ", ") + "."
	}
	return it
}

// unsigned are the days with welds that nobody signed.
func (m maker) unsigned() []Item {
	var days, no []string
	for _, d := range m.workdays() {
		if d.signed {
			continue
		}
		says := fmt.Sprintf("%s with %s", d.day, logbook.Count(len(d.welds), "weld"))
		if d.day == m.rep.AsOf.Format("2006-01-02") {
			says += " (the day of this document)"
		}
		if days = append(days, says); m.lacks(d) != "no signature" {
			no = append(no, d.day)
		}
	}
	if len(days) == 0 {
		return nil
	}
	it := Item{Head: logbook.Count(len(days), "day") + " not signed", About: []Link{{"signed", "days signed"}}, Says: strings.Join(days, "; ") + "."}
	if len(no) > 0 {
		it.Says += " No shift of its own in the log: " + strings.Join(no, ", ") + "."
	}
	return []Item{it}
}

// withoutWeld are the joints in which no weld stands, be it that a walk is open there.
func (m maker) withoutWeld() []chart.Place {
	return slices.DeleteFunc(slices.Clone(m.rep.Joints), func(p chart.Place) bool { return !p.Counts() || p.Stands != "" })
}

// places lead to joints.
func (m maker) places(all []chart.Place) (out []Link) {
	for _, p := range all {
		out = append(out, m.joint(p.Label)...)
	}
	return out
}

func (m maker) joint(label string) []Link {
	if label == "" {
		return nil
	}
	return []Link{{m.anchors.joint[label], "joint " + label}}
}

// mustAct is who must act on a finding, and what is to be done.
func (m maker) mustAct(f audit.Finding) string {
	return "To be done by " + m.actor(m.mustActOn(f)) + ": " + stop(f.Do)
}

// actor is who must act, in words.
func (m maker) actor(who audit.Actor) string { return cmp.Or(m.rep.Whose(who), "nobody") }

// byWhom is who must act on a finding, where what to do does not say it: the foreman without
// a name stands there already.
func (m maker) byWhom(g audit.Group) string {
	switch who, actor := m.rep.Whose(m.mustActOn(g.First())), m.mustActOn(g.First()); {
	case actor == audit.Another, actor == audit.Foreman && !m.rep.ForemanNamed():
		return ""
	default:
		return prefixed(", by ", who)
	}
}

// work is what is made and to be made, a row a chamber.
func (m maker) work() handover.Table {
	t := handover.Table{Heads: []string{"where", "joints", "with a weld", "of these failed", "without a weld", "clear or accepted"}}
	sum := register.ChamberWork{Where: "in all"}
	row := func(w register.ChamberWork) {
		cells := []string{w.Where}
		for _, n := range []int{w.Joints, w.Made, w.Failed, w.Bare, w.Settled} {
			cells = append(cells, fmt.Sprint(n))
		}
		t.Rows = append(t.Rows, cells)
	}
	for _, w := range m.rep.Work() {
		row(w)
		sum = sum.And(w)
	}
	if len(t.Rows) != 1 {
		row(sum)
	}
	return t
}

// last is the newest entry.
func (m maker) last() string {
	s := m.rep.Site
	if s.LastAt.IsZero() {
		return "Nothing is entered yet."
	}
	return "Last entry: " + s.LastAt.Local().Format(minute) + ", by " + cmp.Or(m.whoIs(s.LastBy), "nobody named") + "."
}

// Warnings are what of Loud must be read before all else, since it changes how the rest is to
// be read, and what can come behind what is open.
func (a Account) Warnings() (first, then []string) {
	n := 0
	for _, is := range []bool{a.maker.rep.Filtered(), a.maker.rep.UnreadLine() != "", a.maker.rep.Unlike != ""} {
		if is {
			n++
		}
	}
	return a.Loud[:n], a.Loud[n:]
}
