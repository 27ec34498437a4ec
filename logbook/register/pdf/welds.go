package pdf

import (
	"fmt"
	"strings"

	"coolhold/logbook/audit"
	"coolhold/logbook/register"
	"coolhold/logbook/register/account"
)

// mustRead tells whether a person must read of a weld: something is recorded that failed,
// or that nobody has decided on. What was accepted stands in one list, with who and why;
// what is the same on many welds of a sheet is one line of what is open, unless something
// else was said of the weld since.
func (d *doc) mustRead(i int) bool {
	row := d.rep.Rows[i]
	if row.Weld.ID == "" {
		return false
	}
	if i < len(d.told.Welds) && d.told.Welds[i].Unasked {
		return true
	}
	if row.Verdict == audit.Failed || row.Verdict == audit.Queried && len(row.Weld.Corrections) > 0 {
		return true
	}
	for _, f := range row.Findings {
		if !f.Settled && !f.Work && f.Severity != audit.Note && d.causes[f.Cause] < 2 {
			return true
		}
	}
	return false
}

// toldWhole tells whether every value of a row stands under Welds to read.
func (d *doc) toldWhole(i int) bool {
	row := d.rep.Rows[i]
	return d.mustRead(i) && row.Weld.CutOut == nil && row.Verdict != audit.NoHeat
}

// undecided tells whether something is left of a weld in its joint.
func undecided(row register.Row) bool {
	return row.Weld.Stands() && (row.Verdict == audit.Queried || row.Verdict == audit.Unfinished)
}

// welds are those that a person must read of: what was found, all that is known, and
// everything that was said of it.
func (d *doc) welds() {
	first := true
	var rest []string
	for i, row := range d.rep.Rows {
		if undecided(row) && !d.mustRead(i) {
			rest = append(rest, row.Weld.ID)
		}
	}
	for i := range d.rep.Rows {
		if !d.mustRead(i) {
			continue
		}
		if first {
			d.section(false, 90, "Welds to read")
			d.text("", 9, "Each weld of which something is recorded that failed, or of which something is left to decide that is said of it alone, or from which a correction took a finding away. What is said of many welds of a sheet alike stands once under Still open; of all others a line stands in the lists; those that are out of their joints are told in a few lines.")
			if len(rest) > 0 {
				d.text("", 9, "Not told here though something is left to decide or to do: "+audit.AllRuns(rest)+".")
			}
			first = false
		}
		if w := d.told.Welds[i]; d.toldWhole(i) {
			d.weld(w)
		} else {
			d.brief(w)
		}
		d.tick()
	}
}

// brief is a weld that is out of its joint: nobody must decide on it any more, so a few lines
// tell it.
func (d *doc) brief(w account.Weld) {
	d.headed(11, w.Title)
	d.stands(w.ID)
	d.text("", moreSize, strings.Join(w.Lead, " "))
	var found []string
	for _, f := range w.Found {
		found = append(found, f.Word+": "+f.Says)
	}
	if len(found) > 0 {
		d.text("", moreSize, "What the rules found: "+strings.Join(found, " "))
	}
}

func (d *doc) weld(w account.Weld) {
	d.headed(12.5, w.Title)
	d.hold(0, func() { d.f.Bookmark(d.say(w.Title), 1, -1) })
	d.stands(w.ID)
	d.keep(toldSize, w.Lead...)
	for _, s := range w.Lead {
		d.text("", toldSize, s)
		d.gap(0.6)
	}
	for _, f := range w.Found {
		it := account.Item{Head: f.Word, Says: f.Says}
		switch {
		case f.Open:
			it.More = []string{"What to do" + f.By + ": " + f.Do + ".", f.Answer, "Basis: " + f.Basis + "."}
		case f.Word != noted:
			it.More = []string{f.Answer}
		}
		d.item(it)
	}
	if len(w.Found) == 0 {
		d.text("", toldSize, "The rules find nothing: the record is not complete, or it was given up before any current.")
	}
	d.heading("Every value that is recorded of it")
	d.twoUp(w.Pairs)
	d.heading(fmt.Sprintf("What was said of it, in order: %d", len(w.Told)))
	t := d.grid(7.5, column{"time", 41}, column{"by", 32}, column{"entry", 0})
	for _, e := range atOnce(w.Told) {
		t.row(e.At, e.By, e.Line)
	}
}

// noted is the word of what asks for nothing.
const noted = "Note"

// atOnce puts together what one person said at one time.
func atOnce(told []account.Said) (out []account.Said) {
	for _, e := range told {
		if last := len(out) - 1; last >= 0 && out[last].At == e.At && out[last].By == e.By {
			out[last].Line += "\n" + e.Line
			continue
		}
		out = append(out, e)
	}
	return out
}

// twoUp lists values in two columns of names and values, line by line: what belongs together
// stands beside each other.
func (d *doc) twoUp(pairs []account.Pair) {
	pairs = abreast(pairs)
	t := d.grid(7.5, column{"value", 32}, column{"as recorded", 55.5}, column{"value", 32}, column{"as recorded", 0})
	for i := 0; i < len(pairs); i += 2 {
		right := account.Pair{}
		if i+1 < len(pairs) {
			right = pairs[i+1]
		}
		t.row(pairs[i].Name, strings.Join(pairs[i].Says, "\n"), right.Name, strings.Join(right.Says, "\n"))
	}
}

// abreast lets what a table has stand at the left, so that what was set stands beside it.
func abreast(pairs []account.Pair) (out []account.Pair) {
	for _, p := range pairs {
		if strings.HasSuffix(p.Name, "in the fitting's table") && len(out)%2 == 1 {
			out = append(out, account.Pair{})
		}
		out = append(out, p)
	}
	return out
}
