package office

import (
	"cmp"
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
	UID      string // the site's own
	Site     string // its name in entries
	Name     string
	Address  string
	Opened   time.Time
	Newest   time.Time
	Entries  uint64 // of the site: up to where it was worked up
	AsOf     time.Time
	Timed    bool // its findings change as time goes by, without an entry
	Welds    []WeldRow
	Joints   []JointRow
	Findings []FindingRow
}

// A WeldRow is a weld as it stands.
type WeldRow struct {
	Weld, Joint, Chamber, Day, Verdict, Fitting, Batch, Coil, Stub, Operator, Unit string

	CutOut bool
	Failed bool     // a fail is on record of it, accepted or cut out since or not
	Ever   []string // the terms of all batches, units and operators that were ever said of it
}

// A JointRow is a joint of the plan, or one that was added.
type JointRow struct {
	Joint, Chamber, State string
	Weld                  string // that stands in it
}

// A FindingRow is what a rule found.
type FindingRow struct {
	Key, Rule, Word, Weld, Joint, Says string
	Open                               bool
}

// longAfter is when all that becomes due by time alone has become it.
const longAfter = 10 * 365 * 24 * time.Hour

// WorkUp works up one site from its entries, in their order: the first opened it.
func WorkUp(tag string, entries []logbook.Entry, asOf fusion.Stamp) Worked {
	book := logbook.Fold(tag, entries)
	opened := entries[0]
	site, _ := book.Site(opened.Site)
	res := audit.Run(book, site.ID, asOf, fusion.Stamp{})
	w := Worked{
		Site: site.ID, Name: site.Name, Address: site.Address, Opened: opened.At.Wall, Newest: entries[len(entries)-1].At.Wall,
		Entries: uint64(len(entries)), AsOf: asOf.Wall,
	}
	if b, ok := opened.Open().(logbook.SiteOpened); ok {
		w.UID = b.UID
	}
	ever := everOf(entries)
	for _, row := range register.Rows(book, site.ID, res) {
		if row.Weld.ID != "" {
			w.Welds = append(w.Welds, weldRow(row, ever[row.Weld.ID]))
		}
	}
	for _, j := range book.Joints(site.ID) {
		w.Joints = append(w.Joints, JointRow{j.Joint.Label, j.Chamber, string(res.StateOf(j)), j.Stands})
	}
	w.Findings = findingRows(res)
	w.Timed = slices.ContainsFunc(w.Findings, func(f FindingRow) bool { return f.Open }) || len(res.Unsettled()) > 0
	if w.Timed {
		later := audit.Run(book, site.ID, asOf.Add(longAfter), fusion.Stamp{})
		w.Timed = !slices.Equal(w.Findings, findingRows(later))
	}
	return w
}

func findingRows(res audit.Result) (rows []FindingRow) {
	for _, f := range res.Findings {
		rows = append(rows, FindingRow{f.Key, f.Rule, f.Word(), f.Weld, f.Joint, f.Says, f.Open()})
	}
	return rows
}

func weldRow(row register.Row, ever []string) WeldRow {
	w := row.Weld
	return WeldRow{
		Weld: w.ID, Joint: w.Joint, Chamber: row.Joint.Chamber, Day: w.Day(), Verdict: string(row.Verdict),
		Fitting: w.Fitting(), Batch: said(w, logbook.ItemBatch), Coil: said(w, logbook.ItemPipeBatch), Stub: said(w, logbook.ItemStubBatch),
		Operator: w.Operator, Unit: w.Unit, CutOut: w.CutOut != nil, Ever: ever,
		Failed: slices.ContainsFunc(row.Findings, func(f audit.Finding) bool { return f.Severity == audit.Fail && !f.Work }),
	}
}

// said is a value of a weld as it was written, without blanks around it.
func said(w logbook.Weld, key string) string {
	if v, ok := logbook.ValueOf(key); ok {
		return v.Get(w)
	}
	return ""
}

// everOf are the terms by which each weld can be found.
func everOf(entries []logbook.Entry) map[string][]string {
	ever := map[string][]string{}
	for i := range entries {
		if e := &entries[i]; e.Weld != "" {
			ever[e.Weld] = append(ever[e.Weld], recall.Terms(e)...)
		}
	}
	for weld, terms := range ever {
		slices.SortFunc(terms, cmp.Compare[string])
		ever[weld] = slices.Compact(terms)
	}
	return ever
}
