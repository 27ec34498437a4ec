package account

import (
	"cmp"
	"slices"
	"strings"
	"time"

	"coolhold/logbook"
	"coolhold/logbook/audit"
	"coolhold/logbook/register"
)

// What of a weld or a joint nobody recorded stands among its sentences, not only where a
// reader must unfold something to find it.

type soughtFor struct{ column, name string }

// sought are the columns that a reader looks for of each fused weld, with their names.
var sought = []soughtFor{
	{"fitting_batch", "batch of the fitting"}, {logbook.ItemPipeBatch, "batch of the coil or pipe"}, {"stub_batch", "batch of the stub"},
	{"operator_number", "number of the operator's qualification"}, {"operator_expiry", "end of the operator's qualification"}, {"unit_calibrated", "last calibration of the control unit"},
	{"weather", "weather"}, {"scraping_method", "how it was scraped"}, {"preparation", "preparation"}, {logbook.FieldAmbient, "temperature on site"},
	{logbook.FieldSeconds, "fusion time set"}, {logbook.FieldVolts, "voltage set"}, {"seconds_run", "how long the unit ran"}, {logbook.FieldOhms, "resistance"}, {"indicators", "indicators"},
}

// notRecorded names what is not recorded of a fused weld that is in its joint.
func (m maker) notRecorded(row register.Row) string {
	not := m.unrecorded(row)
	says := slices.Clone(not)
	for i, name := range not { // why, once behind those of one reason
		if why := m.whyOfShift(row, name); why != "" && (i+1 == len(not) || m.whyOfShift(row, not[i+1]) != why) {
			says[i] += " (" + why + ")"
		}
	}
	return headed("Not recorded: ", ", ", strings.Join(says, ", "))
}

// whyOfShift is why something that a shift states is not stated of a weld; "" of what no shift
// states.
func (m maker) whyOfShift(row register.Row, name string) string {
	i := slices.IndexFunc(sought, func(k soughtFor) bool { return k.name == name && slices.Contains(ofShift, k.column) })
	if i < 0 {
		return ""
	}
	_, named := row.Shift.Operator(row.Weld.Operator)
	if sought[i].column == "unit_calibrated" {
		_, named = row.Shift.Unit(row.Weld.Unit)
	}
	if named {
		return "blank on the shift"
	}
	day := onDay(row)
	return strings.Replace(m.rep.WhyUnstated(day), "shift", "shift of "+day, 1)
}

// ofShift are those that a shift states, which are told by the day.
var ofShift = []string{"operator_number", "operator_expiry", "unit_calibrated"}

// unrecordedByKind are the same of all welds together: by what is not recorded, the welds.
func (m maker) unrecordedByKind() (out []Item) {
	var order []string
	welds := map[string][]string{}
	for _, row := range m.rep.Rows {
		for _, not := range m.unrecorded(row) {
			if slices.ContainsFunc(sought, func(k soughtFor) bool { return k.name == not && slices.Contains(ofShift, k.column) }) {
				continue
			}
			if welds[not] == nil {
				order = append(order, not)
			}
			welds[not] = append(welds[not], row.Weld.ID)
		}
	}
	at := func(name string) int {
		return slices.IndexFunc(sought, func(k soughtFor) bool { return k.name == name })
	}
	slices.SortStableFunc(order, func(a, b string) int { return cmp.Compare(uint(at(a)), uint(at(b))) }) // what is no column comes last
	for _, not := range order {
		out = append(out, Item{Head: titled(not), Says: "not recorded of " + logbook.Count(len(welds[not]), "weld") + ": " + audit.AllRuns(welds[not]) + "."})
	}
	return out
}

// unrecorded is what is not recorded of a fused weld that is in its joint.
func (m maker) unrecorded(row register.Row) (not []string) {
	w := row.Weld
	if !w.Stands() {
		return nil
	}
	for _, k := range sought {
		name := k.column
		if v, known := logbook.ValueOf(name); known {
			name = v.InRegister()
		}
		if row.Cell(name) == nil && (k.column != logbook.FieldVolts || w.Settings == nil || w.Settings.Compared()) {
			not = append(not, k.name)
		}
	}
	if w.Holding() && m.unended(w.ID) != "" {
		not = append(not, "its release")
	}
	if w.Released != nil && w.Day() < m.rep.AsOf.Format(time.DateOnly) && !slices.ContainsFunc(w.Looks, func(l logbook.Seen) bool { return l.When == logbook.LookRound || l.When == logbook.LookAgain }) {
		not = append(not, "an end-of-shift check of it")
	}
	return not
}

// madeHere is what was made in a joint without a weld and is not in it any more, and what is to
// be done there by whom.
func (m maker) madeHere(row register.Row) (out []string) {
	if row.Factory != nil {
		return nil
	}
	for _, id := range row.Joint.Welds {
		if i, is := m.rowAt[id]; is {
			out = append(out, "Weld "+id+" was made here and is not in the joint: "+stop(gone(m.rep.Rows[i])))
		}
	}
	for _, f := range m.opens.At(row) {
		out = append(out, "To be done, by "+m.actor(m.mustActOn(f))+": "+stop(plainly(m.do(audit.Group{Findings: []audit.Finding{f}}))))
	}
	return out
}

// gone is how a weld left its joint.
func gone(row register.Row) string {
	switch w := row.Weld; {
	case w.CutOut != nil:
		return logbook.Joined(": ", logbook.Joined(" ", "cut out", timed(row.Cell("cut_out_at"))), register.Plain(row.Cell("cut_out_why")))
	case w.Abandoned != "":
		return "given up: " + w.Abandoned
	}
	return register.Plain(row.Cell("state"))
}
