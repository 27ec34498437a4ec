package account

import (
	"cmp"
	"fmt"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"time"

	"coolhold/logbook"
	"coolhold/logbook/audit"
	"coolhold/logbook/register"
)

// anchors are the places that can be led to: by row, by weld, and by joint with what stands
// in it now.
type anchors struct {
	row         []string
	weld, joint map[string]string
}

// anchorsOf names every row once, whatever was typed and however often it is listed.
func anchorsOf(rep register.Report) anchors {
	a := anchors{weld: map[string]string{}, joint: map[string]string{}}
	used := map[string]int{}
	for _, row := range rep.Rows {
		name := "joint-" + fit(row.Joint.Label)
		if row.Weld.ID != "" {
			name = "weld-" + fit(row.Weld.ID)
		}
		name = once(used, name)
		a.row = append(a.row, name)
		if _, had := a.weld[row.Weld.ID]; !had && row.Weld.ID != "" {
			a.weld[row.Weld.ID] = name
		}
		if row.Weld.ID == "" {
			a.joint[row.Joint.Label] = name
		}
	}
	for _, p := range rep.Joints {
		if at, is := a.weld[p.Weld]; is {
			a.joint[p.Label] = at
		}
	}
	return a
}

// once is a name that no place has yet; none of ours holds the sign before its number.
func once(used map[string]int, name string) string {
	if used[name]++; used[name] > 1 {
		name += "_" + strconv.Itoa(used[name])
	}
	return name
}

// fit is a text as it may stand in an anchor: what may not is written as its number, so that
// two that differ stay two. The sign of a number stands for nothing else.
func fit(s string) string {
	var out strings.Builder
	for _, c := range s {
		if c >= 'a' && c <= 'z' || c >= 'A' && c <= 'Z' || c >= '0' && c <= '9' || c == '-' || c == '.' {
			out.WriteRune(c)
			continue
		}
		fmt.Fprintf(&out, "~%x~", c)
	}
	return out.String()
}

// A Weld is one row of the register as a section.
type Weld struct {
	ID, Title, Tone string
	Lead            []string
	Found           []Found
	Pairs           []Pair
	Told            []Said
	Unasked         bool // a correction took something away, and nobody is asked about it
}

// A Found is what a rule found.
type Found struct {
	Word, Says, Do, Basis, Answer string
	Open                          bool   // somebody must still do something about it
	By                            string // who, where what to do does not say it: ", by the crew"
}

// A Said is one entry of what was said.
type Said struct{ At, By, Line string }

func (m maker) welds(step func(done, of int)) (out []Weld) {
	files := map[string][]string{}
	for _, e := range m.rep.Site.Enclosed {
		if e.Weld != "" {
			files[e.Weld] = append(files[e.Weld], logbook.Joined(": ", e.File, e.What))
		}
	}
	for i, row := range m.rep.Rows {
		w := Weld{ID: m.anchors.row[i], Tone: tone(row), Title: "Joint " + row.Joint.Label + ": " + m.shown(row)}
		if row.Weld.ID != "" {
			w.Title = fmt.Sprintf("Joint %s, weld %s: %s", row.Joint.Label, row.Weld.ID, m.shown(row))
		}
		w.Lead, w.Found, w.Pairs = m.lead(row), m.found(row), pairs(row)
		w.Unasked = slices.ContainsFunc(m.did[row.Weld.ID], func(r audit.Removal) bool { return unasked(r, row) })
		if of := files[row.Weld.ID]; len(of) > 0 {
			w.Pairs = append(w.Pairs, Pair{"photos and files", of})
		}
		for _, e := range row.Told {
			if row.Weld.Paper != nil && e.Kind == (logbook.EnteredLater{}).Kind() {
				e.Line = register.OnSheet(e.Line)
			}
			if e.Kind != (logbook.Note{}).Kind() { // whose words are a person's
				e.Line = plainly(e.Line)
			}
			w.Told = append(w.Told, Said{at(e.At), e.By, e.Line})
		}
		if out = append(out, w); step != nil {
			step(i+1, len(m.rep.Rows))
		}
	}
	return out
}

// at is the time of an entry, to the second and with its offset.
func at(said string) string {
	t, err := time.Parse(time.RFC3339, said)
	if err != nil {
		return said
	}
	return t.Format(second)
}

