package logbook

import (
	"cmp"
	"encoding/hex"
	"fmt"
	"maps"
	"slices"

	"coolhold/fusion"
)

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
	UID     string       `json:"uid"`
	Site    string       `json:"site"`          // its name in entries
	No      int          `json:"no"`            // in the order of opening, from 1
	Entries uint64       `json:"entries"`       // how many it has
	Newest  fusion.Stamp `json:"newest"`        // of its newest entry
	Run     []string     `json:"run,omitempty"` // welds that may walk, fuse or be held
	Opened  Entry        `json:"opened"`        // the entry that opened it
}

// NewIndex is the index of a log with that tag and no entry.
func NewIndex(tag string) *Index {
	return &Index{Next: 1, at: map[string]*Place{}, tag: tag}
}

// Put keeps a place that was read, or puts it in the stead of the one it had.
// A place is a value that is replaced, never changed.
func (x *Index) Put(p Place) {
	if x.at[p.Site] == nil {
		x.Places = append(x.Places, &p)
	} else {
		x.Places[slices.Index(x.Places, x.at[p.Site])] = &p
	}
	x.at[p.Site] = &p
}

// Sort puts the places that were read into the order of opening.
func (x *Index) Sort() {
	slices.SortFunc(x.Places, func(a, b *Place) int { return cmp.Compare(a.No, b.No) })
}

// Clone is a copy that can be added to without touching the original.
func (x *Index) Clone() *Index {
	c := *x
	c.Places, c.at = slices.Clone(x.Places), maps.Clone(x.at)
	return &c
}

// Listed is the site as a list of all sites has it: as it was opened, and when
// its newest entry was made.
func (p Place) Listed() Site {
	s := Site{}.After(&p.Opened)
	s.LastAt = p.Newest
	return s
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
	p := Place{Site: e.Site, No: len(x.Places) + 1, Opened: e}
	if had := x.at[e.Site]; had != nil {
		p = *had
	} else {
		p.UID = x.uid(e)
	}
	p.Entries, p.Newest = p.Entries+1, e.At
	p.run(e)
	x.Put(p)
	return x.at[e.Site]
}

// uid is the id of a site that is being opened. Where it has none of its own, as
// no log has that this program made, it gets one by its place: the first number
// from there on that no other has.
func (x *Index) uid(e Entry) string {
	opened, _ := e.Open().(SiteOpened)
	id, err := hex.DecodeString(opened.UID)
	taken := func(p *Place) bool { return p.UID == opened.UID }
	if err == nil && len(id) == 8 && hex.EncodeToString(id) == opened.UID && !slices.ContainsFunc(x.Places, taken) {
		return opened.UID
	}
	for n := len(x.Places) + 1; ; n++ {
		opened.UID = fmt.Sprintf("%016d", n)
		if !slices.ContainsFunc(x.Places, taken) {
			return opened.UID
		}
	}
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
		return b.Field == FieldDisturbed
	}
	return false
}
