package pdf

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"coolhold/logbook"
	"coolhold/logbook/audit"
	"coolhold/logbook/register"
	"coolhold/logbook/register/account"
)

// register is the table of all rows with their values, on lying pages. What is told whole
// before is not told once more.
func (d *doc) register() {
	d.section(true, 75, "Values of each weld")
	if len(d.rep.Rows) == 0 {
		d.text("", 10, "No row is listed.")
		return
	}
	d.text("", 9, d.offsets()+" The end of a cooling time is rounded up to the minute, as on the pipe. What was found stands whole under Still open, Accepted queries and Welds to read. Of a weld that is told whole there, its page stands here, who made it, and what was set and run, to be held against that of others.")
	d.gap(1)
	t := d.grid(6.5, column{"weld, joint", 16}, column{"place, pipe", 46}, column{"fitting, batches", 28},
		column{"operator, unit", 21}, column{"prepared, weather", 22}, column{"ambient", 18}, column{"set and run", 30},
		column{"fusion, cooling, release", 50}, column{"indicators", 14}, column{"state, verdict", 0})
	for i, row := range d.rep.Rows {
		row.Findings = slices.Concat(row.Findings, d.told.AtJoint(row))
		c := cells{row}
		t.at = append(t.at, d.told.Welds[i].ID)
		if d.toldWhole(i) {
			t.row(c.lines("weld", "joint"), "told whole, "+d.ref(d.told.Welds[i].ID), c.v("fitting"), c.lines("operator", "unit"), "", "", c.set(), "", "", c.stands())
			continue
		}
		t.row(c.lines("weld", "joint"), c.place(), c.fitting(), c.lines("operator", "unit"), c.prepared(),
			c.ambient(), c.set(), c.times(), c.v("indicators"), c.state())
	}
	t.tell = true
}

// tick tells how far the drawing is.
func (d *doc) tick() {
	d.done++
	if d.step != nil {
		d.step(d.done, d.of)
	}
}

// cells are the cells of a row as the table puts them together.
type cells struct{ register.Row }

// v is a value with a mark where it was corrected.
func (c cells) v(name string) string { return c.with("%s", name) }

// show is a value for a reader: local times without their offset.
func show(v register.Value) string {
	if t, ok := v.(time.Time); ok {
		return clock(t)
	}
	return register.Plain(v)
}

// prepared is how a joint was prepared; where it was set down then, when and how long it
// stood before it was fused.
func (c cells) prepared() string {
	lines := c.lines("preparation", "scraping_method", "weather")
	if c.Cell("set_down_at") == nil {
		return lines
	}
	stood := "set down " + c.v("set_down_at")
	if min := c.v("stood_min"); min != "" {
		stood += ", stood " + min + " min"
	}
	if min := c.v("scraped_min"); min != "" {
		stood += "; scraped " + min + " min before the current"
	}
	return strings.TrimSpace(lines + "\n" + stood)
}

func (c cells) lines(names ...string) string {
	var parts []string
	for _, name := range names {
		if v := c.v(name); v != "" {
			parts = append(parts, v)
		}
	}
	return strings.Join(parts, "\n")
}

// with is a value with words around it and a mark where it was corrected, or
// nothing.
func (c cells) with(format, name string) string { return c.Worded(name, format, show) }

func (c cells) place() string {
	at := logbook.Joined(", ", c.with("chamber %s", "chamber"), c.with("circuit %s", "circuit"), c.with("leg %s", "leg"),
		c.with("header %s", "header"), account.Port(c.Row))
	pipes := c.v("ends")
	if pipes == "" {
		pipes = logbook.Joined(" ", c.with("pipe %s mm", "pipe_od_mm"), c.with("SDR %s", "pipe_sdr"))
	}
	return logbook.Joined("\n", at, c.with("probe %s", "probe"), c.v("position"), pipes)
}

func (c cells) fitting() string {
	return logbook.Joined("\n", logbook.Joined(", ", c.v("fitting"), c.with("batch %s", "fitting_batch")), c.with("code %s", "fitting_code"),
		logbook.Joined(", ", c.with("pipe: %s", "coil_batch"), c.with("stub: %s", "stub_batch")))
}

func (c cells) ambient() string {
	return logbook.Joined("\n", c.with("%s °C", "ambient_c"), c.with("band %s", "band"))
}

func (c cells) set() string {
	return logbook.Joined(", ", c.with("%s s", "seconds_set"), c.with("%s V", "volts_set"), c.notRun(),
		c.with("ran %s s", "seconds_run"), c.with("%s Ω", "ohms"), c.v("outcome"))
}

