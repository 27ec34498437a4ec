package pdf

import (
	"fmt"
	"strings"

	"coolhold/logbook"
	"coolhold/logbook/register"
	"coolhold/logbook/register/account"
)

// title is how the first page begins: what the document is about and what it comes to. What is
// open follows on it.
func (d *doc) title() {
	d.page(false)
	d.f.Bookmark("Title", 0, -1)
	if sealed := d.rep.Sealed(); len(sealed) > 0 {
		d.code(sealed[0].Seal.Note, d.left()+d.full()-36, d.top()-4, 36)
		d.words(d.left()+d.full()-36, d.top()+31, 36, 4, "", "C", "the seal of log "+sealed[0].Called())
		d.words(d.left()+d.full()-36, d.top()+34.5, 36, 4, "", "C", strings.Join(sealed[0].SignedBy(), ", "))
		d.f.SetXY(d.left(), d.top())
		d.beside = 40
	}
	d.text("B", 20, "Register of welds")
	d.gap(1)
	d.text("", 14, d.told.Site)
	d.gap(2)
	for _, s := range d.told.Under {
		d.text("", toldSize, s)
	}
	if y := d.top() + 39; d.beside > 0 && d.f.GetY() < y && d.f.PageNo() == 1 {
		d.f.SetY(y)
	}
	d.beside = 0
	for _, s := range d.told.Loud {
		d.gap(1)
		d.text("B", 10, s)
	}
	d.chapterOf(d.told.Short)
	d.contents()
}

// source is what the document was made from, and what it is not: behind what is open, which is
// read first.
func (d *doc) source() {
	d.section(false, 60, "Where this comes from")
	d.pairs(38, d.told.Source)
	d.heading("What this document is and is not")
	d.text("", 9, "It lists what a crew recorded of each weld while it was made, and what the rules named at the end find in that record. "+
		"It is not a test of any weld: a raised indicator shows melt pressure and says nothing of dirt in the joint. "+register.Caveat)
	d.gap(1)
	d.text("", 9, "Times are local, as the clock of the laptop on site showed them, with their offset from UTC. Headers are named by the way the water goes: "+
		"from ground (FG) and to ground (TG). A letter for which the font of this document has no sign is written as its number, [U+…]; "+
		"the same register as JSON holds every text as it was stored.")
}

// all is a line for every row: what the record shows of it.
func (d *doc) all() {
	d.section(false, 60, "All joints and welds")
	if len(d.told.Lines) == 0 {
		d.text("", toldSize, "No row is listed.")
		return
	}
	d.text("", 9, "A line for each weld in the order they were made, then for each joint in which nothing stands. The page is that on which most is told of it.")
	d.gap(1)
	t := d.grid(8.5, column{"joint", 19}, column{"weld", 22}, column{"the record shows", 51}, column{"fusion started", 42}, column{"page", 11}, column{"by", 0})
	for _, l := range d.told.Lines {
		t.row(l.Joint.Text, l.Weld.Text, l.Says, l.When, strings.TrimPrefix(d.ref(l.Joint.To), "page "), l.By)
	}
}

// people are everybody whose name stands in the document, and the control units.
func (d *doc) people() {
	d.chapters([]account.Chapter{d.told.People, d.told.Units}, 50)
}

// tables are the fusion tables with their figures.
func (d *doc) tables() {
	d.section(false, 60, "Fusion tables")
	d.text("", 9, "Times and voltages come from these tables, typed from what is printed on the fittings' bags, and from nowhere else.")
	if len(d.told.Tables) == 0 {
		d.text("", 9, "None in this log.")
	}
	for _, k := range d.told.Tables {
		d.heading(k.Caption)
		d.keep(9, k.Says...)
		for _, s := range k.Says {
			d.text("", 9, s)
		}
		d.gap(1)
		t := d.grid(8, column{"fitting", 60}, column{"temperature", 32}, column{"voltage, V", 24}, column{"fusion time, s", 28}, column{"cooling time, min", 0})
		for _, f := range k.Fittings {
			for _, r := range f.Rows {
				t.row(f.Name, r.Band, r.Volts, r.Seconds, r.Cooling)
			}
		}
	}
}

// rules are those that found something, each with its basis, then those that looked and
// found nothing: by their basis, since many have the same one; then those that had nothing
// to look at.
func (d *doc) rules() {
	some, rest := d.told.Rules[0], d.told.Rules[1]
	d.section(false, 60, some.Title)
	d.stands(some.ID)
	d.tell(some)
	d.lookedAndFoundNothing(rest)
	if idle := d.told.Rules[2]; len(idle.Items) > 0 {
		d.heading(idle.Folded)
		for _, it := range idle.Items {
			d.text("", 7, it.Head+": "+it.Says+" "+strings.Join(byBasis(it.More), " "))
		}
	}
}

func (d *doc) lookedAndFoundNothing(rest account.Chapter) {
	if len(rest.Items) == 0 {
		return
	}
	d.heading(rest.Folded)
	d.text("", moreSize, "Each basis, with what the rules look for that go by it; in brackets what it rests on besides.")
	d.gap(0.8)
	var bases, alone []string
	looked := map[string][]string{}
	for _, it := range rest.Items {
		basis, more, _ := strings.Cut(strings.TrimSuffix(strings.TrimPrefix(strings.Join(it.More, " "), "Basis: "), "."), ": ")
		if looked[basis] == nil {
			bases = append(bases, basis)
		}
		says := strings.TrimSuffix(strings.TrimPrefix(it.Says, "It looks for "), ".")
		if more != "" {
			says += " (" + more + ")"
		}
		looked[basis] = append(looked[basis], says)
	}
	for _, basis := range bases {
		if list := looked[basis]; len(list) == 1 {
			alone = append(alone, list[0]+". Basis: "+basis+".")
			continue
		}
		d.gap(1)
		d.listed(7, strings.ToUpper(basis[:1])+basis[1:], looked[basis])
	}
	d.gap(1)
	d.listed(7, "By a basis of their own", alone)
}

// byBasis puts those together that stand on one basis: most of a kind do.
func byBasis(rules []string) (out []string) {
	at := map[string][]string{}
	var order []string
	for _, r := range rules {
		says, basis, _ := strings.Cut(r, ". Basis: ")
		if at[basis] == nil {
			order = append(order, basis)
		}
		at[basis] = append(at[basis], says)
	}
	for _, basis := range order {
		out = append(out, strings.Join(at[basis], "; ")+". Basis: "+basis)
	}
	return out
}

// listed is a heading in small letters over a line for each thing.
func (d *doc) listed(size float64, head string, list []string) {
	d.font("B", size)
	lines := d.lines(head, d.width())
	d.settle()
	d.hold(float64(len(lines))*lineHigh(size), func() { d.bold(size, lines) })
	for _, s := range list {
		d.text("", size, "– "+s)
	}
}

// offsets says which offset from UTC the times of a table have, where it leaves it out.
func (d *doc) offsets() string {
	var all []string
	add := func(s string) {
		for _, had := range all {
			if had == s {
				return
			}
		}
		all = append(all, s)
	}
	for _, row := range d.rep.Rows {
		if at, fused := row.Weld.FusedAt(); fused {
			add(at.Format("-07:00"))
		}
	}
	switch len(all) {
	case 0:
		return "Times are local."
	case 1:
		return "Times are local: UTC " + all[0] + "."
	}
	return fmt.Sprintf("Times are local, by the clock as it stood then: UTC %s. Each weld's own stands in the list of all joints and welds.", logbook.Joined(" or ", all...))
}
