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
	var joints, later, bare []string
	for _, i := range m.concerned(e) {
		row := m.rep.Rows[i]
		switch {
		case row.Weld.ID == "":
			bare = append(bare, row.Joint.Label)
		case madeAfter(row.Weld, e):
			later = append(later, row.Joint.Label+", weld "+row.Weld.ID)
		default:
			joints = append(joints, row.Joint.Label+", weld "+row.Weld.ID)
		}
	}
	var out []string
	if e.What == logbook.PressureLost {
		out = append(out, notSaidOfLoss)
	}
	if len(joints) > 0 {
		out = append(out, "It concerns joint "+strings.Join(joints, "; joint ")+".")
	} else {
		out = append(out, "No weld that is listed was there then.")
	}
	if len(later) > 0 {
		out = append(out, "Made after it, not under it: joint "+strings.Join(later, "; joint ")+".")
	}
	if len(bare) > 0 {
		out = append(out, "Without a weld there: "+audit.AllRuns(bare)+".")
	}
	return out
}

// notSaidOfLoss is what a log cannot hold of a loss of pressure but in the words of who said
// it.
const notSaidOfLoss = "When on that day it was noticed, how much was lost and on which gauge it was read: not recorded but in these words."

// madeAfter tells whether a weld was fused after something happened: after its day, or on it
// and after it was said.
func madeAfter(w logbook.Weld, e logbook.Event) bool {
	at, fused := w.FusedAt()
	if !fused {
		return true
	}
	return w.Day() > e.On || w.Day() == e.On && !at.Before(e.At.Local())
}

// Under tells whether the weld of a row stands and was there when pressure was lost where it
// lies. Wherever a document says of a joint that pressure was lost this decides.
func Under(row register.Row, lost logbook.Event) bool {
	return row.Weld.ID != "" && row.Weld.Stands() && lost.Touches(row.Joint) && !madeAfter(row.Weld, lost)
}

// What is said of a weld that was there when pressure was lost.
const (
	pressureLost = "pressure lost"
	saidRepaired = "pressure lost, said to be repaired"
)

// lossAt is what a row says of pressure that was lost there: that nobody repaired it, or that
// one person alone says it is repaired; "" where that is settled, or nothing was lost.
func (m maker) lossAt(row register.Row) string {
	at := func(losses []logbook.Event) bool {
		return slices.ContainsFunc(losses, func(e logbook.Event) bool { return Under(row, e) })
	}
	switch {
	case at(m.losses):
		return pressureLost
	case at(m.unseen):
		return saidRepaired
	}
	return ""
}

// unseenOf are the losses of pressure that are closed by the word of one person alone.
func unseenOf(rep register.Report) (out []logbook.Event) {
	for _, e := range rep.Site.Events {
		if e.What == logbook.PressureLost && slices.ContainsFunc(rep.Open, func(f audit.Finding) bool { return f.Closed(e) }) {
			out = append(out, e)
		}
	}
	return out
}

// lostAt are the joints of which a row says one thing about pressure that was lost.
func (m maker) lostAt(says string) map[string]bool {
	out := map[string]bool{}
	for _, row := range m.rep.Rows {
		if m.lossAt(row) == says {
			out[row.Joint.Label] = true
		}
	}
	return out
}

// UnderLoss are the joints whose weld was there when pressure was lost that nobody repaired.
func (a Account) UnderLoss() map[string]bool { return a.maker.lostAt(pressureLost) }

// LostBesides says of the joints of a chamber that pressure was lost there, where their box
// has another word.
func (a Account) LostBesides(chamber string) []string {
	says, said := a.maker.rep.LostBesides(chamber, a.UnderLoss()), a.maker.lostAt(saidRepaired)
	for _, p := range a.maker.rep.Joints {
		if p.Chamber == chamber && said[p.Label] {
			says = append(says, "Joint "+p.Label+": "+saidRepaired+".")
		}
	}
	return says
}

// besideLoss is what else was said of the place of a loss of pressure that a finding names:
// who looks for the leak begins there.
func (m maker) besideLoss(f audit.Finding) (out []string) {
	if !slices.Contains([]string{"pressure-lost", "site-pressure-lost", audit.RepairUnseen}, f.Rule) {
		return nil
	}
	for _, l := range m.rep.Site.Events {
		if l.What != logbook.PressureLost || !strings.Contains(f.Says, l.Place()) && !strings.Contains(f.Says, stripped(l)) {
			continue
		}
		at := m.concerned(l)
		for _, e := range m.rep.Site.Events {
			if e.What == logbook.PressureLost || e.What == logbook.Repaired || !placed(e) ||
				!slices.ContainsFunc(m.concerned(e), func(i int) bool { return slices.Contains(at, i) }) {
				continue
			}
			says := fmt.Sprintf("There too: %s on %s, %s: %s Said by %s.", e.What, e.On, e.About(), stop(e.Text), m.whoIs(e.By))
			if !slices.Contains(out, says) {
				out = append(out, says)
			}
		}
	}
	return out
}

