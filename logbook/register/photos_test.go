package register_test

import (
	"bytes"
	"encoding/json"
	"fmt"
	"image"
	"image/color"
	"image/jpeg"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/thedatashed/xlsxreader"

	"coolhold/logbook"
	"coolhold/logbook/register"
	"coolhold/logbook/register/pdf"
	"coolhold/logbook/register/xlsx"
)

// square is a picture of one colour.
func square(t testing.TB, w, h int, c color.Color) register.Picture {
	t.Helper()
	p := image.NewRGBA(image.Rect(0, 0, w, h))
	for i := range w * h {
		p.Set(i%w, i/w, c)
	}
	var out bytes.Buffer
	if err := jpeg.Encode(&out, p, nil); err != nil {
		t.Fatal(err)
	}
	return register.Picture{JPEG: out.Bytes(), W: w, H: h}
}

// photographed is the sample with photos of many sizes, one of them of two things, and two
// that are not to be seen.
func photographed(t testing.TB) register.Report {
	rep := register.Sample(t)
	rep.Pictures = register.Pictures{}
	add := func(b logbook.Enclosed, p register.Picture) {
		e := logbook.Enclosure{Enclosed: b, Signature: rep.Site.Enclosed[0].Signature}
		rep.Site.Enclosed = append(rep.Site.Enclosed, e)
		rep.Pictures[b.Hash] = p
	}
	for i := range 14 {
		add(logbook.Enclosed{File: fmt.Sprintf("p%d.jpg", i), Hash: strings.Repeat(fmt.Sprintf("%02x", i), 32), What: fmt.Sprintf("photo number %d", i), Part: "chamber A", Taken: &logbook.Taken{Local: "2026:03:09 10:14:02", Offset: "+01:00"}},
			square(t, 480, 120+60*i, color.RGBA{uint8(10 * i), 90, 90, 255}))
	}
	b := rep.Site.Enclosed[len(rep.Site.Enclosed)-1].Enclosed
	b.Part, b.Test, b.What = "", "KM-P1", "the same once more"
	add(b, rep.Pictures[b.Hash])
	add(logbook.Enclosed{File: "gone.jpg", Hash: strings.Repeat("ee", 32), What: "the gone one", Taken: &logbook.Taken{None: logbook.TimeAbsent}}, register.Picture{Why: "nothing in the folder has its content"})
	return rep
}

// Photos stand in the document with what they are of and both times; one that is not
// there is named as such. It is the same each time, and no larger than its pictures ask.
func TestPhotosInThePDF(t *testing.T) {
	rep := photographed(t)
	d := drawn(t, rep)
	for _, want := range []string{
		"Photos", "photo number 0: chamber A", "photo number 13: chamber A", "the same once more: pressure test KM-P1", "time in the file 2026-03-09 10:14:02 +01:00",
		"NOT SHOWN: nothing in the folder has its content", "the gone one: the site", "no time in the file", "p3.jpg, 0303030303030303…", "recorded 2026-03-09",
	} {
		if !strings.Contains(d.flow(), want) {
			t.Errorf("the document lacks %q", want)
		}
	}
	if n := strings.Count(output(t, "pdfimages", "-list", d.file), "jpeg"); n != 15 {
		t.Errorf("%d pictures are drawn, want 15", n)
	}
	var first, again, without bytes.Buffer
	for _, out := range []*bytes.Buffer{&first, &again} {
		if err := pdf.Write(out, rep, nil); err != nil {
			t.Fatal(err)
		}
	}
	if !bytes.Equal(first.Bytes(), again.Bytes()) {
		t.Error("the same report gives another document")
	}
	size := 0
	for _, p := range rep.Pictures {
		size += len(p.JPEG)
	}
	rep.Pictures = nil
	if err := pdf.Write(&without, rep, nil); err != nil {
		t.Fatal(err)
	}
	if more := first.Len() - without.Len(); more < size || more > size+30_000 {
		t.Errorf("pictures of %d bytes make the document %d larger", size, more)
	}
	if d := drawn(t, rep); strings.Contains(d.flow(), "Photos Each was") {
		t.Error("photos are spoken of where no folder was given")
	}
}

// The JSON names what each file shows and the time in it, as its schema says.
func TestEnclosuresInJSON(t *testing.T) {
	rep := photographed(t)
	rep.Site.Enclosed[len(rep.Site.Enclosed)-1].Section = &logbook.SectionID{Chamber: "A", Circuit: 1}
	var out bytes.Buffer
	if err := register.JSON(&out, rep); err != nil {
		t.Fatal(err)
	}
	var doc struct {
		Enclosures []struct {
			Part, Test string
			Section    *struct{ Circuit int }
			Taken      *struct{ Local, Offset, None string }
		}
	}
	if err := json.Unmarshal(out.Bytes(), &doc); err != nil {
		t.Fatal(err)
	}
	all := doc.Enclosures
	if last := all[len(all)-1]; last.Section == nil || last.Section.Circuit != 1 || last.Taken == nil || last.Taken.None != "absent" {
		t.Errorf("%+v", last)
	}
	if p := all[2]; p.Part != "chamber A" || p.Taken.Local != "2026:03:09 10:14:02" || p.Taken.Offset != "+01:00" || all[len(all)-2].Test != "KM-P1" {
		t.Errorf("%+v", p)
	}
	if all[0].Taken != nil {
		t.Error("a certificate has a time in its file")
	}
}

// The workbook has what each file shows and the time in it, in columns of their own.
func TestEnclosuresInTheWorkbook(t *testing.T) {
	rep := photographed(t)
	gone := &rep.Site.Enclosed[len(rep.Site.Enclosed)-1]
	gone.Section = &logbook.SectionID{Chamber: "A", Circuit: 1}
	var head []string
	found := map[string][]string{}
	for _, sheet := range workbook(t, rep) {
		for _, row := range sheet {
			var cells []string
			for _, column := range strings.Split("ABCDEFGHIJKLM", "") {
				cells = append(cells, row[column].Value)
			}
			if cells[0] == "enclosure" {
				head = cells
			}
			found[cells[0]] = cells
		}
	}
	for file, want := range map[string]map[string]string{
		"p0.jpg":        {"part": "chamber A", "its offset": "+01:00", "enclosed by": "Ada Invented", "section": "", "test": ""},
		"p13.jpg":       {"part": "", "test": "KM-P1"},
		"gone.jpg":      {"section": "circuit 1 of chamber A", "time in the file": "no time in the file", "SHA-256": strings.Repeat("ee", 32)},
		"coil-0042.pdf": {"time in the file": "", "bytes": "4711"},
	} {
		for column, value := range want {
			if at := slices.Index(head, column); at < 0 || found[file] == nil || found[file][at] != value {
				t.Errorf("%s, %s: %q of %q, want %q", file, column, found[file], head, value)
			}
		}
	}
}

// The time in a file is a time in the workbook too, as the camera's clock had it.
func TestTheTimeInAFileIsATime(t *testing.T) {
	for _, row := range named(workbook(t, photographed(t))[xlsx.Enclosures]) {
		if row["enclosure"].Value != "p0.jpg" {
			continue
		}
		at, err := time.Parse(time.RFC3339, row["time in the file"].Value)
		if want := time.Date(2026, 3, 9, 10, 14, 2, 0, time.UTC); err != nil || row["time in the file"].Type != xlsxreader.TypeDateTime || at.Sub(want).Abs() > time.Second {
			t.Errorf("it is %+v, want %v", row["time in the file"], want)
		}
		return
	}
	t.Error("no p0.jpg")
}
