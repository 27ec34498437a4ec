package pdf

import (
	"fmt"
	"strings"

	"coolhold/logbook"
	"coolhold/logbook/register"
)

// welds are a page for every weld that is not clear: what the rules found, all
// that is known, and everything that was said of it.
func (d *doc) welds() {
	for _, row := range d.notClear() {
		d.weld(row)
		d.tick()
	}
}

func (d *doc) weld(row register.Row) {
	c := cells{row}
	d.section(false, 150, fmt.Sprintf("Weld %s in joint %s: %s", row.Weld.ID, row.Weld.Joint, row.Verdict))
	d.text("", 9.5, logbook.Joined("; ", c.v("state"), c.place1()))
	if by := c.v("replaced_by"); by != "" {
		d.text("", 9.5, "Replaced by "+by+".")
	}
	d.found(row)
	d.heading("What is recorded", 20)
	d.twoUp(row)
	d.trail(row)
}

func (c cells) place1() string {
	return logbook.Joined(", ", c.with("chamber %s", "chamber"), c.with("circuit %s", "circuit"), c.with("leg %s", "leg"),
		c.with("header %s", "header"), c.with("port %s", "port"), c.v("position"))
}

func (d *doc) found(row register.Row) {
	d.heading("What the rules find", 20)
	if len(row.Findings) == 0 {
		d.text("", 9, "Nothing: the record is not complete, or the walk was given up before any current.")
		return
	}
	t := d.grid(8, column{"severity", 20}, column{"what is found, by what basis", 70}, column{"what to do", 40}, column{"accepted", 0})
	for _, f := range row.Findings {
		t.row(f.Word(), f.Says+"\n("+f.Basis+")", f.Do, register.AcceptedAs(f))
	}
}

// shownAbove are columns that the head of a weld's page shows already, or that
// its trail shows better.
var shownAbove = map[string]bool{
	"weld": true, "joint": true, "verdict": true, "findings": true, "corrections": true, "notes": true, "looks": true,
	"starts_refused": true, "came_by": true, "recheck_asked": true, "cut_out_ordered": true, "cut_out_why": true, "position": true, "chamber": true, "circuit": true, "leg": true, "header": true, "state": true, "replaced_by": true,
}

// twoUp lists every value of a weld in two columns of names and values.
func (d *doc) twoUp(row register.Row) {
	var names, values []string
	for _, col := range register.Columns {
		v := show(col.Cell(row))
		if v == "" || shownAbove[col.Name] {
			continue
		}
		names, values = append(names, col.Label()), append(values, strings.Join(append([]string{v}, row.CorrectedLines(col.Name)...), "\n"))
	}
	half := (len(names) + 1) / 2
	t := d.grid(8, column{"value", 30}, column{"as recorded", 57.5}, column{"value", 30}, column{"as recorded", 0})
	for i := range half {
		right, value := "", ""
		if half+i < len(names) {
			right, value = names[half+i], values[half+i]
		}
		t.row(names[i], values[i], right, value)
	}
	if by := show(row.Cell("came_by")); by != "" {
		d.gap(1)
		d.text("", 7.5, "How the values came: "+by+".")
	}
}

// trail is everything that was said of a weld, a line each.
func (d *doc) trail(row register.Row) {
	d.heading("What was said, in order", 20)
	t := d.grid(7, column{"time", 28}, column{"by", 32}, column{"entry", 0})
	for _, e := range row.Told {
		at := e.At
		if len(at) >= 19 {
			at = at[:10] + " " + at[11:19]
		}
		t.row(at, e.By, e.Line)
	}
}
