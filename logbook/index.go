package logbook

import "slices"

// An Index says of the entries of a log what stays when a word, a rule or the
// fold changes: which of them belong to which site, and which welds may walk,
// fuse or be held. It goes by kinds alone.
type Index struct {
	Places []*Place          // in the order the sites were opened
	Next   int               // the number of the next weld
	Sealed uint64            // the newest entry of kind "sealed", 0: none
	at     map[string]*Place // by the site's name in entries
	tag    string
}

// A Place is what an index has of one site.
type Place struct {
	UID     string   `json:"uid"`
	Site    string   `json:"site"`          // its name in entries
	No      int      `json:"no"`            // in the order of opening, from 1
	Opened  uint64   `json:"opened"`        // seq of the entry that opened it
	Newest  uint64   `json:"newest"`        // seq of its newest entry
	Entries uint64   `json:"entries"`       // how many it has
	Run     []string `json:"run,omitempty"` // welds that may walk, fuse or be held
}

// NewIndex is the index of a log with that tag and no entry.
func NewIndex(tag string) *Index {
	return &Index{Next: 1, at: map[string]*Place{}, tag: tag}
}

// Put keeps a place that was read.
func (x *Index) Put(p Place) {
	x.Places = append(x.Places, &p)
	x.at[p.Site] = &p
}

// At is the place of a site, nil where it was never opened.
func (x *Index) At(site string) *Place { return x.at[site] }

// Number is the number that the next entry has within its site: 0 where that
// was not opened before and is not opened by it.
func (x *Index) Number(site string, kind Kind) uint64 {
	switch p := x.at[site]; {
	case p != nil:
		return p.Entries + 1
	case site != "" && kind == (SiteOpened{}).Kind():
		return 1
	}
	return 0
}

// Take counts one more entry in, and gives the place of its site: nil where
// it belongs to none.
func (x *Index) Take(e Entry) *Place {
	if e.Kind == (Sealed{}).Kind() {
		x.Sealed = e.Seq
	}
	x.Next = max(x.Next, numberAfter(x.tag, e.Weld))
	if x.Number(e.Site, e.Kind) == 0 {
		return nil
	}
	p := x.at[e.Site]
	if p == nil {
		opened, _ := e.Open().(SiteOpened)
		x.Put(Place{UID: opened.UID, Site: e.Site, No: len(x.Places) + 1, Opened: e.Seq})
		p = x.at[e.Site]
	}
	p.Entries, p.Newest = p.Entries+1, e.Seq
	p.run(e)
	return p
}

// run keeps the list of welds that may run. Whatever could set a weld going
// puts it there, an entry of a kind that is not known too: the list may name
// too many, never too few.
func (p *Place) run(e Entry) {
	at := slices.Index(p.Run, e.Weld)
	switch {
	case e.Weld == "":
	case ends(e):
		if at >= 0 {
			p.Run = slices.Delete(slices.Clone(p.Run), at, at+1)
		}
	case at < 0 && sets(e):
		p.Run = append(slices.Clone(p.Run), e.Weld)
	}
}

// ends tells whether a weld neither walks nor fuses nor is held after an entry.
func ends(e Entry) bool {
	switch e.Kind {
	case Released{}.Kind(), Disturbed{}.Kind(), CutOut{}.Kind(), WalkAbandoned{}.Kind():
		_, unknown := e.Open().(Unknown)
		return !unknown
	}
	return false
}

// sets tells whether a weld may walk, fuse or be held after an entry though it
// did not before.
func sets(e Entry) bool {
	switch b := e.Open().(type) {
	case WeldBegun, FusionStarted, FusionEnded, AttemptRefused, Unknown:
		return true
	case Correction:
		return b.Field == fieldDisturbed
	}
	return false
}
