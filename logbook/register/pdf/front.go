package pdf

import (
	"slices"

	"coolhold/logbook/register/account"
)

// front is what is wrong and who must act, how far the work is, and how each circuit stands,
// in a compact form.
func (d *doc) front() {
	f := d.told.Front()
	d.section(false, 60, f.Wrong.Title)
	d.text("B", 10.5, f.Verdict)
	d.gap(1)
	d.tell(f.Wrong)
	d.text("", toldSize, f.Last)
	d.heading("Work by chamber")
	heads := f.Work.Heads
	cols := []column{{heads[0], 50}}
	for _, h := range heads[1:] {
		cols = append(cols, column{h, 24})
	}
	t := d.grid(8.5, cols...)
	for _, row := range f.Work.Rows {
		t.row(row...)
	}
	d.circuits(d.told.Circuits())
}

// idsOf are the places that lead to circuits.
func idsOf(all []account.Circuit) (ids []string) {
	for _, c := range all {
		ids = append(ids, c.ID)
	}
	return ids
}

// circuits are a row each, in few words: which joints are meant stands in the lists.
func (d *doc) circuits(all []account.Circuit) {
	if len(all) == 0 {
		return
	}
	d.heading(account.CircuitsTitle)
	for _, at := range append([]string{account.CircuitsID}, idsOf(all)...) {
		d.stands(at)
	}
	t := d.grid(6.5, column{"circuit", 44}, column{"welded", 12}, column{"open", 40}, column{"may ground lie on it", 32}, column{"earliest pressure test", 0})
	var conflicts []string
	for _, c := range account.Together(all) {
		t.row(c.Name, c.Brief.Made, c.Brief.Open, c.Brief.Cover, c.Brief.Test)
		for _, says := range c.Conflicts {
			if !slices.Contains(conflicts, says) {
				conflicts = append(conflicts, says)
			}
		}
	}
	if len(conflicts) > 0 {
		d.gap(1.5)
	}
	for _, says := range conflicts {
		d.text("B", 8.5, says)
	}
}
