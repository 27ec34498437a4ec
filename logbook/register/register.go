// Package register is the list of joints and welds that goes into the warranty
// file: one list of typed columns that feeds every format. A row a weld in
// weld order, then a row for each joint in which nothing stands.
package register

import (
	"fmt"
	"strings"
	"time"

	"coolhold/fusion"
	"coolhold/logbook"
	"coolhold/logbook/audit"
)

// A Row is what the columns look at: a weld, or a joint without one.
type Row struct {
	Site     logbook.Site
	Joint    logbook.Joint
	Weld     logbook.Weld // ID is empty for a joint without a weld
	Shift    logbook.Shift
	Verdict  audit.Verdict
	Findings []audit.Finding
}

// Rows are all rows of a site, with the verdicts of res.
func Rows(r logbook.Reader, site string, res audit.Result) []Row {
	s, _ := r.Site(site)
	var rows []Row
	for _, w := range r.Welds(site) {
		row := Row{Site: s, Weld: w, Verdict: res.Verdict(w.ID), Findings: res.OfWeld(w.ID)}
		row.Joint, _ = r.Joint(site, w.Joint)
		row.Shift, _ = r.Shift(site, w.Shift)
		rows = append(rows, row)
	}
	for _, j := range r.Joints(site) {
		if j.Stands == "" && j.Walk == "" {
			rows = append(rows, Row{Site: s, Joint: j})
		}
	}
	return rows
}

// A ColumnKind says what a column's values are, for formats that have types.
type ColumnKind int

// The kinds of values.
const (
	Text ColumnKind = iota
	Number
	Time
)

// A Value is one cell: nil, string, float64, int or time.Time.
type Value any

// A Column is one named, typed column. Its name carries its unit.
type Column struct {
	Name string
	Unit string // "" where it has none
	Kind ColumnKind
	Cell func(Row) Value
}

// Columns is the register, left to right.
var Columns = []Column{
	{"weld", "", Text, func(r Row) Value { return text(r.Weld.ID) }},
	{"joint", "", Text, func(r Row) Value { return text(r.Joint.Label) }},
	{"state", "", Text, state},
	{"chamber", "", Text, func(r Row) Value { return text(r.Joint.Chamber) }},
	{"circuit", "", Number, func(r Row) Value { return positive(r.Joint.Circuit) }},
	{"leg", "", Text, func(r Row) Value { return text(r.Joint.Leg) }},
	{"header", "", Text, header},
	{"port", "", Number, func(r Row) Value { return positive(r.Joint.Port) }},
	{"pipe_od_mm", "mm", Number, func(r Row) Value { return positive(r.Joint.OdMM) }},
	{"pipe_sdr", "", Number, func(r Row) Value { return positive(r.Joint.SDR) }},
	{"position", "", Text, func(r Row) Value { return first(r.Weld.Answers[logbook.ItemPlace].V, r.Joint.Where) }},
	{"fitting", "", Text, func(r Row) Value { return first(r.Weld.Fitting(), r.Joint.Fitting) }},
	{"fitting_batch", "", Text, answer(logbook.ItemBatch)},
	{"fitting_code", "", Text, answer(logbook.ItemCode)},
	{"coil_batch", "", Text, answer(logbook.ItemPipeBatch)},
	{"stub_batch", "", Text, answer(logbook.ItemStubBatch)},
	{"shift", "", Text, func(r Row) Value { return text(r.Weld.Shift) }},
	{"operator", "", Text, func(r Row) Value { return text(r.Weld.Operator) }},
	{"operator_number", "", Text, func(r Row) Value { o, _ := r.Shift.Operator(r.Weld.Operator); return text(o.Number) }},
	{"operator_expiry", "", Text, func(r Row) Value { o, _ := r.Shift.Operator(r.Weld.Operator); return text(o.Expiry) }},
	{"unit", "", Text, func(r Row) Value { return text(r.Weld.Unit) }},
	{"unit_calibrated", "", Text, func(r Row) Value { u, _ := r.Shift.Unit(r.Weld.Unit); return text(u.Calibrated) }},
	{"weather", "", Text, weather},
	{"scraping_method", "", Text, answer(logbook.ItemMethod)},
	{"preparation", "", Text, preparation},
	{"ambient_c", "°C", Number, ambient},
	{"band", "°C", Text, settings(func(s *logbook.SettingsKeyed) Value {
		if s.Band == nil {
			return text("outside")
		}
		return s.Band.String()
	})},
	{"time_from", "", Text, settings(func(s *logbook.SettingsKeyed) Value { return text(s.Mode) })},
	{"volts_table", "V", Number, settings(func(s *logbook.SettingsKeyed) Value { return nonzero(s.VoltsTable) })},
	{"volts_set", "V", Number, settings(func(s *logbook.SettingsKeyed) Value { return pointer(s.VoltsShown) })},
	{"seconds_table", "s", Number, settings(func(s *logbook.SettingsKeyed) Value { return positive(s.SecondsTable) })},
	{"seconds_set", "s", Number, settings(func(s *logbook.SettingsKeyed) Value { return positive(s.SecondsShown) })},
	{"seconds_run", "s", Number, func(r Row) Value { return pointer(firstOf(r.Weld.Run, r.Weld.StoppedAt)) }},
	{"ohms", "Ω", Number, func(r Row) Value {
		if r.Weld.Ohms == nil {
			return nil
		}
		return pointer(r.Weld.Ohms.Ohms)
	}},
	{"outcome", "", Text, func(r Row) Value { return text(r.Weld.Outcome) }},
	{"fused_at", "", Time, func(r Row) Value { return moment(r.Weld.FusedAt()) }},
	{"cooling_min", "min", Number, settings(func(s *logbook.SettingsKeyed) Value { return positive(s.CoolingMin) })},
	{"hold_until", "", Time, func(r Row) Value { return moment(r.Weld.HoldUntil()) }},
	{"released_at", "", Time, released},
	{"disturbed", "", Text, func(r Row) Value {
		if r.Weld.Disturbed == nil {
			return nil
		}
		return r.Weld.Disturbed.Line()
	}},
	{"indicators", "", Text, indicators},
	{"entered", "", Text, entered},
	{"verdict", "", Text, func(r Row) Value { return text(string(r.Verdict)) }},
	{"findings", "", Text, findings},
}

