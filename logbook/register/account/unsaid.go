package account

import (
	"slices"
	"strings"
	"time"

	"coolhold/logbook"
	"coolhold/logbook/register"
)

// What of a weld or a joint nobody recorded stands among its sentences, not only where a
// reader must unfold something to find it.

// sought are the columns that a reader looks for of each fused weld, with their names.
var sought = []struct{ column, name string }{
	{"fitting_batch", "batch of the fitting"}, {logbook.ItemPipeBatch, "batch of the coil or pipe"}, {"stub_batch", "batch of the stub"},
	{"operator_number", "number of the operator's qualification"}, {"operator_expiry", "end of the operator's qualification"}, {"unit_calibrated", "last calibration of the control unit"},
	{"weather", "weather"}, {"scraping_method", "how it was scraped"}, {"preparation", "preparation"}, {logbook.FieldAmbient, "temperature on site"},
	{logbook.FieldSeconds, "fusion time set"}, {logbook.FieldVolts, "voltage set"}, {"seconds_run", "how long the unit ran"}, {logbook.FieldOhms, "resistance"}, {"indicators", "indicators"},
}

// notRecorded names what is not recorded of a fused weld that is in its joint.
func (m maker) notRecorded(row register.Row) string {
	w := row.Weld
	if !w.Stands() {
		return ""
	}
	var not []string
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
	return headed("Not recorded: ", ", ", strings.Join(not, ", "))
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
		out = append(out, "To be done, by "+m.actor(f.Actor())+": "+stop(plainly(f.Do)))
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
