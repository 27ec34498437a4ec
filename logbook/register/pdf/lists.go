package pdf

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

// changed are the welds that were cut out, with what came in their place, and what was
// corrected.
func (d *doc) changed() {
	for i, c := range d.told.Lists {
		if i == 0 {
			d.section(false, 40, c.Title)
			d.tell(c)
			continue
		}
		d.chapterOf(c)
	}
}

// loop is flow, purge and fluid: what was read, what that comes to, and what it is of each
// circuit and header.
func (d *doc) loop() {
	for i, c := range d.told.Loop {
		if i == 0 {
			d.section(false, 50, c.Title)
			d.tell(c)
			continue
		}
		d.chapterOf(c)
	}
}

// afterwards is what was said of the site as a whole: covered, looked at, signed, and what
// happened later.
func (d *doc) afterwards() {
	for _, c := range d.told.Later {
		d.chapterOf(c)
	}
}
