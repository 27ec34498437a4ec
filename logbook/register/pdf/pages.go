package pdf

import (
	"fmt"
	"maps"
	"slices"
	"strings"

	"codeberg.org/go-pdf/fpdf"

	"coolhold/logbook/register/account"
)

// pages are on which page a thing stands: as it is found while the document is drawn, and as
// it was found the time before, by which it is named. So a page that is named can stand
// before the thing itself.
type pages struct {
	is, was         map[string]int // by the anchor that the account has
	heads, hadHeads []chapterAt
	drawn           bool // once at least
}

// A chapterAt is a line of the contents.
type chapterAt struct {
	title string
	page  int
}

// settled tells whether every page that was named is the right one.
func (d *doc) settled() bool {
	p := d.pages
	return p.drawn && maps.Equal(p.is, p.was) && slices.Equal(p.heads, p.hadHeads)
}

// anew begins the document again, with the pages that were found.
func (d *doc) anew() {
	d.f = fpdf.New("P", "mm", "A4", "")
	d.beside, d.pictures, d.headings, d.open = 0, 0, nil, nil
	d.pages = pages{was: d.pages.is, hadHeads: d.pages.heads, drawn: true}
	d.prepare()
}

// stands notes that what the account leads to by an anchor stands on the page of what is
// drawn next; the first place counts.
func (d *doc) stands(anchor string) {
	if anchor != "" {
		d.hold(0, func() { d.standsHere(anchor) })
	}
}

func (d *doc) standsHere(anchor string) {
	if d.pages.is == nil {
		d.pages.is = map[string]int{}
	}
	if _, had := d.pages.is[anchor]; !had && anchor != "" {
		d.pages.is[anchor] = d.f.PageNo()
	}
}

// begun notes a chapter for the contents.
func (d *doc) begun(title string) {
	if !strings.HasSuffix(title, ", continued") {
		d.pages.heads = append(d.pages.heads, chapterAt{title, d.f.PageNo()})
		if chamber, is := strings.CutPrefix(title, "Chamber "); is {
			d.standsHere(account.ChamberAt(chamber))
		}
	}
}

// ref names the page of what an anchor leads to, "" where that stands nowhere. Before any
// page is known as much room is taken.
func (d *doc) ref(anchor string) string {
	switch page, known := d.pages.was[anchor]; {
	case anchor == "":
		return ""
	case !d.pages.drawn:
		return "page 88"
	case known:
		return fmt.Sprintf("page %d", page)
	}
	return ""
}

// contents are the chapters with their pages.
func (d *doc) contents() {
	if len(d.pages.hadHeads) == 0 {
		return
	}
	d.heading("Contents")
	var parts []string
	for _, c := range d.pages.hadHeads {
		parts = append(parts, fmt.Sprintf("%s %d", c.title, c.page))
	}
	d.text("", moreSize, "By page: "+strings.Join(parts, " · ")+".")
}
