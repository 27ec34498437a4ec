package pdf

import "coolhold/logbook/register/account"

// How the PDF writes a time, second where the minute says too little.
const (
	minute = "2006-01-02 15:04"
	second = "2006-01-02 15:04:05"
)

// stillOpen are the findings that somebody must still do something about, accepted the one
// list of those that somebody decided on.
func (d *doc) stillOpen() {
	d.section(false, 50, d.told.Open.Title)
	d.tell(d.told.Open)
	d.section(false, 50, d.told.Accepted.Title)
	d.tell(d.told.Accepted)
}

// chapters are several of one matter: the first begins a section, where need mm are left.
func (d *doc) chapters(list []account.Chapter, need float64) {
	for i, c := range list {
		if i > 0 {
			d.chapterOf(c)
			continue
		}
		d.section(false, need, c.Title)
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
