package register

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
	"time"

	"coolhold/logbook"
	"coolhold/logbook/audit"
	"coolhold/logbook/recall"
)

// A BatchUse is a batch of a fitting, of a coil or pipe, or of a stub, with the welds of a
// report that name it. Batches of fittings are told apart by fitting too: two makers may
// print the same one.
type BatchUse struct {
	Item    string   // the key of the value: logbook.ItemBatch and its like
	Batch   string   // as it is shown; "" where none is recorded
	Written []string // in other ways than that, of the same batch as a recall compares it
	Of      []string // the fitting, or the sizes of the pipes

	Welds, Joints []string // fused; of those that stand, the joints
	Failed        []string // of Welds
	CutOut        []string // of Welds
	Unused        []string // given up or being made: nothing of it is in the ground
	Before        []string // welds that named it until they were corrected
	Days          []string // of Welds, in order

	BagRead, BagNot []string // of Welds, by whether the bag was read against the table and agreed; of fittings only

	// LengthM are the metres of the pipes in the plan of which all welds in place name this
	// coil; Shared those on which others are named too, or some welds name none.
	LengthM float64
	Shared  []string
}

// Batches are those of the welds that are listed: of fittings, of coils and pipes, of stubs.
// Where a fused weld names no batch of its fitting or pipe, that is listed as well.
func (rep Report) Batches() []BatchUse {
	var b batches
	for _, row := range rep.Rows {
		if row.Weld.ID == "" {
			continue
		}
		for _, item := range logbook.BatchItems {
			v, _ := logbook.ValueOf(item)
			batch := v.Shown(row.Weld)
			if batch == "" && (item == logbook.ItemStubBatch || !row.Weld.Fused()) {
				continue // nobody asks for one of every stub
			}
			b.of(item, batch, row).take(row)
		}
		for _, c := range row.Weld.Corrections {
			if slices.Contains(logbook.BatchItems, c.Field) && c.Before() != "" {
				if u := b.of(c.Field, c.Before(), row); !slices.Contains(slices.Concat(u.Welds, u.Unused, u.Before), row.Weld.ID) {
					u.Before = append(u.Before, row.Weld.ID)
				}
			}
		}
	}
	if !rep.Filtered() { // else the ends of a pipe may not be among the rows
		b.lengths(rep)
	}
	slices.SortStableFunc(b.all, func(x, y *BatchUse) int {
		return cmp.Or(
			cmp.Compare(slices.Index(logbook.BatchItems, x.Item), slices.Index(logbook.BatchItems, y.Item)),
			cmp.Compare(x.fitting(), y.fitting()), cmp.Compare(x.Batch, y.Batch))
	})
	out := make([]BatchUse, len(b.all))
	for i, u := range b.all {
		slices.Sort(u.Days)
		u.Days = slices.Compact(u.Days)
		out[i] = *u
	}
	return out
}

// Kind is what it is a batch of, in words.
func (u BatchUse) Kind() string { return logbook.NameOf(u.Item) }

// fitting is the one by which batches of fittings are told apart.
func (u BatchUse) fitting() string {
	if u.Item == logbook.ItemBatch && len(u.Of) > 0 {
		return u.Of[0]
	}
	return ""
}

// take adds a weld that names a batch.
func (u *BatchUse) take(row Row) {
	w := row.Weld
	if !w.Fused() {
		u.Unused = append(u.Unused, w.ID)
		return
	}
	u.Welds, u.Days = append(u.Welds, w.ID), append(u.Days, row.When().Format(time.DateOnly))
	if w.Stands() && !slices.Contains(u.Joints, row.Joint.Label) {
		u.Joints = append(u.Joints, row.Joint.Label)
	}
	if row.Verdict == audit.Failed {
		u.Failed = append(u.Failed, w.ID)
	}
	if w.CutOut != nil {
		u.CutOut = append(u.CutOut, w.ID)
	}
	switch {
	case u.Item != logbook.ItemBatch || w.Fitting() == "":
	case slices.ContainsFunc(row.Findings, func(f audit.Finding) bool { return f.Rule == "bag-not-read" || f.Rule == "row-not-allowed" }):
		u.BagNot = append(u.BagNot, w.ID)
	default:
		u.BagRead = append(u.BagRead, w.ID)
	}
}

// batches are the batches of a report while they are gathered.
type batches struct{ all []*BatchUse }

// of is a batch that a weld names.
func (b *batches) of(item, batch string, row Row) *BatchUse {
	of := row.Weld.Fitting()
	if item != logbook.ItemBatch {
		of = ""
		if row.Joint.OdMM > 0 {
			of = fmt.Sprintf("%d mm", row.Joint.OdMM)
		}
	}
	i := slices.IndexFunc(b.all, func(u *BatchUse) bool {
		return u.Item == item && (item != logbook.ItemBatch || u.fitting() == of) && (u.Batch == batch || batch != "" && recall.Fold(u.Batch) == recall.Fold(batch))
	})
	if i < 0 {
		i, b.all = len(b.all), append(b.all, &BatchUse{Item: item, Batch: batch})
	}
	u := b.all[i]
	if of != "" && !slices.Contains(u.Of, of) {
		u.Of = append(u.Of, of)
	}
	if batch != u.Batch && !slices.Contains(u.Written, batch) {
		u.Written = append(u.Written, batch)
	}
	return u
}

// lengths gives each coil the metres of the pipes that it alone is named for.
func (b *batches) lengths(rep Report) {
	named := map[string][]string{} // by joint: what its weld names, folded; "" for none
	for _, row := range rep.Rows {
		if row.Weld.Stands() && row.Weld.Fused() {
			v, _ := logbook.ValueOf(logbook.ItemPipeBatch)
			named[row.Joint.Label] = append(named[row.Joint.Label], recall.Fold(v.Shown(row.Weld)))
		}
	}
	for _, p := range rep.Pipes() {
		if p.LengthM == 0 {
			continue
		}
		var of []string
		for _, label := range p.Labels {
			of = append(of, named[label]...)
		}
		slices.Sort(of)
		of = slices.Compact(of)
		for _, u := range b.all {
			switch {
			case u.Item != logbook.ItemPipeBatch || !slices.Contains(of, recall.Fold(u.Batch)):
			case len(of) == 1:
				u.LengthM += p.LengthM
			default:
				u.Shared = append(u.Shared, fmt.Sprintf("%s, %g m", p.Called(), p.LengthM))
			}
		}
	}
}

// Called is the pipe in words: "circuit 3 of chamber A", "header from ground of chamber A".
func (p PipeOf) Called() string {
	what := "header " + p.Header
	if p.Circuit > 0 {
		what = fmt.Sprintf("circuit %d", p.Circuit)
	}
	return strings.TrimSpace(what) + " of chamber " + p.Chamber
}
