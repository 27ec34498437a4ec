// Package workbook reads the cells of an XLSX workbook as texts that a person would have
// typed: a day as 2026-03-09, a time as 14:05, a number with all its digits. What a cell
// does not say for sure (a formula without its result, a merged or hidden cell, a number
// whose last digits a spreadsheet drops) is handed on as unsound and never guessed.
//
// The parts read are those of ECMA-376 (SpreadsheetML), from memory. What a file may hold
// is bounded; formulas, links, macros and drawings are never looked at.
package workbook

import (
	"archive/zip"
	"bytes"
	"encoding/xml"
	"errors"
	"fmt"
	"io"
	"path"
	"strings"
)

// Bounds of what is read: our choice.
const (
	mostPart   = 16 << 20 // bytes of one part, unpacked
	mostCells  = 200_000  // in which something stands
	mostSheets = 40
)

// A Cell is one in which something stands.
type Cell struct {
	Col  int    // first is 0
	Text string // as a person would have typed it
	Bad  string // why it cannot be taken as it is, and what to do; "" where it can
}

// A Row is one in which something stands.
type Row struct {
	No    int // as the spreadsheet counts them
	Cells []Cell
}

// A Sheet is one of a workbook, with its rows in order.
type Sheet struct {
	Name string
	Rows []Row
}

// Is tells whether a file may be a workbook.
func Is(data []byte) bool { return bytes.HasPrefix(data, []byte("PK\x03\x04")) }

// A book is a workbook while it is read.
type book struct {
	files   map[string]*zip.File
	strings []string
	styles  []style
	since   int // days that the count of this book is behind the usual one
	cells   int
}

var (
	errOther = errors.New("it is no XLSX workbook: save the sheet as XLSX, or as CSV in UTF-8")
	errOpen  = errors.New("it is an OpenDocument sheet (ODS): save it as XLSX, or as CSV in UTF-8")
	errLarge = errors.New("there is more in it than a sheet of welds has: is it the right file?")
)

// Read reads all sheets of a workbook.
func Read(data []byte) ([]Sheet, error) {
	z, err := zip.NewReader(bytes.NewReader(data), int64(len(data)))
	if err != nil {
		return nil, fmt.Errorf("the workbook is damaged (%w): save it again", err)
	}
	b := &book{files: map[string]*zip.File{}}
	for _, f := range z.File {
		b.files[strings.TrimPrefix(f.Name, "/")] = f
	}
	if b.files["content.xml"] != nil && b.files["xl/workbook.xml"] == nil {
		return nil, errOpen
	}
	return b.read()
}

type xmlBook struct {
	Props struct {
		From1904 string `xml:"date1904,attr"`
	} `xml:"workbookPr"`
	Sheets []struct {
		Name string     `xml:"name,attr"`
		Attr []xml.Attr `xml:",any,attr"`
	} `xml:"sheets>sheet"`
}

type xmlLinks struct {
	Links []struct {
		ID     string `xml:"Id,attr"`
		Target string `xml:"Target,attr"`
	} `xml:"Relationship"`
}

func (b *book) read() ([]Sheet, error) {
	var all xmlBook
	var links xmlLinks
	if b.files["xl/workbook.xml"] == nil {
		return nil, errOther
	}
	if err := errors.Join(b.part("xl/workbook.xml", &all), b.part("xl/_rels/workbook.xml.rels", &links), b.shared(), b.looks()); err != nil {
		return nil, err
	}
	if isTrue(all.Props.From1904) {
		b.since = 1462 // days from 1899-12-30 to 1904-01-01
	}
	if len(all.Sheets) > mostSheets {
		return nil, errLarge
	}
	var out []Sheet
	for _, s := range all.Sheets {
		target := ""
		for _, a := range s.Attr {
			for _, l := range links.Links {
				if a.Name.Local == "id" && a.Value == l.ID {
					target = l.Target
				}
			}
		}
		if !strings.HasPrefix(target, "/") {
			target = path.Join("xl", target)
		}
		f := b.files[strings.TrimPrefix(target, "/")]
		if f == nil || !strings.Contains(target, "worksheets/") {
			continue // a chart has a sheet of its own
		}
		rows, err := b.rows(f)
		if err != nil {
			return nil, fmt.Errorf("sheet %q: %w", s.Name, err)
		}
		out = append(out, Sheet{s.Name, rows})
	}
	return out, nil
}

// open opens a part, no more than so much of it.
func open(f *zip.File) (io.ReadCloser, io.Reader, error) {
	if f.UncompressedSize64 > mostPart {
		return nil, nil, errLarge
	}
	r, err := f.Open()
	if err != nil {
		return nil, nil, damaged(err)
	}
	return r, io.LimitReader(r, mostPart), nil
}

func damaged(err error) error {
	return fmt.Errorf("the workbook is damaged (%w): save it again", err)
}

// part reads a small part as a whole; one that is not there is empty.
func (b *book) part(name string, into any) error {
	f := b.files[name]
	if f == nil {
		return nil
	}
	c, r, err := open(f)
	if err != nil {
		return err
	}
	defer c.Close()
	if err := xml.NewDecoder(r).Decode(into); err != nil {
		return damaged(err)
	}
	return nil
}

// each hands every element of that name, wherever it stands, to what decodes it.
func each(f *zip.File, take map[string]func(*xml.Decoder, xml.StartElement) error) error {
	c, r, err := open(f)
	if err != nil {
		return err
	}
	defer c.Close()
	for d := xml.NewDecoder(r); ; {
		t, err := d.Token()
		switch {
		case errors.Is(err, io.EOF):
			return nil
		case err != nil:
			return damaged(err)
		}
		if e, ok := t.(xml.StartElement); ok && take[e.Name.Local] != nil {
			if err := take[e.Name.Local](d, e); err != nil {
				return err
			}
		}
	}
}

// decoded makes such a function of one that takes the element decoded.
func decoded[T any](take func(T) error) func(*xml.Decoder, xml.StartElement) error {
	return func(d *xml.Decoder, e xml.StartElement) error {
		var v T
		if err := d.DecodeElement(&v, &e); err != nil {
			return damaged(err)
		}
		return take(v)
	}
}

// An xmlText is a text, plain or in runs that look unlike; how it is to be spoken is no
// part of it.
type xmlText struct {
	T    *string  `xml:"t"`
	Runs []string `xml:"r>t"`
}

func (t xmlText) text() string {
	out := strings.Join(t.Runs, "")
	if t.T != nil {
		out = *t.T + out
	}
	return unescaped(out)
}

// shared reads the texts that cells refer to by number.
func (b *book) shared() error {
	f := b.files["xl/sharedStrings.xml"]
	if f == nil {
		return nil
	}
	return each(f, map[string]func(*xml.Decoder, xml.StartElement) error{"si": decoded(func(t xmlText) error {
		if b.strings = append(b.strings, t.text()); len(b.strings) > mostCells {
			return errLarge
		}
		return nil
	})})
}

func isTrue(v string) bool { return v == "1" || v == "true" || v == "on" }
