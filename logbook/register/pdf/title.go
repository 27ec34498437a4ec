package pdf

import (
	"cmp"
	"fmt"
	"strings"

	"coolhold/logbook"
	"coolhold/logbook/register"
)

// title is the first page: what the document is about and what it is not.
func (d *doc) title() {
	d.page(false)
	d.f.Bookmark("Title", 0, -1)
	if sealed := d.rep.Sealed(); len(sealed) > 0 {
		d.code(sealed[0].Seal.Note, d.left()+d.full()-36, d.top()-4, 36)
		d.words(d.left()+d.full()-36, d.top()+31, 36, 4, "", "C", "the seal of log "+sealed[0].Called())
		d.f.SetXY(d.left(), d.top())
		d.beside = 40
	}
	d.text("B", 20, "Register of welds")
	d.gap(1)
	d.text("", 14, d.rep.Site.Name)
	d.gap(3)
	d.facts()
	d.beside = 0
	d.unlike()
	d.alone()
	d.deciders()
	d.verdicts()
	d.people()
	d.enclosures()
	d.isAndIsNot()
}

// pairs writes names and values in two columns.
func (d *doc) pairs(wide float64, pairs [][2]string) {
	for _, p := range pairs {
		d.font("", 9)
		lines := d.lines(p[1], d.width()-wide)
		d.room(4.5)
		d.font("B", 9)
		x := d.f.GetX()
		d.f.CellFormat(wide, 4.5, d.say(p[0]), "", 0, "L", false, 0, "")
		d.font("", 9)
		for _, line := range lines {
			d.room(4.5)
			d.f.SetX(x + wide)
			d.f.CellFormat(d.width()-wide, 4.5, line, "", 2, "L", false, 0, "")
		}
		d.f.SetX(x)
	}
}

func (d *doc) facts() {
	s := d.rep.Site
	var logs, plans, days []string
	for _, l := range d.rep.Logs {
		logs = append(logs, fmt.Sprintf("%s (%s, log %s)", l.Called(), logbook.Count(int(l.Entries), "entry"), l.ID))
	}
	for _, p := range register.Plans(s) {
		plans = append(plans, p.String())
	}
	for _, sh := range d.rep.Shifts {
		days = append(days, sh.Day)
	}
	pairs := [][2]string{
		{"Site", s.Name}, {"Address", s.Address}, {"Client", s.Client}, {"Firm", s.Firm}, {"Contract", cmp.Or(s.Contract, "not named")},
		{"As of", d.rep.AsOf.Format("2006-01-02 15:04:05 -07:00")},
		{"Made from", strings.Join(logs, "; ")},
		{"Plan", orNone(strings.Join(plans, "; "))},
		{"Chambers", orNone(d.rep.ChambersLine())},
		{"Shifts", orNone(strings.Join(days, ", "))},
		{"Seal", d.rep.SealLine()},
	}
	if d.rep.Program != "" {
		pairs = append(pairs, [2]string{"Written by", d.rep.Program})
	}
	for _, o := range register.OneSites(s) {
		pairs = append(pairs, [2]string{"One site", o.String()})
	}
	if d.rep.Filtered() {
		pairs = append(pairs, [2]string{"Listed", fmt.Sprintf("ONLY A PART: %s (%d of %d rows)", d.rep.FilterLine(), len(d.rep.Rows), d.rep.All)})
	}
	if line := logbook.UnreadLine(d.rep.Site.Unread); line != "" {
		pairs = append(pairs, [2]string{"Not read", line})
	}
	d.pairs(32, pairs)
}

func orNone(s string) string { return cmp.Or(s, "none recorded") }

func (d *doc) verdicts() {
	d.heading("Welds by verdict", 30)
	t := d.grid(8.5, column{"verdict", 26}, column{"in place", 18}, column{"given up", 18}, column{"cut out", 18}, column{"means", 0})
	for _, c := range d.rep.Counts {
		t.row(string(c.Verdict), fmt.Sprint(c.InPlace()), fmt.Sprint(c.GivenUp), fmt.Sprint(c.CutOut), register.Means[c.Verdict])
	}
	d.gap(1)
	d.text("", 9, d.rep.JointLine())
	d.besides()
}