// lead tells a row in sentences: what the record shows, where it is, how it was made ready,
// what was set and done when.
func (m maker) lead(row register.Row) []string {
	out := append([]string{m.verdictSays(row), stop(titled(logbook.Joined(", ", movedFrom(row), where(row))))}, m.conflictsAt(row)...)
	if row.Weld.ID != "" {
		out = append(out, partsSays(row), preparedSays(row), setSays(row), m.printOf(row), m.fusedSays(row), m.endSays(row), m.waitSays(row), headed("Noted of it: ", "", value(row, "notes", "%s")), m.notRecorded(row), beforeSays(row))
	} else {
		out = append(out, m.madeHere(row)...)
	}
	if row.Cover != nil {
		over := "Ground lies over it: " + value(row, "covered", "%s")
		if offset := row.Cover.When("-07:00"); strings.ContainsAny(offset[:1], "+-") { // else only a day was stated
			over += " (UTC " + offset + ")"
		}
		out = append(out, stop(over))
	}
	out = append(out, m.corrected(row)...)
	out = append(out, m.happenedTo(row)...)
	if row.Tested != "" {
		out = append(out, stop("Pressure test: "+row.Tested))
	}
	return slices.DeleteFunc(out, func(s string) bool { return s == "" })
}

// value is what a column shows with words around it, and what it was before it was
// corrected; "" where neither is.
func value(row register.Row, column, format string) string { return row.Worded(column, format, timed) }

// headed is a sentence of parts under one word, "" where there are none.
func headed(head, sep string, parts ...string) string {
	if said := logbook.Joined(sep, parts...); said != "" {
		return stop(head + said)
	}
	return ""
}

func partsSays(row register.Row) string {
	return headed("Fitting: ", "; ", logbook.Joined(", ", value(row, "fitting", "%s"), value(row, "fitting_batch", "batch %s"), value(row, "fitting_code", "code %s")),
		value(row, "coil_batch", "batch of the coil or pipe: %s"), value(row, "stub_batch", "batch of the stub: %s"))
}

func preparedSays(row register.Row) string {
	return headed("Prepared: ", "; ", value(row, "preparation", "%s"), logbook.Joined(", ", value(row, "scraping_method", "scraped with %s"), value(row, "scraped_min", "%s min before the current")),
		logbook.Joined(", ", value(row, "set_down_at", "set down %s"), value(row, "stood_min", "stood %s min")), value(row, "weather", "weather %s"))
}

// setSays is what the fitting's table has, what was set and what ran.
func setSays(row register.Row) string {
	table := logbook.Joined(", ", value(row, "seconds_table", "%s s"), value(row, "volts_table", "%s V"), value(row, "band", "row %s"))
	set := headed("Set: ", "; ", logbook.Joined(", ", value(row, "seconds_set", "%s s"), value(row, "volts_set", "%s V"), value(row, "time_from", "%s")), prefixed("the fitting's table: ", table),
		logbook.Joined(", ", value(row, "ambient_c", "%s °C on site"), countsAs(row)), value(row, "seconds_run", "ran %s s"), value(row, "ohms", "resistance %s Ω"))
	if w := row.Weld; set == "" || w.Abandoned == "" || row.Cell("seconds_run") != nil || row.Cell("seconds_set") == nil {
		return set
	} else if w.HeatPossible() {
		return set + " It is not known whether it ran."
	}
	return set + " It never ran."
}

// countsAs is which whole degree a temperature counts as that is none itself.
func countsAs(row register.Row) string {
	a := row.Weld.Ambient
	if a == nil || a.C%100 == 0 {
		return ""
	}
	return fmt.Sprintf("which counts as %d °C", a.C.Degree())
}

func (m maker) verdictSays(row register.Row) string {
	if row.Factory != nil {
		return stop("It came fused from a works and is not a weld of this crew: " + row.Factory.Says())
	}
	if row.Weld.ID == "" {
		if state := register.Plain(row.Cell("state")); state != register.NoWeld {
			return stop("No weld stands in this joint: " + state)
		}
		return "No weld stands in this joint."
	}
	state := register.Plain(row.Cell("state"))
	if state == "stands" {
		state = "it stands in its joint"
	}
	means := register.Means[row.Verdict]
	if why := m.incomplete(row); why != "" {
		if means = "the record is not complete: " + why; row.Weld.Walking() {
			return stop(titled(string(row.Verdict)) + ": " + means)
		}
	}
	return stop(titled(string(row.Verdict))+": "+means) + " " + stop(titled(state))
}

