// Package register is the list of joints and welds that goes into the warranty
// file: one list of typed columns that feeds every format. A row a weld in
// weld order, then a row for each joint in which nothing stands and no walk is open,
// then one for each joint that came fused from a works.
package register

import (
	"cmp"
	"slices"
	"strings"

	"coolhold/logbook"
	"coolhold/logbook/ahead"
	"coolhold/logbook/audit"
	"coolhold/logbook/history"
	"coolhold/logbook/plan"
)

// A Row is what the columns look at: a weld, or a joint without one.
type Row struct {
	Site     logbook.Site
	Joint    logbook.Joint
	Weld     logbook.Weld // ID is empty for a joint without a weld
	Shift    logbook.Shift
	Told     []logbook.Trace // all that was said of the weld, in order
	Verdict  audit.Verdict
	Findings []audit.Finding
	Cover    *logbook.Cover // with ground over the joint, and not dug up since; nil for none, and of a weld that is not in it
	Dug      *Dug           // over the joint ground lay, and it was dug up since; nil else
	Tested   string         // the pressure test that holds it, in words; "": none
	Next     string         // the weld made in the same joint after it, or ""
	Factory  *plan.NotOurs  // a joint that came fused from a works; nil for one of ours
	LegPort  int            // of a joint without a weld: the port at which its leg lies, as another piece of it was welded; else as planned
	On       string         // of a joint outside the chambers the pipe that it is on, in words; set in a Report
}

// Rows are all rows of a site, with the verdicts of res.
func Rows(r logbook.Reader, site string, res audit.Result) []Row {
	s, _ := r.Site(site)
	var rows []Row
	for _, w := range r.Welds(site) {
		row := Row{Site: s, Weld: w, Verdict: res.Verdict(w.ID), Findings: res.OfWeld(w.ID)}
		row.Told = told(w)
		row.Joint, _ = r.Joint(site, w.Joint)
		row.Joint = row.Joint.In(w)
		row.Shift, _ = r.Shift(site, w.Shift)
		if row.Cover, row.Dug = under(s, row.Joint); row.Gone() {
			row.Cover, row.Dug = nil, nil
		}
		row.Tested = testedAs(res, row.Joint, w)
		row.Next = after(r, site, row.Joint, w.ID)
		rows = append(rows, row)
	}
	for _, j := range r.Joints(site) {
		if j.Stands == "" && j.Walk == "" {
			cover, dug := under(s, j)
			rows = append(rows, Row{Site: s, Joint: j, Cover: cover, Dug: dug, LegPort: ahead.LegPort(r, j)})
		}
	}
	for _, n := range s.NotOurs() {
		rows = append(rows, Row{Site: s, Joint: logbook.Joint{Joint: n.Joint, Site: site}, Factory: &n})
	}
	return rows
}

// told is the trail of a weld with each line as a person is told it.
func told(w logbook.Weld) []logbook.Trace {
	out := make([]logbook.Trace, len(w.Trail))
	for i, e := range w.Trail {
		out[i] = logbook.TraceOf(e)
		out[i].Line = history.Said(out[i], w.Reviews)
	}
	return out
}

// A Dug is a cover that does not lie over a joint any more, with the digging.
type Dug struct {
	Cover logbook.Cover
	logbook.Event
}

// Gone tells whether a weld is not in its joint: ground over that says nothing of it.
func (r Row) Gone() bool { return r.Weld.CutOut != nil || r.Weld.Abandoned != "" }

// under is the cover that lies over a joint, or that lay there until it was dug up.
func under(s logbook.Site, j logbook.Joint) (*logbook.Cover, *Dug) {
	if c, ok := ahead.Under(s, j); ok {
		return &c, nil
	}
	c, ok := s.CoverOf(ahead.SectionOf(j))
	if !ok || !j.Counts() {
		return nil, nil
	}
	if e := s.DugSince(c, j); e != nil {
		return nil, &Dug{c, *e}
	}
	return nil, nil
}

