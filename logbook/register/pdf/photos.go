package pdf

import (
	"bytes"
	"encoding/gob"
	"fmt"

	"codeberg.org/go-pdf/fpdf"

	"coolhold/logbook"
	"coolhold/logbook/register"
)

// Measures of the photos on a page, in mm.
const (
	photosBeside = 3
	photoGap     = 5.0
	photoHigh    = 52.0 // at most
	photoLine    = 3.3
)

// A framed photo is one as it is drawn: its picture over its lines.
type framed struct {
	hash  string
	pic   register.Picture
	w, h  float64 // of the picture, or of the frame that stands for it
	lines []string
}

// files are all that was enclosed, the photos made small first.
func (d *doc) files() {
	d.photos()
	d.section(false, 50, d.told.Files.Title)
	d.tell(d.told.Files)
}

// photos are the enclosed photos made small, each with what it is, what it is of, and both
// times. Where no folder was given to find them in there are none.
func (d *doc) photos() {
	if d.rep.Pictures == nil {
		return
	}
	d.section(false, 80, "Photos made small")
	d.text("", 9, "Each was found by its content in the folder that was named for it. The time in a photo's file is that of the camera's clock, which is not the clock of this record and may be wrong; "+
		"\"recorded\" is when it was enclosed. A picture shows what can be seen from outside and says nothing of the weld's inside.")
	d.gap(2)
	wide := (d.full() - (photosBeside-1)*photoGap) / photosBeside
	var row []framed
	for _, e := range d.rep.Site.Enclosed {
		if p, is := d.rep.Pictures[e.Hash]; is {
			row = append(row, d.frame(e, p, wide))
		}
		if len(row) == photosBeside {
			d.rowOf(row, wide)
			row = nil
		}
	}
	if len(row) > 0 {
		d.rowOf(row, wide)
	}
	if len(d.rep.Pictures) == 0 {
		d.text("", 9, "No photo is enclosed.")
	}
}

// frame sets what is drawn of one photo.
func (d *doc) frame(e logbook.Enclosure, p register.Picture, wide float64) framed {
	f := framed{hash: e.Hash, pic: p, w: wide, h: 14}
	if p.Why == "" {
		scale := min(wide/float64(p.W), photoHigh/float64(p.H))
		f.w, f.h = float64(p.W)*scale, float64(p.H)*scale
	}
	taken := "no time was looked for in the file"
	if e.Taken != nil {
		taken = e.Taken.String()
	}
	d.font("", 7.5)
	for _, says := range []string{e.What + ": " + e.Of(), "recorded " + e.At.Local().Format(offset) + " by " + e.By, taken, fmt.Sprintf("%s, %.16s…", e.File, e.Hash)} {
		f.lines = append(f.lines, d.lines(says, wide)...)
	}
	return f
}

// rowOf draws photos beside each other, on a new page where there is no room.
func (d *doc) rowOf(row []framed, wide float64) {
	var high, lines float64
	for _, f := range row {
		high, lines = max(high, f.h), max(lines, float64(len(f.lines)))
	}
	d.room(min(high+1+lines*photoLine, d.bottom()-d.top()-8))
	x, y := d.left(), d.f.GetY()
	for _, f := range row {
		d.picture(f, x, y, wide)
		d.font("", 7.5)
		for i, line := range f.lines {
			d.f.SetXY(x, y+high+1+float64(i)*photoLine)
			d.f.CellFormat(wide, photoLine, line, "", 0, "L", false, 0, "")
		}
		x += wide + photoGap
	}
	d.f.SetXY(d.left(), y+high+1+lines*photoLine+4)
}

// picture draws a photo, or a frame with why it is not there.
func (d *doc) picture(f framed, x, y, wide float64) {
	if f.pic.Why == "" {
		o := fpdf.ImageOptions{ImageType: "JPEG"}
		if d.f.GetImageInfo(f.hash) == nil {
			d.pictures++
			inOrder(d.f.RegisterImageOptionsReader(f.hash, o, bytes.NewReader(f.pic.JPEG)), d.pictures)
		}
		d.f.ImageOptions(f.hash, x, y, f.w, f.h, false, o, 0, "")
		return
	}
	d.f.SetLineWidth(0.2)
	d.f.SetDashPattern([]float64{1, 1}, 0)
	d.f.Rect(x, y, wide, f.h, "D")
	d.f.SetDashPattern(nil, 0)
	d.font("B", 7.5)
	for i, line := range d.lines("NOT SHOWN: "+f.pic.Why, wide-4) {
		d.f.SetXY(x+2, y+1.5+float64(i)*photoLine)
		d.f.CellFormat(wide-4, photoLine, line, "", 0, "L", false, 0, "")
	}
}

// inOrder gives a picture its place among those of the document. The library puts pictures
// down in the order of their widths, and those of one width in any order, so that the same
// report would give another document each time. The fraction of a dot that is added here
// tells them apart and is written nowhere. Where the library would have none of it, the
// picture stays as it is.
func inOrder(info *fpdf.ImageInfoType, n int) {
	was, err := info.GobEncode()
	if err != nil {
		return
	}
	var p struct {
		Data, Mask      []byte
		No              int
		W, H            float64
		Space           string
		Palette         []byte
		Bits            int
		Filter, Decoder string
		Transparent     []int
		Scale, DPI      float64
	}
	in := gob.NewDecoder(bytes.NewReader(was))
	fields := []any{&p.Data, &p.Mask, &p.No, &p.W, &p.H, &p.Space, &p.Palette, &p.Bits, &p.Filter, &p.Decoder, &p.Transparent, &p.Scale, &p.DPI}
	for _, field := range fields {
		if in.Decode(field) != nil {
			return
		}
	}
	p.W += float64(n) / (1 << 20)
	var now bytes.Buffer
	out := gob.NewEncoder(&now)
	for _, field := range fields {
		if out.Encode(field) != nil {
			return
		}
	}
	if info.GobDecode(now.Bytes()) != nil {
		_ = info.GobDecode(was)
	}
}
