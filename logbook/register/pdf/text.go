package pdf

import (
	"strings"
	"time"
)

// say makes a stored text fit to be drawn in the document's font.
func (d *doc) say(s string) string { return d.glyph.Say(s) }

// lines breaks a text at its line ends and at blanks so that each line is at
// most w mm wide in the present font; a word that is wider is broken.
func (d *doc) lines(text string, w float64) []string {
	var out []string
	for _, para := range strings.Split(text, "\n") {
		out = append(out, d.wrap(d.say(para), w)...)
	}
	return out
}

func (d *doc) wrap(para string, w float64) []string {
	var out []string
	line := ""
	for _, word := range strings.Fields(para) {
		next := word
		if line != "" {
			next = line + " " + word
		}
		if d.f.GetStringWidth(next) <= w {
			line = next
			continue
		}
		if line != "" {
			out = append(out, line)
		}
		pieces := d.pieces(word, w)
		out = append(out, pieces[:len(pieces)-1]...)
		line = pieces[len(pieces)-1]
	}
	return append(out, line)
}

// pieces breaks a word that is too wide for a line, after a hyphen if it can.
func (d *doc) pieces(word string, w float64) []string {
	var out []string
	piece := ""
	for _, r := range word {
		for piece != "" && d.f.GetStringWidth(piece+string(r)) > w {
			end := strings.LastIndexAny(piece, "-_/") + 1
			if end <= len(piece)/3 {
				end = len(piece)
			}
			out, piece = append(out, piece[:end]), piece[end:]
		}
		piece += string(r)
	}
	return append(out, piece)
}

// fit shortens a text to one line of w mm; it stands whole elsewhere.
func (d *doc) fit(s string, w float64) string {
	s = d.say(s)
	if d.f.GetStringWidth(s) <= w {
		return s
	}
	out := ""
	for _, r := range s {
		if d.f.GetStringWidth(out+string(r)+"…") > w {
			break
		}
		out += string(r)
	}
	return out + "…"
}

// A run is letters of one style in a line, a blank before it unless it is the first.
type run struct{ style, text string }

// lay breaks runs, one going on behind the other, into lines of at most w mm.
func (d *doc) lay(size, w float64, runs ...run) (out [][]run) {
	var line []run
	at := 0.0
	for _, r := range runs {
		d.font(r.style, size)
		blank := d.f.GetStringWidth(" ")
		for _, word := range strings.Fields(d.say(r.text)) {
			for i, piece := range d.pieces(word, w) {
				wide := d.f.GetStringWidth(piece)
				if len(line) > 0 && (i > 0 || at+blank+wide > w) {
					out, line, at = append(out, line), nil, 0
				}
				if len(line) > 0 {
					at += blank
				}
				at += wide
				if n := len(line); n > 0 && line[n-1].style == r.style {
					line[n-1].text += " " + piece
				} else {
					line = append(line, run{r.style, piece})
				}
			}
		}
	}
	if len(line) > 0 {
		out = append(out, line)
	}
	return out
}

// put draws laid lines where the page has room for them, indent mm from the left.
func (d *doc) put(size, indent float64, lines [][]run) {
	high := lineHigh(size)
	for n, line := range lines {
		d.flush(high * float64(needed(n, len(lines))))
		d.f.SetX(d.left() + indent)
		for i, r := range line {
			d.font(r.style, size)
			text := r.text
			if i > 0 {
				text = " " + text
			}
			d.f.CellFormat(d.f.GetStringWidth(text), high, text, "", 0, "L", false, 0, "")
		}
		d.f.SetXY(d.left(), d.f.GetY()+high)
	}
}

// lineHigh is the height of a line of letters of so many points, in mm.
func lineHigh(size float64) float64 { return size * 0.48 }

// text writes wrapped text over the whole width, on the next page where it
// does not fit on this one. No line of it stands alone on a page.
func (d *doc) text(style string, size float64, s string) {
	d.settle()
	d.font(style, size)
	high := lineHigh(size)
	lines := d.lines(s, d.width())
	for i, line := range lines {
		d.flush(high * float64(needed(i, len(lines))))
		d.font(style, size)
		d.f.CellFormat(d.width(), high, line, "", 2, "L", false, 0, "")
	}
}