// notRun says of what was only set that nothing ran.
func (c cells) notRun() string {
	switch {
	case c.Weld.Abandoned == "" || c.Cell("seconds_run") != nil || c.Cell("seconds_set") == nil:
		return ""
	case c.Weld.HeatPossible():
		return "set, not known whether it ran"
	}
	return "set, never run"
}

// times are those of a weld, the day first; it is not repeated.
func (c cells) times() string {
	fused := c.v("fused_at")
	if fused == "" {
		return ""
	}
	short := func(v string) string {
		if len(v) >= len("2006-01-02 ") && strings.HasPrefix(fused, v[:11]) {
			return v[11:]
		}
		return v
	}
	ended := "its end is not recorded"
	if end, known := c.Weld.EndKnown(); known {
		ended = "ended " + short(c.paper(end))
	}
	if was := c.Was("hold_until"); was != "" { // of the end, from which that follows
		ended += " (" + was + ")"
	}
	parts := map[string]string{}
	until, held := c.Weld.HoldUntil()
	let, _ := c.Cell("released_at").(time.Time)
	for _, p := range [][2]string{{"held until ", "hold_until"}, {"released ", "released_at"}} {
		v := c.v(p[1])
		if p[1] == "hold_until" {
			v = show(c.Cell(p[1]))
		}
		switch {
		case !held: // no end is known
		case p[1] == "hold_until" && !account.HoldTold(c.Row):
			v = ""
		case !let.IsZero() && c.v("released_at") == clock(let) && !let.Before(until) && let.Before(logbook.UpMinute(until)):
			// To the minute it would read as let go before the end.
			v = map[string]time.Time{"hold_until": until, "released_at": let}[p[1]].Format(second)
		case p[1] == "hold_until":
			v = clock(logbook.UpMinute(until)) // as on the pipe
		}
		if v = short(v); v != "" {
			parts[p[1]] = p[0] + v
		}
	}
	return account.Plainly(logbook.Joined(", ", fused[:10]+" started "+fused[11:], ended, parts["hold_until"], parts["released_at"], c.moved()))
}

// moved says that a joint was moved too early, and what was said of it before.
func (c cells) moved() string {
	v := c.v("disturbed")
	if v == "" {
		return ""
	}
	if c.Cell("disturbed") == nil {
		v = "not recorded " + v
	}
	return "moved too early: " + v
}

// paper is a time to the second, to the minute where a sheet had no more.
func (c cells) paper(at time.Time) string {
	if c.Weld.Paper != nil && at.Second() == 0 {
		return at.Format(minute)
	}
	return at.Format(second)
}

func (c cells) state() string {
	if c.Factory != nil {
		return logbook.Joined("\n", c.stands(), c.Factory.Says())
	}
	return logbook.Joined("\n", c.stands(), c.under(), c.later(), c.found())
}

// stands is what stands in the joint, with the verdict.
func (c cells) stands() string {
	state := c.v("state")
	if by := c.v("replaced_by"); by != "" {
		state += ", replaced by " + by
	}
	if by := c.v("verdict"); c.Factory == nil && by != "" && by != state {
		state += ", " + by
	}
	return state
}

// later is what happened later where it lies, in few words; whole it stands in its list.
func (c cells) later() string {
	var says []string
	for _, e := range c.Site.Events {
		if e.What == logbook.PressureLost && !account.Under(c.Row, e) {
			continue // nothing was there then, or what is there now was made after it
		}
		if (e.Joint != "" || e.Circuit > 0 || e.Chamber != "") && e.Touches(c.Joint) && (c.Weld.ID == "" || c.Weld.Stands()) {
			says = append(says, e.What.String()+" "+e.On)
		}
	}
	return strings.Join(says, "\n")
}

// under says that ground lies over the joint; by whom and when stands in the list
// of what was covered.
func (c cells) under() string {
	switch {
	case c.Cover == nil:
		return ""
	case slices.Contains(c.Cover.Missing, c.Joint.Label):
		return "covered with ground, not settled then"
	}
	return "covered with ground"
}

// found counts the findings: what was found stands whole among the welds to read, who
// accepted it and why in the list of that. A narrow column of sentences is not read.
func (c cells) found() string {
	var kinds []string
	n := map[string]int{}
	for _, f := range c.Findings {
		kind := "accepted"
		switch {
		case f.Accepted != nil && f.Accepted.OwnWelder:
			kind = "accepted by its own welder only"
		case f.Accepted != nil:
		case f.Settled:
			kind = "settled"
		case f.Severity == audit.Note:
			kind = "note"
		default:
			kind = "open, " + f.Word()
		}
		if n[kind]++; n[kind] == 1 {
			kinds = append(kinds, kind)
		}
	}
	for i, kind := range kinds {
		kinds[i] = fmt.Sprintf("%s: %d", kind, n[kind])
	}
	return strings.Join(kinds, "\n")
}