// stripped is a loss as the rule of the whole site says it.
func stripped(e logbook.Event) string {
	_, where, _ := strings.Cut(e.Place(), ", ")
	return e.On + ": " + e.What.String() + ", " + where
}

// lossLine is every loss of pressure, first of all what nobody repaired.
func (m maker) lossLine() string {
	var open, shut []string
	for _, e := range m.rep.Site.Events {
		if e.What != logbook.PressureLost {
			continue
		}
		says := e.On + ", " + logbook.Joined(": ", e.About(), e.Text)
		if slices.ContainsFunc(m.losses, func(l logbook.Event) bool { return l.Seq == e.Seq && l.At == e.At }) {
			open = append(open, says)
		} else {
			shut = append(shut, says)
		}
	}
	return logbook.Joined(" ", headed("NOT REPAIRED: ", "; ", open...), headed("Said to be repaired: ", "; ", shut...))
}

// pressureAllTheSame says where no test is recorded that pressure was on nevertheless.
func (m maker) pressureAllTheSame() string {
	if m.lossLine() == "" {
		return ""
	}
	return "Pressure was on all the same: it was lost, as somebody said. " + m.lossLine()
}

// happenedTo is what happened later where a row lies.
func (m maker) happenedTo(row register.Row) (out []string) {
	if row.Factory != nil || row.Weld.ID != "" && !row.Weld.Stands() {
		return nil
	}
	for _, e := range m.rep.Site.Events {
		lost := e.What == logbook.PressureLost
		if placed(e) && e.Touches(row.Joint) && !(lost && row.Weld.ID == "") {
			says := fmt.Sprintf("%s on %s, %s: %s Said by %s.", titled(e.What.String()), e.On, e.About(), stop(e.Text), m.whoIs(e.By))
			if lost && madeAfter(row.Weld, e) {
				says += " This weld was made after it, not under it."
			}
			out = append(out, says)
		}
	}
	return out
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
	c := Chapter{ID: "corrections", Title: "Corrections", Intro: []string{"A corrected value is marked where its own weld is told and among its values, with what stood there before; elsewhere it stands as it is now. What was recorded first stays in the log."}}
	all := m.rep.Corrections()
	slices.SortStableFunc(all, func(a, b register.Correction) int { return cmp.Compare(a.Seq, b.Seq) })
	if len(all) == 0 {
		c.Intro = []string{"No value was corrected. " + none}
		return c
	}
	of := map[uint64]audit.Removal{}
	var took, own, made []string
	for weld, list := range m.did {
		for _, r := range list {
			of[r.Seq] = r
			if r.Took() && !slices.Contains(took, weld) {
				took = append(took, weld)
			}
			if r.Took() && m.ownCorrection(weld, r.Seq) && !slices.Contains(own, weld) {
				own = append(own, weld)
			}
			if len(r.Made) > 0 && !slices.Contains(made, weld) {
				made = append(made, weld)
			}
		}
	}
	line := logbook.Count(len(all), "correction") + "."
	if slices.Sort(took); len(took) > 0 {
		line += " By some of them something went that had been found, on " + audit.AllRuns(took) + "; each of those says what."
	}
	if slices.Sort(own); len(own) > 0 {
		line += " By the person who had made the weld it was corrected so on " + audit.AllRuns(own) + "."
	}
	if slices.Sort(made); len(made) > 0 {
		line += " By some of them something came that the rules find, on " + audit.AllRuns(made) + "; each of those says what."
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
			c.Items = append(c.Items, m.correction(k, of[k.Seq], upto-from > 1))
		}
		from = upto
	}
	return c
}

// ownCorrection tells whether a correction of a weld was made by who made the weld.
func (m maker) ownCorrection(weld string, seq uint64) bool {
	for _, row := range m.rep.Rows {
		if row.Weld.ID == weld {
			return slices.ContainsFunc(row.Weld.Corrections, func(k logbook.Corrected) bool { return k.Seq == seq && m.rep.OwnCorrection(row, k) })
		}
	}
	return false
}

// together tells whether two corrections are one person's of one minute.
func together(a, b register.Correction) bool {
	return a.By == b.By && stated(a.At) == stated(b.At)
}

func (m maker) correction(k register.Correction, r audit.Removal, grouped bool) Item {
	it := Item{
		Head: titled(nameOf(k.Key, k.Column, k.Field)), About: []Link{{m.anchors.weld[k.Weld], "weld " + k.Weld}},
		Says: "was " + valueSays(k.Column, cmp.Or(k.Old, "not recorded")) + ", now " + valueSays(k.Column, cmp.Or(k.New, "blank")) + ". Why: " + stop(k.Why),
	}
	if k.Column == moved {
		it.Says = "recorded first as " + movedSays(cmp.Or(k.Old, "no")) + ", now as " + movedSays(cmp.Or(k.New, "no")) + ". Why: " + stop(k.Why)
	}
	if !grouped {
		it.More = append(it.More, "By "+m.whoIs(k.By)+", "+stated(k.At)+".")
	}
	it.More = append(it.More, marks(r)...)
	return it
}

