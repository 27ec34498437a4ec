package register_test

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"github.com/thedatashed/xlsxreader"

	"coolhold/logbook"
	"coolhold/logbook/audit"
	"coolhold/logbook/register"
	"coolhold/logbook/register/xlsx"
)

// The clerk who asks where a batch went has one row for it: how many welds, on which days, what
// became of them, and who named it before a correction.
func TestABatchHasItsRow(t *testing.T) {
	rows := map[string]map[string]xlsxreader.Cell{}
	for _, row := range named(workbook(t, register.Sample(t))[xlsx.Batches]) {
		rows[row["batch of"].Value+" "+row["batch"].Value] = row
	}
	for of, want := range map[string]map[string]string{
		"fitting batch W-11": {"welds": "1", "in their joints": "1", "which joints": "1A", "failed, cut out or not": "0", "cut out": "0", "first day": "2026-03-09", "named before a correction by": ""},
		"fitting batch W-1":  {"welds": "0", "in their joints": "0", "which joints": "", "named before a correction by": "KM-0001", "first day": ""},
		"fitting batch 007":  {"welds": "2", "in their joints": "1", "which joints": "1B", "cut out": "1"},
		"fitting batch W-2":  {"welds": "1", "in their joints": "1", "which joints": "TG"},
	} {
		row, is := rows[of]
		if !is {
			t.Errorf("%s has no row", of)
		}
		for head, value := range want {
			if row[head].Value != value {
				t.Errorf("%s: %s is %q, want %q", of, head, row[head].Value, value)
			}
		}
	}
}

// On a large site no weld is lost from the list of batches, and none is in it twice; the metres
// are those of the plan.
func TestBatchesAddUp(t *testing.T) {
	rep := corrie(t)
	book := workbook(t, rep)
	list, work := named(book[xlsx.Batches]), inAll(named(book[xlsx.Work]), "where")
	number := func(row map[string]xlsxreader.Cell, head string) (n float64) {
		if s := row[head].Value; s != "" {
			if _, err := fmt.Sscan(s, &n); err != nil {
				t.Fatalf("%s is %q", head, s)
			}
		}
		return n
	}
	for _, item := range []string{logbook.ItemBatch, logbook.ItemPipeBatch} {
		fused, failed, failing, cut, stands := 0, 0, 0, 0, map[string]bool{}
		for _, row := range rep.Rows {
			if w := row.Weld; w.Fused() {
				fused++
				if row.Verdict == audit.Failed {
					if failed++; w.Stands() {
						failing++
					}
				}
				if w.CutOut != nil {
					cut++
				} else {
					stands[row.Joint.Label] = true
				}
			}
		}
		sum := map[string]float64{}
		var joints []string
		for _, row := range list {
			if row["batch of"].Value != logbook.NameOf(item) {
				continue
			}
			for _, head := range []string{"welds", "failed, cut out or not", "failed and still in its joint", "cut out", "bag read against the table"} {
				sum[head] += number(row, head)
			}
			for _, label := range strings.Split(row["which joints"].Value, ", ") {
				if joints = append(joints, label); label != "" && !stands[label] {
					t.Errorf("%s, batch %s: no weld is in %s", item, row["batch"].Value, label)
				}
			}
			if not := row["bag not read, or unlike the table"].Value; item == logbook.ItemBatch && not != "none" {
				sum["bag not"] += float64(len(strings.Split(not, ", ")))
			}
		}
		if sum["welds"] != float64(fused) || sum["failed, cut out or not"] != float64(failed) || sum["failed and still in its joint"] != float64(failing) || fmt.Sprint(failing) != work["of these failed"].Value || failing == failed || sum["cut out"] != float64(cut) {
			t.Errorf("%s: %v, want %d fused, %d failed, of them %d in their joints (%v), %d cut out", item, sum, fused, failed, failing, work, cut)
		}
		for label := range stands {
			if !slices.Contains(joints, label) {
				t.Errorf("%s: joint %s is in no row", item, label)
			}
		}
		if item == logbook.ItemBatch && (sum["bag read against the table"]+sum["bag not"] != float64(fused) || sum["bag not"] == 0) {
			t.Errorf("bags: %v of %d", sum, fused)
		}
	}
	sum, rows := 0.0, map[string]map[string]xlsxreader.Cell{}
	for _, row := range list {
		rows[row["batch"].Value] = row
		if row["batch"].Value != register.AllPipes {
			sum += number(row, "length in the plan, m")
		}
	}
	all := inAll(named(book[xlsx.Pipes]), "chamber the pipe belongs to")
	if got := rows[register.AllPipes]["length in the plan, m"].Value; math.Abs(sum-number(all, "length, m")) > 0.01 || got != all["length, m"].Value || got != "3001.5" {
		t.Errorf("the coils and what is of none have %g m, the row of all %q, the sheet of pipes %q", sum, got, all["length, m"].Value)
	}
	const which = "which pipes, where not of this coil alone"
	for batch, want := range map[string]string{
		register.SeveralCoils: "header to ground of chamber Dew, 18 m; circuit 5 of chamber Moss, 205.5 m", register.NoWeldYet: "header to ground of chamber Loam, 31 m",
		"coil 7713": "circuit 4 of chamber Dew, 180 m: all of it is counted here, but CL-0009, CL-0014, cut out or given up, named coil 7712",
		"coil 7712": "circuit 4 of chamber Dew, 180 m: not counted here; CL-0009, CL-0014, cut out or given up, named it",
		"coil 88-1": "circuit 5 of chamber Moss, 205.5 m", "coil 88-2": "",
	} {
		if got := rows[batch][which].Value; got != want {
			t.Errorf("%s: %q, want %q", batch, got, want)
		}
	}
}