// movedFrom says of a weld whose joint was corrected of which it was recorded first.
func movedFrom(row register.Row) string {
	if was := row.Was("joint"); was != "" {
		return "joint " + row.Joint.Label + " (" + was + ")"
	}
	return ""
}

// where is a joint in words, of one outside the chambers with the pipe that it is on.
func where(row register.Row) string {
	v := func(name, format string) string { return value(row, name, format) }
	at := logbook.Joined(", ", v("chamber", "chamber %s"), v("circuit", "circuit %s"), v("leg", "leg %s"), v("header", "header %s"), row.On, Port(row), v("probe", "probe %s"), v("position", "%s"),
		cmp.Or(v("ends", "%s"), logbook.Joined(" ", v("pipe_od_mm", "pipe %s mm"), v("pipe_sdr", "SDR %s"))))
	if row.Weld.ID == "" {
		return logbook.Joined(", ", at, v("fitting", "%s"))
	}
	return at
}

// Port is the port that a joint was welded to, with the plan's where that is another: who
// looks for the joint must not be sent to the wrong pipe. What was said there before it was
// corrected stands beside it. A joint outside the chambers has none: one that was said was said
// of the joint for which the weld was entered.
func Port(row register.Row) string {
	plan, made := register.Plain(row.Cell("port")), register.Plain(row.Cell("port_welded"))
	if row.Joint.Chamber == "" && row.Weld.ID != "" {
		first := row.Corrected("joint")
		switch {
		case made == "":
			return ""
		case len(first) == 0:
			return "port " + made + " was said as it was entered, and it lies in no chamber"
		}
		return "port " + made + " was said of " + first[0].Before() + ", for which it was entered"
	}
	if row.LegPort > 0 && strconv.Itoa(row.LegPort) != plan {
		return fmt.Sprintf("port %d, where another piece of its leg was welded (in the plan %s)", row.LegPort, cmp.Or(plan, "none"))
	}
	if made == "" || made == plan {
		return logbook.Joined(" ", value(row, "port", "port %s"), bracketed(row.Was("port_welded")))
	}
	return logbook.Joined(" ", value(row, "port_welded", "port %s"), "(in the plan "+cmp.Or(plan, "none")+")")
}

// fusedSays is the fusion from its start to its end, by whom.
func (m maker) fusedSays(row register.Row) string {
	w := row.Weld
	start, fused := w.FusedAt()
	if !fused {
		return ""
	}
	line := strings.TrimSpace("Fusion started " + typed(row, start) + " " + bracketed(plainly(row.Was("fused_at"))))
	switch end, ended := w.EndKnown(); {
	case ended && end.Format(time.DateOnly) == start.Format(time.DateOnly):
		line += " and ended " + typed(row, end)[len("2006-01-02 "):]
	case ended:
		line += " and ended " + typed(row, end)
	default:
		line += "; its end is not recorded"
	}
	line += prefixed(" ", bracketed(plainly(row.Was(ofEnd))))
	line += prefixed(" ", value(row, "outcome", "(%s)"))
	if w.Operator != "" {
		line += ", by " + m.welder(row)
	}
	if w.Unit != "" {
		line += " with control unit " + logbook.Joined(" ", w.Unit, bracketed(row.Was("unit")))
	}
	return line + "."
}

// welder is who made a weld, and who was recorded before that was corrected.
func (m maker) welder(row register.Row) string {
	return logbook.Joined(" ", m.whoIs(row.Weld.Operator), bracketed(row.Was("operator")))
}

// beforeSays names the welds that were made in the same joint before.
func beforeSays(row register.Row) string {
	i := slices.Index(row.Joint.Welds, row.Weld.ID)
	if i < 1 {
		return ""
	}
	return "Made before it in this joint: " + strings.Join(row.Joint.Welds[:i], ", ") + "."
}