// besides is what is open on tests, flow, purges and looks: a site is not clear by its welds
// alone.
func (d *doc) besides() {
	list := d.rep.Besides()
	if len(list) == 0 {
		return
	}
	d.gap(2)
	t := d.grid(8.5, column{"besides the welds", 62}, column{"recorded", 22}, column{"open fails", 22}, column{"open queries", 24}, column{"to do", 0})
	for _, b := range list {
		t.row(b.What, fmt.Sprint(b.Recorded), fmt.Sprint(b.Fails), fmt.Sprint(b.Queries), fmt.Sprint(b.ToDo))
	}
}

func (d *doc) people() {
	d.heading("People and control units", 12)
	t := d.grid(8.5, column{"operator", 44}, column{"mark", 14}, column{"number", 38}, column{"expires", 22}, column{"days", 0})
	for _, p := range d.rep.People {
		t.row(p.Name, p.Mark, p.Number, p.Expiry, p.DaysLine())
	}
	d.named()
	d.gap(2)
	t = d.grid(8.5, column{"control unit", 44}, column{"calibrated", 22}, column{"corrects for temperature", 40}, column{"days", 0})
	for _, u := range d.rep.Units {
		t.row(u.Serial, u.Calibrated, u.Corrects, u.DaysLine())
	}
}

// named is the list of the site, where there is one.
func (d *doc) named() {
	if len(d.rep.Named) == 0 {
		return
	}
	d.gap(2)
	t := d.grid(8.5, column{"people of the site", 44}, column{"role", 26}, column{"firm", 36}, column{"more", 0})
	for _, p := range d.rep.Named {
		t.row(p.Name, p.Role, p.Firm, p.Notes())
	}
}

// alone says on the first page who works alone.
func (d *doc) alone() {
	lines := d.rep.AloneLines()
	if len(lines) == 0 {
		return
	}
	d.gap(2)
	for _, line := range lines {
		d.text("B", 10, line)
	}
}

// deciders says on the first page who accepted, signed or closed something, and of whom
// the site has no word but his own.
func (d *doc) deciders() {
	if len(d.rep.Deciders) == 0 {
		return
	}
	var lines []string
	for _, p := range d.rep.Deciders {
		lines = append(lines, p.Line())
	}
	d.gap(2)
	d.pairs(32, [][2]string{{"Decided by", strings.Join(lines, "; ")}})
}

// unlike says on the first page that the logs have unlike plans, also when that is settled.
func (d *doc) unlike() {
	if d.rep.Unlike != "" {
		d.gap(2)
		d.text("B", 9, d.rep.Unlike)
	}
}

func (d *doc) isAndIsNot() {
	d.heading("What this document is and is not", 30)
	d.text("", 9, "It lists what a crew recorded of each weld while it was made, and what the rules named at the end find in that record. "+
		"It is not a test of any weld: a raised indicator shows melt pressure and says nothing of dirt in the joint. "+register.Caveat)
	d.gap(1)
	d.text("", 9, "Times are local, as the clock of the laptop on site showed them. Headers are named by the way the water goes: "+
		"from ground (FG) and to ground (TG). A letter for which the font of this document has no sign is written as its number, [U+…]; "+
		"the same register as JSON holds every text as it was stored.")
}

// enclosures are the files that belong to the warranty file, named by hash.
func (d *doc) enclosures() {
	d.heading("Enclosures", 12)
	if len(d.rep.Site.Enclosed) == 0 {
		d.text("", 9, "No certificate, photo or other file is named in the log.")
		return
	}
	t := d.grid(8, column{"file", 36}, column{"what", 38}, column{"of", 30}, column{"SHA-256, bytes", 0})
	for _, e := range d.rep.Site.Enclosed {
		t.row(e.File, e.What, e.Of(), fmt.Sprintf("%s\n%d", e.Hash, e.Bytes))
	}
}
