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
		d.part(c, 50)
	}
}

// part is a chapter as a section, where need mm are left.
func (d *doc) part(c account.Chapter, need float64) {
	if d.inALine(c) {
		return
	}
	d.section(false, need, c.Title)
	d.stands(c.ID)
	d.tell(c)
}

// inALine tells a chapter in which nothing is listed: of what is not there a line is enough,
// and many headings over nothing hide what there is.
func (d *doc) inALine(c account.Chapter) bool {
	d.settle()
	if len(c.Items) > 0 || len(c.Intro) != 1 || c.ID == d.told.Open.ID || d.lying() {
		return false
	}
	d.gap(1.5)
	d.stands(c.ID)
	d.hold(0, func() {
		d.f.Bookmark(d.say(c.Title), 0, -1)
		d.begun(c.Title)
	})
	d.item(account.Item{Head: c.Title, Says: c.Intro[0]})
	return true
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
		switch {
		case i == 0:
			d.part(c, need)
		case !d.inALine(c):
			d.chapterOf(c)
		}
	}
}

// afterwards is what was said of the site as a whole: covered, looked at, signed, and what
// happened later.
func (d *doc) afterwards() {
	for _, c := range d.told.Later {
		if !d.inALine(c) {
			d.chapterOf(c)
		}
	}
}