// typed is a time of a weld as it was written: on paper to the minute.
func typed(row register.Row, at time.Time) string { return typedAll(row, at.Format(second)) }

// typedAll are times as they were written.
func typedAll(row register.Row, s string) string {
	if row.Weld.Paper == nil {
		return s
	}
	return wholeMinute.ReplaceAllString(s, "$1 ")
}

// wholeMinute is a time whose seconds a sheet does not have.
var wholeMinute = regexp.MustCompile(`(\d{4}-\d\d-\d\d \d\d:\d\d):00 `)

func bracketed(s string) string {
	if s == "" {
		return ""
	}
	return "(" + s + ")"
}

// endSays is what came after the fusion: the hold, the release, a cut-out.
func (m maker) endSays(row register.Row) string {
	w := row.Weld
	var parts []string
	if until, held := w.HoldUntil(); held && HoldTold(row) {
		says := "To be held, not moved, until " + heldUntil(row, until)
		if _, known := w.EndKnown(); !known {
			says += ", counted from when its end was entered"
		}
		if m.unended(w.ID) == register.CoolingOver {
			says += ", which is over, and no release is recorded"
		}
		parts = append(parts, says)
	}
	if let := plainly(typedAll(row, value(row, "released_at", "%s"))); let != "" {
		parts = append(parts, "released "+let)
	} else if w.Disturbed != nil {
		parts = append(parts, w.Disturbed.Line())
	}
	if looks := value(row, "indicators", "%s"); looks != "" {
		parts = append(parts, "indicators "+looks)
	}
	if w.CutOut != nil {
		parts = append(parts, logbook.Joined(": ", logbook.Joined(" ", "cut out", timed(row.Cell("cut_out_at"))), register.Plain(row.Cell("cut_out_why"))),
			"replaced by "+m.replacement(row))
	}
	if w.Abandoned != "" {
		parts = append(parts, "given up: "+w.Abandoned)
	}
	return stop(titled(strings.Join(parts, "; ")))
}

// HoldTold tells whether a hold is told of a weld: of one that was cut out and whose end nobody
// recorded none is known, and a time counted from elsewhere would be one of a joint that was not
// there any more.
func HoldTold(row register.Row) bool {
	_, known := row.Weld.EndKnown()
	return known || row.Weld.CutOut == nil
}

// heldUntil is the end of a hold rounded up to the minute, as on the pipe. Where it was released
// within that minute it stands to the second: else it would read as let go before.
func heldUntil(row register.Row, until time.Time) string {
	up := logbook.UpMinute(until)
	if let, is := row.Cell("released_at").(time.Time); is && !let.Before(until) && let.Before(up) {
		return typed(row, until)
	}
	return up.Format(minute)
}

// found is what the rules find of a weld, then what they find of the joint in which it stands.
func (m maker) found(row register.Row) (out []Found) {
	all := row.Findings
	if row.Weld.ID != "" {
		all = slices.Concat(all, m.opens.AtJoint(row))
	}
	for _, f := range all {
		says := Says(f)
		if f.Severity == audit.Fail {
			says = logbook.Joined(" ", says, m.restsOn(f.Weld, f.Rule))
		}
		if f.Rule == audit.Transcribed && f.Open() {
			says = stop(strings.TrimSuffix(says, ".") + m.andYet(f.Weld, says))
		}
		do, by := f.Do, ""
		if g := (audit.Group{Findings: []audit.Finding{f}}); f.Open() {
			do, by = m.do(g), m.byWhom(g)
		}
		out = append(out, Found{titled(f.Word()), says, plainly(do), Basis(f.Basis), m.answer(f), f.Open(), by})
	}
	return out
}

// answer is who accepted a finding, when and why, or why nobody did.
func (m maker) answer(f audit.Finding) string {
	if f.Accepted != nil {
		return m.acceptedBy(*f.Accepted)
	}
	as := register.AcceptedAs(f)
	if cannot, is := strings.CutPrefix(as, "cannot be: "); is {
		as = "it cannot be accepted: " + cannot
	}
	return stop(titled(strings.Replace(as, "not yet", "nobody has accepted it yet", 1)))
}

