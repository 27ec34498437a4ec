package account

import (
	"cmp"
	"fmt"
	"strings"

	"coolhold/fusion"
	"coolhold/logbook"
	"coolhold/logbook/audit"
	"coolhold/logbook/register"
)

// batches are a line for each batch of fittings, of coils and pipes, and of stubs: who is told
// that a batch is bad finds its welds here.
func (m maker) batches() Chapter {
	c := Chapter{ID: "batches", Title: "Batches"}
	over := ""
	for _, u := range m.rep.Batches() {
		if u.OfPipes() && u.LengthM == 0 && len(u.Shared) == 0 {
			continue // there are no such pipes
		}
		it := Item{Head: logbook.Joined(", ", batchOf(u), cmp.Or(u.Batch, "no batch recorded")), Says: batchSays(u)}
		if u.OfPipes() {
			it.Head = u.Batch
		}
		if kind := titled(u.Kind()); kind != over {
			over, it.Over = kind, kind
		}
		c.Items = append(c.Items, it)
	}
	if len(c.Items) == 0 {
		c.Intro = []string{"No weld that is listed names a batch. " + none}
		return c
	}
	if m.rep.Filtered() {
		c.Intro = []string{"Of the welds that are listed; metres of a coil are told only where all are."}
	}
	return c
}

// batchOf is the fitting, or the sizes of the pipes, of a batch.
func batchOf(u register.BatchUse) string { return strings.Join(u.Of, " and ") }

// batchSays is a batch in one line.
func batchSays(u register.BatchUse) string {
	metres := ""
	if u.LengthM > 0 {
		metres = fusion.Figure(u.LengthM) + " m of pipe"
	}
	if u.OfPipes() {
		return stop(logbook.Joined("; ", metres, strings.Join(u.Shared, "; ")))
	}
	welds := ""
	if len(u.Welds) > 0 {
		welds = logbook.Count(len(u.Welds), "weld") + " (" + audit.AllRuns(u.Welds) + ") on " + strings.Join(u.Days, ", ")
	}
	return stop(logbook.Joined("; ", cmp.Or(welds, "no weld that was fused"), prefixed("failed: ", audit.AllRuns(u.Failed)), prefixed("cut out: ", audit.AllRuns(u.CutOut)),
		prefixed("bag not read against the table: ", audit.AllRuns(u.BagNot)), prefixed("given up or being made: ", audit.AllRuns(u.Unused)), prefixed("named until it was corrected: ", audit.AllRuns(u.Before)),
		prefixed("also written ", strings.Join(u.Written, ", ")), metres, prefixed("of its pipes: ", strings.Join(u.Shared, "; "))))
}

// fromPaper are the welds that were taken in from paper, by whom and when.
func (m maker) fromPaper() []Item {
	var order []string
	at := map[string][]string{}
	for _, row := range m.rep.Rows {
		if row.Weld.Paper == nil {
			continue
		}
		said := "typed in by " + m.whoIs(row.Weld.LateBy)
		for _, e := range row.Told {
			if e.Kind == (logbook.EnteredLater{}).Kind() {
				said += ", " + stated(e.At)
				break
			}
		}
		if at[said] == nil {
			order = append(order, said)
		}
		at[said] = append(at[said], row.Weld.ID)
	}
	for i, said := range order {
		order[i] = fmt.Sprintf("%s: %s", audit.AllRuns(at[said]), said)
	}
	if len(order) == 0 {
		return nil
	}
	return []Item{{Head: "From paper", Says: strings.Join(order, "; ") + "."}}
}
