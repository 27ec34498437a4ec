package pdf

import (
	"slices"

	"coolhold/logbook/register/account"
)

// How the PDF writes a time, second where the minute says too little.
const (
	minute = "2006-01-02 15:04"
	second = "2006-01-02 15:04:05"
	offset = "2006-01-02 15:04 -07:00"
)

// stillOpen are the findings that somebody must still do something about, then those that
// somebody decided on, those of which that counts no more, and what nobody recorded.
func (d *doc) stillOpen() {
	for _, c := range append([]account.Chapter{d.told.Open, d.told.Accepted}, d.lists("lapsed", "missing")...) {
		d.section(false, 50, c.Title)
		d.stands(c.ID)
		d.tell(c)
	}
}

// lists are those of the lists with these names: each stands where it is looked for.
func (d *doc) lists(ids ...string) (out []account.Chapter) {
	for _, c := range d.told.Lists {
		if slices.Contains(ids, c.ID) {
			out = append(out, c)
		}
	}
	return out
}

// chapters are several of one matter: the first begins a section, where need mm are left.
func (d *doc) chapters(list []account.Chapter, need float64) {
	for i, c := range list {
		if i > 0 {
			d.chapterOf(c)
			continue
		}
		d.section(false, need, c.Title)
		d.stands(c.ID)
		d.tell(c)
	}
}

// afterwards is what was said of the site as a whole: covered, looked at, signed, and what
// happened later.
func (d *doc) afterwards() {
	for _, c := range d.told.Later {
		d.chapterOf(c)
	}
}
