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

// text writes wrapped text over the whole width, on the next page where it
// does not fit on this one.
func (d *doc) text(style string, size float64, s string) {
	d.font(style, size)
	high := size * 0.48
	for _, line := range d.lines(s, d.width()) {
		d.room(high)
		d.f.CellFormat(d.width(), high, line, "", 2, "L", false, 0, "")
	}
}

// heading begins a part of a page; it is kept together with keep mm below it.
func (d *doc) heading(s string, keep float64) {
	d.room(12 + keep)
	d.gap(3)
	d.text("B", 12, s)
	d.gap(1)
}

// chapter begins a page with a heading that stands among the bookmarks.
func (d *doc) chapter(lying bool, s string) {
	d.page(lying)
	d.f.Bookmark(d.say(s), 0, -1)
	d.text("B", 15, s)
	d.gap(2)
}

// section begins as chapter does, but goes on below what stands on the page where
// need mm are left on it: pages with a few lines only are not read.
func (d *doc) section(lying bool, need float64, s string) {
	if d.lying() != lying || d.f.GetY()+need > d.bottom() {
		d.chapter(lying, s)
		return
	}
	d.gap(5)
	d.rule(d.f.GetY())
	d.gap(3)
	d.f.Bookmark(d.say(s), 0, -1)
	d.text("B", 15, s)
	d.gap(2)
}

func (d *doc) gap(mm float64) { d.f.SetY(d.f.GetY() + mm) }

// clock writes a time as the clock on site showed it.
func clock(t time.Time) string {
	if t.IsZero() {
		return ""
	}
	return t.Format(minute)
}
