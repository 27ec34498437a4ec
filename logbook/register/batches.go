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
	Failed        []string // of Welds, cut out or not
	Failing       []string // of Failed, those that are in their joints
	CutOut        []string // of Welds
	Unused        []string // given up or being made: nothing of it is in the ground
	Before        []string // welds that named it until they were corrected
	Days          []string // of Welds, in order

	BagRead, BagNot []string // of Welds, by whether the bag was read against the table and agreed; of fittings only

	// LengthM are the metres of the pipes in the plan of which all welds in place name this
	// coil; Shared what else is to be known of its pipes: those on which others are named too, or
	// some welds name none, and those on which welds named another that are no more in place.
	LengthM float64
	Shared  []string
}

// OfPipes tells whether it is no batch but metres of pipes that are of no one coil, so that all
// of them together are those of the plan.
func (u BatchUse) OfPipes() bool { return u.Item == "" }

// The rows of metres that are of no one coil, and that of all.
const (
	SeveralCoils = "of several coils, or of one and of none"
	NoWeldYet    = "without a weld yet"
	AllPipes     = "all pipes of the plan"
)

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
	var pipes []BatchUse
	if !rep.Filtered() { // else the ends of a pipe may not be among the rows
		pipes = b.lengths(rep)
	}
	slices.SortStableFunc(b.all, func(x, y *BatchUse) int {
		return cmp.Or(
			cmp.Compare(slices.Index(logbook.BatchItems, x.Item), slices.Index(logbook.BatchItems, y.Item)),
			cmp.Compare(x.fitting(), y.fitting()), cmp.Compare(x.Batch, y.Batch))
	})
	var out []BatchUse
	last := 0 // behind the coils
	for i, u := range b.all {
		slices.Sort(u.Days)
		u.Days = slices.Compact(u.Days)
		if out = append(out, *u); u.Item != logbook.ItemStubBatch {
			last = i + 1
		}
	}
	return slices.Insert(out, last, pipes...)
}

// Kind is what it is a batch of, in words.
func (u BatchUse) Kind() string {
	if u.OfPipes() {
		return "pipes in the plan"
	}
	return logbook.NameOf(u.Item)
}

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
		if u.Failed = append(u.Failed, w.ID); w.Stands() {
			u.Failing = append(u.Failing, w.ID)
		}
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

// A coiled is what the welds of a joint name as its coil, each once, folded; "" for none.
type coiled struct {
	of   []string            // of those in place
	gone map[string][]string // by coil, the welds that named it and are not in place
}

// lengths gives each coil the metres of the pipes that it alone is named for, and returns those
// that are of no one coil, with the sum of all.
func (b *batches) lengths(rep Report) []BatchUse {
	value, _ := logbook.ValueOf(logbook.ItemPipeBatch)
	named := map[string]coiled{} // by joint
	for _, row := range rep.Rows {
		if row.Weld.ID == "" {
			continue
		}
		k, coil := named[row.Joint.Label], recall.Fold(value.Shown(row.Weld))
		switch {
		case row.Weld.Stands() && row.Weld.Fused():
			k.of = append(k.of, coil)
		case coil != "" && row.Gone():
			if k.gone == nil {
				k.gone = map[string][]string{}
			}
			k.gone[coil] = append(k.gone[coil], row.Weld.ID)
		}
		named[row.Joint.Label] = k
	}
	several, bare, all := BatchUse{Batch: SeveralCoils}, BatchUse{Batch: NoWeldYet}, BatchUse{Batch: AllPipes}
	for _, p := range rep.Pipes() {
		if p.LengthM == 0 {
			if !p.Together() {
				all.Shared = append(all.Shared, p.Called()+": its length is not in the plan")
			}
			continue
		}
		all.LengthM += p.LengthM
		says := fmt.Sprintf("%s, %g m", p.Called(), p.LengthM)
		k := coilsOf(p.ends(), named)
		switch {
		case len(k.of) == 0:
			bare.LengthM, bare.Shared = bare.LengthM+p.LengthM, append(bare.Shared, says)
		case len(k.of) > 1:
			several.LengthM, several.Shared = several.LengthM+p.LengthM, append(several.Shared, says)
		}
		for _, u := range b.all {
			if u.Item != logbook.ItemPipeBatch {
				continue
			}
			coil := recall.Fold(u.Batch)
			here, gone := slices.Contains(k.of, coil), k.gone[coil]
			switch {
			case here && len(k.of) == 1:
				if u.LengthM += p.LengthM; len(k.others(coil)) > 0 {
					u.Shared = append(u.Shared, says+": all of it is counted here, but "+strings.Join(b.goneSays(k, k.others(coil)), ", "))
				}
			case here:
				u.Shared = append(u.Shared, says)
			case len(gone) > 0:
				u.Shared = append(u.Shared, says+": not counted here; "+strings.Join(gone, ", ")+", cut out or given up, named it")
			}
		}
	}
	if all.LengthM == 0 {
		return nil
	}
	return []BatchUse{several, bare, all}
}

// ends are the joints on a pipe by which it is told of which coil it is: those that are no
// longer built too, since a weld that was cut out for a make-up piece named one.
func (p PipeOf) ends() []string {
	out := slices.Clone(p.Labels)
	if p.Standing != nil {
		for _, j := range p.Standing.Joints {
			if !slices.Contains(out, j.Label) && j.Chamber == p.Chamber && j.Circuit == p.Circuit && j.HeaderWay() == p.Header {
				out = append(out, j.Label)
			}
		}
	}
	return out
}

// coilsOf is what the welds of some joints name, together.
func coilsOf(labels []string, named map[string]coiled) coiled {
	all := coiled{gone: map[string][]string{}}
	for _, label := range labels {
		all.of = append(all.of, named[label].of...)
		for coil, welds := range named[label].gone {
			all.gone[coil] = append(all.gone[coil], welds...)
		}
	}
	slices.Sort(all.of)
	all.of = slices.Compact(all.of)
	return all
}

// others are the coils that only welds name which are not in place.
func (k coiled) others(but string) (out []string) {
	for coil := range k.gone {
		if coil != but {
			out = append(out, coil)
		}
	}
	slices.Sort(out)
	return out
}

// goneSays says which coils were named by welds that are not in place.
func (b *batches) goneSays(k coiled, coils []string) (out []string) {
	for _, coil := range coils {
		name := coil
		for _, u := range b.all {
			if u.Item == logbook.ItemPipeBatch && recall.Fold(u.Batch) == coil {
				name = u.Batch
			}
		}
		slices.Sort(k.gone[coil])
		out = append(out, strings.Join(k.gone[coil], ", ")+", cut out or given up, named "+name)
	}
	return out
}

// Called is the pipe in words: "circuit 3 of chamber A", "header from ground of chamber A".
func (p PipeOf) Called() string {
	what := "header " + p.Header
	if p.Circuit > 0 {
		what = fmt.Sprintf("circuit %d", p.Circuit)
	}
	return strings.TrimSpace(what) + " of chamber " + p.Chamber
}
