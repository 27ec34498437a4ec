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
func (d *doc) mustRead(row register.Row) bool {
	if row.Weld.ID == "" {
		return false
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

// welds are those that a person must read of: what was found, all that is known, and
// everything that was said of it.
func (d *doc) welds() {
	first := true
	for i, row := range d.rep.Rows {
		if !d.mustRead(row) {
			continue
		}
		if first {
			d.section(false, 90, "Welds to read")
			d.text("", 9, "Each weld of which something is recorded that failed, or that nobody has decided on. Of all others a line stands in the lists.")
			first = false
		}
		d.weld(d.told.Welds[i])
		d.tick()
	}
}

func (d *doc) weld(w account.Weld) {
	d.headed(12.5, w.Title)
	d.hold(0, func() { d.f.Bookmark(d.say(w.Title), 1, -1) })
	for _, s := range w.Lead {
		d.text("", toldSize, s)
		d.gap(0.6)
	}
	for _, f := range w.Found {
		d.item(account.Item{Head: f.Word, Says: f.Says, More: []string{"What to do: " + f.Do + ".", f.Answer, "Basis: " + f.Basis + "."}})
	}
	if len(w.Found) == 0 {
		d.text("", toldSize, "The rules find nothing: the record is not complete, or the walk was given up before any current.")
	}
	d.heading("Every value that is recorded of it")
	d.twoUp(w.Pairs)
	d.heading(fmt.Sprintf("What was said of it, in order: %d", len(w.Told)))
	t := d.grid(7.5, column{"time", 41}, column{"by", 32}, column{"entry", 0})
	for _, e := range w.Told {
		t.row(e.At, e.By, e.Line)
	}
}

// twoUp lists values in two columns of names and values.
func (d *doc) twoUp(pairs []account.Pair) {
	half := (len(pairs) + 1) / 2
	t := d.grid(7.5, column{"value", 32}, column{"as recorded", 55.5}, column{"value", 32}, column{"as recorded", 0})
	for i := range half {
		right := account.Pair{}
		if half+i < len(pairs) {
			right = pairs[half+i]
		}
		t.row(pairs[i].Name, strings.Join(pairs[i].Says, "\n"), right.Name, strings.Join(right.Says, "\n"))
	}
}
