package account

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"coolhold/logbook"
	"coolhold/logbook/audit"
	"coolhold/logbook/register"
)

// What is recorded once may concern several places, and who reads of one place reads nothing
// else. So each matter that is no value of a weld (what happened later, a cover, a lapsed
// acceptance, a correction that took a finding away, what is missing) is brought here to
// what it concerns, and each is listed with that.

// concerned are the rows that an event touches, those out of their joints left out.
func (m maker) concerned(e logbook.Event) (at []int) {
	for i, row := range m.rep.Rows {
		if row.Factory == nil && e.Touches(row.Joint) && (row.Weld.ID == "" || row.Weld.Stands()) {
			at = append(at, i)
		}
	}
	return at
}

// placed tells whether an event names a part of the site.
func placed(e logbook.Event) bool { return e.Joint != "" || e.Circuit > 0 || e.Chamber != "" }

// links lead to rows: a joint with its weld.
func (m maker) links(rows []int) (out []Link) {
	for _, i := range rows {
		row := m.rep.Rows[i]
		out = append(out, Link{m.anchors.row[i], logbook.Joined(", weld ", "joint "+row.Joint.Label, row.Weld.ID)})
	}
	return out
}

// concerning says which joints an event concerns, and which of their welds are younger.
func (m maker) concerning(e logbook.Event) []string {
	if !placed(e) {
		return nil
	}
	rows := m.concerned(e)
	if len(rows) == 0 {
		return []string{"No joint that is listed lies there."}
	}
	var joints, later []string
	for _, i := range rows {
		row := m.rep.Rows[i]
		joints = append(joints, logbook.Joined(", weld ", row.Joint.Label, row.Weld.ID))
		if row.Weld.ID != "" && row.Weld.Day() > e.On {
			later = append(later, row.Weld.ID)
		}
	}
	out := []string{"It concerns joint " + strings.Join(joints, "; joint ") + "."}
	if len(later) > 0 {
		out = append(out, "Made after that day: "+audit.AllRuns(later)+".")
	}
	return out
}

// happenedTo is what happened later where a row lies.
func (m maker) happenedTo(row register.Row) (out []string) {
	if row.Factory != nil || row.Weld.ID != "" && !row.Weld.Stands() {
		return nil
	}
	for _, e := range m.rep.Site.Events {
		if placed(e) && e.Touches(row.Joint) {
			out = append(out, fmt.Sprintf("%s on %s, %s: %s Said by %s.", titled(e.What.String()), e.On, e.About(), stop(e.Text), m.whoIs(e.By)))
		}
	}
	return out
}

// digSays says where a weld lies that failed under the ground: who must cut it out digs by
// this.
func (m maker) digSays(weld string) string {
	for _, row := range m.rep.Rows {
		if row.Weld.ID == weld && weld != "" && row.Cover != nil && row.Weld.Stands() {
			return "Under the ground since " + row.Cover.When(minute) + ". Where to dig: " + stop(cmp.Or(where(row), "its place is not recorded"))
		}
	}
	return ""
}

// lapsed are the acceptances that settle nothing now. Those that one person gave of one kind
// with one reason, and that went in one way, are one thing.
func (m maker) lapsed() Chapter {
	c := Chapter{ID: "lapsed", Title: "Accepted once, and not settled now"}
	at := map[string]int{}
	for _, l := range m.rep.Lapsed() {
		rule, _, _ := strings.Cut(l.Key, ":")
		kind, _, _ := strings.Cut(l.Now, ":")
		key := strings.Join([]string{rule, l.By, l.At.Local().Format(minute), l.Why, kind}, "\x00")
		about := Link{m.anchors.weld[l.Weld], logbook.Joined(", weld ", prefixed("joint ", l.Joint), l.Weld)}
		if l.Weld == "" {
			about.To = m.anchors.joint[l.Joint]
		}
		if i, had := at[key]; had {
			c.Items[i].About = append(c.Items[i].About, about)
			continue
		}
		at[key] = len(c.Items)
		next := Item{Head: "Accepted once", Says: stop(titled(plainly(without(l.Was, l.Weld, l.Joint)))), More: []string{
			"Accepted by " + m.whoIs(l.By) + " on " + l.At.Local().Format(minute) + ". Why: " + stop(l.Why), stop(titled(plainly(l.Now))),
		}}
		if about.Text != "" {
			next.About = []Link{about}
		}
		c.Items = append(c.Items, next)
	}
	for i, it := range c.Items {
		if len(it.About) > 1 {
			c.Items[i].Says = "Of each: the like of this. " + it.Says
		}
	}
	if len(c.Items) == 0 {
		c.Intro = []string{"Every acceptance that was given still stands. " + none}
		return c
	}
	c.Intro = []string{"Each acceptance that a named person gave and that settles nothing any more, with what became of it. It stays in the log."}
	return c
}

// without is a text without the weld or joint that stands before it.
func without(s, weld, joint string) string {
	return strings.TrimPrefix(strings.TrimPrefix(s, weld+": "), "joint "+joint+": ")
}

// corrections are all corrected values. What one person corrected within a minute stands
// together, and each by which something went that the rules had found says so.
func (m maker) corrections() Chapter {
	c := Chapter{ID: "corrections", Title: "Corrections", Intro: []string{"A corrected value is marked wherever it stands. What was recorded first stays in the log."}}
	all := m.rep.Corrections()
	slices.SortStableFunc(all, func(a, b register.Correction) int { return cmp.Compare(a.Seq, b.Seq) })
	if len(all) == 0 {
		c.Intro = []string{"No value was corrected. " + none}
		return c
	}
	gone := map[uint64]audit.Removal{}
	var took []string
	for weld, list := range m.rep.Removals() {
		for _, r := range list {
			if gone[r.Seq] = r; !slices.Contains(took, weld) {
				took = append(took, weld)
			}
		}
	}
	line := logbook.Count(len(all), "correction") + "."
	if slices.Sort(took); len(took) > 0 {
		line += " By some of them something went that the rules had found, on " + audit.AllRuns(took) + "; each of those says what."
	}
	c.Intro = append(c.Intro, line)
	for from := 0; from < len(all); {
		upto := from + 1
		for upto < len(all) && together(all[from], all[upto]) {
			upto++
		}
		if n := upto - from; n > 1 {
			c.Items = append(c.Items, Item{Head: fmt.Sprintf("%s corrected %d values within a minute, %s", m.whoIs(all[from].By), n, stated(all[from].At))})
		}
		for _, k := range all[from:upto] {
			c.Items = append(c.Items, m.correction(k, gone[k.Seq], upto-from > 1))
		}
		from = upto
	}
	return c
}

// together tells whether two corrections are one person's of one minute.
func together(a, b register.Correction) bool {
	return a.By == b.By && stated(a.At) == stated(b.At)
}

func (m maker) correction(k register.Correction, r audit.Removal, grouped bool) Item {
	it := Item{
		Head: titled(cmp.Or(named[k.Column], plainly(k.Field))), About: []Link{{m.anchors.weld[k.Weld], "weld " + k.Weld}},
		Says: "was " + plainly(cmp.Or(k.Old, "not recorded")) + ", now " + plainly(cmp.Or(k.New, "blank")) + ". Why: " + stop(k.Why),
	}
	if !grouped {
		it.More = append(it.More, "By "+m.whoIs(k.By)+", "+stated(k.At)+".")
	}
	if len(r.Found) > 0 {
		what := "REMOVED A FINDING"
		if r.Fail {
			what = "REMOVED A FAIL"
		}
		it.More = append(it.More, what+": "+stop(plainly(strings.Join(r.Found, "; "))))
	}
	return it
}