// A pipe of which the plan has no length is named behind the sum of the metres, as in the list of
// pipes.
func TestPipesWithoutALengthAreNamed(t *testing.T) {
	rep := corrie(t)
	for i, p := range rep.Joints {
		if p.Chamber == "Loam" && p.Circuit == 2 {
			rep.Joints[i].LengthM = 0
		}
	}
	book := workbook(t, rep)
	unknown := 0
	for _, row := range named(book[xlsx.Pipes]) {
		if strings.Contains(row["remark"].Value, "its length is not in the plan") {
			unknown++
		}
	}
	for _, row := range named(book[xlsx.Batches]) {
		if row["batch"].Value == register.AllPipes {
			if unknown--; row["length in the plan, m"].Value != "2811.5" || row["which pipes, where not of this coil alone"].Value != "circuit 2 of chamber Loam: its length is not in the plan" {
				t.Errorf("%v", row)
			}
		}
	}
	if unknown != 0 {
		t.Errorf("%d pipes of unknown length are told otherwise", unknown)
	}
}

// inAll is the row of a sum, by what stands in its first column.
func inAll(rows []map[string]xlsxreader.Cell, first string) map[string]xlsxreader.Cell {
	i := slices.IndexFunc(rows, func(row map[string]xlsxreader.Cell) bool { return row[first].Value == "in all" })
	return rows[i]
}

// One batch written in two ways is one row, as a recall finds it; one printed on two kinds of
// fittings is two.
func TestABatchIsOneHoweverWritten(t *testing.T) {
	rep := register.Sample(t)
	for i, batch := range []string{"ab-12", "AB 12", "AB12"} {
		rep.Rows[i].Weld.Answers[logbook.ItemBatch] = logbook.Answer{V: batch}
	}
	rep.Rows[2].Weld.Answers[logbook.ItemFitting] = logbook.Answer{V: "tee 63"}
	var got []string
	for _, u := range rep.Batches() {
		if u.Item == logbook.ItemBatch && strings.HasSuffix(u.Batch, "12") {
			got = append(got, fmt.Sprintf("%s %v %v %v", u.Batch, u.Written, u.Of, u.Welds))
		}
	}
	if want := []string{"ab-12 [AB 12] [coupler 40] [KM-0001 KM-0002]", "AB12 [] [tee 63] [KM-0003]"}; !slices.Equal(got, want) {
		t.Errorf("the rows are %q, want %q", got, want)
	}
}

// Of each part stands whether ground may be laid on it, and of each joint that is built what is
// missing before; a weld that is not in its joint is not asked for.
func TestWhatMayBeCoveredStandsInTheWorkbook(t *testing.T) {
	seen := map[string]int{}
	for name, rep := range map[string]register.Report{"corrie": corrie(t), "sample": register.Sample(t), "settled": register.Settled(t), "buried": register.Buried(t)} {
		book := workbook(t, rep)
		parts := map[string]map[string]xlsxreader.Cell{}
		for _, row := range named(book[xlsx.Ground]) {
			parts[row["part of the site"].Value] = row
			may, lacks := row["may be covered"].Value, row["what is missing in it"].Value
			seen[may]++
			if may == register.MayCover && lacks != "" || may == register.MayNotCover && lacks == "" {
				t.Errorf("%s: %s may be covered: %s, and there is missing %q", name, row["part of the site"].Value, may, lacks)
			}
			if (may == register.IsCovered || may == register.CoveredInPart || row["dug up since, on"].Value != "") != (row["covered on"].Type == xlsxreader.TypeDateTime) {
				t.Errorf("%s: %v", name, row)
			}
		}
		for i, row := range named(book[xlsx.Register]) {
			r, may := rep.Rows[i], row["may be covered"].Value
			part, is := parts[r.Part()]
			if r.Weld.ID != "" && !r.Weld.Stands() && !r.Weld.Walking() || !r.Joint.Counts() || r.Factory != nil {
				if may != "" {
					t.Errorf("%s: %s, %s, may be covered: %q", name, r.Joint.Label, r.Weld.ID, may)
				}
				continue
			}
			want := part["may be covered"].Value
			if want == register.CoveredInPart {
				if want = register.IsCovered; r.Cover == nil {
					want = register.MayNotCover
				}
			}
			if !is || may != want {
				t.Errorf("%s: %s may be covered: %q, its part %s: %q", name, r.Joint.Label, may, r.Part(), part["may be covered"].Value)
			}
			if lacks := row["what is missing before ground"].Value; may == register.MayNotCover && lacks == "" || may == register.MayCover && lacks != "" {
				t.Errorf("%s: %s may be covered: %s, and there is missing %q", name, r.Joint.Label, may, lacks)
			} else if r.Weld.ID == "" && strings.HasPrefix(lacks, "nothing") {
				t.Errorf("%s: no weld is in %s, and there is missing %q", name, r.Joint.Label, lacks)
			}
			if dug := row["dug up on"]; (r.Dug != nil) != (dug.Value != "") {
				t.Errorf("%s: %s was dug up %v: %v", name, r.Joint.Label, r.Dug, dug)
			} else if r.Dug != nil {
				seen["dug up"]++
			}
		}
	}
	for _, what := range []string{register.MayCover, register.MayNotCover, register.IsCovered, register.CoveredInPart, "dug up"} {
		if seen[what] == 0 {
			t.Errorf("%s: nowhere", what)
		}
	}
}