// after is the next weld in a joint whose walk was not given up.
func after(r logbook.Reader, site string, j logbook.Joint, id string) string {
	i := slices.Index(j.Welds, id)
	if i < 0 {
		return ""
	}
	for _, next := range j.Welds[i+1:] {
		if w, ok := r.Weld(site, next); ok && w.Abandoned == "" {
			return next
		}
	}
	return ""
}

// A ColumnKind says what a column's values are, for formats that have types.
type ColumnKind int

// The kinds of values.
const (
	Text ColumnKind = iota
	Number
	Time
	Date // a day: YYYY-MM-DD where it is one, else as somebody wrote it
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

// Columns is the register, left to right. Each value of a weld that stands in no
// other column gets one behind them.
var Columns = withRest([]Column{
	{"weld", "", Text, func(r Row) Value { return text(r.Weld.ID) }},
	{"joint", "", Text, func(r Row) Value { return text(r.Joint.Label) }},
	{"state", "", Text, state},
	{"chamber", "", Text, func(r Row) Value { return text(r.Joint.Chamber) }},
	{"circuit", "", Number, func(r Row) Value { return positive(r.Joint.Circuit) }},
	{"leg", "", Text, func(r Row) Value { return text(r.Joint.Leg) }},
	{"header", "", Text, header},
	{"port", "", Number, func(r Row) Value { return positive(r.Joint.Port) }},
	{"pipe_od_mm", "mm", Number, func(r Row) Value { return positive(r.Joint.OdMM) }},
	{"pipe_sdr", "", Number, func(r Row) Value { return nonzero(float64(r.Joint.SDR)) }},
	{"position", "", Text, func(r Row) Value { return first(r.Weld.Answered(logbook.ItemPlace), r.Joint.Where) }},
	{"fitting", "", Text, func(r Row) Value { return first(r.Weld.Fitting(), r.Joint.Fitting) }},
	said(logbook.ItemBatch),
	said(logbook.ItemCode),
	said(logbook.ItemPipeBatch),
	said(logbook.ItemStubBatch),
	{"shift", "", Text, func(r Row) Value { return text(r.Weld.Shift) }},
	said(logbook.FieldOperator),
	{"operator_number", "", Text, func(r Row) Value {
		o, _ := r.Shift.Operator(r.Weld.Operator)
		return text(cmp.Or(r.Weld.Answered(logbook.ItemCard), o.Number))
	}},
	{"operator_expiry", "", Date, func(r Row) Value { o, _ := r.Shift.Operator(r.Weld.Operator); return text(o.Expiry) }},
	said(logbook.FieldUnit),
	{"unit_calibrated", "", Date, func(r Row) Value { u, _ := r.Shift.Unit(r.Weld.Unit); return text(u.Calibrated) }},
	{"weather", "", Text, weather},
	{"scraping_method", "", Text, scrapedWith},
	{"preparation", "", Text, preparation},
	said(logbook.FieldAmbient),
	{"band", "°C", Text, settings(func(s *logbook.SettingsKeyed) Value {
		if s.Band == nil {
			return text("outside")
		}
		return s.Band.String()
	})},
	said(logbook.FieldMode),
	{"volts_table", "V", Number, settings(func(s *logbook.SettingsKeyed) Value { return nonzero(s.VoltsTable) })},
	said(logbook.FieldVolts),
	{"seconds_table", "s", Number, settings(func(s *logbook.SettingsKeyed) Value { return positive(s.SecondsTable) })},
	said(logbook.FieldSeconds),
	{"seconds_run", "s", Number, func(r Row) Value { return pointer(firstOf(r.Weld.Run, r.Weld.StoppedAt)) }},
	said(logbook.FieldOhms),
	said(logbook.FieldOutcome),
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
	{"table", "", Text, settings(func(s *logbook.SettingsKeyed) Value {
		return text(strings.TrimSpace(s.Title + " " + s.Table))
	})},
	{"cut_out_at", "", Time, func(r Row) Value {
		if r.Weld.CutOut == nil || r.Weld.CutUnsaid {
			return nil
		}
		return r.Weld.CutOut.Local()
	}},
	{"cut_out_why", "", Text, func(r Row) Value {
		if r.Weld.CutUnsaid {
			return r.Weld.CutWhy + " (when: not stated)"
		}
		return text(r.Weld.CutWhy)
	}},
	{"replaced_by", "", Text, replacedBy},
	{"given_up_why", "", Text, func(r Row) Value { return text(r.Weld.Abandoned) }},
	{"entered_later_why", "", Text, func(r Row) Value { return text(r.Weld.LateWhy) }},
	{"came_by", "", Text, cameBy},
	{"starts_refused", "", Text, func(r Row) Value { return refusals(r) }},
	{"notes", "", Text, notes},
	said(logbook.ItemPrint),
	said(logbook.ItemPort),
	{"looks", "", Text, looks},
	{"corrections", "", Text, corrections},
	{"cut_out_ordered", "", Text, func(r Row) Value { return orders(r.Weld.CutOrders) }},
	{"joint_added_why", "", Text, addedWhy},
	{"recheck_asked", "", Text, func(r Row) Value { return ordered(r.Weld.Recheck) }},
	{"tape", "", Text, func(r Row) Value { return text(r.Joint.Tape) }},
	{"covered", "", Text, coveredBy},
	{"ends", "", Text, ends},
	{"probe", "", Text, func(r Row) Value { return text(r.Joint.Probe) }},
	{"certificate", "", Text, certificate},
	{"zones", "", Text, func(r Row) Value { return text(strings.Join(r.Weld.ZoneLines(), "; ")) }},
	{"set_down_at", "", Time, setDownAt},
	{"stood_min", "min", Number, stoodMin},
	{"scraped_min", "min", Number, scrapedMin},
	{"plan", "", Text, planOf},
	{"log", "", Text, logOf},
	{"pressure_tested", "", Text, pressureTested},
	{"read_back", "", Text, func(r Row) Value { return text(r.Weld.Answered(logbook.ItemBagRead)) }}, // seconds, or that it is as in the table
})

// said is the column of a value of a weld.
func said(key string) Column {
	v, _ := logbook.ValueOf(key)
	c := Column{Name: v.InRegister(), Unit: v.Unit, Cell: func(r Row) Value { return text(v.Shown(r.Weld)) }}
	switch v.Kind {
	case logbook.AsWhole:
		c.Kind, c.Cell = Number, func(r Row) Value { return whole(v.Get(r.Weld)) }
	case logbook.AsDecimal, logbook.AsCelsius:
		c.Kind, c.Cell = Number, func(r Row) Value { return decimal(v.Get(r.Weld)) }
	}
	return c
}

func withRest(columns []Column) []Column {
	for _, v := range logbook.WeldValues {
		if !slices.ContainsFunc(columns, func(c Column) bool { return c.Name == v.InRegister() }) {
			columns = append(columns, said(v.Key))
		}
	}
	return columns
}

// Cell is the value of the column of that name.
func (r Row) Cell(name string) Value {
	i := slices.IndexFunc(Columns, func(c Column) bool { return c.Name == name })
	if i < 0 {
		return nil
	}
	return Columns[i].Cell(r)
}

var words = strings.NewReplacer("_od", " OD", "_sdr", " SDR", "_", " ")

// Label is the column's name in words, with its unit.
func (c Column) Label() string {
	if c.Name == logbook.ItemPipeBatch {
		return logbook.NameOf(c.Name)
	}
	if c.Unit == "" {
		return words.Replace(c.Name)
	}
	name := strings.TrimSuffix(strings.TrimSuffix(c.Name, "_"+strings.ToLower(c.Unit)), "_c")
	return words.Replace(name) + ", " + c.Unit
}

// Part is the part of the site in which the joint of a row is covered; "" without a joint.
func (r Row) Part() string {
	if r.Joint.Label == "" {
		return ""
	}
	return ahead.SectionOf(r.Joint)
}
