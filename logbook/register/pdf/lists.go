package pdf

import (
	"cmp"
	"fmt"
	"strings"

	"coolhold/logbook"
	"coolhold/logbook/audit"
	"coolhold/logbook/register"
)

// replaced lists the welds that were cut out, with what came in their place.
func (d *doc) replaced() {
	var rows []cells
	for _, row := range d.rep.Rows {
		if row.Weld.CutOut != nil {
			rows = append(rows, cells{row})
		}
	}
	const need = 90
	lying := d.lying() && d.f.GetY()+need <= d.bottom() // below a short end of the register
	d.section(lying, need, "Cut-outs and their replacements")
	if len(rows) == 0 {
		d.text("", 10, "No weld that is listed was cut out.")
		return
	}
	t := d.grid(8, column{"weld", 20}, column{"joint", 17}, column{"made by", 30}, column{"cut out", 28}, column{"why", 48}, column{"replaced by", 0})
	for _, c := range rows {
		by := cmp.Or(c.v("replaced_by"), "nothing yet")
		t.row(c.v("weld"), c.v("joint"), c.v("operator"), c.v("cut_out_at"), c.v("cut_out_why"), by)
	}
}

func (d *doc) corrections() {
	all := d.rep.Corrections()
	d.heading("Corrections", 15)
	if len(all) == 0 {
		d.text("", 9, "No value was corrected.")
		return
	}
	d.text("", 9, "A corrected value is marked wherever it stands. What was recorded first stays in the log.")
	d.gap(1)
	t := d.grid(8, column{"weld", 20}, column{"value", 28}, column{"was", 28}, column{"now", 28}, column{"why", 40}, column{"by, when", 0})
	for _, c := range all {
		t.row(c.Weld, c.Field, orNone(c.Old), c.New, c.Why, c.By+"\n"+strings.Replace(c.At[:min(16, len(c.At))], "T", " ", 1))
	}
}

// minute is how the PDF writes a time, second where the minute says too little.
const (
	minute = "2006-01-02 15:04"
	second = "2006-01-02 15:04:05"
)

// afterwards is what was said of the site as a whole: covered, signed, and what
// happened later.
func (d *doc) afterwards() {
	s := d.rep.Site
	d.heading("Covered with ground", 15)
	if len(s.Covers) == 0 {
		d.text("", 9, "Nothing is recorded as covered.")
	} else {
		t := d.grid(8, column{"part", 40}, column{"when", 28}, column{"said by", 40}, column{"not settled at that moment", 0})
		for _, c := range s.Covers {
			t.row(c.Section, c.When(minute), c.By, strings.Join(register.OpenAtCover(c), "\n"))
		}
	}
	d.ground()
	d.heading("Days signed", 15)
	if len(s.Signed) == 0 {
		d.text("", 9, "No day was signed in the log.")
	} else {
		t := d.grid(8, column{"day", 22}, column{"signed by", 45}, column{"when", 28}, column{"what was open then", 0})
		for _, g := range s.Signed {
			t.row(g.Day, g.By, clock(g.At.Local()), strings.Join(register.OpenAtSigning(g), "\n"))
		}
	}
	d.events(s.Events)
}

func (d *doc) events(events []logbook.Event) {
	d.heading("What happened later", 15)
	if len(events) == 0 {
		d.text("", 9, "Nothing is recorded.")
		return
	}
	t := d.grid(8, column{"day", 22}, column{"what", 30}, column{"where", 40}, column{"told", 60}, column{"said by", 0})
	for _, e := range events {
		at := logbook.Joined(", ", e.Chamber, e.Joint)
		if e.Circuit > 0 {
			at = logbook.Joined(", ", at, fmt.Sprintf("circuit %d", e.Circuit))
		}
		t.row(e.On, e.What.String(), cmp.Or(at, "the site"), e.Text, e.By)
	}
}

// open are the findings that somebody must still do something about.
func (d *doc) open() {
	d.chapter(false, "Still open")
	if len(d.rep.Open) == 0 {
		d.text("", 10, "Nothing is open on the site: every query is answered, and every joint that is being built has its weld.")
		return
	}
	if d.rep.Filtered() {
		d.text("B", 9.5, "This page lists everything that is open on the site, also of welds that this document leaves out.")
		d.gap(1.5)
	}
	t := d.grid(8, column{"severity", 20}, column{"joint", 18}, column{"weld", 20}, column{"what is found", 62}, column{"what to do", 0})
	for _, g := range audit.Groups(d.rep.Open) {
		f := g.First()
		t.row(f.Word(), f.Joint, d.weldOf(f), g.Says(), g.Do())
	}
}

// weldOf is the weld that a finding is about: its own, else what stands in its
// joint.
func (d *doc) weldOf(f audit.Finding) string {
	if f.Weld != "" || f.Joint == "" {
		return f.Weld
	}
	for _, p := range d.rep.Joints {
		if p.Label == f.Joint {
			return p.Weld
		}
	}
	return ""
}

// rules are those that the verdicts follow from, each with its basis.
func (d *doc) rules() {
	d.section(true, 90, "Rules and tables used")
	d.text("", 9, "No verdict is stored: each follows from these rules, applied to the record as of "+clock(d.rep.AsOf)+". A fail cannot be accepted; it ends by a cut-out. A query is accepted by a named person with a reason, or cut out.")
	d.gap(2)
	found := map[string]int{}
	for _, f := range d.rep.Findings {
		found[f.Rule]++
	}
	t := d.grid(7.5, column{"rule", 46}, column{"severity", 18}, column{"on", 14}, column{"looks for", 76}, column{"found", 13}, column{"basis", 0})
	for _, r := range audit.Rules {
		t.row(r.Slug, r.Word(), string(r.Scope), r.Says, fmt.Sprint(found[r.Slug]), r.Basis)
	}
	d.heading("Fusion tables", 15)
	d.text("", 9, "Times and voltages come from these tables, typed from what is printed on the fittings' bags, and from nowhere else.")
	d.gap(1)
	t = d.grid(8, column{"table", 60}, column{"hash", 28}, column{"file", 40}, column{"read back by", 45}, column{"source", 0})
	for _, tab := range d.rep.Tables {
		t.row(tab.TableRef.Title, tab.Hash, tab.File, cmp.Or(tab.ReadBack, "NOT read back"), tab.Source)
	}
}