// needed is for how many lines, this one among them, there must be room where line i of n is
// drawn, so that none stands alone on a page.
func needed(i, n int) int {
	switch left := n - i; {
	case i == 0 && left == 3: // two and one, or one and two
		return 3
	case i == 0:
		return min(left, 2)
	case left == 2: // else the last would stand alone
		return 2
	}
	return 1
}

// keep makes room with the heading that is held for these sentences, so that it is not
// parted from them; for at most so much as stays together.
func (d *doc) keep(size float64, says ...string) {
	d.font("", size)
	high := 0.0
	for _, s := range says {
		high += float64(len(d.lines(s, d.width()))) * lineHigh(size)
	}
	d.hold(min(high, together), func() {})
}

// A held is something that is drawn with what comes behind it only: a heading.
type held struct {
	high float64
	draw func()
}

// hold keeps it until something follows.
func (d *doc) hold(high float64, draw func()) { d.headings = append(d.headings, held{high, draw}) }

// flush makes a new page unless so many mm are left below what is held, and draws that.
func (d *doc) flush(mm float64) {
	for _, h := range d.headings {
		mm += h.high
	}
	if d.f.GetY()+mm > d.bottom() && d.f.GetY() > d.begins()+0.1 {
		d.next(d.lying())
	}
	all := d.headings
	d.headings = nil
	for _, h := range all {
		h.draw()
	}
}

// settle draws the table that was begun: what comes next is none of its rows.
func (d *doc) settle() {
	if t := d.open; t != nil {
		d.open = nil
		t.drawAll()
	}
}

// bold writes the lines of a heading.
func (d *doc) bold(size float64, lines []string) {
	d.font("B", size)
	for _, line := range lines {
		d.f.CellFormat(d.width(), lineHigh(size), line, "", 2, "L", false, 0, "")
	}
}

// heading begins a part of a page; it stands on the page of what comes behind it.
func (d *doc) heading(s string) { d.headed(12, s) }

func (d *doc) headed(size float64, s string) {
	d.settle()
	d.font("B", size)
	lines := d.lines(s, d.width())
	d.hold(4+lineHigh(size)*float64(len(lines)), func() {
		if d.f.GetY() > d.begins()+0.1 {
			d.down(3)
		}
		d.bold(size, lines)
		d.down(1)
	})
}

// chapter begins a page with a heading that stands among the bookmarks.
func (d *doc) chapter(lying bool, s string) {
	d.page(lying)
	d.f.Bookmark(d.say(s), 0, -1)
	d.begun(s)
	d.text("B", 15, s)
	d.gap(2)
}

// section begins as chapter does, but goes on below what stands on the page where
// need mm are left on it: pages with a few lines only are not read.
func (d *doc) section(lying bool, need float64, s string) {
	d.settle()
	if d.lying() != lying || d.f.GetY()+need > d.bottom() {
		d.chapter(lying, s)
		return
	}
	d.font("B", 15)
	lines := d.lines(s, d.width())
	d.hold(10+lineHigh(15)*float64(len(lines)), func() {
		if d.f.GetY() > d.begins()+0.1 {
			d.down(5)
			d.rule(d.f.GetY())
			d.down(3)
		}
		d.f.Bookmark(d.say(s), 0, -1)
		d.begun(s)
		d.bold(15, lines)
		d.down(2)
	})
}

// gap leaves mm free below what was drawn.
func (d *doc) gap(mm float64) {
	d.settle()
	if len(d.headings) == 0 {
		d.down(mm)
	}
}

func (d *doc) down(mm float64) { d.f.SetY(d.f.GetY() + mm) }

// clock writes a time as the clock on site showed it.
func clock(t time.Time) string {
	if t.IsZero() {
		return ""
	}
	return t.Format(minute)
}
