package pdf

// loop is flow, purge and fluid: what was read, what that comes to, and what was taken
// back.
func (d *doc) loop() {
	d.heading("Flow, purge and fluid", 15)
	if len(d.rep.Loop) == 0 {
		d.text("", 9, "No flow check, no purge and no filling is recorded.")
		return
	}
	d.text("", 9, "The newest of its kind in a section counts; of how it was left each thing stands until that thing is said anew. Flow is decided only where both legs of every other circuit were shut.")
	d.gap(1)
	t := d.grid(8, column{"when", 28}, column{"what was said", 78}, column{"what it comes to", 50}, column{"said by", 0})
	for _, l := range d.rep.Loop {
		t.row(l.When(), l.Said, l.ComesTo(), l.By)
	}
}
