package register

import (
	"fmt"
	"slices"
	"time"

	"coolhold/logbook/audit"
)

// headings are the columns as a person is told them, where the name made plain does not do.
var headings = map[string]string{
	"weld": "weld", "joint": "joint", "state": "what stands in the joint", "port": "port in the plan", "port_welded": "port welded to",
	"pipe_od_mm": "pipe, outside diameter, mm", "pipe_sdr": "pipe, SDR", "position": "where it lies", "fitting_batch": "batch of the fitting", "fitting_code": "code scanned off the fitting",
	"coil_batch": "batch of the coil or pipe", "stub_batch": "batch of the stub", "operator": "welded by", "operator_number": "welder's card, number", "operator_expiry": "welder's card, valid until",
	"unit": "control unit", "unit_calibrated": "control unit calibrated on", "scraping_method": "scraped with", "ambient_c": "temperature on site, °C", "band": "row of the fusion table, °C",
	"time_from": "fusion time came from", "volts_table": "voltage in the fusion table, V", "volts_set": "voltage set, V", "seconds_table": "fusion time in the fusion table, s", "seconds_set": "fusion time set, s",
	"seconds_run": "fusion time run, s", "ohms": "resistance read, Ω", "outcome": "how the fusion ended", "fused_at": "fusion started", "cooling_min": "cooling time, min", "hold_until": "not to be moved until",
	"released_at": "released", "disturbed": "moved too early", "entered": "how it was entered", "verdict": "what the record shows", "findings": "what the rules find, short", "table": "fusion table",
	"cut_out_at": "cut out", "cut_out_why": "why it was cut out", "replaced_by": "replaced by", "given_up_why": "why it was given up", "entered_later_why": "why it was entered later", "came_by": "how each value came",
	"starts_refused": "starts that the unit refused", "print": "print on the pipe", "looks": "each look at it", "corrections": "each correction", "cut_out_ordered": "orders to cut it out", "joint_added_why": "why the joint was added",
	"recheck_asked": "another look that was asked for", "tape": "colour of the tape", "covered": "covered with ground", "ends": "what meets here", "set_down_at": "set down prepared", "stood_min": "stood prepared, min",
	"scraped_min": "scraped before the current, min", "log": "log that it comes from", "pressure_tested": "pressure test that holds it", "read_back": "sheet of paper: seconds that the bag prints",
	"pipe_mark": "sheet of paper: mark on the pipe", "signed": "sheet of paper: who signed it",
}

// Devices are the control units with all days on which they are known to be used: those of the
// shifts, and those of the welds that name them. A shift may go on for more than its day, and of
// a weld from paper there is none.
func (rep Report) Devices() []Device {
	out := slices.Clone(rep.Units)
	for _, row := range rep.Rows {
		if row.Weld.ID == "" || row.Weld.Unit == "" {
			continue
		}
		on, unit := row.When().Format(time.DateOnly), row.Weld.Unit
		of := func(d Device) bool { return d.Serial == unit }
		known, onShift := row.Shift.Unit(unit)
		i := slices.IndexFunc(out, func(d Device) bool { return of(d) && onShift && d.Unit == known })
		loose := i < 0
		if loose {
			i = slices.IndexFunc(out, of)
		}
		if i < 0 || slices.ContainsFunc(out, func(d Device) bool { return of(d) && (loose || d.Unit == known) && slices.Contains(d.Days, on) }) {
			continue
		}
		out[i].Days = append(slices.Clone(out[i].Days), on)
		slices.Sort(out[i].Days)
		if !loose {
			out[i].still = out[i].still.with(on, row.Shift.Day)
		}
		if loose && !out[i].OffShift {
			out[i].loose = append(slices.Clone(out[i].loose), on)
		}
	}
	return out
}

// Heading is the column for a person who never saw its name: what stands over it in the
// workbook.
func (c Column) Heading() string {
	if h, is := headings[c.Name]; is {
		return h
	}
	return c.Label()
}

// CoveredOn is when ground was laid on the joint of a row: the day that was stated, else the
// moment in which that was said; where it was dug up since, that and when; nil where none ever
// lay on it.
func (r Row) CoveredOn() Value {
	switch {
	case r.Dug != nil:
		return "dug up since, on " + r.Dug.On
	case r.Cover == nil:
		return nil
	case r.Cover.On != "":
		return r.Cover.On
	}
	return r.Cover.At.Local()
}

// CameIn is when a weld was entered that was not logged as it was made; nil for others.
func (r Row) CameIn() Value {
	t, err := time.Parse(time.RFC3339, lateAt(r.Weld))
	if err != nil {
		return nil
	}
	return t
}

// TestedOn is the day of the pressure test that holds it; nil where none does.
func (rep Report) TestedOn(r Row) Value {
	for _, t := range slices.Backward(rep.Tests) {
		if r.Tested != "" && len(r.Tested) > len(t.ID) && r.Tested[:len(t.ID)+1] == t.ID+" " {
			return t.When().Local()
		}
	}
	return nil
}

// What is said of a weld that is sealed, and of one in a log without a seal.
const wholeSealed, noSeal = "sealed whole", "no seal"

// BehindSeal says of a weld what of it the last seal does not cover. Of several logs read
// together it says nothing: each has a seal of its own.
func (rep Report) BehindSeal(r Row) string {
	if len(rep.Logs) != 1 || r.Weld.ID == "" {
		return ""
	}
	seal := rep.Logs[0].Seal
	if seal == nil {
		return noSeal
	}
	n := 0
	for _, e := range r.Told {
		if e.Seq > uint64(seal.Entries) {
			n++
		}
	}
	switch n {
	case 0:
		return wholeSealed
	case len(r.Told):
		return "all of it is after the seal"
	}
	return fmt.Sprintf("%d of its %d entries are after the seal", n, len(r.Told))
}

// AfterSeal names the welds of which anything was entered after the last seal.
func (rep Report) AfterSeal() string {
	var out []string
	for _, row := range rep.Rows {
		if s := rep.BehindSeal(row); s != "" && s != wholeSealed && s != noSeal {
			out = append(out, row.Weld.ID)
		}
	}
	return audit.Runs(out)
}
