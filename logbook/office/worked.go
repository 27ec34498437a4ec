package office

import (
	"slices"
	"time"

	"coolhold/fusion"
	"coolhold/logbook"
	"coolhold/logbook/audit"
	"coolhold/logbook/recall"
	"coolhold/logbook/register"
)

// A Worked is what was worked up of one site: rows to search and to count by. They hold
// nothing of their own and can be dropped; verdicts are those of the rules in package
// audit, and of no query.
type Worked struct {
	AsOf   time.Time
	Timed  bool // its findings change as time goes by, without an entry
	Welds  []WeldRow
	Joints []JointRow
	Open   []FindingRow
}

// A WeldRow is a weld as it stands.
type WeldRow struct {
	Weld, Joint, Chamber, Day, Verdict, State, Fitting, Batch, Coil, Stub, Operator, Unit string

	Begun  uint64   // its first entry
	Failed bool     // a fail is on record of it, accepted or cut out since or not
	Ever   []string // the terms of all batches, units and operators that were ever said of it
	Said   string   // these, as recall.Written has them

	Made time.Time // its first entry
}

// A JointRow is a joint of the plan, or one that was added.
type JointRow struct {
	Joint, Chamber, State string
	Weld                  string // that stands in it
}

// A FindingRow is what a rule found and nobody settled.
type FindingRow struct{ Key, Word, Weld, Joint, Says string }

// longAfter is when all that becomes due by time alone has become it.
const longAfter = 10 * 365 * 24 * time.Hour

// WorkUp works up one site from its entries, in their order: the first opened it.
func WorkUp(tag string, entries []logbook.Entry, asOf fusion.Stamp) Worked {
	book := logbook.Fold(tag, entries)
	site, _ := book.Site(entries[0].Site)
	res := audit.Run(book, site.ID, asOf, fusion.Stamp{})
	w := Worked{AsOf: asOf.Wall}
	values, begun := recall.Values(entries, book), begunIn(entries)
	for _, row := range register.Rows(book, site.ID, res) {
		if row.Weld.ID != "" {
			one := weldRow(row, values[row.Weld.ID])
			if first := begun[one.Weld]; first != nil {
				one.Begun, one.Made = first.Seq, first.At.Wall
			}
			w.Welds = append(w.Welds, one)
		}
	}
	for _, j := range book.Joints(site.ID) {
		w.Joints = append(w.Joints, JointRow{j.Joint.Label, j.Chamber, string(res.StateOf(j)), j.Stands})
	}
	w.Open = openRows(res)
	if w.Timed = len(w.Open) > 0 || len(res.Unsettled()) > 0; w.Timed {
		later := audit.Run(book, site.ID, asOf.Add(longAfter), fusion.Stamp{})
		w.Timed = !slices.Equal(w.Open, openRows(later))
	}
	return w
}

// begunIn are the first entries of the welds.
func begunIn(entries []logbook.Entry) map[string]*logbook.Entry {
	begun := map[string]*logbook.Entry{}
	for i := range entries {
		if e := &entries[i]; e.Weld != "" && begun[e.Weld] == nil {
			begun[e.Weld] = e
		}
	}
	return begun
}

func openRows(res audit.Result) (rows []FindingRow) {
	for _, f := range res.Open() {
		rows = append(rows, FindingRow{f.Key, f.Word(), f.Weld, f.Joint, f.Says})
	}
	return rows
}

func weldRow(row register.Row, said []recall.Value) WeldRow {
	w := row.Weld
	return WeldRow{
		Weld: w.ID, Joint: w.Joint, Chamber: row.Joint.Chamber, Day: w.Day(), Verdict: string(row.Verdict), State: recall.StateOf(w),
		Fitting: w.Fitting(), Batch: valueOf(w, logbook.ItemBatch), Coil: valueOf(w, logbook.ItemPipeBatch), Stub: valueOf(w, logbook.ItemStubBatch),
		Operator: w.Operator, Unit: w.Unit, Ever: recall.Terms(said), Said: recall.Written(said),
		Failed: slices.ContainsFunc(row.Findings, func(f audit.Finding) bool { return f.Severity == audit.Fail && !f.Work }),
	}
}

// valueOf is a value of a weld as it stands.
func valueOf(w logbook.Weld, key string) string {
	if v, ok := logbook.ValueOf(key); ok {
		return v.Get(w)
	}
	return ""
}