func text(s string) Value {
	if s == "" {
		return nil
	}
	return s
}

func first(texts ...string) Value {
	for _, s := range texts {
		if s != "" {
			return s
		}
	}
	return nil
}

func positive(n int) Value {
	if n <= 0 {
		return nil
	}
	return n
}

func nonzero(f float64) Value {
	if f == 0 {
		return nil
	}
	return f
}

func pointer[T any](p *T) Value {
	if p == nil {
		return nil
	}
	return *p
}

func firstOf[T any](ps ...*T) *T {
	for _, p := range ps {
		if p != nil {
			return p
		}
	}
	return nil
}

func moment(t time.Time, ok bool) Value {
	if !ok {
		return nil
	}
	return t
}

func answer(item string) func(Row) Value {
	return func(r Row) Value { return text(r.Weld.Answers[item].V) }
}

func settings(cell func(*logbook.SettingsKeyed) Value) func(Row) Value {
	return func(r Row) Value {
		if r.Weld.Settings == nil {
			return nil
		}
		return cell(r.Weld.Settings)
	}
}

// state says what the row is: the weld stands, was cut out, was given up; or a
// joint is open, struck off or split.
func state(r Row) Value {
	switch {
	case r.Weld.ID != "" && r.Weld.CutOut != nil:
		return "cut out"
	case r.Weld.ID != "" && r.Weld.Abandoned != "":
		return "given up"
	case r.Weld.ID != "" && r.Weld.Walking():
		return "in the walk"
	case r.Weld.ID != "":
		return "stands"
	case r.Joint.Struck != "":
		return "struck off: " + r.Joint.Struck
	case len(r.Joint.Split) > 0:
		return "split into " + strings.Join(r.Joint.Split, " and ")
	}
	return "no weld"
}

// entered says how a weld came into the log; of one from paper also by whom
// and when.
func entered(r Row) Value {
	switch {
	case r.Weld.ID == "":
		return nil
	case r.Weld.Paper != nil:
		return fmt.Sprintf("transcribed from paper by %s, %s", r.Weld.LateBy, lateAt(r.Weld))
	case r.Weld.LateWhy != "":
		return "later"
	}
	return "in the walk"
}

// lateAt is when a weld was entered later, local time.
func lateAt(w logbook.Weld) string {
	for _, t := range w.Trail {
		if t.Kind == (logbook.EnteredLater{}).Kind() {
			return t.At
		}
	}
	return ""
}

// header is the header's way in full: the bare word for it means both ways in
// this trade.
func header(r Row) Value {
	switch r.Joint.Way {
	case "FG":
		return "from ground"
	case "TG":
		return "to ground"
	}
	return nil
}

func weather(r Row) Value {
	if r.Weld.Started == nil || r.Weld.LateWhy != "" || r.Shift.ID == "" {
		return nil
	}
	return r.Shift.WeatherAt(*r.Weld.Started).String()
}

func preparation(r Row) Value {
	var parts []string
	done := 0
	for _, p := range logbook.PrepItems {
		a := r.Weld.Answers[p.Item]
		switch a.V {
		case logbook.Done:
			done++
		case "":
		default:
			parts = append(parts, strings.TrimSpace(fmt.Sprintf("%s: %s %s", p.Item, a.V, a.Why)))
		}
	}
	if done == len(logbook.PrepItems) {
		return "all done"
	}
	if done > 0 {
		parts = append(parts, fmt.Sprintf("%d of %d done", done, len(logbook.PrepItems)))
	}
	return text(strings.Join(parts, "; "))
}

func ambient(r Row) Value {
	if r.Weld.Ambient == nil {
		return nil
	}
	return celsius(r.Weld.Ambient.C)
}

func celsius(c fusion.Celsius) float64 { return float64(c) / 100 }

func released(r Row) Value {
	switch {
	case r.Weld.ReleasedStated != nil:
		return *r.Weld.ReleasedStated
	case r.Weld.Released != nil:
		return r.Weld.Released.Local()
	}
	return nil
}

// indicators are those of the last look, side by side, and the worst before it
// where it was worse.
func indicators(r Row) Value {
	if len(r.Weld.Looks) == 0 {
		return nil
	}
	var looks []string
	for _, l := range r.Weld.Looks {
		line := strings.Join(l.Indicators, " ")
		if line != "" && (len(looks) == 0 || looks[len(looks)-1] != line) {
			looks = append(looks, line)
		}
	}
	return text(strings.Join(looks, "; then "))
}

func findings(r Row) Value {
	var parts []string
	for _, f := range r.Findings {
		line := f.Severity.String() + " " + f.Rule
		if f.Accepted != nil {
			line += " (accepted by " + f.Accepted.By + ": " + f.Accepted.Why + ")"
		}
		parts = append(parts, line)
	}
	return text(strings.Join(parts, "; "))
}
