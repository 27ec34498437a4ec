package pdf

import (
	"fmt"
	"strings"

	qr "github.com/piglig/go-qr"

	"coolhold/logbook/register"
)

// seal is the seals whole, to be held against the logs in later years.
func (d *doc) seal() {
	for _, l := range d.rep.Sealed() {
		d.section(false, 165, "Seal of log "+l.Called())
		d.text("", 10, fmt.Sprintf("The seal is a signed statement of the first %d entries of the log, which held %d when this document was made, the seal itself among them. "+
			"A log that begins with the same entries gives the same root; one in which they were changed does not. "+
			"A key on a laptop proves nothing against the owner of the laptop: the seal counts from the moment it left it, on this paper or otherwise. "+
			"To check it, copy the text below into a file and hold it against the log with \"coolhold verify --seal FILE\". Which entries came after it stands under After the seal%s.",
			l.Seal.Entries, l.Entries, prefixed(", ", d.ref("after-seal"))))
		d.gap(4)
		d.f.SetFont("mono", "", 9)
		for _, line := range strings.Split(strings.TrimRight(l.Seal.Note, "\n"), "\n") {
			for _, part := range d.pieces(d.say(line), d.width()) {
				d.room(5)
				d.f.CellFormat(d.width(), 4.5, part, "", 2, "L", false, 0, "")
			}
		}
		d.gap(6)
		d.room(72)
		d.code(l.Seal.Note, d.f.GetX(), d.f.GetY(), 70)
		d.down(72)
	}
}

// code draws a seal as a QR code of so many mm, with its quiet border. A note
// too long for one is shown in words only.
func (d *doc) code(text string, x, y, size float64) {
	q, err := qr.EncodeText(text, qr.Low)
	if err != nil {
		return
	}
	const quiet = 4 // modules, as the standard asks
	m := size / float64(q.Size()+2*quiet)
	d.f.SetFillColor(0, 0, 0)
	for row := range q.Size() {
		for from := 0; from < q.Size(); from++ {
			to := from
			for to < q.Size() && q.Module(to, row) {
				to++
			}
			if to > from {
				d.f.Rect(x+float64(quiet+from)*m, y+float64(quiet+row)*m, float64(to-from)*m, m, "F")
				from = to
			}
		}
	}
}

// signatures is room to sign on paper.
func (d *doc) signatures() {
	d.section(false, 115, "Signatures")
	if len(d.rep.Sealed()) == 0 {
		d.text("", 10, "This document is not sealed. Nothing in it proves that the log was not changed after the work.")
		d.gap(1)
	}
	d.text("", 10, "Signed below is that this document was handed over and read. It is no statement on any weld beyond what is recorded.")
	d.gap(8)
	for _, who := range []string{"For the firm: " + d.rep.Site.Firm, "Foreman on site", "For the client: " + d.rep.Site.Client} {
		d.text("B", 10, who)
		d.gap(12)
		x, y := d.f.GetX(), d.f.GetY()
		d.f.SetLineWidth(0.2)
		for _, part := range []struct {
			label string
			at, w float64
		}{{"name", 0, 65}, {"signature", 70, 65}, {"date", 140, 35}} {
			d.f.Line(x+part.at, y, x+part.at+part.w, y)
			d.font("", 8)
			d.f.SetXY(x+part.at, y+0.5)
			d.f.CellFormat(part.w, 4, part.label, "", 0, "L", false, 0, "")
		}
		d.f.SetXY(x, y+14)
	}
}

// cautions stay together: none of them is to be overlooked on the next page.
func (d *doc) cautions() {
	d.heading("Cautions")
	d.font("", moreSize)
	high := 0.0
	for _, c := range register.Cautions {
		high += float64(len(d.lines("– "+c, d.width())))*lineHigh(moreSize) + 1
	}
	d.flush(high)
	for _, c := range register.Cautions {
		d.text("", moreSize, "– "+c)
		d.gap(1)
	}
}

func prefixed(before, s string) string {
	if s == "" {
		return ""
	}
	return before + s
}
