package pdf

import (
	"fmt"

	"coolhold/logbook"
)

// ground is what the plan wants looked at before welding and cover with what is recorded of
// it, then each look as it was said. Where neither is, it has no heading.
func (d *doc) ground() {
	if len(d.rep.Parts)+len(d.rep.Ground) == 0 {
		return
	}
	d.heading("Looked at before welding and cover", 15)
	if len(d.rep.Parts) > 0 {
		t := d.grid(8, column{"part", 26}, column{"before", 25}, column{"what", 30}, column{"recorded", 53}, column{"by, when", 0})
		for _, p := range d.rep.Parts {
			for _, l := range p.Lines {
				by := ""
				if l.At != "" {
					by = l.By + "\n" + shortTime(l.At)
				}
				name := l.Name()
				if !l.Required {
					name += " (not wanted by the plan)"
				}
				t.row(p.Part, l.Stage.String(), name, l.Says(), by)
			}
		}
	}
	if len(d.rep.Ground) == 0 {
		d.text("", 9, "No look is recorded.")
		return
	}
	d.gap(3)
	t := d.grid(8, column{"when", 28}, column{"what was said", 108}, column{"said by", 0})
	for _, g := range d.rep.Ground {
		said := g.Said
		if w := g.Back; w != nil {
			said += fmt.Sprintf("\ntaken back by %s, %s: %s", w.By, w.At.Local().Format(minute), w.Why)
		}
		t.row(g.When(), said, g.By)
	}
}

// shortTime is a time as it is handed out, to the minute.
func shortTime(at string) string {
	return logbook.Clean(at[:min(10, len(at))] + " " + at[min(11, len(at)):min(16, len(at))])
}
