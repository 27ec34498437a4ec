package pdf

import (
	"strings"

	"coolhold/logbook"
	"coolhold/logbook/register/account"
)

// Letters of what is told, in points: sentences, and what stands below one.
const (
	toldSize = 9.5
	moreSize = 8.5
	indented = 4.0  // mm that what stands below a sentence begins further in
	together = 60.0 // mm of one thing that is told stay on a page
)

// tell writes a chapter below its heading.
func (d *doc) tell(c account.Chapter) {
	for _, s := range c.Intro {
		d.text("", toldSize, s)
		d.gap(0.8)
	}
	for _, it := range c.Items {
		if it.Over != "" {
			d.headed(10.5, it.Over)
		}
		d.stands(it.ID)
		d.item(it)
	}
}

// chapterOf is a chapter with its heading as a part of a page.
func (d *doc) chapterOf(c account.Chapter) {
	d.heading(c.Title)
	d.stands(c.ID)
	if c.ID != "" && d.f.PageNo() > 0 && c.ID != d.told.Short.ID {
		d.hold(0, func() { d.begun(c.Title) })
	}
	d.tell(c)
}

// item is one thing of a list: a word in bold, what it is about, what is said; below it
// who, when and why.
func (d *doc) item(it account.Item) {
	d.settle()
	var about []string
	for _, l := range it.About {
		about = append(about, logbook.Joined(", ", l.Text, d.ref(l.To)))
	}
	head, of := it.Head, strings.Join(about, ", ")
	switch {
	case head != "" && of != "":
		head += ","
	case head != "" && it.Says != "":
		head += ":"
	}
	if of != "" && it.Says != "" {
		of += ":"
	}
	first := d.lay(toldSize, d.width(), run{"B", head}, run{"B", of}, run{"", it.Says})
	high := float64(len(first)) * lineHigh(toldSize)
	var more [][]run
	for _, s := range it.More {
		more = append(more, d.lay(moreSize, d.width()-indented, run{"", s})...)
	}
	high += float64(len(more)) * lineHigh(moreSize)
	d.flush(min(high, together))
	d.put(toldSize, 0, first)
	d.put(moreSize, indented, more)
	d.down(1.2)
}

// pairs writes names and values in two columns.
func (d *doc) pairs(wide float64, pairs []account.Pair) {
	d.settle()
	for _, p := range pairs {
		d.font("", 9)
		var lines []string
		for _, s := range p.Says {
			lines = append(lines, d.lines(s, d.width()-wide)...)
		}
		d.font("B", 9)
		names := d.lines(p.Name, wide-1)
		n := max(len(lines), len(names))
		if n <= whole {
			d.flush(4.5 * float64(n))
		}
		for i := range n {
			d.flush(4.5 * float64(needed(i, n)))
			d.f.SetX(d.left())
			if i < len(names) {
				d.font("B", 9)
				d.f.CellFormat(wide, 4.5, names[i], "", 0, "L", false, 0, "")
			}
			if i < len(lines) {
				d.font("", 9)
				d.f.SetX(d.left() + wide)
				d.f.CellFormat(d.width()-wide, 4.5, lines[i], "", 0, "L", false, 0, "")
			}
			d.f.SetXY(d.left(), d.f.GetY()+4.5)
		}
	}
}