// marks are what a correction did to what is found, in capitals: who skims a list of them
// must see it.
func marks(r audit.Removal) (out []string) {
	kind := func(fail bool) string {
		if fail {
			return "A FAIL"
		}
		return "A FINDING"
	}
	mark := func(what string, said []string) {
		if len(said) > 0 {
			out = append(out, what+": "+stop(plainly(strings.Join(said, "; "))))
		}
	}
	mark("REMOVED "+kind(r.Fail), r.Found)
	mark("TOOK BACK "+kind(r.Fail)+" that a correction before it had made", r.Back)
	if r.Felt != "" {
		mark("REMOVED WHAT WAS FELT, which no rule judges", []string{r.Felt})
	}
	mark("MADE "+kind(len(r.MadeFail) > 0), r.Made)
	for _, d := range r.Changed {
		what := "CHANGED A FINDING"
		if d.Part {
			what = "REMOVED A PART OF A FINDING"
		}
		mark(what, []string{"it was " + d.Was + ", it is " + d.Now})
	}
	return out
}

// corrected are what the corrections of a weld did to what is found of it, each with who made
// it, when, and what stood before; and whether anybody is asked to decide on what went.
func (m maker) corrected(row register.Row) (out []string) {
	by := map[uint64]logbook.Corrected{}
	for _, k := range row.Weld.Corrections {
		by[k.Seq] = k
	}
	for _, r := range m.did[row.Weld.ID] {
		if !r.Took() && len(r.Made) == len(r.MadeFail) {
			continue // told at its fails, or only another figure
		}
		line := strings.Join(marks(r), " ") + " " + m.changeSays(by[r.Seq])
		if m.rep.OwnCorrection(row, by[r.Seq]) {
			line += " The same person made the weld."
		}
		if unasked(r, row) {
			line += " No rule asks anybody else to look at that."
		}
		out = append(out, line)
	}
	return out
}

// unasked tells whether a correction took something away on which no rule asks anybody to
// decide: of fails one does.
func unasked(r audit.Removal, row register.Row) bool {
	part := slices.ContainsFunc(r.Changed, func(d audit.Differs) bool { return d.Part })
	return (part || r.Felt != "" || len(r.Found) > 0 && !r.Fail) && !asksOfCorrections(row)
}

// changeSays is a correction in a sentence: by whom, when, what stood before and why.
func (m maker) changeSays(k logbook.Corrected) string {
	column := register.ColumnOf(k.Field)
	if column == moved {
		return fmt.Sprintf("By the correction of %s, %s: it was recorded as %s, and is now recorded as %s. Why: %s", m.whoIs(k.By), k.At.Local().Format(minute),
			movedSays(cmp.Or(k.Before(), "no")), movedSays(cmp.Or(k.Now(), "no")), stop(k.Why))
	}
	return fmt.Sprintf("By the correction of %s, %s: %s was %s, now %s. Why: %s", m.whoIs(k.By), k.At.Local().Format(minute),
		nameOf(k.Field, column, k.Name()), valueSays(column, cmp.Or(k.Before(), "not recorded")), valueSays(column, cmp.Or(k.Now(), "blank")), stop(k.Why))
}

// ended names the end of a fusion, which has no column of its own.
const ended = "fusion ended"

// nameOf is what a corrected value is called.
func nameOf(key, column, name string) string {
	if key == logbook.FieldEnded {
		return ended
	}
	return cmp.Or(named[column], plainly(name))
}

// valueSays is a value of a column, before or after a correction, in words.
func valueSays(column, s string) string {
	if column == moved {
		return movedSays(s)
	}
	return plainly(s)
}

// asksOfCorrections tells whether a query asks somebody to decide on the corrections of a
// weld, or asked it.
func asksOfCorrections(row register.Row) bool {
	return slices.ContainsFunc(row.Findings, func(f audit.Finding) bool { return audit.AsksOfCorrections(f.Rule) })
}

// restsOn says on which correction a fail of a weld rests; "" where the crew recorded it so.
func (m maker) restsOn(weld, rule string) (out string) {
	for _, row := range m.rep.Rows {
		if row.Weld.ID != weld || weld == "" {
			continue
		}
		for _, r := range m.did[weld] {
			if !slices.Contains(r.MadeFail, rule) {
				continue
			}
			for _, k := range row.Weld.Corrections {
				if k.Seq == r.Seq { // the last that made it
					out = "THIS FAIL RESTS ON A CORRECTION; before it there was none. " + m.changeSays(k)
				}
			}
		}
	}
	return out
}

// restsAtAll are the corrections on which the fails of a weld rest.
func (m maker) restsAtAll(row register.Row) (out []string) {
	for _, f := range row.Findings {
		if says := m.restsOn(f.Weld, f.Rule); f.Severity == audit.Fail && says != "" && !slices.Contains(out, says) {
			out = append(out, says)
		}
	}
	return out
}