// told in the sentences before, in the title, or by the entries behind.
var toldElsewhere = map[string]bool{
	"weld": true, "joint": true, "verdict": true, "findings": true, "state": true, "replaced_by": true,
	"chamber": true, "circuit": true, "leg": true, "header": true, "probe": true, "position": true, "covered": true, "pressure_tested": true,
}

// moved is the column of when a joint was moved.
const moved = "disturbed"

// ofEnd is the column among whose corrections those of the end of the fusion are: it follows
// from that.
const ofEnd = "hold_until"

// named are the columns that the page names in plainer words.
var named = map[string]string{
	"fused_at": "fusion started", "hold_until": "to be held until", "released_at": "released", "unit": "control unit", "unit_calibrated": "control unit calibrated",
	"seconds_table": "fusion time in the fitting's table", "seconds_set": "fusion time set", "seconds_run": "fusion time run", "volts_table": "voltage in the fitting's table", "volts_set": "voltage set",
	"cooling_min": "cooling time", "ambient_c": "temperature on site", "band": "row of the table", "ohms": "resistance", "table": "fusion table", "came_by": "how the values came",
	"pipe_od_mm": "pipe, outside diameter", "pipe_sdr": "pipe, SDR", "ends": "what meets here", "stood_min": "stood prepared", "scraped_min": "scraped before the current",
	"set_down_at": "set down prepared", "entered": "entered", "port": "port in the plan", "tape": "tape", moved: "whether it was moved before it had cooled",
}

var units = map[string]string{"ambient_c": "°C", "band": ""}

// pairs are all values of a row that are recorded.
func pairs(row register.Row) (out []Pair) {
	for _, c := range register.Columns {
		says := typedAll(row, timed(c.Cell(row)))
		if c.Name == "entered_later_why" && row.Weld.Paper != nil {
			says = register.OnSheet(says)
		}
		was := wasLines(row, c.Name)
		if c.Name == ofEnd {
			if was = nil; !HoldTold(row) { // they are of the end of the fusion
				continue
			}
			if until, held := row.Weld.HoldUntil(); held && !logbook.UpMinute(until).Equal(until) {
				says += ", on the pipe " + logbook.UpMinute(until).Format("15:04")
			}
		}
		if (says == "" || toldElsewhere[c.Name] || c.Name == "corrections" && atTheirValues(row)) && len(was) == 0 {
			continue
		}
		if unit, ours := units[c.Name]; ours || says == "" {
			says = logbook.Joined(" ", says, unit)
		} else {
			says = logbook.Joined(" ", says, c.Unit)
		}
		if c.Name == "entered" && says == "in the walk" {
			says = "step by step while it was made"
		}
		if c.Name != "notes" { // they are a person's words
			says = plainly(says)
		}
		if says == "" {
			says = plainly(row.Now(c.Name)) // put right to a "no", for which the column is empty
		}
		if c.Name == moved {
			says = movedSays(says)
		}
		p := Pair{Name: cmp.Or(named[c.Name], plainLabel(c)), Says: append(strings.Split(cmp.Or(says, "not recorded"), " | "), was...)}
		out = append(out, p)
		if c.Name != "fused_at" {
			continue
		}
		wasEnd := wasLines(row, ofEnd)
		if end, known := row.Weld.EndKnown(); known {
			out = append(out, Pair{ended, append([]string{typed(row, end)}, wasEnd...)})
		} else if len(wasEnd) > 0 {
			out = append(out, Pair{ended, append([]string{"not recorded"}, wasEnd...)})
		}
	}
	return out
}

// wasLines are what a column was before it was corrected.
func wasLines(row register.Row, column string) []string {
	was := row.CorrectedLines(column)
	for i := range was {
		was[i] = plainly(was[i])
	}
	return was
}

// atTheirValues tells whether every correction of a row stands beside the value that it
// corrected: one of a value that only a newer version knows does not.
func atTheirValues(row register.Row) bool {
	return !slices.ContainsFunc(row.Weld.Corrections, func(k logbook.Corrected) bool {
		return !slices.ContainsFunc(register.Columns, func(c register.Column) bool { return c.Name == register.ColumnOf(k.Field) })
	})
}

// plainLabel is the name of a column without its unit, which stands beside the value.
func plainLabel(c register.Column) string {
	label, _, _ := strings.Cut(c.Label(), ", ")
	return label
}
